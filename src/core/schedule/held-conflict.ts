import type { Operation } from '../operation.ts';
import type { Standing } from './block-view.ts';
import { decodeDays } from './decode.ts';
import { heldDayOf, landModel } from './land-model.ts';
import type { Model } from './model.ts';
import { prepare } from './prepared.ts';
import { createTreePlanner } from './tree-plan.ts';

/** Placings tried at most in one look at some held dates; past them they are taken for possible. */
const stepsMost = 3000;

/**
 * The smallest set of held dates, that of the task among them, of which one has to go: together they break a hard rule,
 * or find no days, whatever the rest of the work does, and less any one of them they do not. Found by deletion filtering (Chinneck and
 * Dravnieks 1991, for infeasible constraints; from memory) over the dates that the plan keeps. Keys of tasks, the
 * asked one first; null when the dates can be kept, and only other work is in the way.
 */
export function heldConflict(standing: Standing, task: number): string[] | null {
  const { operation, problem, choice } = standing;
  const own = problem.jobs[task]?.identity.key ?? '';
  const kept = problem.jobs.flatMap(({ identity: { key } }, at) =>
    at !== task && (choice[at] ?? -1) >= 0 && heldDayOf(operation, problem.weeks, key) !== null
      ? [key]
      : [],
  );
  const isPossible = (keys: readonly string[]) => canBeKept(standing, keys);
  let left = [own, ...kept];
  if (isPossible(left)) return null;
  for (const key of kept) {
    const fewer = left.filter((one) => one !== key);
    if (!isPossible(fewer)) left = fewer;
  }
  return left;
}

/** True when the tasks can all start on their held days, with nothing else in the plan but what they wait for. */
function canBeKept(standing: Standing, keys: readonly string[]): boolean {
  const operation = withHeldOnly(standing, keys);
  const problem = landModel(operation, standing.problem.horizon, standing.problem.inForce);
  const tasks = keys.map((key) => problem.jobs.findIndex((job) => job.identity.key === key));
  if (tasks.some((task) => (problem.options[task]?.length ?? 0) === 0)) return false;
  const free = [...problem.model.capacities];
  const pinned = problem.jobs.map(() => -1);
  let steps = 0;
  const place = (at: number): boolean => {
    const task = tasks[at];
    if (task === undefined)
      return (
        keepsLags(problem.model, tasks, pinned) &&
        decodeDays(operation, problem, pinned).failed.length === 0
      );
    return (problem.model.tasks[task]?.options ?? []).some(({ uses }, option) => {
      if (++steps > stepsMost) return true;
      const fits = draw(free, uses, 1);
      pinned[task] = option;
      const isKept = fits && place(at + 1);
      draw(free, uses, -1);
      pinned[task] = -1;
      return isKept;
    });
  };
  return place(0);
}

/** The operation with work in the blocks of some tasks alone, with their dates held and no others. */
function withHeldOnly({ operation, problem }: Standing, keys: readonly string[]): Operation {
  const wanted = new Set(keys);
  const blockIds = new Set(
    problem.jobs.filter(({ identity }) => wanted.has(identity.key)).map(({ block }) => block.id),
  );
  return {
    ...operation,
    heldDates: operation.heldDates.filter(({ taskKey }) => wanted.has(taskKey)),
    blocks: operation.blocks.map((block) =>
      blockIds.has(block.id) ? block : { ...block, sequenceKey: null },
    ),
  };
}

/** Takes what a placing draws on (or gives it back); true when there is enough. */
function draw(free: number[], uses: readonly number[], sign: 1 | -1): boolean {
  let isEnough = true;
  for (let at = 0; at < uses.length; at += 2) {
    const left = (free[uses[at]!] ?? 0) - sign * uses[at + 1]!;
    free[uses[at]!] = left;
    if (left < 0) isEnough = false;
  }
  return isEnough;
}

/** True when every tree has a plan with its pinned placings, whatever it draws on. */
function keepsLags(model: Model, tasks: readonly number[], pinned: readonly number[]): boolean {
  const groups = new Set(tasks.map((task) => model.tasks[task]?.group ?? -1));
  const prepared = prepare({
    ...model,
    tasks: model.tasks.map((task, at) => ({
      ...task,
      pinned: pinned[at] ?? -1,
      options: task.options.map((option) => ({ ...option, uses: [] })),
    })),
  });
  const planner = createTreePlanner(prepared);
  const choice = new Int32Array(model.tasks.length).fill(-1);
  return [...groups].every(
    (group) => planner.plan(group, prepared.free, null, choice) < Number.POSITIVE_INFINITY,
  );
}
