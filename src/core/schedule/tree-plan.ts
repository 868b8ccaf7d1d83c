import { createForestValues, decodeForest, forestValue, softCost } from './forest-values.ts';
import type { Model } from './model.ts';
import { type Prepared, prepare } from './prepared.ts';

/** After so many re-solves for one group the search for the very best joint fit stops branching. */
const repairsMost = 60;
/** The same while no plan was found, which only pins can cause. */
const repairsWithoutPlanMost = 5000;

export interface TreePlanner {
  /**
   * Writes the cheapest plan of a group into `choice` (option index of `Prepared` by task, -1 = left out)
   * given what is free of each row. `prices`, one a row, are added to what options cost; null = none.
   * Returns the cost with prices; Infinity, and no change, when the pins of the group leave no plan.
   */
  plan(group: number, free: Int32Array, prices: Float64Array | null, choice: Int32Array): number;
  /**
   * The same without telling apart tasks of the group that overdraw a row together: never more than `plan`,
   * for bounds. Infinity when the pins leave no plan; `choice` then keeps no meaning.
   */
  relax(group: number, free: Int32Array, prices: Float64Array | null, choice: Int32Array): number;
  /** Cost of a group's choice without prices. */
  costOf(group: number, choice: Int32Array): number;
  /** The same of the whole plan. */
  totalOf(choice: Int32Array): number;
}

/**
 * Exact cheapest plan of one group's forest by dynamic programming over options: the value of an option is
 * its cost plus, for each child in the tree, the least value of the child options that keep the lag, or of
 * leaving the child out where that is allowed. Linear in options for plain lags (sliding minimum). Tasks of
 * one group that overdraw a row together are told apart by branching on the options to ban.
 */
export function createTreePlanner(prepared: Prepared): TreePlanner {
  const { groupFirst, groupTasks } = prepared;
  const forest = createForestValues(prepared);
  const trial = new Int32Array(prepared.dropCost.length).fill(-1);
  const overdraw = createOverdraw(prepared);
  let repairs = 0;
  let bestCost = Number.POSITIVE_INFINITY;

  /** Best plan under the present bans; keeps it in `choice` when it fits and beats the best so far. */
  function solve(
    group: number,
    free: Int32Array,
    prices: Float64Array | null,
    choice: Int32Array,
  ): void {
    const total = forestValue(forest, group, free, prices);
    if (total >= bestCost) return;
    decodeForest(forest, group, trial);
    const clashing = overdraw(group, trial, free);
    if (clashing === null) {
      bestCost = total;
      for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++)
        choice[groupTasks[at]!] = trial[groupTasks[at]!]!;
      return;
    }
    for (const option of clashing) {
      repairs++;
      forest.isBanned[option] = 1;
      solve(group, free, prices, choice);
      forest.isBanned[option] = 0;
      const isFound = bestCost < Number.POSITIVE_INFINITY;
      if (repairs > (isFound ? repairsMost : repairsWithoutPlanMost)) return;
    }
  }

  return {
    plan(group, free, prices, choice) {
      repairs = 0;
      bestCost = Number.POSITIVE_INFINITY;
      solve(group, free, prices, choice);
      return bestCost;
    },
    relax(group, free, prices, choice) {
      const total = forestValue(forest, group, free, prices);
      decodeForest(forest, group, choice);
      return total;
    },
    costOf: (group, choice) => groupCost(prepared, group, choice),
    totalOf(choice) {
      let total = 0;
      for (let group = 0; group < prepared.model.groupCount; group++)
        total += groupCost(prepared, group, choice);
      return total;
    },
  };
}

/** Finds the options of one plan that overdraw a row together, or null when all fit. */
function createOverdraw(prepared: Prepared) {
  const { groupFirst, groupTasks, useFirst, useRow, useQuantity } = prepared;
  const drawn = new Int32Array(prepared.free.length);
  return (group: number, choice: Int32Array, free: Int32Array): number[] | null => {
    const [first, end] = [groupFirst[group]!, groupFirst[group + 1]!];
    let overdrawn = -1;
    for (let at = first; at < end; at++) {
      const o = choice[groupTasks[at]!]!;
      if (o < 0) continue;
      for (let use = useFirst[o]!; use < useFirst[o + 1]!; use++) {
        const row = useRow[use]!;
        drawn[row]! += useQuantity[use]!;
        if (drawn[row]! > free[row]!) overdrawn = row;
      }
    }
    const clashing: number[] = [];
    for (let at = first; at < end; at++) {
      const o = choice[groupTasks[at]!]!;
      if (o < 0) continue;
      for (let use = useFirst[o]!; use < useFirst[o + 1]!; use++) {
        drawn[useRow[use]!] = 0;
        if (useRow[use] === overdrawn) clashing.push(o);
      }
    }
    return overdrawn < 0 ? null : clashing;
  };
}

function groupCost(prepared: Prepared, group: number, choice: Int32Array): number {
  const { groupFirst, groupTasks, optionFirst, links, cost, dropCost } = prepared;
  let total = 0;
  for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
    const task = groupTasks[at]!;
    const own = choice[task]!;
    total += own < 0 ? dropCost[task]! : cost[own]!;
    const link = links[task];
    if (!link?.soft) continue;
    const other = choice[link.parent]!;
    const [pred, succ] = link.isSuccessor ? [other, own] : [own, other];
    if (pred < 0) continue;
    const predAt = pred - optionFirst[link.isSuccessor ? link.parent : task]!;
    total +=
      succ < 0
        ? (link.soft.absentCost?.[predAt] ?? 0)
        : softCost(prepared, link.soft, predAt, succ);
  }
  return total;
}

/** Groups whose pinned tasks leave no plan even when no other group takes anything. */
export function unplannableGroups(model: Model): number[] {
  const prepared = prepare(model);
  const planner = createTreePlanner(prepared);
  const choice = new Int32Array(model.tasks.length).fill(-1);
  return Array.from({ length: model.groupCount }, (_, group) => group).filter(
    (group) => planner.plan(group, prepared.free, null, choice) === Number.POSITIVE_INFINITY,
  );
}
