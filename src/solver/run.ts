import { type ChildProcess, fork } from 'node:child_process';
import type { Model, ModelSolution } from '../core/schedule/model.ts';
import type {
  SearchLimits,
  SearchOrder,
  SearchProgress,
  SearchReport,
  SearchResult,
} from './messages.ts';

export type { SearchLimits, SearchProgress, SearchResult } from './messages.ts';

/** A child that has not answered a stop by then is killed. */
const stopAnswerMs = 200;

export interface SearchRun {
  /** The best plan when the search ends. Rejects with an Error when the child failed before any plan. */
  result: Promise<SearchResult>;
  /** Ends the search; `result` then resolves with the best plan so far within a quarter of a second. */
  stop(): void;
  /** Of the child; undefined when it could not be started. */
  processId: number | undefined;
}

/** Runs one search in a child process. The best plan so far is held here, so a kill loses nothing. */
export function startSearch(
  model: Model,
  limits: SearchLimits,
  onProgress: (progress: SearchProgress) => void = () => {},
): SearchRun {
  const child = forkChild();
  let best: ModelSolution | null = null;
  let last: SearchProgress | null = null;
  let end: SearchResult['end'] = 'broken';
  let isStopRequested = false;
  let errorText = '';
  let killTimer: NodeJS.Timeout | undefined;
  child.stderr?.on('data', (chunk: Buffer) => {
    errorText = (errorText + chunk.toString()).slice(-2000);
  });
  child.on('message', ({ kind, progress }: SearchReport) => {
    best = progress.solution ?? best;
    last = progress;
    if (kind === 'done') end = isStopRequested ? 'stopped' : 'done';
    onProgress(progress);
  });

  const killSoon = (): void => {
    killTimer ??= setTimeout(() => child.kill('SIGKILL'), stopAnswerMs);
  };
  const result = new Promise<SearchResult>((resolve, reject) => {
    const settle = (reason: string): void => {
      clearTimeout(killTimer);
      if (!best || !last) {
        const why = isStopRequested ? 'it was stopped before its first plan' : reason;
        reject(new Error(`The search ended without a plan: ${why}.`));
      } else {
        const { bound, leftOut, seconds, iterations } = last;
        if (end === 'broken' && isStopRequested) end = 'stopped';
        resolve({ solution: best, bound, leftOut, seconds, iterations, end });
      }
    };
    child.once('error', (error) => settle(error.message));
    child.once('close', (code, signal) =>
      settle(lastLine(errorText) ?? `process ended with ${signal ?? `code ${code}`}`),
    );
  });
  const order: SearchOrder = { model, limits };
  child.send(order);
  return {
    result,
    processId: child.pid,
    stop() {
      if (isStopRequested) return;
      isStopRequested = true;
      if (child.connected) child.send('stop');
      killSoon();
    },
  };
}

/** The compiled child beside the compiled parent, the source beside the source (development and tests). */
function forkChild(): ChildProcess {
  const isSource = import.meta.url.endsWith('.ts');
  const file = new URL(isSource ? './child.ts' : './child.js', import.meta.url);
  return fork(file, {
    stdio: ['ignore', 'ignore', 'pipe', 'ipc'],
    serialization: 'advanced',
    ...(isSource ? { execArgv: ['--import', 'tsx'] } : {}),
  });
}

/** The line of a stack trace that says what went wrong. */
function lastLine(text: string): string | null {
  const lines = text.split('\n').filter((line) => line.trim() !== '');
  return lines.find((line) => /Error\b/.test(line)) ?? lines.at(-1) ?? null;
}
