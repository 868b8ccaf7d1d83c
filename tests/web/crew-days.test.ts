import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { buildApp } from '../../src/web/app.ts';
import { crewDaysModel, spanAhead } from '../../src/web/pages/crew-days.ts';
import { loadStrip } from '../../src/web/pages/load-strip.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { getPage } from '../support/page.ts';
import { fakePlan } from '../support/plan.ts';

const d = isoDate;
const model = (crew?: string) => crewDaysModel(fakeOperation(), fakePlan(), crew, fakeToday);

describe('a crew', () => {
  test('over-full weeks are named with what is short and the work in them', () => {
    const [home, saw] = model().crews;
    expect(home?.overWords).toBe('No week is over-full.');
    expect(home?.overWeeks).toEqual([]);
    expect(saw?.overWords).toContain('1 week over-full');
    expect(saw?.overWeeks).toMatchObject([
      {
        dates: '30 Nov to 6 Dec 2026',
        words: '14 of 5 crew days, 9 short',
        tasks: [
          { name: 'Fell cedar', place: { words: 'S2 Post oak bench' }, days: '14 crew days' },
        ],
      },
    ]);
    expect(saw?.about).toBe(
      'contract crew, 3 people, works Mon, Tue, Wed, Thu, Fri, on site 16 Nov 2026 to 31 Jan 2027',
    );
  });

  test('tightest weeks that fit come with their tasks, the fullest first', () => {
    const [first] = model('1').crews[0]?.tightest ?? [];
    expect(first?.dates).toBe('11 to 17 Jan 2027');
    expect(first?.words).toBe('2 of 5 crew days, 3 left');
    expect(first?.tasks.map((task) => task.name).sort()).toEqual([
      'Blow the line again',
      'Dormant-season burn',
    ]);
  });

  test('months: from the 9th on, 16 weekdays of November less one holiday', () => {
    const months = model('1').crews[0]?.months ?? [];
    expect(months[0]).toEqual({
      name: 'Nov 2026',
      need: '1',
      onHand: '15',
      free: '14',
      share: '7 %',
      isOver: false,
    });
    expect(months).toHaveLength(32);
    const saw = model('2').crews[0]?.months ?? [];
    expect(saw.at(-1)).toMatchObject({ need: '0', onHand: '0', share: '', isOver: false });
    expect(saw[0]).toMatchObject({ need: '14', onHand: '10', free: '4 short', isOver: true });
  });

  test.each([
    [undefined, 2],
    ['1', 1],
    ['99', 2],
    ['x', 2],
  ])('asked for crew %s: %i shown', (crew, count) => {
    expect(model(crew).crews).toHaveLength(count);
  });
});

test('the span is what lies ahead of the plan, or all of it when it is over', () => {
  const plan = fakePlan();
  expect(spanAhead(plan, d('2027-03-05')).startsOn).toBe('2027-03-05');
  expect(spanAhead(plan, d('2030-01-01'))).toEqual(plan.content.horizon);
});

test('the strip: heights in proportion, the dotted line in steps, figures on over-full weeks only', () => {
  const week = (from: string, to: string, needTenths: number, onHandTenths: number) => ({
    span: { startsOn: d(from), endsBefore: d(to) },
    needTenths,
    onHandTenths,
    overTenths: Math.max(0, needTenths - onHandTenths),
  });
  const scale = { startsOn: d('2027-01-04'), endsBefore: d('2027-01-18'), left: 0, width: 140 };
  const weeks = [
    week('2027-01-04', '2027-01-11', 25, 50),
    week('2027-01-11', '2027-01-18', 100, 40),
  ];
  const strip = loadStrip(weeks, scale, 40);
  expect(strip.bars.map(({ x, y, height, figure }) => [x, y, height, figure])).toEqual([
    [1, 30, 10, ''],
    [71, 0, 40, '10'],
  ]);
  expect(strip.onHandPath).toBe('M0 20H70V24H140');
  expect(strip.bars[1]?.title).toBe(
    'Week of 11 Jan 2027: 10 of 4 crew days, 6 more than the crews have',
  );
});

describe('the page', () => {
  test('shows load, months and burns against likely burn days', async () => {
    const page = await getPage(buildApp(fakeDeps()), '/crew-days');
    expect(page.status).toBe(200);
    expect(page.root.querySelectorAll('.load svg')).toHaveLength(2);
    expect(page.root.querySelectorAll('.load-months')).toHaveLength(2);
    const burns = page.root.querySelectorAll('section[aria-labelledby="burns"] tbody tr');
    expect(burns.map((row) => row.querySelector('a')?.textContent)).toEqual([
      'N1 Dogtooth flat',
      'N2 Two Springs',
    ]);
    expect(burns[0]?.querySelectorAll('.num')[0]?.textContent).toMatch(/^1 of \d+$/);
    expect(page.text).toContain('It never says that a burn may be lit');
    expect(page.root.querySelectorAll('[style]')).toEqual([]);
  });

  test('without a plan it says so', async () => {
    const page = await getPage(buildApp(fakeDeps({ inForce: null })), '/crew-days');
    expect(page.text).toContain('No plan yet');
    expect(page.root.querySelectorAll('svg')).toEqual([]);
  });
});
