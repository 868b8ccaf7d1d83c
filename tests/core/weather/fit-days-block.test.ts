import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BurnLimits, noBurnLimits, windSectors } from '../../../src/core/blocks.ts';
import { isoDate, monthDay, toDay } from '../../../src/core/dates.ts';
import {
  type BlockConditions,
  dailyVerdicts,
  type FitDayRule,
  judgeDay,
} from '../../../src/core/weather/fit-days.ts';
import { missingReading, type WeatherYear } from '../../../src/core/weather/history.ts';
import { hoursOfHistory } from '../../../src/core/weather/hours.ts';
import type { Prescription } from '../../../src/core/weather/prescriptions.ts';
import { loadLibrary } from '../../../src/reference/library.ts';

const tables = loadLibrary().weatherTables;
const central = { standardOffsetMinutes: -360 };

const prescription: Prescription = {
  key: 'r',
  name: 'Rule of the test',
  use: 'work',
  status: 'default-to-edit',
  source: '',
  temperatureF: { least: 35, most: 80 },
  rhPercent: { least: 20, most: 60 },
  windMph: { least: 4, most: 15 },
  fromHour: 11,
  toHour: 15,
  hoursInRow: 3,
  dryDaysBefore: 0,
  wettingRainInches: 0.1,
  rainEndsRun: true,
  missingRain: 'unknown',
  note: '',
};

/** Every hour fit: 15 C, dew point 5 C (51 %), wind 4 m/s (8.9 mph) from the west, no gust over 7 m/s, dry, no snow. */
function fitYear(): Required<WeatherYear> {
  const column = (value: number) => new Int16Array(365 * 24).fill(value);
  return {
    year: 2021,
    temperatureC10: column(150),
    dewPointC10: column(50),
    windMs10: column(40),
    windDirectionDegrees: column(270),
    rainMm10: column(0),
    gustMs10: column(70),
    snowCm: column(0),
  };
}

const hourIn2021 = (date: string, hour: number) =>
  (toDay(isoDate(date)) - toDay(isoDate('2021-01-01'))) * 24 + hour + 6;

function set(column: Int16Array, date: string, hours: number[], value: number): void {
  for (const hour of hours) column[hourIn2021(date, hour)] = value;
}

const southGlade: BlockConditions = {
  limits: noBurnLimits,
  site: { aspect: 'S', slopePercent: 22, canopyPercent: 10, fuel: 'grass' },
  leafOut: monthDay('04-15'),
  leafFall: monthDay('11-01'),
  latitude: 36.9,
  longitude: -92.9,
};
const northWoodland: BlockConditions = {
  ...southGlade,
  site: { aspect: 'N', slopePercent: 20, canopyPercent: 65, fuel: 'litter' },
};

function judged(
  year: WeatherYear,
  date: string,
  own: Partial<Prescription> = {},
  block: BlockConditions | null = southGlade,
) {
  const rule: FitDayRule = { prescription: { ...prescription, ...own }, block, tables };
  return judgeDay(rule, hoursOfHistory([year]), central, isoDate(date));
}

describe('drying by ground', () => {
  // Days by aspect: common practice, no source (PRACTICE 17: south slopes and grass 1 to 2 days, north-slope litter 3 to 5).
  it('on the same days after rain a south glade is fit and a north woodland is not', () => {
    const year = fitYear();
    set(year.rainMm10, '2021-02-10', [3, 4, 5], 30);
    const days = [
      '2021-02-09',
      '2021-02-10',
      '2021-02-11',
      '2021-02-12',
      '2021-02-14',
      '2021-02-15',
    ];
    const of = (block: BlockConditions) => days.map((day) => judged(year, day, {}, block).verdict);
    expect(of(southGlade)).toEqual(['fit', 'unfit', 'fit', 'fit', 'fit', 'fit']);
    expect(of(northWoodland)).toEqual(['fit', 'unfit', 'unfit', 'unfit', 'unfit', 'fit']);
  });

  it('a day without a rain reading leaves a slow site unknown, and dry where missing rain counts as dry', () => {
    const year = fitYear();
    const allDay = Array.from({ length: 24 }, (_, hour) => hour);
    set(year.rainMm10, '2021-02-10', allDay, missingReading);
    expect(judged(year, '2021-02-12', {}, northWoodland).verdict).toBe('unknown');
    expect(judged(year, '2021-02-12', {}, southGlade).verdict).toBe('fit');
    expect(judged(year, '2021-02-12', { missingRain: 'dry' }, northWoodland).verdict).toBe('fit');
  });
});

describe('elements of a block', () => {
  const limits = (own: Partial<BurnLimits>): BlockConditions => ({
    ...southGlade,
    limits: { ...noBurnLimits, ...own },
  });

  it.each<[string, number, BurnLimits['windFrom'], string]>([
    ['west wind, west allowed', 270, ['W'], 'fit'],
    ['west wind, south allowed', 270, ['S', 'SW'], 'unfit'],
    ['337 degrees is still northwest', 337, ['N'], 'unfit'],
    ['338 degrees is north', 338, ['N'], 'fit'],
    ['360 degrees is north', 360, ['N'], 'fit'],
    ['variable is unknown', missingReading, ['W'], 'unknown'],
    ['variable does not matter where any sector will do', missingReading, null, 'fit'],
  ])('sectors: %s', (_name, degrees, windFrom, expected) => {
    const year = fitYear();
    year.windDirectionDegrees.fill(degrees);
    expect(judged(year, '2021-02-10', {}, limits({ windFrom })).verdict).toBe(expected);
  });

  // 7 m/s are 15.7 mph, 4 m/s are 8.9 mph.
  it.each<[string, number, number | null, Prescription['gustMph'], string]>([
    ['under the block limit', 70, 16, undefined, 'fit'],
    ['over the block limit', 70, 15, undefined, 'unfit'],
    ['over the prescription though not the block', 70, 20, { least: null, most: 15 }, 'unfit'],
    ['over the block though not the prescription', 70, 15, { least: null, most: 20 }, 'unfit'],
    ['not observed', missingReading, 15, undefined, 'unknown'],
    ['not observed, but the mean wind is over it', missingReading, 8, undefined, 'unfit'],
    ['not observed and not asked for', missingReading, null, undefined, 'fit'],
  ])('gust: %s', (_name, gust, gustMphMost, gustMph, expected) => {
    const year = fitYear();
    year.gustMs10.fill(gust);
    const own = gustMph ? { gustMph } : {};
    expect(judged(year, '2021-02-10', own, limits({ gustMphMost })).verdict).toBe(expected);
  });

  it('snow on the ground over the limit is unfit, not observed is unknown', () => {
    const year = fitYear();
    set(year.snowCm, '2021-02-10', [11, 12, 13, 14, 15], 3);
    const own = { snowInchesMost: 1 };
    expect(judged(year, '2021-02-10', own).verdict).toBe('unfit');
    expect(judged(year, '2021-02-11', own).verdict).toBe('fit');
    const { snowCm: _, ...without } = year;
    expect(judged(without, '2021-02-11', own).verdict).toBe('unknown');
  });

  it('snow that melted keeps a north woodland unfit for days, a south glade for one', () => {
    const year = fitYear();
    const allDay = Array.from({ length: 24 }, (_, hour) => hour);
    set(year.snowCm, '2021-02-10', allDay, 8);
    const days = ['2021-02-10', '2021-02-11', '2021-02-14', '2021-02-15'];
    const of = (block: BlockConditions, own: Partial<Prescription>) =>
      days.map((day) => judged(year, day, own, block).verdict);
    const own = { snowInchesMost: 0 };
    expect(of(southGlade, own)).toEqual(['unfit', 'fit', 'fit', 'fit']);
    expect(of(northWoodland, own)).toEqual(['unfit', 'unfit', 'unfit', 'fit']);
    expect(of(northWoodland, {})).toEqual(['fit', 'fit', 'fit', 'fit']);
  });

  it('a quiet next day: one strong gust or one dry hour spoils the day before, a missing one leaves it unknown', () => {
    const own = { quietNextDay: { gustMphMost: 20, rhPercentLeast: 25 } };
    const verdicts = (change: (year: Required<WeatherYear>) => void) => {
      const year = fitYear();
      change(year);
      return ['2021-02-09', '2021-02-10'].map((day) => judged(year, day, own).verdict);
    };
    expect(verdicts(() => {})).toEqual(['fit', 'fit']);
    expect(verdicts((y) => set(y.gustMs10, '2021-02-10', [17], 120))).toEqual(['unfit', 'fit']);
    expect(verdicts((y) => set(y.dewPointC10, '2021-02-10', [16], -150))).toEqual(['unfit', 'fit']);
    expect(verdicts((y) => set(y.gustMs10, '2021-02-10', [9], missingReading))).toEqual([
      'unknown',
      'fit',
    ]);
    expect(verdicts((y) => set(y.gustMs10, '2021-02-10', [21], 120))).toEqual(['fit', 'fit']);
  });

  it('wind at 20 feet is the observed wind over 1.15 (Turner and Lawson 1978)', () => {
    const wind = (windHeight: Prescription['windHeight']) =>
      judged(fitYear(), '2021-02-10', windHeight ? { windHeight } : {}).hours[0]?.elements.find(
        ({ element }) => element === 'wind',
      )?.value;
    expect(wind(undefined)).toBeCloseTo(8.948, 3);
    expect(wind('20-ft')).toBeCloseTo(7.781, 3);
    // Leafless and open: 0.3 of the wind at 20 feet; in leaf under 65 percent canopy 0.1 (table values, from memory).
    expect(wind('in-stand')).toBeCloseTo(7.781 * 0.3, 2);
    const inStand = (date: string, block: BlockConditions | null) =>
      judged(fitYear(), date, { windHeight: 'in-stand' }, block).hours[0]?.elements.find(
        ({ element }) => element === 'wind',
      );
    expect(inStand('2021-05-10', northWoodland)?.value).toBeCloseTo(7.781 * 0.1, 2);
    expect(inStand('2021-02-10', null)?.state).toBe('unknown');
  });

  // At 15 C (59 F) and 51 % the tables give the reference value of their 50-54 column plus the correction of the site.
  it('fine fuel of a shaded or north site is moister than that of an open south slope, and limits the day', () => {
    const percent = (block: BlockConditions, date: string) =>
      judged(
        fitYear(),
        date,
        { fineFuelMoisturePercent: { least: 1, most: 60 } },
        block,
      ).hours[2]?.elements.find(({ element }) => element === 'fine-fuel-moisture')?.value ?? 0;
    // Steep ground, over 30 percent, turns to the sun or away from it.
    const steep = (block: BlockConditions) => ({
      ...block,
      site: { ...block.site, slopePercent: 40 },
    });
    expect(percent(steep(northWoodland), '2021-02-10')).toBeGreaterThan(
      percent(steep(southGlade), '2021-02-10'),
    );
    // After leaf-out a half-closed canopy shades.
    const shade = { ...southGlade, site: { ...southGlade.site, canopyPercent: 65 } };
    expect(percent(shade, '2021-04-20')).toBeGreaterThan(percent(southGlade, '2021-04-20'));
    expect(percent(shade, '2021-04-10')).toBe(percent(southGlade, '2021-04-10'));
    const most = percent(steep(southGlade), '2021-02-10');
    const own = { fineFuelMoisturePercent: { least: null, most } };
    expect(judged(fitYear(), '2021-02-10', own, steep(southGlade)).verdict).toBe('fit');
    expect(judged(fitYear(), '2021-02-10', own, steep(northWoodland)).verdict).toBe('unfit');
    expect(judged(fitYear(), '2021-02-10', own, null).verdict).toBe('unknown');
  });

  it('only hours that end before sunset and start after sunrise count for a block', () => {
    const own = { fromHour: 6, toHour: 18, hoursInRow: 1 };
    // 21 December at 36.9 N, 92.9 W: sun up from about 07:22 to 16:58 standard time (suncalc, see the tests of the sun).
    expect(judged(fitYear(), '2021-12-21', own).bestRun).toEqual({ fromHour: 8, untilHour: 16 });
    expect(judged(fitYear(), '2021-12-21', own, null).bestRun).toEqual({
      fromHour: 6,
      untilHour: 19,
    });
  });
});

/** Weather that changes from hour to hour, with gaps. */
const weather = fc
  .array(fc.integer({ min: 0, max: 9999 }), { minLength: 240, maxLength: 240 })
  .map((draws): WeatherYear => {
    const year = fitYear();
    const columns = [
      year.temperatureC10,
      year.windMs10,
      year.windDirectionDegrees,
      year.gustMs10,
      year.rainMm10,
    ];
    for (let hour = 0; hour < 240; hour++) {
      const draw = draws[hour] ?? 0;
      const column = columns[draw % 5] as Int16Array;
      const spread = [300, 90, 360, 150, 12][draw % 5] as number;
      column[hour] = draw % 7 === 0 ? missingReading : Math.floor(draw / 10) % spread;
    }
    return { ...year, temperatureC10: year.temperatureC10.slice(0, 240) };
  });

describe('any weather', () => {
  const fitDays = (year: WeatherYear, own: Partial<Prescription>, limits: Partial<BurnLimits>) =>
    dailyVerdicts([year], central, {
      prescription: { ...prescription, ...own },
      block: { ...southGlade, limits: { ...noBurnLimits, ...limits } },
      tables,
    });

  it('narrower limits never raise the count, and a day that was not fit never becomes fit', () => {
    fc.assert(
      fc.property(
        weather,
        fc.subarray([...windSectors]),
        fc.integer({ min: 5, max: 40 }),
        fc.integer({ min: 4, max: 15 }),
        fc.integer({ min: 1, max: 5 }),
        (year, windFrom, gustMphMost, windMost, hoursInRow) => {
          const wide = fitDays(year, { hoursInRow: 1 }, {});
          const narrow = fitDays(
            year,
            { hoursInRow, windMph: { least: 4, most: windMost } },
            { windFrom, gustMphMost },
          );
          for (const [index, day] of narrow.entries())
            if (day.verdict === 'fit') expect(wide[index]?.verdict).toBe('fit');
        },
      ),
      { numRuns: 60 },
    );
  });

  it('taking readings away never makes a day fit', () => {
    fc.assert(
      fc.property(weather, fc.integer({ min: 0, max: 239 }), fc.nat(4), (year, from, which) => {
        const before = fitDays(year, {}, { windFrom: ['W', 'N'], gustMphMost: 18 });
        const names = [
          'temperatureC10',
          'windMs10',
          'windDirectionDegrees',
          'gustMs10',
          'rainMm10',
        ];
        const name = names[which] as 'windMs10';
        const column = year[name].slice();
        // Rain counts as far as it is known in a day: only whole local days of it go.
        const [start, hours] =
          name === ('rainMm10' as string) ? [Math.floor(from / 24) * 24 + 6, 48] : [from, 30];
        column.fill(missingReading, start, start + hours);
        const after = fitDays(
          { ...year, [name]: column },
          {},
          {
            windFrom: ['W', 'N'],
            gustMphMost: 18,
          },
        );
        for (const [index, day] of after.entries())
          if (day.verdict === 'fit') expect(before[index]?.verdict).toBe('fit');
      }),
      { numRuns: 60 },
    );
  });
});
