import { execFile } from 'node:child_process';
import { accessSync, constants, existsSync, statSync } from 'node:fs';
import { dirname } from 'node:path';
import {
  damageOf,
  listBackups,
  makeBackup,
  newestGoodBackup,
  restoreDatabase,
} from '../storage/backup.ts';
import { restorePhotos } from '../storage/photo-copies.ts';
import { lockForServer } from '../storage/server-lock.ts';
import { exitDone, readArguments, readRequired, UsageError, type Verb } from './arguments.ts';

const dayMs = 24 * 60 * 60 * 1000;
const hourMs = 60 * 60 * 1000;

const isDue = (path: string, now: number): boolean => {
  const newest = listBackups(path)[0];
  // A backup of the future was made before the clock was set back: it says nothing of today.
  return !newest || newest.madeAt > now || now - newest.madeAt >= dayMs;
};

/** The daily backups of a running server. */
export interface BackupKeeping {
  /** Why the newest try failed; null = it did not, or none was made yet. */
  failure(): string | null;
  end(): void;
}

/**
 * Makes a backup when the newest is a day old, now and at each hour, in a process of its own, because checking
 * a copy would hold up the pages. One that fails is said on standard error and tried again in an hour.
 */
export function keepBackups(path: string): BackupKeeping {
  const program = process.argv[1] ?? '';
  let failure: string | null = null;
  const look = (): void => {
    if (!isDue(path, Date.now())) return;
    execFile(
      process.execPath,
      [...process.execArgv, program, 'backup', '--db', path],
      (error, _out, err) => {
        failure = error ? err.trim() || error.message : null;
        if (failure !== null)
          process.stderr.write(`No backup was made; the next try is in an hour. ${failure}\n`);
      },
    );
  };
  look();
  const timer = setInterval(look, hourMs);
  timer.unref();
  return { failure: () => failure, end: () => clearInterval(timer) };
}

/** What to put in the place of a damaged database. */
export function backupAdvice(path: string): string {
  const good = newestGoodBackup(path);
  return good
    ? `The newest good backup is ${good.path}. Put it back with: restore ${good.path} --db ${path} (the damaged file is kept aside).`
    : 'There is no good backup in the folder backups beside it. Put back a copy of your own with the verb restore, or name another file.';
}

/** A server that can not write would take forms and lose them one by one, so it does not start. */
function refuseReadOnly(path: string): void {
  if (!existsSync(path)) return;
  try {
    accessSync(path, constants.W_OK);
    accessSync(dirname(path), constants.W_OK);
  } catch (error) {
    throw new Error(
      `The database ${path} or its folder is read-only. Let the account that runs the program write both, then start again.`,
      { cause: error },
    );
  }
}

/**
 * Takes the server's place on a database and checks that the file is whole; gives what lets go of it.
 * Throws with a sentence: in use, or damaged with the newest good backup named.
 */
export function claimDatabase(path: string): () => void {
  refuseReadOnly(path);
  const unlock = lockForServer(path);
  const damage = existsSync(path) && statSync(path).isFile() ? damageOf(path) : null;
  if (damage === null) return unlock;
  unlock();
  throw new Error(
    `The file ${path} is not a database, or it is damaged (${damage}). ${backupAdvice(path)}`,
  );
}

async function runBackup(args: string[]): Promise<number> {
  const { values, files } = readArguments(args, ['db', 'to']);
  if (files.length > 0) throw new UsageError('backup takes no file; name a folder with --to.');
  const made = await makeBackup(readRequired(values, 'db'), new Date(), values['to']);
  process.stdout.write(`Backup made and checked: ${made}\n`);
  return exitDone;
}

export const backupVerb: Verb = {
  name: 'backup',
  summary: 'copy the database, also while the server runs, and check the copy',
  help: `
Usage: node dist/cli/main.js backup --db FILE [--to FOLDER]

  --db FILE     the database
  --to FOLDER   where backups are kept (default: the folder backups beside the database)

Of each folder the newest of the latest 7 days, 4 weeks and 12 months is kept; older backups are removed.
`,
  run: runBackup,
};

async function runRestore(args: string[]): Promise<number> {
  const { values, files } = readArguments(args, ['db']);
  const [from] = files;
  if (!from || files.length > 1) throw new UsageError('Name one file to put back.');
  const path = readRequired(values, 'db');
  const aside = await restoreDatabase(from, path, new Date());
  const photos = restorePhotos(from, path);
  const kept = aside ? ` The file before is kept as ${aside}.` : '';
  process.stdout.write(
    `${from} was put back as ${path} and checked, with ${photos.count} photos.${kept}\n`,
  );
  for (const fault of photos.missing) process.stderr.write(`Not put back: ${fault}.\n`);
  return exitDone;
}

export const restoreVerb: Verb = {
  name: 'restore',
  summary: 'put a backup back; the present file is kept aside',
  help: `
Usage: node dist/cli/main.js restore BACKUP --db FILE

  BACKUP      a backup with its photos, or any database of this program; an older one is brought up to date
  --db FILE   the database that it takes the place of; stop the server first
`,
  run: runRestore,
};
