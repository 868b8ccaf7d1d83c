import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { countFitDays } from '../../src/core/weather/fit-days.ts';
import type { FitDayCount, WeatherYear } from '../../src/core/weather/history.ts';
import type { Prescription } from '../../src/core/weather/prescriptions.ts';
import { readIsdLite } from '../../src/exchange/isd-lite.ts';
import { standardOffsetMinutes } from '../../src/exchange/time-zone.ts';

const dataDir = process.env['OPEN_DATA_DIR'];
const kmhToMph = 1 / 1.609344;

/** Yurkonis and others 2019, Fire Ecology 15, s42408-019-0027-y, as published in metric units. */
const publishedWide: Prescription = {
  key: 'published-wide',
  name: 'Published wide rule',
  use: 'check',
  status: 'published',
  source: 'Yurkonis and others 2019, Fire Ecology 15, s42408-019-0027-y',
  temperatureF: { least: 2 * 1.8 + 32, most: 43 * 1.8 + 32 },
  rhPercent: { least: 25, most: 80 },
  windMph: { least: 6.44 * kmhToMph, most: 24.12 * kmhToMph },
  fromHour: 8,
  toHour: 17,
  hoursInRow: 6,
  dryDaysBefore: 0,
  wettingRainInches: 0.1,
  rainEndsRun: true,
  missingRain: 'dry',
  note: '',
};

function readStation(station: string): { years: WeatherYear[]; leftOut: number } {
  const folder = join(dataDir ?? '', 'isd-lite');
  const readings = readdirSync(folder)
    .filter((name) => name.startsWith(station))
    .map((name) => readIsdLite(name, readFileSync(join(folder, name))));
  return {
    years: readings.flatMap((reading) => reading.years),
    leftOut: readings.reduce((sum, one) => sum + one.report.rows - one.report.rowsTaken, 0),
  };
}

function monthlyMeans(counts: FitDayCount[]): number[] {
  return Array.from({ length: 12 }, (_, month) => {
    const days = counts.reduce(
      (sum, count) =>
        sum + (count.halfMonths[month * 2] ?? 0) + (count.halfMonths[month * 2 + 1] ?? 0),
      0,
    );
    return Math.round((days / counts.length) * 10) / 10;
  });
}

/**
 * NOAA ISD-Lite, public domain. The figures are this project's own earlier count of the published rule, made in
 * another language from the same files (2017-2019, standard time, trace = rain, missing rain does not break the run).
 */
describe.skipIf(!dataDir)('fit days of two airports under the published rule', () => {
  it.each([
    ['724460-03947', 'Kansas City', '3.3 3.7 7.3 6.7 14.3 17.3 19.0 17.0 14.3 10.3 12.0 8.3'],
    ['723403-13963', 'Little Rock', '7.0 7.7 11.3 12.3 14.7 19.0 18.3 15.3 14.0 14.0 12.7 10.3'],
  ])('%s %s', (station, _name, expected) => {
    const { years, leftOut } = readStation(station);
    expect(leftOut).toBe(0);
    const clock = { standardOffsetMinutes: standardOffsetMinutes('America/Chicago') };
    const counts = countFitDays(years, clock, publishedWide);
    expect(counts.map((count) => [count.year, count.isWholeYear])).toEqual([
      [2017, true],
      [2018, true],
      [2019, true],
      [2020, false],
    ]);
    const means = monthlyMeans(counts.filter((count) => count.year < 2020));
    expect(means).toEqual(expected.split(' ').map(Number));
  });
});
