import { expect, test } from 'vitest';
import { checkPlan } from '../../src/core/check/plan.ts';
import { monthDay } from '../../src/core/dates.ts';
import { horizonFrom } from '../../src/core/seasons.ts';
import { type PlanningProgress, startPlanRun } from '../../src/solver/planning.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';

const operation = fakeOperation();
const order = {
  operation,
  horizon: horizonFrom(fakeToday, monthDay('07-01'), 1),
  inForce: null,
  limits: { seed: 1, iterations: 400 },
  version: 'test',
};

test('a plan comes back in days, checked, the same for the same count', async () => {
  const seen: PlanningProgress[] = [];
  const [one, two] = await Promise.all([
    startPlanRun(order, (progress) => seen.push(progress)).result,
    startPlanRun(order).result,
  ]);
  if (!one.ok || !two.ok) throw new Error('no plan');
  expect(checkPlan(operation, one.value)).toEqual([]);
  expect({ ...two.value, seconds: 0 }).toEqual({ ...one.value, seconds: 0 });
  expect(one.value).toMatchObject({ seed: 1, iterations: 400, version: 'test' });
  expect(seen.at(-1)?.cost).toBeGreaterThanOrEqual(one.value.cost);
});

test('a stop brings the best plan so far', async () => {
  const run = startPlanRun({ ...order, limits: { seed: 1, seconds: 600 } }, () => run.stop());
  const stopped = await run.result;
  expect(stopped.ok && stopped.value.seconds).toBeLessThan(600);
});

test('a process that is killed leaves its best choice to another', async () => {
  let isKilled = false;
  const run = startPlanRun({ ...order, limits: { seed: 1, seconds: 600 } }, () => {
    if (!isKilled && run.processId) isKilled = process.kill(run.processId, 'SIGKILL');
  });
  const kept = await run.result;
  expect(isKilled).toBe(true);
  expect(kept.ok && checkPlan(operation, kept.value)).toEqual([]);
});

test('one that ends before its first plan says so', async () => {
  const run = startPlanRun(order);
  const failed = expect(run.result).rejects.toThrow(/ended without a plan: process ended/);
  process.kill(run.processId as number, 'SIGKILL');
  await failed;
});
