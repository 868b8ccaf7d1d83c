import { describe, expect, it } from 'vitest';
import { addDays, fromDay, type IsoDate, isoDate, monthDay } from '../../../src/core/dates.ts';
import type { NoWorkSpan } from '../../../src/core/no-work.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { LandJob } from '../../../src/core/schedule/land-jobs.ts';
import type { LandProblem } from '../../../src/core/schedule/land-model.ts';
import {
  type LandOption,
  landModes,
  openStretches,
} from '../../../src/core/schedule/land-options.ts';
import { landWeeks, poolOfDay, poolTenths } from '../../../src/core/schedule/land-weeks.ts';
import { crew, modelOf, operationOf } from './land-operations.ts';

const monday = isoDate('2026-11-02');
/** 8.4 acres of moderate cedar at 0.7 acres a person-day, two people: six crew days, at a pace of three a week. */
const felling = (own: Partial<Operation> = {}): Operation => {
  const operation = operationOf([{ sequenceKey: 'cedar-woodland', acres: [8.4] }], {
    crews: [crew(1, 'home', { peopleCount: 2 })],
    holidays: [],
    noWork: [],
  });
  return { ...operation, ...own };
};

function jobAt(problem: LandProblem, key: string): number {
  return problem.jobs.findIndex((job) => job.identity.key === key);
}

const fellKey = 'unit:11/cedar-woodland/fell/1/-';
function fellOptions(operation: Operation, today: IsoDate = monday): LandOption[] {
  const problem = modelOf(operation, today);
  return problem.options[jobAt(problem, fellKey)] ?? [];
}

/** Monday and days of each share of a placing. */
function sharesOf(option: LandOption | undefined): [string, number][] {
  return (option?.shares ?? []).map(({ week, tenths }) => [addDays(monday, week * 7), tenths / 10]);
}

const spans = (from: string, before: string) => [
  { startsOn: isoDate(from), endsBefore: isoDate(before) },
];

describe('spread work', () => {
  it('takes consecutive weeks at the pace of the crew', () => {
    const first = fellOptions(felling())[0];
    expect(sharesOf(first)).toEqual([
      ['2026-11-02', 3],
      ['2026-11-09', 3],
    ]);
    expect(fromDay(first?.fromDay ?? 0)).toBe('2026-11-02');
    expect(fromDay(first?.toDay ?? 0)).toBe('2026-11-13');
    expect(fromDay(first?.soonestEndDay ?? 0)).toBe('2026-11-11');
    expect(fromDay(first?.latestStartDay ?? 0)).toBe('2026-11-04');
  });

  it.each<[string, Partial<Operation>, [string, number][]]>([
    [
      'a week of days off is skipped',
      { crews: [crew(1, 'home', { peopleCount: 2, daysOff: spans('2026-11-09', '2026-11-16') })] },
      [
        ['2026-11-02', 3],
        ['2026-11-16', 3],
      ],
    ],
    [
      'a week with fewer open days than the pace takes what it has',
      { crews: [crew(1, 'home', { peopleCount: 2, daysOff: spans('2026-11-10', '2026-11-14') })] },
      [
        ['2026-11-02', 3],
        ['2026-11-09', 1],
        ['2026-11-16', 2],
      ],
    ],
    [
      'a week of holidays is skipped',
      {
        holidays: [9, 10, 11, 12, 13].map((day) => ({
          date: addDays(isoDate('2026-11-01'), day - 1),
          name: 'holiday',
        })),
      },
      [
        ['2026-11-02', 3],
        ['2026-11-16', 3],
      ],
    ],
    [
      'a contract crew works whole weeks, in its contract only',
      {
        crews: [
          crew(1, 'contract', {
            peopleCount: 2,
            onSpans: [...spans('2026-11-05', '2026-11-07'), ...spans('2026-12-07', '2026-12-12')],
          }),
        ],
      },
      [
        ['2026-11-02', 2],
        ['2026-12-07', 4],
      ],
    ],
  ])('%s', (_, own, expected) => {
    expect(sharesOf(fellOptions(felling(own))[0])).toEqual(expected);
  });

  it('starts in no week without an open day and ends in its season', () => {
    const options = fellOptions(
      felling({ crews: [crew(1, 'home', { peopleCount: 2, workdays: [1] })] }),
    );
    for (const option of options) {
      expect(option.shares.every((share) => share.tenths > 0)).toBe(true);
      expect(fromDay(option.toDay) < option.open.endsBefore).toBe(true);
    }
    // Felling is open to 15 April: six Mondays before it.
    const lastStart = options.filter((one) => fromDay(one.fromDay) < '2027-07-01').at(-1);
    expect(fromDay(lastStart?.fromDay ?? 0)).toBe('2027-03-08');
  });

  it('is cut into parts by acres when it is larger than any window', () => {
    const problem = modelOf(
      felling({ units: felling().units.map((one) => ({ ...one, areaAcres: 200 })) }),
      monday,
    );
    const pieces = problem.jobs.filter((job) => job.step.key === 'fell');
    expect(pieces.map((job) => job.identity.part)).toEqual(['a', 'b']);
    expect(pieces.map((job) => job.areaAcres)).toEqual([100, 100]);
    const burn = problem.jobs.find(
      (job) => job.identity.key === 'block:1/cedar-woodland/burn/1/-',
    ) as LandJob;
    const fellings = burn.links.filter(
      (link) => 'job' in link.forerunner && link.forerunner.job.step.key === 'fell',
    );
    expect(fellings).toHaveLength(2);
  });

  it('is not cut when no crew works at all', () => {
    const problem = modelOf(felling({ crews: [crew(1, 'home', { workdays: [] })] }), monday);
    expect(problem.jobs.filter((job) => job.step.key === 'fell')).toHaveLength(1);
  });

  it('keeps off the days on which its gear is away', () => {
    const operation = operationOf([{ sequenceKey: 'old-field-fescue', acres: [30] }], {
      noWork: [],
    });
    for (const gear of operation.gear) gear.daysOff = spans('2026-09-01', '2026-10-05');
    const problem = modelOf(operation, isoDate('2026-09-01'));
    const spray = problem.options[jobAt(problem, 'unit:11/old-field-fescue/spray-fall/1/-')] ?? [];
    expect(fromDay(spray[0]?.fromDay ?? 0)).toBe('2026-10-05');
  });
});

describe('the late share of a rotation', () => {
  it.each<[number | null, number, string]>([
    [null, 2, 'dormant-burn'],
    [2, 1, 'dormant-burn'],
    [2, 2, 'late-season-burn'],
    [3, 2, 'dormant-burn'],
    [3, 6, 'late-season-burn'],
    [1, 1, 'late-season-burn'],
  ])('every %s burns, in cycle %s: %s is wished', (lateEvery, cycle, wished) => {
    const rotation = {
      phase: 'maintenance' as const,
      leastSeasons: 2,
      targetYears: 3,
      mostYears: 4,
      lateEvery,
    };
    const operation = operationOf(
      [{ sequenceKey: 'burn-rotation', acres: [20], block: { rotation, firstCycle: cycle } }],
      {},
    );
    const problem = modelOf(operation, monday);
    const found = problem.jobs.find(({ step }) => step.key === 'burn') as LandJob;
    const modes = landModes(operation, found);
    expect(found.identity.cycle).toBe(cycle);
    expect(new Set(modes.map(({ treatment }) => treatment.key)).size).toBe(2);
    expect([
      ...new Set(modes.filter((one) => !one.isAlternative).map(({ treatment }) => treatment.key)),
    ]).toEqual([wished]);
  });
});

describe('crews for a burn', () => {
  const burnModes = (crews: Operation['crews']) => {
    const operation = operationOf(
      [{ sequenceKey: 'burn-rotation', acres: [20], block: { burnPeopleLeast: 6 } }],
      { crews },
    );
    const problem = modelOf(operation, monday);
    const job = problem.jobs.find((one) => one.step.key === 'burn') as LandJob;
    return landModes(operation, job)
      .filter((mode) => !mode.isAlternative)
      .map((mode) => mode.crews.map((one) => one.id));
  };

  it.each<[string, Operation['crews'], number[][]]>([
    [
      'one crew is enough',
      [crew(1, 'home', { peopleCount: 6 }), crew(2, 'help', { peopleCount: 3 })],
      [[1]],
    ],
    [
      'help fills up',
      [crew(1, 'home', { peopleCount: 4 }), crew(2, 'help', { peopleCount: 3 })],
      [[1, 2]],
    ],
    ['too few', [crew(1, 'home', { peopleCount: 3 }), crew(2, 'help', { peopleCount: 2 })], []],
    [
      'all three together',
      [
        crew(1, 'home', { peopleCount: 2 }),
        crew(2, 'help', { peopleCount: 2 }),
        crew(3, 'help', { peopleCount: 2 }),
      ],
      [[1, 2, 3]],
    ],
    ['a contract crew does not burn', [crew(1, 'contract', { peopleCount: 9 })], []],
    ['nobody without the skill', [crew(1, 'home', { peopleCount: 9, skills: ['saw'] })], []],
  ])('%s', (_, crews, expected) => {
    expect(burnModes(crews)).toEqual(expected);
  });
});

describe('no-work dates', () => {
  const span = (own: Partial<NoWorkSpan>): NoWorkSpan => ({
    status: 'default-to-edit',
    source: '',
    key: 'quiet',
    name: 'Quiet weeks',
    state: null,
    propertyId: 1,
    reason: '',
    authority: 'owner',
    firmness: 'hard',
    opens: { at: monthDay('12-01') },
    closes: { at: monthDay('01-31') },
    asOf: '2026',
    applies: {
      families: ['cut'],
      treatmentKeys: null,
      unitTags: [],
      stemInchesOver: null,
      speciesGroups: [],
      contractFrom: null,
      contractTo: null,
    },
    ...own,
  });
  const lifted = { noWorkKey: 'quiet', unitId: 11, grantedBy: 'owner' };

  /** Felling is open from 15 September to 15 April. */
  const whole = [['2026-11-02', '2027-04-16']];
  const cut = [
    ['2026-11-02', '2026-12-01'],
    ['2027-02-01', '2027-04-16'],
  ];
  it.each<[string, NoWorkSpan, Operation['approvals'], string[][]]>([
    ['hard ones bar over New Year', span({}), [], cut],
    [
      'an approval does not lift a hard one',
      span({}),
      [{ ...lifted, from: isoDate('2026-12-01'), until: isoDate('2027-01-31') }],
      cut,
    ],
    ['ask-first ones bar without an approval', span({ firmness: 'ask-first' }), [], cut],
    [
      'an approval lifts its days',
      span({ firmness: 'ask-first' }),
      [{ ...lifted, from: isoDate('2026-12-01'), until: isoDate('2027-01-31') }],
      whole,
    ],
    [
      'an approval lifts only its days',
      span({ firmness: 'ask-first' }),
      [{ ...lifted, from: isoDate('2026-12-01'), until: isoDate('2026-12-31') }],
      [
        ['2026-11-02', '2027-01-01'],
        ['2027-02-01', '2027-04-16'],
      ],
    ],
    [
      'an approval for another unit lifts nothing',
      span({ firmness: 'ask-first' }),
      [{ ...lifted, unitId: 12, from: isoDate('2026-12-01'), until: isoDate('2027-01-31') }],
      cut,
    ],
    ['another state', span({ state: 'AR' }), [], whole],
    ['another family', span({ applies: { ...span({}).applies, families: ['spray'] } }), [], whole],
    [
      'units with a tag only',
      span({ applies: { ...span({}).applies, unitTags: ['near-roost'] } }),
      [],
      whole,
    ],
  ])('%s', (_, rule, approvals, expected) => {
    const operation = felling({ noWork: [rule], approvals });
    const problem = modelOf(operation, monday);
    const job = problem.jobs[jobAt(problem, fellKey)] as LandJob;
    const treatment = job.treatments[0];
    const year = { startsOn: monday, endsBefore: isoDate('2027-07-01') };
    const open = treatment ? openStretches(operation, job, treatment, year) : [];
    // Subtracting nothing leaves an opening whole; touching parts of an opening are one.
    expect(open.map((one) => [one.startsOn, one.endsBefore])).toEqual(expected);
  });
});

describe('fit days of two weeks', () => {
  /** Four fit days each half-month, all weekdays worked, all used: 14 x 4 / 15 = 3.7 in two weeks of a first half. */
  const supply = (fitDays: number, usedShare: number, from: string, pools: number) => {
    const operation = felling();
    operation.settings.supply = { level: 'half', weekdayShare: 1, usedShare };
    const startsOn = isoDate(from);
    const weeks = landWeeks(operation, { startsOn, endsBefore: isoDate('2028-07-01') });
    const figures = Array.from({ length: 24 }, () => fitDays);
    const first = poolOfDay(weeks.fromDay);
    return Array.from({ length: pools }, (_, i) =>
      poolTenths(operation, weeks, figures, first + i),
    );
  };

  it('are whole burns, with the rest carried on to the next span', () => {
    // 15 fit days a half-month of 15 or 16 days: about one a day. From 1 July, a tenth used: about 1.4 a span.
    const tenths = supply(15, 0.1, '2026-07-01', 10);
    expect(tenths.every((one) => one % 10 === 0)).toBe(true);
    const burns = tenths.reduce((sum, one) => sum + one, 0) / 10;
    // 10 spans are 130 to 140 days, 12 to 14 burns; without the rest it would be 10 at most.
    expect(burns).toBeGreaterThanOrEqual(12);
    expect(burns).toBeLessThanOrEqual(14);
  });

  it('allow a burn now and then where a span has half of one', () => {
    const tenths = supply(5, 0.1, '2026-07-01', 12);
    expect(Math.max(...tenths)).toBe(10);
    expect(tenths).toContain(0);
    const burns = tenths.reduce((sum, one) => sum + one, 0) / 10;
    expect(burns).toBeGreaterThanOrEqual(4);
    expect(burns).toBeLessThanOrEqual(6);
  });

  it('are none where there are no fit days', () => {
    expect(supply(0, 0.4, '2026-07-01', 8)).toEqual([0, 0, 0, 0, 0, 0, 0, 0]);
  });

  it('count the days of a span that have passed only as a rest', () => {
    const whole = supply(15, 1, '2026-11-09', 1)[0] ?? 0;
    const late = supply(15, 1, '2026-11-20', 1)[0] ?? 0;
    expect(whole).toBeGreaterThan(late);
  });
});
