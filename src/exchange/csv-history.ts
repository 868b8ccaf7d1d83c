import { parse } from 'csv-parse/sync';
import { type HistoryCells, type HistoryField, historyFields } from '../core/history-import.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { problemsShownMost, wholeFileProblem } from './unit-file.ts';

export const historyRowsMost = 5000;

/** Heads of columns as people write them, in small letters. */
const columnNames: Readonly<Record<string, HistoryField | 'year' | 'month' | 'day'>> = {
  unit: 'unit',
  code: 'unit',
  'unit code': 'unit',
  date: 'date',
  when: 'date',
  'burn date': 'date',
  'date burned': 'date',
  year: 'year',
  month: 'month',
  day: 'day',
  work: 'work',
  treatment: 'work',
  what: 'work',
  'share black': 'share_black',
  black: 'share_black',
  '% black': 'share_black',
  'percent black': 'share_black',
  cause: 'cause',
  acres: 'acres',
  note: 'note',
  notes: 'note',
  remarks: 'note',
};

/** What a table of old work holds. */
export interface HistoryTable {
  rows: HistoryCells[];
  /** Columns that are not read, and the like. */
  notes: Problem[];
}

interface CsvRow {
  record: string[];
  info: { lines: number };
}

function fail(code: string, message: string): Outcome<HistoryTable> {
  return { ok: false, problems: [{ code, message, line: 1, field: 'text' }] };
}

function parsed(text: string): CsvRow[] | null {
  const firstLine = text.trimStart().split('\n', 1)[0] ?? '';
  // Rows pasted from a spreadsheet come with tabs.
  const separators = ['\t', ';', ','].find((one) => firstLine.includes(one)) ?? ',';
  try {
    return parse(text, {
      bom: true,
      info: true,
      delimiter: separators,
      relax_column_count: true,
      skip_empty_lines: true,
      skip_records_with_empty_values: true,
    }) as unknown as CsvRow[];
  } catch {
    return null;
  }
}

function cellsOf(row: CsvRow, columns: readonly (string | undefined)[]): HistoryCells[] {
  const cell = (name: string) => {
    const at = columns.indexOf(name);
    return at < 0 ? '' : (row.record[at] ?? '').trim();
  };
  const own = Object.fromEntries(historyFields.map((field) => [field, cell(field)])) as Record<
    HistoryField,
    string
  >;
  const parts = [cell('day'), cell('month'), cell('year')].filter((part) => part !== '');
  const isIso = parts.length > 0 && own.date === '' && parts.every((part) => /^\d+$/.test(part));
  let date = own.date;
  if (date === '') date = isIso ? [...parts].reverse().join('-') : parts.join(' ');
  const dates = date.split(';').map((part) => part.trim());
  const given = dates.filter((part) => part !== '');
  const all = given.length === 0 ? [''] : given;
  return all.map((one, index) => ({ ...own, date: one, line: row.info.lines, part: index + 1 }));
}

/**
 * The rows of a table of old fires and work: CSV (RFC 4180), or text with tabs or semicolons between columns, with
 * a head line. Columns in any order; year, month and day may have columns of their own; several dates in a cell are
 * parted by semicolons. What the cells mean is not looked at.
 */
export function readHistoryTable(text: string): Outcome<HistoryTable> {
  const whole = wholeFileProblem(text, { communityKeys: [] });
  if (whole) return { ok: false, problems: [{ ...whole, field: 'text' }] };
  const all = parsed(text);
  if (!all)
    return fail(
      'csv-not-readable',
      'A quotation mark is not closed or stands inside a value: put "..." around the whole value.',
    );
  const [head, ...body] = all;
  const names = (head?.record ?? []).map((cell) =>
    cell
      .trim()
      .toLowerCase()
      .replace(/[_\s]+/g, ' '),
  );
  const columns = names.map((name) =>
    Object.hasOwn(columnNames, name) ? columnNames[name] : undefined,
  );
  const hasDate = columns.includes('date') || columns.includes('year');
  if (!columns.includes('unit') || !hasDate)
    return fail(
      'missing-column',
      `Line 1 has to name the columns: at least unit and date (or year). All that are read: ${historyFields.join(', ')}, year, month, day.`,
    );
  const twice = columns.find((name, at) => name !== undefined && columns.indexOf(name) < at);
  if (twice) return fail('duplicate-column', `Line 1 names the column ${twice} twice: remove one.`);
  if (body.length === 0) return fail('no-rows', 'There is a head line and no row below it.');
  if (body.length > historyRowsMost)
    return fail(
      'too-many-rows',
      `There are ${body.length} rows: at most ${historyRowsMost} are read at a time; split the file.`,
    );
  const wide = body.filter((row) =>
    row.record.slice(names.length).some((cell) => cell.trim() !== ''),
  );
  if (wide.length > 0)
    return {
      ok: false,
      problems: wide.slice(0, problemsShownMost).map(({ record, info: { lines } }) => ({
        code: 'wrong-column-count',
        field: 'text',
        line: lines,
        message: `Line ${lines}: it has ${record.length} values and the head ${names.length}: put "..." around a value that holds a comma.`,
      })),
    };
  const unread = names.filter((_, at) => columns[at] === undefined);
  const notes: Problem[] =
    unread.length === 0
      ? []
      : [
          {
            code: 'columns-not-read',
            message: `These columns are not read: ${unread.join(', ').slice(0, 300)}.`,
          },
        ];
  const rows = body.flatMap((row) => cellsOf(row, columns));
  if (rows.length > historyRowsMost)
    return fail(
      'too-many-rows',
      `With the dates parted by semicolons there are ${rows.length} rows: at most ${historyRowsMost} are read at a time; split the file.`,
    );
  return { ok: true, value: { rows, notes } };
}
