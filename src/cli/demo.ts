import { sampleLand } from '../core/sample/land.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readRequired,
  readToday,
  type Verb,
} from './arguments.ts';
import { openOperationFile } from './operation-file.ts';
import { loadSampleWeather } from './weather-import.ts';

async function run(args: string[]): Promise<number> {
  const { values } = readArguments(args, ['db', 'today']);
  const file = openOperationFile(readRequired(values, 'db'), readToday(values));
  try {
    const own = file.operation();
    // As on the page: the sample never takes the place of land that somebody entered.
    if (own.units.length > 0 && own.properties.some((property) => !property.isSample)) {
      printProblems([
        {
          code: 'own-land',
          message:
            'The database holds land of your own, which would be lost: load the sample into another --db file.',
        },
      ]);
      return exitProblems;
    }
    const today = file.today('America/Chicago');
    file.store.replaceLand(sampleLand(today), file.keepCopy(), () =>
      loadSampleWeather(file, today),
    );
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
  summary: 'load the invented sample land and weather (in place of sample land, never of your own)',
  help: `
Usage: node dist/cli/main.js demo --db FILE [--today DATE]

  --db FILE      the database; sample land in it, its plans and facts are replaced, land of your own is refused
  --today DATE   hang the sample's dates on this day (tests and pictures)
`,
  run,
};
