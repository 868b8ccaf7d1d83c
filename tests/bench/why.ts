/**
 * What it takes to say what is in the way of late and left-out work: seconds from the choice of placings to the plan,
 * for the sample and for copies of it. Run by `npx tsx tests/bench/why.ts [COPIES...]`. Not part of the tests.
 */
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { isoDate } from '../../src/core/dates.ts';
import { landModel } from '../../src/core/schedule/land-model.ts';
import { planContent } from '../../src/core/schedule/plan.ts';
import { searchCounted } from '../../src/core/schedule/search.ts';
import { manyLand } from '../support/many-land.ts';

const today = isoDate('2026-11-25');
const given = process.argv.slice(2).map(Number);

console.log(['units', 'tasks', 'late', 'left out', 'named', 'seconds'].join('\t'));
for (const copies of given.length > 0 ? given : [1, 4]) console.log(measure(copies).join('\t'));

function measure(copies: number): (string | number)[] {
  const file = openOperationFile(':memory:', today);
  file.store.replaceLand(manyLand(file.library, today, { copies, entryCount: 0 }));
  const operation = file.operation();
  const problem = landModel(operation, file.horizon(operation), null);
  const run = { seed: 1, iterations: 600, seconds: 0, version: '' };
  const { choice } = searchCounted(problem.model, run.seed, run.iterations).best();
  const startedAt = performance.now();
  const { tasks, leftOut } = planContent(operation, problem, choice, run);
  const seconds = (performance.now() - startedAt) / 1000;
  const late = tasks.filter(({ lateDays }) => lateDays > 0);
  const named = [...late.map((one) => one.late), ...leftOut.map((one) => one.why)];
  return [
    operation.units.length,
    tasks.length,
    late.length,
    leftOut.length,
    named.filter((one) => one !== undefined).length,
    seconds.toFixed(2),
  ];
}
