import { describe, expect, test } from 'vitest';
import { fromDay, isLeapYear, isoDate, toDay } from '../../../src/core/dates.ts';
import {
  droughtByMonth,
  droughtHistory,
  droughtStage,
  lastWettingRain,
  meanAnnualRain,
} from '../../../src/core/weather/drought-history.ts';
import { type DailyYear, missingReading, traceRain } from '../../../src/core/weather/history.ts';

const jan1 = (year: number) => toDay(isoDate(`${year}-01-01`));

/** A year whose high (tenths of C) and rain (tenths of a mm) hang on the day of the year. */
function yearOf(
  year: number,
  high: (day: number) => number,
  rain: (day: number) => number,
): DailyYear {
  const length = isLeapYear(year) ? 366 : 365;
  const column = (of: (day: number) => number) => Int16Array.from({ length }, (_, at) => of(at));
  const none = () => column(() => missingReading);
  return {
    year,
    highC10: column(high),
    lowC10: none(),
    rainMm10: column(rain),
    snowCm: none(),
    windMs10: none(),
    gustMs10: none(),
  };
}

/** Warm summers, 20.0 mm on two days of each ten: 5.08 mm of each such run stays in the leaves. */
const summer = (day: number) => Math.round(180 - 160 * Math.cos((2 * Math.PI * day) / 365));
const twoInTen = (day: number) => (day % 10 < 2 ? 200 : 0);
const plain = (year: number) => yearOf(year, summer, twoInTen);

/** The index in mm and degrees C after Crane 1982, from memory: an independent form, day by day. */
function craneIndexes(years: DailyYear[], annualMm: number): number[] {
  let q = 0;
  let run = 0;
  return years.flatMap(({ highC10, rainMm10 }) =>
    [...highC10].map((high, at) => {
      const rain = (rainMm10[at] ?? 0) / 10;
      const used = Math.min(5.08, run);
      run = rain > 0 ? run + rain : 0;
      const net = rain > 0 ? Math.max(0, rain - (5.08 - used)) : 0;
      q = Math.max(0, q - net);
      const heat = 0.968 * Math.exp(0.0875 * (high / 10) + 1.5552) - 8.3;
      const dried = ((203.2 - q) * heat * 1e-3) / (1 + 10.88 * Math.exp(-0.001736 * annualMm));
      if (high > 100) q += Math.max(0, dried);
      return q / 0.254;
    }),
  );
}

describe('index of a history', () => {
  test('is that of the metric form, and nothing of the first year is told', () => {
    const years = [plain(2021), plain(2022), plain(2023)];
    const history = droughtHistory(years);
    expect(history?.startedOn).toBe('2021-01-01');
    expect(history?.days[0]?.day).toBe(jan1(2022));
    expect(history?.days).toHaveLength(730);
    // 74 days of 20.0 mm a year: two in each ten of 365.
    expect(history?.annualRainInches).toBeCloseTo((74 * 20) / 25.4, 3);
    const crane = craneIndexes(years, 74 * 20);
    const indexes = history?.days.map(({ index }) => index) ?? [];
    expect(Math.max(...indexes)).toBeGreaterThan(60);
    for (const [at, index] of indexes.entries())
      expect(Math.abs(index - (crane[365 + at] ?? Number.NaN))).toBeLessThan(1);
  });

  test.each([
    [36, true],
    [37, false],
  ])('%d unknown days in a year: told %s', (unknown, isTold) => {
    const gaps = yearOf(2022, (day) => (day < unknown ? missingReading : summer(day)), twoInTen);
    const history = droughtHistory([plain(2021), gaps, plain(2023)]);
    const on = (date: string) => history?.days.some(({ day }) => fromDay(day) === date);
    expect(on('2022-12-31')).toBe(isTold);
    // A year after the gap nothing of it is in the last 365 days.
    expect(on('2023-12-31')).toBe(true);
  });

  test('an unknown day leaves the index as it was, and is itself not told', () => {
    const hole = yearOf(2022, summer, (day) => (day === 200 ? missingReading : twoInTen(day)));
    const days = droughtHistory([plain(2021), hole])?.days ?? [];
    const at = (day: number) => days.find((one) => one.day === jan1(2022) + day)?.index;
    expect(at(200)).toBeUndefined();
    expect(at(199)).toBeDefined();
    // Day 200 would have been the first of two days of rain.
    expect(at(201)).toBeLessThan(at(199) ?? 0);
  });

  test.each([
    ['no year', []],
    ['a year of days', [plain(2021)]],
    ['no whole year of rain', [2021, 2022].map((y) => yearOf(y, summer, () => missingReading))],
  ])('%s: nothing is told', (_, years) => expect(droughtHistory(years)).toBeNull());
});

describe('mean rain of a year', () => {
  test('years with more than ten days of rain missing are left out; a trace is nothing', () => {
    const rain = (missing: number, mm10: number) => (day: number) =>
      day < missing ? missingReading : day === 100 ? mm10 : traceRain;
    const years = [
      yearOf(2021, summer, rain(0, 2540)),
      yearOf(2022, summer, rain(10, 5080)),
      yearOf(2023, summer, rain(11, 25400)),
    ];
    expect(meanAnnualRain(years)).toEqual({ inches: 15, years: 2 });
  });
});

// Stages 0 to 7 are 0-99, 100-199 ... 700-800: a page of the US National Weather Service office at Jackson.
test.each([
  [0, 0, 0, 99],
  [99.4, 0, 0, 99],
  [99.6, 1, 100, 199],
  [350, 3, 300, 399],
  [699, 6, 600, 699],
  [800, 7, 700, 800],
])('index %d is stage %d, %d to %d', (index, stage, from, to) => {
  expect(droughtStage(index)).toEqual({ stage, from, to });
});

describe('by month', () => {
  const flat = (year: number, index: number, from = 0, until = 365) =>
    Array.from({ length: until - from }, (_, at) => ({ day: jan1(year) + from + at, index }));

  test('P10, median and P90 of ten past years by nearest rank, and the year itself', () => {
    const days = [
      ...Array.from({ length: 10 }, (_, at) => flat(2011 + at, 10 * (at + 1))).flat(),
      ...flat(2021, 400, 0, 40),
    ];
    const [january, february, march] = droughtByMonth({ days }, 2021);
    const past = { p10: 10, median: 50, p90: 90, years: 10 };
    expect(january).toEqual({ past, own: 400 });
    expect(february).toEqual({ past, own: 400 });
    expect(march).toEqual({ past, own: null });
  });

  test('four past years make no span; a month of fewer than fifteen days is not counted', () => {
    const days = Array.from({ length: 5 }, (_, at) =>
      flat(2011 + at, 100, at === 0 ? 17 : 0, 365),
    ).flat();
    expect(droughtByMonth({ days }, 2016)[0]?.past).toBeNull();
    expect(droughtByMonth({ days }, 2016)[1]?.past?.years).toBe(5);
    expect(droughtByMonth({ days }, 2015)[1]?.past).toBeNull();
  });
});

describe('the last wetting rain', () => {
  // A tenth of an inch is 2.54 mm: 2.5 mm is not one, 2.6 mm is.
  test('less than a tenth of an inch does not count; unknown days after it are counted', () => {
    const rain = (day: number) =>
      day > 300 || day === 250 ? missingReading : day === 100 ? 26 : day === 200 ? 25 : 0;
    expect(lastWettingRain([yearOf(2022, summer, rain)])).toEqual({
      day: jan1(2022) + 100,
      inches: 26 / 254,
      newestDay: jan1(2022) + 300,
      unknownDays: 1,
    });
  });

  test('is looked for in the year before, too; null without any', () => {
    const wet = yearOf(2021, summer, (day) => (day === 360 ? 100 : 0));
    const dry = yearOf(2022, summer, () => 0);
    expect(lastWettingRain([wet, dry])?.day).toBe(jan1(2021) + 360);
    expect(lastWettingRain([dry])).toBeNull();
  });
});
