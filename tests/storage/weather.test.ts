import { describe, expect, test } from 'vitest';
import { missingReading, type WeatherYear } from '../../src/core/weather/history.ts';
import { reachedInYears } from '../../src/storage/fit-days.ts';
import { countOf, storeWithLand } from './fixtures.ts';

const airfield = {
  name: 'Airfield',
  latitude: 37.2,
  longitude: -92.1,
  timeZone: 'America/Chicago',
  isInvented: false,
};
const key = 'hardwood-litter';

function yearOf(year: number, hours: number): WeatherYear {
  const column = (shift: number) =>
    Int16Array.from({ length: hours }, (_, at) => (at % 300) - shift);
  return {
    year,
    temperatureC10: column(100),
    dewPointC10: column(200),
    windMs10: column(0),
    windDirectionDegrees: column(0),
    rainMm10: column(1),
  };
}

test('years of readings come back equal, the missing ones too', () => {
  const { store } = storeWithLand();
  store.weather.saveStation(airfield);
  const [common, leap] = [yearOf(2023, 8760), yearOf(2024, 8784)];
  for (const column of [
    leap.temperatureC10,
    leap.dewPointC10,
    leap.windMs10,
    leap.windDirectionDegrees,
    leap.rainMm10,
  ])
    column.fill(missingReading, 0, 24);
  leap.temperatureC10[30] = missingReading;
  store.weather.saveYears('Airfield', [leap, common]);
  expect(store.weather.loadYears('Airfield')).toEqual([common, leap]);
  expect(store.weather.loadYears('Airfield', 2024, 2024)).toEqual([leap]);
  expect(store.weather.loadYears('Nowhere')).toEqual([]);
  expect(store.weather.stations()).toEqual([
    { ...airfield, fromYear: 2023, toYear: 2024, hours: 8760 + 8784 - 24 },
  ]);
  expect(() => store.weather.saveYears('Nowhere', [])).toThrow('no weather station');
  expect(() => store.weather.saveYears('Airfield', [yearOf(2025, 100)])).toThrow('CHECK');
});

test('counts come back equal and are dropped with the readings or the ranges they were taken from', () => {
  const { store, library } = storeWithLand();
  store.weather.saveStation(airfield);
  const counts = [countOf(2022, 1), countOf(2023, 2, false)];
  store.weather.saveFitDayCounts('Airfield', key, counts);
  expect(store.weather.loadFitDayCounts('Airfield', key)).toEqual(counts);
  store.weather.saveYears('Airfield', [yearOf(2023, 8760)]);
  expect(store.weather.loadFitDayCounts('Airfield', key)).toEqual([counts[0]]);
  store.saveOverride('prescriptions', { ...library.prescriptions[0]!, hoursInRow: 4 });
  expect(store.weather.loadFitDayCounts('Airfield', key)).toEqual([]);
  expect(store.weather.loadFitDayCounts('Nowhere', key)).toEqual([]);
});

// Half: the usual median. The others by counting: 7 of 10 years of 1..10 reached 4, 9 of 10 reached 2.
test.each([
  [[1, 2, 3, 4, 5, 6, 7, 8, 9, 10], 5.5, 4, 2],
  [[10, 9, 8, 7, 6, 5, 4, 3, 2, 1], 5.5, 4, 2],
  [[5, 1, 3], 3, 1, 1],
  [[4, 4, 0, 4], 4, 4, 0],
  [[0, 0, 9], 0, 0, 0],
])('of %j half reach %d, 7 of 10 %d, 9 of 10 %d', (counts, half, seven, nine) => {
  expect(reachedInYears(counts, 'half')).toBe(half);
  expect(reachedInYears(counts, '7-of-10')).toBe(seven);
  expect(reachedInYears(counts, '9-of-10')).toBe(nine);
});

describe('fit days of an operation', () => {
  test('the default by month, split over the half-months, and said so', () => {
    const { store, library } = storeWithLand();
    const { fitDays } = store.operation(library);
    expect(fitDays).toHaveLength(1);
    expect(fitDays[0]).toMatchObject({ prescriptionKey: key, origin: 'entered' });
    expect(fitDays[0]!.label).toBe('default by month, to edit');
    expect(fitDays[0]!.fitDays.slice(0, 6)).toEqual([2, 2, 2, 2, 3, 3]);
  });

  test('a prescription without any figures has no fit days', () => {
    const { store, library } = storeWithLand();
    const { fitDays } = store.operation({ ...library, fitDayDefaults: [] });
    expect(fitDays[0]!.fitDays).toEqual(Array(24).fill(0));
    expect(fitDays[0]!.label).toContain('no figures');
  });

  test('history counts from three whole years on, at the level of the settings', () => {
    const { store, library, content } = storeWithLand();
    store.weather.saveStation(airfield);
    const counts = [countOf(2020, 5), countOf(2021, 1), countOf(2022, 9, false)];
    store.weather.saveFitDayCounts('Airfield', key, counts);
    expect(store.operation(library).fitDays[0]!.origin).toBe('entered');
    store.weather.saveFitDayCounts('Airfield', key, [countOf(2023, 3)]);
    const table = store.operation(library).fitDays[0]!;
    expect(table).toMatchObject({ origin: 'history', fitDays: Array(24).fill(3) });
    expect(table.label).toBe(
      'counted from Airfield, 0 miles away, 3 whole years 2020 to 2023, reached in half of years',
    );
    const supply = { ...content.settings.supply, level: '9-of-10' as const };
    store.saveSettings({ ...content.settings, supply });
    expect(store.operation(library).fitDays[0]!.fitDays).toEqual(Array(24).fill(1));
  });

  test('the nearest station with enough years is taken; invented weather is named so', () => {
    const { store, library } = storeWithLand();
    const years = [2020, 2021, 2022];
    const stations = [
      { ...airfield, name: 'Far', latitude: 38.2, each: 7, isInvented: true },
      { ...airfield, name: 'Farther', latitude: 39.2, each: 8 },
    ];
    for (const { each, ...station } of stations) {
      store.weather.saveStation(station);
      const counts = years.map((year) => countOf(year, each));
      store.weather.saveFitDayCounts(station.name, key, counts);
    }
    store.weather.saveStation(airfield);
    store.weather.saveFitDayCounts('Airfield', key, [countOf(2022, 2)]);
    const table = store.operation(library).fitDays[0]!;
    expect(table.fitDays[0]).toBe(7);
    // One degree of latitude is about 69 miles.
    expect(table.label).toContain('invented weather of Far, 69 miles away');
  });

  test('figures entered by hand win over history until they are taken back', () => {
    const { store, library } = storeWithLand();
    store.weather.saveStation(airfield);
    store.weather.saveFitDayCounts(
      'Airfield',
      key,
      [2020, 2021, 2022].map((y) => countOf(y, 3)),
    );
    expect(store.setFitDays(key, [5, ...Array<number>(11).fill(0)])).toEqual([]);
    expect(store.operation(library).fitDays[0]).toEqual({
      prescriptionKey: key,
      fitDays: [2.5, 2.5, ...Array<number>(22).fill(0)],
      origin: 'entered',
      label: 'entered by hand',
    });
    expect(store.setFitDays(key, [1, 2, 3])[0]?.code).toBe('fit-days-count');
    const february = [0, 30, ...Array<number>(10).fill(0)];
    expect(store.setFitDays(key, february)[0]?.field).toBe('monthly.1');
    expect(store.setFitDays(key, null)).toEqual([]);
    expect(store.operation(library).fitDays[0]!.origin).toBe('history');
  });
});

test('own rows lie over the published tables, new ones beside them, and can be taken back', () => {
  const { store, content, library } = storeWithLand();
  const [glade] = library.communities.filter((row) => row.key === 'glade');
  const [hunt] = library.noWork;
  store.saveOverride('communities', { ...glade!, name: 'Cedar glade' });
  store.saveOverride('noWork', { ...hunt!, key: 'own-hunt', propertyId: 2 });
  const operation = store.operation(library);
  expect(operation.communities.map((row) => row.name)).toContain('Cedar glade');
  expect(operation.communities).toHaveLength(library.communities.length);
  expect(operation.noWork.map((row) => row.key)).toEqual(['fall-hunt', 'own-hunt']);
  expect(operation.cautions).toEqual(library.cautions);
  expect(operation.units).toEqual(content.units);
  expect(store.overrides()).toEqual([
    { kind: 'communities', key: 'glade' },
    { kind: 'noWork', key: 'own-hunt' },
  ]);
  store.replaceLand(content);
  expect(store.overrides()).toEqual([{ kind: 'communities', key: 'glade' }]);
  store.removeOverride('communities', 'glade');
  expect(store.libraryWithOwnRows(library)).toEqual(library);
});
