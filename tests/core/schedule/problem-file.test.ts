import { describe, expect, test } from 'vitest';
import type { ProblemFile } from '../../../src/core/problem-file.ts';
import { cliqueCover } from '../../../src/core/schedule/burn-rows.ts';
import { violations } from '../../../src/core/schedule/evaluate.ts';
import { modelOf, parseProblemFile } from '../../../src/core/schedule/problem-file.ts';
import { searchCounted } from '../../../src/core/schedule/search.ts';
import { problemText, readProblem, task, tinyProblem, valueIn } from './problems.ts';

const lag = { i: 0, j: 1, min: 1, max: 3, equiv: false };

function codesOf(value: unknown): string[] {
  const outcome = parseProblemFile(typeof value === 'string' ? value : JSON.stringify(value));
  return outcome.ok ? [] : outcome.problems.map((one) => one.code);
}

const without = (key: keyof ProblemFile) => {
  const { [key]: _, ...rest } = tinyProblem();
  return rest;
};

describe('bad files give sentences', () => {
  const cases: [string, unknown, string, RegExp][] = [
    ['not JSON', '{"T": 10', 'not-json', /not JSON/],
    ['a list', '[]', 'not-an-object', /one JSON object/],
    ['a missing key', without('res'), 'missing-key', /"res" is missing/],
    ['no weeks', tinyProblem({ T: 0 }), 'out-of-range', /"T" is 0/],
    ['half a week', { ...tinyProblem(), moveFix: 1.5 }, 'not-an-integer', /"moveFix" is 1.5/],
    ['no such day', tinyProblem({ start: '2027-02-30' }), 'not-a-date', /YYYY-MM-DD/],
    ['short season', tinyProblem({ season: [0] }), 'wrong-length', /"season" has 1/],
    ['two units of one id', twoUnits(), 'same-id', /taken already/],
    ['unknown neighbour', tinyProblem({ adj: [[0, 9]] }), 'unknown-unit', /adj\[0\]/],
    [
      'unknown resource',
      tinyProblem({ tasks: [task(0, oneMode([[7, 1]]))] }),
      'unknown-resource',
      /resource 7/,
    ],
    ['no mode', tinyProblem({ tasks: [task(0, { modes: [] })] }), 'no-mode', /at least one mode/],
    [
      'start past the end',
      tinyProblem({ tasks: [task(0, { dur: 2 })] }),
      'out-of-range',
      /starts\[9\]/,
    ],
    ['negative use', tinyProblem({ tasks: [task(0, oneMode([[0, -1]]))] }), 'out-of-range', /-1/],
    [
      'unknown task in prec',
      tinyProblem({ prec: [{ ...lag, j: 5 }] }),
      'unknown-task',
      /prec\[0\]\.j/,
    ],
    ['task tied to itself', tinyProblem({ prec: [{ ...lag, j: 0 }] }), 'prec-cycle', /itself/],
    ['cycle', cycle(), 'prec-cycle', /form a cycle/],
    ['not a tree', diamond(), 'prec-not-tree', /must form a tree/],
    [
      'pin off its starts',
      tinyProblem({ tasks: [task(0, { starts: [1] })], pins: { 0: { t: 2, m: 0 } } }),
      'pin-not-allowed',
      /Move the pin/,
    ],
    ['pins over capacity', crowdedPins(), 'pins-clash', /tasks 0, 1 cannot all keep/],
    ['pins against a lag', pinsAgainstLag(), 'pins-clash', /lag/],
    ['pin without room for its predecessor', lonelyPin(), 'pins-clash', /no start left/],
  ];
  test.each(cases)('%s', (_, value, code, sentence) => {
    const outcome = parseProblemFile(typeof value === 'string' ? value : JSON.stringify(value));
    expect(outcome.ok).toBe(false);
    if (outcome.ok) return;
    expect(outcome.problems[0]!.code).toBe(code);
    expect(outcome.problems[0]!.message).toMatch(sentence);
    expect(outcome.problems[0]!.message).toMatch(/\.$/);
  });

  test('a file of another kind gives at most twenty problems', () => {
    const tasks = Array.from({ length: 50 }, () => ({}));
    expect(codesOf({ ...tinyProblem(), tasks })).toHaveLength(20);
  });

  function twoUnits() {
    const problem = tinyProblem();
    return { ...problem, units: [...problem.units, problem.units[0]] };
  }
  function oneMode(use: [number, number][]) {
    return { modes: [{ use, cost: 0 }] };
  }
  function cycle() {
    const prec = [lag, { ...lag, i: 1, j: 2 }, { ...lag, i: 2, j: 0 }];
    return tinyProblem({ tasks: [task(0), task(1), task(2)], prec });
  }
  function diamond() {
    const prec = [lag, { ...lag, j: 2 }, { ...lag, i: 1, j: 2 }];
    return tinyProblem({ tasks: [task(0), task(1), task(2)], prec });
  }
  function crowdedPins() {
    const heavy = { modes: [{ use: [[0, 2]] as [number, number][], cost: 0 }] };
    const pins = { 0: { t: 3, m: 0 }, 1: { t: 3, m: 0 } };
    return tinyProblem({ tasks: [task(0, heavy), task(1, { ...heavy, unit: 2 })], pins });
  }
  function pinsAgainstLag() {
    const pins = { 0: { t: 3, m: 0 }, 1: { t: 9, m: 0 } };
    return tinyProblem({ tasks: [task(0), task(1)], prec: [lag], pins });
  }
  function lonelyPin() {
    const pins = { 1: { t: 9, m: 0 } };
    return tinyProblem({ tasks: [task(0, { starts: [0] }), task(1)], prec: [lag], pins });
  }
});

describe('the model of a file', () => {
  test('the seven files are read; options, rows and groups as counted from the raw file', () => {
    for (const name of [
      'small-1',
      'small-2',
      'small-3',
      'medium-1',
      'medium-2',
      'medium-3',
      'large-1',
    ]) {
      const raw = JSON.parse(problemText(name)) as ProblemFile;
      const model = modelOf(valueIn(parseProblemFile(problemText(name))));
      expect(model.tasks).toHaveLength(raw.tasks.length);
      expect(model.groupCount).toBe(raw.units.length);
      const options = raw.tasks.reduce((sum, t) => sum + t.starts.length * t.modes.length, 0);
      expect(model.tasks.reduce((sum, t) => sum + t.options.length, 0)).toBe(options);
      expect(model.capacities.length).toBeGreaterThan(raw.res.length * raw.T + raw.budgets.length);
      expect(model.edges).toHaveLength(raw.prec.length);
    }
  });

  test('two-week work counts in both weeks and twice in a budget over them', () => {
    const tasks = [task(0, { dur: 2, starts: [4], modes: [{ use: [[0, 3]], cost: 0 }] })];
    const model = modelOf(tinyProblem({ tasks, budgets: [{ res: 0, weeks: [4, 5], cap: 7 }] }));
    expect(model.tasks[0]!.options[0]!.uses).toEqual([4, 3, 10, 6, 5, 3]);
    expect(model.capacities[10]).toBe(7);
  });

  test('cost: weeks late, mode, movement capped, other mode, none of the last for a pinned task', () => {
    const own = { starts: [1, 9], due: 4, w: 7, modes: [0, 20].map((cost) => ({ use: [], cost })) };
    const prev = { 0: { t: 1, m: 0 } };
    const costs = (change: Partial<ProblemFile>) =>
      modelOf(
        tinyProblem({ tasks: [task(0, own)], prev, moveCap: 5, ...change }),
      ).tasks[0]!.options.map((option) => option.cost);
    expect(costs({})).toEqual([0, 25, 35 + 10 + 15, 35 + 20 + 10 + 15 + 5]);
    expect(costs({ prev: {} })).toEqual([0, 20, 35, 55]);
    expect(costs({ pins: { 0: { t: 9, m: 1 } } })[3]).toBe(35 + 20 + 10 + 15);
  });

  test('two lines for one pair narrow each other, and units tied by prec are one group', () => {
    const prec = [lag, { ...lag, min: 2, max: null, equiv: true }];
    const model = modelOf(tinyProblem({ tasks: [task(0), task(1, { unit: 2 })], prec }));
    expect(model.edges).toHaveLength(1);
    expect(model.edges[0]).toMatchObject({ isBoth: true });
    expect([model.edges[0]!.fromLeast[4], model.edges[0]!.fromMost[4]]).toEqual([6, 7]);
    expect(model.groupCount).toBe(2);
  });

  test.each([
    ['neighbours, one season', [0, 1], 0, 4, true],
    ['neighbours, two seasons', [0, 1], 0, 5, false],
    ['not neighbours', [0, 2], 0, 4, false],
    ['one unit twice, which the file allows', [0, 0], 0, 4, false],
  ])('burns of %s', (_, units, first, second, isBroken) => {
    const burn = { type: 'BURN', modes: [{ use: [], cost: 0 }] };
    const tasks = [
      task(0, { ...burn, unit: units[0]!, starts: [first] }),
      task(1, { ...burn, unit: units[1]!, starts: [second] }),
    ];
    const found = violations(modelOf(tinyProblem({ tasks })), [0, 0]);
    expect(found.map((one) => one.code)).toEqual(isBroken ? ['row-overused'] : []);
  });

  test('burns of one unit that lags keep apart share their rows', () => {
    const burn = { type: 'BURN', modes: [{ use: [], cost: 0 }] };
    const tasks = [task(0, burn), task(1, burn), task(2, { ...burn, unit: 1 })];
    const rows = (min: number) =>
      modelOf(tinyProblem({ tasks, prec: [{ i: 0, j: 1, min, max: null, equiv: false }] }))
        .capacities.length;
    expect(rows(5)).toBe(10 + 2);
    expect(rows(1)).toBe(10 + 4);
  });

  test('a pin next to a burn of its season is kept and the neighbour gives way', () => {
    const burn = { type: 'BURN', modes: [{ use: [], cost: 0 }] };
    const tasks = [task(0, { ...burn, U: 1 }), task(1, { ...burn, unit: 1, due: 0 })];
    const file = tinyProblem({ tasks, pins: { 0: { t: 2, m: 0 } } });
    const best = searchCounted(modelOf(file), 1, 50).best();
    expect(best.choice).toEqual([2, 5]);
    expect(best.cost).toBe(5);
  });
});

test('the clique cover holds every pair and nothing but cliques', () => {
  const pairs = readProblem('medium-1').adj;
  const around = Array.from({ length: 120 }, () => new Set<number>());
  for (const [a, b] of pairs) {
    around[a]!.add(b);
    around[b]!.add(a);
  }
  const cliques = cliqueCover(around);
  const covered = new Set<string>();
  for (const clique of cliques)
    for (const a of clique)
      for (const b of clique)
        if (a < b) {
          expect(around[a]!.has(b)).toBe(true);
          covered.add(`${a} ${b}`);
        }
  expect(covered.size).toBe(pairs.length);
  expect(cliques.length).toBeLessThan(pairs.length);
});
