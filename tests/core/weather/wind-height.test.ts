import { describe, expect, it } from 'vitest';
import {
  inStandWindFactor,
  openWindFactor,
  shelteredWindFactor,
  windAt2Metres,
  windAt10Metres,
  windAt20Feet,
  windInStand,
} from '../../../src/core/weather/wind-height.ts';

describe('wind height', () => {
  // Turner and Lawson 1978: 10 m is 1.15 times 20 feet.
  it.each([
    [10, 8.7],
    [15, 13.04],
  ])('%d at 10 m is %s at 20 feet', (wind, expected) => {
    expect(windAt20Feet(wind)).toBeCloseTo(expected, 2);
    expect(windAt10Metres(windAt20Feet(wind))).toBeCloseTo(wind, 9);
  });

  // FAO-56 Example 14: 3.2 m/s at 10 m is 2.4 at 2 m.
  it('FAO-56 Example 14', () => {
    expect(windAt2Metres(3.2, 10)).toBeCloseTo(2.39, 2);
  });

  // Albini and Baughman 1979, from memory; computed for this project.
  it.each([
    [0.2, 0.275],
    [1, 0.362],
    [2, 0.418],
    [2.5, 0.44],
    [3, 0.459],
    [6, 0.547],
  ])('open fuel %s feet deep', (depth, factor) => {
    expect(openWindFactor(depth)).toBeCloseTo(factor, 3);
  });

  it.each([
    [60, 0.1, 0.135],
    [60, 0.2, 0.096],
    [40, 0.15, 0.12],
  ])('canopy %d feet high, share %s', (height, share, factor) => {
    expect(shelteredWindFactor(height, share)).toBeCloseTo(factor, 3);
  });

  // NWCG course page: fully sheltered, dense: 15 mph at 20 feet is 1.5 at midflame. Leafless woodland 0.2 to 0.3, memory.
  it('falls at leaf-out', () => {
    const oaks = { canopyPercent: 70, fuelDepthFeet: 0.2 };
    expect(15 * inStandWindFactor({ ...oaks, isLeafOn: true })).toBeCloseTo(1.5, 9);
    expect(inStandWindFactor({ ...oaks, isLeafOn: false })).toBe(0.2);
    expect(inStandWindFactor({ ...oaks, isLeafOn: false, isEvergreen: true })).toBe(0.1);
    expect(inStandWindFactor({ ...oaks, canopyPercent: 40, isLeafOn: true })).toBe(0.2);
    expect(inStandWindFactor({ canopyPercent: 40, fuelDepthFeet: 1, isLeafOn: false })).toBe(0.3);
    // Open ground under a thin canopy is never windier for its trees.
    expect(inStandWindFactor({ canopyPercent: 5, fuelDepthFeet: 1, isLeafOn: true })).toBeCloseTo(
      0.362,
      3,
    );
    expect(windInStand(11.5, { ...oaks, isLeafOn: false })).toBeCloseTo(2, 9);
  });
});
