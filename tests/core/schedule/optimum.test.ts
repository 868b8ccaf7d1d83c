import { describe, expect, test } from 'vitest';
import { checkProblemAnswer } from '../../../src/core/check/problem-file.ts';
import { costOf, violations } from '../../../src/core/schedule/evaluate.ts';
import { answerOf, modelOf } from '../../../src/core/schedule/problem-file.ts';
import { searchCounted } from '../../../src/core/schedule/search.ts';
import { provenOptimum } from './milp.ts';
import { readProblem } from './problems.ts';

/** Iterations that reach the optimum with seed 1, with room to spare. */
const iterationCount = 40_000;

describe('the search against an outside solver (HiGHS 1.15, its own model from the raw file)', () => {
  test.each(['small-1', 'small-2', 'small-3'])(
    '%s: the proven optimum is reached',
    async (name) => {
      const file = readProblem(name);
      // The outside model has one row a clique of units, right only while a unit burns once.
      const burnUnits = file.tasks.filter((task) => task.type === 'BURN').map((task) => task.unit);
      expect(new Set(burnUnits).size).toBe(burnUnits.length);
      const optimum = await provenOptimum(file);
      const model = modelOf(file);
      const search = searchCounted(model, 1, iterationCount);
      const best = search.best();
      expect(best.cost).toBe(optimum);
      expect(costOf(model, best.choice)).toBe(optimum);
      expect(violations(model, best.choice)).toEqual([]);
      expect(checkProblemAnswer(file, answerOf(file, best, 0))).toEqual([]);
      expect(search.bound).toBeLessThanOrEqual(optimum);
      expect(search.bound).toBeGreaterThan(optimum * 0.9);
    },
  );
});
