import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { leastMissing, mostOverrun, openingsOf } from '../../../src/core/check/plan-calendar.ts';
import { addDays, fromDay, isoDate, monthDay, toDay } from '../../../src/core/dates.ts';
import { earliestAfter, lagCalendarOf, latestAfter } from '../../../src/core/lags.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { PlanContent } from '../../../src/core/plans.ts';
import { type SeasonalWindow, type WindowEnd, windowOpenings } from '../../../src/core/seasons.ts';
import type { Lag, LagLength } from '../../../src/core/sequences.ts';
import type { PlannedTask } from '../../../src/core/tasks.ts';
import {
  burnTask,
  entry,
  keys,
  litterPrescription,
  marlRidge,
  smallOperation,
  validPlan,
} from './plan-operation.ts';

type Change = (operation: Operation, plan: PlanContent) => void;

/** Codes found after a change to the valid plan, once each, sorted. */
function codesAfter(change: Change): string[] {
  const operation = smallOperation();
  const plan = validPlan();
  change(operation, plan);
  return [...new Set(checkPlan(operation, plan).map((found) => found.code))].sort();
}

function taskOf(plan: PlanContent, key: string): PlannedTask {
  const task = plan.tasks.find((one) => one.key === key);
  if (!task) throw new Error(`no task ${key}`);
  return task;
}

/** Moves a task and all its days. */
function shift(plan: PlanContent, key: string, days: number): void {
  const task = taskOf(plan, key);
  task.startsOn = addDays(task.startsOn, days);
  task.lastDay = addDays(task.lastDay, days);
  for (const share of [...task.crewShares, ...task.gearShares])
    for (const day of share.days) day.date = addDays(day.date, days);
}

const remove = (plan: PlanContent, ...gone: string[]) => {
  plan.tasks = plan.tasks.filter((task) => !gone.includes(task.key));
};

/** Puts the burn of N1 on other days, with its tied tasks. */
function moveBurn1(plan: PlanContent, days: number): void {
  for (const key of [keys.burn1, keys.clear1, keys.patrol1]) shift(plan, key, days);
}

/** The lag from line to burn in the sequence of the test. */
function lineLag(operation: Operation): Lag {
  const burn = operation.sequences[0]?.steps.find((step) => step.key === 'burn');
  const lag = burn?.lags.find((one) => one.afterStepKey === 'line');
  if (!lag) throw new Error('no lag from line to burn');
  return lag;
}

test('a plan that keeps every rule has no problems', () => {
  expect(checkPlan(smallOperation(), validPlan())).toEqual([]);
});

test('a problem names the task and the numbers, and carries its key', () => {
  const operation = smallOperation();
  const plan = validPlan();
  taskOf(plan, keys.burn2).crewShares.pop();
  taskOf(plan, keys.burn2).crewDaysTenths = 10;
  expect(checkPlan(operation, plan)).toEqual([
    {
      code: 'crew-people',
      message: 'burn on N2: 4 people on 2028-01-04, at least 6 are needed.',
      ref: keys.burn2,
    },
  ]);
});

// Burn season of N1 in 2026-27: 12 November to 26 March (leaf-out was seen on 2 April 2027, less 7 days).
/** Half an hour of backing and 20 acres at 16 an hour are 1.75 h: two days of one hour. */
const oneHour = { ...litterPrescription, toHour: 11 };

const breaking: [string, string, Change][] = [
  [
    'unknown',
    'a treatment that is not of the step',
    (_, plan) => {
      taskOf(plan, keys.spray5).treatmentKey = 'fell';
    },
  ],
  [
    'unknown',
    'a unit of another block',
    (_, plan) => {
      taskOf(plan, keys.spray5).unitId = 1;
    },
  ],
  ['window', 'a spray after its window', (_, plan) => shift(plan, keys.spray5, 14)],
  [
    'window',
    'the last day of a burn span after the burn season',
    (_, plan) => {
      moveBurn1(plan, 70);
      taskOf(plan, keys.burn1).lastDay = isoDate('2027-03-27');
    },
  ],
  ['no-work', 'a line in the hard dates of its property', (_, plan) => shift(plan, keys.line1, 7)],
  ['no-work', 'an unapproved spray in ask-first dates', (_, plan) => shift(plan, keys.spray5, -28)],
  [
    'no-work',
    'an approval for another unit',
    (operation, plan) => {
      shift(plan, keys.spray5, -28);
      operation.approvals.push({
        noWorkKey: 'nesting',
        unitId: 2,
        grantedBy: 'office',
        from: isoDate('2027-06-01'),
        until: isoDate('2027-07-15'),
      });
    },
  ],
  [
    'no-work',
    'one day of a burn span in hard dates',
    (operation) => {
      const [span] = operation.noWork;
      operation.noWork.push({
        ...span!,
        key: 'den',
        opens: { at: monthDay('01-17') },
        closes: { at: monthDay('01-20') },
        applies: { ...span!.applies, families: null, treatmentKeys: ['burn'] },
      });
    },
  ],
  [
    'no-work',
    'hard dates made for the units and the days of the burn',
    (operation) => {
      const [span] = operation.noWork;
      const { applies } = span!;
      operation.noWork.push({
        ...span!,
        key: 'lease-1',
        opens: { at: monthDay('01-17') },
        closes: { at: monthDay('01-20') },
        holdsFrom: isoDate('2027-01-17'),
        holdsUntil: isoDate('2027-01-17'),
        applies: { ...applies, families: null, treatmentKeys: ['burn'], unitIds: [1] },
      });
    },
  ],
  [
    'lag-least',
    'a burn before the felled cedar has cured',
    (_, plan) => {
      for (const key of [keys.line2, keys.burn2, keys.clear2, keys.patrol2]) shift(plan, key, -308);
      shift(plan, keys.fell2, 7);
    },
  ],
  ['lag-least', 'a burn before the line is made', (_, plan) => shift(plan, keys.line1, 69)],
  [
    'lag-least',
    'a wild fire in the season before',
    (operation) => {
      operation.entries.push(entry(9, 1, 'burn', '2025-08-02', { fireCause: 'wild' }));
      operation.blocks[0]!.sequenceStartsOn = isoDate('2026-07-01');
    },
  ],
  [
    'lag-least',
    'a burn in cycle 3 one season after cycle 2',
    (_, plan) => {
      const days = 364;
      for (const key of [keys.line1, keys.burn1, keys.clear1, keys.patrol1]) {
        const again = structuredClone(taskOf(plan, key));
        again.key = key.replace('/2/', '/3/');
        again.cycle = 3;
        if (again.tiedToKey) again.tiedToKey = keys.burn1.replace('/2/', '/3/');
        plan.tasks.push(again);
        shift(plan, again.key, days + (key === keys.line1 ? 0 : 14));
      }
    },
  ],
  [
    'lag-most',
    'a line that is too old for its burn',
    (operation) => {
      lineLag(operation).most = { days: 54 };
    },
  ],
  ['needs', 'a burn whose felling is not planned', (_, plan) => remove(plan, keys.fell2)],
  [
    'needs',
    'a tied task whose burn is not planned',
    (_, plan) => remove(plan, keys.burn1, keys.line1, keys.patrol1),
  ],
  [
    'needs',
    'a felling with a piece left out',
    (_, plan) => {
      const fell = taskOf(plan, keys.fell2);
      plan.leftOut.push({ ...fell, key: 'unit:2/cedar/fell/1/b', part: 'b', reason: 'no days' });
    },
  ],
  [
    'both',
    'a line whose burn is left out',
    (_, plan) => {
      const { burn1, clear1, patrol1 } = keys;
      plan.leftOut.push({ ...taskOf(plan, burn1), reason: 'no fit days' });
      remove(plan, burn1, clear1, patrol1);
    },
  ],
  ['crew-day', 'a day off', (_, plan) => shift(plan, keys.line1, 2)],
  ['crew-day', 'a Saturday', (_, plan) => shift(plan, keys.spray5, 5)],
  ['crew-day', 'a holiday', (_, plan) => shift(plan, keys.line1, 16)],
  ['crew-day', 'a contract crew that is not on site', (_, plan) => shift(plan, keys.fell2, 14)],
  [
    'crew-day',
    'two tasks of one crew on one day',
    (_, plan) => {
      taskOf(plan, keys.clear1).crewShares[0]!.days[0]!.date = isoDate('2027-01-05');
    },
  ],
  [
    'crew-day',
    'a day outside the dates of the task',
    (_, plan) => {
      taskOf(plan, keys.spray5).lastDay = isoDate('2027-07-19');
    },
  ],
  [
    'crew-day',
    'a tied task in another week than its burn',
    (_, plan) => {
      taskOf(plan, keys.patrol1).crewShares[0]!.days[0]!.date = isoDate('2027-01-11');
    },
  ],
  [
    'crew-day',
    'a crew that does not exist',
    (_, plan) => {
      taskOf(plan, keys.spray5).crewShares.push({
        crewId: 9,
        days: [{ date: isoDate('2027-07-19'), tenths: 10 }],
      });
      taskOf(plan, keys.spray5).crewDaysTenths = 25;
    },
  ],
  [
    'crew-skill',
    'a crew without the skill',
    (operation) => {
      operation.crews[0]!.skills = ['saw', 'fire'];
    },
  ],
  [
    'crew-people',
    'a burn with too few people for its block',
    (operation) => {
      operation.blocks[0]!.burnPeopleLeast = 8;
    },
  ],
  [
    'crew-people',
    'a task with too few people for its treatment',
    (operation) => {
      operation.treatments.find((one) => one.key === 'spray')!.peopleLeast = 5;
    },
  ],
  [
    'gear-day',
    'more gear than there is',
    (operation) => {
      operation.gear[0]!.count = 0;
    },
  ],
  ['gear-day', 'gear that is off', (_, plan) => shift(plan, keys.spray5, 7)],
  [
    'gear-day',
    'no gear kept',
    (_, plan) => {
      taskOf(plan, keys.burn1).gearShares = [];
    },
  ],
  [
    'fit-days',
    'too few fit days for the burn',
    (operation) => {
      operation.fitDays[0]!.fitDays = operation.fitDays[0]!.fitDays.map(() => 0.1);
    },
  ],
  [
    'fit-days',
    'a burn of two days with no fit day after its two weeks',
    (operation) => {
      operation.prescriptions = [oneHour];
      const table = operation.fitDays[0]!;
      // The span of the burn ends on 17 January; what follows has next to none.
      table.fitDays = table.fitDays.map((days, half) => (half === 1 || half === 2 ? 0.1 : days));
    },
  ],
  [
    'fit-days',
    'three burns on the fit days of two',
    (operation, plan) => {
      for (const id of [6, 7]) {
        const code = `N${id}`;
        operation.blocks.push({ ...operation.blocks[1]!, id, code, firstCycle: 2 });
        operation.units.push({ ...operation.units[1]!, id, blockId: id, code });
        const key = `block:${id}/cedar/burn/2/-`;
        const burn = burnTask(key, ['2027-01-04', '2027-01-17'], `2027-01-${id + 6}`);
        plan.tasks.push({ ...burn, areaAcres: 15 });
      }
    },
  ],
  [
    'apart',
    'a neighbour that burned in this burning season',
    (operation) => {
      operation.entries.push(entry(9, 3, 'burn', '2026-08-20'));
    },
  ],
  [
    'apart',
    'a neighbour that is planned in the same season, by the rule of the property',
    (operation, plan) => {
      operation.properties[0]!.neighbourRule = 'apart';
      moveBurn1(plan, 378);
      shift(plan, keys.line1, 392);
    },
  ],
  [
    'fire-held',
    'a burn before fire is let in again',
    (operation) => {
      operation.blocks[0]!.heldUntilYear = 2027;
    },
  ],
  [
    'held',
    'held dates that are not kept',
    (operation) => {
      operation.heldDates.push({ taskKey: keys.spray5, startsOn: isoDate('2027-07-21') });
    },
  ],
  [
    'horizon',
    'a task before the plan starts',
    (_, plan) => {
      plan.horizon.startsOn = isoDate('2026-11-11');
    },
  ],
  [
    'horizon',
    'a task after the plan ends',
    (_, plan) => {
      plan.horizon.endsBefore = isoDate('2028-01-16');
    },
  ],
  [
    'work-amount',
    'crew shares that do not add up',
    (_, plan) => {
      taskOf(plan, keys.spray5).crewDaysTenths = 20;
    },
  ],
  [
    'work-amount',
    'less work than the rate asks for',
    (operation) => {
      operation.units[1]!.densityClass = 'dense';
    },
  ],
  [
    'work-amount',
    'fewer acres than are open',
    (_, plan) => {
      taskOf(plan, keys.spray5).areaAcres = 9;
    },
  ],
  [
    'work-amount',
    'no whole half days',
    (_, plan) => {
      taskOf(plan, keys.line2).crewShares[0]!.days[0]!.tenths = 6;
      taskOf(plan, keys.line2).crewDaysTenths = 6;
    },
  ],
  [
    'twice',
    'a key that is planned and left out',
    (_, plan) => {
      plan.leftOut.push({ ...taskOf(plan, keys.spray5), areaAcres: 0, reason: '' });
    },
  ],
  [
    'twice',
    'a task that the work log has as done',
    (operation) => {
      operation.entries.push(entry(9, 5, 'spray', '2026-11-09', { taskKey: keys.spray5 }));
    },
  ],
];

describe('each broken rule is reported under its code and no other', () => {
  test.each(breaking)('%s: %s', (code, _name, change) => {
    expect(codesAfter(change)).toEqual([code]);
  });
});

const keeping: [string, Change][] = [
  [
    'a burn of two days with a fit day in the two weeks after its own',
    (operation) => {
      operation.prescriptions = [oneHour];
    },
  ],
  [
    'a span that ends on the last day of the burn season',
    (_, plan) => {
      moveBurn1(plan, 70);
      taskOf(plan, keys.burn1).lastDay = isoDate('2027-03-26');
      taskOf(plan, keys.burn1).startsOn = isoDate('2027-03-15');
    },
  ],
  [
    'an approval for the unit and days',
    (operation, plan) => {
      shift(plan, keys.spray5, -28);
      operation.approvals.push({
        noWorkKey: 'nesting',
        unitId: 5,
        grantedBy: 'office',
        from: isoDate('2027-06-21'),
        until: isoDate('2027-06-22'),
      });
    },
  ],
  [
    'no-work dates of another state',
    (operation, plan) => {
      shift(plan, keys.spray5, -28);
      operation.noWork[1]!.state = 'IA';
    },
  ],
  [
    'no-work dates for a tag that the unit lacks',
    (operation, plan) => {
      shift(plan, keys.spray5, -28);
      operation.noWork[1]!.applies.unitTags = ['contract-land', 'near-roost'];
    },
  ],
  [
    'no-work dates for thicker stems',
    (operation) => {
      const [span] = operation.noWork;
      operation.noWork.push({
        ...span!,
        key: 'bats',
        opens: { at: monthDay('04-01') },
        closes: { at: monthDay('03-31') },
        applies: { ...span!.applies, families: ['cut'], stemInchesOver: 10 },
      });
    },
  ],
  [
    'no-work dates for other species',
    (operation) => {
      const [span] = operation.noWork;
      operation.noWork.push({
        ...span!,
        key: 'wilt',
        opens: { at: monthDay('04-01') },
        closes: { at: monthDay('03-31') },
        applies: { ...span!.applies, families: null, speciesGroups: ['red-oak'] },
      });
    },
  ],
  [
    'no-work dates made for other units',
    (operation) => {
      const [span] = operation.noWork;
      const { applies } = span!;
      operation.noWork.push({
        ...span!,
        key: 'lease-1',
        opens: { at: monthDay('01-17') },
        closes: { at: monthDay('01-20') },
        applies: { ...applies, families: null, treatmentKeys: ['burn'], unitIds: [5] },
      });
    },
  ],
  [
    'no-work dates of a lease that ended',
    (operation) => {
      const [span] = operation.noWork;
      const { applies } = span!;
      operation.noWork.push({
        ...span!,
        key: 'lease-1',
        opens: { at: monthDay('01-17') },
        closes: { at: monthDay('01-20') },
        holdsUntil: isoDate('2027-01-16'),
        applies: { ...applies, families: null, treatmentKeys: ['burn'], unitIds: [1] },
      });
    },
  ],
  [
    'no-work dates of a lease that has not begun',
    (operation) => {
      const [span] = operation.noWork;
      const { applies } = span!;
      operation.noWork.push({
        ...span!,
        key: 'lease-1',
        opens: { at: monthDay('01-17') },
        closes: { at: monthDay('01-20') },
        holdsFrom: isoDate('2027-01-21'),
        applies: { ...applies, families: null, treatmentKeys: ['burn'], unitIds: [1] },
      });
    },
  ],
  [
    'a most lag that is just kept',
    (operation) => {
      lineLag(operation).most = { days: 55 };
    },
  ],
  [
    'a soft most lag that is not',
    (operation) => {
      lineLag(operation).most = { days: 5 };
      lineLag(operation).mostIsHard = false;
    },
  ],
  [
    'a felling that the log has instead of the plan',
    (operation, plan) => {
      remove(plan, keys.fell2);
      operation.entries.push(entry(9, 2, 'fell', '2026-10-20'));
    },
  ],
  [
    'a felling that is under way',
    (operation, plan) => {
      remove(plan, keys.fell2);
      operation.entries.push(entry(9, 2, 'fell', '2026-11-06', { outcome: 'under-way' }));
    },
  ],
  [
    'a felling of which the log has a part and the plan the rest',
    (operation, plan) => {
      const rest = taskOf(plan, keys.fell2);
      rest.key = 'unit:2/cedar/fell/1/rest';
      rest.part = 'rest';
      rest.areaAcres = 7;
      operation.entries.push(
        entry(9, 2, 'fell', '2026-11-06', { outcome: 'partly', areaAcres: 8 }),
      );
    },
  ],
  [
    'a felling in two pieces, both planned',
    (_, plan) => {
      const a = taskOf(plan, keys.fell2);
      const b = structuredClone(a);
      a.part = 'a';
      a.key = 'unit:2/cedar/fell/1/a';
      a.areaAcres = 9;
      a.lastDay = isoDate('2026-12-09');
      a.crewShares[0]!.days = a.crewShares[0]!.days.slice(0, 3);
      a.crewDaysTenths = 30;
      b.part = 'b';
      b.key = 'unit:2/cedar/fell/1/b';
      b.areaAcres = 6;
      b.startsOn = isoDate('2026-12-10');
      b.crewShares[0]!.days = b.crewShares[0]!.days.slice(3);
      b.crewDaysTenths = 20;
      plan.tasks.push(b);
    },
  ],
  [
    'a patchy fire in the season before',
    (operation) => {
      operation.entries.push(entry(9, 1, 'burn', '2026-01-02', { shareBlackPercent: 59 }));
    },
  ],
  [
    'a patchy fire next door in the same season',
    (operation) => {
      operation.entries.push(entry(9, 3, 'burn', '2026-08-20', { shareBlackPercent: 40 }));
    },
  ],
  [
    'a fire next door that does not matter',
    (operation) => {
      operation.entries.push(entry(9, 3, 'burn', '2026-08-20'));
      operation.neighbours[0]!.rule = null;
    },
  ],
  [
    'a line without a job where road and creek go round the block',
    (operation, plan) => {
      operation.lines = operation.lines.filter((line) => line.id !== 2);
      remove(plan, keys.line2, keys.clear2);
    },
  ],
  [
    'fire held until the summer before',
    (operation) => {
      operation.blocks[0]!.heldUntilYear = 2026;
    },
  ],
  [
    'held dates that are kept',
    (operation) => {
      operation.heldDates.push(
        { taskKey: keys.spray5, startsOn: isoDate('2027-07-19') },
        { taskKey: keys.burn1, startsOn: isoDate('2027-01-05') },
      );
    },
  ],
  [
    'facts that break rules among themselves',
    (operation) => {
      operation.entries.push(
        entry(9, 2, 'spray', '2025-06-20'),
        entry(10, 3, 'burn', '2026-01-20'),
        entry(11, 3, 'burn', '2026-06-20'),
      );
    },
  ],
];

describe('a plan that just keeps a rule has no problems', () => {
  test.each(keeping)('%s', (_name, change) => {
    expect(codesAfter(change)).toEqual([]);
  });
});

describe('fires that count for the rotation', () => {
  const burned =
    (doneOn: string, shareBlackPercent: number | null): Change =>
    (operation) => {
      operation.entries[0] = entry(1, 1, 'burn', doneOn, { shareBlackPercent });
    };
  test.each<[string, number | null, string[]]>([
    // Least two burning seasons (1 July to 30 June): burned in 2024-25, next from 1 July 2026 on.
    ['2025-06-30', 60, []],
    ['2025-07-01', 60, ['lag-least']],
    ['2025-07-01', 59, []],
    ['2025-07-01', null, ['lag-least']],
  ])('fire of %s, %s %% black', (doneOn, black, codes) => {
    expect(codesAfter(burned(doneOn, black))).toEqual(codes);
  });
});

// The checker reads dates on its own. The planner's reading is the outside check here, and the other way round.
describe('the checker and the planner read seasons and lags alike', () => {
  const days = fc.integer({ min: toDay(isoDate('2020-01-01')), max: toDay(isoDate('2040-12-31')) });
  const monthDays = days.map((day) => monthDay(fromDay(day).slice(5)));
  const simpleEnd: fc.Arbitrary<WindowEnd> = fc.oneof(
    monthDays.map((at) => ({ at })),
    fc.record({
      anchor: fc.constantFrom('leaf-out' as const, 'leaf-fall' as const),
      plusDays: fc.integer({ min: -20, max: 20 }),
    }),
  );
  const pairOfEnds = fc.tuple(simpleEnd, simpleEnd);
  const end: fc.Arbitrary<WindowEnd> = fc.oneof(
    simpleEnd,
    pairOfEnds.map((earlierOf) => ({ earlierOf })),
    pairOfEnds.map((laterOf) => ({ laterOf })),
  );
  const windows: fc.Arbitrary<SeasonalWindow> = fc.record({ opens: end, closes: end });

  test('a day is open to both or to neither', () => {
    fc.assert(
      fc.property(windows, days, (window, day) => {
        const date = fromDay(day);
        const span = { startsOn: date, endsBefore: addDays(date, 1) };
        const open = openingsOf(window, marlRidge, date, date).length > 0;
        expect(open).toBe(windowOpenings(window, span, marlRidge.anchors).length > 0);
      }),
      { numRuns: 500 },
    );
  });

  const lengths: fc.Arbitrary<LagLength> = fc.record(
    {
      days: fc.integer({ min: 0, max: 400 }),
      growingSeasons: fc.integer({ min: 1, max: 3 }),
      burningSeasons: fc.integer({ min: 1, max: 3 }),
      years: fc.integer({ min: 1, max: 3 }),
    },
    { requiredKeys: ['days'] },
  );
  const calendar = lagCalendarOf(marlRidge);

  test('a least lag is met from the same day on', () => {
    fc.assert(
      fc.property(lengths, days, (length, day) => {
        const endedOn = fromDay(day);
        const earliest = earliestAfter(length, endedOn, calendar);
        expect(leastMissing(length, endedOn, earliest, marlRidge)).toBeNull();
        expect(leastMissing(length, endedOn, addDays(earliest, -1), marlRidge)).not.toBeNull();
      }),
      { numRuns: 500 },
    );
  });

  test('a most lag is kept until the same day', () => {
    fc.assert(
      fc.property(lengths, days, (length, day) => {
        const endedOn = fromDay(day);
        const latest = latestAfter(length, endedOn, calendar);
        expect(mostOverrun(length, endedOn, latest, marlRidge)).toBeNull();
        expect(mostOverrun(length, endedOn, addDays(latest, 1), marlRidge)).not.toBeNull();
      }),
      { numRuns: 500 },
    );
  });
});
