import {
  exitDone,
  readArguments,
  readNumber,
  readRequired,
  UsageError,
  type Verb,
  writeJson,
} from './arguments.ts';
import { openPresentFile } from './operation-file.ts';
import { countStation, monthlyFitDays } from './weather-import.ts';

async function run(args: string[]): Promise<number> {
  const { values } = readArguments(args, ['db', 'station', 'prescription', 'from', 'to', 'json']);
  const path = readRequired(values, 'db');
  const years = { least: 1850, most: 2200, whole: true };
  const from = readNumber(values, 'from', years) ?? 1850;
  const to = readNumber(values, 'to', years) ?? 2200;
  const file = openPresentFile(path, null);
  try {
    const stations = file.store.weather.stations();
    const station = stations.find((one) => one.name === readRequired(values, 'station'));
    if (!station)
      throw new UsageError(
        `There is no station "${values['station']}"; there is: ${stations.map((one) => one.name).join(', ') || 'none yet'}.`,
      );
    const { prescriptions } = file.operation();
    const key = readRequired(values, 'prescription');
    const prescription = prescriptions.find((one) => one.key === key);
    if (!prescription)
      throw new UsageError(
        `There is no prescription "${key}"; there is: ${prescriptions.map((one) => one.key).join(', ')}.`,
      );
    countStation(file, station, [prescription]);
    const counts = file.store.weather
      .loadFitDayCounts(station.name, key)
      .filter((count) => count.year >= from && count.year <= to);
    writeJson(values['json'] ?? '-', monthlyFitDays(counts));
    return exitDone;
  } finally {
    file.close();
  }
}

export const burnDaysVerb: Verb = {
  name: 'burn-days',
  summary: 'count fit days by month from a loaded weather history',
  help: `
Usage: node dist/cli/main.js burn-days --db FILE --station NAME --prescription KEY [--from YEAR] [--to YEAR] [--json FILE]

  --db FILE            the database
  --station NAME       a loaded weather history
  --prescription KEY   e.g. hardwood-litter, grass, late-season, published-wide
  --from, --to         first and last year
  --json FILE          write {years: {"2017": [12 counts]}, mean: [12], unknownHours}; - (default) is standard output;
                       the mean is over whole years, where there is one
A count says what past weather would have allowed. It authorizes no burn.
`,
  run,
};
