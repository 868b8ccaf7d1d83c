import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import { blockSheet, sheetsBetween, sheetTasks } from '../../src/core/sheets.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan, fakeTask } from '../support/plan.ts';

const operation = fakeOperation();
const plan = fakePlan().content;
const tasks = sheetTasks(operation, plan, fakeToday);
const keysOf = (rows: readonly { key: string }[]) => rows.map(({ key }) => key);

describe('which tasks have a sheet', () => {
  test('every one of the plan in force, on land that is still there', () => {
    const planned = plan.tasks.map(({ key }) => key);
    expect(keysOf(tasks)).toEqual(expect.arrayContaining(planned));
    const without = { ...operation, units: operation.units.filter(({ id }) => id !== 4) };
    expect(
      keysOf(sheetTasks(without, plan, fakeToday)).some((key) => key.startsWith('unit:4/')),
    ).toBe(false);
  });

  test('work that the log says is under way, or done', () => {
    const spray = tasks.find(({ key }) => key === 'unit:4/old-field-spray/spray/1/-');
    expect(spray?.standing).toBe('under-way');
    const key = 'unit:2/cedar-woodland/cure-check/1/-';
    const entries = [
      ...operation.entries,
      fakeEntry(99, 2, 'cure-check', '2026-11-08', { taskKey: key }),
    ];
    const done = sheetTasks({ ...operation, entries }, plan, fakeToday).find(
      (one) => one.key === key,
    );
    expect(done?.standing).toBe('done');
  });

  test('a step that goes with a burn day says so and has the span of the burn', () => {
    const tied = tasks.filter(({ isTied }) => isTied);
    for (const { planned, startsOn } of tied) {
      expect(planned?.tiedToKey).not.toBeNull();
      expect(startsOn).toBe(planned?.startsOn);
    }
    const burn = plan.tasks.find(({ family }) => family === 'burn');
    const pass = fakeTask('block:3/cedar-woodland/second-pass/2/-', burn!.startsOn, burn!.lastDay, {
      treatmentKey: 'line-second-pass',
      tiedToKey: burn!.key,
    });
    const more = sheetTasks(operation, { ...plan, tasks: [...plan.tasks, pass] }, fakeToday);
    expect(more.find(({ key }) => key === pass.key)).toMatchObject({
      isTied: true,
      isWhenFit: false,
    });
  });

  test('without a plan there are those of the log only', () => {
    const only = sheetTasks(operation, null, fakeToday);
    expect(only.every(({ planned }) => planned === null)).toBe(true);
  });
});

describe('the sheets of some days', () => {
  const between = (from: string, to: string, crewId: number | null) =>
    sheetsBetween(tasks, isoDate(from), isoDate(to), crewId);

  test.each([
    ['the day before it starts', '2026-11-14', '2026-11-15', false],
    ['its day', '2026-11-16', '2026-11-16', true],
    ['the day after', '2026-11-17', '2026-11-20', false],
  ])('a task of one day, asked for %s', (_, from, to, isIn) => {
    const key = 'unit:2/cedar-woodland/cure-check/1/-';
    expect(keysOf(between(from, to, null)).includes(key)).toBe(isIn);
  });

  test('are those of one crew where one is asked for, and never of another', () => {
    for (const task of between('2026-11-01', '2027-06-30', 2)) expect(task.crewIds).toContain(2);
    const all = between('2026-11-01', '2027-06-30', null).length;
    expect(between('2026-11-01', '2027-06-30', 1).length).toBeLessThanOrEqual(all);
  });

  test('leave out what is done', () => {
    expect(
      between('2020-01-01', '2030-01-01', null).some(({ standing }) => standing === 'done'),
    ).toBe(false);
  });
});

test('a block without a burn in the plan has a sheet without a day', () => {
  const burn = operation.treatments.find(({ key }) => key === 'dormant-burn') ?? null;
  const sheet = blockSheet(operation, 6, burn);
  expect(sheet).toMatchObject({ startsOn: null, lastDay: null, areaAcres: 59, family: 'burn' });
  expect(sheet?.units.map(({ code }) => code)).toEqual(['E1', 'E2']);
  expect(blockSheet(operation, 99, burn)).toBeNull();
});

test('a burn that the boss called has its day and no longer a span', () => {
  const burn = plan.tasks.find(({ family }) => family === 'burn')!;
  const unitIds = operation.units
    .filter((unit) => unit.blockId === burn.blockId)
    .map(({ id }) => id);
  const day = isoDate('2026-11-10');
  const call: Operation['papers'][number] = {
    kind: 'call',
    id: 1,
    blockId: burn.blockId,
    unitIds,
    burnKey: burn.key,
    on: fakeToday,
    at: '16:00',
    by: 'Tess Arden',
    day,
    lightAt: '12:00',
    note: '',
  };
  const called = sheetTasks({ ...operation, papers: [call] }, plan, fakeToday);
  expect(called.find(({ key }) => key === burn.key)).toMatchObject({
    standing: 'called',
    startsOn: day,
    lastDay: day,
    isWhenFit: false,
  });
});
