import type { Block } from './blocks.ts';
import { unitsOf } from './chains.ts';
import { type LandChange, type NextIds, shapeProblem } from './land-change.ts';
import { linesOfUnits, oncePerList } from './land-index.ts';
import type { LandContent } from './library.ts';
import { type Edge, edgesOf } from './line-edges.ts';
import { type Line, needsWork } from './lines.ts';
import type { Operation } from './operation.ts';
import type { Outcome } from './problems.ts';
import { workNeed } from './rates.ts';
import type { Unit } from './units.ts';

/** Lines around units that are lit together: those with something else, or nothing, on their other side. */
export function linesAround(lines: readonly Line[], unitIds: readonly number[]): Line[] {
  return linesOfUnits(lines, unitIds).filter((line) => {
    const inside = line.unitIds.filter((id) => unitIds.includes(id)).length;
    return inside < line.unitIds.length || inside === 1;
  });
}

/** Feet of line that have to be made around units that are lit together: not roads and creeks. */
export function lineWorkFeet(
  { lines, lineKinds }: Pick<Operation, 'lines' | 'lineKinds'>,
  unitIds: readonly number[],
): number {
  return linesAround(lines, unitIds)
    .filter((line) => needsWork(line.kind, lineKinds))
    .reduce((sum, line) => sum + line.lengthFeet, 0);
}

/** Crew that makes lines, for turning person-hours into crew days: the fewest people of the treatment. */
const lineTreatmentKey = 'line-build';

/**
 * Tenths of a crew day for feet of line, at the rate of the treatment that makes lines with its fewest people; null
 * when the library has none by the foot.
 */
export function lineCrewDaysTenths(operation: Operation, lineFeet: number): number | null {
  const treatment = operation.treatments.find(
    (row) => row.key === lineTreatmentKey && row.rate.basis === 'line-foot',
  );
  if (!treatment) return null;
  const { peopleLeast: crewPeople } = treatment;
  return workNeed(treatment, { areaAcres: 0, lineFeet, densityClass: null, crewPeople });
}

/** Line work of a block alone, and of it with one neighboring block burned too. */
export interface BlockLineWork {
  block: Block;
  feet: number;
  crewDaysTenths: number | null;
  withNeighbours: {
    block: Block;
    /** Feet of both, each lit alone. */
    feetApart: number;
    /** Feet around both, lit together. */
    feetTogether: number;
    crewDaysTenths: number | null;
  }[];
}

/** Blocks of a property with their line work, by code. */
export function lineWorkOf(operation: Operation, propertyId: number): BlockLineWork[] {
  const idsOf = (block: Block) => unitsOf(operation, block).map((unit) => unit.id);
  const blockOf = new Map(operation.units.map((unit) => [unit.id, unit.blockId]));
  return operation.blocks
    .filter((block) => block.propertyId === propertyId)
    .map((block) => {
      const ids = idsOf(block);
      const feet = lineWorkFeet(operation, ids);
      const nextIds = operation.neighbours
        .filter(({ unitIds }) => unitIds.some((id) => ids.includes(id)))
        .flatMap(({ unitIds }) => unitIds.map((id) => blockOf.get(id)));
      const next = operation.blocks.filter(
        (other) => other !== block && nextIds.includes(other.id),
      );
      return {
        block,
        feet,
        crewDaysTenths: lineCrewDaysTenths(operation, feet),
        withNeighbours: next.map((other) => {
          const feetTogether = lineWorkFeet(operation, [...ids, ...idsOf(other)]);
          return {
            block: other,
            feetApart: feet + lineWorkFeet(operation, idsOf(other)),
            feetTogether,
            crewDaysTenths: lineCrewDaysTenths(operation, feetTogether),
          };
        }),
      };
    })
    .toSorted((a, b) => (a.block.code < b.block.code ? -1 : 1));
}

/** An edge of the map beside the line on record for it. */
export interface DrawnLine {
  /** `several`: the edge is on record as several lines; these and `same` ones stay as they are. */
  kind: 'new' | 'changed' | 'same' | 'several';
  unitIds: number[];
  lineIds: number[];
  name: string;
  feetBefore: number | null;
  feet: number;
}

/** A length is as on record when it differs by less than this share. */
const sameShare = 0.01;

/** Edges of the boundaries of each property. */
const edgesOfProperty = oncePerList((units: readonly Unit[]) => {
  const kept = new Map<number, Edge[]>();
  return (propertyId: number): readonly Edge[] => {
    const own = units.filter((unit) => unit.propertyId === propertyId);
    const edges =
      kept.get(propertyId) ??
      edgesOf(own.flatMap(({ id, boundary }) => (boundary ? [{ id, boundary }] : [])));
    kept.set(propertyId, edges);
    return edges;
  };
});

/**
 * Lines from the edges of a property's boundaries: each shared edge one, each outer edge one. A line is known by the
 * units on its sides; a new one is to be mown and not made yet. Of one that is there only length and course change,
 * never its kind, width or dates; lines that follow no edge stay. A problem when no unit has a boundary.
 */
export function drawLines(
  land: LandContent,
  propertyId: number,
  next: Pick<NextIds, 'line'>,
): Outcome<LandChange & { drawn: DrawnLine[] }> {
  const units = land.units.filter((unit) => unit.propertyId === propertyId);
  const edges = edgesOfProperty(land.units)(propertyId);
  if (edges.length === 0) {
    const message = 'No unit of this property has a boundary: import one first.';
    return { ok: false, problems: [shapeProblem('no-boundary', message)] };
  }
  const codeOf = (id: number) => units.find((unit) => unit.id === id)!.code;
  const keyOf = (ids: readonly number[]) => ids.toSorted((a, b) => a - b).join(' ');
  const lines = new Map(land.lines.map((line) => [line.id, line]));
  const linesByUnits = new Map<string, Line[]>();
  for (const line of land.lines) {
    const key = keyOf(line.unitIds);
    linesByUnits.set(key, [...(linesByUnits.get(key) ?? []), line]);
  }
  let nextId = next.line;
  const drawn = edges.map(({ ids, feet: exact, path }): DrawnLine => {
    const there = linesByUnits.get(keyOf(ids)) ?? [];
    const [line] = there;
    const feet = Math.round(exact);
    const row = { unitIds: ids, lineIds: there.map((one) => one.id), feet };
    const feetBefore = there.reduce((sum, one) => sum + one.lengthFeet, 0);
    if (there.length > 1) {
      const name = there.map((one) => one.name).join('; ');
      return { ...row, kind: 'several', name, feetBefore };
    }
    if (!line) {
      const name = ids.length === 2 ? ids.map(codeOf).join(' to ') : `${codeOf(ids[0]!)} outside`;
      lines.set(nextId, {
        id: nextId,
        propertyId,
        name,
        kind: 'mown',
        lengthFeet: feet,
        widthFeet: null,
        unitIds: ids,
        readyOn: null,
        goodUntil: null,
        path,
      });
      nextId += 1;
      return { ...row, kind: 'new', name, feetBefore: null };
    }
    const isSame = line.path !== null && Math.abs(line.lengthFeet / exact - 1) < sameShare;
    if (!isSame) lines.set(line.id, { ...line, lengthFeet: feet, path });
    return { ...row, kind: isSame ? 'same' : 'changed', name: line.name, feetBefore };
  });
  const count = (kind: DrawnLine['kind']) => drawn.filter((row) => row.kind === kind).length;
  const notes = [
    `${count('new')} new, ${count('changed')} with another length or course, ${count('same') + count('several')} as they are.`,
  ];
  return { ok: true, value: { land: { ...land, lines: [...lines.values()] }, notes, drawn } };
}
