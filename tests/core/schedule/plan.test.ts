import { describe, expect, it } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { addDays, isoDate, toDay } from '../../../src/core/dates.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { PlanContent } from '../../../src/core/plans.ts';
import { comparePlans } from '../../../src/core/schedule/plan.ts';
import { burningSeasonOf } from '../../../src/core/seasons.ts';
import { crew, operationOf, planOf } from './land-operations.ts';

const today = isoDate('2026-11-09');
const rotation = (acres: number) => ({
  sequenceKey: 'burn-rotation',
  acres: [acres],
  block: { firstCycle: 2 },
});
const fewBlocks = (own: Partial<Operation> = {}) =>
  operationOf(
    [
      { sequenceKey: 'cedar-woodland', acres: [20, 12] },
      { sequenceKey: 'old-field-fescue', acres: [30] },
      { sequenceKey: 'prairie-thirds', acres: [60] },
      rotation(25),
    ],
    own,
  );
const burnKey = (block: number) => `block:${block}/burn-rotation/burn/2/-`;
const fellKey = 'unit:11/cedar-woodland/fell/1/-';

/** The plan, after the independent checker found nothing wrong with it. */
function checkedPlan(operation: Operation, inForce: PlanContent | null = null, on = today) {
  const plan = planOf(operation, on, inForce);
  expect(checkPlan(operation, plan)).toEqual([]);
  return plan;
}
const taskOf = (plan: PlanContent, key: string) => plan.tasks.find((one) => one.key === key);
const reasonOf = (plan: PlanContent, key: string) =>
  plan.leftOut.find((one) => one.key === key)?.reason;

describe('plan of a few blocks', () => {
  it('is the same for the same seed and iterations', () => {
    expect(planOf(fewBlocks(), today)).toEqual(planOf(fewBlocks(), today));
  });

  it('keeps one day for a burn inside its span, and its patrol in that week', () => {
    const plan = checkedPlan(fewBlocks());
    const burn = taskOf(plan, burnKey(4));
    expect(burn?.isWhenFit).toBe(true);
    expect(burn?.crewDaysTenths).toBe(10);
    const patrol = taskOf(plan, 'block:4/burn-rotation/patrol/2/-');
    expect(patrol?.tiedToKey).toBe(burnKey(4));
    expect([patrol?.startsOn, patrol?.lastDay]).toEqual([burn?.startsOn, burn?.lastDay]);
  });

  it('puts what is due after the horizon under later, without a cost', () => {
    const plan = checkedPlan(operationOf([rotation(25)]));
    const next = plan.later.find((one) => one.key === 'block:1/burn-rotation/burn/3/-');
    expect(next?.reason).toContain('the horizon');
    expect(plan.leftOut).toEqual([]);
    expect(plan.cost).toBe(0);
  });

  it('leaves out what is due and finds no fit day, with the reason and its cost', () => {
    const plan = checkedPlan(fewBlocks({ fitDays: [] }));
    expect(reasonOf(plan, burnKey(4))).toContain('no burn is likely to find a fit day');
    expect(plan.leftOut.find((one) => one.key === burnKey(4))?.cost).toBeGreaterThan(0);
    expect(plan.tasks.some((one) => one.family === 'burn')).toBe(false);
  });

  it('plans a task again whose dates have passed without an entry', () => {
    const first = checkedPlan(fewBlocks());
    const line = taskOf(first, 'block:4/burn-rotation/line/2/-');
    const later = addDays(line?.lastDay ?? today, 1);
    const second = checkedPlan(fewBlocks(), first, later);
    const again = taskOf(second, 'block:4/burn-rotation/line/2/-');
    expect((again?.startsOn ?? '') >= later).toBe(true);
  });

  it('burns two neighbours that stay apart in two seasons', () => {
    const operation = operationOf([rotation(20), rotation(20)]);
    operation.neighbours = [{ unitIds: [11, 21], sharedFeet: 900, rule: 'apart' }];
    const plan = checkedPlan(operation);
    const seasons = [1, 2].map((block) =>
      burningSeasonOf(
        taskOf(plan, burnKey(block))?.startsOn ?? today,
        operation.properties[0]?.burningSeasonStart ?? ('' as never),
      ),
    );
    expect(new Set(seasons).size).toBe(2);
  });

  it('burns no more in two weeks than the fit days allow', () => {
    const operation = operationOf([rotation(20), rotation(20), rotation(20)]);
    const plan = checkedPlan(operation);
    const spans = [1, 2, 3].map((block) => taskOf(plan, burnKey(block))?.lastDay);
    expect(spans).not.toContain(undefined);
    // Four fit days a half-month times 5/7 times 0.4 are about one burn in two weeks.
    expect(new Set(spans).size).toBeGreaterThanOrEqual(2);
  });
});

describe('a burn that takes more than a day', () => {
  it('takes a fit day of the next two weeks too, so that no other burn is planned on it', () => {
    const operation = operationOf([rotation(110), rotation(20), rotation(20)]);
    const plan = checkedPlan(operation);
    // Two-week spans from a Monday; four fit days a half-month allow about one burn in each.
    const spanOf = (key: string) =>
      Math.floor((toDay(taskOf(plan, key)?.lastDay ?? today) - 4) / 14);
    const [large, ...others] = [1, 2, 3].map((block) => spanOf(burnKey(block)));
    expect(taskOf(plan, burnKey(1))).toBeDefined();
    for (const other of others) expect([large, (large ?? 0) + 1]).not.toContain(other);
  });
});

describe('held dates', () => {
  it('are kept to the day, by cut and by burn', () => {
    const heldDates = [
      { taskKey: fellKey, startsOn: isoDate('2027-01-13') },
      { taskKey: burnKey(4), startsOn: isoDate('2027-02-18') },
    ];
    const plan = checkedPlan(fewBlocks({ heldDates }));
    expect(taskOf(plan, fellKey)).toMatchObject({ startsOn: '2027-01-13', isHeld: true });
    const burn = taskOf(plan, burnKey(4));
    expect(burn?.crewShares.flatMap((one) => one.days.map((day) => day.date))).toEqual([
      '2027-02-18',
    ]);
    expect(burn?.isHeld).toBe(true);
  });

  it('that have passed hold nothing', () => {
    const heldDates = [{ taskKey: fellKey, startsOn: isoDate('2026-11-06') }];
    const plan = checkedPlan(fewBlocks({ heldDates }));
    expect(taskOf(plan, fellKey)?.isHeld).toBe(false);
  });

  it.each<[string, string, string, string]>([
    ['outside the season', fellKey, '2027-06-15', 'its season is not open then'],
    ['on a holiday', fellKey, '2026-12-25', 'no crew that can do it works that day'],
    ['after the horizon', fellKey, '2029-11-12', 'that is after the horizon'],
    ['before the fuel has cured', 'block:1/cedar-woodland/burn/1/-', '2027-01-12', 'keep its lags'],
  ])('%s leave the task out with that reason', (_, taskKey, startsOn, reason) => {
    const plan = checkedPlan(fewBlocks({ heldDates: [{ taskKey, startsOn: isoDate(startsOn) }] }));
    expect(taskOf(plan, taskKey)).toBeUndefined();
    expect(reasonOf(plan, taskKey)).toContain(reason);
    expect(reasonOf(plan, taskKey)).toContain('hold other dates or release them');
  });

  it('of two burns on one day keep one and leave the other out', () => {
    const operation = operationOf([rotation(20), rotation(30)]);
    operation.fitDays = operation.fitDays.map((table) => ({
      ...table,
      fitDays: table.fitDays.map(() => 12),
    }));
    operation.heldDates = [1, 2].map((block) => ({
      taskKey: burnKey(block),
      startsOn: isoDate('2027-02-18'),
    }));
    const plan = checkedPlan(operation);
    expect(plan.tasks.filter((one) => one.isWhenFit && one.isHeld)).toHaveLength(1);
    const out = plan.leftOut.filter((one) =>
      one.reason.includes('its dates are held from 18 Feb 2027'),
    );
    expect(out).toHaveLength(1);
  });
});

describe('land that lacks something ends as a plan with reasons', () => {
  it.each<[string, Partial<Operation>, string | null]>([
    ['no crews', { crews: [] }, 'no crew, alone or with help, has'],
    ['crews without people', { crews: [crew(1, 'home', { peopleCount: 0 })] }, 'no crew, alone'],
    [
      'crews that never work',
      { crews: [crew(1, 'home', { workdays: [] })] },
      'no crew that can do it works',
    ],
    ['no gear', { gear: [] }, 'there is no burn-trailer'],
    ['no fit days', { fitDays: [] }, 'no burn is likely to find a fit day'],
    ['no lines', { lines: [] }, null],
    ['no units', { units: [] }, null],
    ['no properties', { properties: [] }, null],
    ['no sequences', { sequences: [] }, null],
    ['no holidays and no no-work dates', { holidays: [], noWork: [] }, null],
  ])('%s', (_, own, reason) => {
    const plan = checkedPlan(fewBlocks(own));
    const reasons = plan.leftOut.map((one) => one.reason).join(' ');
    if (reason) expect(reasons).toContain(reason);
    else expect(plan.leftOut).toEqual([]);
    const isEmpty = ['units', 'properties', 'sequences'].some((list) => list in own);
    if (isEmpty) expect([...plan.tasks, ...plan.later]).toEqual([]);
  });
});

it('names every crew that could do what one full crew keeps out', () => {
  const crews = [
    crew(1, 'home', { peopleCount: 6, workdays: [1], spreadDaysPerWeek: 1 }),
    crew(2, 'home', { peopleCount: 6, workdays: [2], spreadDaysPerWeek: 1 }),
  ];
  const plan = checkedPlan(
    operationOf(
      Array.from({ length: 12 }, () => ({ sequenceKey: 'cedar-woodland', acres: [60] })),
      { crews },
    ),
  );
  const full = plan.leftOut.filter((one) => one.reason.includes(' short in '));
  expect(full.length).toBeGreaterThan(0);
  for (const { reason } of full) {
    expect(reason).toContain('crews that could do it: Crew');
    expect(reason).toMatch(/Crew 1.*Crew 2|Crew 2.*Crew 1/);
  }
});

describe('comparing plans', () => {
  const inForce = planOf(fewBlocks(), today);
  const change = (edit: (plan: PlanContent) => void) => {
    const draft = structuredClone(inForce);
    edit(draft);
    return comparePlans(draft, inForce);
  };
  const at = inForce.tasks.findIndex((one) => one.key === fellKey);
  const fell = inForce.tasks[at];
  if (!fell) throw new Error('felling is in the plan');
  const dates = { startsOn: fell.startsOn, lastDay: fell.lastDay };

  it('finds nothing between equal plans, left-out tasks among them', () => {
    expect(comparePlans(inForce, inForce)).toEqual([]);
    const short = planOf(fewBlocks({ fitDays: [] }), today);
    expect(short.leftOut.length).toBeGreaterThan(0);
    expect(comparePlans(short, short)).toEqual([]);
  });

  it('lists every task but tied ones as new against no plan', () => {
    const all = comparePlans(inForce, null);
    expect(all.every((one) => one.kind === 'new')).toBe(true);
    expect(all).toHaveLength(inForce.tasks.filter((one) => one.tiedToKey === null).length);
  });

  it('names the old and the new dates of a moved task', () => {
    const to = { startsOn: addDays(fell.startsOn, 7), lastDay: addDays(fell.lastDay, 7) };
    expect(change((plan) => Object.assign(plan.tasks[at] ?? {}, to))).toEqual([
      { kind: 'moved', key: fellKey, name: fell.name, from: dates, to },
    ]);
  });

  it('names the reason of a task that is left out', () => {
    const found = change((plan) => {
      plan.tasks.splice(at, 1);
      plan.leftOut.push({ ...fell, reason: 'Crew 1 is full', cost: 1 });
    });
    expect(found).toEqual([
      { kind: 'left-out', key: fellKey, name: fell.name, reason: 'Crew 1 is full' },
    ]);
  });

  it('says so when a task is done or gone, and when it was not there before', () => {
    expect(change((plan) => plan.tasks.splice(at, 1))).toEqual([
      {
        kind: 'left-out',
        key: fellKey,
        name: fell.name,
        reason: 'no longer part of the sequence, or done',
      },
    ]);
    const without = { ...inForce, tasks: inForce.tasks.filter((one) => one.key !== fellKey) };
    expect(comparePlans(inForce, without)).toEqual([
      { kind: 'new', key: fellKey, name: fell.name, ...dates },
    ]);
  });

  it('takes no burn as moved whose span only lost the days that passed', () => {
    const burnAt = inForce.tasks.findIndex((one) => one.isWhenFit);
    const burn = inForce.tasks[burnAt];
    if (!burn) throw new Error('a burn is in the plan');
    const startsOn = addDays(burn.startsOn, 2);
    const found = change((plan) => {
      plan.madeOn = startsOn;
      Object.assign(plan.tasks[burnAt] ?? {}, { startsOn });
    });
    expect(found.filter((one) => one.key === burn.key)).toEqual([]);
  });

  it('moves nothing when it is planned again on the same day', () => {
    expect(comparePlans(checkedPlan(fewBlocks(), inForce), inForce)).toEqual([]);
  });
});
