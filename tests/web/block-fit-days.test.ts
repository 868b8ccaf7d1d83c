import { describe, expect, test } from 'vitest';
import type { SiteFitDays } from '../../src/core/weather/site-fit-days.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';

const station = {
  name: 'Invented station',
  latitude: 37.1,
  longitude: -92,
  timeZone: 'America/Chicago',
  fromYear: 2019,
  toYear: 2020,
  hours: 17_000,
  isInvented: true,
};

const halves = (first: number) => Array.from({ length: 24 }, (_, half) => (half < 2 ? first : 0));
const followers = (days: number, fit: number) =>
  Array.from({ length: 12 }, (_, month) => (month === 0 ? { days, fit } : { days: 0, fit: 0 }));
const counts: SiteFitDays = {
  years: [
    { year: 2019, fitDays: halves(3), unknownDays: halves(0), isWholeYear: true },
    { year: 2020, fitDays: halves(1), unknownDays: halves(2), isWholeYear: true },
    { year: 2021, fitDays: halves(7), unknownDays: halves(0), isWholeYear: false },
  ],
  followers: { afterFit: followers(20, 12), afterUnfit: followers(40, 6) },
};

const page = (
  deps = fakeDeps({
    blockFitDays: { state: 'counted', station, counts, dailyOnlyYears: [1996, 1997] },
  }),
) => getPage(buildApp(deps), '/burn-days/blocks/2');

describe('fit days of a block', () => {
  test('every year by month, with what could not be judged, and the spread over whole years', async () => {
    const { root, text, status } = await page();
    expect(status).toBe(200);
    const rows = root
      .querySelectorAll('.fit-picture tbody tr')
      .map((row) =>
        row.querySelectorAll('th, td').map((cell) => cell.textContent.trim().replace(/\s+/g, ' ')),
      );
    expect(rows.map((row) => [row[0], row[1], row.at(-1)])).toEqual([
      ['2019', '6', '6'],
      ['2020', '2 +4?', '2'],
      ['2021 part', '14', '14'],
      ['P10', '2', '2'],
      ['Mean', '4', '4'],
      ['P90', '6', '6'],
    ]);
    expect(text).toContain('Invented station, 2019 to 2021, 2 whole years: a made-up history');
    expect(text).toContain('4 days could not be judged');
    expect(text).toContain('2 years of 1996 to 1997 hold daily readings only');
    expect(root.querySelectorAll('[style]')).toEqual([]);
  });

  test('bars show fit and unknown days by shape, and the half-months and spells are tables', async () => {
    const { root, text } = await page();
    const bars = root.querySelectorAll('.fit-picture tbody tr')[1]?.querySelectorAll('td rect');
    expect(
      bars?.slice(0, 3).map((bar) => [bar.getAttribute('class'), bar.getAttribute('width')]),
    ).toEqual([
      ['of', '31'],
      ['unknown', '4'],
      ['fit', '2'],
    ]);
    expect(text).toContain(
      'After a fit day the next was fit in 12 of 20 (60 %); after an unfit day in 6 of 40 (15 %).',
    );
    expect(root.querySelectorAll('table.list')[0]?.querySelectorAll('tbody tr')).toHaveLength(24);
  });

  test('says what a day is judged by, and that the tool never authorizes a burn', async () => {
    const { text } = await page();
    expect(text).toContain('any sector');
    expect(text).toContain('only hours between sunrise and sunset at the property');
    expect(text).toContain('The tool never authorizes a burn.');
  });

  test('while it is being counted the page says so, asks again and has a plain link', async () => {
    const deps = fakeDeps({ blockFitDays: { state: 'counting', station } });
    const { root, text } = await page(deps);
    expect(text).toContain('being counted');
    expect(root.querySelector('#block-fit-days')?.getAttribute('hx-get')).toBe(
      '/burn-days/blocks/2',
    );
    expect(root.querySelector('[role=status] a')?.getAttribute('href')).toBe('/burn-days/blocks/2');
    expect(
      (await page()).root.querySelector('#block-fit-days')?.getAttribute('hx-get'),
    ).toBeUndefined();
  });

  test.each([
    ['no-hours', 'No hourly weather history is loaded'],
    ['no-prescription', 'The block has no prescription'],
  ] as const)('%s is a true empty state', async (state, words) => {
    const { text } = await page(fakeDeps({ blockFitDays: { state } }));
    expect(text).toContain(words);
  });

  test('a block that is not there is a 404', async () => {
    const { status } = await getPage(buildApp(fakeDeps()), '/burn-days/blocks/999');
    expect(status).toBe(404);
  });

  test('Burn days leads there', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/burn-days');
    expect(root.querySelector('a[href="/burn-days/blocks/2"]')).not.toBeNull();
  });
});
