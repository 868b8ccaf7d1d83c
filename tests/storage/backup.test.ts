import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import {
  backupFolderOf,
  damageOf,
  listBackups,
  makeBackup,
  newestGoodBackup,
  restoreDatabase,
  verifyDatabase,
} from '../../src/storage/backup.ts';
import { openDatabase } from '../../src/storage/database.ts';
import { migrate, migrationsFolder } from '../../src/storage/migrate.ts';
import { lockForServer } from '../../src/storage/server-lock.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const folder = temporaryFolder();
const names = readdirSync(migrationsFolder).sort();
const owner = (name: string) => `INSERT INTO landowner (name, contact) VALUES ('${name}', '')`;
const owners = (path: string): unknown[] => {
  const db = new Database(path, { readonly: true });
  const found = db.prepare('SELECT name FROM landowner ORDER BY id').pluck().all();
  db.close();
  return found;
};

function placeFor(name: string): string {
  mkdirSync(join(folder, name));
  return join(folder, name, 'work.db');
}

/** Breaks every page after the first, so that the file still says that it is a database. */
function damage(path: string): void {
  const bytes = readFileSync(path);
  bytes.fill(0xa5, 4096);
  writeFileSync(path, bytes);
}

test('commits are on the disk before they are answered (synchronous FULL is 2 in the SQLite manual)', () => {
  const db = openDatabase(placeFor('pragmas'));
  expect(db.pragma('synchronous', { simple: true })).toBe(2);
  expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
  db.close();
});

test('a backup of an open database holds what was written last and stands in one file', async () => {
  const path = placeFor('open');
  const db = openDatabase(path);
  db.exec(owner('Ash Hollow Trust'));
  const made = await makeBackup(path, new Date('2026-11-25T16:38:23Z'));
  db.close();
  expect(made).toBe(join(backupFolderOf(path), 'work-20261125T163823Z.db'));
  expect(owners(made)).toEqual(['Ash Hollow Trust']);
  expect(readdirSync(backupFolderOf(path))).toEqual(['work-20261125T163823Z.db']);
});

test('older backups are thinned; files of other names stay', async () => {
  const path = placeFor('thinned');
  openDatabase(path).close();
  mkdirSync(backupFolderOf(path));
  writeFileSync(join(backupFolderOf(path), 'workshop-20200101T000000Z.db'), 'not ours');
  for (const hour of ['01', '02', '03'])
    await makeBackup(path, new Date(`2026-11-25T${hour}:00:00Z`));
  expect(readdirSync(backupFolderOf(path)).sort()).toEqual([
    'work-20261125T030000Z.db',
    'workshop-20200101T000000Z.db',
  ]);
});

test('a damaged database gives no backup, and its good ones stay', async () => {
  const path = placeFor('damaged');
  openDatabase(path).close();
  const good = await makeBackup(path, new Date('2026-11-24T01:00:00Z'));
  const later = await makeBackup(path, new Date('2026-11-25T01:00:00Z'));
  damage(path);
  damage(later);
  expect(damageOf(path)).not.toBeNull();
  await expect(makeBackup(path, new Date('2026-11-26T01:00:00Z'))).rejects.toThrow();
  expect(listBackups(path).map((backup) => backup.path)).toEqual([later, good]);
  expect(newestGoodBackup(path)?.path).toBe(good);
});

test('restore keeps the present file aside', async () => {
  const path = placeFor('aside');
  const db = openDatabase(path);
  db.exec(owner('Before'));
  const made = await makeBackup(path, new Date('2026-11-24T01:00:00Z'));
  db.exec(owner('After'));
  db.close();
  const aside = await restoreDatabase(made, path, new Date('2026-11-25T01:00:00Z'));
  expect(owners(path)).toEqual(['Before']);
  expect(owners(aside ?? '')).toEqual(['Before', 'After']);
});

test('restore refuses a database in use and a bad file, and leaves the present one', async () => {
  const path = placeFor('refused');
  openDatabase(path).close();
  const made = await makeBackup(path, new Date('2026-11-24T01:00:00Z'));
  const unlock = lockForServer(path);
  await expect(restoreDatabase(made, path, new Date())).rejects.toThrow('is in use by a server');
  unlock();
  const before = readFileSync(path);
  damage(made);
  await expect(restoreDatabase(made, path, new Date())).rejects.toThrow('is not a good database');
  expect(readFileSync(path).equals(before)).toBe(true);
  expect(existsSync(`${path}.restoring`)).toBe(false);
});

test.each(names.map((name, at) => [name, names.slice(0, at + 1)] as const))(
  'restore brings a database that ends with %s up to date',
  async (name, files) => {
    const path = placeFor(name);
    const place = join(folder, `${name}-migrations`);
    mkdirSync(place);
    for (const file of files)
      writeFileSync(join(place, file), readFileSync(new URL(file, migrationsFolder)));
    const old = join(folder, `${name}.db`);
    const db = new Database(old);
    migrate(db, pathToFileURL(`${place}/`));
    db.exec(owner('Ash Hollow Trust'));
    db.close();
    expect(await restoreDatabase(old, path, new Date())).toBeNull();
    verifyDatabase(path);
    expect(owners(path)).toEqual(['Ash Hollow Trust']);
    const now = new Database(path, { readonly: true });
    expect(now.prepare('SELECT name FROM migration ORDER BY name').pluck().all()).toEqual(names);
    now.close();
  },
);
