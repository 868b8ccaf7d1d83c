import type { Block, BlockChange } from '../core/blocks.ts';
import type { Library } from '../core/library.ts';
import type { Problem } from '../core/problems.ts';
import type { Unit, UnitChange } from '../core/units.ts';
import { checkBlock } from './blocks.ts';
import type { Repositories } from './land.ts';
import { checkUnit } from './units.ts';

function codeTaken(what: 'unit' | 'block', code: string): Problem {
  const message = `Code: ${code} is the code of another ${what} of this property; give one of its own.`;
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

function checkChangedBlock(
  all: Repositories,
  before: Block,
  after: Block,
  library: Library,
): Problem[] {
  const problems = [...checkBlock(after), ...checkKeys(before, after, library)];
  const other = all.blocks.findByCode(after.propertyId, after.code);
  if (other && other.id !== after.id) problems.push(codeTaken('block', after.code));
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

/** A block of one unit carries the unit's code and name along, as long as no other block has the code. */
function blockAfter(all: Repositories, before: Block, unit: Unit, change: UnitChange): Block {
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
  const unitProblems = checkUnit(after);
  const problems = [
    ...unitProblems,
    ...checkChangedBlock(all, blockBefore, block, library).filter(
      ({ field }) => !unitProblems.some((problem) => problem.field === field),
    ),
  ];
  const isNewCommunity = after.communityKey !== before.communityKey;
  const other = all.units.findByCode(after.propertyId, after.code);
  if (other && other.id !== unitId) problems.push(codeTaken('unit', after.code));
  if (isNewCommunity && !library.communities.some(({ key }) => key === after.communityKey)) {
    const message = 'Natural community: pick one from the list.';
    problems.push({ code: 'unit-communityKey', field: 'communityKey', message });
  }
  if (problems.length > 0) return problems;
  all.units.update(after);
  all.blocks.update(block);
  all.changes.note('land', `Unit ${after.code} was changed.`);
  return [];
}
