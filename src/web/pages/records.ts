import type { Problem } from '../../core/problems.ts';
import type { RetiredRow } from '../../core/records.ts';
import type { Source } from '../../core/sources.ts';
import type { Deps } from '../deps.ts';
import type { FormState } from '../forms/form.ts';
import type {
  Fold,
  Option,
  RearrangeButton,
  RecordField,
  RecordLand,
  Values,
} from '../forms/records/descriptor.ts';
import {
  type FormRow,
  type ListedRow,
  markOf,
  nounWords,
  type RecordKind,
  recordKinds,
} from '../forms/records/kinds.ts';
import { listIn } from '../forms/records/values.ts';
import { type Paged, paged } from './paging.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf, todayOf } from './shell.ts';

/** Boxes to tick up to here; more are typed as a list of codes. */
const boxesMost = 40;

export function recordLandOf(deps: Deps): RecordLand {
  return {
    operation: deps.operation(),
    stations: deps.weather.places(),
    today: todayOf(deps),
  };
}

const capital = (text: string) => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

export const listPath = (kind: RecordKind): string => `/records/${kind.path}`;
export const rowPath = (kind: RecordKind, id: string | number): string =>
  `${listPath(kind)}/${encodeURIComponent(String(id))}`;

export interface RecordGroupLinks {
  name: string;
  kinds: { name: string; path: string; count: number; purpose: string }[];
}

/** Every noun with how many rows it has, by group. */
export function recordGroupLinks(deps: Deps): RecordGroupLinks[] {
  const land = recordLandOf(deps);
  const groups = [...new Set(recordKinds.map(({ group }) => group))];
  return groups.map((name) => ({
    name,
    kinds: recordKinds
      .filter(({ group }) => group === name)
      .map((kind) => ({
        name: capital(kind.many),
        path: listPath(kind),
        count: kind.count(land),
        purpose: kind.purpose,
      })),
  }));
}

/** What a list is narrowed to and sorted by; empty text = all, in the order of the first column. */
export interface RecordQuery {
  q: string;
  property: string;
  sort: string;
  isDown: boolean;
  page: string;
  /** Row that was just saved. */
  saved: string;
}

export function recordQuery(
  kind: RecordKind,
  raw: Record<string, string | undefined>,
): RecordQuery {
  const value = (name: string) => (raw[name] ?? '').slice(0, 120).trim();
  const known = kind.columns.some(({ key }) => key === raw['sort']);
  return {
    q: value('q'),
    property: value('property'),
    sort: known ? value('sort') : (kind.columns[0]?.key ?? ''),
    isDown: raw['down'] === 'yes',
    page: value('page'),
    saved: value('saved'),
  };
}

function pathWith(kind: RecordKind, query: RecordQuery, change: Partial<RecordQuery>): string {
  const { q, property, sort, isDown } = { ...query, ...change };
  const parts = Object.entries({
    q,
    property,
    sort: sort === kind.columns[0]?.key ? '' : sort,
    down: isDown ? 'yes' : '',
  }).filter(([, value]) => value !== '');
  const search = new URLSearchParams(parts).toString();
  return search === '' ? listPath(kind) : `${listPath(kind)}?${search}`;
}

function matches(row: ListedRow, query: RecordQuery): boolean {
  const wanted = query.q.toLowerCase();
  const isOfProperty = query.property === '' || String(row.propertyId) === query.property;
  return (
    isOfProperty &&
    (wanted === '' || row.cells.some(({ text }) => text.toLowerCase().includes(wanted)))
  );
}

/** Numbers by size, else text in the order of a person; blank comes last either way. */
function inOrder(kind: RecordKind, query: RecordQuery): (a: ListedRow, b: ListedRow) => number {
  const at = kind.columns.findIndex(({ key }) => key === query.sort);
  const isNumber = kind.columns[at]?.isNumber ?? false;
  const turn = query.isDown ? -1 : 1;
  return (a, b) => {
    const [one, other] = [a.cells[at], b.cells[at]];
    if (!one || !other) return 0;
    const isBlank = isNumber ? one.number === null : one.text === '';
    const isOtherBlank = isNumber ? other.number === null : other.text === '';
    if (isBlank || isOtherBlank) return Number(isBlank) - Number(isOtherBlank);
    return isNumber
      ? turn * ((one.number ?? 0) - (other.number ?? 0))
      : turn * one.text.localeCompare(other.text, 'en', { numeric: true });
  };
}

export interface RecordListPage {
  shell: Shell;
  one: string;
  many: string;
  purpose: string;
  path: string;
  /** Null where no rows can be added. */
  newPath: string | null;
  query: RecordQuery;
  total: number;
  found: number;
  properties: { name: string; count: number; path: string; isOn: boolean }[];
  columns: {
    label: string;
    isNumber: boolean;
    path: string;
    order: 'ascending' | 'descending' | null;
  }[];
  rows: { path: string; name: string; cells: string[] }[];
  paged: Paged<ListedRow>;
  pagePath: string;
  saved: { name: string; path: string } | null;
}

/** The rows of a noun, filtered and sorted. */
export function recordListPage(deps: Deps, kind: RecordKind, query: RecordQuery): RecordListPage {
  const land = recordLandOf(deps);
  const all = kind.list(land);
  const found = all.filter((row) => matches(row, query)).sort(inOrder(kind, query));
  const shown = paged(found, query.page);
  const link = (name: string, property: string) => ({
    name,
    count: all.filter((row) => matches(row, { ...query, property })).length,
    path: pathWith(kind, query, { property }),
    isOn: query.property === property,
  });
  const names = kind.hasProperties ? land.operation.properties : [];
  const pagePath = pathWith(kind, query, {});
  const saved = query.saved === '' ? null : kind.find(land, query.saved);
  return {
    shell: shellOf(deps, 'more', capital(kind.many)),
    one: kind.one,
    many: kind.many,
    purpose: kind.purpose,
    path: listPath(kind),
    newPath: kind.isFixedSet ? null : `${listPath(kind)}/new`,
    query,
    total: all.length,
    found: found.length,
    properties:
      names.length < 2
        ? []
        : [link('all', ''), ...names.map(({ id, name }) => link(name, String(id)))],
    columns: kind.columns.map(({ key, label, isNumber }) => {
      const isOn = query.sort === key;
      return {
        label,
        isNumber,
        path: pathWith(kind, query, { sort: key, isDown: isOn && !query.isDown }),
        order: isOn ? (query.isDown ? 'descending' : 'ascending') : null,
      };
    }),
    rows: shown.rows.map(({ id, name, cells, path }) => ({
      path: path ?? rowPath(kind, id),
      name,
      cells: cells.map(({ text }) => text),
    })),
    paged: shown,
    pagePath: `${pagePath}${pagePath.includes('?') ? '&' : '?'}`,
    saved: saved && { name: saved.name, path: rowPath(kind, saved.id) },
  };
}

/** A field as the form draws it. */
export interface FieldView {
  key: string;
  label: string;
  heading: string | null;
  hint: string | null;
  shape: 'line' | 'lines' | 'select' | 'boxes' | 'box' | 'fixed' | 'hidden';
  type: 'text' | 'number' | 'date' | 'textarea' | null;
  options: Option[] | null;
  ticked: string[];
  isRequired: boolean;
  /** What a fixed field says. */
  words: string;
  source: string | null;
  /** As published, where the form says otherwise. */
  published: string | null;
}

/** A part of a form under one heading, or folded up. */
export interface FormSection {
  buttonsBefore: RearrangeButton[];
  heading: string | null;
  fold: Fold | null;
  isOpen: boolean;
  /** A legend makes a group side by side; blank = without words, null = one below the other. */
  sets: { legend: string | null; fields: FieldView[] }[];
}

const lineTypes = { number: 'number', whole: 'number', day: 'date' } as const;

function shapeOf(field: RecordField, options: readonly Option[]): FieldView['shape'] {
  switch (field.kind) {
    case 'one-of':
      return 'select';
    case 'many-of':
      return 'boxes';
    case 'units':
      return field.isOrdered || options.length === 0 || options.length > boxesMost
        ? 'lines'
        : 'boxes';
    case 'yes-no':
      return 'box';
    case 'hidden':
      return 'hidden';
    case 'text-lines':
    case 'spans':
      return 'lines';
    default:
      return 'line';
  }
}

/** What a select offers: the list, what is stored if it is not in it, and nothing where that is allowed. */
function selectOptions(field: RecordField, options: Option[], value: string): Option[] {
  const isListed = options.some(({ key }) => key === value);
  if (value !== '' && !isListed) options = [...options, { key: value, name: value }];
  if (field.isNeverBlank || (field.isRequired && value !== '')) return options;
  return [{ key: '', name: field.isRequired ? 'choose' : 'none' }, ...options];
}

function fieldView(
  field: RecordField,
  land: RecordLand,
  values: Values,
  isNew: boolean,
  published: Values | null,
): FieldView {
  const value = values[field.key] ?? '';
  const options = field.options?.(land, values) ?? [];
  const shape = field.isFixed && !isNew ? 'fixed' : shapeOf(field, options);
  const source = field.source?.(land, values) ?? null;
  const isPublished = published?.[field.key] !== undefined && field.kind !== 'hidden';
  const asPublished = published && isPublished ? wordsOf(field, land, published) : null;
  return {
    key: field.key,
    label: field.label,
    heading: field.heading ?? null,
    hint:
      field.hint ??
      (field.kind === 'units' && shape === 'lines' ? 'Codes, with commas between.' : null),
    shape,
    type:
      shape === 'lines' ? 'textarea' : (lineTypes[field.kind as keyof typeof lineTypes] ?? null),
    options: shape === 'select' ? selectOptions(field, options, value) : options,
    ticked: shape === 'boxes' ? listIn(values, field.key) : [],
    // A browser can not point at a blank field that is folded up.
    isRequired: (field.isRequired ?? false) && field.within === undefined,
    words: options.find(({ key }) => key === value)?.name ?? value,
    source: source && sourceWords(source),
    published:
      asPublished === null || asPublished === wordsOf(field, land, values)
        ? null
        : asPublished || 'blank',
  };
}

/** The fields in parts, as their headings, folds and legends divide them; a part with a problem is open. */
function sectionsOf(
  fields: readonly RecordField[],
  view: (field: RecordField) => FieldView,
  problems: readonly Problem[],
  open: string,
): FormSection[] {
  const sections: FormSection[] = [];
  const foldCount = fields.filter(({ fold }) => fold).length;
  for (const field of fields) {
    if (sections.length === 0 || field.heading || field.fold)
      sections.push({
        buttonsBefore: field.buttonsBefore ?? [],
        heading: field.heading ?? null,
        fold: field.fold ?? null,
        isOpen: field.fold !== undefined && (field.fold.key === open || foldCount === 1),
        sets: [],
      });
    const section = sections.at(-1);
    if (field.legend !== undefined || section?.sets.length === 0)
      section?.sets.push({ legend: field.legend ?? null, fields: [] });
    section?.sets.at(-1)?.fields.push(view(field));
    if (section && problems.some((problem) => problem.field === field.key)) section.isOpen = true;
  }
  return sections;
}

/** Two versions of a field side by side. */
export interface ComparedField {
  label: string;
  left: string;
  right: string;
  isSame: boolean;
}

function wordsOf(field: RecordField, land: RecordLand, values: Values): string {
  const value = values[field.key] ?? '';
  if (field.kind === 'yes-no') return value === 'yes' ? 'yes' : 'no';
  if (field.kind !== 'one-of' && field.kind !== 'many-of') return value;
  const options = field.options?.(land, values) ?? [];
  const picked = listIn(values, field.key);
  const names = options.filter(({ key }) => picked.includes(key)).map(({ name }) => name);
  const unlisted = picked.filter((key) => !options.some((option) => option.key === key));
  return [...names, ...unlisted].join(', ');
}

/** All fields with both versions; those that differ come first. */
export function compared(
  kind: RecordKind,
  land: RecordLand,
  left: Values,
  right: Values,
): ComparedField[] {
  const fields = new Map(
    [...kind.fieldsOf(left), ...kind.fieldsOf(right)].map((field) => [field.key, field]),
  );
  return [...fields.values()]
    .filter(({ kind: shape }) => shape !== 'hidden')
    .map((field) => {
      const [one, other] = [wordsOf(field, land, left), wordsOf(field, land, right)];
      const label = field.within ? `${field.within}, ${field.label}` : field.label;
      return { label, left: one, right: other, isSame: one === other };
    })
    .sort((a, b) => Number(a.isSame) - Number(b.isSame));
}

export interface RecordFormPage {
  shell: Shell;
  one: string;
  many: string;
  listPath: string;
  /** Where the form goes. */
  path: string;
  isNew: boolean;
  sections: FormSection[];
  /** Long forms have buttons inside, so Save comes first. */
  hasFolds: boolean;
  form: FormState;
  /** Mark of the values that the form was made from. */
  was: string;
  source: string | null;
  links: { path: string; words: string }[];
  retirePath: string | null;
  /** Set where something differs from what was published. */
  defaultPath: string | null;
  partial: string | null;
  /** Stored by somebody else meanwhile, beside what was typed. */
  conflict: ComparedField[] | null;
  /** Planned tasks that would break rules. */
  breaks: Problem[];
  /** Set where the form can not be made yet: what has to be there first. */
  needs: { words: string; path: string; link: string } | null;
}

export interface FormOutcome {
  values: Values;
  /** Mark that the form carries on; without it that of the row. */
  was?: string;
  /** Key of the fold to show open. */
  open?: string;
  problems?: Problem[];
  isConflict?: boolean;
  breaks?: Problem[];
}

const needsProperty = {
  words: 'There is no property yet.',
  path: '/land/start',
  link: 'Start with your own land',
};

/** The form of a row, or of a new one where `row` is null; `outcome` = as it was sent and what became of it. */
export function recordFormPage(
  deps: Deps,
  kind: RecordKind,
  row: FormRow | null,
  outcome: FormOutcome,
): RecordFormPage {
  const land = recordLandOf(deps);
  const { values } = outcome;
  const isNew = row === null;
  const source: Source | null = row?.source ?? null;
  const published = row && kind.published(deps, land, String(row.id));
  const isChanged = row !== null && published !== null && markOf(row.values) !== markOf(published);
  const beside = published && kind.alongside(published, values);
  const fields = kind.fieldsOf(values);
  const path = isNew ? `${listPath(kind)}/new` : rowPath(kind, row.id);
  return {
    shell: shellOf(deps, 'more', isNew ? `New ${kind.one}` : `${capital(kind.one)}: ${row.name}`),
    one: kind.one,
    many: kind.many,
    listPath: listPath(kind),
    path,
    isNew,
    sections: sectionsOf(
      fields,
      (field) => fieldView(field, land, values, isNew, beside),
      outcome.problems ?? [],
      outcome.open ?? '',
    ),
    hasFolds: fields.some(({ fold }) => fold),
    form: { values, problems: outcome.problems ?? [] },
    was: outcome.was ?? (isNew ? '' : markOf(row.values)),
    source: source && sourceWords(source),
    links: row?.links ?? [],
    retirePath: isNew || kind.isFixedSet ? null : `${path}/retire`,
    defaultPath: isChanged ? `${path}/default` : null,
    partial: kind.partial,
    conflict: outcome.isConflict && row !== null ? compared(kind, land, row.values, values) : null,
    breaks: outcome.breaks ?? [],
    needs: kind.hasProperties && land.operation.properties.length === 0 ? needsProperty : null,
  };
}

export interface RecordAskPage {
  shell: Shell;
  /** Address of the row; the answer goes to `path`. */
  rowPath: string;
  path: string;
  what: 'retire' | 'default';
  one: string;
  note: string;
  problems: Problem[];
  breaks: Problem[];
  /** Now, and as published. */
  compared: ComparedField[];
}

/** The question before a row goes out of use, or back to its default. */
export function recordAskPage(
  deps: Deps,
  kind: RecordKind,
  row: FormRow,
  what: RecordAskPage['what'],
  outcome: { problems?: Problem[]; breaks?: Problem[] } = {},
): RecordAskPage {
  const land = recordLandOf(deps);
  const title =
    what === 'retire' ? `Take ${row.name} out of use?` : `Take ${row.name} back to the default?`;
  const published = kind.published(deps, land, String(row.id));
  return {
    shell: shellOf(deps, 'more', title),
    rowPath: rowPath(kind, row.id),
    path: `${rowPath(kind, row.id)}/${what}`,
    what,
    one: kind.one,
    note: kind.retireNote,
    problems: outcome.problems ?? [],
    breaks: outcome.breaks ?? [],
    compared:
      what === 'default' && published
        ? compared(kind, land, row.values, kind.alongside(published, row.values))
        : [],
  };
}

export interface RetiredPage {
  shell: Shell;
  problems: Problem[];
  rows: { noun: string; id: string; name: string; what: string; day: string }[];
}

function retiredLine({ noun, id, name, retiredAt }: RetiredRow): RetiredPage['rows'][number] {
  return {
    noun,
    id: String(id),
    name,
    what: nounWords(noun),
    day: retiredAt.slice(0, 10),
  };
}

/** Rows out of use, to bring back. */
export function retiredPage(deps: Deps, problems: Problem[] = []): RetiredPage {
  return {
    shell: shellOf(deps, 'more', 'What is out of use?'),
    problems,
    rows: deps.records.retired().map(retiredLine),
  };
}
