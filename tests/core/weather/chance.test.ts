import { describe, expect, test } from 'vitest';
import { chanceOf, percentile } from '../../../src/core/weather/chance.ts';

describe('the chance of a burn', () => {
  // Wilson 1927 score interval; the ends are worked from the formula by hand, apart from the code.
  test.each([
    [33, 41, 0.66, 0.898],
    [41, 41, 0.914, 1],
    [20, 41, 0.343, 0.635],
    [8, 10, 0.49, 0.943],
  ])('%i of %i lies from %f to %f', (done, of, low, high) => {
    const chance = chanceOf(done, of);
    expect(chance.low).toBeCloseTo(low, 3);
    expect(chance.high).toBeCloseTo(high, 3);
  });

  test('says nothing when nothing was tried', () => {
    expect(chanceOf(0, 0)).toEqual({ done: 0, of: 0, low: 0, high: 1 });
  });

  test('takes the 5th and the 37th of 41 for one in ten and nine in ten', () => {
    const values = Array.from({ length: 41 }, (_, index) => 41 - index);
    expect([percentile(values, 0.1), percentile(values, 0.5), percentile(values, 0.9)]).toEqual([
      5, 21, 37,
    ]);
  });
});
