import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeBackup, restoreDatabase } from '../../src/storage/backup.ts';
import { openDatabase } from '../../src/storage/database.ts';
import { copyPhotos, listPhotos, restorePhotos } from '../../src/storage/photo-copies.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const name = (letter: string) => `${letter.repeat(32)}.jpg`;

/** A database with photos beside it. */
function workAt(folder: string, photos: Record<string, string>): string {
  const path = join(folder, 'work.db');
  openDatabase(path).close();
  mkdirSync(join(folder, 'work-photos'), { recursive: true });
  for (const [letter, text] of Object.entries(photos))
    writeFileSync(join(folder, 'work-photos', name(letter)), text);
  return path;
}

const pool = (folder: string) => readdirSync(join(folder, 'backups', 'work-photos'));

test('the hash of a photo is its SHA-256 (FIPS 180-4, the example "abc")', () => {
  const folder = temporaryFolder();
  workAt(folder, { a: 'abc' });
  expect(listPhotos(join(folder, 'work-photos'))).toEqual([
    {
      name: name('a'),
      bytes: 3,
      sha256: 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad',
    },
  ]);
});

test('a backup takes the photos along, each once, and a restore puts them back', async () => {
  const folder = temporaryFolder();
  const path = workAt(folder, { a: 'first', b: 'second' });
  const one = await makeBackup(path, new Date('2026-11-24T10:00:00Z'));
  writeFileSync(join(folder, 'work-photos', name('c')), 'third');
  const two = await makeBackup(path, new Date('2026-11-25T10:00:00Z'));
  expect(pool(folder)).toHaveLength(3);
  rmSync(join(folder, 'work-photos'), { recursive: true });
  await restoreDatabase(one, path, new Date('2026-11-25T11:00:00Z'));
  expect(restorePhotos(one, path)).toEqual({ count: 2, missing: [] });
  expect(readdirSync(join(folder, 'work-photos')).sort()).toEqual([name('a'), name('b')]);
  expect(restorePhotos(two, path)).toEqual({ count: 3, missing: [] });
  expect(readFileSync(join(folder, 'work-photos', name('c')), 'utf8')).toBe('third');
});

test('photos that only thinned backups held are removed with them', async () => {
  const folder = temporaryFolder();
  const path = workAt(folder, { a: 'first', b: 'second' });
  await makeBackup(path, new Date('2026-11-25T08:00:00Z'));
  rmSync(join(folder, 'work-photos', name('b')));
  await makeBackup(path, new Date('2026-11-25T10:00:00Z'));
  const left = readdirSync(join(folder, 'backups')).sort();
  expect(left).toEqual([
    'work-20261125T100000Z.db',
    'work-20261125T100000Z.photos.json',
    'work-photos',
  ]);
  expect(pool(folder)).toHaveLength(1);
});

test('a photo that is damaged in the backup is named, and the others are put back', async () => {
  const folder = temporaryFolder();
  const path = workAt(folder, { a: 'first', b: 'second' });
  const backup = await makeBackup(path, new Date('2026-11-25T08:00:00Z'));
  const hash = listPhotos(join(folder, 'work-photos'))[0]?.sha256 ?? '';
  writeFileSync(join(folder, 'backups', 'work-photos', hash), 'rotten');
  const other = join(folder, 'other.db');
  const answer = restorePhotos(backup, other);
  expect(answer.count).toBe(1);
  expect(answer.missing).toEqual([expect.stringContaining(`${name('a')} is not the one`)]);
  // The next backup makes it good again.
  await makeBackup(path, new Date('2026-11-26T08:00:00Z'));
  expect(restorePhotos(backup, other)).toEqual({ count: 2, missing: [] });
});

test('a database put back from elsewhere brings the photos that stand beside it', () => {
  const folder = temporaryFolder();
  const path = workAt(folder, { a: 'first' });
  expect(restorePhotos(path, join(folder, 'new.db'))).toEqual({ count: 1, missing: [] });
  expect(readdirSync(join(folder, 'new-photos'))).toEqual([name('a')]);
});

test('a present photo of the same name that differs is kept aside', () => {
  const folder = temporaryFolder();
  workAt(folder, { a: 'first' });
  const from = join(folder, 'work-photos');
  const to = join(folder, 'to');
  mkdirSync(to);
  writeFileSync(join(to, name('a')), 'mine');
  copyPhotos(listPhotos(from), (photo) => join(from, photo.name), to);
  expect(readFileSync(join(to, name('a')), 'utf8')).toBe('first');
  expect(readFileSync(join(to, `${name('a')}.before`), 'utf8')).toBe('mine');
});

test('without photos a backup is the database alone', async () => {
  const folder = temporaryFolder();
  const path = join(folder, 'bare.db');
  openDatabase(path).close();
  await makeBackup(path, new Date('2026-11-25T08:00:00Z'));
  expect(existsSync(join(folder, 'backups', 'bare-photos'))).toBe(false);
  expect(readdirSync(join(folder, 'backups'))).toEqual(['bare-20261125T080000Z.db']);
});
