/** Process entry of one proof: bounds a model, then proves or searches on. Started by `run.ts` only. */
import { type Bounding, createBounding } from '../core/schedule/bounding.ts';
import type { Model } from '../core/schedule/model.ts';
import { createSearch, stepIterations, takeHint } from '../core/schedule/search.ts';
import { choiceOf, startOf, wholeModel } from '../core/schedule/whole-model.ts';
import { createMasterLp, loadSolver, type Solver, solveWhole } from './highs.ts';
import { lowerPriority } from './low-priority.ts';
import type { Found, SearchOrder } from './messages.ts';

/** Up to so many options the whole problem goes to branch and cut: about thirty units over three seasons. */
const wholeOptionsMost = 20_000;
/** The search gets so long before branch and cut starts from its plan. */
const searchFirstMs = 1500;
const sliceMs = 20;
const tellEveryMs = 1000;

let newest: number[] | null = null;
process.once('disconnect', () => process.exit());
process.once('message', (order: SearchOrder) => {
  process.on('message', ({ choice }: Found) => {
    newest = choice ?? newest;
  });
  run(order).catch((error: unknown) => {
    process.stderr.write(`${error instanceof Error ? error.stack : error}\n`);
    process.exit(1);
  });
});

function tell(found: Found, afterwards?: () => void): void {
  process.send?.(found, () => afterwards?.());
}

async function run({ model, limits }: SearchOrder): Promise<void> {
  lowerPriority();
  const startedAt = performance.now();
  const solver = await loadSolver();
  const lp = createMasterLp(solver, model.groupCount);
  const bounding = createBounding(model, limits.seed, lp);
  // In time mode the search learns of the bound as it grows; a counted run tells once, whatever the clock says.
  for (let told = startedAt; bounding.round(); ) {
    if ('iterations' in limits || performance.now() - told < tellEveryMs) continue;
    told = performance.now();
    tell({ bound: bounding.bound() });
  }
  tell(bounding.hint());
  lp.dispose();
  if ('seconds' in limits) {
    const endsAt = startedAt + limits.seconds * 1000;
    if (bounding.prepared.cost.length <= wholeOptionsMost) await prove(solver, bounding, endsAt);
    else await searchOn(model, bounding, limits.seed + 1, endsAt);
  }
  process.disconnect?.();
}

const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

/** Branch and cut on the whole problem, from the plan that the search has by then. */
async function prove(solver: Solver, { prepared }: Bounding, endsAt: number): Promise<void> {
  await pause(Math.min(searchFirstMs, endsAt - performance.now()));
  const programme = wholeModel(prepared);
  const start = newest && startOf(prepared, newest);
  const seconds = Math.max(0.1, (endsAt - performance.now()) / 1000);
  // Costs are whole numbers, so half a point below the best plan there is none.
  solveWhole(solver, programme, start, { seconds, gapLeast: 0.5 }, ({ values, bound }) => {
    if (values) tell({ choice: choiceOf(prepared, values) });
    if (bound !== undefined) tell({ bound: Math.ceil(bound - 1e-4) });
  });
}

/** A second search with other draws, which trades its best plans with the first. */
async function searchOn(
  model: Model,
  bounding: Bounding,
  seed: number,
  endsAt: number,
): Promise<void> {
  const search = createSearch(model, seed);
  takeHint(search, bounding.hint());
  const beganAt = performance.now();
  let told = beganAt;
  let toldCost = Number.POSITIVE_INFINITY;
  while (performance.now() < endsAt) {
    const until = performance.now() + sliceMs;
    while (performance.now() < until)
      search.step(stepIterations, (performance.now() - beganAt) / (endsAt - beganAt));
    await pause(0);
    if (performance.now() - told < tellEveryMs) continue;
    told = performance.now();
    if (newest) search.takePlan(newest);
    newest = null;
    if (search.cost < toldCost) tell({ choice: search.best().choice });
    toldCost = search.cost;
  }
  tell({ choice: search.best().choice });
}
