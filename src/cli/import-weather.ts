import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import type { Station, WeatherYear } from '../core/weather/history.ts';
import { readIsdLite } from '../exchange/isd-lite.ts';
import { isTimeZone } from '../exchange/time-zone.ts';
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
import { openOperationFile } from './operation-file.ts';
import { countStation } from './weather-import.ts';

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

async function run(args: string[]): Promise<number> {
  const { values, files } = readArguments(args, ['db', 'station', 'lat', 'lon', 'zone']);
  const path = readRequired(values, 'db');
  if (files.length === 0) throw new UsageError('Name at least one ISD-Lite file.');
  const file = openOperationFile(path, null);
  try {
    const operation = file.operation();
    const station = stationOf(values, operation.properties[0]?.timeZone ?? 'America/Chicago');
    const years = new Map<number, WeatherYear>();
    let isRead = true;
    for (const name of files) {
      const reading = readIsdLite(basename(name), readFileSync(name));
      printProblems(reading.problems);
      process.stdout.write(
        `${basename(name)}: ${reading.report.rowsTaken} of ${reading.report.rows} hours.\n`,
      );
      if (reading.years.length === 0) isRead = false;
      for (const year of reading.years) years.set(year.year, year);
    }
    if (years.size === 0) return exitProblems;
    file.store.weather.saveStation(station);
    file.store.weather.saveYears(station.name, [...years.values()]);
    countStation(file, station, operation.prescriptions);
    return isRead ? exitDone : exitProblems;
  } finally {
    file.close();
  }
}

export const importWeatherVerb: Verb = {
  name: 'import-weather',
  summary: 'load hourly weather (NOAA ISD-Lite) and count its fit days',
  help: `
Usage: node dist/cli/main.js import-weather --db FILE --station NAME --lat X --lon Y [--zone Z] FILE...

  --db FILE        the database
  --station NAME   name to keep the history under
  --lat, --lon     place of the station in degrees, west and south negative
  --zone Z         its time zone (default: that of the first property); hours are counted in standard time
  FILE...          NOAA ISD-Lite files, .gz too
Rows that cannot be right are named, counted and left out; missing stays missing.
`,
  run,
};
