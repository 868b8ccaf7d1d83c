import { setTimeout as wait } from 'node:timers/promises';
import { afterEach, describe, expect, test } from 'vitest';
import { type OperationFile, openOperationFile } from '../../src/cli/operation-file.ts';
import { loadSampleWeather } from '../../src/cli/weather-import.ts';
import { webWeather } from '../../src/cli/web-weather.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { missingReading } from '../../src/core/weather/history.ts';
import type { WeatherFileOrder } from '../../src/web/deps.ts';

const today = isoDate('2026-11-25');
const open: OperationFile[] = [];
afterEach(() => {
  for (const file of open.splice(0)) file.close();
});

function sampleFile() {
  const file = openOperationFile(':memory:', today);
  open.push(file);
  file.store.replaceLand(sampleLand(today));
  return { file, weather: webWeather(file) };
}

const station = {
  name: 'Airport',
  latitude: 36.9,
  longitude: -92.3,
  timeZone: 'America/Chicago',
  isInvented: false,
};

function order(text: string, more: Partial<WeatherFileOrder> = {}): WeatherFileOrder {
  return {
    station,
    fileName: 'hours.csv',
    bytes: new TextEncoder().encode(text),
    format: 'auto',
    clock: 'utc',
    windHeight: '10-m',
    ...more,
  };
}

async function imported(weather: ReturnType<typeof webWeather>, own: WeatherFileOrder) {
  expect(weather.startImport(own).ok).toBe(true);
  while (weather.importRun()?.state === 'running') await wait(1);
  return weather.importRun()!;
}

const isd = (hour: number, day = 1) =>
  `2020 01 ${String(day).padStart(2, '0')} ${String(hour).padStart(2, '0')} 100 20 10141 200 40 0 0 -9999`;
const ghcn = (station: string) =>
  `${station},20200101,TMAX,61,,,W,2400\n${station},20200101,SNWD,51,,,W,2400`;

describe('an import in slices', () => {
  test('tells each format by its first line, keeps what it reads and counts fit days', async () => {
    const { file, weather } = sampleFile();
    const hours = await imported(weather, order([isd(0), isd(1)].join('\n')));
    expect(hours).toMatchObject({
      state: 'done',
      share: 1,
      rows: 2,
      rowsTaken: 2,
      years: [2020],
      problems: [],
    });
    await imported(weather, order(ghcn('TST00000001')));
    await imported(weather, order('date,low_c\n2020-01-01,-3'));
    const [day] = weather.dailyYears('Airport', 2020, 2020);
    // A plain CSV is laid over what is there.
    expect([day?.highC10[0], day?.lowC10[0], day?.snowCm[0]]).toEqual([61, -30, 5]);
    const [year] = weather.hourlyYears('Airport', 2020, 2020);
    expect([year?.temperatureC10[0], year?.temperatureC10[2]]).toEqual([100, missingReading]);
    expect(weather.yearsHeld('Airport')).toEqual([{ year: 2020, hours: 2, days: 1 }]);
    expect(weather.monthlyFitDays('Airport', 'hardwood-litter')?.years['2020']).toHaveLength(12);
    expect(file.store.weather.stations()).toMatchObject([{ name: 'Airport', isInvented: false }]);
  });

  test('hours ahead of now are the forecast of the station, and no history', async () => {
    const { weather } = sampleFile();
    const text =
      'time,temperature_f,rh_percent,wind_mph\n2020-03-01T18:00,50,40,10\n2100-03-01T18:00,59,45,8';
    const run = await imported(weather, order(text));
    expect(run).toMatchObject({ state: 'done', years: [2020], rowsTaken: 2 });
    expect(run.problems[0]?.message).toContain('Hours ahead of now: 1.');
    expect(weather.hourlyYears('Airport', 2021, 2200)).toEqual([]);
    const forecast = weather.forecast('Airport');
    expect(forecast?.source).toBe('the file hours.csv');
    expect(forecast?.hours).toMatchObject([{ at: '2100-03-01T18:00Z', temperatureC: 15 }]);
    expect(forecast?.hours[0]?.rhPercent).toBeCloseTo(45, 0);
    const onlyAhead = text.replace('2020-03-01T18:00,50,40,10\n', '');
    expect(await imported(weather, order(onlyAhead))).toMatchObject({ state: 'done', years: [] });
  });

  test('a file that names another station than the one before is refused whole', async () => {
    const { weather } = sampleFile();
    const named = (id: string) => order(isd(0), { fileName: `${id}-2020.gz` });
    await imported(weather, named('724460-03947'));
    const other = await imported(weather, named('723403-13963'));
    expect(other).toMatchObject({ state: 'failed', years: [] });
    expect(other.problems[0]?.message).toContain(
      'of station 723403-13963, but Airport was loaded from station 724460-03947',
    );
    await imported(weather, order(ghcn('TST00000001')));
    expect((await imported(weather, order(ghcn('TST00000002')))).state).toBe('failed');
    // The number of one format says nothing of another.
    expect((await imported(weather, named('724460-03947'))).state).toBe('done');
  });

  test('pages are answered meanwhile; a second one waits; a stop saves nothing', async () => {
    const { weather } = sampleFile();
    const rows = Array.from({ length: 200_000 }, (_, at) =>
      isd(at % 24, 1 + (Math.floor(at / 24) % 28)),
    );
    const started = weather.startImport(order(rows.join('\n')));
    expect(started.ok && started.value.state).toBe('running');
    await wait(1);
    const run = weather.importRun()!;
    expect(run.state).toBe('running');
    const second = weather.startImport(order(isd(0)));
    expect(second.ok ? '' : second.problems[0]?.message).toContain('already');
    weather.stopImport();
    await wait(30);
    expect(run.state).toBe('stopped');
    expect(weather.stations()).toEqual([]);
  });

  test('a time zone that is none is named before anything is read', () => {
    const { weather } = sampleFile();
    const started = weather.startImport(
      order(isd(0), { station: { ...station, timeZone: 'Ozark' } }),
    );
    expect(started.ok ? [] : started.problems).toMatchObject([{ field: 'timeZone' }]);
  });
});

describe('forecasts', () => {
  test('a typed one is kept with its source, in UTC of standard time', async () => {
    const { weather } = sampleFile();
    await imported(weather, order(isd(0)));
    const reading = {
      temperatureC: 5,
      rhPercent: null,
      windMs: 3,
      gustMs: null,
      windFromDegrees: 0,
      rainMm: null,
      snowCm: null,
    };
    const part = { date: isoDate('2026-07-01'), fromHour: 12, untilHour: 13, reading };
    expect(weather.saveForecast('Airport', [part])).toEqual([]);
    expect(weather.forecast('Airport')).toMatchObject({
      source: 'typed by hand',
      stationName: 'Airport',
      hours: [{ ...reading, at: '2026-07-01T18:00Z' }],
    });
    expect(weather.saveForecast('Nowhere', [part])).toMatchObject([{ field: 'station' }]);
    expect(weather.forecast('Nowhere')).toBeNull();
  });

  test('the service is off at first, wants a contact, and is asked only when on', async () => {
    const { weather } = sampleFile();
    await imported(weather, order(isd(0)));
    const { address } = weather.service();
    expect(weather.service()).toEqual({
      isOn: false,
      address: 'https://api.weather.gov',
      contact: '',
    });
    expect(weather.refreshForecast('Airport')).toMatchObject([{ code: 'service-off' }]);
    expect(weather.saveService({ isOn: true, address, contact: ' ' })).toMatchObject([
      { field: 'contact' },
    ]);
    expect(
      weather.saveService({ isOn: true, address: 'ftp://x', contact: 'a@example.org' }),
    ).toMatchObject([{ field: 'address' }]);
    expect(weather.saveService({ isOn: true, address, contact: 'é' })).toMatchObject([
      { field: 'contact' },
    ]);
    expect(weather.service().isOn).toBe(false);
    // Nobody answers on this port, so the fetch ends in words and nothing is kept.
    expect(
      weather.saveService({ isOn: true, address: 'http://127.0.0.1:9', contact: 'a@example.org' }),
    ).toEqual([]);
    expect(weather.refreshForecast('Airport')).toEqual([]);
    expect(weather.forecastFetch('Airport')?.state).toBe('running');
    expect(weather.forecast('Airport')).toBeNull();
  });
});

test('the sample weather is marked invented, gives the supply of the sample, and goes with it', () => {
  const { file, weather } = sampleFile();
  loadSampleWeather(file, today);
  const [own] = weather.stations();
  expect(own).toMatchObject({
    isInvented: true,
    fromYear: 1996,
    toYear: 2026,
    hours: 10 * 8760 + 3 * 24 + 328 * 24 + 6,
  });
  const table = file.operation().fitDays.find((one) => one.prescriptionKey === 'hardwood-litter');
  expect(table?.origin).toBe('history');
  expect(table?.label).toContain('invented weather');
  expect(weather.nearestStation(1)?.name).toBe(own?.name);
  file.store.replaceLand(sampleLand(today));
  expect(weather.stations()).toEqual([]);
});
