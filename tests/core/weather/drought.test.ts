import { describe, expect, it } from 'vitest';
import { droughtIndex, droughtPointsOfDay } from '../../../src/core/weather/drought.ts';

// Computed for this project from the equations with the corrected constants (from memory), in another language.
const points = [
  [0, 80, 45, 12.487],
  [100, 90, 45, 19.221],
  [300, 90, 45, 13.729],
  [400, 75, 40, 4.016],
  [200, 60, 40, 2.006],
  [600, 95, 50, 8.152],
  [0, 51, 45, 1.04],
] as const;

/** Crane 1982 in mm and degrees C, from memory: an independent form of the same equation. */
function metricPoints(index: number, highF: number, annualInches: number): number {
  const heat = 0.968 * Math.exp(0.0875 * ((highF - 32) / 1.8) + 1.5552) - 8.3;
  const millimetres =
    ((203.2 - index * 0.254) * heat * 1e-3) /
    (1 + 10.88 * Math.exp(-0.001736 * annualInches * 25.4));
  return millimetres / 0.254;
}

describe('drought index', () => {
  it.each(points)('index %d, %d °F, %d in a year', (index, highF, annual, expected) => {
    const found = droughtPointsOfDay(index, highF, annual);
    expect(found).toBeCloseTo(expected, 2);
    expect(Math.abs(metricPoints(index, highF, annual) / found - 1)).toBeLessThan(0.0015);
  });

  it('does not dry at 50 °F', () => {
    expect(droughtPointsOfDay(300, 50, 40)).toBe(0);
  });

  // The same: ten days, 40 inches a year, start 250.
  it('follows the ten-day example', () => {
    const days = [
      [85, 0],
      [88, 0],
      [90, 0.15],
      [82, 0.3],
      [78, 0],
      [84, 0.1],
      [91, 0],
      [93, 0.65],
      [86, 0.05],
      [70, 0],
    ].map(([highF = 0, rainInches = 0]) => ({ highF, rainInches }));
    const expected = [
      259.97, 271.55, 284.19, 267.46, 273.89, 282.9, 295.96, 266.41, 271.74, 275.57,
    ];
    for (const [at, found] of droughtIndex(days, 40, 250).entries())
      expect(found).toBeCloseTo(expected[at] ?? Number.NaN, 1);
  });

  it('stays between 0 and 800', () => {
    expect(droughtIndex([{ highF: 60, rainInches: 12 }], 40, 300)[0]).toBeLessThan(4);
    const dry = droughtIndex(
      Array.from({ length: 2000 }, () => ({ highF: 110, rainInches: 0 })),
      40,
      0,
    );
    expect(dry.at(-1)).toBeLessThanOrEqual(800);
    expect(dry.at(-1)).toBeGreaterThan(799);
  });
});
