import { changedColumns, type RowChange, type StoredRow } from '../../core/change-log.ts';
import type { Noun, RowId } from '../../core/records.ts';
import type { RecordLand } from '../forms/records/descriptor.ts';
import { kindOfNoun, nounWords, type RecordKind } from '../forms/records/kinds.ts';
import { compared, rowPath } from './records.ts';

/** Reference tables by the name that rows of them are stored under. */
const libraryNouns: Readonly<Record<string, Noun>> = {
  communities: 'community',
  treatments: 'treatment',
  sequences: 'sequence',
  noWork: 'noWork',
  prescriptions: 'prescription',
  lineKinds: 'lineKind',
};

/** Tables whose rows are one noun of the land each, with the noun. */
const landNouns: Readonly<Record<string, Noun>> = {
  landowner: 'landowner',
  property: 'property',
  unit: 'unit',
  block: 'block',
  line: 'line',
  crew: 'crew',
  gear: 'gear',
  holiday: 'holiday',
  approval: 'approval',
  station: 'station',
};

/** What a row of a table is, for tables without forms of their own. */
const tableWords: Readonly<Record<string, string>> = {
  anchor_year: 'day of a year',
  line_unit: 'unit on a line',
  neighbour: 'pair of neighbors',
  work_entry: 'entry of the work log',
  work_detail: 'details of an entry',
  work_photo: 'photo',
  entry_version: 'earlier version of an entry',
  held_dates: 'held dates',
  setting: 'settings',
  entered_fit_days: 'fit days of a month',
  retired: 'out of use',
  own_feed: 'feed of our own',
  county_switch: 'county switch',
  go_no_go: 'go/no-go list',
  smoke_rule: 'smoke category',
  forecast_service: 'forecast service',
  account: 'account',
  account_property: 'property of an account',
};

/** Names of columns as the forms say them, where the column's own words do not do. */
const columnWords: Readonly<Record<string, string>> = {
  area_acres: 'Acres',
  crew_days: 'Crew days',
  person_hours: 'Person-hours',
  money_usd: 'Money, dollars',
  done_on: 'Last day',
  started_on: 'First day',
  signed_out_on: 'Signed out on',
  share_black_percent: 'Share black, percent',
  treatment_key: 'Treatment',
  unit_id: 'Unit',
  property_id: 'Property',
  block_id: 'Block',
  crew_id: 'Crew',
  landowner_id: 'Landowner',
  neighbour_rule: 'Rule of neighbors',
  cost_per_day_usd: 'Cost a day, dollars',
  weights: 'Weights',
};

export interface ChangedField {
  label: string;
  before: string;
  after: string;
}

export interface ChangeLine {
  id: number;
  /** What kind of row, and its name. */
  what: string;
  name: string;
  /** Its form, where it has one and is there. */
  path: string | null;
  did: 'added' | 'changed' | 'removed';
  fields: ChangedField[];
}

const camel = (column: string) =>
  column.replaceAll(/_([a-z])/g, (_, letter: string) => letter.toUpperCase());

/** A stored row with the names and parts of a row of the program. */
function partsOf(stored: StoredRow): Record<string, unknown> {
  return Object.fromEntries(
    Object.entries(stored).map(([column, value]) => {
      const isJson = typeof value === 'string' && /^[[{]/.test(value);
      return [camel(column), isJson ? JSON.parse(value) : value];
    }),
  );
}

/** Noun of a row; null for rows that have no form. */
export function nounOf({ table, before, after }: RowChange): Noun | null {
  const row = after ?? before ?? {};
  if (table === 'land_record') return row['kind'] as Noun;
  if (table === 'library_override') return libraryNouns[String(row['kind'])] ?? null;
  return landNouns[table] ?? null;
}

/** The row of a noun that a stored one stands for; null where a form shows more than the row holds. */
function rowOf(table: string, stored: StoredRow): object | null {
  const content = () => JSON.parse(String(stored['content'])) as object;
  if (table === 'land_record') return { id: stored['id'], ...content() };
  if (table === 'library_override') return content();
  const parts = partsOf(stored);
  if (table === 'approval') return { ...parts, from: parts['fromOn'], until: parts['untilOn'] };
  const hasAll = ['landowner', 'unit', 'block', 'crew', 'gear', 'holiday'].includes(table);
  return hasAll ? parts : null;
}

/** How a form shows a row; null where it can not, such as a row from before a field was added. */
function formOf(kind: RecordKind | null, table: string, stored: StoredRow, land: RecordLand) {
  const row = rowOf(table, stored);
  try {
    return kind && row ? kind.shown(row, land) : null;
  } catch {
    return null;
  }
}

/** Longest value that a list shows whole. */
const valueMost = 160;

function cut(text: string): string {
  return text.length > valueMost ? `${text.slice(0, valueMost)} …` : text;
}

/** Names in place of numbers. */
function namesOf(land: RecordLand): (column: string, value: unknown) => string | null {
  const { units, properties, blocks, crews, landowners, treatments } = land.operation;
  const codeIn =
    (rows: readonly { id: number; code?: string; name: string }[]) => (value: unknown) => {
      const row = rows.find(({ id }) => id === value);
      return row ? (row.code ?? row.name) : null;
    };
  const byColumn: Record<string, (value: unknown) => string | null> = {
    unit_id: codeIn(units),
    unit_a: codeIn(units),
    unit_b: codeIn(units),
    property_id: codeIn(properties),
    block_id: codeIn(blocks),
    crew_id: codeIn(crews),
    landowner_id: codeIn(landowners),
    treatment_key: (value) => treatments.find(({ key }) => key === value)?.name ?? null,
  };
  return (column, value) => byColumn[column]?.(value) ?? null;
}

function valueWords(land: RecordLand, column: string, value: string | number | null): string {
  if (value === null || value === '') return '';
  if (column.startsWith('is_') || column.startsWith('has_') || column.startsWith('may_'))
    return value === 1 ? 'yes' : 'no';
  return cut(namesOf(land)(column, value) ?? String(value));
}

function columnLabel(column: string): string {
  const words = columnWords[column] ?? column.replaceAll('_', ' ');
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}`;
}

function plainFields(change: RowChange, land: RecordLand): ChangedField[] {
  return changedColumns(change)
    .filter((column) => column !== 'id')
    .map((column) => ({
      label: columnLabel(column),
      before: valueWords(land, column, change.before?.[column] ?? null),
      after: valueWords(land, column, change.after?.[column] ?? null),
    }))
    .filter(({ before, after }) => before !== '' || after !== '');
}

/** A name for a row that no form names. */
function plainName(change: RowChange, land: RecordLand): string {
  const row = change.after ?? change.before ?? {};
  const names = namesOf(land);
  const name = (column: string) => names(column, row[column]) ?? '';
  if (change.table === 'work_entry')
    return [name('treatment_key') || row['treatment_key'], name('unit_id'), row['done_on']]
      .filter(Boolean)
      .join(', ');
  if (change.table === 'retired') return `${row['noun']} ${row['row_id'] || ''}`.trim();
  if (change.table === 'neighbour') return `${name('unit_a')} and ${name('unit_b')}`;
  const named = row['name'] ?? row['title'] ?? row['task_key'] ?? row['code'];
  return String(named ?? (name('unit_id') || (row['entry_id'] ?? '')));
}

/** Id of a row at the address of its form. */
function idOf({ table, key, before, after }: RowChange): RowId {
  const row = after ?? before ?? {};
  if (table === 'library_override') return String(row['key']);
  if (table === 'approval') return key.join('|');
  if (table === 'station') return String(row['name']);
  return key[0] ?? '';
}

/** Where a row is seen; null where it has no page or is not in use. */
function pathOf(change: RowChange, kind: RecordKind | null, land: RecordLand): string | null {
  const { table, after } = change;
  if (after === null) return null;
  if (table === 'unit' && land.operation.units.some(({ id }) => id === change.key[0]))
    return `/units/${change.key[0]}`;
  const id = idOf(change);
  if (kind) return kind.find(land, String(id)) ? rowPath(kind, id) : null;
  const unitId = after['unit_id'];
  if (table === 'work_entry' && land.operation.units.some((unit) => unit.id === unitId))
    return `/units/${unitId}`;
  return table === 'setting' ? '/settings' : null;
}

/** A change in the words of the form of its row where it has one, else by its columns. */
export function changeLine(change: RowChange, land: RecordLand): ChangeLine {
  const noun = nounOf(change);
  const kind = noun && kindOfNoun(noun);
  const { id, table, before, after } = change;
  const left = before && formOf(kind, table, before, land);
  const right = after && formOf(kind, table, after, land);
  const isForm = kind && (before === null || left) && (after === null || right);
  const fields = isForm
    ? compared(kind, land, left?.values ?? {}, right?.values ?? {})
        .filter(({ isSame }) => !isSame)
        .map((field) => ({ label: field.label, before: cut(field.left), after: cut(field.right) }))
    : plainFields(change, land);
  return {
    id,
    what: noun ? nounWords(noun) : (tableWords[table] ?? table.replaceAll('_', ' ')),
    name: (right ?? left)?.name ?? plainName(change, land),
    path: pathOf(change, kind, land),
    did: before === null ? 'added' : after === null ? 'removed' : 'changed',
    fields,
  };
}

/** Table and key that the rows of a noun are logged under; null for nouns that are not known by their id there. */
export function loggedAs(
  noun: Noun,
  id: RowId,
): { table: string; key: (string | number)[] } | null {
  const library = Object.entries(libraryNouns).find(([, one]) => one === noun);
  if (library) return { table: 'library_override', key: [library[0], String(id)] };
  if (noun === 'station') return null;
  if (noun === 'approval') {
    const [key = '', unitId, from = ''] = String(id).split('|');
    return { table: 'approval', key: [key, Number(unitId), from] };
  }
  return { table: Object.hasOwn(landNouns, noun) ? noun : 'land_record', key: [id] };
}
