/** Process entry of one plan: land to model, search, days, check. Started by `planning.ts` only. */
import { checkPlan } from '../core/check/plan.ts';
import { costScale, landModel } from '../core/schedule/land-model.ts';
import { planContent } from '../core/schedule/plan.ts';
import type { FromPlanning, PlanningOrder, ToPlanning } from './messages.ts';
import { type SearchResult, startSearch } from './run.ts';

process.once('message', (order: PlanningOrder) => {
  run(order).catch((error: unknown) => {
    const message = error instanceof Error ? error.message : String(error);
    tell({ kind: 'failed', message }, () => process.exit(1));
  });
});

function tell(message: FromPlanning, afterwards?: () => void): void {
  process.send?.(message, () => afterwards?.());
}

async function run({
  operation,
  horizon,
  inForce,
  limits,
  version,
  found,
}: PlanningOrder): Promise<void> {
  const problem = landModel(operation, horizon, inForce);
  const result = found ?? (await search());
  const record = {
    seed: limits.seed,
    iterations: 'iterations' in limits ? limits.iterations : null,
    seconds: result.seconds,
    version,
  };
  const bound = result.bound === null ? null : result.bound / costScale;
  const content = { ...planContent(operation, problem, result.choice, record), bound };
  const wrong = checkPlan(operation, content);
  const outcome =
    wrong.length > 0
      ? { ok: false as const, problems: wrong }
      : { ok: true as const, value: content };
  tell({ kind: 'done', outcome }, () => process.exit(0));

  async function search() {
    const searching = startSearch(
      problem.model,
      limits,
      ({ seconds, cost, bound, leftOut, solution }) =>
        tell({
          kind: 'progress',
          progress: { seconds, cost: cost / costScale, leftOutCount: leftOut },
          found: solution && { choice: solution.choice, seconds, bound },
        }),
    );
    process.on('message', (message: ToPlanning) => {
      if (message !== 'stop') return;
      tell({ kind: 'heard' });
      searching.stop();
    });
    // Whoever wanted the plan is gone; the two processes below end with this one.
    process.once('disconnect', searching.stop);
    const { solution, seconds, bound }: SearchResult = await searching.result;
    return { choice: solution.choice, seconds, bound };
  }
}
