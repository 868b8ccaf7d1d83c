import { existsSync, mkdirSync, readdirSync, renameSync, rmSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { type BackupTime, backupsToKeep } from '../core/backups.ts';
import { parseIsoDate } from '../core/dates.ts';
import { openDatabase } from './database.ts';
import { refuseUnknownMigrations } from './migrate.ts';
import { backUpPhotos, dropOldPhotos } from './photo-copies.ts';
import { lockForServer } from './server-lock.ts';
import { writeFault } from './write-faults.ts';

/** A backup on the disk; `madeAt` is its UTC instant in milliseconds. */
export interface BackupFile extends BackupTime {
  path: string;
  madeAt: number;
}

export const backupFolderOf = (path: string): string => join(dirname(path), 'backups');

const stemOf = (path: string): string => basename(path).replace(/\.[^.]*$/, '');
const stampOf = (at: Date): string =>
  at
    .toISOString()
    .replace(/\.\d+Z$/, 'Z')
    .replaceAll(/[-:]/g, '');
const endPattern = /^-(\d{4})(\d{2})(\d{2})T(\d{2})(\d{2})(\d{2})Z\.db$/;

/** The backups of a database in a folder, newest first. Other files are passed over. */
export function listBackups(path: string, folder = backupFolderOf(path)): BackupFile[] {
  if (!existsSync(folder)) return [];
  const stem = stemOf(path);
  const found: BackupFile[] = [];
  for (const name of readdirSync(folder)) {
    const match = name.startsWith(stem) ? endPattern.exec(name.slice(stem.length)) : null;
    if (!match) continue;
    const [, year, month, day, hour, minute, second] = match;
    const date = parseIsoDate(`${year}-${month}-${day}`);
    const madeAt = Date.parse(`${date}T${hour}:${minute}:${second}Z`);
    if (!date || Number.isNaN(madeAt)) continue;
    found.push({ path: join(folder, name), date, time: `${hour}${minute}${second}`, madeAt });
  }
  return found.sort((a, b) => b.madeAt - a.madeAt);
}

const wordsOf = (error: unknown): string =>
  error instanceof Error ? error.message : String(error);

function readFile<T>(path: string, read: (db: Database.Database) => T): T {
  const db = new Database(path, { readonly: true, fileMustExist: true });
  try {
    return read(db);
  } finally {
    db.close();
  }
}

function refuseDamage(db: Database.Database): void {
  const faults = db.pragma('integrity_check') as { integrity_check: string }[];
  const first = faults[0]?.integrity_check;
  if (first !== 'ok') throw new Error(first);
}

/** What SQLite finds broken in the file, in its words; null when it is whole. */
export function damageOf(path: string): string | null {
  try {
    readFile(path, refuseDamage);
    return null;
  } catch (error) {
    return wordsOf(error);
  }
}

/** Throws an Error with a sentence unless the file is whole and this program knows its schema. */
export function verifyDatabase(path: string): void {
  try {
    readFile(path, (db) => {
      refuseDamage(db);
      const orphans = db.pragma('foreign_key_check') as unknown[];
      if (orphans.length > 0) throw new Error(`${orphans.length} rows have lost their parent`);
      refuseUnknownMigrations(db);
    });
  } catch (error) {
    throw new Error(`The file ${path} is not a good database: ${wordsOf(error)}`, { cause: error });
  }
}

/** A whole copy in one file, also of a database that is being written to. */
async function copyDatabase(from: string, to: string): Promise<void> {
  rmSync(to, { force: true });
  const db = new Database(from, { readonly: true, fileMustExist: true });
  try {
    await db.backup(to);
  } finally {
    db.close();
  }
  const copy = new Database(to);
  try {
    // Without a log beside it, the copy is one file and can be opened on read-only media.
    copy.pragma('journal_mode = DELETE');
  } finally {
    copy.close();
  }
}

/**
 * Copies a database while it is in use, with its photos, checks the copies, and only then gives the backup its name and
 * removes those that are not kept any more. Gives the path of the new one. Throws with a sentence; then no backup
 * is lost and no half-made one has a backup's name.
 */
export async function makeBackup(
  path: string,
  at: Date,
  folder: string = backupFolderOf(path),
): Promise<string> {
  if (!existsSync(path)) throw new Error(`There is no database ${path}. Check --db.`);
  mkdirSync(folder, { recursive: true });
  const target = join(folder, `${stemOf(path)}-${stampOf(at)}.db`);
  const part = `${target}.part`;
  try {
    await copyDatabase(path, part);
    verifyDatabase(part);
    backUpPhotos(path, target);
    renameSync(part, target);
  } catch (error) {
    if (!writeFault(error)) throw error;
    throw new Error(
      `No backup was made, and no older one is lost: the disk is full or takes no data. Make room for ${folder}, then try again.`,
      { cause: error },
    );
  } finally {
    for (const end of ['', '-journal', '-wal', '-shm']) rmSync(`${part}${end}`, { force: true });
  }
  const all = listBackups(path, folder);
  const kept = new Set(backupsToKeep(all).map((backup) => backup.path));
  for (const backup of all)
    if (!kept.has(backup.path) && backup.path !== target) rmSync(backup.path);
  dropOldPhotos(path, folder);
  return target;
}

/** No copy could be kept; the sentence is for pages. */
export class NotKept extends Error {}

/**
 * Copies a database as it is at this moment, before everything in it is replaced. The copy is checked, and no thinning
 * touches it. Gives its path. Throws NotKept.
 */
export function keepCopy(path: string, at: Date): string {
  const folder = backupFolderOf(path);
  mkdirSync(folder, { recursive: true });
  const target = join(folder, `${stemOf(path)}-kept-${stampOf(at)}.db`);
  try {
    rmSync(target, { force: true });
    readFile(path, (db) => db.prepare('VACUUM INTO ?').run(target));
    verifyDatabase(target);
    return target;
  } catch (error) {
    rmSync(target, { force: true });
    const { code = 'unknown fault' } = error as { code?: string };
    throw new NotKept(
      `No copy could be kept in the folder backups beside the database (${code}): make room there, or allow to write to it.`,
      { cause: error },
    );
  }
}

/** The newest backup that opens and is whole, or null. */
export function newestGoodBackup(path: string): BackupFile | null {
  const isGood = (backup: BackupFile): boolean => {
    try {
      verifyDatabase(backup.path);
      return true;
    } catch {
      return false;
    }
  };
  return listBackups(path).find(isGood) ?? null;
}

/**
 * Puts a closed, checked database in the place of another one, which is kept aside; gives its new path, or null when there
 * was none. The caller holds the server's lock.
 */
export function putInPlace(fresh: string, path: string, at: Date): string | null {
  const aside = existsSync(path) ? `${path}.before-${stampOf(at)}` : null;
  // The log goes with its database: it may hold what was written last.
  for (const end of ['-wal', '-shm', ''])
    if (aside && existsSync(`${path}${end}`)) renameSync(`${path}${end}`, `${aside}${end}`);
  renameSync(fresh, path);
  return aside;
}

/**
 * Puts a copy of `from` in the place of the database `path`, with its schema brought up to date. The present
 * file is kept aside; gives its new path, or null when there was none. Throws with a sentence when a server
 * has the database open or `from` is not good; then the present file stays where it is.
 */
export async function restoreDatabase(
  from: string,
  path: string,
  at: Date,
): Promise<string | null> {
  if (!existsSync(from)) throw new Error(`There is no file ${from}.`);
  mkdirSync(dirname(path), { recursive: true });
  const unlock = lockForServer(path);
  const fresh = `${path}.restoring`;
  try {
    verifyDatabase(from);
    await copyDatabase(from, fresh);
    openDatabase(fresh).close();
    verifyDatabase(fresh);
    return putInPlace(fresh, path, at);
  } finally {
    for (const end of ['', '-wal', '-shm']) rmSync(`${fresh}${end}`, { force: true });
    unlock();
  }
}
