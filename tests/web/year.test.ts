import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { FireStatus } from '../../src/core/rotation.ts';
import { buildApp } from '../../src/web/app.ts';
import { monthMarks, xOf } from '../../src/web/pages/load-strip.ts';
import { yearModel, yearPath, yearQuery } from '../../src/web/pages/year.ts';
import { fireSign, taskPath, yearChart } from '../../src/web/pages/year-chart.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { manyUnits } from '../support/many-units.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { getPage } from '../support/page.ts';
import { fakeDraft, fakePlan } from '../support/plan.ts';

const d = isoDate;
const page = (path: string, own: Parameters<typeof fakeDeps>[0] = {}) =>
  getPage(buildApp(fakeDeps(own)), path);

describe('the address', () => {
  test.each([
    [{}, '/year?from=2026-10&months=18'],
    [{ from: '2027-03', months: '24' }, '/year?from=2027-03&months=24'],
    [{ from: '2027-13', months: '19' }, '/year?from=2026-10&months=18'],
    [{ from: '1066-10' }, '/year?from=2026-10&months=18'],
    [
      { property: '2', community: 'glade' },
      '/year?from=2026-10&months=18&property=2&community=glade',
    ],
    [{ property: '99', community: '"><script>' }, '/year?from=2026-10&months=18'],
  ])('%j is read as %s', (query, path) => {
    expect(yearPath(yearQuery(query, fakeOperation(), fakeToday))).toBe(path);
  });

  test('earlier and later step by half of what is shown, across New Year', () => {
    const model = yearModel(
      fakeOperation(),
      fakePlan(),
      yearQuery({ from: '2027-02', months: '12' }, fakeOperation(), fakeToday),
      fakeToday,
    );
    expect(model.earlierPath).toBe('/year?from=2026-08&months=12');
    expect(model.laterPath).toBe('/year?from=2027-08&months=12');
    expect(model.spanWords).toBe('Feb 2027 to Jan 2028');
  });
});

describe('the drawing', () => {
  const scale = { startsOn: d('2026-10-01'), endsBefore: d('2027-10-01'), left: 250, width: 730 };

  test('a day is two pixels of 365 in 730', () => {
    expect(xOf(scale, d('2026-10-01'))).toBe(250);
    expect(xOf(scale, d('2026-10-11'))).toBe(270);
    expect(xOf(scale, d('2027-10-01'))).toBe(980);
  });

  test('months carry their year where there is room, January always says it', () => {
    expect(
      monthMarks(scale)
        .slice(0, 4)
        .map((month) => month.name),
    ).toEqual(['Oct 2026', 'Nov', 'Dec', 'Jan 2027']);
    const narrow = monthMarks({ ...scale, width: 365 });
    expect(narrow.slice(0, 4).map((month) => month.name)).toEqual(['Oct', 'Nov', 'Dec', '2027']);
  });

  const since = (yearsSince: number, kind: 'within' | 'overdue', yearsOver = 0): FireStatus => ({
    kind,
    lastFireOn: d('2024-01-01'),
    yearsSince,
    yearsOver,
    overdueOn: d('2027-01-02'),
  });
  const rotation = {
    phase: 'maintenance' as const,
    leastSeasons: 2,
    targetYears: 3,
    mostYears: 5,
  };
  // The line runs over 70 pixels from 166: ten years at seven pixels each.
  test.each([
    ['within', since(1, 'within'), '1.0 yr', false, 173],
    ['overdue', since(6.5, 'overdue', 1.5), '6.5 yr, 1.5 over', true, 212],
    ['beyond the end', since(40, 'overdue', 35), '40.0 yr, 35.0 over', true, 236],
    ['no fire on record', { kind: 'no-fire-on-record' } as const, 'no fire on record', false, null],
  ])('time since fire, %s', (_name, fire, words, isLate, tick) => {
    expect(fireSign(fire, rotation)).toMatchObject({
      words,
      isLate,
      line: { thickFrom: 180, thickTo: 201, tick },
    });
  });

  test('a held unit says until when, and no interval is drawn', () => {
    const held = { kind: 'held', untilYear: 2030, reason: 'oaks', lastFireOn: null } as const;
    expect(fireSign(held, rotation)).toMatchObject({ words: 'held to 2030', line: null });
    expect(fireSign({ kind: 'not-planned', lastFireOn: null }, null).words).toBe('no fire planned');
  });

  test('chips that would cover each other go into lanes and the row grows', () => {
    const operation = fakeOperation();
    for (const id of [21, 22, 23])
      operation.entries.push(fakeEntry(id, 3, 'foliar-spray', '2026-12-01'));
    const span = { startsOn: d('2026-10-01'), endsBefore: d('2028-04-01') };
    const model = yearModel(operation, null, yearQuery({}, operation, fakeToday), fakeToday);
    const row = model.chart.groups[0]?.rows.find((one) => one.code === 'N3');
    expect(row?.chips.map((chip) => chip.y)).toEqual([0, 20, 40]);
    expect(row?.height).toBe(74);
    expect(yearChart([], [], span, fakeToday, false).groups).toEqual([]);
  });

  test.each([
    [5, 'block:5/cedar-woodland/burn/2/-', '/units/5#task-burn-2'],
    [7, 'unit:7/thirds/strip-disk/1/b', '/units/7#task-strip-disk-1-b'],
    [7, null, '/units/7'],
  ])('the path of a task on unit %i', (unitId, key, path) => {
    expect(taskPath(unitId, key)).toBe(path);
  });
});

describe('the page', () => {
  test('every chip is a link with a name that says what, where, when and how firm', async () => {
    const { root, status } = await page('/year');
    expect(status).toBe(200);
    const chips = root.querySelectorAll('.chart a[class]');
    expect(chips.length).toBeGreaterThan(5);
    for (const chip of chips) {
      expect(chip.getAttribute('href')).toMatch(/^\/units\/\d+(#task-[a-z0-9-]+)?$/);
      expect(chip.querySelector('title')?.textContent).toMatch(/^\S+ .+, .*\d{4}, [a-z]/);
    }
    const names = chips.map((chip) => chip.querySelector('title')?.textContent);
    expect(names).toContain(
      'N1 Dormant-season burn, 11 to 24 Jan 2027, tentative, when fit: the boss calls the day',
    );
    expect(names).toContain('E1 Dormant-season burn, 7 Nov 2026, done');
  });

  test('planned burns are dashed, other work of the plan in force is not, in a draft all is', async () => {
    const classes = async (own: Parameters<typeof fakeDeps>[0]) =>
      (await page('/year', own)).root
        .querySelectorAll('.chart a[class]')
        .map((chip) => chip.getAttribute('class'));
    expect(await classes({})).toEqual(['B d', 'L', 'B t', 'M', 'B t', 'S', 'C']);
    const draft = await classes({ inForce: null, draft: fakeDraft() });
    expect(draft).toEqual(['B d', 'L t', 'B t', 'M t', 'B t', 'S', 'C t']);
  });

  test('windows, no-work dates, cure, today and leaf-out are said in words', async () => {
    const { root } = await page('/year');
    const titles = root.querySelectorAll('.chart title').map((title) => title.textContent);
    expect(titles).toContain('burn season, Dormant-season burn: 12 Nov 2026 to 1 Apr 2027');
    expect(titles).toContain('no-work dates 1 to 24 Nov 2026: Firearms deer season');
    expect(titles.some((title) => title.startsWith('curing since 12 Dec 2024, use by'))).toBe(true);
    expect(
      titles.some((title) => title.startsWith('2027: leaf-out about 12 Apr, usual date')),
    ).toBe(true);
    expect(root.querySelectorAll('.chart .td')).toHaveLength(2);
  });

  test('the error of a usual leaf-out is said once, and words near the right edge stand before the line', async () => {
    const { root } = await page('/year?months=24');
    const said = root.querySelectorAll('.chart .lw').slice(0, 2);
    expect(said.map((one) => one.textContent)).toEqual([
      'leaf-out about 12 Apr, usual date, a week or more either way',
      'leaf-out about 12 Apr',
    ]);
    expect(said.map((one) => one.classList.contains('r'))).toEqual([false, true]);
  });

  test('an observed leaf-out is said to be observed', async () => {
    const operation = fakeOperation();
    operation.properties[0]!.anchors.byYear.push({
      anchor: 'leaf-out',
      year: 2027,
      date: d('2027-04-03'),
      how: 'observed',
    });
    const { text } = await page('/year', { operation });
    expect(text).toContain('leaf-out 3 Apr, observed');
  });

  test('the table holds the same work, a row a unit, and links the next three', async () => {
    const { root } = await page('/year');
    expect(root.querySelectorAll('#year-table tbody tr')).toHaveLength(8);
    expect(root.querySelectorAll('#year-table li')).toHaveLength(
      root.querySelectorAll('.chart a[class]').length,
    );
    const burn = root.querySelectorAll('#year-table tbody tr')[2];
    expect(burn?.textContent).toContain('on its day: Blow the line again');
    const { operation, plan } = manyUnits(1);
    const one = await page('/year?months=36', { operation, inForce: plan });
    expect(one.root.querySelectorAll('#year-table li')).toHaveLength(7);
    expect(one.root.querySelectorAll('#year-table li a')).toHaveLength(3);
  });

  test('filters count units and keep the rest of the address', async () => {
    const { root } = await page('/year?property=1&months=24');
    const filters = root.querySelectorAll('.year-filters .filters');
    expect(filters[2]?.textContent.replace(/\s+/g, ' ')).toContain('Oak woodland 4');
    const glade = filters[2]?.querySelectorAll('a').find((link) => link.textContent === 'Glade');
    expect(glade?.getAttribute('href')).toBe(
      '/year?from=2026-10&months=24&property=1&community=glade',
    );
    const none = await page('/year?property=2&community=glade');
    expect(none.text).toContain('No unit is shown.');
  });

  test('the print has property, date, plan number and who comes first', async () => {
    const title = (await page('/year?property=1')).root.querySelector('.print-title')?.textContent;
    for (const words of [
      'Fernhill Ridge',
      'Made 9 Nov 2026, plan 1',
      'Plans only: local law, the label, the signed burn plan and the qualified person in charge',
    ])
      expect(title).toContain(words);
  });

  test('without a plan what was done is still shown', async () => {
    const { text, root } = await page('/year', { inForce: null });
    expect(text).toContain('no plan yet');
    expect(root.querySelectorAll('.chart .d').length).toBeGreaterThan(0);
  });

  test('500 units and 24 months stay under 1.5 megabytes, with no inline style', async () => {
    const { operation, plan } = manyUnits(500);
    const app = buildApp(fakeDeps({ operation, inForce: plan }));
    const answer = await app.inject({
      url: '/year?from=2026-10&months=24',
      headers: { host: 'localhost' },
    });
    expect(answer.statusCode).toBe(200);
    expect(answer.body.match(/<a href="[^"]*" class="B t">/g)).toHaveLength(500);
    expect(answer.rawPayload.length).toBeLessThan(1_500_000);
    expect(answer.body).not.toMatch(/\sstyle\s*=|<style/i);
  });
});
