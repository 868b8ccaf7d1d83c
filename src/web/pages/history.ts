import { createHash } from 'node:crypto';
import {
  fileQuestions,
  type HistoryChoices,
  type HistoryQuestion,
  type HistoryRow,
  readHistory,
} from '../../core/history-import.ts';
import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import type { FormState } from '../forms/form.ts';
import { type Shell, shellOf, todayOf } from './shell.ts';

/** Rows of the clear list that are shown; all are taken. */
const clearShownMost = 500;

/** A question beside a row; the same one lower down only says where its answer is. */
export interface ShownQuestion extends HistoryQuestion {
  /** Row with the choice; null = here. */
  asInRow: number | null;
}

export interface ShownRow extends Omit<HistoryRow, 'questions'> {
  questions: ShownQuestion[];
}

export interface HistoryPage {
  shell: Shell;
  form: FormState;
  properties: { key: string; name: string }[];
  hasUnits: boolean;
  /** Columns that were not read, and the like. */
  notes: Problem[];
  /** What was read; null before a file. */
  preview: {
    fileQuestions: HistoryQuestion[];
    unclear: ShownRow[];
    leftOut: ShownRow[];
    clear: ShownRow[];
    clearCount: number;
    /** Answers whose question is not on the page now. */
    hidden: { key: string; value: string }[];
    /** Which text the answers are for. */
    of: string;
  } | null;
  /** Entries taken in by the last try; null before one. */
  taken: number | null;
}

/** What was sent: the text, the property and the answers so far. */
export interface HistoryForm {
  text: string;
  propertyId: string;
  choices: HistoryChoices;
  /** What was said of rows inside no-work dates. */
  noWorkReason: string;
}

/** Tells one text from another; browsers change the ends of lines. */
export function digestOf(text: string): string {
  return createHash('sha256')
    .update(text.replace(/\r\n?/g, '\n').trim())
    .digest('hex')
    .slice(0, 16);
}

/** The rows of a table as read with the answers so far, or what is wrong with the table. */
export function historyRows(
  deps: Deps,
  { text, propertyId, choices }: HistoryForm,
): { rows: HistoryRow[]; notes: Problem[]; problems: Problem[] } {
  const table = deps.files.historyTable(text);
  if (!table.ok) return { rows: [], notes: [], problems: table.problems };
  const { rows, notes } = table.value;
  const property = /^\d+$/.test(propertyId) ? Number(propertyId) : null;
  const read = readHistory(rows, deps.operation(), property, todayOf(deps), choices);
  return { rows: read, notes, problems: [] };
}

function wholeFile(rows: readonly HistoryRow[], choices: HistoryChoices): HistoryQuestion[] {
  return Object.entries(fileQuestions).flatMap(([key, { text, options }]): HistoryQuestion[] => {
    const asked = rows.flatMap(({ questions }) => questions).find((one) => one.key === key);
    if (asked) return [asked];
    const chosen = choices[key] ?? '';
    return chosen === '' ? [] : [{ key, text, options: [...options], chosen }];
  });
}

function previewOf(
  rows: readonly HistoryRow[],
  { choices, text }: HistoryForm,
): HistoryPage['preview'] {
  const ofFile = wholeFile(rows, choices);
  const askedIn = new Map<string, number>();
  const order = ['unclear', 'left-out', 'clear'] as const;
  const shown = order.map((state) =>
    rows
      .filter((row) => row.state === state)
      .slice(0, state === 'clear' ? clearShownMost : rows.length)
      .map((row): ShownRow => {
        const questions = row.questions
          .filter(({ key }) => !ofFile.some((one) => one.key === key))
          .map((question): ShownQuestion => {
            const asInRow = askedIn.get(question.key) ?? null;
            if (asInRow === null) askedIn.set(question.key, row.line);
            return { ...question, asInRow };
          });
        return { ...row, questions };
      }),
  );
  const onPage = new Set([...askedIn.keys(), ...ofFile.map(({ key }) => key)]);
  const [unclear = [], leftOut = [], clear = []] = shown;
  return {
    fileQuestions: ofFile,
    unclear,
    leftOut,
    clear,
    of: digestOf(text),
    clearCount: rows.filter(({ state }) => state === 'clear').length,
    hidden: Object.entries(choices).flatMap(([key, value]) =>
      onPage.has(key) || value === '' ? [] : [{ key, value }],
    ),
  };
}

/** Old fires and work from a table: the form, and what each row means. */
export function historyPage(
  deps: Deps,
  sent: HistoryForm | null,
  outcome: { rows: HistoryRow[]; notes: Problem[]; problems: Problem[]; taken?: number } | null,
): HistoryPage {
  const { properties, units } = deps.operation();
  const isRead = sent !== null && outcome !== null && outcome.rows.length > 0;
  return {
    shell: shellOf(deps, 'worklog', 'What was done before? Fires and work from a table'),
    form: {
      values: {
        text: sent?.text ?? '',
        propertyId: sent?.propertyId ?? '',
        noWorkReason: sent?.noWorkReason ?? '',
      },
      problems: outcome?.problems ?? [],
    },
    properties: [
      { key: '', name: 'all properties' },
      ...properties.map((one) => ({ key: String(one.id), name: one.name })),
    ],
    hasUnits: units.length > 0,
    notes: outcome?.notes ?? [],
    preview: isRead ? previewOf(outcome.rows, sent) : null,
    taken: outcome?.taken ?? null,
  };
}
