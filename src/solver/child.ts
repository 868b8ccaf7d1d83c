/** Process entry of one search: takes one order, reports, ends. Started by `run.ts` only. */
import { constants, setPriority } from 'node:os';
import { createSearch, type Search, stepIterations } from '../core/schedule/search.ts';
import type { SearchOrder, SearchReport } from './messages.ts';

/** A slice stays short so that a stop is heard at once. */
const sliceMs = 20;
const reportEveryMs = 100;

process.once('message', (order: SearchOrder) => run(order));
process.once('disconnect', () => process.exit(0));

function run({ model, limits }: SearchOrder): void {
  lowerPriority();
  const startedAt = performance.now();
  const search = createSearch(model, limits.seed);
  const secondsPassed = () => (performance.now() - startedAt) / 1000;
  const tell = reporter(search, secondsPassed);
  tell('progress');
  let isStopped = false;
  process.on('message', (message) => {
    if (message === 'stop') isStopped = true;
  });

  const slice = (): void => {
    const until = performance.now() + sliceMs;
    while (performance.now() < until && spentShare() < 1) stepOn();
    if (isStopped || spentShare() >= 1) tell('done', () => process.exit(0));
    else {
      tell('progress');
      setImmediate(slice);
    }
  };
  const spentShare = (): number =>
    'iterations' in limits
      ? search.iterations / Math.max(1, limits.iterations)
      : secondsPassed() / Math.max(0.001, limits.seconds);
  /** Steps of a fixed size: with an iteration budget the plan must not hang on the clock. */
  const stepOn = (): void => {
    const left = 'iterations' in limits ? limits.iterations - search.iterations : stepIterations;
    search.step(Math.min(stepIterations, left), spentShare());
  };
  slice();
}

/** Below everything else on the machine; where that is not allowed the search runs as it is. */
function lowerPriority(): void {
  try {
    setPriority(constants.priority.PRIORITY_LOW);
  } catch {
    // Some hosts forbid it; the search still works.
  }
}

/** Sends progress at most every so often, and the plan only when it is new to the parent. */
function reporter(search: Search, secondsPassed: () => number) {
  let sentAt = Number.NEGATIVE_INFINITY;
  let sentCost = Number.POSITIVE_INFINITY;
  return (kind: SearchReport['kind'], afterwards?: () => void): void => {
    const now = performance.now();
    if (kind === 'progress' && now - sentAt < reportEveryMs) return;
    const solution = search.cost < sentCost ? search.best() : null;
    sentAt = now;
    sentCost = search.cost;
    const report: SearchReport = {
      kind,
      progress: {
        seconds: secondsPassed(),
        iterations: search.iterations,
        cost: search.cost,
        bound: search.bound,
        leftOut: search.leftOutCount,
        solution,
      },
    };
    process.send?.(report, () => afterwards?.());
  };
}
