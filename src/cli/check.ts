import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readRequired,
  type Verb,
  writeJson,
} from './arguments.ts';
import { openPresentFile } from './operation-file.ts';

async function run(args: string[]): Promise<number> {
  const { values } = readArguments(args, ['db', 'json']);
  const file = openPresentFile(readRequired(values, 'db'), null);
  try {
    const plan = file.store.plans.inForce();
    const problems = plan
      ? file.check(plan.content)
      : [{ code: 'no-plan', message: 'There is no plan in force to check.' }];
    if (values['json']) writeJson(values['json'], { problems });
    else printProblems(problems);
    if (problems.length > 0) return exitProblems;
    if (values['json'] !== '-') process.stdout.write('The plan in force breaks no rule.\n');
    return exitDone;
  } finally {
    file.close();
  }
}

export const checkVerb: Verb = {
  name: 'check',
  summary: 'check the plan in force against every rule, by independent code',
  help: `
Usage: node dist/cli/main.js check --db FILE [--json FILE]

  --db FILE     the database
  --json FILE   write {problems}; - is standard output
Exit code 0: nothing wrong; 1: problems, one a line.
`,
  run,
};
