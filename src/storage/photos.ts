import { randomBytes } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  utimesSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, extname, join } from 'node:path';

/** The folder of the photos of a database: beside it, under its name. */
export function photosFolder(databasePath: string): string {
  const name = basename(databasePath, extname(databasePath));
  return join(dirname(databasePath), `${name}-photos`);
}

/** Names that the folder gives out; no other name is ever read. */
const photoName = /^[0-9a-f]{32}\.(jpg|png|webp)$/;

/** Days that a photo without an entry is kept, so that an entry can come back with its photos. */
const keptDays = 90;
const dayMs = 24 * 60 * 60 * 1000;

export type PhotoFolder = ReturnType<typeof photoFolder>;

function writeWhole(path: string, bytes: Uint8Array): void {
  const file = openSync(path, 'wx', 0o600);
  try {
    for (let at = 0; at < bytes.length; ) at += writeSync(file, bytes, at);
    fsyncSync(file);
  } finally {
    closeSync(file);
  }
}

/** Makes the new name last through a power cut; a file system that does not know it does without. */
function syncFolder(folder: string): void {
  const file = openSync(folder, 'r');
  try {
    fsyncSync(file);
  } catch {
    // The bytes of the photo itself are on the disk.
  } finally {
    closeSync(file);
  }
}

/** Photo files beside a database. The rows that name them are in the database. */
export function photoFolder(folder: string, now: () => Date) {
  const pathOf = (name: string) => {
    if (!photoName.test(name)) throw new RangeError('not the name of a photo');
    return join(folder, name);
  };
  return {
    /** Writes a photo and gives its name; it is on the disk whole before this returns. Throws when it can not be. */
    put: (bytes: Uint8Array, ending: 'jpg' | 'png' | 'webp'): string => {
      mkdirSync(folder, { recursive: true });
      const name = `${randomBytes(16).toString('hex')}.${ending}`;
      const unfinished = join(folder, `${name}.part`);
      try {
        writeWhole(unfinished, bytes);
        renameSync(unfinished, pathOf(name));
      } catch (error) {
        rmSync(unfinished, { force: true });
        throw error;
      }
      syncFolder(folder);
      return name;
    },
    /** Null for a name that is none or a file that is not there. */
    read: (name: string): Uint8Array | null =>
      photoName.test(name) && existsSync(pathOf(name)) ? readFileSync(pathOf(name)) : null,
    /** Takes a file away whose row was not written. */
    drop: (name: string): void => rmSync(pathOf(name), { force: true }),
    /** Counts the days that photos without an entry are kept from now. */
    letGo: (names: readonly string[]): void => {
      for (const name of names)
        if (existsSync(pathOf(name))) utimesSync(pathOf(name), now(), now());
    },
    /** Removes what a broken write left, and photos that no entry has named for 90 days; gives how many. */
    sweep: (named: readonly string[]): number => {
      if (!existsSync(folder)) return 0;
      const kept = new Set(named);
      const isOver = (name: string) =>
        name.endsWith('.part') ||
        (photoName.test(name) &&
          !kept.has(name) &&
          now().getTime() - statSync(join(folder, name)).mtimeMs > keptDays * dayMs);
      const over = readdirSync(folder).filter(isOver);
      for (const name of over) rmSync(join(folder, name), { force: true });
      return over.length;
    },
  };
}
