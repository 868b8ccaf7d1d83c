import type { ChildProcess } from 'node:child_process';
import { costOf, violations } from '../core/schedule/evaluate.ts';
import type { Model, ModelSolution } from '../core/schedule/model.ts';
import { forkChild, keepErrors, lastLine } from './fork.ts';
import type {
  Found,
  SearchLimits,
  SearchOrder,
  SearchProgress,
  SearchReport,
  SearchResult,
  ToSearch,
} from './messages.ts';

export type { SearchLimits, SearchProgress, SearchResult } from './messages.ts';

/** A child that has not answered a stop by then is killed. */
const stopAnswerMs = 200;
/** A search in time mode that is silent for so long past its budget is taken for hung. */
const lateMsMost = 20_000;

export interface SearchRun {
  /** The best plan when the search ends. Rejects with an Error when the child failed before any plan. */
  result: Promise<SearchResult>;
  /** Ends the search; `result` then resolves with the best plan so far within a quarter of a second. */
  stop(): void;
  /** Of the search; undefined when it could not be started. */
  processId: number | undefined;
  /** Of the process that works on the bound. */
  boundProcessId: number | undefined;
}

/** The best plan and bound of both processes, kept here so that a kill loses nothing. */
function createBest(model: Model) {
  let solution: ModelSolution | null = null;
  let bound: number | null = null;
  return {
    solution: () => solution,
    bound: () => bound,
    isProven: () => solution !== null && bound !== null && bound >= solution.cost,
    /** True when the plan is better than all before and breaks nothing: a solver of decimals may be a hair off. */
    takeChoice(choice: number[]): boolean {
      const cost = costOf(model, choice);
      if (solution && cost >= solution.cost) return false;
      if (violations(model, choice).length > 0) return false;
      solution = { choice, cost };
      return true;
    },
    takeSolution(better: ModelSolution): boolean {
      if (solution && better.cost >= solution.cost) return false;
      solution = better;
      return true;
    },
    takeBound(proven: number): void {
      bound = Math.max(bound ?? 0, proven);
    },
  };
}

/**
 * Runs one search and one proof side by side, each in a child process. They tell each other of better plans, and the
 * proof gives the search its prices; with a counted budget that happens once, at a fixed count.
 */
export function startSearch(
  model: Model,
  limits: SearchLimits,
  onProgress: (progress: SearchProgress) => void = () => {},
): SearchRun {
  const search = forkChild('child');
  const prover = forkChild('bound-child');
  const best = createBest(model);
  let last: SearchProgress | null = null;
  let end: SearchResult['end'] = 'broken';
  let isStopRequested = false;
  let killTimer: NodeJS.Timeout | undefined;
  const errorOf = keepErrors(search);
  prover.stderr?.resume();
  const send = (message: ToSearch): void => {
    if (search.connected) search.send(message);
  };
  const stop = (): void => {
    send('stop');
    killTimer ??= setTimeout(() => search.kill('SIGKILL'), stopAnswerMs);
  };
  prover.on('message', (found: Found) => {
    if (found.bound !== undefined) best.takeBound(found.bound);
    const isBetter = found.choice !== undefined && best.takeChoice(found.choice);
    if ('iterations' in limits) return send(found);
    const { choice, ...rest } = found;
    send(isBetter && choice ? { ...rest, choice } : rest);
    if (best.isProven()) stop();
  });
  prover.once('close', () => send('alone'));
  prover.once('error', () => send('alone'));
  search.on('message', ({ kind, progress }: SearchReport) => {
    if (progress.solution && best.takeSolution(progress.solution) && prover.connected)
      prover.send({ choice: progress.solution.choice } satisfies Found);
    if (progress.bound !== null) best.takeBound(progress.bound);
    last = progress;
    if (kind === 'done') end = isStopRequested ? 'stopped' : 'done';
    onProgress({ ...progress, bound: best.bound(), cost: best.solution()?.cost ?? progress.cost });
  });
  const hungTimer = killWhenHung(search, limits);
  const result = new Promise<SearchResult>((resolve, reject) => {
    const settle = (reason: string): void => {
      clearTimeout(killTimer);
      clearTimeout(hungTimer);
      prover.kill('SIGKILL');
      const solution = best.solution();
      if (!solution || !last) {
        const why = isStopRequested ? 'it was stopped before its first plan' : reason;
        reject(new Error(`The search ended without a plan: ${why}.`));
        return;
      }
      if (end === 'broken' && isStopRequested) end = 'stopped';
      if (end === 'broken' && best.isProven()) end = 'done';
      const { seconds, iterations } = last;
      const leftOut = solution.choice.filter((option) => option < 0).length;
      resolve({ solution, bound: best.bound(), leftOut, seconds, iterations, end });
    };
    search.once('error', (error) => settle(error.message));
    search.once('close', (code, signal) =>
      settle(lastLine(errorOf()) ?? `process ended with ${signal ?? `code ${code}`}`),
    );
  });
  const order: SearchOrder = { model, limits };
  search.send(order);
  prover.send(order);
  return {
    result,
    processId: search.pid,
    boundProcessId: prover.pid,
    stop() {
      if (isStopRequested) return;
      isStopRequested = true;
      stop();
    },
  };
}

function killWhenHung(child: ChildProcess, limits: SearchLimits): NodeJS.Timeout | undefined {
  if (!('seconds' in limits)) return undefined;
  return setTimeout(() => child.kill('SIGKILL'), limits.seconds * 1000 + lateMsMost);
}
