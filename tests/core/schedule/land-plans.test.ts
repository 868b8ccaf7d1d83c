import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { costOf, violations } from '../../../src/core/schedule/evaluate.ts';
import { costScale } from '../../../src/core/schedule/land-model.ts';
import { planContent } from '../../../src/core/schedule/plan.ts';
import { repairByDays } from '../../../src/core/schedule/repair.ts';
import { anyOperation, choiceOf, type Drawn, modelOf } from './land-operations.ts';

const runs = Number(process.env['LAND_PLAN_RUNS'] ?? 25);

function holds({ operation, today }: Drawn): void {
  const problem = modelOf(operation, today);
  const chosen = choiceOf(problem, 40);
  const run = { seed: 1, iterations: 40, seconds: 0, version: 'test' };
  const content = planContent(operation, problem, chosen, run);
  expect(checkPlan(operation, content)).toEqual([]);
  const { choice } = repairByDays(operation, problem, chosen);
  expect(violations(problem.model, choice)).toEqual([]);
  expect(content.cost).toBe(costOf(problem.model, choice) / costScale);
  const keys = [...content.tasks, ...content.leftOut, ...content.later].map((one) => one.key);
  expect(new Set(keys).size).toBe(keys.length);
}

describe('any small operation', () => {
  it('gets a plan in which the independent checker finds nothing wrong', () => {
    fc.assert(fc.property(anyOperation, holds), {
      numRuns: runs,
      seed: Number(process.env['LAND_PLAN_SEED'] ?? 1),
    });
  }, 600000);
});
