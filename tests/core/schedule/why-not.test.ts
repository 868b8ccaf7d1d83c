import { describe, expect, it } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { isoDate, monthDay } from '../../../src/core/dates.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { PlanContent } from '../../../src/core/plans.ts';
import { planContent } from '../../../src/core/schedule/plan.ts';
import type { Step } from '../../../src/core/sequences.ts';
import type { Obstacle } from '../../../src/core/tasks.ts';
import type { Family, Treatment } from '../../../src/core/treatments.ts';
import { fakeEntry } from '../../support/operation.ts';
import { choiceOf, crew, library, modelOf, operationOf } from './land-operations.ts';

// Each operation is built so that one thing alone keeps a task out, or back. The sentences were worked out by hand
// from the windows, crew days and fit days given here.
const today = isoDate('2026-11-09');
const all = ['saw', 'fire'];

/** Work of so many crew days that is open from 1 to 11 December: four days, then five. */
function work(key: string, family: Family, own: Partial<Treatment> = {}): Treatment {
  const like = library.treatments.find((one) => one.key === 'cedar-felling') as Treatment;
  return {
    ...like,
    ...{ key, name: key, family, skills: ['saw'], peopleLeast: 1, stemInchesMost: null },
    windows: [{ opens: { at: monthDay('12-01') }, closes: { at: monthDay('12-11') } }],
    rate: { ...like.rate, basis: 'fixed', per: 'crew-day', amount: 6 },
    duration: family === 'burn' ? 'one-day' : 'run',
    speciesGroups: [],
    ...own,
  };
}

function step(key: string, own: Partial<Step> = {}): Step {
  return {
    ...{ key, name: key, treatmentKeys: [key], cycles: 'every', lags: [] },
    ...{ tiedTo: null, tiedDays: 0, shareOfAcres: 1, note: '' },
    ...own,
  };
}

const after = (key: string, days: number): Partial<Step> => ({
  lags: [
    {
      ...{ afterStepKey: key, cycle: 'same', kind: 'fixed', least: { days }, target: null },
      ...{ most: null, mostIsHard: false, link: 'needs' },
    },
  ],
});

/** Blocks of 50 acres and less, with one sequence of the given steps. */
function small(
  blocks: number,
  treatments: Treatment[],
  own: Partial<Operation> = {},
  steps: Step[] = treatments.map(({ key }) => step(key)),
): Operation {
  const like = library.sequences.find((one) => one.key === 'cedar-woodland');
  if (!like) throw new Error('no such sequence');
  const sequence = {
    ...like,
    ...{ key: 'once', steps, rotation: null },
    repeat: { kind: 'none' as const, stepKey: steps[0]?.key ?? '', years: 1 },
  };
  const sketches = Array.from({ length: blocks }, (_, at) => ({
    sequenceKey: 'once',
    acres: [50 - 10 * at],
    block: { burnPeopleLeast: 1, prescriptionKey: 'hardwood-litter' },
  }));
  const base = operationOf(sketches, own);
  return {
    ...base,
    ...{ treatments, sequences: [sequence], noWork: own.noWork ?? [] },
    crews: own.crews ?? [crew(1, 'home', { skills: all })],
    gear: [{ key: 'tractor', name: 'The tractor', count: 1, daysOff: [] }],
    ...(own.gear ? { gear: own.gear } : {}),
    settings: { ...base.settings, seasonsAfter: 0 },
  };
}

function planned(operation: Operation): PlanContent {
  const problem = modelOf(operation, today);
  const run = { seed: 1, iterations: 200, seconds: 0, version: 'test' };
  const plan = planContent(operation, problem, choiceOf(problem), run);
  expect(checkPlan(operation, plan)).toEqual([]);
  return plan;
}

const december = { startsOn: isoDate('2026-12-01'), endsBefore: isoDate('2026-12-12') };
const february = { startsOn: isoDate('2027-02-01'), endsBefore: isoDate('2027-03-01') };
const hired = (onSpans: Operation['crews'][number]['onSpans'], costPerDayUsd = 1000) =>
  crew(1, 'contract', { skills: all, onSpans, costPerDayUsd });
const home = (own: Partial<Operation['crews'][number]> = {}) =>
  crew(1, 'home', { skills: all, ...own });
const cut = work('Cut', 'cut');
const mow = work('Mow', 'cut', { gear: ['tractor'] });
const twoCrews = [home(), crew(2, 'home', { skills: all })];
const tractorAway = [{ key: 'tractor', name: 'The tractor', count: 1, daysOff: [december] }];
const window = (opens: string, closes: string) => [
  { opens: { at: monthDay(opens) }, closes: { at: monthDay(closes) } },
];
const burn = work('Burn', 'burn', { skills: ['fire'], windows: window('12-07', '12-18') });

/** Likely fit days of the first half of December, and of every other half-month. */
function withFitDays(operation: Operation, december: number, others = 0): Operation {
  const fitDays = Array.from({ length: 24 }, (_, at) => (at === 22 ? december : others));
  return {
    ...operation,
    fitDays: operation.fitDays.map((table) => ({ ...table, fitDays })),
    settings: {
      ...operation.settings,
      supply: { ...operation.settings.supply, weekdayShare: 1, usedShare: 1 },
    },
  };
}
const apart: Operation['neighbours'] = [{ unitIds: [11, 21], sharedFeet: 900, rule: 'apart' }];
const neighbourBurned = small(2, [burn], { neighbours: apart });
neighbourBurned.entries = [
  fakeEntry(1, 21, 'Burn', '2026-10-20', { shareBlackPercent: 80, fireCause: 'planned' }),
];
neighbourBurned.blocks = neighbourBurned.blocks.map((block) =>
  block.id === 2 ? { ...block, sequenceKey: null } : block,
);
const roost: Operation['noWork'][number] = {
  ...(library.noWork[0] as Operation['noWork'][number]),
  ...{ key: 'roost', name: 'Winter roost', state: null, propertyId: null, firmness: 'hard' },
  ...{ opens: { at: monthDay('11-20') }, closes: { at: monthDay('12-31') } },
  applies: {
    ...{ families: ['cut'], treatmentKeys: null, unitTags: [], stemInchesOver: null },
    ...{ speciesGroups: [], contractFrom: null, contractTo: null },
  },
};
const clear = work('Clear', 'cut', {
  windows: window('11-10', '12-11'),
  rate: { ...cut.rate, amount: 1 },
});
const heldBefore = small(1, [clear, cut], {}, [step('Clear'), step('Cut', after('Clear', 10))]);
heldBefore.heldDates = [{ taskKey: 'unit:11/once/Clear/1/-', startsOn: isoDate('2026-12-10') }];
const thirds = small(1, [cut]);
thirds.sequences = thirds.sequences.map((one) => ({
  ...one,
  partsCount: 3,
  repeat: { kind: 'years', stepKey: 'Cut', years: 3 },
}));
thirds.blocks = thirds.blocks.map((one) => ({ ...one, sequenceStartsOn: isoDate('2023-01-01') }));
thirds.entries = ['a', 'b', 'c'].map((part, at) =>
  fakeEntry(at + 1, 11, 'Cut', '2023-12-05', { taskKey: `unit:11/once/Cut/1/${part}` }),
);
thirds.treatments = [work('Cut', 'cut', { rate: { ...cut.rate, amount: 1 } })];
const several = work('Mow', 'cut', { gear: ['tractor'], rate: { ...mow.rate, amount: 9 } });
const twice = work('Cut', 'cut', {
  windows: [...window('12-01', '12-11'), ...window('02-01', '02-12')],
});
const open = work('Cut', 'cut', { windows: window('11-01', '12-11') });
const dueAtOnce: Partial<Step> = {
  lags: (after('Clear', 1).lags ?? []).map((lag) => ({ ...lag, target: { days: 10 } })),
};
const overdue = small(1, [clear, open], {}, [step('Clear'), step('Cut', dueAtOnce)]);
overdue.entries = [fakeEntry(1, 11, 'Clear', '2026-03-02', { taskKey: 'unit:11/once/Clear/1/-' })];

interface Case {
  name: string;
  operation: Operation;
  key: string;
  obstacle: Obstacle;
  words: string;
  displacing?: string;
}
const then = 'without that it could start on 1 Dec 2026';
const cut1 = 'Cut on U11 (from 1 Dec 2026)';
const burn1 = 'Burn on U11 (from 7 Dec 2026)';

const leftOutCases: Case[] = [
  {
    name: 'a crew that other work fills: 4 days of the first week, where all 4 are taken',
    operation: small(2, [cut]),
    key: 'unit:21/once/Cut/1/-',
    obstacle: 'crew',
    words: `Crew 1 is 4 crew days short in the week of 30 Nov 2026, held by ${cut1}; ${then}`,
    displacing: `Displacing ${cut1} would mean 1 more task left out, 6 fewer crew days.`,
  },
  {
    name: 'gear that two crews want: 8 of 7 days',
    operation: small(2, [mow], { crews: twoCrews }),
    key: 'unit:21/once/Mow/1/-',
    obstacle: 'gear',
    words: `The tractor is 1 day short in the week of 30 Nov 2026, held by Mow on U11 (from 1 Dec 2026); ${then}`,
    displacing:
      'Displacing Mow on U11 (from 1 Dec 2026) would mean 1 more task left out, 6 fewer crew days.',
  },
  {
    name: 'a booking that other work fills, at $1,000 a day',
    operation: small(2, [cut], { crews: [hired(null)] }),
    key: 'unit:21/once/Cut/1/-',
    obstacle: 'booking',
    words: `Crew 1 is 4 crew days short in the week of 30 Nov 2026, held by ${cut1}; ${then}`,
    displacing: `Displacing ${cut1} would mean 1 more task left out, $6,000 less for hired crews, 6 fewer crew days.`,
  },
  {
    name: 'one likely fit day for two burns',
    operation: withFitDays(small(2, [burn]), 1.5),
    key: 'unit:21/once/Burn/1/-',
    obstacle: 'fit-days',
    words: `the likely fit days of the two weeks from 7 Dec 2026 are taken, held by ${burn1}; without that it could start on 7 Dec 2026`,
    displacing: `Displacing ${burn1} would mean 1 fewer burn on time, 1 more task left out, 1 fewer crew day.`,
  },
  {
    name: 'no likely fit day at all, which nobody holds',
    operation: withFitDays(small(1, [burn]), 0),
    key: 'unit:11/once/Burn/1/-',
    obstacle: 'fit-days',
    words:
      'no burn is likely to find a fit day by its prescription before the plan ends; without that it could start on 7 Dec 2026',
  },
  {
    name: 'a neighbor that is planned to burn in the season',
    operation: withFitDays(small(2, [burn], { neighbours: apart }), 30, 30),
    key: 'unit:21/once/Burn/1/-',
    obstacle: 'neighbor',
    words: `B1 and B2 may not both burn in 2026-27, held by ${burn1}; without that it could start on 7 Dec 2026`,
    displacing: `Displacing ${burn1} would mean 1 fewer burn on time, 1 more task left out, 1 fewer crew day.`,
  },
  {
    name: 'a neighbor that has burned in the season',
    operation: withFitDays(neighbourBurned, 30, 30),
    key: 'unit:11/once/Burn/1/-',
    obstacle: 'neighbor',
    words:
      'U21, which must stay apart, burned in 2026-27; without that it could start on 7 Dec 2026',
  },
  {
    name: 'the turn of another part in the season',
    operation: thirds,
    key: 'unit:11/once/Cut/2/b',
    obstacle: 'turn',
    words: `U11: one part a season, 2026-27, held by Cut, part a, on U11 (from 1 Dec 2026); ${then}`,
    displacing:
      'Displacing Cut, part a, on U11 (from 1 Dec 2026) would mean 1 more task left out, 1 fewer crew day.',
  },
  {
    name: 'dates held for the step before it',
    operation: heldBefore,
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'held-dates',
    words: `the dates held for Clear on U11 (from 10 Dec 2026) leave it no time; ${then}`,
  },
  {
    name: 'days off',
    operation: small(1, [cut], { crews: [home({ daysOff: [december] })] }),
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'crew-away',
    words: `Crew 1 has days off in the weeks of 30 Nov 2026 and 7 Dec 2026; ${then}`,
  },
  {
    name: 'gear that is away',
    operation: small(1, [mow], { gear: tractorAway }),
    key: 'unit:11/once/Mow/1/-',
    obstacle: 'gear-away',
    words: `The tractor is away in the weeks of 30 Nov 2026 and 7 Dec 2026; ${then}`,
  },
  {
    name: 'a contract crew that is booked for other weeks',
    operation: small(1, [cut], { crews: [hired([february])] }),
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'not-booked',
    words: `Crew 1 is not booked in the weeks of 30 Nov 2026 and 7 Dec 2026; ${then}`,
  },
  {
    name: 'no-work dates',
    operation: small(1, [cut], { noWork: [roost] }),
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'no-work',
    words: `no-work dates bar it (Winter roost); ${then}`,
  },
  {
    name: 'a season of a weekend, for a crew that works on weekdays',
    operation: small(1, [work('Cut', 'cut', { windows: window('12-05', '12-06') })]),
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'season',
    words:
      'its season is too short: with 14 days more at either end it would be open from 21 Nov 2026 to 20 Dec 2026, and it could start on 23 Nov 2026',
  },
  {
    name: 'crew and gear together: 9 crew days, and 4 + 2 of 7 + 7 days of the tractor that 9 are taken of',
    operation: small(2, [several], { crews: [home({ onSpans: [december] })] }),
    key: 'unit:21/once/Mow/1/-',
    obstacle: 'several',
    words:
      'Crew 1 is 9 crew days short in the weeks of 30 Nov 2026 and 7 Dec 2026, and The tractor is 4 days short in the weeks of 30 Nov 2026 and 7 Dec 2026, held by Mow on U11 (from 1 Dec 2026); with all of that out of the way it could start on 1 Dec 2026',
    displacing:
      'Displacing Mow on U11 (from 1 Dec 2026) would mean 1 more task left out, 9 fewer crew days.',
  },
  {
    name: 'its price: six days at a million dollars',
    operation: small(1, [cut], { crews: [hired(null, 1_000_000)] }),
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'price',
    words:
      'it could start on 1 Dec 2026, but that costs, with $6,000,000 for hired crews, more than leaving it out counts for',
  },
];

describe('what keeps a task out of the plan', () => {
  it.each(leftOutCases)('$name', ({ operation, key, obstacle, words, displacing }) => {
    const found = planned(operation).leftOut.find((one) => one.key === key);
    expect(found?.why).toEqual({ obstacle, words, displacing: displacing ?? null });
    expect(found?.reason).toMatch(words);
  });

  it('is nothing at all where a search left it out by mistake', () => {
    const operation = small(1, [cut]);
    const problem = modelOf(operation, today);
    const run = { seed: 1, iterations: 0, seconds: 0, version: 'test' };
    const none = problem.jobs.map(() => -1);
    expect(planContent(operation, problem, none, run).leftOut.map((one) => one.reason)).toEqual([
      'there is room: it could start on 1 Dec 2026, which a longer search would find',
    ]);
  });
});

const lateCases: Case[] = [
  {
    name: 'a crew that other work fills: 1 December or 1 February is 62 days',
    operation: small(2, [twice]),
    key: 'unit:21/once/Cut/1/-',
    obstacle: 'crew',
    words: `Crew 1 is 4 crew days short in the week of 30 Nov 2026, held by ${cut1}; ${then}, 62 days sooner`,
    displacing: `Displacing ${cut1} would mean 52 more late days.`,
  },
  {
    name: 'nothing that could give way, when it was due before the plan begins',
    operation: overdue,
    key: 'unit:11/once/Cut/1/-',
    obstacle: 'nothing',
    words: 'nothing that could give way would bring it sooner: it was due before this plan begins',
  },
];

describe('what keeps a late task from an earlier start', () => {
  it.each(lateCases)('$name', ({ operation, key, obstacle, words, displacing }) => {
    const found = planned(operation).tasks.find((one) => one.key === key);
    expect(found?.late).toEqual({ obstacle, words, displacing: displacing ?? null });
    expect(found?.because).toContain(`Later than due: ${words}.`);
    expect(found?.because.some((one) => one.startsWith('Not sooner'))).toBe(false);
  });
});

describe('held dates', () => {
  const held = (days: number, blocks: number, crews = [home()]): Operation => {
    const own = work('Cut', 'cut', { rate: { ...cut.rate, amount: days } });
    const operation = small(blocks, [own], { crews });
    operation.heldDates = operation.blocks.map(({ id }) => ({
      taskKey: `unit:${id}1/once/Cut/1/-`,
      startsOn: isoDate('2026-12-07'),
    }));
    return operation;
  };
  const from = 'its dates are held from 7 Dec 2026, but ';
  const others = (...codes: string[]) =>
    `they cannot all be kept together with those held for ${codes.map((code) => `Cut on ${code} (from 7 Dec 2026)`).join(' and ')}`;
  const mend = '; hold other dates or release them';

  it.each([
    ['two of 3 days in a week of 5', held(3, 2), [others('U11')]],
    [
      'three on one day: each of two with the one that is kept',
      held(2, 3),
      [others('U11'), others('U11')],
    ],
    [
      'three for two crews: any two of them could be kept',
      held(3, 3, twoCrews),
      [others('U11', 'U21')],
    ],
    ['two for two crews can be kept', held(3, 2, twoCrews), []],
  ])('name the smallest set that contradicts itself: %s', (_, operation, why) => {
    const reasons = planned(operation).leftOut.map((one) => one.reason);
    expect(reasons).toEqual(why.map((one) => `${from}${one}${mend}`));
  });

  it('against a lag name the step that it counts from', () => {
    const operation = small(1, [clear, cut], {}, [step('Clear'), step('Cut', after('Clear', 10))]);
    operation.heldDates = [
      { taskKey: 'unit:11/once/Clear/1/-', startsOn: isoDate('2026-11-30') },
      { taskKey: 'unit:11/once/Cut/1/-', startsOn: isoDate('2026-12-01') },
    ];
    expect(planned(operation).leftOut.map((one) => one.reason)).toEqual([
      `its dates are held from 1 Dec 2026, but they cannot all be kept together with those held for Clear on U11 (from 30 Nov 2026)${mend}`,
    ]);
  });

  it('against a season name no other dates', () => {
    const operation = small(1, [cut]);
    operation.heldDates = [{ taskKey: 'unit:11/once/Cut/1/-', startsOn: isoDate('2026-12-14') }];
    expect(planned(operation).leftOut.map((one) => one.reason)).toEqual([
      `its dates are held from 14 Dec 2026, but its season is not open then${mend}`,
    ]);
  });
});
