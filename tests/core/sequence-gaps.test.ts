import { describe, expect, test } from 'vitest';
import type { Operation } from '../../src/core/operation.ts';
import { sequenceGap, sequenceGapCounts } from '../../src/core/sequence-gaps.ts';
import { fakeOperation } from '../support/operation.ts';

const withKey = (blockId: number, sequenceKey: string | null): Operation => {
  const operation = fakeOperation();
  operation.blocks.find(({ id }) => id === blockId)!.sequenceKey = sequenceKey;
  return operation;
};

describe('what a unit lacks of a sequence', () => {
  test.each([
    ['a burn in it', withKey(1, 'cedar-woodland'), 1, null],
    ['none', withKey(1, null), 1, 'no-sequence'],
    ['one that is not in the table', withKey(1, 'gone'), 1, 'no-sequence'],
    ['no burn where the community asks for fire', withKey(1, 'old-field-spray'), 1, 'no-burn'],
  ] as const)('%s', (_name, operation, unitId, expected) => {
    const unit = operation.units.find(({ id }) => id === unitId)!;
    expect(sequenceGap(operation, unit)).toBe(expected);
  });

  test('a community without an interval lacks no burn', () => {
    const operation = withKey(1, 'old-field-spray');
    const unit = operation.units[0]!;
    operation.communities.find(({ key }) => key === unit.communityKey)!.interval = null;
    expect(sequenceGap(operation, unit)).toBeNull();
  });

  test('both units of a block count', () => {
    const before = sequenceGapCounts(fakeOperation())['no-sequence'];
    expect(sequenceGapCounts(withKey(6, null))['no-sequence']).toBe(before + 2);
  });
});
