import type { Database } from 'better-sqlite3';
import type { Readiness } from '../core/blocks.ts';
import { crewsOnSite } from '../core/bookings.ts';
import type { Crew } from '../core/crews.ts';
import type { DateRange } from '../core/dates.ts';
import type { Library } from '../core/library.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type {
  LandRows,
  LibraryNoun,
  LibraryRows,
  Noun,
  RetiredRow,
  RowId,
} from '../core/records.ts';
import { activeLand, usesOf } from '../core/retired.ts';
import type { ChangeKind } from './changes.ts';
import { type Repositories, readLand } from './land.ts';
import type { OverrideKind } from './library.ts';
import { rowKeepers } from './record-changes.ts';

/** Table of each noun of the reference rows. */
export const libraryKinds = {
  community: 'communities',
  treatment: 'treatments',
  sequence: 'sequences',
  noWork: 'noWork',
  prescription: 'prescriptions',
  lineKind: 'lineKinds',
} as const satisfies Record<LibraryNoun, OverrideKind>;

export function isLibraryNoun(noun: Noun): noun is LibraryNoun {
  return noun in libraryKinds;
}

const unknownRow: Problem = {
  code: 'row-unknown',
  message: 'This row is not on record any more.',
};

/** Named in problems, in the order in which a row waits for them. */
const nounWords: Partial<Record<Noun, string>> = {
  landowner: 'landowner',
  property: 'property',
  block: 'block',
  crew: 'crew',
  unit: 'unit',
};

/** Rows that a row of a noun hangs on: it can not be in use without them. */
function parentsOf(row: unknown, noun: Noun): [Noun, RowId][] {
  const ids = row as Record<string, unknown>;
  const parents: [Noun, string][] = [['property', 'propertyId']];
  if (noun === 'property') parents.push(['landowner', 'landownerId']);
  if (noun === 'unit') parents.push(['block', 'blockId']);
  if (noun === 'booking') parents.push(['crew', 'crewId']);
  if (noun === 'approval' || noun === 'visit' || noun === 'photoPoint')
    parents.push(['unit', 'unitId']);
  return parents.flatMap(([parent, field]): [Noun, RowId][] => {
    const id = ids[field];
    return typeof id === 'number' ? [[parent, id]] : [];
  });
}

function findRow(all: Repositories, library: Library, noun: Noun, id: RowId) {
  if (isLibraryNoun(noun)) {
    const rows: { key: string; name: string }[] = library[libraryKinds[noun]];
    const row = rows.find(({ key }) => key === id);
    return row ? { row, name: row.name, changeKind: 'rules' as const } : null;
  }
  return landRow(all, library, noun, id);
}

function landRow<N extends keyof LandRows>(
  all: Repositories,
  library: Library,
  noun: N,
  id: RowId,
) {
  const keeper = rowKeepers(all, library, () => true)[noun];
  const row = keeper.find(id);
  return row ? { row, name: keeper.name(row), changeKind: keeper.changeKind } : null;
}

/**
 * What the snapshot hides of a row because it is out of use stays with it: units of its list, the crew of a person,
 * people in burn roles. Days that come from bookings are not saved as entered ones.
 */
function withHidden<N extends keyof LandRows>(
  all: Repositories,
  row: LandRows[N],
  before: LandRows[N],
): LandRows[N] {
  const content = readLand(all);
  const active = activeLand(content, all.retired.list());
  const isHidden = (rows: readonly { id: number }[], id: number | null) =>
    id !== null && !rows.some((one) => one.id === id);
  const whole = { ...row } as Partial<Unlisted>;
  const old = before as Partial<Unlisted>;
  const hidden = (old.unitIds ?? []).filter((id) => isHidden(active.units, id));
  if (whole.unitIds) whole.unitIds = [...new Set([...whole.unitIds, ...hidden])];
  if (whole.crewId === null && isHidden(active.crews, old.crewId ?? null))
    whole.crewId = old.crewId ?? null;
  if (whole.readiness && old.readiness) {
    const roles = old.readiness.roles.filter((one) => isHidden(active.people, one.personId));
    const shown = whole.readiness.roles.filter((one) => !isHidden(active.people, one.personId));
    whole.readiness = { ...whole.readiness, roles: [...shown, ...roles] };
  }
  if (whole.enteredSpans) {
    const derived = crewsOnSite(active).find(({ id }) => id === whole.id)?.onSpans;
    if (JSON.stringify(derived) === JSON.stringify(whole.onSpans))
      whole.onSpans = whole.enteredSpans;
  }
  delete whole.enteredSpans;
  return whole as LandRows[N];
}

/** The fields of all rows that a snapshot may show otherwise than they are stored. */
type Unlisted = Pick<Crew, 'id' | 'onSpans'> & {
  enteredSpans: DateRange[];
  unitIds: number[];
  crewId: number | null;
  readiness: Readiness;
};

/** Planning does not hang on rows without a kind of change: they make no plan out of date. */
function noteChange(all: Repositories, kind: ChangeKind | null, what: string): void {
  if (kind === null) all.changes.raise();
  else all.changes.note(kind, what);
}

function saveRow<N extends keyof LandRows>(
  all: Repositories,
  library: Library,
  noun: N,
  asked: LandRows[N],
  isNew: boolean,
  isNoWorkKey: (key: string) => boolean,
): Outcome<RowId> {
  const keeper = rowKeepers(all, library, isNoWorkKey)[noun];
  const before = isNew ? null : keeper.find(keeper.idOf(asked));
  if (!isNew && !before) return { ok: false, problems: [unknownRow] };
  const row = before ? withHidden(all, asked, before) : asked;
  const problems = keeper.problems(row, before);
  if (problems.length > 0) return { ok: false, problems };
  const id = before ? keeper.idOf(row) : keeper.insert(row);
  if (before) keeper.update(row);
  noteChange(all, keeper.changeKind, `${keeper.name(row)} was ${before ? 'changed' : 'added'}.`);
  return { ok: true, value: id };
}

function keyProblem(code: string, message: string): Problem {
  return { code, field: 'key', message };
}

function saveLibraryRow<N extends LibraryNoun>(
  all: Repositories,
  library: Library,
  noun: N,
  row: LibraryRows[N],
  isNew: boolean,
): Outcome<RowId> {
  const isThere = findRow(all, library, noun, row.key) !== null;
  if (!isNew && !isThere) return { ok: false, problems: [unknownRow] };
  if (isNew && isThere) {
    const message = `Key: ${row.key} is there already, maybe out of use; give another.`;
    return { ok: false, problems: [keyProblem(`${noun}-taken`, message)] };
  }
  all.library.saveOverride(libraryKinds[noun], row);
  return { ok: true, value: row.key };
}

function retire(all: Repositories, library: Library, noun: Noun, id: RowId): Outcome<RowId> {
  const found = findRow(all, library, noun, id);
  if (!found || all.retired.has(noun, id)) return { ok: false, problems: [unknownRow] };
  const raw = readLand(all);
  // Rows out of use still name reference rows; they need them when they come back.
  const content = isLibraryNoun(noun) ? raw : activeLand(raw, all.retired.list());
  const uses = usesOf(content, library, noun, id);
  if (uses.length > 0) {
    const shown = uses.slice(0, 5).join(', ') + (uses.length > 5 ? ' and others' : '');
    const message = `${found.name} can not go out of use: ${shown} still need it; change these first.`;
    return { ok: false, problems: [{ code: 'row-in-use', ref: String(id), message }] };
  }
  all.retired.insert(noun, id);
  noteChange(all, found.changeKind, `${found.name} went out of use.`);
  return { ok: true, value: id };
}

function bringBack(all: Repositories, library: Library, noun: Noun, id: RowId): Problem[] {
  const found = findRow(all, library, noun, id);
  if (!found || !all.retired.has(noun, id)) return [unknownRow];
  for (const [parent, parentId] of parentsOf(found.row, noun)) {
    if (!all.retired.has(parent, parentId)) continue;
    const name = findRow(all, library, parent, parentId)?.name ?? '';
    const message = `The ${nounWords[parent] ?? parent} ${name} of it is out of use: bring that back first.`;
    return [{ code: 'row-parent-retired', ref: String(parentId), message }];
  }
  all.retired.remove(noun, id);
  noteChange(all, found.changeKind, `${found.name} came back.`);
  return [];
}

/** Rows of all nouns: saved, taken out of use and brought back. `library` is the published one. */
export function recordStore(db: Database, all: Repositories) {
  const own = (library: Library) => all.library.laidOver(library);
  return {
    /** `isNoWorkKey` says for which no-work dates there can be an approval. */
    saveRow: <N extends keyof LandRows>(
      noun: N,
      row: LandRows[N],
      isNew: boolean,
      library: Library,
      isNoWorkKey: (key: string) => boolean,
    ): Outcome<RowId> =>
      db.transaction(() => saveRow(all, own(library), noun, row, isNew, isNoWorkKey)).immediate(),
    /** The caller has checked the row against the rules of its table. */
    saveLibraryRow: <N extends LibraryNoun>(
      noun: N,
      row: LibraryRows[N],
      isNew: boolean,
      library: Library,
    ): Outcome<RowId> =>
      db.transaction(() => saveLibraryRow(all, own(library), noun, row, isNew)).immediate(),
    retire: db.transaction((noun: Noun, id: RowId, library: Library) =>
      retire(all, own(library), noun, id),
    ).immediate,
    bringBack: db.transaction((noun: Noun, id: RowId, library: Library) =>
      bringBack(all, own(library), noun, id),
    ).immediate,
    isRetired: all.retired.has,
    /** Newest first, with names. */
    retired: (library: Library): RetiredRow[] =>
      all.retired.list().map((row) => ({
        ...row,
        name: findRow(all, own(library), row.noun, row.id)?.name ?? String(row.id),
      })),
  };
}
