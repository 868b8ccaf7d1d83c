import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Crew } from '../../src/core/crews.ts';
import { addDays, daysBetween, fromDay, isoDate, toDay, weekday } from '../../src/core/dates.ts';
import {
  allCrewsByWeek,
  burnSpans,
  crewLoads,
  isCrewOnHand,
  monthsOf,
  openTasks,
  overTenthsOf,
  tightestWeeks,
  weeksOf,
} from '../../src/core/load.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { PlannedTask } from '../../src/core/tasks.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { fakeOperation } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

const d = isoDate;
const home: Crew = {
  id: 1,
  name: 'Home crew',
  kind: 'home',
  peopleCount: 4,
  skills: [],
  workdays: [1, 2, 3, 4, 5],
  daysOff: [{ startsOn: d('2026-10-06'), endsBefore: d('2026-10-08') }],
  onSpans: null,
  costPerDayUsd: 0,
  spreadDaysPerWeek: 4,
};
const saw: Crew = {
  ...home,
  id: 2,
  name: 'Contract saw crew',
  kind: 'contract',
  daysOff: [],
  onSpans: [{ startsOn: d('2026-10-14'), endsBefore: d('2026-10-24') }],
};

const task = (key: string, crewId: number, days: [string, number][]): PlannedTask => ({
  key,
  propertyId: 1,
  blockId: 1,
  unitId: 1,
  sequenceKey: 's',
  stepKey: 'x',
  cycle: 1,
  part: '-',
  name: key,
  treatmentKey: 't',
  family: 'cut',
  areaAcres: 10,
  startsOn: d(days[0]![0]),
  lastDay: d(days.at(-1)![0]),
  isWhenFit: false,
  tiedToKey: null,
  crewIds: [crewId],
  crewDaysTenths: days.reduce((sum, [, tenths]) => sum + tenths, 0),
  crewShares: [{ crewId, days: days.map(([date, tenths]) => ({ date: d(date), tenths })) }],
  gearShares: [],
  dueOn: null,
  lateDays: 0,
  isHeld: false,
  cost: 0,
  because: [],
});

const entry = (
  id: number,
  taskKey: string | null,
  doneOn: string,
  outcome: WorkEntry['outcome'],
): WorkEntry => ({
  id,
  unitId: 1,
  treatmentKey: 't',
  taskKey,
  startedOn: null,
  doneOn: d(doneOn),
  precision: 'day',
  outcome,
  reason: '',
  areaAcres: null,
  crewDays: null,
  personHours: null,
  shareBlackPercent: null,
  fireCause: null,
  signedOutOn: null,
  note: '',
});

const operation = (part: Partial<Operation>): Operation =>
  ({ crews: [home, saw], holidays: [], entries: [], ...part }) as Operation;

const october = { startsOn: d('2026-10-01'), endsBefore: d('2026-11-01') };

describe('days on hand', () => {
  // 5 October 2026 is a Monday (calendar, checked with luxon in dates.test.ts).
  test.each([
    ['a workday', home, '2026-10-05', true],
    ['a day off', home, '2026-10-06', false],
    ['the last day off', home, '2026-10-07', false],
    ['the day after days off', home, '2026-10-08', true],
    ['a Saturday', home, '2026-10-10', false],
    ['a holiday', home, '2026-10-12', false],
    ['before the contract span', saw, '2026-10-13', false],
    ['first day of the contract span', saw, '2026-10-14', true],
    ['last workday of the contract span', saw, '2026-10-23', true],
    ['after the contract span', saw, '2026-10-26', false],
  ])('%s', (_case, crew, date, isOnHand) => {
    expect(isCrewOnHand(crew, d(date), new Set([d('2026-10-12')]))).toBe(isOnHand);
  });
});

describe('weeks and months', () => {
  test('weeks begin on Monday and are cut to the range', () => {
    expect(weeksOf({ startsOn: d('2026-10-07'), endsBefore: d('2026-10-20') })).toEqual([
      { startsOn: '2026-10-07', endsBefore: '2026-10-12' },
      { startsOn: '2026-10-12', endsBefore: '2026-10-19' },
      { startsOn: '2026-10-19', endsBefore: '2026-10-20' },
    ]);
  });

  test('months cross New Year and leap February', () => {
    expect(monthsOf({ startsOn: d('2027-12-20'), endsBefore: d('2028-03-02') })).toEqual([
      { startsOn: '2027-12-20', endsBefore: '2028-01-01' },
      { startsOn: '2028-01-01', endsBefore: '2028-02-01' },
      { startsOn: '2028-02-01', endsBefore: '2028-03-01' },
      { startsOn: '2028-03-01', endsBefore: '2028-03-02' },
    ]);
  });

  test('both cover every day of the range once', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 15000, max: 30000 }),
        fc.integer({ min: 1, max: 800 }),
        (from, length) => {
          const range = { startsOn: fromDay(from), endsBefore: fromDay(from + length) };
          for (const spans of [weeksOf(range), monthsOf(range)]) {
            expect(spans[0]?.startsOn).toBe(range.startsOn);
            expect(spans.at(-1)?.endsBefore).toBe(range.endsBefore);
            spans.slice(1).forEach((span, i) => {
              expect(span.startsOn).toBe(spans[i]?.endsBefore);
            });
          }
          for (const week of weeksOf(range).slice(1)) expect(weekday(week.startsOn)).toBe(1);
        },
      ),
    );
  });
});

describe('need against what is on hand', () => {
  const cut = task('cut', 1, [
    ['2026-10-08', 10],
    ['2026-10-09', 10],
    ['2026-10-12', 5],
  ]);
  const line = task('line', 1, [['2026-10-09', 15]]);
  const contract = task('contract', 2, [['2026-10-14', 10]]);
  const loads = crewLoads(operation({}), [cut, line, contract], october);

  test('a crew by week: cut, days off and the task with the largest need first', () => {
    const week = loads[0]?.weeks[1];
    expect(week?.span.startsOn).toBe('2026-10-05');
    expect(week?.onHandTenths).toBe(30);
    expect(week?.needTenths).toBe(35);
    expect(week && overTenthsOf(week)).toBe(5);
    expect(week?.needs.map((need) => [need.task.key, need.tenths])).toEqual([
      ['cut', 20],
      ['line', 15],
    ]);
  });

  test('a crew by month: 22 weekdays in October 2026 less two days off', () => {
    expect(loads[0]?.months).toHaveLength(1);
    expect(loads[0]?.months[0]?.onHandTenths).toBe(200);
    expect(loads[0]?.months[0]?.needTenths).toBe(40);
    expect(loads[1]?.months[0]?.onHandTenths).toBe(80);
  });

  test('all crews: one over-full crew makes the week over-full though the sum is enough', () => {
    const weeks = allCrewsByWeek(
      crewLoads(operation({ crews: [home, { ...saw, onSpans: null }] }), [cut, line], october),
    );
    expect(weeks[1]).toEqual({
      span: { startsOn: '2026-10-05', endsBefore: '2026-10-12' },
      needTenths: 35,
      onHandTenths: 80,
      overTenths: 5,
    });
    expect(weeks[2]?.overTenths).toBe(0);
    expect(allCrewsByWeek([])).toEqual([]);
  });

  test('tightest weeks: least left over first, weeks without work are no question', () => {
    const weeks = loads[0]?.weeks ?? [];
    expect(tightestWeeks(weeks, 5).map((week) => week.span.startsOn)).toEqual([
      '2026-10-05',
      '2026-10-12',
    ]);
    expect(tightestWeeks(weeks, 1)).toHaveLength(1);
  });

  test('sums of weeks and of months agree with the days', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 200 }), fc.integer({ min: 1, max: 30 })), {
          minLength: 1,
          maxLength: 20,
        }),
        fc.integer({ min: 1, max: 150 }),
        (days, length) => {
          const start = d('2026-11-11');
          const range = { startsOn: start, endsBefore: addDays(start, length) };
          const one = task(
            'any',
            1,
            days.map(([at, tenths]) => [fromDay(toDay(start) + at), tenths]),
          );
          const [load] = crewLoads(operation({}), [one], range);
          const expected = days.reduce((sum, [at, t]) => sum + (at < length ? t : 0), 0);
          const total = (spans: { needTenths: number }[]) =>
            spans.reduce((sum, span) => sum + span.needTenths, 0);
          expect(total(load!.weeks)).toBe(expected);
          expect(total(load!.months)).toBe(expected);
          expect(daysBetween(range.startsOn, range.endsBefore)).toBe(length);
        },
      ),
    );
  });
});

test('tasks that the log closed need nobody; one opened again by a later entry does', () => {
  const tasks = ['a', 'b', 'c', 'd', 'e'].map((key) => task(key, 1, [['2026-10-08', 10]]));
  const entries = [
    entry(1, 'a', '2026-10-01', 'done'),
    entry(2, 'b', '2026-10-01', 'not-possible'),
    entry(3, 'c', '2026-10-01', 'partly'),
    entry(4, 'd', '2026-10-01', 'done'),
    entry(5, 'd', '2026-10-01', 'under-way'),
    entry(6, null, '2026-10-01', 'done'),
  ];
  expect(openTasks(operation({ entries }), tasks).map((one) => one.key)).toEqual(['c', 'd', 'e']);
});

describe('burns against fit days', () => {
  // One fit day a day and shares of 1: 14 burns in each whole two weeks, 7 in a span cut to a week.
  const everyDay = Array.from({ length: 24 }, (_, i) =>
    i % 2 === 0 ? 15 : [16, 13, 16, 15, 16, 15, 16, 16, 15, 16, 15, 16][(i - 1) / 2]!,
  );
  const land = fakeOperation();
  land.fitDays = [
    { prescriptionKey: 'hardwood-litter', fitDays: everyDay, origin: 'entered', label: '' },
    { prescriptionKey: 'grass', fitDays: everyDay.map(() => 0), origin: 'entered', label: '' },
  ];
  land.settings.supply = { level: 'half', weekdayShare: 1, usedShare: 1 };
  land.blocks[1]!.prescriptionKey = null;
  const burns = fakePlan().content.tasks;
  // Two-week spans run from Monday 5 January 1970, so one starts on 4 January 2027 (20822 days, 4 + 1487 spans).
  const horizon = { startsOn: d('2027-01-11'), endsBefore: d('2027-02-15') };
  const spans = burnSpans(land, burns, horizon);

  test('two-week spans, cut to the horizon', () => {
    expect(spans.map((one) => one.span)).toEqual([
      { startsOn: '2027-01-11', endsBefore: '2027-01-18' },
      { startsOn: '2027-01-18', endsBefore: '2027-02-01' },
      { startsOn: '2027-02-01', endsBefore: '2027-02-15' },
    ]);
  });

  test('supply of each prescription, and the largest for all together', () => {
    expect(spans.map((one) => one.all.supplyTenths)).toEqual([70, 140, 140]);
    expect(spans.map((one) => one.byPrescription.get('grass')?.supplyTenths)).toEqual([0, 0, 0]);
  });

  test('burns by the span they are called in; without a prescription only among all', () => {
    const keys = (count: { burns: PlannedTask[] } | undefined) =>
      count?.burns.map((burn) => burn.key);
    expect(spans.map((one) => keys(one.byPrescription.get('hardwood-litter')))).toEqual([
      ['block:1/cedar-woodland/burn/2/-'],
      [],
      [],
    ]);
    expect(keys(spans[2]?.all)).toEqual(['block:2/cedar-woodland/burn/1/-']);
  });
});
