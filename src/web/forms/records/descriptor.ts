import type { IsoDate } from '../../../core/dates.ts';
import type { Operation } from '../../../core/operation.ts';
import type { Outcome } from '../../../core/problems.ts';
import type { Noun, RecordRows, RowId } from '../../../core/records.ts';
import type { Source } from '../../../core/sources.ts';
import type { Station } from '../../../core/weather/history.ts';

/** Text of a form by field; boxes that are ticked and codes of a list are joined with commas. */
export type Values = Record<string, string>;

/** What rows and their forms are made from. */
export interface RecordLand {
  operation: Operation;
  stations: Station[];
  today: IsoDate;
}

export interface Option {
  key: string;
  name: string;
}

/**
 * `text` one line; `text-lines` many; `whole` a whole number; `month-day` `MM-DD`; `spans` one span of days a line;
 * `many-of` boxes to tick; `units` boxes, or a list of codes where there are many or their order counts;
 * `yes-no` one box; `hidden` goes along unseen.
 */
export type FieldKind =
  | 'text'
  | 'text-lines'
  | 'number'
  | 'whole'
  | 'day'
  | 'month-day'
  | 'spans'
  | 'one-of'
  | 'many-of'
  | 'units'
  | 'yes-no'
  | 'hidden';

/** A button inside a form: the form is shown again with its rows in another order, more of them or fewer. */
export interface RearrangeButton {
  action: string;
  words: string;
}

/** A part of a form that is folded up until it is opened. */
export interface Fold {
  key: string;
  title: string;
  buttons: RearrangeButton[];
}

export interface RecordField {
  key: string;
  /** With its unit after a comma: "Length, feet". */
  label: string;
  kind: FieldKind;
  /** Begins a part of the form with this heading. */
  heading?: string;
  /** Begins a folded part, up to the next one or the next heading. */
  fold?: Fold;
  /** Begins a group of fields side by side with this name; blank = without a name; null ends it. */
  legend?: string | null;
  /** Said before the label where the field is named away from its place. */
  within?: string;
  /** Above its heading. */
  buttonsBefore?: RearrangeButton[];
  hint?: string;
  isRequired?: boolean;
  /** Of one-of: there is no blank one, the first stands for it. */
  isNeverBlank?: boolean;
  /** The row is known by it: only a new row has it typed. */
  isFixed?: boolean;
  /** Of a number. */
  least?: number;
  most?: number;
  /** Of a day: today or earlier. */
  isPast?: boolean;
  /** Of units: the order counts, so they are typed. */
  isOrdered?: boolean;
  /** What can be picked, given the form as it stands. */
  options?(land: RecordLand, values: Values): Option[];
  /** What is wrong with the text beyond its kind, as the rest of a sentence after the label; null = nothing. */
  fault?(text: string, land: RecordLand, values: Values): string | null;
  /** Where the figure comes from, said under the field, when it differs from the row's own. */
  source?(land: RecordLand, values: Values): Source | null;
}

export interface RecordColumn<R> {
  key: string;
  label: string;
  text(row: R, land: RecordLand): string;
  /** Sorts and aligns as a number; null comes last. */
  number?(row: R): number | null;
}

/**
 * How the rows of a noun are listed and edited: plain data, and two functions that turn a row into the text of a form
 * and back.
 */
export interface Descriptor<N extends Noun> {
  noun: N;
  /** Last part of the address. */
  path: string;
  one: string;
  many: string;
  /** One line: what the rows are for. */
  purpose: string;
  group: RecordGroup;
  rows(land: RecordLand): RecordRows[N][];
  idOf(row: RecordRows[N]): RowId;
  nameOf(row: RecordRows[N], land: RecordLand): string;
  /** For the filter by property; left out where rows belong to none. */
  propertyIdOf?(row: RecordRows[N]): number | null;
  /** The first one is the link. */
  columns: RecordColumn<RecordRows[N]>[];
  fields: RecordField[];
  /** In place of `fields` where they hang on what the form holds, such as the number of steps. */
  fieldsOf?(values: Values): RecordField[];
  /** The form after one of its buttons, and the key of the fold to show open. */
  rearrange?(values: Values, action: string): { values: Values; open: string };
  /** The published row with its parts in the order of a form, to be shown beside it. */
  alongside?(published: Values, values: Values): Values;
  /** Text of the form for a new row. */
  blank(land: RecordLand): Values;
  valuesOf(row: RecordRows[N], land: RecordLand): Values;
  /** The row that sound values mean; `before` is null for a new one, and keeps what the form does not show. */
  rowOf(values: Values, land: RecordLand, before: RecordRows[N] | null): Outcome<RecordRows[N]>;
  /** The page that a row is changed on where it is not made here; null = here. */
  pathOf?(row: RecordRows[N]): string | null;
  /** Rows can be changed, but none added or taken out of use. */
  isFixedSet?: boolean;
  /** Where the row comes from; only for reference tables, which can go back to their default. */
  sourceOf?(row: RecordRows[N]): Source;
  /** Other pages about the row. */
  links?(row: RecordRows[N]): { path: string; words: string }[];
  /** Template above the fields, given the form page; for what fields can not show. */
  partial?: string;
  /** What else happens when a row goes out of use. */
  retireNote?: string;
}

export const recordGroups = [
  'Land',
  'Rights and dates',
  'People and gear',
  'What was seen',
  'Reference tables',
] as const;
export type RecordGroup = (typeof recordGroups)[number];
