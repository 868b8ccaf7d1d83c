import { statfsSync, statSync } from 'node:fs';
import { basename, dirname, resolve } from 'node:path';
import { yearOf } from '../core/dates.ts';
import { listBackups } from '../storage/backup.ts';
import type { Finding } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

const hourMs = 60 * 60 * 1000;
// Common practice, no source: a server makes one a day, so two days without mean that something is wrong.
const backupHoursMost = 48;
// Room for a backup, its half-made copy and the log of the database.
const copiesOfRoom = 3;
// Our own judgement: the services renew a forecast several times a day.
const forecastHoursMost = 24;

function backupFinding(path: string, now: Date): Finding {
  const newest = listBackups(path)[0];
  if (!newest)
    return {
      key: 'backup',
      found: 'No backup.',
      todo: 'Start the server, or make one with the verb backup.',
    };
  const hours = Math.round((now.getTime() - newest.madeAt) / hourMs);
  const name = basename(newest.path);
  if (hours < -1)
    return {
      key: 'backup',
      found: `The newest backup, ${name}, is of the future.`,
      todo: 'Set the clock of this machine right.',
    };
  const found = `The newest backup is ${Math.max(0, hours)} hours old: ${name}.`;
  if (hours <= backupHoursMost) return { key: 'backup', found };
  return {
    key: 'backup',
    found,
    todo: "Read the server's log for why, and make one with the verb backup.",
  };
}

function diskFinding(path: string): Finding {
  const { bavail, bsize } = statfsSync(dirname(resolve(path)));
  const mebibytes = (bytes: number): number => Math.floor(bytes / 1024 ** 2);
  const free = bavail * bsize;
  const found = `Free disk: ${mebibytes(free)} MiB.`;
  const needed = Math.max(copiesOfRoom * statSync(path).size, 256 * 1024 ** 2);
  if (free >= needed) return { key: 'disk', found };
  const todo = `Make room: at least ${mebibytes(needed)} MiB are needed.`;
  return { key: 'disk', found, todo };
}

function zoneFindings(file: OperationFile): Finding[] {
  return file.operation().properties.map(({ id, name, timeZone }): Finding => {
    try {
      new Intl.DateTimeFormat('en-US', { timeZone });
      return { key: 'time-zone', propertyId: id, found: `Time zone of ${name}: ${timeZone}.` };
    } catch {
      const found = `Time zone of ${name}: ${timeZone} is not known on this machine.`;
      const todo = 'Correct it on the page of the property.';
      return { key: 'time-zone', propertyId: id, found, todo };
    }
  });
}

function forecastFinding(file: OperationFile, station: string, now: Date): Finding[] {
  const forecast = file.store.weather.forecast(station);
  if (!forecast) return [];
  const hours = Math.round((now.getTime() - Date.parse(forecast.issuedAt)) / hourMs);
  const found = `The forecast at ${station} is ${Math.max(0, hours)} hours old.`;
  if (hours <= forecastHoursMost) return [{ key: 'weather', found }];
  return [{ key: 'weather', found, todo: 'Fetch or type a new one on the page Weather.' }];
}

function hoursFindings(file: OperationFile): Finding[] {
  const { weather } = file.store;
  const lastYear = yearOf(file.today()) - 1;
  return weather.stations().map(({ name }): Finding => {
    const last = weather.loadYears(name, lastYear).at(-1)?.year;
    if (last !== undefined)
      return { key: 'weather', found: `Hours of weather at ${name} reach into ${last}.` };
    const found = `Hours of weather at ${name} end before ${lastYear}.`;
    const todo = 'Take in newer years with the verb import-weather.';
    return { key: 'weather', found, todo };
  });
}

/** Backups, disk, time zones and weather of the database at `path`, as of `now`: what was found and what to do. */
export function findingsOf(path: string, file: OperationFile, now: Date): Finding[] {
  return [
    backupFinding(path, now),
    diskFinding(path),
    ...zoneFindings(file),
    ...hoursFindings(file),
    ...file.store.weather.places().flatMap(({ name }) => forecastFinding(file, name, now)),
  ];
}
