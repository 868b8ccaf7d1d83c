import { toDay } from '../dates.ts';
import {
  freeIn,
  holdersOf,
  type Placed,
  placedIn,
  planTree,
  type Standing,
  type Trial,
  treeOf,
  viewOf,
} from './block-view.ts';
import { costOfTasks, leftOutCost } from './evaluate.ts';
import { dueOf } from './land-due.ts';
import type { LandJob } from './land-jobs.ts';
import type { LandProblem } from './land-model.ts';

/** What some trees of a plan amount to. */
export interface Worth {
  burnsOnTime: number;
  /** Tasks that are missed, burns among them. */
  leftOut: number;
  lateDays: number;
  dollars: number;
  crewDaysTenths: number;
}

/** Tasks that would have to give way, and what that changes in their blocks. */
export interface Displacing {
  /** Tasks of the plan. */
  holders: number[];
  change: Worth;
}

const nothing: Worth = { burnsOnTime: 0, leftOut: 0, lateDays: 0, dollars: 0, crewDaysTenths: 0 };
const missed: Worth = { ...nothing, leftOut: 1 };
/** Blocks that are tried one by one as those that give way. */
const blocksTriedMost = 6;

const sum = (a: Worth, b: Worth, sign: 1 | -1): Worth => ({
  burnsOnTime: a.burnsOnTime + sign * b.burnsOnTime,
  leftOut: a.leftOut + sign * b.leftOut,
  lateDays: a.lateDays + sign * b.lateDays,
  dollars: a.dollars + sign * b.dollars,
  crewDaysTenths: a.crewDaysTenths + sign * b.crewDaysTenths,
});

/** What a task amounts to in a plan. */
function worthOf(problem: LandProblem, choice: readonly number[], task: number): Worth {
  const option = problem.options[task]?.[choice[task] ?? -1];
  if (!option) return leftOutCost(problem.model, choice, task) > 0 ? missed : nothing;
  const due = dueOf(problem, choice, task);
  const lateDays = due ? Math.max(0, option.fromDay - toDay(due)) : 0;
  const { crews, tenths, treatment } = option.mode;
  const hired = crews.filter((crew) => crew.kind === 'contract');
  return {
    burnsOnTime: treatment.family === 'burn' && lateDays === 0 ? 1 : 0,
    leftOut: 0,
    lateDays,
    dollars: hired.reduce((usd, crew) => usd + (crew.costPerDayUsd * tenths) / 10, 0),
    crewDaysTenths: tenths * crews.length,
  };
}

/** What becomes of some tasks of the plan. Late days are those of tasks that stay in it: one left out is not late. */
function changeOf({ problem, choice }: Standing, all: readonly number[], again: Trial): Worth {
  return all.reduce((total, task) => {
    const key = problem.jobs[task]?.identity.key;
    const at = again.view.jobs.findIndex((job) => job.identity.key === key);
    const before = worthOf(problem, choice, task);
    const after = worthOf(again.view, again.choice, at);
    const change = sum(after, before, -1);
    const stays = (choice[task] ?? -1) >= 0 && (again.choice[at] ?? -1) >= 0;
    return sum(total, stays ? change : { ...change, lateDays: 0 }, 1);
  }, nothing);
}

/**
 * What it would cost to take what a task lacks from those that hold it: the task's block is put as `trial` has it, and
 * the blocks of the holders are planned again, exactly, in what is left. One block gives way where one is enough (the
 * one whose plan suffers least), else as many as it takes. Null when what is lacking would not be there even if all who hold some of it gave way.
 */
export function displacingFor(standing: Standing, task: number, trial: Trial): Displacing | null {
  const own = new Set(treeOf(standing, task));
  const trees = holderTrees(standing, trial, own);
  const isEnough = (some: readonly Tree[]): boolean => {
    const left = freeIn(standing, trial.view, new Set([...own, ...some.flatMap(({ all }) => all)]));
    const drawn = drawnIn(trial);
    return trial.short.every(({ row }) => (drawn.get(row) ?? 0) <= (left[row] ?? 0));
  };
  if (trees.length === 0 || !isEnough(trees)) return null;
  const alone = trees.slice(0, blocksTriedMost).filter((tree) => isEnough([tree]));
  const sets = alone.length > 0 ? alone.map((tree) => [tree]) : [fewest(standing, trees, isEnough)];
  const found = sets.map((some) => displaced(standing, own, trial, some));
  return found.reduce((best, one) => (one.cost < best.cost ? one : best));
}

/** A tree that holds something: its tasks that do, and all of its tasks. */
interface Tree {
  holders: number[];
  all: number[];
}

function holderTrees(standing: Standing, { view, short }: Trial, own: ReadonlySet<number>): Tree[] {
  const trees = new Map<number, Tree>();
  for (const { row } of short)
    for (const holder of holdersOf(standing, view, row, own)) {
      const group = standing.problem.model.tasks[holder]?.group ?? -1;
      const tree = trees.get(group) ?? { holders: [], all: treeOf(standing, holder) };
      if (!tree.holders.includes(holder)) tree.holders.push(holder);
      trees.set(group, tree);
    }
  return [...trees.values()];
}

function drawnIn({ view, choice }: Trial): Map<number, number> {
  const drawn = new Map<number, number>();
  view.model.tasks.forEach((task, at) => {
    const uses = task.options[choice[at] ?? -1]?.uses ?? [];
    for (let i = 0; i < uses.length; i += 2)
      drawn.set(uses[i]!, (drawn.get(uses[i]!) ?? 0) + uses[i + 1]!);
  });
  return drawn;
}

/** As few of them as do; those that hold with a burn stay where they are when others do. */
function fewest(
  { problem }: Standing,
  trees: readonly Tree[],
  isEnough: (some: readonly Tree[]) => boolean,
): Tree[] {
  const burns = ({ holders }: Tree) =>
    holders.filter((task) => problem.jobs[task]?.treatments[0]?.family === 'burn').length;
  let left = [...trees];
  for (const tree of trees.toSorted((a, b) => burns(b) - burns(a))) {
    const fewer = left.filter((one) => one !== tree);
    if (fewer.length > 0 && isEnough(fewer)) left = fewer;
  }
  return left;
}

/** The trees planned again, one after another, beside the trial. */
function displaced(
  standing: Standing,
  own: ReadonlySet<number>,
  trial: Trial,
  trees: readonly Tree[],
): Displacing & { cost: number } {
  const { operation, problem, choice } = standing;
  const without = new Set([...own, ...trees.flatMap(({ all }) => all)]);
  const placed: Placed[] = placedIn(trial);
  let [change, cost] = [nothing, 0];
  for (const { holders, all } of trees) {
    const job = problem.jobs[holders[0] ?? -1] as LandJob;
    const view = viewOf(standing, operation, job.block.id);
    const again = planTree(
      standing,
      view,
      freeIn(standing, view, without, placed),
      job.identity.key,
    );
    if (!again) continue;
    placed.push(...placedIn(again));
    change = sum(change, changeOf(standing, all, again), 1);
    cost +=
      costOfTasks(view.model, again.choice, again.tasks) - costOfTasks(problem.model, choice, all);
  }
  return { holders: trees.flatMap(({ holders }) => holders), change, cost };
}
