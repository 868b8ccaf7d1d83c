import type { Operation } from '../core/operation.ts';
import type { PlanContent } from '../core/plans.ts';
import { placeOfTask } from '../core/tasks.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readNumber,
  readRequired,
  readToday,
  UsageError,
  type Verb,
  writeJson,
} from './arguments.ts';
import { openPresentFile } from './operation-file.ts';
import { startPlanning } from './planning.ts';

/** Search iterations when no budget is given: enough for about a hundred units. */
export const iterationsDefault = 8_000;

/** A plan as the command line writes it. */
function planJson(operation: Operation, plan: PlanContent): unknown {
  const crews = new Map(operation.crews.map((crew) => [crew.id, crew.name]));
  return {
    cost: plan.cost,
    bound: plan.bound,
    tasks: plan.tasks.map((task) => ({
      key: task.key,
      ...placeOfTask(operation, task),
      treatment: task.treatmentKey,
      startsOn: task.startsOn,
      lastDay: task.lastDay,
      crew: task.crewIds.map((id) => crews.get(id) ?? '').join(' + '),
      crewDays: task.crewDaysTenths / 10,
      state: 'planned',
      lateDays: task.lateDays,
    })),
    leftOut: plan.leftOut.map(({ key, reason }) => ({ key, reason })),
    seconds: plan.seconds,
    seed: plan.seed,
  };
}

async function run(args: string[]): Promise<number> {
  const names = ['db', 'seed', 'iterations', 'seconds', 'json', 'today'];
  const { values, flags } = readArguments(args, names, ['adopt']);
  const path = readRequired(values, 'db');
  const seed = readNumber(values, 'seed', { least: 0, most: 2 ** 31 - 1, whole: true }) ?? 1;
  const iterations = readNumber(values, 'iterations', { least: 1, most: 1e9, whole: true });
  const seconds = readNumber(values, 'seconds', { least: 0.1, most: 3600 });
  if (iterations !== null && seconds !== null)
    throw new UsageError('Give --iterations or --seconds, not both.');
  const file = openPresentFile(path, readToday(values));
  try {
    const operation = file.operation();
    const madeFrom = file.store.revision();
    const limits =
      seconds !== null ? { seed, seconds } : { seed, iterations: iterations ?? iterationsDefault };
    const inForce = file.store.plans.inForce()?.content ?? null;
    const outcome = await startPlanning(operation, file.horizon(operation), inForce, limits).result;
    if (!outcome.ok) {
      printProblems(outcome.problems);
      return exitProblems;
    }
    const draft = file.store.plans.saveDraft(outcome.value, madeFrom);
    if (flags.has('adopt')) {
      const adopted = file.store.plans.adopt(draft.id, () => file.publish());
      if (!adopted.ok) {
        printProblems(adopted.problems);
        return exitProblems;
      }
    }
    if (values['json']) writeJson(values['json'], planJson(operation, outcome.value));
    else
      process.stdout.write(
        `${outcome.value.tasks.length} tasks planned, ${outcome.value.leftOut.length} left out, ` +
          `${outcome.value.seconds.toFixed(1)} s${flags.has('adopt') ? ', in force' : ', a draft'}.\n`,
      );
    return exitDone;
  } finally {
    file.close();
  }
}

export const planVerb: Verb = {
  name: 'plan',
  summary: 'plan the season: a checked draft, put in force with --adopt',
  help: `
Usage: node dist/cli/main.js plan --db FILE [--seed N] [--iterations N | --seconds S] [--adopt] [--json FILE]

  --db FILE        the database
  --seed N         seed of the search (default 1)
  --iterations N   budget in search iterations: the same plan on every machine (default ${iterationsDefault})
  --seconds S      budget in seconds instead
  --adopt          put the draft in force
  --json FILE      write {cost, bound, tasks, leftOut, seconds, seed}; - is standard output
  --today DATE     plan as of this day (tests and pictures)
`,
  run,
};
