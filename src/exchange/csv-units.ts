import { CsvError, parse } from 'csv-parse/sync';
import type { Problem } from '../core/problems.ts';
import {
  type ImportedUnit,
  problemList,
  type RawUnit,
  refused,
  type UnitField,
  type UnitFileContext,
  type UnitFileReading,
  unitFields,
  unitReader,
  unitsMost,
  wholeFileProblem,
} from './unit-file.ts';

const neededColumns: readonly UnitField[] = ['code', 'acres', 'community'];
const headerShown = unitFields.join(',');

interface CsvRow {
  record: string[];
  info: { lines: number };
}

function parseRows(text: string): CsvRow[] | Problem {
  try {
    return parse(text, {
      bom: true,
      info: true,
      relax_column_count: true,
      skip_empty_lines: true,
      skip_records_with_empty_values: true,
    }) as unknown as CsvRow[];
  } catch (error) {
    const line =
      error instanceof CsvError && typeof error['lines'] === 'number' ? error['lines'] : 1;
    return {
      code: 'csv-not-readable',
      message: `Line ${line}: a quotation mark is not closed or stands inside a value: put "..." around the whole value and write "" for a quotation mark in it.`,
      line,
    };
  }
}

/** Problems of the first line, or the field of each column. */
function headerProblems(cells: readonly string[]): Problem[] {
  const at = (code: string, field: string, what: string): Problem => ({
    code,
    message: `Line 1, header: ${what}.`,
    field,
    line: 1,
  });
  const [first = ''] = cells;
  if (cells.length === 1 && /[;\t]/.test(first))
    return [
      at(
        'wrong-separator',
        'header',
        `columns are parted by ${first.includes(';') ? 'semicolons' : 'tabs'}: save the file again with commas between columns and a point in decimal numbers`,
      ),
    ];
  const names = cells.map((cell) => cell.trim().toLowerCase());
  const known: readonly string[] = unitFields;
  const problems = names.flatMap((name, index) => {
    if (!known.includes(name))
      return [
        at('unknown-column', name, `"${name}" is not a column that is read: use ${headerShown}`),
      ];
    return names.indexOf(name) < index
      ? [at('duplicate-column', name, `"${name}" stands twice: remove one`)]
      : [];
  });
  for (const name of neededColumns)
    if (!names.includes(name))
      problems.push(
        at('missing-column', name, `the column "${name}" is missing: the header is ${headerShown}`),
      );
  return problems;
}

/**
 * Units from a CSV file (RFC 4180) with a header of `unitFields`; code, acres and community are needed, the rest may
 * be left out or blank. All or nothing; every problem names its line, field and fix. No outlines, so no neighbours.
 */
export function readCsvUnits(text: string, context: UnitFileContext): UnitFileReading {
  const whole = wholeFileProblem(text, context);
  if (whole) return refused(whole);
  const rows = parseRows(text);
  if (!Array.isArray(rows)) return refused(rows);
  const [header, ...body] = rows;
  const wrong = headerProblems(header?.record ?? []);
  if (wrong.length > 0) return refused(...wrong);
  if (body.length === 0)
    return refused({
      code: 'no-units',
      message: 'The file has a header and no units: add a line for each.',
      line: 1,
    });
  if (body.length > unitsMost)
    return refused({
      code: 'too-many-units',
      message: `The file holds ${body.length} units: split it, at most ${unitsMost} are read at a time.`,
    });
  const names = (header?.record ?? []).map((cell) => cell.trim().toLowerCase());
  const list = problemList();
  const read = unitReader(context, list);
  const units = body.map(({ record, info }): ImportedUnit => {
    const line = info.lines;
    const place = `Line ${line}`;
    if (record.length !== names.length)
      list.add({
        code: 'wrong-column-count',
        message: `${place}: it has ${record.length} values and the header ${names.length}: put "..." around a value that holds a comma, and leave unknown values blank between commas.`,
        line,
      });
    const raw: RawUnit = Object.fromEntries(names.map((name, index) => [name, record[index]]));
    const { acres, ...own } = read(raw, line, place);
    if ((raw.acres ?? '').toString().trim() === '')
      list.add({
        code: 'missing-value',
        message: `${place}, acres: it is blank: a unit without an outline needs its acres.`,
        field: 'acres',
        line,
      });
    return {
      ...own,
      areaAcres: acres ?? 0,
      measuredAcres: null,
      perimeterFeet: null,
      boundary: null,
    };
  });
  return {
    units: list.count() === 0 ? units : [],
    neighbours: [],
    problems: list.problems,
    problemCount: list.count(),
    notes: [],
  };
}
