import { existsSync, statfsSync, statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';
import { yearOf } from '../core/dates.ts';
import { damageOf, listBackups, verifyDatabase } from '../storage/backup.ts';
import { exitDone, exitProblems, readArguments, readRequired, type Verb } from './arguments.ts';
import { backupAdvice } from './backup.ts';
import { type OperationFile, openPresentFile } from './operation-file.ts';

/** A thing looked at: what was found and, where something needs doing, what. */
interface Finding {
  found: string;
  todo?: string;
}

const hourMs = 60 * 60 * 1000;
// Common practice, no source: a server makes one a day, so two days without mean that something is wrong.
const backupHoursMost = 48;
// Room for a backup, its half-made copy and the log of the database.
const copiesOfRoom = 3;

function backupFinding(path: string, now: Date): Finding {
  const newest = listBackups(path)[0];
  if (!newest)
    return { found: 'No backup.', todo: 'Start the server, or make one with the verb backup.' };
  const hours = Math.round((now.getTime() - newest.madeAt) / hourMs);
  if (hours < -1)
    return {
      found: `The newest backup, ${newest.path}, is of the future.`,
      todo: 'Set the clock of this machine right.',
    };
  const found = `The newest backup is ${Math.max(0, hours)} hours old: ${newest.path}.`;
  if (hours <= backupHoursMost) return { found };
  return { found, todo: "Read the server's log for why, and make one with the verb backup." };
}

function diskFinding(path: string): Finding {
  const { bavail, bsize } = statfsSync(dirname(resolve(path)));
  const mebibytes = (bytes: number): number => Math.floor(bytes / 1024 ** 2);
  const free = bavail * bsize;
  const found = `Free disk: ${mebibytes(free)} MiB.`;
  const needed = Math.max(copiesOfRoom * statSync(path).size, 256 * 1024 ** 2);
  if (free >= needed) return { found };
  return { found, todo: `Make room: at least ${mebibytes(needed)} MiB are needed.` };
}

function zoneFindings(file: OperationFile): Finding[] {
  return file.operation().properties.map(({ name, timeZone }) => {
    try {
      new Intl.DateTimeFormat('en-US', { timeZone });
      return { found: `Time zone of ${name}: ${timeZone}.` };
    } catch {
      const found = `Time zone of ${name}: ${timeZone} is not known on this machine.`;
      return { found, todo: 'Correct it on the page of the property.' };
    }
  });
}

function weatherFindings(file: OperationFile): Finding[] {
  const { weather } = file.store;
  const lastYear = yearOf(file.today()) - 1;
  return weather.stations().map(({ name }) => {
    const last = weather.loadYears(name, lastYear).at(-1)?.year;
    if (last !== undefined) return { found: `Hours of weather at ${name} reach into ${last}.` };
    const found = `Hours of weather at ${name} end before ${lastYear}.`;
    return { found, todo: 'Take in newer years with the verb import-weather.' };
  });
}

async function run(args: string[]): Promise<number> {
  const { values } = readArguments(args, ['db']);
  const path = readRequired(values, 'db');
  if (!existsSync(path)) throw new Error(`There is no database ${path}. Check --db.`);
  const damage = damageOf(path);
  if (damage !== null)
    throw new Error(`The database ${path} is damaged (${damage}). ${backupAdvice(path)}`);
  verifyDatabase(path);
  const file = openPresentFile(path, null);
  try {
    const findings: Finding[] = [
      { found: 'The database is whole and its schema is up to date.' },
      backupFinding(path, new Date()),
      diskFinding(path),
      ...zoneFindings(file),
      ...weatherFindings(file),
    ];
    for (const { found, todo } of findings)
      process.stdout.write(`${todo ? 'TO DO' : 'ok   '}  ${found}${todo ? ` ${todo}` : ''}\n`);
    return findings.some(({ todo }) => todo) ? exitProblems : exitDone;
  } finally {
    file.close();
  }
}

export const doctorVerb: Verb = {
  name: 'doctor',
  summary: 'look at database, backups, disk, time zones and weather, and say what to do',
  help: `
Usage: node dist/cli/main.js doctor --db FILE

  --db FILE   the database; an older one is brought up to date

Ends with 1 when something needs doing.
`,
  run,
};
