import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import type { Station } from '../core/weather/history.ts';
import { isTimeZone } from '../exchange/time-zone.ts';
import { csvWeatherColumns } from '../exchange/weather-csv.ts';
import type { WeatherFileOrder } from '../web/deps.ts';
import {
  exitDone,
  exitProblems,
  printProblems,
  readArguments,
  readNumber,
  readRequired,
  UsageError,
  type Verb,
} from './arguments.ts';
import { type OperationFile, openPresentFile } from './operation-file.ts';
import { importSteps, isKept } from './weather-import.ts';

function stationOf(values: Record<string, string | undefined>, zoneOfLand: string): Station {
  const latitude = readNumber(values, 'lat', { least: -90, most: 90 });
  const longitude = readNumber(values, 'lon', { least: -180, most: 180 });
  if (latitude === null || longitude === null)
    throw new UsageError('--lat and --lon are needed: the place of the station in degrees.');
  const timeZone = values['zone'] ?? zoneOfLand;
  if (!isTimeZone(timeZone))
    throw new UsageError(`--zone takes a name such as America/Chicago, not "${timeZone}".`);
  return {
    name: readRequired(values, 'station'),
    latitude,
    longitude,
    timeZone,
    isInvented: false,
  };
}

/** A choice of an option; the first one is the default. */
function choice<T extends string>(
  values: Record<string, string | undefined>,
  name: string,
  offered: readonly [T, ...T[]],
): T {
  const text = values[name] ?? offered[0];
  const found = offered.find((one) => one === text);
  if (!found) throw new UsageError(`--${name} takes one of ${offered.join(', ')}, not "${text}".`);
  return found;
}

function importFile(file: OperationFile, order: WeatherFileOrder): boolean {
  const steps = importSteps(file, order);
  let step = steps.next();
  while (!step.done) step = steps.next();
  const { report, problems, days, lines } = step.value;
  const isRead = isKept(step.value);
  printProblems(problems);
  printProblems(lines);
  const noun = days.length > 0 ? 'days' : 'hours';
  process.stdout.write(`${order.fileName}: ${report.rowsTaken} of ${report.rows} ${noun}.\n`);
  return isRead;
}

async function run(args: string[]): Promise<number> {
  const names = ['db', 'station', 'lat', 'lon', 'zone', 'format', 'clock', 'wind-height'];
  const { values, files } = readArguments(args, names);
  const path = readRequired(values, 'db');
  if (files.length === 0) throw new UsageError('Name at least one weather file.');
  const format = choice(values, 'format', ['auto', 'isd-lite', 'ghcn-daily', 'csv']);
  const clock = choice(values, 'clock', ['local', 'standard', 'utc']);
  const windHeight = choice(values, 'wind-height', ['10-m', '20-ft']);
  const file = openPresentFile(path, null);
  try {
    const station = stationOf(
      values,
      file.operation().properties[0]?.timeZone ?? 'America/Chicago',
    );
    let isAllRead = true;
    for (const name of files) {
      const bytes = readFileSync(name);
      const order = { station, fileName: basename(name), bytes, format, clock, windHeight };
      if (!importFile(file, order)) isAllRead = false;
    }
    return isAllRead ? exitDone : exitProblems;
  } finally {
    file.close();
  }
}

export const importWeatherVerb: Verb = {
  name: 'import-weather',
  summary: 'load weather (NOAA ISD-Lite or GHCN-Daily, plain CSV) and count its fit days',
  help: `
Usage: node dist/cli/main.js import-weather --db FILE --station NAME --lat X --lon Y [options] FILE...

  --db FILE        the database
  --station NAME   name to keep the history under
  --lat, --lon     place of the station in degrees, west and south negative
  --zone Z         its time zone (default: that of the first property); hours are counted in standard time
  --format F       auto (default), isd-lite, ghcn-daily or csv
  --clock C        of times in a plain CSV: local (with summer time; default), standard (without) or utc
  --wind-height H  of winds in a plain CSV: 10-m (default) or 20-ft
  FILE...          weather files, .gz too; a plain CSV starts with a line of columns whose names hold the units:
                   ${csvWeatherColumns.join(', ')}
Rows that cannot be right are named, counted and left out; missing stays missing.
`,
  run,
};
