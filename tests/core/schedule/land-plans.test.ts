import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { costOf, violations } from '../../../src/core/schedule/evaluate.ts';
import { costScale } from '../../../src/core/schedule/land-model.ts';
import { comparePlans, planContent } from '../../../src/core/schedule/plan.ts';
import { repairByDays } from '../../../src/core/schedule/repair.ts';
import { anyOperation, choiceOf, type Drawn, modelOf, planOf } from './land-operations.ts';

/** More operations, drawn anew each time, for work on the planner: `LAND_PLAN_RUNS=500`. */
const manyRuns = Number(process.env['LAND_PLAN_RUNS'] ?? 0);
const parameters = manyRuns > 0 ? { numRuns: manyRuns } : { numRuns: 25, seed: 20261125 };
/** Milliseconds a run may take at the most; far more than any needs. */
const patience = 60_000 + manyRuns * 1000;

function isRight({ operation, today }: Drawn): void {
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
  const reasons = [...content.leftOut, ...content.later].map((one) => one.reason);
  expect(reasons.every((reason) => reason.length > 0)).toBe(true);
}

function staysPut({ operation, today }: Drawn): void {
  const first = planOf(operation, today, null, 60);
  const again = planOf(operation, today, first, 60);
  const moved = comparePlans(again, first).filter((one) => one.kind === 'moved');
  if (moved.length > 0) expect(again.cost).toBeLessThan(first.cost);
  expect(comparePlans(first, first)).toEqual([]);
}

describe('any small operation', () => {
  it(
    'gets a plan in which the independent checker finds nothing wrong and whose cost adds up',
    () => fc.assert(fc.property(anyOperation, isRight), parameters),
    patience,
  );

  it(
    'moves nothing when it is planned again on the same day, unless the new plan is better',
    () => fc.assert(fc.property(anyOperation, staysPut), parameters),
    patience,
  );
});
