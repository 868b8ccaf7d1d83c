/**
 * How good the search is on the problem files, at the budgets of their size (5, 10 and 60 seconds). One
 * process at a time; run by `npx tsx tests/bench/solve.ts [NAME...] [--seeds N]`. Not part of the tests.
 */
import { parseArgs } from 'node:util';
import { checkProblemAnswer } from '../../src/core/check/problem-file.ts';
import { answerOf, modelOf } from '../../src/core/schedule/problem-file.ts';
import { createSearch, stepIterations } from '../../src/core/schedule/search.ts';
import { readProblem } from '../core/schedule/problems.ts';

/** Best cost known before this search was written, and the best lower bound of the column generation. */
const known: Record<string, [cost: number, bound: number, seconds: number]> = {
  'small-1': [3285, 3285, 5],
  'small-2': [9559, 9559, 5],
  'small-3': [10284, 10284, 5],
  'medium-1': [35878, 32620, 10],
  'medium-2': [27135, 22987, 10],
  'medium-3': [54907, 44437, 10],
  'large-1': [127543, 111883, 60],
};

const { values, positionals } = parseArgs({
  options: { seeds: { type: 'string', default: '1' } },
  allowPositionals: true,
});
const names = positionals.length > 0 ? positionals : Object.keys(known);
const heads = [
  'file',
  'seed',
  'seconds',
  'iterations',
  'first',
  'best',
  'known',
  'own bound',
  'bound',
  'gap %',
  'value gap %',
  'closed %',
  'left out',
  'MB',
  'check',
];
console.log(heads.join('\t'));
for (const name of names)
  for (let seed = 1; seed <= Number(values.seeds); seed++)
    console.log(measure(name, seed).join('\t'));

function measure(name: string, seed: number): (string | number)[] {
  const [knownCost, knownBound, seconds] = known[name] ?? [Number.NaN, 0, 10];
  const file = readProblem(name);
  const model = modelOf(file);
  const startedAt = performance.now();
  const search = createSearch(model, seed);
  const first = search.cost;
  for (let share = 0; share < 1; share = (performance.now() - startedAt) / (seconds * 1000))
    search.step(stepIterations, share);
  const cost = search.cost;
  const bound = Math.max(knownBound, search.bound ?? 0);
  const dropAll = file.tasks.reduce((sum, task) => sum + task.U, 0);
  const percent = (part: number, whole: number) => ((100 * part) / whole).toFixed(2);
  const wrong = checkProblemAnswer(file, answerOf(file, search.best(), seconds));
  return [
    name,
    seed,
    seconds,
    search.iterations,
    first,
    cost,
    knownCost,
    search.bound ?? '-',
    bound,
    percent(cost - bound, cost),
    percent(cost - bound, dropAll - bound),
    percent(first - cost, first - bound),
    search.leftOutCount,
    Math.round(process.memoryUsage().rss / 1e6),
    wrong.length === 0 ? 'ok' : wrong[0]!.code,
  ];
}
