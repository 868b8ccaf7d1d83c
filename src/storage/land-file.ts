import { noBurnLimits, readinessNone } from '../core/blocks.ts';
import type { LandFileChanges } from '../core/land-file-changes.ts';
import { checkPoint } from '../core/points.ts';
import type { Problem } from '../core/problems.ts';
import { burnPeopleLeastDefault } from './blocks.ts';
import type { Repositories } from './land.ts';
import {
  type ImportedNeighbours,
  insertUnit,
  isOutOfUse,
  replaceNeighbours,
} from './land-import.ts';
import { checkLine } from './lines.ts';
import { codeTaken } from './unit-changes.ts';
import { checkUnit } from './units.ts';

/** Prescription that the block of a new unit starts with, by natural community. */
export type PrescriptionOf = (communityKey: string) => string | null;

function checkRows(all: Repositories, propertyId: number, changes: LandFileChanges): Problem[] {
  if (!all.properties.find(propertyId))
    return [{ code: 'property-unknown', message: 'Property: pick one from the list.' }];
  const taken = changes.units.flatMap(({ id, unit }) => {
    const known = id === null ? all.units.findByCode(propertyId, unit.code) : null;
    return known ? [codeTaken('unit', unit.code, all.retired.has('unit', known.id))] : [];
  });
  return [
    ...taken,
    ...changes.units.flatMap(({ unit }) => checkUnit(unit)),
    ...changes.lines.flatMap(({ line }) => checkLine({ ...line, propertyId, unitIds: [] })),
    ...changes.points.flatMap(({ point, unitCodes }) =>
      // Numbers of new units are not known yet; that codes exist was looked at before.
      checkPoint({ ...point, propertyId, unitIds: unitCodes.map(() => 0) }),
    ),
  ];
}

function blockFor(
  all: Repositories,
  propertyId: number,
  code: string,
  name: string,
  prescriptionKey: string | null,
): number {
  const known = all.blocks.findByCode(propertyId, code);
  if (known) {
    all.retired.remove('block', known.id);
    return known.id;
  }
  return all.blocks.insert({
    propertyId,
    code,
    name,
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
}

function saveUnits(
  all: Repositories,
  propertyId: number,
  changes: LandFileChanges,
  prescriptionOf: PrescriptionOf,
): void {
  for (const { id, unit, blockCode } of changes.units) {
    const prescriptionKey = prescriptionOf(unit.communityKey);
    const name = changes.blocks.find(({ code }) => code === blockCode)?.name ?? blockCode ?? '';
    const blockId =
      blockCode === null ? null : blockFor(all, propertyId, blockCode, name, prescriptionKey);
    const before = id === null ? null : all.units.find(id);
    if (before) all.units.update({ ...before, ...unit, blockId: blockId ?? before.blockId });
    else if (blockId === null) insertUnit(all, propertyId, { ...unit, prescriptionKey });
    else all.units.insert({ ...unit, propertyId, blockId });
    if (before && blockId !== null && all.units.countInBlock(before.blockId) === 0)
      all.retired.insert('block', before.blockId);
  }
  for (const { code, name } of changes.blocks) {
    const block = all.blocks.findByCode(propertyId, code);
    if (block && block.name !== name) all.blocks.update({ ...block, name });
  }
}

/**
 * Writes what a file of land changes: rows known by their numbers, new ones by code or name; a block whose last unit
 * left it goes out of use. Neighbors are those given; a rule that the user set for a pair stays. With problems
 * nothing is written. The caller wraps it in a transaction.
 */
export function takeLandFile(
  all: Repositories,
  propertyId: number,
  changes: LandFileChanges,
  neighbours: readonly ImportedNeighbours[] | null,
  prescriptionOf: PrescriptionOf,
): Problem[] {
  const problems = checkRows(all, propertyId, changes);
  if (problems.length > 0) return problems;
  saveUnits(all, propertyId, changes, prescriptionOf);
  const idOf = (code: string) => all.units.findByCode(propertyId, code)!.id;
  const lines = all.lines.list();
  const points = all.records.list('point');
  // Units out of use are in no file; their side of a line or point stays for when they come back.
  const sides = (unitCodes: readonly string[], before: { unitIds: number[] } | undefined) => [
    ...unitCodes.map(idOf),
    ...(before?.unitIds ?? []).filter((unitId) => {
      const unit = all.units.find(unitId);
      return unit !== null && isOutOfUse(all, unit);
    }),
  ];
  for (const { id, line, unitCodes } of changes.lines) {
    const before = lines.find((one) => one.id === id);
    const row = { ...line, propertyId, unitIds: sides(unitCodes, before) };
    if (id === null) all.lines.insert(row);
    else all.lines.update({ ...row, id });
  }
  for (const { id, point, unitCodes } of changes.points) {
    const before = points.find((one) => one.id === id);
    const row = { ...point, propertyId, unitIds: sides(unitCodes, before) };
    if (id === null) all.records.insert('point', row);
    else all.records.update('point', { ...row, id });
  }
  if (neighbours) replaceNeighbours(all, propertyId, neighbours, idOf);
  const counts = [changes.units.length, changes.lines.length, changes.points.length];
  all.changes.note(
    'land',
    `A file of land was taken over: ${counts[0]} units, ${counts[1]} lines and ${counts[2]} points new or changed.`,
  );
  return [];
}
