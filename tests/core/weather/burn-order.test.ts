import { describe, expect, test } from 'vitest';
import { type BurnClaim, claimWords, compareClaims } from '../../../src/core/weather/burn-order.ts';

function claim(key: string, own: Partial<BurnClaim> = {}): BurnClaim {
  return {
    key,
    fitDaysASeason: 20,
    closesInDays: 60,
    isOverdue: false,
    missingCount: 0,
    hasBlackNeighbour: false,
    plannedFrom: 100,
    ...own,
  };
}

describe('the order of blocks on a day', () => {
  // Each line beats the next one on the reason it names. Practice judgement, no source.
  test.each<[string, Partial<BurnClaim>, Partial<BurnClaim>]>([
    ['ready before rare', {}, { missingCount: 1, fitDaysASeason: 2 }],
    ['rare before what shuts soon', { fitDaysASeason: 7 }, { closesInDays: 3 }],
    ['what shuts soon before overdue', { closesInDays: 21 }, { isOverdue: true }],
    ['overdue before fewer fit days', { isOverdue: true }, { fitDaysASeason: 9 }],
    [
      'fewer fit days before a black neighbour',
      { fitDaysASeason: 19 },
      { hasBlackNeighbour: true },
    ],
    [
      'a black neighbour before the order of the plan',
      { hasBlackNeighbour: true },
      { plannedFrom: 1 },
    ],
    ['the order of the plan', { plannedFrom: 99 }, {}],
  ])('%s', (_name, first, second) => {
    const [a, b] = [claim('z', first), claim('a', second)];
    expect([b, a].sort(compareClaims).map((one) => one.key)).toEqual(['z', 'a']);
  });

  test('is the same whatever the order of the list', () => {
    const claims = [claim('c'), claim('a'), claim('b', { isOverdue: true })];
    const keys = (list: BurnClaim[]) => list.toSorted(compareClaims).map((one) => one.key);
    expect(keys(claims)).toEqual(['b', 'a', 'c']);
    expect(keys(claims.toReversed())).toEqual(['b', 'a', 'c']);
  });

  test('gives its reasons in words, the strongest first', () => {
    const own = { fitDaysASeason: 4.25, closesInDays: 9, isOverdue: true, missingCount: 2 };
    expect(claimWords(claim('a', own))).toEqual([
      'its fit days are rare (4.3 a season)',
      'its window shuts in 9 days',
      'overdue for fire',
      'not everything is on file',
    ]);
  });
});
