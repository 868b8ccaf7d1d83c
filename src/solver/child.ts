/** Process entry of one search: takes one order, reports, ends. Started by `run.ts` only. */
import {
  createSearch,
  hintTakenAt,
  type Search,
  stepIterations,
  takeHint,
} from '../core/schedule/search.ts';
import { lowerPriority } from './low-priority.ts';
import type { Found, SearchOrder, SearchReport, ToSearch } from './messages.ts';

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
  let go = (): void => {};
  const others = hearOthers(search, limits);
  process.on('message', (message: ToSearch) => {
    if (message === 'stop') isStopped = true;
    else others.hear(message);
    go();
  });

  const slice = (): void => {
    go = () => {};
    const until = performance.now() + sliceMs;
    while (performance.now() < until && spentShare() < 1) {
      if (!others.take()) break;
      stepOn();
    }
    if (isStopped || spentShare() >= 1) tell('done', () => process.exit(0));
    else if (others.take()) {
      tell('progress');
      setImmediate(slice);
    } else go = slice;
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

/**
 * What the process that proves finds. In time mode `take` hands it to the search at once; a counted search takes
 * the hint at its one place: `take` is false while the search has to wait for it there.
 */
function hearOthers(search: Search, limits: SearchOrder['limits']) {
  let isAlone = false;
  let found: Found = {};
  const takenAt = 'iterations' in limits ? hintTakenAt(limits.iterations) : 0;
  return {
    hear(message: 'alone' | Found): void {
      if (message === 'alone') isAlone = true;
      else found = { ...found, ...message };
    },
    take(): boolean {
      const { prices, bound, choice } = found;
      if ('seconds' in limits) {
        if (prices && bound !== undefined) search.takePrices(prices, bound);
        if (choice) search.takePlan(choice);
        found = {};
        return true;
      }
      if (isAlone || search.iterations !== takenAt) return true;
      if (!prices || bound === undefined || !choice) return false;
      takeHint(search, { prices, bound, choice });
      isAlone = true;
      return true;
    },
  };
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
