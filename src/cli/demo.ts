import { sampleLand } from '../core/sample/land.ts';
import { exitDone, readArguments, readRequired, readToday, type Verb } from './arguments.ts';
import { openOperationFile } from './operation-file.ts';

async function run(args: string[]): Promise<number> {
  const { values } = readArguments(args, ['db', 'today']);
  const file = openOperationFile(readRequired(values, 'db'), readToday(values));
  try {
    file.store.replaceLand(sampleLand(file.today('America/Chicago')));
    const { units, properties } = file.operation();
    process.stdout.write(
      `Sample land loaded: ${units.length} units on ${properties.length} properties.\n`,
    );
    return exitDone;
  } finally {
    file.close();
  }
}

export const demoVerb: Verb = {
  name: 'demo',
  summary: 'load the invented sample land (replaces the land in the database)',
  help: `
Usage: node dist/cli/main.js demo --db FILE [--today DATE]

  --db FILE      the database; land, plans and facts in it are replaced
  --today DATE   hang the sample's dates on this day (tests and pictures)
`,
  run,
};
