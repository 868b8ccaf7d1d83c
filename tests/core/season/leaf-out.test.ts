import { describe, expect, it } from 'vitest';
import { isoDate } from '../../../src/core/dates.ts';
import {
  dailyMeans,
  forSpecies,
  hopkinsDays,
  type LeafOutModel,
  leafOutByLatitude,
  leafOutByYear,
  leafOutEstimate,
  leafOutOfYear,
  usualDailyMeans,
} from '../../../src/core/season/leaf-out.ts';
import { sunTimes } from '../../../src/core/season/sun.ts';
import { type DailyYear, missingReading } from '../../../src/core/weather/history.ts';
import { loadLibrary } from '../../../src/reference/library.ts';

const models = loadLibrary().weatherTables.leafOutModels;
const modelOf = (key: string) => models.find((row) => row.key === key) as LeafOutModel;
const redOak = modelOf('red-oak');
const place = { latitude: 38.5, longitude: -92.5 };

function steadyYear(year: number, meanC: number): DailyYear {
  const days = year % 4 === 0 ? 366 : 365;
  const filled = (value: number) => new Int16Array(days).fill(value);
  return {
    year,
    highC10: filled(meanC * 10 + 50),
    lowC10: filled(meanC * 10 - 50),
    rainMm10: filled(0),
    snowCm: filled(0),
    windMs10: filled(20),
    gustMs10: filled(50),
  };
}

describe('leaf-out', () => {
  // 132 degree days above 5 C at 10 a day: the 14th day from 1 April, in common and leap years.
  it.each([2023, 2024])('counts warmth from 1 April in %d', (year) => {
    const means = dailyMeans(steadyYear(year, 15));
    expect(leafOutOfYear(redOak, year, means, place)).toBe(`${year}-04-14`);
  });

  it('day length speeds the photothermal model', () => {
    const model = modelOf('canopy-photothermal');
    let sum = 0;
    let day = 0;
    // 16 March is day 75 of a common year; 10 degrees above the base of 2.
    while (sum < 638) {
      const date = isoDate(
        day < 16 ? `2023-03-${16 + day}` : `2023-04-${String(day - 15).padStart(2, '0')}`,
      );
      sum += 10 * (sunTimes(date, place.latitude, place.longitude).dayLengthHours / 10) ** 3;
      day += 1;
    }
    const last = day - 1;
    const expected =
      last < 16 ? `2023-03-${16 + last}` : `2023-04-${String(last - 15).padStart(2, '0')}`;
    expect(leafOutOfYear(model, 2023, dailyMeans(steadyYear(2023, 12)), place)).toBe(expected);
  });

  it('a gap of more than three days before leaf-out leaves the year without a date', () => {
    const gap = steadyYear(2023, 15);
    gap.highC10.fill(missingReading, 93, 97);
    const bridged = steadyYear(2019, 15);
    bridged.highC10.fill(missingReading, 93, 96);
    const after = steadyYear(2021, 15);
    after.lowC10[200] = missingReading;
    expect(leafOutByYear(redOak, [gap, after, bridged, steadyYear(2022, 4)], place)).toEqual([
      { year: 2023, date: null },
      { year: 2021, date: '2021-04-14' },
      { year: 2019, date: '2019-04-14' },
      { year: 2022, date: null },
    ]);
  });

  it('firms up from past years to this spring, and the error shrinks', () => {
    const usualMeanC = usualDailyMeans([steadyYear(2020, 11), steadyYear(2021, 11)]);
    const ask = (knownDays: number) =>
      leafOutEstimate({
        year: 2023,
        place,
        model: redOak,
        dailyMeanC: dailyMeans(steadyYear(2023, 16)).slice(0, knownDays),
        usualMeanC,
      });
    expect(ask(0)).toEqual({
      date: '2023-04-22',
      errorDays: 9,
      basis: 'from past years',
      daysOfSpringKnown: 0,
    });
    expect(ask(90)).toMatchObject({ basis: 'from past years', errorDays: 9 });
    const half = ask(96);
    expect(half.basis).toBe('computed from this spring');
    expect(half.errorDays).toBeLessThan(9);
    expect(ask(200)).toEqual({
      date: '2023-04-12',
      errorDays: 4,
      basis: 'computed from this spring',
      daysOfSpringKnown: 12,
    });
  });

  // Fit of this project to 333 site-years of green-up: 26.3 + 2.18 lat - 0.080 lon.
  it('without temperatures goes by latitude, with the larger error', () => {
    const found = leafOutEstimate({
      year: 2023,
      place: { latitude: 40, longitude: -90 },
      model: redOak,
      dailyMeanC: [],
      usualMeanC: [],
    });
    // 26.3 + 87.2 + 7.2 = 120.7: day 121.
    expect(found).toEqual({
      date: '2023-05-01',
      errorDays: 12.1,
      basis: 'latitude fit',
      daysOfSpringKnown: 0,
    });
    const uphill = { latitude: 40, longitude: -90, elevationFeet: 1400 };
    expect(leafOutByLatitude(2023, uphill).date).toBe('2023-05-05');
  });

  // Hopkins 1918, worked for this project: 42.54 N 72.20 W 340 m to 40.1 N 88.2 W 220 m.
  it("Hopkins' law runs later northward, eastward and upward", () => {
    const from = { latitude: 42.54, longitude: -72.2, elevationMetres: 340 };
    const to = { latitude: 40.1, longitude: -88.2, elevationMetres: 220 };
    expect(126.7 + hopkinsDays(from, to)).toBeCloseTo(100.2, 1);
  });

  // Offsets computed from Harvard Forest: white oak 6.6, black oak 4.6 days after red oak.
  it('carries a date from species to species', () => {
    expect(forSpecies(isoDate('2023-04-20'), redOak, modelOf('white-oak'))).toBe('2023-04-27');
    expect(forSpecies(isoDate('2023-04-20'), modelOf('white-oak'), redOak)).toBe('2023-04-13');
  });

  it('every model says whose judgement it is', () => {
    for (const model of models) expect(model.status).toBe('default-to-edit');
  });
});
