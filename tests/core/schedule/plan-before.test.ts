import { expect, test } from 'vitest';
import type { Model, ModelTask } from '../../../src/core/schedule/model.ts';
import { planBefore } from '../../../src/core/schedule/plan-before.ts';
import { createSearch } from '../../../src/core/schedule/search.ts';

/** A task that may be on day 0 or 1, each drawing on the row of its day; `before` is the day of the plan in force. */
function onDay(group: number, before?: number): ModelTask {
  const options = [0, 1].map((day) => ({ from: day, to: day, cost: 0, uses: [day, 1] }));
  const task: ModelTask = { group, dropCost: 5, pinned: -1, options };
  return before === undefined ? task : { ...task, before };
}

const modelOf = (tasks: ModelTask[], capacities = [1, 1]): Model => ({
  capacities,
  tasks,
  edges: [],
  groupCount: tasks.length,
  groupPlaces: tasks.map(() => [0, 0]),
});

test('without a plan in force there is none to go on from', () => {
  expect(planBefore(modelOf([onDay(0), onDay(1)]))).toBeNull();
});

test('what still holds is kept; of what does not, one group after the other is open', () => {
  const both = planBefore(modelOf([onDay(0, 1), onDay(1, 0)]));
  expect(both).toEqual({ choice: [1, 0], open: new Set() });
  const clash = planBefore(modelOf([onDay(0, 1), onDay(1, 1)]));
  expect(clash).toEqual({ choice: [1, -1], open: new Set([1]) });
});

test('a search goes on from it: equal plans stay where they are, open groups are planned anew', () => {
  const stays = createSearch(modelOf([onDay(0, 1), onDay(1, 0)]), 1);
  expect(stays.cost).toBe(0);
  const mended = createSearch(modelOf([onDay(0, 1), onDay(1, 1)]), 1);
  expect(mended.best()).toEqual({ choice: expect.arrayContaining([0, 1]), cost: 0 });
});
