import type { Model } from './model.ts';
import { type Link, type Prepared, prepare, scan, scatter, type SoftLink } from './prepared.ts';

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
  /** Cost of a group's choice without prices. */
  costOf(group: number, choice: Int32Array): number;
}

/**
 * Exact cheapest plan of one group's forest by dynamic programming over options: the value of an option is
 * its cost plus, for each child in the tree, the least value of the child options that keep the lag, or of
 * leaving the child out where that is allowed. Linear in options for plain lags (sliding minimum). Tasks of
 * one group that overdraw a row together are told apart by branching on the options to ban.
 */
export function createTreePlanner(prepared: Prepared): TreePlanner {
  const { optionFirst, groupFirst, groupTasks, links, cost, dropCost, isPinned } = prepared;
  const taskCount = dropCost.length;
  const value = new Float64Array(cost.length);
  const absent = new Float64Array(taskCount);
  const present = new Float64Array(taskCount);
  const isBanned = new Uint8Array(cost.length);
  const trial = new Int32Array(taskCount).fill(-1);
  const queue = new Int32Array(cost.length + 1);
  const overdraw = createOverdraw(prepared);
  const price = createPricing(prepared, value, isBanned);
  let repairs = 0;
  let bestCost = Number.POSITIVE_INFINITY;

  function plan(
    group: number,
    free: Int32Array,
    prices: Float64Array | null,
    choice: Int32Array,
  ): number {
    repairs = 0;
    bestCost = Number.POSITIVE_INFINITY;
    solve(group, free, prices, choice);
    return bestCost;
  }

  /** Best plan under the present bans; keeps it in `choice` when it fits and beats the best so far. */
  function solve(
    group: number,
    free: Int32Array,
    prices: Float64Array | null,
    choice: Int32Array,
  ): void {
    const [first, end] = [groupFirst[group]!, groupFirst[group + 1]!];
    const total = valueOfForest(first, end, free, prices);
    if (total >= bestCost) return;
    for (let at = end - 1; at >= first; at--) decode(groupTasks[at]!);
    const clashing = overdraw(first, end, trial, free);
    if (clashing === null) {
      bestCost = total;
      for (let at = first; at < end; at++) choice[groupTasks[at]!] = trial[groupTasks[at]!]!;
      return;
    }
    for (const option of clashing) {
      repairs++;
      isBanned[option] = 1;
      solve(group, free, prices, choice);
      isBanned[option] = 0;
      const isFound = bestCost < Number.POSITIVE_INFINITY;
      if (repairs > (isFound ? repairsMost : repairsWithoutPlanMost)) return;
    }
  }

  function valueOfForest(
    first: number,
    end: number,
    free: Int32Array,
    prices: Float64Array | null,
  ): number {
    for (let at = first; at < end; at++) {
      const task = groupTasks[at]!;
      price(optionFirst[task]!, optionFirst[task + 1]!, free, prices);
      absent[task] = isPinned[task] ? Number.POSITIVE_INFINITY : dropCost[task]!;
    }
    let total = 0;
    for (let at = first; at < end; at++) {
      const task = groupTasks[at]!;
      let least = Number.POSITIVE_INFINITY;
      for (let o = optionFirst[task]!; o < optionFirst[task + 1]!; o++)
        if (value[o]! < least) least = value[o]!;
      present[task] = least;
      const link = links[task];
      if (link) addToParent(task, link);
      else total += Math.min(least, absent[task]!);
    }
    return total;
  }

  function addToParent(task: number, link: Link): void {
    const parent = link.parent;
    const without = absent[task]!;
    absent[parent]! +=
      link.isSuccessor || link.isBoth ? without : Math.min(without, present[task]!);
    const spare = link.isSuccessor && !link.isBoth ? without : Number.POSITIVE_INFINITY;
    const [base, end] = [optionFirst[parent]!, optionFirst[parent + 1]!];
    if (link.kind === scan) addByScan(task, link, base, end, spare);
    else if (link.kind === scatter) addByScatter(task, link, base, end);
    else addBySlide(task, link, base, end, spare);
  }

  /** Sliding minimum: the limits ascend with the parent's options, so each child option enters once. */
  function addBySlide(task: number, link: Link, base: number, end: number, spare: number): void {
    const child = optionFirst[task]!;
    const { low, high } = link;
    let head = 0;
    let tail = 0;
    let next = 0;
    for (let o = base; o < end; o++) {
      const until = high[o - base]!;
      for (; next < until; next++) {
        const entering = value[child + next]!;
        if (entering === Number.POSITIVE_INFINITY) continue;
        while (tail > head && value[child + queue[tail - 1]!]! >= entering) tail--;
        queue[tail++] = next;
      }
      const since = low[o - base]!;
      while (head < tail && queue[head]! < since) head++;
      const least = head < tail ? value[child + queue[head]!]! : Number.POSITIVE_INFINITY;
      value[o]! += least < spare ? least : spare;
    }
  }

  function addByScan(task: number, link: Link, base: number, end: number, spare: number): void {
    for (let o = base; o < end; o++) {
      if (value[o] === Number.POSITIVE_INFINITY) continue;
      const found = scanChild(task, link, o - base);
      const least = found < 0 ? Number.POSITIVE_INFINITY : pairValue(link, o - base, found);
      value[o]! += least < spare ? least : spare;
    }
  }

  /** The child is the predecessor: each of its options reaches a span of the parent's. */
  function addByScatter(task: number, link: Link, base: number, end: number): void {
    const child = optionFirst[task]!;
    const least = new Float64Array(end - base).fill(Number.POSITIVE_INFINITY);
    for (let o = child; o < optionFirst[task + 1]!; o++) {
      const own = value[o]!;
      if (own === Number.POSITIVE_INFINITY) continue;
      for (let p = link.low[o - child]!; p < link.high[o - child]!; p++) {
        const pair = own + softOf(prepared, link.soft, o - child, base + p);
        if (pair < least[p]!) least[p] = pair;
      }
    }
    for (let o = base; o < end; o++) value[o]! += least[o - base]!;
  }

  /** Value of a child option beside its parent's option `at` (counted from the parent's first). */
  function pairValue(link: Link, at: number, option: number): number {
    return value[option]! + (link.isSuccessor ? softOf(prepared, link.soft, at, option) : 0);
  }

  /** The best child option for the parent's option `at`, first among equals; -1 when there is none. */
  function scanChild(task: number, link: Link, at: number): number {
    const child = optionFirst[task]!;
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    for (let o = child + link.low[at]!; o < child + link.high[at]!; o++) {
      const pair = pairValue(link, at, o);
      if (pair < least) {
        least = pair;
        best = o;
      }
    }
    return best;
  }

  function decode(task: number): void {
    const link = links[task];
    const above = link ? trial[link.parent]! : -1;
    if (!link || (above < 0 && !link.isSuccessor && !link.isBoth)) {
      trial[task] = present[task]! <= absent[task]! ? bestOption(task) : -1;
      return;
    }
    if (above < 0) {
      trial[task] = -1;
      return;
    }
    const at = above - optionFirst[link.parent]!;
    const best = link.kind === scatter ? bestScattered(task, link, at, above) : scanChild(task, link, at);
    const mayBeAbsent = link.isSuccessor && !link.isBoth;
    const isTaken = best >= 0 && (!mayBeAbsent || pairValue(link, at, best) <= absent[task]!);
    trial[task] = isTaken ? best : -1;
  }

  function bestOption(task: number): number {
    let best = -1;
    for (let o = optionFirst[task]!; o < optionFirst[task + 1]!; o++)
      if (value[o]! < Number.POSITIVE_INFINITY && (best < 0 || value[o]! < value[best]!)) best = o;
    return best;
  }

  function bestScattered(task: number, link: Link, at: number, above: number): number {
    const child = optionFirst[task]!;
    let best = -1;
    let least = Number.POSITIVE_INFINITY;
    for (let o = child; o < optionFirst[task + 1]!; o++) {
      if (at < link.low[o - child]! || at >= link.high[o - child]!) continue;
      const pair = value[o]! + softOf(prepared, link.soft, o - child, above);
      if (pair < least) {
        least = pair;
        best = o;
      }
    }
    return best;
  }

  return { plan, costOf: (group, choice) => groupCost(prepared, group, choice) };
}

/** Sets the value of each option to its cost plus prices, or Infinity where it does not fit. */
function createPricing(prepared: Prepared, value: Float64Array, isBanned: Uint8Array) {
  const { cost, useFirst, useRow, useQuantity } = prepared;
  return (first: number, end: number, free: Int32Array, prices: Float64Array | null): void => {
    for (let o = first; o < end; o++) {
      let own = isBanned[o] ? Number.POSITIVE_INFINITY : cost[o]!;
      for (let use = useFirst[o]!; use < useFirst[o + 1]!; use++) {
        const row = useRow[use]!;
        const quantity = useQuantity[use]!;
        if (quantity > free[row]!) {
          own = Number.POSITIVE_INFINITY;
          break;
        }
        if (prices) own += prices[row]! * quantity;
      }
      value[o] = own;
    }
  };
}

/** Finds the options of one plan that overdraw a row together, or null when all fit. */
function createOverdraw(prepared: Prepared) {
  const { groupTasks, useFirst, useRow, useQuantity } = prepared;
  const drawn = new Int32Array(prepared.free.length);
  return (first: number, end: number, choice: Int32Array, free: Int32Array): number[] | null => {
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

/** Soft cost of a predecessor option (counted from its task's first) with a successor option. */
function softOf(
  prepared: Prepared,
  soft: SoftLink | null,
  predAt: number,
  succOption: number,
): number {
  if (!soft) return 0;
  const from = prepared.from[succOption]!;
  const late = from - soft.dueAt[predAt]!;
  const lateCost = late > 0 ? late * soft.costPerUnit : 0;
  return soft.stepAt && from > soft.stepAt[predAt]! ? lateCost + soft.stepCost : lateCost;
}

function groupCost(prepared: Prepared, group: number, choice: Int32Array): number {
  const { groupFirst, groupTasks, optionFirst, links, cost, dropCost } = prepared;
  let total = 0;
  for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
    const task = groupTasks[at]!;
    const own = choice[task]!;
    total += own < 0 ? dropCost[task]! : cost[own]!;
    const link = links[task];
    if (!link?.soft || own < 0 || choice[link.parent]! < 0) continue;
    const other = choice[link.parent]!;
    total += link.isSuccessor
      ? softOf(prepared, link.soft, other - optionFirst[link.parent]!, own)
      : softOf(prepared, link.soft, own - optionFirst[task]!, other);
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
