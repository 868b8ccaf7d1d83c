import {
  type ChangeFilter,
  type ChangeGroup,
  everyChange,
  groupsPerPage,
  isSameRow,
  type RowChange,
  type RowKey,
  removedKeptDays,
} from '../../core/change-log.ts';
import type { Problem } from '../../core/problems.ts';
import type { Noun, RowId } from '../../core/records.ts';
import type { Deps } from '../deps.ts';
import { instant } from '../words.ts';
import { type ChangeLine, changeLine, loggedAs } from './change-words.ts';
import type { Paged } from './paging.ts';
import { recordLandOf } from './records.ts';
import { type Shell, shellOf } from './shell.ts';

/** A group of changes as a list shows it. */
export interface GroupLine {
  id: number;
  at: string;
  who: string;
  what: string;
  /** Where nothing was said: the first row. */
  title: string;
  lines: (ChangeLine & { undoPath: string | null; changesPath: string })[];
  /** Rows that the list leaves off. */
  moreCount: number;
  /** Set where all of it can be taken back together. */
  undoPath: string | null;
}

export interface ChangesPage {
  shell: Shell;
  query: { person: string; from: string; until: string; property: string };
  /** The one row that is asked for. */
  row: { what: string; name: string; table: string; key: string } | null;
  people: { key: string; name: string }[];
  properties: { key: string; name: string }[];
  groups: GroupLine[];
  paged: Paged<GroupLine>;
  pagePath: string;
  removedDays: number;
}

type Query = Record<string, string | undefined>;

/** Nobody was signed in. */
export const noPerson = 'this computer';

export function changesPath(table: string, key: RowKey): string {
  return `/changes?${new URLSearchParams({ table, key: JSON.stringify(key) })}`;
}

const dayIn = (text: string | undefined): string | null =>
  /^\d{4}-\d{2}-\d{2}$/.test(text ?? '') ? (text ?? null) : null;

function keyIn(text: string | undefined): RowKey | null {
  try {
    const key: unknown = JSON.parse(text ?? '');
    const isPart = (part: unknown) => typeof part === 'string' || typeof part === 'number';
    return Array.isArray(key) && key.every(isPart) ? (key as RowKey) : null;
  } catch {
    return null;
  }
}

function filterOf(raw: Query): ChangeFilter {
  const key = keyIn(raw['key']);
  const property = Number(raw['property']);
  return {
    table: key === null ? null : (raw['table'] ?? null),
    key: raw['table'] === undefined ? null : key,
    person: raw['person'] === noPerson ? '' : raw['person'] || null,
    from: dayIn(raw['from']),
    until: dayIn(raw['until']),
    propertyIds: Number.isInteger(property) && property > 0 ? [property] : null,
  };
}

function groupLine(deps: Deps, group: ChangeGroup): GroupLine {
  const land = recordLandOf(deps);
  // A row that was taken back to what an older change left can go back further.
  const isStill = (change: RowChange) => isSameRow(deps.changeLog.present(change), change.after);
  const mayUndo = (changes: readonly RowChange[]) =>
    changes.length > 0 && deps.changeLog.mayUndo(changes) && changes.every(isStill);
  const isOne = group.rowCount === 1;
  const [first] = group.changes;
  const row = first && changeLine(first, land);
  return {
    title: row ? `${row.what} ${row.name}, ${row.did}` : 'A change',
    id: group.id,
    at: instant(group.at),
    who: group.person ?? noPerson,
    what: group.what,
    lines: group.changes.map((change) => ({
      ...changeLine(change, land),
      undoPath: !isOne && mayUndo([change]) ? `/changes/rows/${change.id}/undo` : null,
      changesPath: changesPath(change.table, change.key),
    })),
    moreCount: group.rowCount - group.changes.length,
    undoPath: mayUndo(group.changes) ? `/changes/${group.id}/undo` : null,
  };
}

/** The log of changes, narrowed by row, person, span and property. */
export function changesPage(deps: Deps, raw: Query): ChangesPage {
  const filter = filterOf(raw);
  const asked = /^\d{1,6}$/.test(raw['page'] ?? '') ? Math.max(1, Number(raw['page'])) : 1;
  let { groups, total } = deps.changeLog.list(filter, asked);
  const pageCount = Math.max(1, Math.ceil(total / groupsPerPage));
  const page = Math.min(asked, pageCount);
  if (page !== asked) ({ groups, total } = deps.changeLog.list(filter, page));
  const lines = groups.map((group) => groupLine(deps, group));
  const { person = '', from = '', until = '', property = '' } = raw;
  const query = { person, from, until, property };
  const row = filter.table === null || filter.key === null ? null : filter;
  const line = row && lines[0]?.lines[0];
  const search = new URLSearchParams({
    ...query,
    ...(row ? { table: row.table ?? '', key: JSON.stringify(row.key) } : {}),
  });
  return {
    shell: shellOf(deps, 'more', 'What was changed?'),
    query,
    row: row && {
      what: line?.what ?? 'row',
      name: line?.name ?? '',
      table: row.table ?? '',
      key: JSON.stringify(row.key),
    },
    people: [noPerson, ...deps.changeLog.people()].map((name) => ({ key: name, name })),
    properties: deps.operation().properties.map(({ id, name }) => ({ key: String(id), name })),
    groups: lines,
    paged: { rows: lines, page, pageCount, total },
    pagePath: `/changes?${search}&`,
    removedDays: removedKeptDays,
  };
}

/** A row as its last change left it beside what it is now, and what it would be. */
export interface UndoLine extends ChangeLine {
  /** Set where the row was changed since: what it holds now. */
  now: ChangeLine['fields'] | null;
}

export interface UndoPage {
  shell: Shell;
  path: string;
  group: { at: string; who: string; what: string };
  /** From what is there now to what it would be. */
  lines: UndoLine[];
  isChangedSince: boolean;
  mayUndo: boolean;
  problems: Problem[];
  breaks: Problem[];
}

/** The question before changes are taken back. */
export function undoPage(
  deps: Deps,
  group: ChangeGroup,
  path: string,
  outcome: { problems?: Problem[]; breaks?: Problem[] },
): UndoPage {
  const land = recordLandOf(deps);
  const lines = group.changes.map((change): UndoLine => {
    const now = deps.changeLog.present(change);
    const isSame = isSameRow(now, change.after);
    const back = changeLine({ ...change, before: change.after, after: change.before }, land);
    const since = isSame ? null : changeLine({ ...change, before: change.after, after: now }, land);
    return { ...back, now: since?.fields ?? null };
  });
  return {
    shell: shellOf(deps, 'more', 'Take this back?'),
    path,
    group: { at: instant(group.at), who: group.person ?? noPerson, what: group.what },
    lines,
    isChangedSince: lines.some(({ now }) => now !== null),
    mayUndo: deps.changeLog.mayUndo(group.changes),
    problems: outcome.problems ?? [],
    breaks: outcome.breaks ?? [],
  };
}

/** Tables whose rows stand for themselves; the others come back with what they hang on, or from the log. */
const removedTables = new Set([
  'work_entry',
  'work_photo',
  'approval',
  'own_feed',
  'smoke_rule',
  'land_record',
  'library_override',
  'county_switch',
  'holiday',
  'gear',
  'crew',
  'unit',
  'block',
  'line',
  'property',
  'landowner',
  'station',
]);

export interface RemovedPage {
  shell: Shell;
  days: number;
  rows: { what: string; name: string; day: string; who: string; undoPath: string }[];
}

/** What was removed in the days for which it is kept, to bring back. */
export function removedPage(deps: Deps): RemovedPage {
  const land = recordLandOf(deps);
  const rows = deps.changeLog.removed().filter(({ table }) => removedTables.has(table));
  return {
    shell: shellOf(deps, 'more', `Removed in the last ${removedKeptDays} days`),
    days: removedKeptDays,
    rows: rows
      .filter((row) => deps.changeLog.mayUndo([row]))
      .map((row) => {
        const { what, name } = changeLine(row, land);
        const who = row.person ?? noPerson;
        const undoPath = `/changes/rows/${row.id}/undo`;
        return { what, name, day: instant(row.at), who, undoPath };
      }),
  };
}

/** The newest changes of a row for its own page; `path` leads to all of them. */
export interface RowChanges {
  groups: GroupLine[];
  path: string;
  total: number;
}

/** Changes that a row's own page shows. */
const shownOfRow = 3;

export function rowChanges(deps: Deps, noun: Noun, id: RowId): RowChanges | null {
  const place = loggedAs(noun, id);
  if (!place) return null;
  const { groups, total } = deps.changeLog.list({ ...everyChange, ...place }, 1);
  if (total === 0) return null;
  const lines = groups.slice(0, shownOfRow).map((group) => groupLine(deps, group));
  return { groups: lines, path: changesPath(place.table, place.key), total };
}
