import { describe, expect, test } from 'vitest';
import { isLeapYear, isoDate, toDay } from '../../src/core/dates.ts';
import { type DailyYear, missingReading } from '../../src/core/weather/history.ts';
import { type HourlyWeather, noReading } from '../../src/core/weather/hours.ts';
import type { HourReading } from '../../src/core/weather/readings.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { buildApp } from '../../src/web/app.ts';
import type { DailyWeather, DayWeather } from '../../src/web/deps.ts';
import { ignitionWords } from '../../src/web/pages/fuel.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { getPage } from '../support/page.ts';

const today = isoDate('2026-11-09');
const yesterday = toDay(today) - 1;

/** Hours up to a day number, 60 °F and 40 %, dry; the station is in the central zone. */
function dayWeather(
  lastDay: number,
  own: Partial<DayWeather> = {},
  of: Partial<HourReading> = {},
): DayWeather {
  const reading = (hourUtc: number): HourReading =>
    Math.floor((hourUtc - 6) / 24) > lastDay
      ? noReading
      : { ...noReading, temperatureC: (60 - 32) / 1.8, rhPercent: 40, rainMm: 0, ...of };
  const weather: HourlyWeather = {
    reading,
    measuredRainMm: (hourUtc) => reading(hourUtc).rainMm,
  };
  return {
    weather,
    clock: { standardOffsetMinutes: -360 },
    tables: loadLibrary().weatherTables,
    stationName: 'Invented station',
    isInvented: true,
    forecast: null,
    ...own,
  };
}

/** 68 °F each day, an inch on every hundredth day of the year, known until the day number. */
function dailyWeather(fromYear: number, lastDay: number): DailyWeather {
  const years = Array.from({ length: 2026 - fromYear + 1 }, (_, at): DailyYear => {
    const year = fromYear + at;
    const first = toDay(isoDate(`${year}-01-01`));
    const column = (of: (day: number) => number) =>
      Int16Array.from({ length: isLeapYear(year) ? 366 : 365 }, (_one, day) =>
        first + day > lastDay ? missingReading : of(day),
      );
    return {
      year,
      highC10: column(() => 200),
      lowC10: column(() => 100),
      rainMm10: column((day) => (day % 100 === 0 ? 254 : 0)),
      snowCm: column(() => 0),
      windMs10: column(() => 30),
      gustMs10: column(() => 60),
    };
  });
  const station = {
    name: 'Invented station',
    latitude: 37.1,
    longitude: -92,
    timeZone: 'America/Chicago',
    fromYear,
    toYear: 2026,
    hours: 9000,
    isInvented: true,
  };
  return { station, years };
}

type Page = Awaited<ReturnType<typeof getPage>>;
const rowsOf = (page: Page, section: string, table: number) =>
  page.root
    .querySelectorAll(`section[aria-labelledby="${section}"] table`)
    [table]?.querySelectorAll('tbody tr')
    .map((row) => row.querySelectorAll('th, td').map((cell) => cell.textContent.trim())) ?? [];

const both = {
  today,
  dailyWeather: dailyWeather(2018, yesterday),
  dayWeather: dayWeather(yesterday),
};

describe('dead fuel', () => {
  test('three grounds of the newest observed day, its station invented', async () => {
    const page = await getPage(buildApp(fakeDeps(both)), '/fuel');
    const sites = rowsOf(page, 'fine', 0);
    // 60 °F, 40 %: Table A 6; Table D exposed at 14 h: south and level 2, north 3 (leaves are down since 5 November).
    expect(sites.map((row) => row[2])).toEqual(['8', '8', '9']);
    // The table of ignition, 60 to 69 °F unshaded at 8 and at 9 %: 40 and 30, from memory of the handbook.
    expect(sites.map((row) => row[3])).toEqual(['about 40 %', 'about 40 %', 'about 30 %']);
    expect(sites.map((row) => row[4])).toEqual(Array(3).fill('past its days of drying'));
    expect(page.text).toContain('Invented hours of 8 Nov 2026 at station Invented station');
    expect(page.text).toContain('A made-up history');
    expect(page.text).toContain('from memory of the handbook, check against print');
  });

  test('hours of a real station are called observed', async () => {
    const deps = fakeDeps({ today, dayWeather: dayWeather(yesterday, { isInvented: false }) });
    const { text } = await getPage(buildApp(deps), '/fuel');
    expect(text).toContain('Observed hours of 8 Nov 2026 at station Invented station');
    expect(text).not.toContain('made-up');
  });

  test('under leaves the north woods count as shaded and are moister', async () => {
    const summer = toDay(isoDate('2026-06-15'));
    const deps = fakeDeps({ today: isoDate('2026-06-15'), dayWeather: dayWeather(summer) });
    const sites = rowsOf(await getPage(buildApp(deps), '/fuel'), 'fine', 0);
    expect(sites[2]?.[0]).toContain('counts as shaded');
    expect(Number(sites[2]?.[2])).toBeGreaterThan(Number(sites[0]?.[2]));
  });

  test('hour by hour with 10-hour fuel and the quick rule; rain is said, not a figure', async () => {
    const page = await getPage(buildApp(fakeDeps(both)), '/fuel');
    const hours = rowsOf(page, 'fine', 1);
    expect(hours.map((row) => row[0])).toEqual(
      Array.from({ length: 12 }, (_, at) => `${String(8 + at).padStart(2, '0')}:00`),
    );
    // 40 % through 5.
    expect(hours.every((row) => row.at(-1) === '8' && row[1] === '60' && row[2] === '40')).toBe(
      true,
    );
    const wet = fakeDeps({ ...both, dayWeather: dayWeather(yesterday, {}, { rainMm: 1 }) });
    const inRain = await getPage(buildApp(wet), '/fuel');
    expect(rowsOf(inRain, 'fine', 1)[0]?.slice(3, 7)).toEqual(['rain', 'rain', 'rain', '35']);
    expect(rowsOf(inRain, 'fine', 0)[0]?.slice(1)).toEqual([
      'not known',
      'not known',
      'not known',
      'still drying',
    ]);
  });

  test('a block is compared by its slowest ground; one of another property is not', async () => {
    const app = buildApp(fakeDeps(both));
    const page = await getPage(app, '/fuel?property=1&block=2');
    expect(rowsOf(page, 'fine', 0)).toHaveLength(4);
    expect(rowsOf(page, 'fine', 0)[0]?.[0]).toContain('its slowest ground');
    expect(page.root.querySelector('option[selected]')?.getAttribute('value')).toBe('2');
    expect(rowsOf(await getPage(app, '/fuel?property=2&block=2'), 'fine', 0)).toHaveLength(3);
  });

  test.each([
    ['2026-11-09T12:00:00Z', 'typed by hand, 3 hours old', false],
    ['2026-11-09T01:00:00Z', 'typed by hand, 14 hours old', true],
  ])('a forecast issued %s says its age', async (issuedAt, age, isStale) => {
    const forecast = { source: 'typed by hand', issuedAt, takenAt: issuedAt };
    const weather = dayWeather(toDay(today), { forecast });
    const page = await getPage(buildApp(fakeDeps({ today, dayWeather: weather })), '/fuel');
    expect(page.text).toContain(`Expected (${age})`);
    const basis = page.root.querySelector('section[aria-labelledby="fine"] p.late')?.textContent;
    expect(basis?.includes('stale') ?? false).toBe(isStale);
  });

  test('weather of weeks ago is said to be too old', async () => {
    const old = { today, dayWeather: dayWeather(yesterday - 20) };
    const { text } = await getPage(buildApp(fakeDeps(old)), '/fuel');
    expect(text).toContain('The newest weather is of 19 Oct 2026, 21 days ago: too old');
    expect(text).toContain('8 % of dry weight, at the end of 19 Oct 2026');
  });

  test.each([
    [4, 'about 10 % or less'],
    [14, 'about 10 %'],
    [36, 'about 40 %'],
    [100, 'about 100 %'],
  ])('ignition of %d %% is %s', (percent, said) => expect(ignitionWords(percent)).toBe(said));
});

describe('drought', () => {
  test('index, stage, how it was started, rain, and the year against past ones', async () => {
    const page = await getPage(buildApp(fakeDeps(both)), '/fuel');
    expect(page.text).toMatch(/Keetch-Byram drought index: \d+ of 800, stage \d \(\d+ to \d+\)/);
    expect(page.text).toContain('at 0 (soil full) on 1 Jan 2018; the first 365 days are not shown');
    // Four inches a year, on the days 0, 100, 200 and 300 of it; day 300 of 2026 is 28 October.
    expect(page.text).toContain('4 inches, the mean of 8 years');
    expect(page.text).toContain('11 days ago on 8 Nov 2026; 1 inch fell on 28 Oct 2026');
    expect(page.root.querySelectorAll('svg.drought-picture rect.past')).toHaveLength(12);
    expect(page.root.querySelectorAll('svg.drought-picture polyline.own')).toHaveLength(1);
    const months = rowsOf(page, 'drought', 0);
    expect(months.map((row) => row[0])).toHaveLength(12);
    expect(months[11]?.[1]).toBe('not known');
    expect(page.text).toContain('in 7 past years');
  });

  test('with less than a year of days it says what is needed', async () => {
    const deps = fakeDeps({ today, dailyWeather: dailyWeather(2026, yesterday) });
    const page = await getPage(buildApp(deps), '/fuel');
    expect(page.text).toContain('The drought index is not known');
    expect(page.root.querySelector('svg.drought-picture')).toBeNull();
    expect(
      page.root.querySelector('section[aria-labelledby="drought"] a[href="/weather/import"]'),
    ).not.toBeNull();
  });
});

describe('the page', () => {
  test('daylight at the property in its zone', async () => {
    const operation = fakeOperation();
    operation.properties = operation.properties.map((one) => ({
      ...one,
      latitude: 38.9517,
      longitude: -92.3341,
    }));
    const deps = fakeDeps({ today: isoDate('2024-06-20'), operation });
    const { text } = await getPage(buildApp(deps), '/fuel');
    // Two libraries agree within 3 s at this place and day (tests/core/season/sun.test.ts), there in standard time:
    // 04:11:50, 04:44:00, 19:38:11, 20:10:21 and 14.903 h.
    for (const said of [
      'twilight begins5:12 AM CDT',
      'Sunrise5:44 AM CDT',
      'Sunset8:38 PM CDT',
      'twilight ends9:10 PM CDT',
      'Day length14 h 54 min',
    ])
      expect(text.replace(/\u202f/g, ' ')).toContain(said);
  });

  test('without weather nothing is told, the next step is, and daylight stays', async () => {
    const page = await getPage(buildApp(fakeDeps({ today })), '/fuel');
    expect(page.text).toContain('No hour of the last year is on file');
    expect(page.text).toContain('No weather is loaded, so drought is not known');
    expect(page.root.querySelectorAll('a[href="/weather/import"]').length).toBeGreaterThan(1);
    expect(page.text).toContain('CST');
  });

  test('without land it leads to the first property', async () => {
    const operation = { ...fakeOperation(), properties: [], units: [], blocks: [] };
    const page = await getPage(buildApp(fakeDeps({ operation })), '/fuel');
    expect(page.root.querySelector('main a[href="/land"]')).not.toBeNull();
  });

  test('names the files of the tables with their status', async () => {
    const page = await getPage(buildApp(fakeDeps(both)), '/fuel');
    const tables = rowsOf(page, 'tables', 0);
    expect(tables.map((row) => row[1])).toEqual([
      'shared/fine-fuel-moisture.json',
      'shared/fine-fuel-corrections.json',
      'shared/drying-days.json',
      'shared/fuel-models.json',
    ]);
    for (const row of tables.slice(0, 2))
      expect(row[3]).toMatch(/our default, to edit.*memory.*print/s);
  });

  test('defers to plan and boss, and is never leave to burn', async () => {
    const { text } = await getPage(buildApp(fakeDeps(both)), '/fuel');
    expect(text).toContain('They never authorize a burn.');
    expect(text).toContain('the signed burn plan and the burn boss in charge decide');
    expect(text).not.toMatch(/\bready\b|\bsafe to burn\b|\bgo\b/i);
  });

  test.each(['/more', '/burn-days', '/weather', '/burn-check'])('%s leads there', async (path) => {
    const page = await getPage(buildApp(fakeDeps(both)), path);
    expect(page.root.querySelector('main a[href="/fuel"]')).not.toBeNull();
  });
});
