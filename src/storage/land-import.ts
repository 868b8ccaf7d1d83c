import { noBurnLimits, readinessNone } from '../core/blocks.ts';
import type { Line } from '../core/lines.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { Unit } from '../core/units.ts';
import { burnPeopleLeastDefault } from './blocks.ts';
import type { Repositories } from './land.ts';
import { codeTaken } from './unit-changes.ts';
import { checkUnit } from './units.ts';

/** A unit from a file: known by its code within the property. */
export interface ImportedUnit extends Omit<Unit, 'id' | 'propertyId' | 'blockId'> {
  /** Prescription that a new block of its own starts with; null = none. */
  prescriptionKey: string | null;
}

/** A line from a file: known by its name within the property; its sides by unit codes. */
export interface ImportedLine extends Omit<Line, 'id' | 'propertyId' | 'unitIds'> {
  unitCodes: string[];
}

/** Two units that touch, by their codes. */
export interface ImportedNeighbours {
  unitCodes: [string, string];
  sharedFeet: number;
}

export interface ImportCount {
  added: number;
  updated: number;
}

/** Most units that one import may hold. */
export const importUnitsMost = 5000;

/**
 * What a file leaves blank stays as it was: a table without outlines does not rub out a map.
 */
function merged(before: Unit, row: ImportedUnit): Unit {
  const hasBoundary = row.boundary !== null;
  return {
    ...before,
    name: row.name || before.name,
    areaAcres: row.areaAcres,
    measuredAcres: hasBoundary ? row.measuredAcres : before.measuredAcres,
    perimeterFeet: hasBoundary ? row.perimeterFeet : before.perimeterFeet,
    communityKey: row.communityKey,
    aspect: row.aspect ?? before.aspect,
    slopePercent: row.slopePercent ?? before.slopePercent,
    densityClass: row.densityClass ?? before.densityClass,
    tags: row.tags.length > 0 ? row.tags : before.tags,
    boundary: row.boundary ?? before.boundary,
  };
}

function checkImport(
  all: Repositories,
  propertyId: number,
  units: readonly ImportedUnit[],
  sides: readonly string[],
): Problem[] {
  if (!all.properties.find(propertyId))
    return [{ code: 'property-unknown', message: 'Property: pick one from the list.' }];
  if (units.length > importUnitsMost) {
    const message = `Units: a file may hold ${importUnitsMost} at most; split it.`;
    return [{ code: 'import-too-many', message }];
  }
  const problems = units.flatMap(checkUnit);
  const codes = new Set<string>();
  for (const { code } of units) {
    const known = all.units.findByCode(propertyId, code);
    if (known && all.retired.has('unit', known.id)) problems.push(codeTaken('unit', code, true));
    if (codes.has(code)) {
      const message = `Code: ${code} stands twice in the file; each unit needs a code of its own.`;
      problems.push({ code: 'import-code-twice', field: 'code', ref: code, message });
    }
    codes.add(code);
  }
  for (const code of new Set(sides)) {
    if (codes.has(code) || all.units.findByCode(propertyId, code)) continue;
    const message = `Unit code: ${code} is named beside a line or a neighbour, but there is no such unit.`;
    problems.push({ code: 'import-code-unknown', field: 'unitCodes', ref: code, message });
  }
  return problems;
}

/**
 * A new unit lies in a new block of its own, or in the block of its code that already waits for it; one that was
 * emptied and went out of use is in use again.
 */
export function insertUnit(
  all: Repositories,
  propertyId: number,
  { prescriptionKey, ...row }: ImportedUnit,
): number {
  const waiting = all.blocks.findByCode(propertyId, row.code);
  if (waiting) all.retired.remove('block', waiting.id);
  const blockId =
    waiting?.id ??
    all.blocks.insert({
      propertyId,
      code: row.code,
      name: row.name,
      sequenceKey: null,
      sequenceStartsOn: null,
      firstCycle: 1,
      rotation: null,
      heldUntilYear: null,
      heldReason: '',
      prescriptionKey,
      burnPeopleLeast: burnPeopleLeastDefault,
      readiness: readinessNone,
      burnLimits: noBurnLimits,
    });
  return all.units.insert({ ...row, propertyId, blockId });
}

function saveLines(
  all: Repositories,
  propertyId: number,
  lines: readonly ImportedLine[],
  idOf: (code: string) => number,
): void {
  const stored = all.lines.list().filter((line) => line.propertyId === propertyId);
  for (const { unitCodes, ...fields } of lines) {
    const before = stored.find((line) => line.name === fields.name);
    const unitIds = unitCodes.map(idOf);
    if (!before) all.lines.insert({ ...fields, propertyId, unitIds });
    else {
      const readyOn = fields.readyOn ?? before.readyOn;
      const goodUntil = fields.goodUntil ?? before.goodUntil;
      all.lines.update({ ...before, ...fields, readyOn, goodUntil, unitIds });
    }
  }
}

function outerLine({ code, perimeterFeet }: ImportedUnit): ImportedLine | null {
  if (perimeterFeet === null) return null;
  return {
    name: `Outer line of ${code}`,
    kind: 'mown',
    lengthFeet: perimeterFeet,
    widthFeet: null,
    readyOn: null,
    goodUntil: null,
    path: null,
    unitCodes: [code],
  };
}

/** A unit that is retired, or whose block is. */
export function isOutOfUse(all: Repositories, { id, blockId }: Unit): boolean {
  return all.retired.has('unit', id) || all.retired.has('block', blockId);
}

/** Puts the pairs given in place of those of a property; a rule that the user set for a pair stays. */
export function replaceNeighbours(
  all: Repositories,
  propertyId: number,
  pairs: readonly ImportedNeighbours[],
  idOf: (code: string) => number,
): void {
  const before = all.lines.neighbours();
  all.lines.dropNeighbours(propertyId);
  for (const { unitCodes, sharedFeet } of pairs) {
    const ids = unitCodes.map(idOf).sort((a, b) => a - b) as [number, number];
    const old = before.find(({ unitIds }) => ids.every((id) => unitIds.includes(id)));
    all.lines.insertNeighbours({ unitIds: ids, sharedFeet, rule: old?.rule ?? null });
  }
  // Pairs with a unit out of use wait for it to come back.
  for (const pair of before) {
    const units = pair.unitIds.map((id) => all.units.find(id));
    const isOwn = units.every((unit) => unit?.propertyId === propertyId);
    if (isOwn && units.some((unit) => unit && isOutOfUse(all, unit)))
      all.lines.insertNeighbours(pair);
  }
}

/**
 * Inserts or updates units by their code within a property, lines by their name, and replaces the pairs of
 * neighbours of that property (give the pairs of all its units; a rule that the user set for a pair stays).
 * A unit keeps its id, block and history. A new unit with an outline that no given line serves gets an outer
 * line of its perimeter, to be mown and not made yet. The caller wraps it in a transaction; with problems
 * nothing is written.
 */
export function importUnits(
  all: Repositories,
  propertyId: number,
  units: readonly ImportedUnit[],
  lines: readonly ImportedLine[],
  neighbours: readonly ImportedNeighbours[],
): Outcome<ImportCount> {
  const sides = [...lines, ...neighbours].flatMap(({ unitCodes }) => unitCodes);
  const problems = checkImport(all, propertyId, units, sides);
  if (problems.length > 0) return { ok: false, problems };
  const isServed = new Set(lines.flatMap(({ unitCodes }) => unitCodes));
  const outerLines: ImportedLine[] = [];
  const count: ImportCount = { added: 0, updated: 0 };
  for (const row of units) {
    const before = all.units.findByCode(propertyId, row.code);
    if (before) {
      all.units.update(merged(before, row));
      count.updated += 1;
      continue;
    }
    insertUnit(all, propertyId, row);
    count.added += 1;
    const line = row.boundary === null || isServed.has(row.code) ? null : outerLine(row);
    if (line) outerLines.push(line);
  }
  const idOf = (code: string) => all.units.findByCode(propertyId, code)!.id;
  saveLines(all, propertyId, [...lines, ...outerLines], idOf);
  replaceNeighbours(all, propertyId, neighbours, idOf);
  all.changes.note('land', `${units.length} units were imported.`);
  return { ok: true, value: count };
}
