import { createMaster, type MasterLp } from './master.ts';
import type { Model } from './model.ts';
import { type Prepared, prepare } from './prepared.ts';
import { createRowPricing } from './prices.ts';
import {
  certified,
  createSearch,
  originalChoice,
  preparedChoice,
  type SearchHint,
} from './search.ts';
import { createTreePlanner } from './tree-plan.ts';

/** The proof of how good a plan can be at best, and what the search gains from it. */
export interface Bounding {
  /** One round of column generation; false = it is over. */
  round(): boolean;
  /** No plan costs less. */
  bound(): number;
  /** The bound, the prices that prove it, and a plan made from the newest mix of plans. */
  hint(): SearchHint;
  readonly prepared: Prepared;
  /** Plans of groups looked at so far. */
  readonly planCount: number;
}

/** Iterations of the search for a first plan, and rounds of cheap pricing, before the master problem. */
const firstIterations = 200;
const cheapRounds = 100;
/** Rounds at most; problems of 500 units end after 20 to 40. */
const roundsMost = 200;

/** Bounds a model by column generation; `lp` keeps the master problem. The same calls give the same figures. */
export function createBounding(model: Model, seed: number, lp: MasterLp): Bounding {
  const prepared = prepare(model);
  const planner = createTreePlanner(prepared);
  const search = createSearch(model, seed);
  search.step(firstIterations, 1);
  const pricing = createRowPricing(prepared, planner);
  for (let round = 0; round < cheapRounds; round++) pricing.round(search.cost);
  const first = preparedChoice(prepared, search.best().choice);
  const master = createMaster(prepared, planner, lp, pricing.prices, first);
  let rounds = 0;
  const bound = () => certified(Math.max(pricing.bound(), master.bound())) ?? 0;
  return {
    round: () => master.round() && ++rounds < roundsMost,
    bound,
    hint() {
      const choice = originalChoice(prepared, master.roundedPlan());
      return { bound: bound(), prices: master.prices, choice };
    },
    prepared,
    get planCount() {
      return master.planCount;
    },
  };
}
