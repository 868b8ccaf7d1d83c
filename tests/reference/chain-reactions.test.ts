import { describe, expect, test } from 'vitest';
import type { Block } from '../../src/core/blocks.ts';
import { projectStep } from '../../src/core/burn-dates.ts';
import { burnInHand, type ChoiceKey } from '../../src/core/burn-papers.ts';
import { chainOn } from '../../src/core/chain-renewal.ts';
import { chainOf } from '../../src/core/chains.ts';
import { checkPlan } from '../../src/core/check/plan.ts';
import { choicesOf, situationOf, withChoice } from '../../src/core/choices.ts';
import { runningCures } from '../../src/core/cures.ts';
import { type IsoDate, isoDate, monthDay } from '../../src/core/dates.ts';
import { followUps } from '../../src/core/follow-ups.ts';
import type { Operation } from '../../src/core/operation.ts';
import { watchOf } from '../../src/core/patrol.ts';
import type { PlanContent } from '../../src/core/plans.ts';
import { landModel } from '../../src/core/schedule/land-model.ts';
import { planContent } from '../../src/core/schedule/plan.ts';
import { searchCounted } from '../../src/core/schedule/search.ts';
import { horizonFrom } from '../../src/core/seasons.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';

const library = loadLibrary();

type Fact = [treatmentKey: string, doneOn: string, own?: Partial<WorkEntry>];

/** One block of one unit on a sequence of the table, with hands and gear for everything, and some facts. */
function landWith(facts: readonly Fact[], sequenceKey = 'cedar-woodland'): Operation {
  const operation = fakeOperation();
  const [block] = operation.blocks;
  const [unit] = operation.units;
  const skills = [...new Set(library.treatments.flatMap((row) => row.skills))];
  const gear = [...new Set(library.treatments.flatMap((row) => row.gear))];
  return {
    ...operation,
    ...library,
    noWork: [],
    fitDays: library.fitDayDefaults.map((row) => ({
      prescriptionKey: row.prescriptionKey,
      fitDays: row.monthly.flatMap((days) => [days / 2, days / 2]),
      origin: 'entered',
      label: 'default',
    })),
    blocks: [
      {
        ...(block as Block),
        sequenceKey,
        sequenceStartsOn: isoDate('2025-07-01'),
        firstCycle: 1,
        rotation: null,
      },
    ],
    units: [{ ...unit!, areaAcres: 20, tags: [] }],
    lines: operation.lines.slice(0, 1),
    neighbours: [],
    entries: facts.map(([key, doneOn, own], index) => fakeEntry(index + 1, 1, key, doneOn, own)),
    crews: operation.crews.map((crew) => ({
      ...crew,
      skills,
      kind: 'home' as const,
      peopleCount: 6,
      onSpans: null,
    })),
    gear: gear.map((key) => ({ key, name: key, count: 1, daysOff: [] })),
  };
}

const blockOf = ({ blocks }: Operation) => blocks[0] as Block;

function planOf(operation: Operation, today: IsoDate): PlanContent {
  const horizon = horizonFrom(today, monthDay('07-01'), operation.settings.seasonsAfter);
  const problem = landModel(operation, horizon, null);
  const { choice } = searchCounted(problem.model, 1, 60).best();
  return planContent(operation, problem, choice, {
    seed: 1,
    iterations: 60,
    seconds: 0,
    version: '',
  });
}

const felled: Fact = ['cedar-felling', '2026-01-20'];
const checked: Fact = ['cure-check', '2026-12-01'];
const lined: Fact = ['line-build', '2026-12-10'];
const burned: Fact = ['dormant-burn', '2027-02-10', { signedOutOn: null }];

// Leaf-out is on 12 April, leaf fall on 5 November, green-up on 20 March. What the spans count from is in
// shared/sequences.json and shared/follow-ups.json, each row with its source.
describe('a fact, and what is due when by it', () => {
  test('felling starts the cure and its use-by', () => {
    const operation = landWith([felled]);
    const [cure] = runningCures(
      operation,
      blockOf(operation),
      chainOf(operation, blockOf(operation)),
    );
    // 300 days, and a growing season that ends on 1 October; use-by is the last burn season before the third leaf-out.
    expect(cure).toMatchObject({
      felledOn: '2026-01-20',
      readyOn: '2026-11-16',
      useByOn: '2028-04-01',
      checkedOn: null,
    });
  });

  test.each<[string, Fact[], string, [string, string]]>([
    [
      'the first evaluation the day after, within a week',
      [burned],
      'burn-evaluation-1',
      ['2027-02-11', '2027-02-17'],
    ],
    [
      'the scorched-cedar check after 7 to 60 days',
      [burned],
      'scorched-cedar-check',
      ['2027-02-17', '2027-04-11'],
    ],
    ['the photo on green-up', [burned], 'after-burn-photo', ['2027-04-03', '2027-05-03']],
    ['the regrowth check on leaf-out', [burned], 'regrowth-check', ['2027-05-27', '2027-07-11']],
    [
      'forage in the growing season after',
      [burned],
      'forage-clipping',
      ['2027-07-01', '2027-09-30'],
    ],
    [
      'the second evaluation at the end of that season',
      [burned],
      'burn-evaluation-2',
      ['2027-09-01', '2027-10-15'],
    ],
    // R8-TP 11: after a late-summer burn the second evaluation is in the following spring.
    [
      'after a late-season burn, the following spring',
      [['late-season-burn', '2027-09-20', { fireCause: 'planned' }]],
      'burn-evaluation-2',
      ['2028-03-29', '2028-04-19'],
    ],
    [
      'a wildfire is looked at as well',
      [['dormant-burn', '2027-02-10', { fireCause: 'wild' }]],
      'burn-evaluation-1',
      ['2027-02-11', '2027-02-17'],
    ],
  ])('%s', (_what, after, treatmentKey, [from, until]) => {
    const operation = landWith([felled, checked, lined, ...after]);
    const today = isoDate('2027-09-21');
    const look = followUps(operation, blockOf(operation), today).find(
      (one) => one.treatmentKey === treatmentKey,
    );
    expect([look?.from, look?.until]).toEqual([from, until]);
  });

  test.each<[string, string, string]>([
    ['2027-02-10', 'to-come', 'to-come'],
    ['2027-02-11', 'due', 'to-come'],
    ['2027-02-18', 'late', 'due'],
    ['2027-03-20', 'missed', 'due'],
  ])('on %s the first evaluation is %s, the scorched-cedar check %s', (day, first, cedar) => {
    const operation = landWith([felled, checked, lined, burned]);
    const looks = followUps(operation, blockOf(operation), isoDate(day));
    const stateOf = (key: string) => looks.find((one) => one.treatmentKey === key)?.state;
    expect([stateOf('burn-evaluation-1'), stateOf('scorched-cedar-check')]).toEqual([first, cedar]);
  });

  test('a look in the log, or seen as a visit, is done', () => {
    const operation = landWith([
      felled,
      checked,
      lined,
      burned,
      ['burn-evaluation-1', '2027-02-11'],
    ]);
    operation.visits = [
      {
        id: 1,
        unitId: 1,
        seenOn: isoDate('2027-04-20'),
        seenBy: '',
        note: '',
        finding: { kind: 'photos', photoPointId: 1, photos: [] },
      },
    ];
    const done = followUps(operation, blockOf(operation), isoDate('2027-05-01')).filter(
      ({ state }) => state === 'done',
    );
    expect(done.map(({ treatmentKey, doneOn }) => [treatmentKey, doneOn])).toEqual([
      ['burn-evaluation-1', '2027-02-11'],
      ['after-burn-photo', '2027-04-20'],
    ]);
  });

  test('a burn stays open until it is signed out, longer where slash lay', () => {
    const operation = landWith([felled, checked, lined, burned]);
    const watch = watchOf(operation, blockOf(operation));
    expect(watch).toMatchObject({ litOn: '2027-02-10', isLong: true });
    expect(watch?.missing).toHaveLength(3);
    const entries = operation.entries.map((entry, at, all) =>
      at === all.length - 1 ? { ...entry, signedOutOn: isoDate('2027-02-14') } : entry,
    );
    const signedOut = { ...operation, entries };
    expect(watchOf(signedOut, blockOf(signedOut))).toBeNull();
  });

  test('the next burn comes no sooner than the interval lets it', () => {
    const operation = landWith([
      felled,
      checked,
      lined,
      [...burned.slice(0, 2), {}] as unknown as Fact,
    ]);
    const chain = chainOf(operation, blockOf(operation));
    const step = burnInHand(operation, blockOf(operation), chain)!;
    expect(step.cycle).toBe(2);
    // Burned in the season 2026-27, next from 2028-29 on: least two burning seasons (the sequence's own row).
    const next = projectStep(operation, blockOf(operation), chain, step, isoDate('2027-03-01'));
    expect(next?.startsOn).toBe('2028-11-12');
  });
});

describe('what went wrong, in words', () => {
  const today = isoDate('2027-03-20');
  test.each<[string, Fact[], string, IsoDate, RegExp]>([
    ['nothing', [felled, checked], 'none', today, /Nothing stands against/],
    [
      'the cure check',
      [felled, ['cure-check', '2026-12-01', { outcome: 'not-possible', reason: 'limbs bend' }]],
      'would-not-carry',
      today,
      /1 Dec 2026.*limbs bend/,
    ],
    [
      'the burn',
      [
        felled,
        checked,
        ['dormant-burn', '2027-03-01', { outcome: 'not-possible', reason: 'went out at once' }],
      ],
      'would-not-carry',
      today,
      /went out at once/,
    ],
    [
      'a check of an earlier season is over',
      [felled, ['cure-check', '2026-03-01', { outcome: 'not-possible' }]],
      'none',
      today,
      /Nothing/,
    ],
    [
      'use-by',
      [felled, checked],
      'use-by-passed',
      isoDate('2028-04-02'),
      /felled on 20 Jan 2026 was to be burned by 1 Apr 2028/,
    ],
  ])('%s', (_what, facts, kind, on, words) => {
    const operation = landWith(facts);
    const situation = situationOf(operation, blockOf(operation), null, on);
    expect(situation.kind).toBe(kind);
    expect(situation.words).toMatch(words);
  });

  test('a window that passed', () => {
    const operation = landWith([felled, checked]);
    const plan = planOf(operation, isoDate('2026-12-02'));
    const burn = plan.tasks.find((task) => task.family === 'burn')!;
    expect(situationOf(operation, blockOf(operation), plan, burn.startsOn).kind).toBe('none');
    const after = situationOf(operation, blockOf(operation), plan, isoDate('2030-01-01'));
    expect(['missed-window', 'use-by-passed']).toContain(after.kind);
  });
});

describe('the choices', () => {
  const today = isoDate('2027-03-20');
  const operation = landWith([felled, checked, ['dormant-burn', '2023-03-01']]);
  // The old fire is before the sequence; it counts for the interval.
  operation.entries[2]!.doneOn = isoDate('2024-03-01');
  const trials = choicesOf(operation, blockOf(operation), today);
  const trial = (key: string) => trials.find((one) => one.key === key)!;

  test.each([
    ['as-it-stands', 'dormant-burn', '2027-11-12', false],
    ['late-season', 'late-season-burn', '2027-08-15', false],
    ['wait', 'dormant-burn', '2027-11-12', false],
    // Felled in the last week of March, a growing season and 300 days later.
    ['re-treat', 'dormant-burn', '2028-01-22', false],
    ['mulch', 'dormant-burn', '2028-11-12', false],
  ])('%s: %s from %s', (key, treatmentKey, startsOn, isPast) => {
    const name = library.treatments.find((one) => one.key === treatmentKey)?.name;
    expect(trial(key)).toMatchObject({ whyNot: '', isPastUseBy: isPast, burn: { name, startsOn } });
  });

  test('each says how long after the last fire it comes', () => {
    // 1 March 2024 to 15 August 2027: 1262 days; most three years, on 1 March 2027: 167 days over; target two: 532.
    expect(trial('late-season')).toMatchObject({ yearsSince: 3.5, lateDays: 532, overDays: 167 });
    expect(trial('wait').overDays).toBeGreaterThan(trial('late-season').overDays);
  });

  test('treating again costs work, waiting and the late season none', () => {
    expect(trial('re-treat').work?.crewDaysTenths).toBeGreaterThan(0);
    expect(trial('mulch').work?.name).toMatch(/mulch/i);
    expect(trial('late-season').work).toBeNull();
    expect(trial('wait').work).toBeNull();
  });

  test('where nothing was felled there is nothing to treat again', () => {
    const rotation = landWith([], 'burn-rotation');
    const found = choicesOf(rotation, blockOf(rotation), today);
    expect(found.find(({ key }) => key === 're-treat')?.whyNot).toMatch(/Nothing was felled/);
    expect(found.find(({ key }) => key === 'late-season')?.whyNot).toBe('');
  });

  test('an open fire leaves no choice', () => {
    const lit = landWith([felled, checked, lined, burned]);
    expect(choicesOf(lit, blockOf(lit), today)).toEqual([]);
  });

  test.each<[ChoiceKey, (plan: PlanContent) => void]>([
    [
      'late-season',
      (plan) => {
        const burn = plan.tasks.find((task) => task.family === 'burn');
        expect(burn?.treatmentKey).toBe('late-season-burn');
      },
    ],
    [
      'wait',
      (plan) => {
        const burns = plan.tasks.filter((task) => task.family === 'burn');
        expect(burns.length).toBeGreaterThan(0);
        for (const burn of burns) expect(burn.startsOn >= '2027-07-01').toBe(true);
      },
    ],
    [
      're-treat',
      (plan) => expect(plan.tasks.map((task) => task.key)).toContain('unit:1/cedar-again/fell/1/-'),
    ],
    [
      'mulch',
      (plan) =>
        expect(plan.tasks.map((task) => task.key)).toContain('unit:1/cedar-mulched/mulch/1/-'),
    ],
  ])('%s: the draft made after it keeps every rule and does it', (choice, holds) => {
    const chosen = withChoice(operation, blockOf(operation), choice, today);
    const plan = planOf(chosen, today);
    expect(checkPlan(chosen, plan)).toEqual([]);
    holds(plan);
  });
});

describe('the draft made after each kind of entry keeps every rule', () => {
  const task = 'unit:1/cedar-woodland/fell/1/-';
  test.each<[string, Fact[]]>([
    ['nothing yet', []],
    ['felled', [felled]],
    [
      'felled in part',
      [['cedar-felling', '2026-11-20', { outcome: 'partly', areaAcres: 8, taskKey: task }]],
    ],
    [
      'felling under way',
      [['cedar-felling', '2026-11-20', { outcome: 'under-way', taskKey: task }]],
    ],
    [
      'felling not possible',
      [['cedar-felling', '2026-11-20', { outcome: 'not-possible', reason: 'ice', taskKey: task }]],
    ],
    ['cure check passed', [felled, checked]],
    [
      'cure check not passed',
      [felled, ['cure-check', '2026-12-01', { outcome: 'not-possible', reason: 'green' }]],
    ],
    ['line made', [felled, checked, lined]],
    ['burned', [felled, checked, lined, ['dormant-burn', '2026-12-12']]],
    [
      'burned, too little went black',
      [felled, checked, lined, ['dormant-burn', '2026-12-12', { shareBlackPercent: 20 }]],
    ],
    [
      'would not carry',
      [
        felled,
        checked,
        lined,
        ['dormant-burn', '2026-12-12', { outcome: 'not-possible', reason: 'wet' }],
      ],
    ],
    [
      'first evaluation',
      [felled, checked, lined, ['dormant-burn', '2026-12-12'], ['burn-evaluation-1', '2026-12-13']],
    ],
  ])('%s', (_what, facts) => {
    const operation = landWith(facts);
    const plan = planOf(operation, isoDate('2026-12-14'));
    expect(checkPlan(operation, plan)).toEqual([]);
    expect(plan.tasks.length).toBeGreaterThan(0);
  });
});

// A line holds 200 days and a cure check 150 before the burn, both or neither: the rows of shared/sequences.json.
describe('a check or a line that is too old', () => {
  const again = (operation: Operation, day: string) =>
    chainOn(operation, blockOf(operation), isoDate(day))
      .filter(({ cycle, openPart }) => cycle === 1 && openPart.startsWith('again'))
      .map(({ stepKey, standing, openPart }) => `${stepKey} ${standing} ${openPart}`);
  const planWords = (operation: Operation, day: string) => {
    const plan = planOf(operation, isoDate(day));
    expect(checkPlan(operation, plan)).toEqual([]);
    return plan.tasks.map(({ key }) => key);
  };
  const key = (step: string, part: string) => `block:1/cedar-woodland/${step}/1/${part}`;

  test.each([
    // The dormant season is open to 1 April, and the line is good to 28 June.
    ['2027-03-20', []],
    // The next opening is 15 August: both are too old then.
    ['2027-04-05', ['cure-check to-do again', 'line to-do again']],
    ['2027-12-01', ['cure-check to-do again', 'line to-do again']],
  ])('on %s: %j', (day, expected) => {
    expect(again(landWith([felled, checked, lined]), day)).toEqual(expected);
  });

  test('is planned again, as a part with a key of its own, and the burn with it', () => {
    const keys = planWords(landWith([felled, checked, lined]), '2027-04-05');
    expect(keys).toEqual(
      expect.arrayContaining([key('line', 'again'), key('cure-check', 'again'), key('burn', '-')]),
    );
  });

  test.each<[string, Partial<WorkEntry>]>([
    ['by the task that it answers', { taskKey: key('line', 'again') }],
    ['without a task', {}],
  ])('done again %s, it stands for its burn, not for the next cycle', (_what, own) => {
    const operation = landWith([felled, checked, lined, ['line-build', '2027-11-20', own]]);
    const line = chainOf(operation, blockOf(operation)).filter(({ stepKey }) => stepKey === 'line');
    expect(line.map(({ cycle, standing, doneOn }) => [cycle, standing, doneOn])).toEqual([
      [1, 'done', '2027-11-20'],
      [2, 'to-do', null],
    ]);
    const keys = planWords(operation, '2027-11-21');
    expect(keys).toContain(key('cure-check', 'again'));
    expect(keys).not.toContain(key('line', 'again'));
    expect(keys).toContain(key('burn', '-'));
  });

  test('missed once more, it has a new key', () => {
    const more: Fact = ['line-build', '2027-11-20', { taskKey: key('line', 'again') }];
    const operation = landWith([felled, checked, lined, more]);
    expect(again(operation, '2028-10-01')).toContain('line to-do again2');
  });

  test('a line of the next cycle is not taken for one made again once the burn is done', () => {
    const facts: Fact[] = [
      felled,
      checked,
      lined,
      ['dormant-burn', '2027-02-10'],
      ['line-build', '2028-11-20'],
    ];
    const operation = landWith(facts);
    const line = chainOf(operation, blockOf(operation)).filter(({ stepKey }) => stepKey === 'line');
    expect(line.map(({ cycle, doneOn }) => [cycle, doneOn]).slice(0, 2)).toEqual([
      [1, '2026-12-10'],
      [2, '2028-11-20'],
    ]);
    planWords(operation, '2028-11-21');
  });
});
