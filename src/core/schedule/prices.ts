import type { Prepared } from './prepared.ts';
import type { TreePlanner } from './tree-plan.ts';

/** Prices of rows, improved round by round, and the lower bound that they prove. */
export interface RowPricing {
  /** One round; `upper` is the cost of the best plan known. */
  round(upper: number): void;
  /** Prices of the best bound so far, one a row. */
  prices: Float64Array;
  /** No plan of the model costs less than this. */
  bound(): number;
}

/** Rounds without a better bound before the step shrinks and starts again from the best prices. */
const staleRoundsMost = 10;

/**
 * Lagrangian relaxation of the rows: with a price on each row every group plans for itself, and the sum of
 * these plans less the price of all capacity is a lower bound at any prices of 0 or more. Prices follow the
 * subgradient, in units of each row's capacity, with the step of Polyak (1969) and a running mean of
 * directions (Held, Wolfe and Crowder 1974; from memory).
 */
export function createRowPricing(prepared: Prepared, planner: TreePlanner): RowPricing {
  const capacities = prepared.free.map((free) => Math.max(0, free));
  const prices = new Float64Array(capacities.length);
  const best = new Float64Array(capacities.length);
  const excess = new Float64Array(capacities.length);
  const direction = new Float64Array(capacities.length);
  const choice = new Int32Array(prepared.dropCost.length).fill(-1);
  let bound = Number.NEGATIVE_INFINITY;
  let pace = 1;
  let staleRounds = 0;

  function round(upper: number): void {
    const value = relax();
    if (value > bound) {
      bound = value;
      best.set(prices);
      staleRounds = 0;
    } else if (++staleRounds >= staleRoundsMost) {
      pace *= 0.7;
      staleRounds = 0;
      prices.set(best);
      direction.fill(0);
      return;
    }
    move(upper - value);
  }

  /** Lets every group plan at the present prices; returns the bound and fills `excess`. */
  function relax(): number {
    let value = 0;
    for (let row = 0; row < capacities.length; row++) {
      excess[row] = -capacities[row]!;
      value -= prices[row]! * capacities[row]!;
    }
    for (let group = 0; group < prepared.model.groupCount; group++) {
      value += planner.relax(group, prepared.free, prices, choice);
      addUses(prepared, group, choice, excess);
    }
    return value;
  }

  function move(gap: number): void {
    let norm = 0;
    for (let row = 0; row < capacities.length; row++) {
      const share = excess[row]! / Math.max(1, capacities[row]!);
      const mean = (direction[row]! + share) / 2;
      direction[row] = prices[row] === 0 && mean < 0 ? 0 : mean;
      norm += direction[row]! * direction[row]!;
    }
    if (norm === 0 || !(gap > 0)) return;
    const step = (pace * gap) / norm;
    for (let row = 0; row < capacities.length; row++) {
      const change = (step * direction[row]!) / Math.max(1, capacities[row]!);
      prices[row] = Math.max(0, prices[row]! + change);
    }
  }

  return { round, prices: best, bound: () => bound };
}

function addUses(
  prepared: Prepared,
  group: number,
  choice: Int32Array,
  excess: Float64Array,
): void {
  const { groupFirst, groupTasks, useFirst, useRow, useQuantity } = prepared;
  for (let at = groupFirst[group]!; at < groupFirst[group + 1]!; at++) {
    const option = choice[groupTasks[at]!]!;
    if (option < 0) continue;
    for (let use = useFirst[option]!; use < useFirst[option + 1]!; use++)
      excess[useRow[use]!]! += useQuantity[use]!;
  }
}
