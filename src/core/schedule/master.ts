import type { Prepared } from './prepared.ts';
import type { TreePlanner } from './tree-plan.ts';

/** The linear programme of the master problem, kept by a solver outside the core. */
export interface MasterLp {
  /** A plan of a group; exactly one a group, or a mix of several, is taken. Rows by number of `addRow`. */
  addPlan(group: number, cost: number, rows: number[], quantities: number[]): void;
  /** A limit on what the plans there are draw on; gives its number. */
  addRow(capacity: number, plans: number[], quantities: number[]): number;
  /** Cheapest mix: the share of each plan, and the price of each row, 0 or more. Throws when it fails. */
  solve(): { shares: Float64Array; prices: Float64Array };
}

/** Column generation over exact plans of groups. */
export interface Master {
  /** Solves the master problem and prices new plans; false = no plan would make the mix cheaper. */
  round(): boolean;
  /** No plan of the model costs less, whatever the solver did: valued at prices, plan by plan. */
  bound(): number;
  /** Prices of the best bound, one a row of the model. */
  readonly prices: Float64Array;
  /** A whole plan made from the newest mix: each group takes its largest share that fits, or plans anew. */
  roundedPlan(): Int32Array;
  readonly planCount: number;
}

interface GroupPlan {
  group: number;
  choice: Int32Array;
  rows: number[];
  quantities: number[];
}

/** Prices are taken part from the newest mix and part from the best bound, or they swing. */
const newestShare = 0.6;
/** With fewer new plans than this a round also looks at the newest prices alone. */
const fewPlans = 3;
/** A share smaller than this is not taken as a hint. */
const shareLeast = 0.2;
const tolerance = 1e-6;

/**
 * Dantzig-Wolfe decomposition by groups (Dantzig and Wolfe 1960, from memory): the master problem mixes plans
 * of groups inside the capacities, its prices make groups find better plans by the tree planner. The bound is
 * the Lagrangian value at the prices of each round, worked out here. Rows come in when a mix overdraws them.
 * `firstPrices`: from the subgradient method; `upper`: the choice of a whole plan, so that a mix exists.
 */
export function createMaster(
  prepared: Prepared,
  planner: TreePlanner,
  lp: MasterLp,
  firstPrices: Float64Array,
  upper: Int32Array,
): Master {
  const { groupCount } = prepared.model;
  const capacities = prepared.free.map((free) => Math.max(0, free));
  const pool = createPool(prepared, planner, lp, capacities);
  const best = firstPrices.slice();
  const trial = Int32Array.from(upper);
  let bound = Number.NEGATIVE_INFINITY;
  let shares: Float64Array = new Float64Array(0);
  let newest: Float64Array = best.slice();

  /** Every group plans at `prices`; gives how many of the plans are new, and keeps a better bound. */
  function relax(prices: Float64Array): number {
    let value = 0;
    let added = 0;
    for (let row = 0; row < capacities.length; row++) value -= prices[row]! * capacities[row]!;
    for (let group = 0; group < groupCount; group++) {
      value += planner.relax(group, prepared.free, prices, trial);
      if (pool.add(group, trial)) added++;
      // A plan that overdraws a row by itself is no plan: the cheapest that fits comes in instead.
      else if (pool.overdraws(group, trial)) {
        const cost = planner.plan(group, prepared.free, prices, trial);
        if (cost < Number.POSITIVE_INFINITY && pool.add(group, trial)) added++;
      }
    }
    if (value > bound) {
      bound = value;
      best.set(prices);
    }
    return added;
  }

  for (let group = 0; group < groupCount; group++) pool.add(group, trial);
  firstPrices.forEach((price, row) => {
    if (price > 0) pool.addRow(row);
  });
  relax(firstPrices.slice());

  return {
    round() {
      const mix = lp.solve();
      shares = mix.shares;
      const rowsAdded = pool.addOverdrawn(shares);
      newest = pool.pricesOf(mix.prices);
      const centre = best.slice();
      const prices = newest.map(
        (price, row) => newestShare * price + (1 - newestShare) * centre[row]!,
      );
      let added = relax(prices);
      if (added < fewPlans && rowsAdded === 0) added += relax(newest);
      return added > 0 || rowsAdded > 0;
    },
    bound: () => bound,
    prices: best,
    roundedPlan: () => roundedPlan(prepared, planner, pool.plans, shares, newest),
    get planCount() {
      return pool.plans.length;
    },
  };
}

/** The plans of the master problem, and which rows of the model it knows. */
function createPool(
  prepared: Prepared,
  planner: TreePlanner,
  lp: MasterLp,
  capacities: Int32Array,
) {
  const { groupFirst, groupTasks, useFirst, useRow, useQuantity } = prepared;
  const plans: GroupPlan[] = [];
  const known = new Set<string>();
  const rowNumber = new Int32Array(capacities.length).fill(-1);
  const users: { plan: number; quantity: number }[][] = Array.from(capacities, () => []);

  function usesOf(group: number, choice: Int32Array): Map<number, number> {
    const uses = new Map<number, number>();
    for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
      const option = choice[groupTasks[at]!]!;
      if (option < 0) continue;
      for (let use = useFirst[option]!; use < useFirst[option + 1]!; use++)
        uses.set(useRow[use]!, (uses.get(useRow[use]!) ?? 0) + useQuantity[use]!);
    }
    return uses;
  }

  const isOver = (uses: Map<number, number>): boolean =>
    [...uses].some(([row, quantity]) => quantity > capacities[row]!);

  const addRow = (row: number): void => {
    if (rowNumber[row]! >= 0) return;
    const own = users[row]!;
    rowNumber[row] = lp.addRow(
      capacities[row]!,
      own.map(({ plan }) => plan),
      own.map(({ quantity }) => quantity),
    );
  };

  return {
    plans,
    addRow,
    overdraws: (group: number, choice: Int32Array): boolean => isOver(usesOf(group, choice)),
    /** False when the plan is there already, or is none. */
    add(group: number, choice: Int32Array): boolean {
      const own = groupTasks.subarray(groupFirst[group]!, groupFirst[group + 1]!);
      const key = `${group}:${own.reduce((text, task) => `${text}${choice[task]},`, '')}`;
      if (known.has(key)) return false;
      const uses = usesOf(group, choice);
      if (isOver(uses)) return false;
      known.add(key);
      const plan: GroupPlan = { group, choice: choice.slice(), rows: [], quantities: [] };
      const [inRows, inQuantities]: [number[], number[]] = [[], []];
      for (const [row, quantity] of uses) {
        plan.rows.push(row);
        plan.quantities.push(quantity);
        users[row]!.push({ plan: plans.length, quantity });
        if (rowNumber[row]! < 0) continue;
        inRows.push(rowNumber[row]!);
        inQuantities.push(quantity);
      }
      plans.push(plan);
      lp.addPlan(group, planner.costOf(group, choice), inRows, inQuantities);
      return true;
    },
    /** Adds the rows that a mix overdraws; gives how many. */
    addOverdrawn(shares: Float64Array): number {
      const drawn = new Float64Array(capacities.length);
      plans.forEach(({ rows, quantities }, plan) => {
        const share = shares[plan] ?? 0;
        if (share <= 0) return;
        for (const [at, row] of rows.entries()) drawn[row]! += share * quantities[at]!;
      });
      let added = 0;
      drawn.forEach((total, row) => {
        if (rowNumber[row]! >= 0 || total <= capacities[row]! + tolerance) return;
        addRow(row);
        added++;
      });
      return added;
    },
    /** Prices by row of the model from prices by row of the programme; rows that it does not know are free. */
    pricesOf: (prices: Float64Array): Float64Array =>
      Float64Array.from(rowNumber, (number) => (number < 0 ? 0 : Math.max(0, prices[number] ?? 0))),
  };
}

/** Groups with the clearest share first; what does not fit any more is planned in what is free, by the prices. */
function roundedPlan(
  prepared: Prepared,
  planner: TreePlanner,
  plans: readonly GroupPlan[],
  shares: Float64Array,
  prices: Float64Array,
): Int32Array {
  const { groupCount } = prepared.model;
  const { groupFirst, groupTasks, useFirst, useRow, useQuantity } = prepared;
  const free = prepared.free.slice();
  const choice = new Int32Array(prepared.dropCost.length).fill(-1);
  const largest = new Int32Array(groupCount).fill(-1);
  plans.forEach(({ group }, plan) => {
    const share = shares[plan] ?? 0;
    const before = largest[group]!;
    if (share >= shareLeast && (before < 0 || share > shares[before]!)) largest[group] = plan;
  });
  const shareOf = (group: number) => (largest[group]! < 0 ? 0 : shares[largest[group]!]!);
  const order = [...largest.keys()].sort((a, b) => shareOf(b) - shareOf(a) || a - b);
  for (const group of order) {
    const plan = plans[largest[group]!];
    const isFitting = plan?.rows.every((row, at) => plan.quantities[at]! <= free[row]!);
    if (plan && isFitting) {
      for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++)
        choice[groupTasks[at]!] = plan.choice[groupTasks[at]!]!;
    } else planner.plan(group, free, prices, choice);
    for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
      const option = choice[groupTasks[at]!]!;
      if (option < 0) continue;
      for (let use = useFirst[option]!; use < useFirst[option + 1]!; use++)
        free[useRow[use]!]! -= useQuantity[use]!;
    }
  }
  return choice;
}
