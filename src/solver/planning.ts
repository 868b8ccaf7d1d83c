import type { PlanContent } from '../core/plans.ts';
import type { Outcome } from '../core/problems.ts';
import { forkChild, keepErrors, lastLine } from './fork.ts';
import type { FoundChoice, FromPlanning, PlanningOrder, PlanningProgress } from './messages.ts';

export type { PlanningOrder, PlanningProgress } from './messages.ts';

/** A process that has not heard a stop by then is building the model or hangs: it is killed. */
const stopHeardMs = 1000;
/** So long after its budget a search in time mode is given up: models of 500 units take seconds on both ends. */
const lateMsMost = 120_000;

export interface PlanRun {
  /** The checked plan, or what the checker finds wrong. Rejects with an Error when there is no plan. */
  result: Promise<Outcome<PlanContent>>;
  /** Ends the search; `result` then comes with the best plan so far. */
  stop(): void;
  /** Of the process that plans; undefined when it could not be started. */
  processId: number | undefined;
}

/**
 * Plans in a process of its own, from the land to the checked plan, so that the pages are answered meanwhile. When
 * that process ends early, another turns the best choice known into days.
 */
export function startPlanRun(
  order: Omit<PlanningOrder, 'found'>,
  onProgress: (progress: PlanningProgress) => void = () => {},
): PlanRun {
  let best: FoundChoice | null = null;
  let isStopped = false;
  const first = runChild({ ...order, found: null }, (progress, found) => {
    best = found ?? best;
    onProgress(progress);
  });
  const result = first.result.catch((error: Error): Promise<Outcome<PlanContent>> => {
    if (best) return runChild({ ...order, found: best }, () => {}).result;
    const why = isStopped ? 'it was stopped before its first plan.' : error.message;
    throw new Error(`The search ended without a plan: ${why}`);
  });
  return {
    result,
    processId: first.processId,
    stop() {
      if (isStopped) return;
      isStopped = true;
      first.stop();
    },
  };
}

/** One process. Its result rejects with what it said last when it ends without an answer. */
function runChild(
  order: PlanningOrder,
  onProgress: (progress: PlanningProgress, found: FoundChoice | null) => void,
) {
  const child = forkChild('planning-child');
  const errorOf = keepErrors(child);
  let answer: Outcome<PlanContent> | null = null;
  let failure: string | null = null;
  let stopTimer: NodeJS.Timeout | undefined;
  const lateTimer =
    'seconds' in order.limits
      ? setTimeout(() => child.kill('SIGKILL'), order.limits.seconds * 1000 + lateMsMost)
      : undefined;
  child.on('message', (message: FromPlanning) => {
    if (message.kind === 'progress') onProgress(message.progress, message.found);
    else if (message.kind === 'heard') clearTimeout(stopTimer);
    else if (message.kind === 'done') answer = message.outcome;
    else failure = message.message;
  });
  const result = new Promise<Outcome<PlanContent>>((resolve, reject) => {
    const settle = (reason: string): void => {
      clearTimeout(stopTimer);
      clearTimeout(lateTimer);
      if (answer) resolve(answer);
      else reject(new Error(failure ?? lastLine(errorOf()) ?? reason));
    };
    child.once('error', (error) => settle(error.message));
    child.once('close', (code, signal) =>
      settle(`process ended with ${signal ?? `code ${code}`}.`),
    );
  });
  child.send(order);
  return {
    result,
    processId: child.pid,
    stop(): void {
      if (child.connected) child.send('stop');
      stopTimer = setTimeout(() => child.kill('SIGKILL'), stopHeardMs);
    },
  };
}
