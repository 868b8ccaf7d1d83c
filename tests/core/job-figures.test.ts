import { describe, expect, test } from 'vitest';
import {
  bulkSeedPounds,
  chainsOf,
  effectiveAcresAnHour,
  firebreakWidths,
  hackCuts,
  type LineFuel,
  lineHours,
  personHoursOf,
  publishedBurnDay,
  pureLiveSeedShare,
} from '../../src/core/job-figures.ts';

/** CV05: Iowa State University Extension PM 696 / A3-24, table of field capacity, printed to a tenth of an acre. */
test.each([
  [6, 40, 0.7, 20.4],
  [6, 50, 0.7, 25.5],
  [5, 10, 0.63, 3.8],
  [5, 15, 0.63, 5.7],
  [6, 15, 0.63, 6.9],
  [6, 20, 0.63, 9.2],
  [6, 30, 0.6, 13.1],
])('%d mph, %d feet, efficiency %d: %d acres an hour', (mph, feet, efficiency, printed) => {
  // The table prints a half up or down: 25.45 stands as 25.5.
  expect(Math.abs(effectiveAcresAnHour(mph, feet, efficiency) - printed)).toBeLessThanOrEqual(
    0.051,
  );
});

test('CV05: 10 acres of disking at 3.82 acres an hour take 2.6 hours (derived)', () =>
  expect(10 / effectiveAcresAnHour(5, 10, 0.63)).toBeCloseTo(2.6, 1));

/** CV06: U.S. Geological Survey, Northern Prairie Wildlife Research Center, table 4, printed to the nearest 0.05. */
test.each([
  [90, 80, 1.389, 1.4],
  [70, 60, 2.381, 2.4],
  [95, 85, 1.238, 1.25],
  [60, 50, 3.333, 3.35],
])('CV06: purity %d, germination %d: %d pounds for one', (purity, germination, factor, printed) => {
  const pounds = bulkSeedPounds(1, 1, purity, germination);
  expect(pounds).toBeCloseTo(factor, 3);
  expect(Math.round(pounds * 20) / 20).toBeCloseTo(printed, 1);
});

/** CV07: Texas Department of Transportation, pure live seed. */
test('CV07: 85 % purity and 75 % germination', () => {
  expect(pureLiveSeedShare(85, 75)).toBeCloseTo(0.6375, 4);
  expect(pureLiveSeedShare(85, 75)).toBeCloseTo(0.64, 2);
  expect(bulkSeedPounds(1, 1, 85, 75)).toBeCloseTo(1.57, 2);
  expect(1 / 0.64).toBeCloseTo(1.56, 2);
  expect(bulkSeedPounds(8, 12, 85, 75)).toBeCloseTo((8 * 12) / 0.6375, 9);
});

/** CV09: account of a 26-acre oak woodland burn, 2013 (secondary copy). */
test('CV09: the published burn day is 68 person-hours, 2.6 an acre', () => {
  expect(personHoursOf(publishedBurnDay)).toBe(68);
  expect(personHoursOf(publishedBurnDay) / 26).toBeCloseTo(2.6, 1);
});

/** CV10: National Wildfire Coordinating Group, Firefighter Math 9.8. */
test('CV10: 900 feet an hour of a crew of 15', () => {
  expect(lineHours(1800, 900, 1)).toBe(2);
  expect(lineHours(1800, 900, 2)).toBe(1);
  expect(chainsOf(900)).toBeCloseTo(13.64, 2);
  expect(900 / 15).toBe(60);
});

/**
 * CV15: rule of fuel height from NRCS Missouri 394 guidance 2020; flame length NRCS Florida 394 job sheet 2003; flame height
 * Missouri fire-needs report 2025; downwind Iowa article 2020.
 */
describe('CV15: widths of a firebreak', () => {
  const widths = (own: Partial<LineFuel>) =>
    Object.fromEntries(
      firebreakWidths({
        ...{ fuelHeightFeet: null, flameLengthFeet: null, flameHeightFeet: null },
        ...own,
      }).map(({ key, widthFeet }) => [key, widthFeet]),
    );

  test.each<[Partial<LineFuel>, Record<string, number>]>([
    [{ fuelHeightFeet: 6 }, { 'fuel-height': 12, downwind: 60 }],
    [{ fuelHeightFeet: 1 }, { 'fuel-height': 4, downwind: 10 }],
    [{ flameHeightFeet: 20 }, { 'flame-height': 40 }],
    [{ flameHeightFeet: 4 }, { 'flame-height': 8 }],
    [{ flameLengthFeet: 2.5 }, { 'flame-length': 6 }],
    [{ flameLengthFeet: 5 }, { 'flame-length': 10 }],
    [{}, {}],
  ])('%o', (fuel, expected) => expect(widths(fuel)).toEqual(expected));
});

/** CV16: Penn State Extension, hack-and-squirt (secondary copy); rounding up is our own judgement. */
test.each([
  [10, 10],
  [1, 2],
  [3.5, 4],
  [0.5, 2],
])('CV16: a stem of %d inches takes %d cuts', (dbh, cuts) => expect(hackCuts(dbh)).toBe(cuts));
