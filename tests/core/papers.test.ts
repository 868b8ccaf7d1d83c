import { describe, expect, test } from 'vitest';
import type { BurnPaper, NewBurnPaper } from '../../src/core/burn-papers.ts';
import { addDays, addMonths, type IsoDate, isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import {
  type BurnStep,
  burnDaysOf,
  burnSteps,
  leadWords,
  stepsLacking,
} from '../../src/core/papers.ts';
import type { PlanContent } from '../../src/core/plans.ts';
import { calendarEntries } from '../../src/core/publication.ts';
import { readinessOf } from '../../src/core/readiness.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

const library = loadLibrary();
const burnKey = 'block:1/cedar-woodland/burn/2/-';
const today = isoDate('2026-11-09');

type Own = {
  [K in BurnPaper['kind']]: Partial<Extract<BurnPaper, { kind: K }>> & { kind: K };
}[BurnPaper['kind']];

/** Papers of the burn of the first block, numbered in order. */
function papersOf(...rows: Own[]): BurnPaper[] {
  const base = { blockId: 1, unitIds: [1], burnKey, on: today, at: '09:00', by: 'Ada Fenn' };
  const blank = { toWhom: '', note: '', isNeeded: true, lightAt: null, reason: '' };
  return rows.map((row, index) => ({ id: index + 1, ...base, ...blank, ...row }) as BurnPaper);
}

function operationWith(
  papers: BurnPaper[],
  change: (operation: Operation) => void = () => {},
): Operation {
  const operation = fakeOperation();
  operation.burnSteps = library.burnSteps;
  operation.stateRules = library.stateRules;
  operation.papers = papers;
  change(operation);
  return operation;
}

/** A plan with the burn of the first block in a span of two weeks. */
function planWith(startsOn: string, lastDay: string): PlanContent {
  const { content } = fakePlan();
  const [task] = content.tasks;
  return {
    ...content,
    madeOn: isoDate('2026-10-01'),
    tasks: [
      {
        ...task!,
        key: burnKey,
        propertyId: 1,
        blockId: 1,
        unitId: null,
        sequenceKey: 'cedar-woodland',
        stepKey: 'burn',
        cycle: 2,
        part: '-',
        name: 'Dormant-season burn',
        treatmentKey: 'dormant-burn',
        family: 'burn',
        startsOn: isoDate(startsOn),
        lastDay: isoDate(lastDay),
        isWhenFit: true,
        tiedToKey: null,
      },
    ],
    leftOut: [],
    later: [],
  };
}

const plan = planWith('2027-02-01', '2027-02-14');
const stepsOf = (operation: Operation, on: IsoDate = today, of: PlanContent | null = plan) =>
  burnSteps(operation, operation.blocks[0]!, on, of);
const stepOf = (steps: readonly BurnStep[], key: string): BurnStep => {
  const found = steps.find((step) => step.key === key);
  if (!found) throw new RangeError(`no step ${key}`);
  return found;
};

describe('months', () => {
  test.each([
    ['2027-02-01', -3, '2026-11-01'],
    ['2027-03-31', -1, '2027-02-28'],
    ['2028-03-31', -1, '2028-02-29'],
    ['2027-01-15', -12, '2026-01-15'],
    ['2026-12-31', 2, '2027-02-28'],
  ])('%s and %s months is %s', (date, months, expected) => {
    expect(addMonths(isoDate(date), months)).toBe(expected);
  });
});

describe('lead times', () => {
  const words = (key: string) => leadWords(library.burnSteps.find((rule) => rule.key === key)!);
  test.each([
    ['ask-plan', '6 to 3 months before the start of its span'],
    ['cost-share', '24 to 6 months before the start of its span'],
    ['permit', '365 to 90 days before the start of its span'],
    ['neighbors', '60 to 1 day before the start of its span'],
    ['ok-fire-department', 'from 48 hours before, to the called day'],
    ['ok-forestry', '2 days to 4 hours before the called day'],
    ['conditions-2', '2 days before the called day'],
    ['call-dispatch', 'on the called day'],
    ['call-back', 'when the burn is out'],
  ])('%s: %s', (key, expected) => {
    expect(words(key)).toBe(expected);
  });
});

describe('days of the steps', () => {
  test('months and days are counted back from the start of the planned span', () => {
    const steps = stepsOf(operationWith([]));
    const days = (key: string) => {
      const { opensOn, dueBy } = stepOf(steps, key);
      return [opensOn, dueBy];
    };
    expect(days('ask-plan')).toEqual(['2026-08-01', '2026-11-01']);
    expect(days('lines')).toEqual(['2026-08-05', '2026-12-03']);
    expect(days('neighbors')).toEqual(['2026-12-03', '2027-01-31']);
    expect(days('choose')).toEqual(['2025-02-01', '2026-02-01']);
    expect(stepOf(steps, 'choose').state).toBe('done');
  });

  test('without a called day, steps before it have no date and say how long before', () => {
    const step = stepOf(stepsOf(operationWith([])), 'call-dispatch');
    expect(step).toMatchObject({ state: 'waits', dueBy: null, dueWords: 'on the called day' });
  });

  test('without a plan the next open season counts', () => {
    const operation = operationWith([]);
    const days = burnDaysOf(operation, operation.blocks[0]!, today, null);
    // The line comes first: 22 acres at 4 a crew day are 5.5 crew days, 10 days at 4 days a week from 9 November.
    expect(days).toMatchObject({ isPlanned: false, span: { startsOn: '2026-11-18' } });
    expect(stepOf(stepsOf(operation, today, null), 'choose').state).toBe('late');
  });

  test('what is on file answers its step', () => {
    const steps = stepsOf(operationWith([]));
    expect(stepOf(steps, 'ask-plan')).toMatchObject({ state: 'done', done: { paperId: null } });
    const unsigned = operationWith([], ({ blocks }) => {
      blocks[0]!.readiness.planSignedBy = null;
    });
    expect(stepOf(stepsOf(unsigned), 'ask-plan').state).toBe('late');
  });

  test('state law of other states is not asked', () => {
    const keys = stepsOf(operationWith([])).map((step) => step.key);
    expect(keys).not.toContain('ok-neighbors');
    const inOklahoma = operationWith([], ({ properties }) => {
      properties[0]!.state = 'OK';
    });
    expect(stepsOf(inOklahoma).map((step) => step.key)).toContain('ok-neighbors');
  });

  test('the ozone notice is asked for a burn inside its dates only', () => {
    const has = (startsOn: string, lastDay: string) =>
      stepsOf(operationWith([]), today, planWith(startsOn, lastDay)).some(
        ({ key }) => key === 'mo-ozone',
      );
    expect(has('2027-02-01', '2027-02-14')).toBe(false);
    expect(has('2027-04-14', '2027-04-20')).toBe(false);
    expect(has('2027-04-15', '2027-04-28')).toBe(true);
    expect(has('2027-08-20', '2027-09-02')).toBe(true);
  });
});

describe('steps as done', () => {
  const called: Own = { kind: 'call', day: isoDate('2026-11-10'), lightAt: '12:00' };
  const told = (on: string, at: string, stepKey: string): Own => ({
    kind: 'step',
    stepKey,
    on: isoDate(on),
    at,
  });
  const inOklahoma = (operation: Operation) => {
    operation.properties[0]!.state = 'OK';
  };

  test('a tap is kept with who and when', () => {
    const step = stepOf(
      stepsOf(operationWith(papersOf({ kind: 'step', stepKey: 'neighbors', toWhom: 'R. Pell' }))),
      'neighbors',
    );
    expect(step).toMatchObject({
      state: 'done',
      done: { on: today, at: '09:00', by: 'Ada Fenn', toWhom: 'R. Pell' },
    });
  });

  test.each([
    // Oklahoma: neighbors within 60 days (2 OS 16-28.2, secondary), fire department within 48 hours (Noble 2002, secondary).
    ['ok-neighbors', '2026-09-11', '12:00', 'done'],
    ['ok-neighbors', '2026-09-10', '12:00', 'late'],
    ['ok-fire-department', '2026-11-08', '12:00', 'done'],
    ['ok-fire-department', '2026-11-08', '11:00', 'due'],
    ['ok-forestry', '2026-11-10', '08:00', 'done'],
    ['ok-forestry', '2026-11-10', '08:30', 'due'],
  ])('%s on %s at %s for a fire at noon of 10 November: %s', (key, on, at, state) => {
    const operation = operationWith(papersOf(called, told(on, at, key)), inOklahoma);
    const step = stepOf(stepsOf(operation, isoDate('2026-11-10')), key);
    const counts = state === 'done';
    expect(step.problem === '').toBe(counts);
    expect(step.state === 'done').toBe(counts);
  });

  test('a call to dispatch of the day before does not count on the day', () => {
    const operation = operationWith(papersOf(called, told('2026-11-09', '15:00', 'call-dispatch')));
    const step = stepOf(stepsOf(operation, isoDate('2026-11-10')), 'call-dispatch');
    expect(step.state).toBe('due');
    expect(step.problem).toContain('good for 0');
  });

  test('a step that is not needed here lacks nothing', () => {
    const operation = operationWith(
      papersOf(called, { kind: 'step', stepKey: 'snags', isNeeded: false, note: 'none stand' }),
    );
    expect(stepOf(stepsOf(operation), 'snags').state).toBe('not-needed');
  });

  test('a paper of other units than the block has now is not its own', () => {
    const [paper] = papersOf({ kind: 'step', stepKey: 'neighbors' });
    const operation = operationWith([{ ...paper!, unitIds: [2] }], ({ blocks }) => {
      blocks[0]!.readiness.noticesGivenOn = null;
    });
    expect(stepOf(stepsOf(operation), 'neighbors').state).toBe('open');
  });

  test('the steps of the next burn start afresh', () => {
    const papers = papersOf({ kind: 'step', stepKey: 'neighbors' });
    const operation = operationWith(papers, ({ entries }) => {
      entries.push(fakeEntry(90, 1, 'dormant-burn', '2026-11-08'));
    });
    expect(burnDaysOf(operation, operation.blocks[0]!, today, null).burnKey).toBe(
      'block:1/cedar-woodland/burn/3/-',
    );
    expect(stepOf(stepsOf(operation), 'neighbors').done).toBeNull();
  });
});

describe('a burn that lacks a step is not ready and says which', () => {
  const ready = ({ blocks, lines }: Operation) => {
    const block = blocks[0]!;
    block.readiness = { ...block.readiness, noticesGivenOn: today, peopleNamed: true };
    lines[0]!.readyOn = isoDate('2026-11-05');
  };
  const missing = (papers: BurnPaper[], on: IsoDate = today) => {
    const operation = operationWith(papers, ready);
    return Object.fromEntries(
      readinessOf(operation, operation.blocks[0]!, on).map((item) => [item.key, item.missing]),
    );
  };

  test('before the call only what is on file counts', () => {
    expect(Object.values(missing([])).every((words) => words === '')).toBe(true);
  });

  test('on the called day every open step of the day is named', () => {
    const found = missing(papersOf({ kind: 'call', day: today, lightAt: null }));
    expect(found['notices']).toContain(
      'Call dispatch or the fire department before the first fire',
    );
    expect(found['notices']).toContain('Call the neighbors');
    expect(found['lines']).toContain('Clear snags');
    expect(found['people']).toContain('Brief the crew');
    expect(found['permit']).toContain('that morning');
    expect(found['plan']).toBe('');
  });

  test('a call for tomorrow asks today only for what is due today', () => {
    const found = missing(papersOf({ kind: 'call', day: addDays(today, 1), lightAt: null }));
    expect(found['notices']).toBe('');
    expect(found['lines']).toContain('Clear snags');
  });

  test('with every step tapped the burn has all of it', () => {
    const taps = ['snags', 'conditions-0', 'call-dispatch', 'call-neighbors', 'brief'];
    const papers = papersOf(
      { kind: 'call', day: today, lightAt: null },
      ...taps.map((stepKey): Own => ({ kind: 'step', stepKey })),
    );
    expect(Object.values(missing(papers)).every((words) => words === '')).toBe(true);
  });

  test('called off, the day asks for nothing', () => {
    const papers = papersOf(
      { kind: 'call', day: today, lightAt: null },
      { kind: 'call-off', day: today, reason: 'gusts' },
    );
    expect(missing(papers)['notices']).toBe('');
  });

  test('a notice that was stamped puts the notices on file', () => {
    const operation = operationWith(papersOf({ kind: 'step', stepKey: 'neighbors' }));
    const notices = readinessOf(operation, operation.blocks[0]!, today).find(
      ({ key }) => key === 'notices',
    );
    expect(notices).toMatchObject({ isOnFile: true, missing: '', mends: [] });
  });

  test('what comes after the fire never makes it unready', () => {
    const operation = operationWith([], ({ entries }) => {
      entries.push(fakeEntry(90, 1, 'dormant-burn', '2026-11-09', { signedOutOn: null }));
    });
    const steps = stepsOf(operation);
    expect(stepOf(steps, 'call-back')).toMatchObject({ state: 'due', dueBy: null });
    expect(stepsLacking(steps, today).map(({ key }) => key)).not.toContain('call-back');
  });
});

describe('the called day in the feeds', () => {
  const entry = (operation: Operation, of: PlanContent = plan) =>
    calendarEntries(operation, of, today).find((one) => one.taskKey === burnKey);
  const call: Own = { kind: 'call', day: addDays(today, 1), lightAt: '11:30' };

  test('before the call it is tentative and free time over its span', () => {
    expect(entry(operationWith([]))).toMatchObject({
      status: 'tentative',
      isFreeTime: true,
      startsOn: '2027-02-01',
    });
  });

  test('after the call it is a firm entry of that day', () => {
    const found = entry(operationWith(papersOf(call)));
    expect(found).toMatchObject({
      status: 'confirmed',
      isFreeTime: false,
      progress: 'to-do',
      startsOn: '2026-11-10',
      endsBefore: '2026-11-11',
    });
    expect(found?.summary).toContain('(called)');
    expect(found?.description[0]).toBe('Called for 10 Nov 2026, first fire at 11:30, by Ada Fenn.');
  });

  test.each<[string, Own[], PlanContent]>([
    ['called off', [call, { kind: 'call-off', day: addDays(today, 1), reason: 'gusts' }], plan],
    ['called too early', [{ kind: 'call', day: addDays(today, 2), lightAt: null }], plan],
    ['a plan made after that day', [call], { ...plan, madeOn: isoDate('2026-11-12') }],
  ])('%s: tentative again', (_what, rows, of) => {
    expect(entry(operationWith(papersOf(...rows)), of)?.status).toBe('tentative');
  });

  test('what hangs on the burn day gets its day with the call', () => {
    const [burn] = plan.tasks;
    const tied = {
      ...burn!,
      key: 'block:1/cedar-woodland/second-pass/2/-',
      stepKey: 'second-pass',
      treatmentKey: 'line-second-pass',
      family: 'line' as const,
      isWhenFit: false,
      tiedToKey: burnKey,
    };
    const both = { ...plan, tasks: [burn!, tied] };
    const keysOf = (operation: Operation) =>
      calendarEntries(operation, both, today).map((one) => [one.taskKey, one.startsOn]);
    expect(keysOf(operationWith([]))).not.toContainEqual([tied.key, expect.anything()]);
    expect(keysOf(operationWith(papersOf(call)))).toContainEqual([tied.key, '2026-11-10']);
  });
});

test('a paper as typed is held to its fields', async () => {
  const { checkBurnPaper } = await import('../../src/core/burn-papers.ts');
  const base = { blockId: 1, unitIds: [1], burnKey, on: today, at: '09:00', by: 'Ada Fenn' };
  const fields = (paper: NewBurnPaper) => checkBurnPaper(paper).map((problem) => problem.field);
  expect(fields({ ...base, kind: 'call', day: today, lightAt: '12:00', note: '' })).toEqual([]);
  expect(fields({ ...base, kind: 'call', day: today, lightAt: '25:00', note: '' })).toEqual([
    'lightAt',
  ]);
  expect(fields({ ...base, by: ' ', kind: 'call-off', day: today, reason: '' })).toEqual([
    'by',
    'reason',
  ]);
  expect(
    fields({ ...base, kind: 'step', stepKey: 'snags', isNeeded: false, toWhom: '', note: '' }),
  ).toEqual(['note']);
  expect(fields({ ...base, kind: 'early-sign-out', reason: '' })).toEqual(['reason']);
  expect(fields({ ...base, kind: 'choice', choice: 'wait', reason: '' })).toEqual(['reason']);
});
