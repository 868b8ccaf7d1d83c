import { describe, expect, it } from 'vitest';
import { isLeapYear } from '../../../src/core/dates.ts';
import {
  countFitDays,
  dailyVerdicts,
  prescriptionRule,
} from '../../../src/core/weather/fit-days.ts';
import { missingReading, traceRain, type WeatherYear } from '../../../src/core/weather/history.ts';
import type { Prescription } from '../../../src/core/weather/prescriptions.ts';

const central = { standardOffsetMinutes: -360 };

const rule: Prescription = {
  key: 'r',
  name: 'Rule of the test',
  use: 'check',
  status: 'default-to-edit',
  source: '',
  temperatureF: { least: 35, most: 80 },
  rhPercent: { least: 30, most: 60 },
  windMph: { least: 5, most: 15 },
  fromHour: 11,
  toHour: 15,
  hoursInRow: 3,
  dryDaysBefore: 0,
  wettingRainInches: 0.1,
  rainEndsRun: true,
  missingRain: 'unknown',
  note: '',
};

type Column = Exclude<keyof WeatherYear, 'year' | 'gustMs10' | 'snowCm'>;

/** A year in which every hour is fit: 15 C, dew point 5 C (51 %), wind 4 m/s (9 mph), dry. */
function fitYear(year: number): WeatherYear {
  const hours = (isLeapYear(year) ? 366 : 365) * 24;
  const column = (value: number) => new Int16Array(hours).fill(value);
  return {
    year,
    temperatureC10: column(150),
    dewPointC10: column(50),
    windMs10: column(40),
    windDirectionDegrees: column(270),
    rainMm10: column(0),
  };
}

/** Sets hours of local days (0 = 1 January) in the central zone. */
function set(year: WeatherYear, column: Column, day: number, hours: number[], value: number): void {
  for (const hour of hours) year[column][day * 24 + hour + 6] = value;
}

const allDay = Array.from({ length: 24 }, (_, hour) => hour);

function verdict(year: WeatherYear, day: number, own: Partial<Prescription> = {}) {
  return dailyVerdicts([year], central, prescriptionRule({ ...rule, ...own }))[day];
}

describe('one day under a prescription', () => {
  it('all hours inside: fit', () => {
    expect(verdict(fitYear(2021), 40)).toEqual({
      date: '2021-02-10',
      verdict: 'fit',
      hoursInRow: 5,
      unknownHours: 0,
    });
  });

  // Each row spoils the middle hour (13 h) of a run of five, so that only two hours in a row are left.
  it.each<[string, Column, number, Partial<Prescription>, string]>([
    ['too cold', 'temperatureC10', 16, {}, 'unfit'],
    ['too dry', 'dewPointC10', -100, {}, 'unfit'],
    ['too damp', 'dewPointC10', 100, {}, 'unfit'],
    ['calm', 'windMs10', 0, {}, 'unfit'],
    ['rain', 'rainMm10', 3, {}, 'unfit'],
    ['a trace of rain', 'rainMm10', traceRain, {}, 'unfit'],
    ['rain that does not end the run', 'rainMm10', 3, { rainEndsRun: false }, 'fit'],
    ['no temperature', 'temperatureC10', missingReading, {}, 'unknown'],
    ['no dew point', 'dewPointC10', missingReading, {}, 'unknown'],
    ['no wind', 'windMs10', missingReading, {}, 'unknown'],
    ['no rain', 'rainMm10', missingReading, {}, 'unknown'],
    ['no rain, taken as dry', 'rainMm10', missingReading, { missingRain: 'dry' }, 'fit'],
    ['no rain, of no interest', 'rainMm10', missingReading, { rainEndsRun: false }, 'fit'],
    [
      'no wind, none limited',
      'windMs10',
      missingReading,
      { windMph: { least: null, most: null } },
      'fit',
    ],
  ])('%s', (_name, column, value, own, expected) => {
    const year = fitYear(2021);
    set(year, column, 40, [13], value);
    expect(verdict(year, 40, own)?.verdict).toBe(expected);
    expect(verdict(year, 39, own)?.verdict).toBe('fit');
    expect(verdict(year, 41, own)?.verdict).toBe('fit');
  });

  it('an hour that is outside anyway is unfit, not unknown, and still counted as lacking an element', () => {
    const year = fitYear(2021);
    set(year, 'windMs10', 40, [13], missingReading);
    set(year, 'temperatureC10', 40, [13], -50);
    expect(verdict(year, 40)).toMatchObject({ verdict: 'unfit', unknownHours: 1 });
  });

  it('three good hours at the end of the span are enough, and hours outside it do not count', () => {
    const year = fitYear(2021);
    set(year, 'windMs10', 40, [11, 12], 0);
    set(year, 'windMs10', 41, [12, 13], 0);
    expect(verdict(year, 40)).toMatchObject({ verdict: 'fit', hoursInRow: 3 });
    expect(verdict(year, 41)).toMatchObject({ verdict: 'unfit', hoursInRow: 2 });
  });

  it.each([
    ['2 C is 35.6 F', 20, 35.6, 109.4],
    ['43 C is 109.4 F', 430, 35.6, 109.4],
  ])('a reading on the limit is inside: %s', (_name, c10, least, most) => {
    const year = fitYear(2021);
    year.temperatureC10.fill(c10);
    const own = { temperatureF: { least, most }, rhPercent: { least: null, most: null } };
    expect(verdict(year, 40, own)?.verdict).toBe('fit');
    const tenth = c10 === 20 ? -1 : 1;
    year.temperatureC10.fill(c10 + tenth);
    expect(verdict(year, 40, own)?.verdict).toBe('unfit');
  });

  it('no tenth of a degree C falls out of its own limit in F by rounding', () => {
    const whole = fitYear(2021);
    const twoDays: WeatherYear = { ...whole, temperatureC10: whole.temperatureC10.slice(0, 48) };
    const fallen = Array.from({ length: 800 }, (_, index) => index - 300).filter((c10) => {
      twoDays.temperatureC10.fill(c10);
      const degreesF = Number((c10 * 0.18 + 32).toFixed(2));
      const rhPercent = { least: null, most: null };
      const temperatureF = { least: degreesF, most: degreesF };
      return verdict(twoDays, 0, { rhPercent, temperatureF })?.verdict !== 'fit';
    });
    expect(fallen).toEqual([]);
  });
});

describe('dry days before', () => {
  // 26 tenths of a millimetre are 0.102 inch. Days since: 0 on the day itself.
  it.each([
    [1, ['unfit', 'fit', 'fit']],
    [2, ['unfit', 'unfit', 'fit']],
    [3, ['unfit', 'unfit', 'unfit']],
    [0, ['fit', 'fit', 'fit']],
  ])(
    '%d: the day of a wetting rain in the morning and the two after it',
    (dryDaysBefore, expected) => {
      const year = fitYear(2021);
      set(year, 'rainMm10', 40, [5], 26);
      const days = [40, 41, 42].map((day) => verdict(year, day, { dryDaysBefore })?.verdict);
      expect(days).toEqual(expected);
    },
  );

  it('rain of several hours adds up over the local day, and a little less than the limit is not wetting', () => {
    const year = fitYear(2021);
    set(year, 'rainMm10', 40, [0, 23], 13);
    set(year, 'rainMm10', 60, [0, 23], 12);
    expect(verdict(year, 41, { dryDaysBefore: 2 })?.verdict).toBe('unfit');
    expect(verdict(year, 61, { dryDaysBefore: 2 })?.verdict).toBe('fit');
  });

  it('rain after the last hour of the day does not undo that day', () => {
    const year = fitYear(2021);
    set(year, 'rainMm10', 40, [18], 60);
    expect(verdict(year, 40, { dryDaysBefore: 2 })?.verdict).toBe('fit');
    expect(verdict(year, 41, { dryDaysBefore: 2 })?.verdict).toBe('unfit');
  });

  it('a day before without any rain record makes the day unknown, unless missing rain is dry', () => {
    const year = fitYear(2021);
    set(year, 'rainMm10', 40, allDay, missingReading);
    expect(verdict(year, 41, { dryDaysBefore: 2 })?.verdict).toBe('unknown');
    expect(verdict(year, 41, { dryDaysBefore: 2, missingRain: 'dry' })?.verdict).toBe('fit');
    expect(verdict(year, 42, { dryDaysBefore: 2 })?.verdict).toBe('fit');
  });
});

describe('counting', () => {
  it('counts half-months: 15 days, the rest, and 29 February', () => {
    const [count] = countFitDays([fitYear(2020)], central, rule);
    expect(count).toMatchObject({ year: 2020, unknownHours: 0, isWholeYear: true });
    expect(count?.halfMonths.slice(0, 4)).toEqual([15, 16, 15, 14]);
    expect(count?.halfMonths.reduce((sum, days) => sum + days, 0)).toBe(366);
  });

  it('counts hours inside the hours of day that lack an element', () => {
    const year = fitYear(2021);
    set(year, 'windMs10', 40, [10, 11, 12, 16], missingReading);
    expect(countFitDays([year], central, rule)[0]?.unknownHours).toBe(2);
  });

  it('a year without any observation in a month is not whole', () => {
    const year = fitYear(2021);
    for (const column of ['temperatureC10', 'dewPointC10', 'windMs10', 'rainMm10'] as const)
      year[column].fill(missingReading, 334 * 24);
    expect(countFitDays([year], central, rule)[0]).toMatchObject({ isWholeYear: false });
    year.temperatureC10[8700] = 10;
    expect(countFitDays([year], central, rule)[0]).toMatchObject({ isWholeYear: true });
  });

  it('takes the evening hours of 31 December from the next UTC year, when it is there', () => {
    const evening = { ...rule, fromHour: 18, toHour: 22 };
    const alone = dailyVerdicts([fitYear(2021)], central, prescriptionRule(evening)).at(-1);
    expect(alone).toMatchObject({ date: '2021-12-31', verdict: 'unknown', unknownHours: 5 });
    const both = dailyVerdicts([fitYear(2022), fitYear(2021)], central, prescriptionRule(evening));
    expect(both[364]).toMatchObject({ date: '2021-12-31', verdict: 'fit', unknownHours: 0 });
    expect(both).toHaveLength(730);
  });

  it('takes the morning hours of 1 January from the year before in a zone ahead of UTC', () => {
    const east = { standardOffsetMinutes: 720 };
    const morning = prescriptionRule({ ...rule, fromHour: 9, toHour: 11 });
    const first = dailyVerdicts([fitYear(2021)], east, morning)[0];
    expect(first).toMatchObject({ date: '2021-01-01', verdict: 'unknown' });
    const with2020 = dailyVerdicts([fitYear(2020), fitYear(2021)], east, morning);
    expect(with2020[366]).toMatchObject({ date: '2021-01-01', verdict: 'fit' });
  });
});
