import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type OperationFile, openOperationFile } from '../../src/cli/operation-file.ts';
import { webFitDays } from '../../src/cli/web-fit-days.ts';
import { webSeasons } from '../../src/cli/web-seasons.ts';
import { noBurnLimits } from '../../src/core/blocks.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import {
  type DailyYear,
  missingReading,
  type WeatherYear,
} from '../../src/core/weather/history.ts';
import type { BlockFitDays, Deps } from '../../src/web/deps.ts';

/** Every hour fit for litter: 15 C, dew point 5 C, wind 4 m/s from the west, dry. */
function year(which: number, windFrom = 270): WeatherYear {
  const column = (value: number) => new Int16Array(8760).fill(value);
  return {
    year: which,
    temperatureC10: column(150),
    dewPointC10: column(50),
    windMs10: column(40),
    windDirectionDegrees: column(windFrom),
    rainMm10: column(0),
  };
}

function daily(which: number, highC10: number): DailyYear {
  const column = (value: number) => new Int16Array(365).fill(value);
  return {
    year: which,
    highC10: column(highC10),
    lowC10: column(0),
    rainMm10: column(missingReading),
    snowCm: column(0),
    windMs10: column(missingReading),
    gustMs10: column(missingReading),
  };
}

const place = { timeZone: 'America/Chicago', isInvented: true };
const near = { name: 'Near', latitude: 36.9, longitude: -92.9, ...place };
const far = { name: 'Far', latitude: 40, longitude: -92.9, ...place };

let file: OperationFile;
let fitDays: Deps['fitDays'];
beforeEach(() => {
  file = openOperationFile(':memory:', isoDate('2026-11-25'));
  file.store.replaceLand(sampleLand(isoDate('2026-11-25')));
  for (const station of [near, far]) file.store.weather.saveStation(station);
  fitDays = webFitDays(file);
});
afterEach(() => file.close());

const blockOf = (code: string) => file.operation().blocks.find((one) => one.code === code)!;

/** Asks until the background is done. */
async function counted(code: string, station: string | null = null) {
  for (let ask = 0; ask < 1000; ask++) {
    const found = fitDays.ofBlock(blockOf(code).id, station);
    if (found.state === 'counted') return found;
    await new Promise((resolve) => setImmediate(resolve));
  }
  throw new Error('never counted');
}

const julyDays = (found: BlockFitDays) =>
  found.state === 'counted' ? (found.counts.years[0]?.fitDays[12] ?? 0) : null;

describe('fit days of a block', () => {
  test('need hours, a block and a prescription', () => {
    const { id } = blockOf('N1');
    expect(fitDays.ofBlock(id, null)).toEqual({ state: 'no-hours' });
    file.store.weather.saveYears('Near', [year(2021)]);
    expect(fitDays.ofBlock(9999, null)).toEqual({ state: 'no-block' });
    file.store.updateBlock(id, { prescriptionKey: null }, file.library);
    expect(fitDays.ofBlock(id, null)).toEqual({ state: 'no-prescription' });
  });

  test('are counted in the background by the nearest station, or the one asked for, and kept', async () => {
    file.store.weather.saveYears('Near', [year(2021)]);
    file.store.weather.saveYears('Far', [year(2020)]);
    const { id } = blockOf('N1');
    expect(fitDays.ofBlock(id, null)).toMatchObject({ state: 'counting' });
    const found = await counted('N1');
    expect(found.station.name).toBe('Near');
    expect(julyDays(found)).toBe(15);
    expect((await counted('N1', 'Far')).station.name).toBe('Far');
    expect(found.dailyOnlyYears).toEqual([]);
    // Another run of the program finds them.
    expect(webFitDays(file).ofBlock(id, null).state).toBe('counted');
  });

  test('years that hold only days are named, not counted', async () => {
    file.store.weather.saveYears('Near', [year(2021)]);
    file.store.weather.saveDailyYears('Near', [daily(2001, 90)]);
    const found = await counted('N1');
    expect(found.dailyOnlyYears).toEqual([2001]);
    expect(found.counts.years.map((one) => one.year)).toEqual([2021]);
  });

  test('a changed limit of the block is counted anew', async () => {
    file.store.weather.saveYears('Near', [year(2021)]);
    expect(julyDays(await counted('N1'))).toBe(15);
    const burnLimits = { ...noBurnLimits, windFrom: ['N' as const] };
    file.store.updateBlock(blockOf('N1').id, { burnLimits }, file.library);
    expect(julyDays(await counted('N1'))).toBe(0);
  });

  test('readings that come in while it counts are counted, not those before', async () => {
    const burnLimits = { ...noBurnLimits, windFrom: ['N' as const] };
    file.store.updateBlock(blockOf('N1').id, { burnLimits }, file.library);
    const years = Array.from({ length: 5 }, (_, at) => year(2017 + at));
    file.store.weather.saveYears('Near', years);
    expect(fitDays.ofBlock(blockOf('N1').id, null).state).toBe('counting');
    await new Promise((resolve) => setImmediate(resolve));
    await new Promise((resolve) => setImmediate(resolve));
    file.store.weather.saveYears(
      'Near',
      years.map((one) => year(one.year, 360)),
    );
    expect(julyDays(await counted('N1'))).toBe(15);
  });

  test('a database that is closed while it counts ends the count', async () => {
    file.store.weather.saveYears('Near', [year(2021), year(2022)]);
    expect(fitDays.ofBlock(blockOf('N1').id, null).state).toBe('counting');
    file.close();
    await new Promise((resolve) => setTimeout(resolve, 20));
    file = openOperationFile(':memory:', isoDate('2026-11-25'));
  });
});

describe('days of the nearest station', () => {
  test('the daily record goes before the hours; each fills the gaps of the other', () => {
    file.store.weather.saveYears('Near', [year(2021), year(2022)]);
    file.store.weather.saveDailyYears('Near', [daily(2019, 90), daily(2021, 200)]);
    const found = webSeasons(file).dailyWeather(1);
    expect(found?.station.name).toBe('Near');
    expect(found?.years.map((one) => [one.year, one.highC10[100], one.rainMm10[100]])).toEqual([
      [2019, 90, missingReading],
      [2021, 200, 0],
      [2022, 150, 0],
    ]);
  });

  test('are read again after a write, and null without any weather', () => {
    const seasons = webSeasons(file);
    expect(seasons.dailyWeather(1)).toBeNull();
    expect(seasons.cureHistory(1)).toBeNull();
    file.store.weather.saveYears('Near', [year(2021)]);
    expect(seasons.dailyWeather(1)?.years).toHaveLength(1);
    expect(seasons.cureHistory(1)?.weather.byDay.size).toBe(365);
    expect(seasons.dailyWeather(1)).toBe(seasons.dailyWeather(1));
    file.store.weather.saveYears('Near', [year(2022)]);
    expect(seasons.dailyWeather(1)?.years).toHaveLength(2);
  });
});
