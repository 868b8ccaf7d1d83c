import type { Database } from 'better-sqlite3';
import type { Block } from '../core/blocks.ts';
import type { LandChange, NextIds } from '../core/land-change.ts';
import type { LandContent } from '../core/library.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { Noun } from '../core/records.ts';
import { activeLand } from '../core/retired.ts';
import { type Repositories, readLand } from './land.ts';
import { codeTaken } from './unit-changes.ts';

/** A change of several rows at once, made by pure code from the land as it is. */
export type MakeChange<T extends LandChange> = (
  land: LandContent,
  context: { next: NextIds; retiredBlocks: Block[] },
) => Outcome<T>;

/** Numbers above all that a table ever gave: those of retired rows stay theirs. */
function nextIds(db: Database): NextIds {
  const last = db
    .prepare<[string], number>('SELECT seq FROM sqlite_sequence WHERE name = ?')
    .pluck();
  const next = (table: string) => (last.get(table) ?? 0) + 1;
  return {
    unit: next('unit'),
    block: next('block'),
    line: next('line'),
    entry: next('work_entry'),
  };
}

/** Rows by what became of them. A row is compared as text: every one of them is plain data. */
function difference<T>(before: readonly T[], after: readonly T[], keyOf: (row: T) => string) {
  const old = new Map(before.map((row) => [keyOf(row), JSON.stringify(row)]));
  const kept = new Set(after.map(keyOf));
  return {
    added: after.filter((row) => !old.has(keyOf(row))),
    changed: after.filter((row) => {
      const text = old.get(keyOf(row));
      return text !== undefined && text !== JSON.stringify(row);
    }),
    gone: before.filter((row) => !kept.has(keyOf(row))),
  };
}

const idOf = ({ id }: { id: number }) => String(id);

/** Rows as they are stored, with the units on them that are out of use: their place is theirs when they come back. */
function withRetired<T extends { id: number; unitIds: number[] }>(
  rows: readonly T[],
  stored: readonly T[],
  isRetired: (unitId: number) => boolean,
): T[] {
  return rows.map((row) => {
    const before = stored.find((one) => one.id === row.id)?.unitIds ?? [];
    const kept = before.filter((id) => isRetired(id) && !row.unitIds.includes(id));
    return kept.length > 0 ? { ...row, unitIds: [...row.unitIds, ...kept] } : row;
  });
}

function saveUnitsAndBlocks(
  all: Repositories,
  stored: LandContent,
  before: LandContent,
  after: LandContent,
): void {
  const retire = (noun: Noun, rows: readonly { id: number }[]) => {
    for (const { id } of rows) all.retired.insert(noun, id);
  };
  const blocks = difference(before.blocks, after.blocks, idOf);
  for (const block of blocks.added) {
    // One that was retired comes back; any other is new.
    if (all.blocks.find(block.id)) {
      all.retired.remove('block', block.id);
      all.blocks.update(block);
    } else all.blocks.insert(block);
  }
  for (const block of blocks.changed) all.blocks.update(block);
  const units = difference(before.units, after.units, idOf);
  for (const unit of units.changed) all.units.update(unit);
  for (const unit of units.added) all.units.insert(unit);
  retire('unit', units.gone);
  retire('block', blocks.gone);
  const lines = difference(before.lines, after.lines, idOf);
  // A line of a unit that is merged now runs along the merged one; a unit retired before keeps its side.
  const wasRetired = (unitId: number) => !before.units.some(({ id }) => id === unitId);
  for (const line of withRetired(lines.changed, stored.lines, wasRetired)) all.lines.update(line);
  for (const line of lines.added) all.lines.insert(line);
  retire('line', lines.gone);
  const consents = difference(before.consents, after.consents, idOf);
  const isRetired = (unitId: number) => !after.units.some(({ id }) => id === unitId);
  for (const row of withRetired(consents.changed, stored.consents, isRetired))
    all.records.update('consent', row);
  retire('consent', consents.gone);
}

function saveRest(all: Repositories, before: LandContent, after: LandContent): void {
  const isLeft = (unitId: number) => after.units.some((unit) => unit.id === unitId);
  const entries = difference(before.entries, after.entries, idOf);
  for (const entry of entries.changed) all.entries.update(entry);
  for (const entry of entries.added) all.entries.insert(entry);
  for (const gone of entries.gone) {
    // Work of one day on units that became one is one entry: what stood beside the others goes to it.
    const joined = entries.changed.find(
      (one) =>
        one.treatmentKey === gone.treatmentKey &&
        one.doneOn === gone.doneOn &&
        one.precision === gone.precision &&
        one.fireCause === gone.fireCause,
    );
    if (joined) all.details.join(gone.id, joined.id);
    all.entries.remove(gone.id);
  }
  const pairs = difference(before.neighbours, after.neighbours, ({ unitIds }) => unitIds.join(' '));
  // A pair of a unit that goes out of use stays with it.
  for (const pair of [
    ...pairs.gone.filter(({ unitIds }) => unitIds.every(isLeft)),
    ...pairs.changed,
  ])
    all.lines.dropPair(pair);
  for (const pair of [...pairs.changed, ...pairs.added]) all.lines.insertNeighbours(pair);
  const approvals = difference(before.approvals, after.approvals, (row) => JSON.stringify(row));
  for (const row of approvals.gone.filter(({ unitId }) => isLeft(unitId)))
    all.approvals.remove(row);
  for (const row of approvals.added) all.approvals.insert(row);
}

/** Points, leases, grazing spans, bookings and contracts: only the units they name change. */
function saveRecords(
  all: Repositories,
  stored: LandContent,
  before: LandContent,
  after: LandContent,
): void {
  const isRetired = (unitId: number) => !after.units.some(({ id }) => id === unitId);
  const changed = <T extends { id: number; unitIds: number[] }>(
    old: readonly T[],
    rows: readonly T[],
    raw: readonly T[],
  ) => withRetired(difference(old, rows, idOf).changed, raw, isRetired);
  for (const row of changed(before.points, after.points, stored.points))
    all.records.update('point', row);
  for (const row of changed(before.leases, after.leases, stored.leases))
    all.records.update('lease', row);
  for (const row of changed(before.grazing, after.grazing, stored.grazing))
    all.records.update('grazing', row);
  for (const row of changed(before.bookings, after.bookings, stored.bookings))
    all.records.update('booking', row);
  for (const row of difference(before.visits, after.visits, idOf).changed)
    all.records.update('visit', row);
  for (const row of difference(before.photoPoints, after.photoPoints, idOf).changed)
    all.records.update('photoPoint', row);
  for (const row of difference(before.contracts, after.contracts, idOf).changed)
    all.records.update('contract', row);
}

/** Codes that rows out of use still hold: they are theirs when they come back. */
function codesTaken(all: Repositories, before: LandContent, after: LandContent): Problem[] {
  const taken = (
    what: 'unit' | 'block',
    rows: readonly { id: number; propertyId: number; code: string }[],
    here: readonly { id: number }[],
  ) =>
    rows.flatMap((row): Problem[] => {
      const holder =
        what === 'unit'
          ? all.units.findByCode(row.propertyId, row.code)
          : all.blocks.findByCode(row.propertyId, row.code);
      if (!holder || holder.id === row.id || here.some(({ id }) => id === holder.id)) return [];
      return [codeTaken(what, row.code, true)];
    });
  return [
    ...taken('unit', after.units, before.units),
    ...taken('block', after.blocks, before.blocks),
  ];
}

/**
 * Makes a change from the land as it is now and saves what differs; rows that are left out go out of use. Nothing is
 * written with problems. The caller wraps it in a transaction.
 */
export function changeLand<T extends LandChange>(
  db: Database,
  all: Repositories,
  what: string,
  make: MakeChange<T>,
): Outcome<T> {
  const stored = readLand(all);
  const before = activeLand(stored, all.retired.list());
  const retired = new Set(
    all.retired.list().flatMap(({ noun, id }) => (noun === 'block' ? [id] : [])),
  );
  const retiredBlocks = all.blocks.list().filter((block) => retired.has(block.id));
  const outcome = make(before, { next: nextIds(db), retiredBlocks });
  if (!outcome.ok) return outcome;
  const after = outcome.value.land;
  const problems = codesTaken(all, before, after);
  if (problems.length > 0) return { ok: false, problems };
  saveUnitsAndBlocks(all, stored, before, after);
  saveRest(all, before, after);
  saveRecords(all, stored, before, after);
  all.changes.note('land', what);
  return outcome;
}
