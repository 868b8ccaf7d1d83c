import { describe, expect, test } from 'vitest';
import { checkProblemAnswer, problemAnswerCost } from '../../../src/core/check/problem-file.ts';
import type { ProblemAnswer, ProblemFile } from '../../../src/core/problem-file.ts';
import { answerOf, modelOf } from '../../../src/core/schedule/problem-file.ts';
import { searchCounted } from '../../../src/core/schedule/search.ts';
import { readProblem, task, tinyProblem } from '../schedule/problems.ts';

const free = [{ use: [], cost: 0 }];

/** Every rule in one small file: a cut before a burn, its line, neighbours, a budget, a pin, a former plan. */
const file: ProblemFile = tinyProblem({
  res: [
    { name: 'crew', cap: Array(10).fill(3) },
    { name: 'burn', cap: Array(10).fill(2) },
  ],
  budgets: [{ res: 1, weeks: [6, 7], cap: 2 }],
  tasks: [
    task(0, {
      dur: 2,
      starts: [0, 1, 2, 3],
      modes: [
        { use: [[0, 2]], cost: 0 },
        { use: [], cost: 40 },
      ],
    }),
    task(1, { type: 'BURN', due: 5, w: 8, modes: [{ use: [[1, 2]], cost: 0 }] }),
    task(2, { modes: free }),
    task(3, { unit: 1, type: 'BURN', modes: [{ use: [[1, 1]], cost: 0 }] }),
    task(4, { unit: 2, modes: [{ use: [[0, 1]], cost: 3 }] }),
    task(5, { unit: 2, modes: free, U: 17 }),
  ],
  prec: [
    { i: 0, j: 1, min: 4, max: 8, equiv: false },
    { i: 2, j: 1, min: 1, max: 3, equiv: true },
  ],
  prev: { 0: { t: 0, m: 0 }, 1: { t: 3, m: 0 }, 4: { t: 2, m: 0 } },
  pins: { 4: { t: 2, m: 0 } },
});

/**
 * Cost by hand: task 0 moved by 2 weeks 10 + 6; task 1 one week late 8, moved by 3 weeks 10 + 9;
 * task 4 its mode 3; task 5 left out 17.
 */
const good: ProblemAnswer = {
  cost: 16 + 8 + 19 + 3 + 17,
  bound: null,
  starts: { 0: 2, 1: 6, 2: 5, 3: 2, 4: 2 },
  modes: { 0: 0, 1: 0, 2: 0, 3: 0, 4: 0 },
  seconds: 0,
};

/** The answer with one thing changed and its cost counted afresh, so that only the rule in view breaks. */
function changed(
  starts: Record<number, number | null>,
  modes: Record<number, number> = {},
): ProblemAnswer {
  const answer: ProblemAnswer = {
    ...good,
    starts: { ...good.starts },
    modes: { ...good.modes, ...modes },
  };
  for (const [id, start] of Object.entries(starts)) {
    if (start !== null) answer.starts[id] = start;
    else {
      delete answer.starts[id];
      delete answer.modes[id];
    }
  }
  return { ...answer, cost: problemAnswerCost(file, answer) };
}

const codesOf = (answer: ProblemAnswer, of: ProblemFile = file) =>
  checkProblemAnswer(of, answer).map((one) => one.code);

describe('the checker of answers to problem files', () => {
  test('finds nothing wrong with a plan that was worked out by hand', () => {
    expect(checkProblemAnswer(file, good)).toEqual([]);
    expect(problemAnswerCost(file, good)).toBe(63);
  });

  const broken: [string, ProblemAnswer, string[]][] = [
    ['unknown task', { ...good, starts: { ...good.starts, 9: 1 } }, ['answer-unknown-task']],
    ['start without mode', { ...good, starts: { ...good.starts, 5: 1 } }, ['answer-half-placed']],
    ['start that is not allowed', changed({ 0: 4 }), ['start-not-allowed']],
    ['unknown mode', changed({}, { 0: 2 }), ['no-such-mode']],
    ['mode that is no index', changed({}, { 0: -1 }), ['no-such-mode']],
    ['lag too short', changed({ 1: 5, 2: 4 }), ['lag-broken']],
    ['lag too long', changed({ 2: 1 }), ['lag-broken']],
    ['burn without its cut', changed({ 0: null }), ['task-without-other']],
    ['burn without its line', changed({ 2: null }), ['task-without-other']],
    ['line without its burn', changed({ 1: null }), ['task-without-other']],
    ['neighbours in one season', changed({ 3: 9 }), ['neighbours-burned']],
    ['pin moved', changed({ 4: 4 }), ['pin-broken']],
    ['pin in no place', changed({ 4: null }), ['pin-broken']],
    ['wrong cost', { ...good, cost: 62 }, ['cost-wrong']],
    ['bound above the cost', { ...good, bound: 64 }, ['bound-above-cost']],
  ];
  test.each(broken)('%s', (_, answer, codes) => {
    expect(codesOf(answer)).toEqual(codes);
  });

  test('capacity: the second week of a job counts too', () => {
    const crew = file.res.map((one) => ({
      ...one,
      cap: one.cap.map((cap, week) => (week === 3 ? 1 : cap)),
    }));
    const res = [crew[0]!, file.res[1]!];
    const found = checkProblemAnswer({ ...file, res }, good);
    expect(found).toMatchObject([{ code: 'capacity-passed', ref: 'crew 3' }]);
  });

  test('budget: the uses of its weeks together', () => {
    const apart = { ...file, adj: [] };
    expect(codesOf(changed({ 3: 7 }), apart)).toEqual(['budget-passed']);
    expect(codesOf(changed({ 3: 8 }), apart)).toEqual([]);
  });

  test('another mode than published costs 5, but not for a pinned task', () => {
    const free = changed({ 0: 0 }, { 0: 1 });
    expect(free.cost).toBe(good.cost - 16 + 40 + 5);
    const pins = { ...file.pins, 0: { t: 0, m: 1 } };
    expect(problemAnswerCost({ ...file, pins }, free)).toBe(free.cost - 5);
  });

  test('finds each rule broken in a real plan as well', () => {
    const small = readProblem('small-1');
    const answer = answerOf(small, searchCounted(modelOf(small), 1, 500).best(), 0);
    expect(codesOf(answer, small)).toEqual([]);
    const res = small.res.map((one) => ({ ...one, cap: one.cap.map(() => 0) }));
    expect(codesOf(answer, { ...small, res })).toContain('capacity-passed');
    const adj = small.units.flatMap((a) => small.units.map((b): [number, number] => [a.id, b.id]));
    const others = adj.filter(([a, b]) => a < b);
    expect(codesOf(answer, { ...small, adj: others })).toContain('neighbours-burned');
    const budgets = small.budgets.map((one) => ({ ...one, cap: 0 }));
    expect(codesOf(answer, { ...small, budgets })).toContain('budget-passed');
  });
});
