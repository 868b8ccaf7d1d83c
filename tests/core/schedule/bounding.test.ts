import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { createBounding } from '../../../src/core/schedule/bounding.ts';
import { costOf, violations } from '../../../src/core/schedule/evaluate.ts';
import type { Model } from '../../../src/core/schedule/model.ts';
import { prepare } from '../../../src/core/schedule/prepared.ts';
import { modelOf } from '../../../src/core/schedule/problem-file.ts';
import { searchCounted } from '../../../src/core/schedule/search.ts';
import { choiceOf, startOf, wholeModel } from '../../../src/core/schedule/whole-model.ts';
import {
  createMasterLp,
  loadSolver,
  type Solver,
  solveWhole,
  type WholeNews,
} from '../../../src/solver/highs.ts';
import { readProblem } from './problems.ts';
import { bruteForce, modelArbitrary } from './random-models.ts';

let solver: Solver;
beforeAll(async () => {
  solver = await loadSolver();
});

function boundOf(model: Model) {
  const lp = createMasterLp(solver, model.groupCount);
  const bounding = createBounding(model, 1, lp);
  while (bounding.round());
  const hint = bounding.hint();
  lp.dispose();
  return hint;
}

const leastOf = (model: Model): number =>
  bruteForce(
    model,
    (choice) => violations(model, choice).length === 0,
    (choice) => costOf(model, choice),
  );

test('the bound is never above the least cost, and the plan made on the way keeps every rule', () => {
  fc.assert(
    fc.property(modelArbitrary(3, 2), (model) => {
      const { bound, choice } = boundOf(model);
      expect(bound).toBeLessThanOrEqual(leastOf(model));
      expect(violations(model, choice)).toEqual([]);
    }),
    { seed: 20261125, numRuns: 50 },
  );
});

test('branch and cut on the whole programme finds the least cost, and nothing less', () => {
  fc.assert(
    fc.property(modelArbitrary(3, 2), (model) => {
      const prepared = prepare(model);
      let last: WholeNews = {};
      const isProven = solveWhole(
        solver,
        wholeModel(prepared),
        startOf(prepared, searchCounted(model, 1, 8).best().choice),
        { seconds: 30, gapLeast: 0.5 },
        (news) => {
          last = { ...last, ...news };
        },
      );
      expect(isProven).toBe(true);
      const choice = choiceOf(prepared, last.values ?? []);
      expect(violations(model, choice)).toEqual([]);
      const least = leastOf(model);
      expect(costOf(model, choice)).toBe(least);
      expect(last.bound).toBeLessThanOrEqual(least + 1e-6);
    }),
    { seed: 20261125, numRuns: 50 },
  );
});

describe('problem files', () => {
  // Bounds of the same linear relaxation, by column generation in a prototype; capacities were not tightened there.
  test.each([
    ['small-1', 3222, 3285],
    ['small-2', 9109, 9559],
    ['small-3', 10222, 10284],
    ['medium-1', 32596, 35478],
  ])('%s: as tight as the linear relaxation, the same twice', (name, least, most) => {
    const model = modelOf(readProblem(name));
    const hint = boundOf(model);
    expect(hint.bound).toBeGreaterThanOrEqual(least);
    expect(hint.bound).toBeLessThanOrEqual(most);
    expect(violations(model, hint.choice)).toEqual([]);
    expect(boundOf(model)).toEqual(hint);
  });

  test('a hint is taken at its place, and its bound and plan stand', () => {
    const model = modelOf(readProblem('small-2'));
    const hint = boundOf(model);
    const optimum = searchCounted(model, 1, 4000).best().choice;
    const search = searchCounted(model, 1, 400, () => ({ ...hint, choice: optimum }));
    expect(search.bound).toBe(hint.bound);
    expect(search.cost).toBe(costOf(model, optimum));
  });
});
