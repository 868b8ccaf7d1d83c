import type { Block, BlockChange } from '../core/blocks.ts';
import type { Library } from '../core/library.ts';
import type { Problem } from '../core/problems.ts';
import type { Unit, UnitChange } from '../core/units.ts';
import { checkBlock } from './blocks.ts';
import type { Repositories } from './land.ts';
import { checkUnit } from './units.ts';

/** A code stays taken when its row is out of use, so that the row can come back. */
export function codeTaken(what: 'unit' | 'block', code: string, isRetired: boolean): Problem {
  const message = isRetired
    ? `Code: ${code} is the code of a retired ${what}: bring it back, or use another code.`
    : `Code: ${code} is the code of another ${what} of this property; give one of its own.`;
  return { code: `${what}-code-taken`, field: 'code', ref: code, message };
}

/** Keys that the library must know; a key that stays as it was is not asked about. */
function checkKeys(before: Block, after: Block, library: Library): Problem[] {
  const problems: Problem[] = [];
  const { sequenceKey, prescriptionKey } = after;
  const isKnown = (rows: readonly { key: string }[], key: string) =>
    rows.some((row) => row.key === key);
  const isNewSequence = sequenceKey !== null && sequenceKey !== before.sequenceKey;
  if (isNewSequence && !isKnown(library.sequences, sequenceKey)) {
    const message = 'Sequence: pick one from the list.';
    problems.push({ code: 'block-sequenceKey', field: 'sequenceKey', message });
  }
  const isNewPrescription = prescriptionKey !== null && prescriptionKey !== before.prescriptionKey;
  if (isNewPrescription && !isKnown(library.prescriptions, prescriptionKey)) {
    const message = 'Prescription: pick one from the list.';
    problems.push({ code: 'block-prescriptionKey', field: 'prescriptionKey', message });
  }
  return problems;
}

/** What is wrong with a block as it would be; `before`: as it is, or itself when it is new. */
export function checkChangedBlock(
  all: Repositories,
  before: Block,
  after: Block,
  library: Library,
): Problem[] {
  const problems = [...checkBlock(after), ...checkKeys(before, after, library)];
  const other = all.blocks.findByCode(after.propertyId, after.code);
  if (other && other.id !== after.id)
    problems.push(codeTaken('block', after.code, all.retired.has('block', other.id)));
  return problems;
}

/** Changes a block. `library` is the one with the user's rows. */
export function updateBlock(
  all: Repositories,
  blockId: number,
  change: BlockChange,
  library: Library,
): Problem[] {
  const before = all.blocks.find(blockId);
  if (!before) return [{ code: 'block-unknown', message: 'This block is not on record any more.' }];
  const after: Block = { ...before, ...change };
  const problems = checkChangedBlock(all, before, after, library);
  if (problems.length > 0) return problems;
  all.blocks.update(after);
  all.changes.note('land', `Block ${after.code} was changed.`);
  return [];
}

/** What is wrong with a unit as it would be; `before` is null for a new one. */
export function checkChangedUnit(
  all: Repositories,
  before: Unit | null,
  after: Unit,
  library: Library,
): Problem[] {
  const problems = checkUnit(after);
  const isNewCommunity = after.communityKey !== before?.communityKey;
  const other = all.units.findByCode(after.propertyId, after.code);
  if (other && other.id !== before?.id)
    problems.push(codeTaken('unit', after.code, all.retired.has('unit', other.id)));
  const isAsked = isNewCommunity && after.communityKey.trim() !== '';
  if (isAsked && !library.communities.some(({ key }) => key === after.communityKey)) {
    const message = 'Natural community: pick one from the list.';
    problems.push({ code: 'unit-communityKey', field: 'communityKey', message });
  }
  return problems;
}

/** A block of one unit carries the unit's code and name along, as long as no other block has the code. */
export function blockAfter(
  all: Repositories,
  before: Block,
  unit: Unit,
  change: UnitChange,
): Block {
  const after = { ...before };
  if (change.sequenceKey !== undefined) after.sequenceKey = change.sequenceKey;
  if (change.sequenceStartsOn !== undefined) after.sequenceStartsOn = change.sequenceStartsOn;
  if (change.firstCycle !== undefined) after.firstCycle = change.firstCycle;
  if (change.heldUntilYear !== undefined) after.heldUntilYear = change.heldUntilYear;
  if (change.heldReason !== undefined) after.heldReason = change.heldReason;
  if (before.code !== unit.code || all.units.countInBlock(before.id) !== 1) return after;
  const code = change.code ?? before.code;
  const isFree = code === before.code || !all.blocks.findByCode(before.propertyId, code);
  if (isFree) after.code = code;
  if (before.name === unit.name) after.name = change.name ?? before.name;
  return after;
}

function unitAfter(before: Unit, change: UnitChange): Unit {
  const { code, name, areaAcres, communityKey, densityClass, aspect, tags } = change;
  return {
    ...before,
    code: code ?? before.code,
    name: name ?? before.name,
    areaAcres: areaAcres ?? before.areaAcres,
    communityKey: communityKey ?? before.communityKey,
    // Checked against the lists before it is stored.
    densityClass:
      densityClass === undefined ? before.densityClass : (densityClass as Unit['densityClass']),
    aspect: aspect === undefined ? before.aspect : (aspect as Unit['aspect']),
    tags: tags ?? before.tags,
  };
}

/**
 * Changes a unit and, for its sequence, first cycle and held fire, the block it lies in. All or nothing.
 * `library` is the one with the user's rows.
 */
export function updateUnit(
  all: Repositories,
  unitId: number,
  change: UnitChange,
  library: Library,
): Problem[] {
  const before = all.units.find(unitId);
  const blockBefore = before && all.blocks.find(before.blockId);
  if (!before || !blockBefore)
    return [{ code: 'unit-unknown', message: 'This unit is not on record any more.' }];
  const after = unitAfter(before, change);
  const block = blockAfter(all, blockBefore, before, change);
  const unitProblems = checkChangedUnit(all, before, after, library);
  const problems = [
    ...unitProblems,
    ...checkChangedBlock(all, blockBefore, block, library).filter(
      ({ field }) => !unitProblems.some((problem) => problem.field === field),
    ),
  ];
  if (problems.length > 0) return problems;
  all.units.update(after);
  all.blocks.update(block);
  all.changes.note('land', `Unit ${after.code} was changed.`);
  return [];
}
