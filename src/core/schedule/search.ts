import type { Model, ModelSolution } from './model.ts';
import { planBefore } from './plan-before.ts';
import { type Prepared, prepare } from './prepared.ts';
import { createRowPricing } from './prices.ts';
import { createRandom, exponential, type Random } from './random.ts';
import { createRuin } from './ruin.ts';
import { createTreePlanner, type TreePlanner } from './tree-plan.ts';

export interface Search {
  /**
   * Runs so many iterations of ruin and recreate. `spentShare` (0 to 1) is the share of the whole budget
   * spent so far; it sets the temperature. The same calls give the same plans on every machine.
   */
  step(iterationCount: number, spentShare: number): void;
  /** Prices of rows found elsewhere, in place of its own; with the bound that goes with them. */
  takePrices(prices: Float64Array, bound: number): void;
  /** A plan found elsewhere (option of the model by task) to go on from; one that is not cheaper is left. */
  takePlan(choice: readonly number[]): void;
  best(): ModelSolution;
  readonly cost: number;
  /** No plan costs less; null while nothing is proven. */
  readonly bound: number | null;
  readonly iterations: number;
  readonly leftOutCount: number;
}

/** The plan under change: what is chosen, what is free, what each group costs. */
export interface PlanState {
  choice: Int32Array;
  free: Int32Array;
  groupCost: Float64Array;
  /** Least cost of each group if it had everything to itself: its excess shows where the plan hurts. */
  groupIdeal: Float64Array;
}

/** Iterations between two looks at the budget; fixed, so that a counted budget always gives one plan. */
export const stepIterations = 8;
/** First temperature as a share of the mean cost of a group; found by trial on problems of 25 to 500 units. */
const startHeat = 1.5;
/** A round of pricing every so many iterations, and so many rounds. */
const pricingEvery = 4;
const pricingRounds = 800;
const pricingRefresh = 200;
/** Prices are looked at in full or in part, in tenths: no one share is best for every plan. */
const priceTenths = [1, 2, 3, 4, 5, 6, 7, 8];

/**
 * Search by large neighbourhoods: a first plan by inserting the groups in order of what leaving them out
 * costs, then ruin (a few groups are taken out) and recreate (each is put back by its exact cheapest plan in
 * what is free), accepted as in simulated annealing. The first plan exists when this returns.
 */
export function createSearch(model: Model, seed: number): Search {
  const prepared = prepare(model);
  const planner = createTreePlanner(prepared);
  const random = createRandom(seed);
  const state = emptyState(prepared, planner);
  const byWeight = groupsByWeight(prepared);
  let current = insertAll(prepared, planner, state, byWeight);
  current = startFromBefore(prepared, planner, state, current);
  let bestCost = current;
  const bestChoice = state.choice.slice();
  let iterations = 0;
  const ruin = createRuin(prepared, state, random);
  const recreate = createRecreate(prepared, planner, state, random);
  const pricing = createRowPricing(prepared, planner);
  let pricesBySize: Float64Array[] = [];
  let boundTaken = Number.NEGATIVE_INFINITY;
  const heat = startHeat / Math.max(1, model.groupCount);

  const setPrices = (prices: Float64Array): void => {
    pricesBySize = priceTenths.map((tenths) => prices.map((price) => (price * tenths) / 10));
  };

  /** Prices are worked out in the first iterations, a round here and there, so that plans come at once. */
  function improvePrices(): void {
    if (boundTaken > Number.NEGATIVE_INFINITY) return;
    const round = iterations / pricingEvery;
    if (!Number.isInteger(round) || round > pricingRounds) return;
    pricing.round(bestCost);
    if (round % pricingRefresh === 0) setPrices(pricing.prices);
  }

  /** Half of the insertions look at prices, so that tasks keep off what others need more. */
  function drawPrices(): Float64Array | null {
    if (pricesBySize.length === 0 || random.below(2) === 0) return null;
    return pricesBySize[random.below(pricesBySize.length)]!;
  }

  function step(iterationCount: number, spentShare: number): void {
    const cool = 1 - Math.min(1, Math.max(0, spentShare));
    const temperature = bestCost * heat * (0.02 + 0.98 * cool * cool * cool);
    for (let count = 0; count < iterationCount; count++) {
      iterations++;
      improvePrices();
      const limit = current + temperature * exponential(random);
      current = recreate(ruin(), drawPrices(), current, limit);
      if (current < bestCost) {
        bestCost = current;
        bestChoice.set(state.choice);
      }
    }
  }

  return {
    step,
    takePrices(prices, bound) {
      boundTaken = Math.max(boundTaken, bound);
      setPrices(prices);
    },
    takePlan(taken) {
      const choice = preparedChoice(prepared, taken);
      if (planner.totalOf(choice) >= bestCost) return;
      current = replacePlan(prepared, planner, state, choice);
      bestCost = current;
      bestChoice.set(choice);
    },
    best: () => ({ choice: originalChoice(prepared, bestChoice), cost: bestCost }),
    get cost() {
      return bestCost;
    },
    get bound() {
      return certified(Math.max(boundTaken, pricing.bound()));
    },
    get iterations() {
      return iterations;
    },
    get leftOutCount() {
      return bestChoice.reduce((count, option) => (option < 0 ? count + 1 : count), 0);
    },
  };
}

/** What column generation found for a search to go on with. */
export interface SearchHint {
  prices: Float64Array;
  bound: number;
  choice: number[];
}

/** At so many iterations a counted search takes the hint, so that it gives one plan whoever was quicker. */
export function hintTakenAt(iterationCount: number): number {
  return Math.floor(iterationCount / 10 / stepIterations) * stepIterations;
}

/**
 * A whole search with a counted budget: the plan depends on model, seed and count alone. `hint` is asked for once
 * a tenth of it is done; null = without.
 */
export function searchCounted(
  model: Model,
  seed: number,
  iterationCount: number,
  hint: (() => SearchHint) | null = null,
): Search {
  const search = createSearch(model, seed);
  const takenAt = hintTakenAt(iterationCount);
  while (search.iterations < iterationCount) {
    if (hint && search.iterations === takenAt) takeHint(search, hint());
    const left = iterationCount - search.iterations;
    search.step(Math.min(stepIterations, left), search.iterations / iterationCount);
  }
  return search;
}

export function takeHint(search: Search, { prices, bound, choice }: SearchHint): void {
  search.takePrices(prices, bound);
  search.takePlan(choice);
}

/** Costs are whole numbers, so a bound rounds up; a little is taken off for the rounding of the sums. */
export function certified(bound: number): number | null {
  if (!Number.isFinite(bound)) return null;
  return Math.max(0, Math.ceil(bound - 1e-6 - Math.abs(bound) * 1e-9));
}

function emptyState(prepared: Prepared, planner: TreePlanner): PlanState {
  const groupCount = prepared.model.groupCount;
  const choice = new Int32Array(prepared.model.tasks.length).fill(-1);
  const groupIdeal = Float64Array.from({ length: groupCount }, (_, group) =>
    planner.plan(group, prepared.free, null, choice),
  );
  choice.fill(-1);
  return {
    choice,
    free: prepared.free.slice(),
    groupCost: new Float64Array(groupCount),
    groupIdeal,
  };
}

/** Groups with pins first, for they must find room; then by what leaving them out costs. */
function groupsByWeight(prepared: Prepared): number[] {
  const weight = new Float64Array(prepared.model.groupCount);
  prepared.model.tasks.forEach((task) => {
    weight[task.group]! += task.pinned >= 0 ? 1e12 : task.dropCost;
  });
  for (const { succ, soft } of prepared.model.edges)
    if (soft?.absentCost)
      weight[prepared.model.tasks[succ]!.group]! += Math.max(0, ...soft.absentCost);
  return [...weight.keys()].sort((a, b) => weight[b]! - weight[a]! || a - b);
}

function insertAll(
  prepared: Prepared,
  planner: TreePlanner,
  state: PlanState,
  order: number[],
): number {
  let total = 0;
  for (const group of order) {
    const cost = planner.plan(group, state.free, null, state.choice);
    if (cost === Number.POSITIVE_INFINITY) keepPinsOnly(prepared, group, state.choice);
    state.groupCost[group] = planner.costOf(group, state.choice);
    total += state.groupCost[group]!;
    takeGroup(prepared, state, group, 1);
  }
  return total;
}

/** The plan in force where it still holds, with the rest planned anew, if that is cheaper than `current`; gives the cost. */
function startFromBefore(
  prepared: Prepared,
  planner: TreePlanner,
  state: PlanState,
  current: number,
): number {
  const before = planBefore(prepared.model);
  if (!before) return current;
  const first = state.choice.slice();
  let total = replacePlan(prepared, planner, state, preparedChoice(prepared, before.choice));
  for (const group of before.open) {
    takeGroup(prepared, state, group, -1);
    total -= state.groupCost[group]!;
    planner.plan(group, state.free, null, state.choice);
    state.groupCost[group] = planner.costOf(group, state.choice);
    total += state.groupCost[group]!;
    takeGroup(prepared, state, group, 1);
  }
  return total < current ? total : replacePlan(prepared, planner, state, first);
}

/** The state becomes the plan `choice`; gives its cost. */
function replacePlan(
  prepared: Prepared,
  planner: TreePlanner,
  state: PlanState,
  choice: Int32Array,
): number {
  state.choice.set(choice);
  state.free.set(prepared.free);
  let total = 0;
  for (let group = 0; group < prepared.model.groupCount; group++) {
    takeGroup(prepared, state, group, 1);
    state.groupCost[group] = planner.costOf(group, choice);
    total += state.groupCost[group]!;
  }
  return total;
}

/** No plan of the group fits beside the other pins: its own pins stand, and `violations` says what breaks. */
function keepPinsOnly(prepared: Prepared, group: number, choice: Int32Array): void {
  for (let at = prepared.groupFirst[group]!; at < prepared.groupFirst[group + 1]!; at++) {
    const task = prepared.groupTasks[at]!;
    choice[task] = prepared.isPinned[task] ? prepared.optionFirst[task]! : -1;
  }
}

/** Takes (sign 1) or gives back (sign -1) all that a group draws on. */
export function takeGroup(prepared: Prepared, state: PlanState, group: number, sign: number): void {
  const { groupFirst, groupTasks, useFirst, useRow, useQuantity } = prepared;
  for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
    const option = state.choice[groupTasks[at]!]!;
    if (option < 0) continue;
    for (let use = useFirst[option]!; use < useFirst[option + 1]!; use++)
      state.free[useRow[use]!]! -= sign * useQuantity[use]!;
  }
}

/** Returns the plan's cost after taking `groups` out and putting them back, or undoes it all. */
function createRecreate(
  prepared: Prepared,
  planner: TreePlanner,
  state: PlanState,
  random: Random,
) {
  const oldChoice = new Int32Array(state.choice.length);
  const oldCost = new Float64Array(state.groupCost.length);
  const copy = (from: Int32Array, to: Int32Array, group: number) => {
    for (let at = prepared.groupFirst[group]!; at < prepared.groupFirst[group + 1]!; at++)
      to[prepared.groupTasks[at]!] = from[prepared.groupTasks[at]!]!;
  };
  return (
    groups: number[],
    prices: Float64Array | null,
    current: number,
    limit: number,
  ): number => {
    let total = current;
    for (const group of groups) {
      takeGroup(prepared, state, group, -1);
      copy(state.choice, oldChoice, group);
      oldCost[group] = state.groupCost[group]!;
      total -= oldCost[group]!;
    }
    orderForInsertion(groups, oldCost, state, random);
    let inserted = 0;
    for (const group of groups) {
      const priced = planner.plan(group, state.free, prices, state.choice);
      const isPlanned = priced < Number.POSITIVE_INFINITY;
      const cost = prices && isPlanned ? planner.costOf(group, state.choice) : priced;
      total += cost;
      if (total >= limit) break;
      state.groupCost[group] = cost;
      takeGroup(prepared, state, group, 1);
      inserted++;
    }
    if (inserted === groups.length) return total;
    for (let at = 0; at < inserted; at++) takeGroup(prepared, state, groups[at]!, -1);
    for (const group of groups) {
      copy(oldChoice, state.choice, group);
      state.groupCost[group] = oldCost[group]!;
      takeGroup(prepared, state, group, 1);
    }
    return current;
  };
}

/** Half of the time at random, else the groups that were worst off first, with some noise. */
function orderForInsertion(
  groups: number[],
  oldCost: Float64Array,
  state: PlanState,
  random: Random,
): void {
  for (let at = groups.length - 1; at > 0; at--) {
    const other = random.below(at + 1);
    [groups[at], groups[other]] = [groups[other]!, groups[at]!];
  }
  if (random.below(2) === 0) return;
  const excess = (group: number) => oldCost[group]! - state.groupIdeal[group]!;
  groups.sort((a, b) => excess(b) - excess(a));
}

/** Options of `Prepared` for options of the model; one that can never be taken is left out. */
export function preparedChoice(prepared: Prepared, choice: readonly number[]): Int32Array {
  const { optionFirst, original } = prepared;
  return Int32Array.from(choice, (option, task) => {
    if (option < 0) return -1;
    for (let at = optionFirst[task]!; at < optionFirst[task + 1]!; at++)
      if (original[at] === option) return at;
    return -1;
  });
}

export function originalChoice(prepared: Prepared, choice: Int32Array): number[] {
  return Array.from(choice, (option) => (option < 0 ? -1 : prepared.original[option]!));
}
