import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { CureDay } from '../../src/core/weather/cure.ts';
import { buildApp } from '../../src/web/app.ts';
import type { CureHistory } from '../../src/web/deps.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { getPage } from '../support/page.ts';

/** Any day 70 F with 60 % humidity and no rain; no day is held, so the usual day stands in. */
function usualHistory(
  day: CureDay = { rhMeanPercent: 60, temperatureMeanF: 70, rainInches: 0 },
): CureHistory {
  const usual = new Map<string, CureDay>();
  for (let month = 1; month <= 12; month++)
    for (let at = 1; at <= 31; at++)
      usual.set(`${String(month).padStart(2, '0')}-${String(at).padStart(2, '0')}`, day);
  const station = {
    name: 'Invented station',
    latitude: 37.1,
    longitude: -92,
    timeZone: 'America/Chicago',
    fromYear: 2011,
    toYear: 2020,
    hours: 87_000,
    isInvented: true,
  };
  return { station, weather: { byDay: new Map(), usual } };
}

const rowsOf = (page: Awaited<ReturnType<typeof getPage>>, table: number) =>
  page.root
    .querySelectorAll('table.list')
    [table]?.querySelectorAll('tbody tr')
    .map((row) => row.querySelectorAll('th, td').map((cell) => cell.textContent.trim())) ?? [];

// The fake land: N2 felled on 12 December 2024, leaf-out 12 April, growing season to 1 October.
describe('felled fuel', () => {
  test('three answers side by side: calendar, estimate and field check', async () => {
    const deps = fakeDeps({ today: isoDate('2026-11-09'), cureHistory: usualHistory() });
    const page = await getPage(buildApp(deps), '/cure');
    expect(page.root.querySelectorAll('h2 a').map((link) => link.textContent)).toEqual([
      'N2 Two Springs',
    ]);
    const [calendar, estimate, check] = rowsOf(page, 0);
    // One growing season and 300 days: 8 October 2025 is the later.
    expect(calendar?.slice(0, 2)).toEqual(['Calendar rule', 'ready']);
    expect(calendar?.[2]).toContain('from 8 Oct 2025');
    expect(estimate?.slice(0, 2)).toEqual(['Drying estimate', 'ready']);
    expect(check?.slice(1)).toEqual(['not yet', 'none in the work log']);
    expect(page.text).toContain('1 Apr 2027, the end of the last useful burn season');
  });

  test('freshly felled the calendar says not yet, while thin limbs may be dry and stems are not', async () => {
    const operation = fakeOperation();
    operation.entries = [fakeEntry(1, 2, 'cedar-felling', '2026-10-20')];
    const deps = fakeDeps({ today: isoDate('2026-11-09'), operation, cureHistory: usualHistory() });
    const page = await getPage(buildApp(deps), '/cure');
    expect(rowsOf(page, 0).map((row) => row[1])).toEqual(['not yet', 'ready', 'not yet']);
    const sizes = rowsOf(page, 1);
    expect(sizes.map((row) => row[0])).toEqual([
      'limb, ¼ in',
      'limb, ½ in',
      'limb, 1 in',
      'stem, 3 in',
      'stem, 5 in',
      'stem, 8 in',
    ]);
    // 20 days on; larger is moister, and a year brings all nearer to the equilibrium of 11 %.
    const now = sizes.map((row) => Number(row[1]));
    expect(now).toEqual([...now].sort((a, b) => a - b));
    expect(now[0]).toBe(11);
    expect(Number(sizes[5]?.[5])).toBeLessThan(now[5] ?? 0);
    expect(sizes[0]?.at(-1)).toBe('21 Oct 2026');
    expect(sizes[4]?.at(-1)).toMatch(/^about /);
  });

  test('says whose days the estimate stands on, and that the history is made up', async () => {
    const deps = fakeDeps({ today: isoDate('2026-11-09'), cureHistory: usualHistory() });
    const { text } = await getPage(buildApp(deps), '/cure');
    expect(text).toContain('0 days of the 697 since felling observed');
    expect(text).toContain('the mean of past years stands in');
    expect(text).toContain('A made-up history');
  });

  test('says plainly that no data of felled redcedar were found and that the field check decides', async () => {
    const { text } = await getPage(buildApp(fakeDeps()), '/cure');
    expect(text).toContain('No measurements of how felled redcedar dries were found.');
    expect(text).toContain('The field check decides');
  });

  test('without hours there is no estimate, and the other two still answer', async () => {
    const page = await getPage(buildApp(fakeDeps()), '/cure');
    expect(rowsOf(page, 0).map((row) => row[1])).toEqual(['ready', 'cannot say', 'not yet']);
    expect(page.text).toContain('No hourly weather history is loaded');
  });

  test('with nothing felled it says what would fill the page', async () => {
    const operation = fakeOperation();
    operation.entries = [];
    const { text } = await getPage(buildApp(fakeDeps({ operation })), '/cure');
    expect(text).toContain('No felled fuel waits for a burn.');
  });

  test('its unit and More lead there, and units lead to the fit days of their block', async () => {
    const app = buildApp(fakeDeps());
    const unit = await getPage(app, '/units/2');
    expect(unit.root.querySelector('a[href^="/cure#cure-2"]')).not.toBeNull();
    expect(unit.root.querySelector('a[href="/burn-days/blocks/2"]')).not.toBeNull();
    expect((await getPage(app, '/more')).root.querySelector('a[href="/cure"]')).not.toBeNull();
    const anchor = unit.root
      .querySelector('a[href^="/cure#"]')
      ?.getAttribute('href')
      ?.split('#')[1];
    expect((await getPage(app, '/cure')).root.querySelector(`#${anchor}`)).not.toBeNull();
  });
});
