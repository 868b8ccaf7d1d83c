import type { Block } from './blocks.ts';
import type { Line } from './lines.ts';
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

function grouped<Row>(rows: readonly Row[], keysOf: (row: Row) => readonly number[]) {
  const groups = new Map<number, Row[]>();
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
