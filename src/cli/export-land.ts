import { writeFileSync } from 'node:fs';
import { exitDone, readArguments, readRequired, UsageError, type Verb } from './arguments.ts';
import { openPresentFile } from './operation-file.ts';
import { propertyNamed } from './property-named.ts';
import { exportLand } from './web-files.ts';

async function run(args: string[]): Promise<number> {
  const { values, files } = readArguments(args, ['db', 'property']);
  const path = readRequired(values, 'db');
  const [target] = files;
  const kind = /\.(geojson|json|kml)$/i.exec(target ?? '')?.[1]?.toLowerCase();
  if (!target || files.length > 1 || !kind)
    throw new UsageError('Name one file to write, ending in .geojson or .kml.');
  const file = openPresentFile(path, null);
  try {
    const property = propertyNamed(file, readRequired(values, 'property'));
    writeFileSync(target, exportLand(file, property.id, kind === 'kml' ? 'kml' : 'geojson'));
    process.stdout.write(`${property.name} was written to ${target}.\n`);
    return exitDone;
  } finally {
    file.close();
  }
}

export const exportLandVerb: Verb = {
  name: 'export-land',
  summary: 'write units, blocks, lines and points as GeoJSON or KML',
  help: `
Usage: node dist/cli/main.js export-land --db FILE --property NAME TARGET

  --db FILE         the database
  --property NAME   name (or number) of the property
  TARGET            .geojson (RFC 7946) or .kml (KML 2.2); an older file is replaced
`,
  run,
};
