import fc from 'fast-check';
import { expect, test } from 'vitest';
import { costOf, violations } from '../../../src/core/schedule/evaluate.ts';
import type { Model } from '../../../src/core/schedule/model.ts';
import { prepare } from '../../../src/core/schedule/prepared.ts';
import { createTreePlanner, unplannableGroups } from '../../../src/core/schedule/tree-plan.ts';
import { bruteForce, modelArbitrary } from './random-models.ts';

function planAlone(model: Model) {
  const prepared = prepare(model);
  const planner = createTreePlanner(prepared);
  const choice = new Int32Array(model.tasks.length).fill(-1);
  const cost = planner.plan(0, prepared.free, null, choice);
  const relaxed = planner.relax(0, prepared.free, null, choice.slice());
  const original = Array.from(choice, (o) => (o < 0 ? -1 : prepared.original[o]!));
  return { cost, relaxed, original, recounted: planner.costOf(0, choice) };
}

const leastOf = (model: Model) =>
  bruteForce(
    model,
    (choice) => violations(model, choice).length === 0,
    (choice) => costOf(model, choice),
  );

test('the plan of one group costs what trying every choice finds', () => {
  fc.assert(
    fc.property(modelArbitrary(1, 5), (model) => {
      const { cost, relaxed, original, recounted } = planAlone(model);
      expect(cost).toBe(leastOf(model));
      expect(violations(model, original)).toEqual([]);
      expect(costOf(model, original)).toBe(cost);
      expect(recounted).toBe(cost);
      expect(relaxed).toBeLessThanOrEqual(cost);
    }),
    { seed: 20270906, numRuns: 1500 },
  );
});

test('pins are kept, and a group without a plan is named', () => {
  let unplannable = 0;
  fc.assert(
    fc.property(modelArbitrary(1, 4, false), (model) => {
      const pins = model.tasks.flatMap((task) => task.options[task.pinned] ?? []);
      fc.pre(pins.length > 0);
      const least = leastOf(model);
      fc.pre(least < Number.POSITIVE_INFINITY || violationsOfPins(model).length === 0);
      expect(planAlone(model).cost).toBe(least);
      expect(unplannableGroups(model)).toEqual(least === Number.POSITIVE_INFINITY ? [0] : []);
      if (least === Number.POSITIVE_INFINITY) unplannable++;
    }),
    { seed: 20270906, numRuns: 600 },
  );
  expect(unplannable).toBeGreaterThan(0);
});

const violationsOfPins = (model: Model) =>
  violations(
    model,
    model.tasks.map((task) => task.pinned),
  ).filter((found) => found.code === 'row-overused');

test('two tasks of one group that share a row are told apart', () => {
  const option = (from: number, cost: number) => ({ from, to: from, cost, uses: [from, 2] });
  const own = { group: 0, dropCost: 100, pinned: -1 };
  const model: Model = {
    capacities: [3, 3, 3],
    tasks: [
      { ...own, options: [option(0, 0), option(1, 7), option(2, 9)] },
      { ...own, options: [option(0, 0), option(1, 4), option(2, 20)] },
    ],
    edges: [],
    groupCount: 1,
    groupPlaces: [[0, 0]],
  };
  expect(planAlone(model)).toMatchObject({ cost: 4, relaxed: 0, original: [0, 1] });
});

test('a group that is no tree is refused', () => {
  const option = { from: 0, to: 0, cost: 0, uses: [] };
  const own = { group: 0, dropCost: 1, pinned: -1, options: [option] };
  const edge = { isBoth: false, fromLeast: [0], fromMost: [9], soft: null };
  const model: Model = {
    capacities: [],
    tasks: [own, own, own],
    edges: [
      { ...edge, pred: 0, succ: 1 },
      { ...edge, pred: 1, succ: 2 },
      { ...edge, pred: 0, succ: 2 },
    ],
    groupCount: 1,
    groupPlaces: [[0, 0]],
  };
  expect(() => prepare(model)).toThrow(/must be a tree/);
});
