import type { Operation } from './operation.ts';
import type { Unit } from './units.ts';

/** What a unit lacks of a sequence of work: all of it, or the burn that its natural community asks for. */
export type SequenceGap = 'no-sequence' | 'no-burn';

/** The gap of a unit, or null. A unit whose community has no interval between fires lacks no burn. */
export function sequenceGap(operation: Operation, unit: Unit): SequenceGap | null {
  const block = operation.blocks.find(({ id }) => id === unit.blockId);
  const sequence = operation.sequences.find(({ key }) => key === block?.sequenceKey);
  if (!sequence) return 'no-sequence';
  const burns = new Set(
    operation.treatments.filter(({ family }) => family === 'burn').map(({ key }) => key),
  );
  const hasBurn = sequence.steps.some((step) => step.treatmentKeys.some((key) => burns.has(key)));
  const community = operation.communities.find(({ key }) => key === unit.communityKey);
  return !hasBurn && community?.interval ? 'no-burn' : null;
}

/** How many units lack each. */
export function sequenceGapCounts(operation: Operation): Record<SequenceGap, number> {
  const gaps = operation.units.map((unit) => sequenceGap(operation, unit));
  const count = (gap: SequenceGap) => gaps.filter((one) => one === gap).length;
  return { 'no-sequence': count('no-sequence'), 'no-burn': count('no-burn') };
}
