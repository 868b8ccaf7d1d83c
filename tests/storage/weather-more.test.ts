import { expect, test } from 'vitest';
import type { DailyYear, WeatherYear } from '../../src/core/weather/history.ts';
import { missingReading } from '../../src/core/weather/history.ts';
import type { Forecast } from '../../src/core/weather/readings.ts';
import { storeWithLand } from './fixtures.ts';

const field = {
  name: 'Field',
  latitude: 37.2,
  longitude: -92.1,
  timeZone: 'America/Chicago',
  isInvented: false,
};

const column = (length: number, shift: number) =>
  Int16Array.from({ length }, (_, at) => (at % 300) - shift);

function daysOf(year: number, length: number): DailyYear {
  return {
    year,
    highC10: column(length, 1),
    lowC10: column(length, 2),
    rainMm10: column(length, 3),
    snowCm: column(length, 4),
    windMs10: column(length, 5),
    gustMs10: column(length, 6),
  };
}

function hoursOf(year: number): WeatherYear {
  const none = () => new Int16Array(8760).fill(missingReading);
  return {
    year,
    temperatureC10: none(),
    dewPointC10: none(),
    windMs10: none(),
    windDirectionDegrees: none(),
    rainMm10: none(),
  };
}

function store() {
  const { store: own } = storeWithLand();
  own.weather.saveStation(field);
  return own;
}

test('days come back equal, the latest writing wins, and each year says what it holds', () => {
  const { weather } = store();
  const [common, leap] = [daysOf(2023, 365), daysOf(2024, 366)];
  for (const [name, values] of Object.entries(leap))
    if (name !== 'year') (values as Int16Array).fill(missingReading, 0, 10);
  weather.saveDailyYears('Field', [leap, common]);
  expect(weather.loadDailyYears('Field')).toEqual([common, leap]);
  expect(weather.loadDailyYears('Field', 2024, 2024)).toEqual([leap]);
  expect(weather.loadDailyYears('Nowhere')).toEqual([]);
  weather.saveYears('Field', [hoursOf(2023)]);
  expect(weather.yearsHeld('Field')).toEqual([
    { year: 2023, hours: 0, days: 365 },
    { year: 2024, hours: 0, days: 356 },
  ]);
  weather.saveDailyYears('Field', [{ ...common, highC10: column(365, 50) }]);
  expect(weather.loadDailyYears('Field', 2023, 2023)[0]?.highC10).toEqual(column(365, 50));
  expect(weather.stations()).toMatchObject([{ name: 'Field', fromYear: 2023, toYear: 2024 }]);
  expect(() => weather.saveDailyYears('Field', [daysOf(2025, 100)])).toThrow('CHECK');
  expect(() => weather.saveDailyYears('Nowhere', [common])).toThrow('no weather station');
});

test('gusts and snow of the hours come back, and are absent where none were given', () => {
  const { weather } = store();
  const bare = hoursOf(2022);
  const full = { ...hoursOf(2023), gustMs10: column(8760, 0), snowCm: hoursOf(2023).rainMm10 };
  weather.saveYears('Field', [bare, full]);
  const [first, second] = weather.loadYears('Field');
  expect(first).not.toHaveProperty('gustMs10');
  expect(second).toEqual(full);
  // An hour with nothing but a gust is an hour with a reading.
  expect(weather.yearsHeld('Field')).toEqual([
    { year: 2022, hours: 0, days: 0 },
    { year: 2023, hours: 8760, days: 0 },
  ]);
});

test('the newest forecast of a station is kept whole and goes with its station', () => {
  const { weather, revision } = store();
  const hour = {
    at: '2026-11-25T12:00Z',
    temperatureC: 5.5,
    rhPercent: null,
    windMs: 3,
    gustMs: null,
    windFromDegrees: 200,
    rainMm: 0,
    snowCm: null,
  };
  const at = '2026-11-25T11:40:12Z';
  const forecast: Forecast = {
    stationName: 'Field',
    source: 'a service',
    issuedAt: at,
    takenAt: at,
    hours: [hour],
  };
  const before = revision();
  weather.saveForecast(forecast);
  const newer = { ...forecast, issuedAt: '2026-11-25T12:40:12Z', hours: [] };
  expect(weather.forecast('Field')).toEqual(forecast);
  weather.saveForecast(newer);
  expect(weather.forecast('Field')).toEqual(newer);
  // It changes no plan.
  expect(revision()).toBe(before);
  expect(() => weather.saveForecast({ ...forecast, stationName: 'Nowhere' })).toThrow(
    'no weather station',
  );
});

test('the service and the numbers of files are kept', () => {
  const { weather } = store();
  const service = { isOn: true, address: 'https://example.org', contact: 'a@example.org' };
  weather.saveForecastService(service);
  expect(weather.forecastService()).toEqual(service);
  expect(weather.fileId('Field', 'isd-lite')).toBeNull();
  weather.saveFileId('Field', 'isd-lite', '724460-03947');
  weather.saveFileId('Field', 'ghcn-daily', 'TST00000001');
  expect(weather.fileId('Field', 'isd-lite')).toBe('724460-03947');
  // A new place of the station keeps them.
  weather.saveStation({ ...field, latitude: 37.3 });
  expect(weather.fileId('Field', 'ghcn-daily')).toBe('TST00000001');
  expect(weather.fileId('Nowhere', 'ghcn-daily')).toBeNull();
});
