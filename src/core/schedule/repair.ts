import type { Operation } from '../operation.ts';
import { type Decoded, decodeDays } from './decode.ts';
import type { LandProblem } from './land-model.ts';
import type { Model } from './model.ts';
import { edgesFrom, edgesInto } from './model-edges.ts';
import { prepare } from './prepared.ts';
import { createTreePlanner } from './tree-plan.ts';

/** Rounds of barring a week that fails by days and planning its block again. */
const repairRounds = 40;

/**
 * Day placement is the authority: a week that does not work out by days is barred for its task and the block is planned
 * again beside the others. What still fails after the last round is left out, with all that waits for it.
 * Returns the choice that works by days, its day plans, the tasks that were left out for this reason, and the placings
 * that were barred, as "task option".
 */
export function repairByDays(
  operation: Operation,
  problem: LandProblem,
  first: readonly number[],
): { choice: number[]; decoded: Decoded; dropped: Set<number>; barred: ReadonlySet<string> } {
  let choice = [...first];
  let decoded = decodeDays(operation, problem, choice);
  const barred = new Set<string>();
  for (let round = 0; round < repairRounds && decoded.failed.length > 0; round++) {
    for (const task of decoded.failed) barred.add(`${task} ${choice[task]}`);
    const groups = new Set(decoded.failed.map((task) => problem.model.tasks[task]?.group ?? 0));
    choice = planAgain(withoutBarred(problem.model, barred), choice, groups);
    decoded = decodeDays(operation, problem, choice);
  }
  const dropped = new Set<number>();
  while (decoded.failed.length > 0) {
    for (const task of decoded.failed) leaveOut(problem.model, choice, task, dropped);
    decoded = decodeDays(operation, problem, choice);
  }
  return { choice, decoded, dropped, barred };
}

/** The model with barred options made impossible: they draw more than there is. Option numbers stay. */
function withoutBarred(model: Model, barred: ReadonlySet<string>): Model {
  return {
    ...model,
    tasks: model.tasks.map((task, at) => ({
      ...task,
      pinned: task.pinned >= 0 && barred.has(`${at} ${task.pinned}`) ? -1 : task.pinned,
      options: task.options.map((option, index) =>
        barred.has(`${at} ${index}`)
          ? { ...option, uses: [0, (model.capacities[0] ?? 0) + 1] }
          : option,
      ),
    })),
  };
}

function planAgain(model: Model, before: readonly number[], groups: ReadonlySet<number>): number[] {
  const prepared = prepare(model);
  const planner = createTreePlanner(prepared);
  const own = Int32Array.from(before, () => -1);
  const free = Int32Array.from(prepared.free);
  model.tasks.forEach((task, at) => {
    if (groups.has(task.group) || task.pinned >= 0) return;
    const uses = task.options[before[at] ?? -1]?.uses ?? [];
    for (let i = 0; i < uses.length; i += 2) free[uses[i]!]! -= uses[i + 1]!;
  });
  const after = [...before];
  for (const group of groups) {
    planner.plan(group, free, null, own);
    model.tasks.forEach((task, at) => {
      if (task.group !== group) return;
      const option = own[at]!;
      after[at] = option < 0 ? -1 : prepared.original[option]!;
      const uses = task.pinned >= 0 ? [] : (task.options[after[at]!]?.uses ?? []);
      for (let i = 0; i < uses.length; i += 2) free[uses[i]!]! -= uses[i + 1]!;
    });
  }
  return after;
}

function leaveOut(model: Model, choice: number[], task: number, dropped: Set<number>): void {
  if (choice[task] === -1) return;
  choice[task] = -1;
  dropped.add(task);
  for (const edge of edgesFrom(model.edges, task)) leaveOut(model, choice, edge.succ, dropped);
  for (const edge of edgesInto(model.edges, task))
    if (edge.isBoth) leaveOut(model, choice, edge.pred, dropped);
}
