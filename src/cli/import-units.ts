import { readFileSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import { unitFileBytesMost } from '../exchange/unit-file.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readRequired,
  UsageError,
  type Verb,
} from './arguments.ts';
import { importUnits } from './land-import.ts';
import { openPresentFile } from './operation-file.ts';
import { propertyNamed } from './property-named.ts';

async function run(args: string[]): Promise<number> {
  const { values, files } = readArguments(args, ['db', 'property']);
  const path = readRequired(values, 'db');
  const name = readRequired(values, 'property');
  const [unitFile] = files;
  if (!unitFile || files.length > 1) throw new UsageError('Name one file of units.');
  if (statSync(unitFile).size > unitFileBytesMost) {
    printProblems([{ code: 'file-too-large', message: 'The file is over 20 MB: split it.' }]);
    return exitProblems;
  }
  const file = openPresentFile(path, null);
  try {
    const property = propertyNamed(file, name);
    const text = readFileSync(unitFile, 'utf8');
    const done = importUnits(file, property.id, basename(unitFile), text);
    printProblems(done.problems);
    if (done.problemCount > 0) {
      process.stderr.write(
        `${done.problemCount} problem${done.problemCount === 1 ? '' : 's'}; nothing was imported.\n`,
      );
      return exitProblems;
    }
    printProblems(done.notes);
    process.stdout.write(`${done.added} units added, ${done.updated} updated.\n`);
    return exitDone;
  } finally {
    file.close();
  }
}

export const importUnitsVerb: Verb = {
  name: 'import-units',
  summary: 'bring in units from GeoJSON or CSV, all or nothing',
  help: `
Usage: node dist/cli/main.js import-units --db FILE --property NAME UNITS

  --db FILE         the database
  --property NAME   name (or number) of the property the units belong to
  UNITS             .geojson or .json (RFC 7946), or .csv with the header
                    code,name,acres,community,aspect,slope_percent,density,tags
Any problem: each is named with its line and nothing is imported.
`,
  run,
};
