import { describe, expect, test } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { burnDaysModel, burnsInTwoWeeks, limitLines } from '../../src/web/pages/burn-days.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { getPage } from '../support/page.ts';
import { fakePlan } from '../support/plan.ts';

const litter = fakeOperation().prescriptions[0]!;

function withCheck() {
  const operation = fakeOperation();
  operation.prescriptions = [
    {
      ...litter,
      key: 'published-wide',
      name: 'Published wide rule',
      use: 'check',
      status: 'published',
      source: 'A table of ranges, 2019.',
    },
    ...operation.prescriptions,
  ];
  return operation;
}

describe('limits in words', () => {
  test('with units, hours in standard time and what missing rain means', () => {
    expect(limitLines(litter).map((line) => line.words)).toEqual([
      '35 to 75 °F',
      '30 to 55 %',
      '3 to 12 miles an hour',
      '3 hours in a row among the observations of 11:00 to 16:00, standard time',
      'at least 2 days since a rain of 0.1 inches or more; rain ends the run of hours; missing rain counts as unknown, so not fit',
    ]);
  });

  test('the limits that a prescription need not have are named where it has them', () => {
    const lines = limitLines({
      ...litter,
      windHeight: 'in-stand',
      gustMph: { least: null, most: 20 },
      fineFuelMoisturePercent: { least: 6, most: 12 },
      snowInchesMost: 0,
      quietNextDay: { gustMphMost: 25, rhPercentLeast: 25 },
    });
    expect(lines.slice(5).map((line) => `${line.name}: ${line.words}`)).toEqual([
      'Gusts at 10 m: at most 20 miles an hour',
      'Fine fuel moisture: 6 to 12 % of dry weight, by the ground of the block',
      'Snow on the ground: at most 0 inches',
      'The day after, 8:00 to 20:00: gusts at most 25 miles an hour, humidity at least 25 %',
    ]);
    expect(lines[2]?.name).toBe('Wind at eye level in the stand');
  });

  test.each([
    [{ least: null, most: null }, 'no limit'],
    [{ least: 35, most: null }, 'at least 35 °F'],
    [{ least: null, most: 0 }, 'at most 0 °F'],
  ])('%j is %s', (temperatureF, words) => {
    expect(limitLines({ ...litter, temperatureF })[0]?.words).toBe(words);
  });
});

describe('likely burns in two weeks', () => {
  // By hand: 3 fit days in the 13 days of late February, 14 of such days, half the weekdays, 4 of 10 used.
  test.each([
    [3, 4, 0.5, 0.4, (3 / 13) * 14 * 0.5 * 0.4],
    [15, 1, 1, 1, 14],
    [0, 13, 1, 1, 0],
  ])('%d fit days of half-month %i', (fitDays, half, weekdayShare, usedShare, burns) => {
    expect(burnsInTwoWeeks(fitDays, half, { level: 'half', weekdayShare, usedShare })).toBeCloseTo(
      burns,
      10,
    );
  });
});

describe('the model', () => {
  const model = (query: Record<string, string>, operation = withCheck()) =>
    burnDaysModel(operation, fakePlan(), fakeDeps().weather, query, fakeToday);

  test('a rule that checks the counting comes last and is never the supply', () => {
    const { sections } = model({});
    expect(sections.map((one) => [one.key, one.isCheck, one.supply !== null])).toEqual([
      ['hardwood-litter', false, true],
      ['published-wide', true, false],
    ]);
    expect(sections[1]?.source).toBe('A table of ranges, 2019. (published)');
  });

  test('says where the fit days come from and works one half-month out', () => {
    const [litterSection] = model({}).sections;
    expect(litterSection?.supply?.origin).toBe('entered by hand');
    expect(litterSection?.supply?.lines[1]).toEqual({
      month: 'Feb',
      fitDays: ['2', '3'],
      burns: ['0.5', '0.9'],
    });
    expect(litterSection?.supply?.example).toBe(
      '16 to 28 Feb: 3 fit days in 13 days, so 3.23 in two weeks × 0.71 × 0.4 = 0.92 burns.',
    );
    const counted = withCheck();
    counted.fitDays[0] = {
      ...counted.fitDays[0]!,
      origin: 'history',
      label: 'Ridge, 2011 to 2020',
    };
    expect(model({}, counted).sections[0]?.supply?.origin).toBe('history: Ridge, 2011 to 2020');
  });

  test('planned burns in order; those without a prescription on their own', () => {
    const names = (burns: { place: { words: string } }[] | undefined) =>
      burns?.map((burn) => burn.place.words);
    expect(names(model({}).sections[0]?.burns)).toEqual(['N1 Dogtooth flat', 'N2 Two Springs']);
    const operation = withCheck();
    operation.blocks[0]!.prescriptionKey = null;
    const without = model({}, operation);
    expect(names(without.sections[0]?.burns)).toEqual(['N2 Two Springs']);
    expect(names(without.burnsWithout)).toEqual(['N1 Dogtooth flat']);
  });

  test.each([
    [{ prescription: 'hardwood-litter' }, 1],
    [{ prescription: 'no-such' }, 2],
    [{ station: 'no-such' }, 2],
  ])('%j shows %i prescriptions', (query, count) => {
    expect(model(query as Record<string, string>).sections).toHaveLength(count);
  });
});

describe('the page', () => {
  test('past years by month with mean, unknown hours, and an invented history named as such', async () => {
    const { root, text, status } = await getPage(buildApp(fakeDeps()), '/burn-days');
    expect(status).toBe(200);
    const rows = root
      .querySelectorAll('.past-years tbody tr')
      .map((row) => row.querySelectorAll('th, td').map((cell) => cell.textContent));
    expect(rows.map((row) => [row[0], row[1], row.at(-1)])).toEqual([
      ['2019', '4', '42'],
      ['2020', '2', '38'],
      ['Mean', '3', '40'],
    ]);
    expect(text).toContain('12 hours lacked a reading that the rule limits');
    expect(text).toContain('a made-up history');
    expect(root.querySelectorAll('[style]')).toEqual([]);
  });

  test('cautions and who decides stand on the page, and the check rule says what it is', async () => {
    const { text } = await getPage(buildApp(fakeDeps({ operation: withCheck() })), '/burn-days');
    expect(text).toContain('The tool never authorizes a burn.');
    expect(text).toContain('Fire gets away the next two afternoons.');
    expect(text).toContain('It is never the supply');
  });

  test('without weather history it names the figures instead', async () => {
    const deps = fakeDeps();
    deps.weather = { ...deps.weather, stations: () => [] };
    const { text } = await getPage(buildApp(deps), '/burn-days');
    expect(text).toContain('No weather history is loaded');
    expect(text).not.toContain('Fit days in past years');
  });
});
