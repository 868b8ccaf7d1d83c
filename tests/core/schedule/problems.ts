import { readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import type { FileTask, ProblemFile } from '../../../src/core/problem-file.ts';
import type { Outcome } from '../../../src/core/problems.ts';
import { parseProblemFile } from '../../../src/core/schedule/problem-file.ts';

/** Text of a problem file of tests/fixtures/problems. */
export function problemText(name: string): string {
  const url = new URL(`../../fixtures/problems/${name}.json.gz`, import.meta.url);
  return gunzipSync(readFileSync(url)).toString('utf8');
}

export function valueIn<T>(outcome: Outcome<T>): T {
  if (!outcome.ok) throw new Error(outcome.problems.map((one) => one.message).join('\n'));
  return outcome.value;
}

export const readProblem = (name: string): ProblemFile =>
  valueIn(parseProblemFile(problemText(name)));

/** A task that may start in weeks 0 to 9 and needs one unit of resource 0. */
export function task(id: number, change: Partial<FileTask> = {}): FileTask {
  return {
    id,
    unit: 0,
    type: 'CUT',
    dur: 1,
    starts: [0, 1, 2, 3, 4, 5, 6, 7, 8, 9],
    modes: [{ use: [[0, 1]], cost: 0 }],
    due: 10,
    w: 1,
    U: 100,
    ...change,
  };
}

/** Ten weeks in two seasons, two neighbouring units and one far off, one resource. */
export function tinyProblem(change: Partial<ProblemFile> = {}): ProblemFile {
  return {
    T: 10,
    start: '2027-09-06',
    units: [0, 1, 2].map((id) => ({ id, prio: 1, acres: 10, gx: id, gy: 0 })),
    adj: [[0, 1]],
    season: [0, 0, 0, 0, 0, 1, 1, 1, 1, 1],
    nSeason: 2,
    res: [{ name: 'crew', cap: Array(10).fill(2) }],
    budgets: [],
    tasks: [task(0)],
    prec: [],
    prev: [],
    pins: {},
    moveFix: 10,
    moveW: 3,
    moveCap: 12,
    ...change,
  };
}
