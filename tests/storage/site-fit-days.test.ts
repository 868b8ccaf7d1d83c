import { afterEach, beforeEach, expect, test } from 'vitest';
import type { WeatherYear } from '../../src/core/weather/history.ts';
import type { SiteFitDays } from '../../src/core/weather/site-fit-days.ts';
import { openStore, type Store } from '../../src/storage/store.ts';
import { clockAt } from './fixtures.ts';

const none = Array.from({ length: 12 }, () => ({ days: 0, fit: 0 }));
const counts: SiteFitDays = {
  years: [{ year: 2021, fitDays: [3], unknownDays: [0], isWholeYear: true }],
  followers: { afterFit: none, afterUnfit: none },
};
const station = (name: string) => ({
  name,
  latitude: 37,
  longitude: -92,
  timeZone: 'America/Chicago',
  isInvented: false,
});

function year(): WeatherYear {
  const column = () => new Int16Array(8760);
  return {
    year: 2021,
    temperatureC10: column(),
    dewPointC10: column(),
    windMs10: column(),
    windDirectionDegrees: column(),
    rainMm10: column(),
  };
}

let store: Store;
beforeEach(() => {
  store = openStore(':memory:', clockAt('2026-11-09T12:00:00Z').now);
  store.weather.saveStation(station('Ridge'));
  store.weather.saveStation(station('Valley'));
});
afterEach(() => store.close());

test('a count is found again by its station, site and rule, and by no other', () => {
  store.siteFitDays.save('Ridge', 'south grass', 'rule-1', counts);
  expect(store.siteFitDays.load('Ridge', 'south grass', 'rule-1')).toEqual(counts);
  expect(store.siteFitDays.load('Ridge', 'south grass', 'rule-2')).toBeNull();
  expect(store.siteFitDays.load('Ridge', 'north litter', 'rule-1')).toBeNull();
  expect(store.siteFitDays.load('Valley', 'south grass', 'rule-1')).toBeNull();
});

test('new readings of a station drop its counts, those of another station do not', () => {
  store.siteFitDays.save('Ridge', 'south grass', 'rule-1', counts);
  store.weather.saveYears('Valley', [year()]);
  expect(store.siteFitDays.load('Ridge', 'south grass', 'rule-1')).toEqual(counts);
  store.weather.saveYears('Ridge', [year()]);
  expect(store.siteFitDays.load('Ridge', 'south grass', 'rule-1')).toBeNull();
});

test('a changed rule takes the place of the old one; a station that is gone keeps nothing', () => {
  store.siteFitDays.save('Ridge', 'south grass', 'rule-1', counts);
  store.siteFitDays.save('Ridge', 'south grass', 'rule-2', { ...counts, years: [] });
  expect(store.siteFitDays.load('Ridge', 'south grass', 'rule-1')).toBeNull();
  expect(store.siteFitDays.load('Ridge', 'south grass', 'rule-2')?.years).toEqual([]);
  store.siteFitDays.save('Nowhere', 'south grass', 'rule-1', counts);
  expect(store.siteFitDays.load('Nowhere', 'south grass', 'rule-1')).toBeNull();
});
