import type { Block } from './blocks.ts';
import type { Line } from './lines.ts';
import type { Operation } from './operation.ts';
import type { PlannedTask } from './tasks.ts';
import type { Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/**
 * Work done once for a list of a snapshot and kept as long as the list is. Lists of a snapshot are not changed;
 * one that grew or shrank all the same is worked out again.
 */
export function oncePerList<Row, Result>(
  work: (rows: readonly Row[]) => Result,
): (rows: readonly Row[]) => Result {
  const kept = new WeakMap<readonly Row[], { length: number; result: Result }>();
  return (rows) => {
    const known = kept.get(rows);
    if (known?.length === rows.length) return known.result;
    const result = work(rows);
    kept.set(rows, { length: rows.length, result });
    return result;
  };
}

/**
 * Work done once for a snapshot and a name, and kept as long as the snapshot is. One whose units, blocks or log
 * were replaced or grew all the same is worked out again.
 */
export function oncePerOperation<Key, Result>(
  work: (operation: Operation, key: Key) => Result,
): (operation: Operation, key: Key) => Result {
  const kept = new WeakMap<Operation, { madeFrom: unknown[]; results: Map<Key, Result> }>();
  return (operation, key) => {
    const { units, blocks, entries } = operation;
    const madeFrom = [units, blocks, entries, units.length, blocks.length, entries.length];
    let known = kept.get(operation);
    if (!known?.madeFrom.every((part, at) => part === madeFrom[at])) {
      known = { madeFrom, results: new Map() };
      kept.set(operation, known);
    }
    const result = known.results.get(key) ?? work(operation, key);
    known.results.set(key, result);
    return result;
  };
}

function grouped<Row, Key>(rows: readonly Row[], keysOf: (row: Row) => readonly Key[]) {
  const groups = new Map<Key, Row[]>();
  for (const row of rows)
    for (const key of new Set(keysOf(row))) {
      const group = groups.get(key);
      if (group) group.push(row);
      else groups.set(key, [row]);
    }
  return groups;
}

const unitsByBlock = oncePerList((units: readonly Unit[]) => {
  const groups = grouped(units, (unit) => [unit.blockId]);
  for (const group of groups.values()) group.sort((a, b) => (a.code < b.code ? -1 : 1));
  return groups;
});

/** Units of a block, by code. */
export function unitsOfBlock(units: readonly Unit[], blockId: number): readonly Unit[] {
  return unitsByBlock(units).get(blockId) ?? [];
}

/** Blocks by id. */
export const blocksById = oncePerList(
  (blocks: readonly Block[]) => new Map(blocks.map((block) => [block.id, block])),
);

const entriesByUnit = oncePerList((entries: readonly WorkEntry[]) =>
  grouped(entries, (entry) => [entry.unitId]),
);

/** Entries of the work log on units, unit after unit, each unit's in the order of the log. */
export function entriesOfUnits(
  entries: readonly WorkEntry[],
  unitIds: Iterable<number>,
): WorkEntry[] {
  const groups = entriesByUnit(entries);
  return [...unitIds].flatMap((id) => groups.get(id) ?? []);
}

const linesByUnit = oncePerList((lines: readonly Line[]) => ({
  places: new Map(lines.map((line, place) => [line, place])),
  groups: grouped(lines, (line) => line.unitIds),
}));

/** Lines that serve any of some units, in the order of the list. */
export function linesOfUnits(lines: readonly Line[], unitIds: Iterable<number>): Line[] {
  const { places, groups } = linesByUnit(lines);
  const found = new Set([...unitIds].flatMap((id) => groups.get(id) ?? []));
  return [...found].sort((a, b) => (places.get(a) ?? 0) - (places.get(b) ?? 0));
}

/** Treatments by key. */
export const treatmentsByKey = oncePerList(
  (treatments: readonly Treatment[]) => new Map(treatments.map((row) => [row.key, row])),
);

/** Keys of the treatments that are burns. */
export const burnKeys = oncePerList(
  (treatments: readonly Treatment[]) =>
    new Set(treatments.filter((row) => row.family === 'burn').map((row) => row.key)),
);

/** Keys of the tasks that an entry of the work log is of. */
export const loggedTaskKeys = oncePerList(
  (entries: readonly WorkEntry[]) => new Set(entries.flatMap(({ taskKey }) => taskKey ?? [])),
);

const burnsByBlock = oncePerList((tasks: readonly PlannedTask[]) =>
  grouped(
    tasks.filter((task) => task.isWhenFit),
    (task) => [task.blockId],
  ),
);

/** Planned burns of a block, in the order of the plan. */
export function plannedBurnsOf(
  tasks: readonly PlannedTask[],
  blockId: number,
): readonly PlannedTask[] {
  return burnsByBlock(tasks).get(blockId) ?? [];
}
