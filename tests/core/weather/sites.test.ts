import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { noBurnLimits, windSectors } from '../../../src/core/blocks.ts';
import { isoDate, monthDay } from '../../../src/core/dates.ts';
import { type BlockConditions, judgeDay } from '../../../src/core/weather/fit-days.ts';
import type { WeatherYear } from '../../../src/core/weather/history.ts';
import { hoursOfHistory } from '../../../src/core/weather/hours.ts';
import { countSite, siteCounter } from '../../../src/core/weather/site-fit-days.ts';
import {
  blockConditions,
  groundCoverOf,
  siteClassOf,
  siteKeyOf,
  slowestUnit,
} from '../../../src/core/weather/sites.ts';
import { milesBetween, nearestOf } from '../../../src/core/weather/stations.ts';
import { loadLibrary } from '../../../src/reference/library.ts';
import { fakeOperation } from '../../support/operation.ts';

const { weatherTables: tables, communities, prescriptions } = loadLibrary();
const clock = { standardOffsetMinutes: -360 };
const litter = prescriptions.find((one) => one.key === 'hardwood-litter')!;

const aspects = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', null] as const;
const anyConditions: fc.Arbitrary<BlockConditions> = fc.record({
  limits: fc.record({
    windFrom: fc.option(fc.subarray([...windSectors], { minLength: 1 })),
    gustMphMost: fc.constant(null),
    canopyPercent: fc.constant(null),
  }),
  site: fc.record({
    aspect: fc.constantFrom(...aspects),
    slopePercent: fc.integer({ min: 0, max: 60 }),
    canopyPercent: fc.integer({ min: 0, max: 100 }),
    fuel: fc.constantFrom('grass' as const, 'litter' as const),
  }),
  leafOut: fc.constant(monthDay('04-12')),
  leafFall: fc.constant(monthDay('11-01')),
  latitude: fc.constant(37),
  longitude: fc.constant(-92),
});

/** Ten days with one wet night, every draw another weather. */
const tenDays = fc
  .record({
    wetDay: fc.nat(9),
    rain: fc.integer({ min: 0, max: 300 }),
    from: fc.nat(360),
    dew: fc.integer({ min: -20, max: 90 }),
  })
  .map(({ wetDay, rain, from, dew }): WeatherYear => {
    const column = (value: number) => new Int16Array(8760).fill(value);
    const rainMm10 = column(0);
    rainMm10[wetDay * 24 + 9] = rain;
    return {
      year: 2021,
      temperatureC10: column(150),
      dewPointC10: column(dew),
      windMs10: column(40),
      windDirectionDegrees: column(from),
      rainMm10,
    };
  });

describe('kinds of sites', () => {
  const inStand = { ...litter, windHeight: 'in-stand' as const, windMph: { least: 1.5, most: 3 } };
  it.each([litter, { ...litter, fineFuelMoisturePercent: { least: 5, most: 12 } }, inStand])(
    'a block and its kind are judged alike on any day',
    (prescription) => {
      fc.assert(
        fc.property(anyConditions, tenDays, fc.nat(9), (conditions, year, day) => {
          const weather = hoursOfHistory([year]);
          const date = isoDate(`2021-01-${String(day + 1).padStart(2, '0')}`);
          const of = (block: BlockConditions) =>
            judgeDay({ prescription, block, tables }, weather, clock, date).verdict;
          expect(of(siteClassOf(prescription, conditions))).toBe(of(conditions));
        }),
        { numRuns: 150 },
      );
    },
  );

  it('like ground shares a key; a wind sector or a north slope makes another', () => {
    const base: BlockConditions = {
      limits: noBurnLimits,
      site: { aspect: 'S', slopePercent: 12, canopyPercent: 30, fuel: 'litter' },
      leafOut: monthDay('04-12'),
      leafFall: monthDay('11-01'),
      latitude: 36.91,
      longitude: -92.93,
    };
    const key = siteKeyOf(litter, base);
    const like = {
      ...base,
      site: { ...base.site, aspect: 'SW' as const, slopePercent: 25, canopyPercent: 10 },
    };
    expect(siteKeyOf(litter, like)).toBe(key);
    expect(
      siteKeyOf(litter, { ...base, limits: { ...noBurnLimits, windFrom: [...windSectors] } }),
    ).toBe(key);
    expect(siteKeyOf(litter, { ...base, limits: { ...noBurnLimits, windFrom: ['S'] } })).not.toBe(
      key,
    );
    expect(siteKeyOf(litter, { ...base, site: { ...base.site, aspect: 'N' } })).not.toBe(key);
  });

  it('each natural community has its ground; one of our own is open litter', () => {
    const open = { canopyPercent: 30, fuel: 'litter' };
    expect(groundCoverOf('one-of-our-own')).toEqual(open);
    const like = communities.filter(
      ({ key }) => JSON.stringify(groundCoverOf(key)) === JSON.stringify(open),
    );
    expect(like.map(({ key }) => key)).toEqual(['oak-savanna']);
  });

  it('a block of several units is judged by the one that dries last', () => {
    const operation = fakeOperation();
    const block = operation.blocks[0]!;
    const [a, b] = operation.units;
    for (const unit of operation.units) unit.blockId = 99;
    Object.assign(a!, { blockId: block.id, aspect: 'S', slopePercent: 20, communityKey: 'glade' });
    Object.assign(b!, {
      blockId: block.id,
      aspect: 'N',
      slopePercent: 20,
      communityKey: 'oak-woodland',
    });
    expect(slowestUnit(operation, block)?.code).toBe(b!.code);
    expect(blockConditions(operation, block)?.site).toMatchObject({ aspect: 'N', fuel: 'litter' });
    b!.blockId = 99;
    expect(blockConditions(operation, block)?.site).toMatchObject({ aspect: 'S', fuel: 'grass' });
    a!.blockId = 99;
    expect(blockConditions(operation, block)).toBeNull();
  });
});

describe('counting several sites', () => {
  it('gives the same days as judging every day, and a step for each year', () => {
    fc.assert(
      fc.property(anyConditions, tenDays, (conditions, year) => {
        const rule = { prescription: litter, block: conditions, tables };
        const counter = siteCounter([year], [], clock);
        const count = countSite(counter, rule);
        const weather = hoursOfHistory([year]);
        const fit = Array.from({ length: 15 }, (_, day) =>
          judgeDay(rule, weather, clock, isoDate(`2021-01-${String(day + 1).padStart(2, '0')}`)),
        ).filter(({ verdict }) => verdict === 'fit').length;
        expect(count.years[0]?.fitDays[0]).toBe(fit);
        expect([...counter.count(rule)]).toEqual([2021]);
      }),
      { numRuns: 10 },
    );
  });
});

describe('stations', () => {
  // Great circle from Kansas City (39.10, -94.58) to Little Rock (34.75, -92.29): about 326 miles (from memory of a chart).
  it('lie as far apart as on a map', () => {
    const kansasCity = { name: 'K', latitude: 39.1, longitude: -94.58 };
    const littleRock = { name: 'L', latitude: 34.75, longitude: -92.29 };
    expect(milesBetween(kansasCity, littleRock)).toBeGreaterThan(320);
    expect(milesBetween(kansasCity, littleRock)).toBeLessThan(332);
    expect(nearestOf([littleRock, kansasCity], { latitude: 38, longitude: -94 })).toBe(kansasCity);
    expect(nearestOf([], kansasCity)).toBeNull();
  });
});
