import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  acresAYear,
  meanFireIntervalYears,
  workNeed,
  yearlyPartAcres,
} from '../../src/core/rates.ts';
import type { Rate } from '../../src/core/treatments.ts';
import { loadLibrary } from '../../src/reference/library.ts';

const library = loadLibrary();
const job = (basis: Rate['basis'], per: Rate['per'], amount: Rate['amount']) => ({
  key: 'job',
  rate: { basis, per, amount, status: 'default-to-edit', source: 'test' } satisfies Rate,
});
const size = { areaAcres: 0, lineFeet: 0, densityClass: null, crewPeople: 4 };

// Needs round up to half crew days (decided by the project); expected figures by hand.
describe('crew days of a job, in tenths', () => {
  const byDensity = { scattered: 4, moderate: 2, dense: 1, thicket: 0.5 };

  test.each<[string, ReturnType<typeof job>, Partial<Parameters<typeof workNeed>[1]>, number]>([
    [
      '20 acres, 1 acre a person-day, 4 people',
      job('acre', 'person-day', 1),
      { areaAcres: 20 },
      50,
    ],
    ['a hair over 5 days', job('acre', 'person-day', 1), { areaAcres: 20.1 }, 55],
    [
      'floating point does not cost half a day',
      job('acre', 'crew-day', 0.1),
      { areaAcres: 0.3 },
      30,
    ],
    ['a little work is half a day', job('acre', 'person-day', 1), { areaAcres: 0.1 }, 5],
    ['nothing to do', job('acre', 'person-day', 1), { areaAcres: 0 }, 0],
    [
      'density of the unit',
      job('acre', 'person-day', byDensity),
      { areaAcres: 4, densityClass: 'thicket' },
      20,
    ],
    ['density not noted is moderate', job('acre', 'person-day', byDensity), { areaAcres: 8 }, 10],
    ['by crew-day the people do not count', job('acre', 'crew-day', 5), { areaAcres: 10 }, 20],
    ['feet of line', job('line-foot', 'person-day', 1000), { lineFeet: 6000 }, 15],
    ['machine-hours, seven a day', job('acre', 'machine-hour', 2), { areaAcres: 28 }, 20],
    ['points', job('point', 'person-day', 3), { points: 24 }, 20],
    ['fixed', job('fixed', 'crew-day', 1), { areaAcres: 300 }, 10],
    ['fixed is rounded too', job('fixed', 'crew-day', 0.6), {}, 10],
  ])('%s', (_name, treatment, own, tenths) => {
    expect(workNeed(treatment, { ...size, ...own })).toBe(tenths);
  });

  test('always half days, enough for the work and less than half a day too much', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 50_000 }),
        fc.integer({ min: 1, max: 400 }),
        fc.integer({ min: 1, max: 12 }),
        (acres100, rate10, crewPeople) => {
          const areaAcres = acres100 / 100;
          const amount = rate10 / 10;
          const tenths = workNeed(job('acre', 'person-day', amount), {
            ...size,
            areaAcres,
            crewPeople,
          });
          const done = (tenths / 10) * amount * crewPeople;
          expect(tenths % 5).toBe(0);
          expect(done).toBeGreaterThan(areaAcres - 1e-6);
          expect(((tenths - 5) / 10) * amount * crewPeople).toBeLessThan(areaAcres + 1e-6);
        },
      ),
    );
  });

  test('a rate of nothing and a crew of nobody are refused', () => {
    expect(() => workNeed(job('acre', 'person-day', 0), size)).toThrow(RangeError);
    expect(() =>
      workNeed(job('acre', 'person-day', 1), { ...size, areaAcres: 1, crewPeople: 0 }),
    ).toThrow(RangeError);
  });

  test('thicker cedar takes longer, in every shipped rate by density', () => {
    for (const { key, rate } of library.treatments)
      if (typeof rate.amount !== 'number') {
        const { scattered, moderate, dense, thicket } = rate.amount;
        expect([scattered, moderate, dense, thicket], key).toEqual(
          [scattered, moderate, dense, thicket].sort((a, b) => b - a),
        );
      }
  });

  // 0.2 to 0.4 miles a person-hour finished on rocky slopes: practice, no source. 5,280 ft to the mile.
  test('a mile of blown line is two to five person-days', () => {
    const line = library.treatments.find((row) => row.key === 'line-build');
    const amount = Number(line?.rate.amount);
    expect(amount / 5280 / 6).toBeGreaterThanOrEqual(0.2);
    expect(amount / 5280 / 6).toBeLessThanOrEqual(0.4);
  });

  // Iowa State University PM-696 / A3-24: 5 mph x 10 ft x 0.63 / 8.25 = 3.82 acres an hour.
  test('the disking rate is the published field capacity', () => {
    const disking = library.treatments.find((row) => row.key === 'strip-disking');
    expect(Number(disking?.rate.amount)).toBeCloseTo((5 * 10 * 0.63) / 8.25, 2);
    expect(disking?.rate).toMatchObject({
      basis: 'acre',
      per: 'machine-hour',
      status: 'published',
    });
  });
});

// LANDFIRE 2016 biophysical-setting table, LF 2.2.0: replacement, mixed, surface and all-fire intervals.
describe('mean fire interval', () => {
  test.each<[string, (number | null)[], number, number]>([
    ['dry oak woodland', [38, 89, 6], 4.9, 5],
    ['dry-mesic oak forest', [188, 66, 15], 11.48, 11],
    ['calcareous glade', [19, 16, 5], 3.17, 3],
    ['oak savanna', [550, 189, 5], 4.83, 5],
    ['tallgrass prairie', [4, null, null], 4, 4],
    ['sand tallgrass prairie', [4, null, 87], 3.82, 3],
  ])('%s', (_name, kinds, computed, published) => {
    const mean = meanFireIntervalYears(kinds);
    expect(Math.abs(mean - computed)).toBeLessThan(0.01);
    expect(Math.abs(mean - published)).toBeLessThan(1);
  });

  test('no fire at all has no interval', () => {
    expect(() => meanFireIntervalYears([null, null])).toThrow(RangeError);
  });

  // Missouri fire-needs report 2025, worked example: 1,000 acres at a mean interval of 5 years are 200 acres a year.
  test('acres a year', () => {
    expect(acresAYear(1000, 5)).toBe(200);
  });
});

describe('strip disking in thirds', () => {
  // Tennessee strip-disking guide: three-year rotation, disk one width, leave two.
  test('each strip comes round every third year: a 1, 4, 7; b 2, 5, 8; c 3, 6, 9', () => {
    const sequence = library.sequences.find((row) => row.key === 'quail-field-thirds');
    const parts = sequence?.partsCount ?? 0;
    const years = sequence?.repeat.years ?? 0;
    const yearsOf = (part: number) => [0, 1, 2].map((round) => part + 1 + round * years);
    expect([...Array(parts).keys()].map(yearsOf)).toEqual([
      [1, 4, 7],
      [2, 5, 8],
      [3, 6, 9],
    ]);
  });

  // Indiana Conservation Reserve strip-disking job sheet (copy): at most one third of a field a year on 5 acres or more.
  test('Indiana contract fields', () => {
    expect(yearlyPartAcres(30, 3, 5)).toBe(10);
    expect(yearlyPartAcres(5, 3, 5)).toBeCloseTo(5 / 3, 12);
    expect(yearlyPartAcres(4, 3, 5)).toBeNull();
  });
});
