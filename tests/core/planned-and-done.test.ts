import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { plannedAndDone, workSum } from '../../src/core/planned-and-done.ts';
import type { Plan } from '../../src/core/plans.ts';
import type { PlannedTask } from '../../src/core/tasks.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

const base = fakePlan();
const some = base.content.tasks[0]!;

const felling = (
  key: string,
  days: [string, number][],
  own: Partial<PlannedTask> = {},
): PlannedTask => ({
  ...some,
  ...{ key, propertyId: 1, unitId: 1, treatmentKey: 'cedar-felling', family: 'cut', areaAcres: 12 },
  startsOn: isoDate(days[0]![0]),
  lastDay: isoDate(days.at(-1)![0]),
  crewShares: [
    { crewId: 1, days: days.map(([date, tenths]) => ({ date: isoDate(date), tenths })) },
  ],
  ...own,
});

const planOf = (adoptedAt: string, ...tasks: PlannedTask[]): Plan => ({
  ...base,
  adoptedAt,
  content: { ...base.content, tasks },
});

function season(plans: Plan[], entries: WorkEntry[], year = 2026) {
  const found = plannedAndDone({ ...fakeOperation(), entries }, plans, year);
  const row = found.treatments.find(({ treatmentKey }) => treatmentKey === 'cedar-felling');
  const month = (number: number) => row?.months[found.months.indexOf(number)];
  return { ...found, row, month };
}

describe('planned against done', () => {
  it('runs through the months of the burning season', () =>
    expect(season([], []).months).toEqual([7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]));

  it('shares work out over months by its crew days', () => {
    const task = felling('a', [
      ['2026-11-27', 10],
      ['2026-11-30', 10],
      ['2026-12-01', 20],
    ]);
    const { month } = season([planOf('2026-10-01T00:00:00Z', task)], []);
    expect(month(11)?.planned).toEqual({ acres: 6, crewDays: 2 });
    expect(month(12)?.planned).toEqual({ acres: 6, crewDays: 2 });
  });

  it('leaves out the days of another season', () => {
    const task = felling('a', [
      ['2026-06-30', 10],
      ['2026-07-01', 30],
    ]);
    const { row, month } = season([planOf('2026-06-01T00:00:00Z', task)], []);
    expect(month(7)?.planned).toEqual({ acres: 9, crewDays: 3 });
    expect(workSum(row!.months.map(({ planned }) => planned)).acres).toBe(9);
  });

  it('tells the first plan from the one in force', () => {
    const first = felling('a', [['2026-11-02', 40]]);
    const moved = felling('a', [['2026-12-07', 40]]);
    const dropped = felling('b', [['2026-11-09', 20]], { unitId: 2 });
    const { month } = season(
      [planOf('2026-10-01T00:00:00Z', first, dropped), planOf('2026-11-05T00:00:00Z', moved)],
      [],
    );
    expect([month(11)?.first.crewDays, month(11)?.planned.crewDays]).toEqual([6, 0]);
    expect([month(12)?.first.crewDays, month(12)?.planned.crewDays]).toEqual([0, 4]);
  });

  it('keeps as planned what a later plan does not hold because it was done', () => {
    const task = felling('a', [['2026-11-02', 40]]);
    const done = fakeEntry(1, 1, 'cedar-felling', '2026-11-03', { taskKey: 'a', crewDays: 5 });
    const { month } = season(
      [planOf('2026-10-01T00:00:00Z', task), planOf('2026-11-05T00:00:00Z')],
      [done],
    );
    expect(month(11)?.planned.crewDays).toBe(4);
    expect(month(11)?.done).toEqual({ acres: 22, crewDays: 5 });
  });

  it('counts what the log says, by month; a year alone stands apart', () => {
    const { row, month, withoutAcres } = season(
      [],
      [
        fakeEntry(1, 1, 'cedar-felling', '2026-12-03', {
          areaAcres: 4,
          crewDays: 2,
          outcome: 'partly',
        }),
        fakeEntry(2, 1, 'cedar-felling', '2026-12-04', { crewDays: 1, outcome: 'partly' }),
        fakeEntry(3, 1, 'cedar-felling', '2027-01-01', { areaAcres: 7, precision: 'year' }),
        fakeEntry(4, 1, 'cedar-felling', '2026-12-05', { areaAcres: 9, outcome: 'not-possible' }),
        fakeEntry(5, 1, 'dormant-burn', '2026-12-06', { fireCause: 'wild' }),
      ],
    );
    expect(month(12)?.done).toEqual({ acres: 4, crewDays: 3 });
    expect(row?.withoutMonth.acres).toBe(7);
    expect(withoutAcres).toBe(1);
    expect(month(1)?.done.acres).toBe(0);
  });
});
