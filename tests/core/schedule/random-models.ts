import fc from 'fast-check';
import type { Model, ModelEdge, ModelTask } from '../../../src/core/schedule/model.ts';

/** Small models: a few groups whose tasks form random forests, crowded rows, both kinds of edge, soft lags. */
export function modelArbitrary(groupsMost: number, tasksMost: number, isPinFree = true) {
  return fc
    .record({
      capacities: fc.array(fc.integer({ min: 0, max: 4 }), { minLength: 3, maxLength: 6 }),
      groups: fc.array(fc.array(taskArbitrary(), { minLength: 1, maxLength: tasksMost }), {
        minLength: 1,
        maxLength: groupsMost,
      }),
    })
    .map(({ capacities, groups }) => modelFrom(capacities, groups, isPinFree));
}

function taskArbitrary() {
  return fc.record({
    dropCost: fc.integer({ min: 0, max: 60 }),
    options: fc.array(
      fc.record({
        from: fc.integer({ min: 0, max: 12 }),
        length: fc.integer({ min: 0, max: 3 }),
        cost: fc.integer({ min: 0, max: 30 }),
        uses: fc.array(fc.tuple(fc.nat(5), fc.integer({ min: 0, max: 3 })), { maxLength: 2 }),
      }),
      { maxLength: 4 },
    ),
    pin: fc.nat(9),
    /** Link to an earlier task of the group: how many back, or none. */
    back: fc.nat(3),
    isSuccessor: fc.boolean(),
    isBoth: fc.boolean(),
    least: fc.array(fc.integer({ min: -3, max: 4 }), { minLength: 4, maxLength: 4 }),
    span: fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 4, maxLength: 4 }),
    soft: fc.option(
      fc.record({
        dueIn: fc.integer({ min: 0, max: 5 }),
        costPerUnit: fc.nat(4),
        stepIn: fc.option(fc.integer({ min: 0, max: 6 })),
        stepCost: fc.nat(9),
        absentCost: fc.option(fc.array(fc.nat(20), { minLength: 4, maxLength: 4 })),
      }),
    ),
  });
}

type Drawn = ReturnType<typeof taskArbitrary> extends fc.Arbitrary<infer T> ? T : never;

function modelFrom(capacities: number[], groups: Drawn[][], isPinFree: boolean): Model {
  const tasks: ModelTask[] = [];
  const edges: ModelEdge[] = [];
  groups.forEach((drawn, group) => {
    drawn.forEach((one, at) => {
      const index = tasks.length;
      tasks.push({
        group,
        dropCost: one.dropCost,
        pinned: !isPinFree && one.pin < one.options.length && at === 0 ? one.pin : -1,
        options: one.options.map(({ from, length, cost, uses }) => ({
          from,
          to: from + length,
          cost,
          uses: uses.flatMap(([row, quantity]) => [row % capacities.length, quantity]),
        })),
      });
      if (one.back === 0 || one.back > at) return;
      const other = index - one.back;
      edges.push(edgeFrom(tasks, one.isSuccessor ? [other, index] : [index, other], one));
    });
  });
  const groupPlaces = groups.map((_, group): [number, number] => [group % 3, group]);
  return { capacities, tasks, edges, groupCount: groups.length, groupPlaces };
}

function edgeFrom(tasks: ModelTask[], [pred, succ]: [number, number], one: Drawn): ModelEdge {
  const ends = tasks[pred]!.options.map((option) => option.to);
  const fromLeast = ends.map((to, at) => to + one.least[at]!);
  const soft = one.soft && {
    dueAt: ends.map((to) => to + one.soft!.dueIn),
    costPerUnit: one.soft.costPerUnit,
    stepAt: one.soft.stepIn === null ? null : ends.map((to) => to + one.soft!.stepIn!),
    stepCost: one.soft.stepCost,
    absentCost: one.soft.absentCost && ends.map((_, at) => one.soft!.absentCost![at]!),
  };
  const fromMost = fromLeast.map((from, at) => from + one.span[at]!);
  return { pred, succ, isBoth: one.isBoth, fromLeast, fromMost, soft };
}

/** Least cost over every choice that breaks no rule, by trying them all. */
export function bruteForce(
  model: Model,
  isAllowed: (choice: number[]) => boolean,
  costOf: (choice: number[]) => number,
): number {
  let best = Number.POSITIVE_INFINITY;
  const choice = model.tasks.map(() => -1);
  const visit = (task: number): void => {
    if (task === model.tasks.length) {
      if (isAllowed(choice)) best = Math.min(best, costOf(choice));
      return;
    }
    for (let option = -1; option < model.tasks[task]!.options.length; option++) {
      choice[task] = option;
      visit(task + 1);
    }
  };
  visit(0);
  return best;
}
