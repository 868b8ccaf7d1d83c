import { existsSync } from 'node:fs';
import { damageOf, verifyDatabase } from '../storage/backup.ts';
import type { Finding } from '../web/deps.ts';
import { exitDone, exitProblems, readArguments, readRequired, type Verb } from './arguments.ts';
import { backupAdvice } from './backup.ts';
import { findingsOf } from './findings.ts';
import { openPresentFile } from './operation-file.ts';

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
      { key: 'database', found: 'The database is whole and its schema is up to date.' },
      ...findingsOf(path, file, new Date()),
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
