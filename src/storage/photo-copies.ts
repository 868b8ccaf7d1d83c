import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import type { PhotoFile } from '../core/operation-document.ts';
import { photosFolder } from './photos.ts';

/** A plain name with an ending; what else lies in the folder is not taken along. */
const photoName = /^[0-9A-Za-z][0-9A-Za-z_-]*\.[a-z]{3,4}$/;

function hashOf(path: string): { bytes: number; sha256: string } {
  const content = readFileSync(path);
  return { bytes: content.length, sha256: createHash('sha256').update(content).digest('hex') };
}

/** The photos of a folder with their hashes, by name; none where there is no folder. */
export function listPhotos(folder: string): PhotoFile[] {
  if (!existsSync(folder)) return [];
  return readdirSync(folder)
    .filter((name) => photoName.test(name))
    .sort()
    .map((name) => ({ name, ...hashOf(join(folder, name)) }));
}

/** What is wrong with the photos that a listing names, as a sentence; null = all are there and whole. */
export function photoFault(
  photos: readonly PhotoFile[],
  pathOf: (photo: PhotoFile) => string,
): string | null {
  for (const photo of photos) {
    if (!photoName.test(photo.name)) return `${photo.name.slice(0, 60)} is no name of a photo`;
    const path = pathOf(photo);
    if (!existsSync(path)) return `the photo ${photo.name} is missing (${path})`;
    if (hashOf(path).sha256 !== photo.sha256)
      return `the photo ${photo.name} is not the one that was listed (${path})`;
  }
  return null;
}

/** Copies one file so that a half-made copy never has its name, and checks the copy. Throws with a sentence. */
function copyChecked(from: string, to: string, sha256: string): void {
  const part = `${to}.part`;
  try {
    copyFileSync(from, part);
    if (hashOf(part).sha256 !== sha256) throw new Error(`The copy of ${from} differs from it.`);
    renameSync(part, to);
  } finally {
    rmSync(part, { force: true });
  }
}

/**
 * Copies the photos of a listing into a folder and checks each copy. One that is there already and the same is left; one
 * of the same name that differs is kept aside under a name that ends in `.before`. Throws with a sentence.
 */
export function copyPhotos(
  photos: readonly PhotoFile[],
  pathOf: (photo: PhotoFile) => string,
  to: string,
  nameOf: (photo: PhotoFile) => string = ({ name }) => name,
): void {
  if (photos.length === 0) return;
  mkdirSync(to, { recursive: true });
  for (const photo of photos) {
    const target = join(to, nameOf(photo));
    if (existsSync(target)) {
      if (hashOf(target).sha256 === photo.sha256) continue;
      renameSync(target, `${target}.before`);
    }
    copyChecked(pathOf(photo), target, photo.sha256);
  }
}

/** The listing of a backup's photos stands beside it; the photos of all backups of a folder are kept once, by hash. */
const listingOf = (backup: string): string => backup.replace(/\.db$/, '.photos.json');
const poolOf = (path: string, folder: string): string => join(folder, basename(photosFolder(path)));
const nameInPool = ({ sha256 }: PhotoFile): string => sha256;

function readListing(path: string): PhotoFile[] {
  return JSON.parse(readFileSync(path, 'utf8')) as PhotoFile[];
}

/** Copies the photos of a database for a backup of it, each once, and lists them with their hashes. Throws with a sentence. */
export function backUpPhotos(path: string, backup: string): void {
  const photos = listPhotos(photosFolder(path));
  if (photos.length === 0) return;
  const folder = photosFolder(path);
  copyPhotos(photos, ({ name }) => join(folder, name), poolOf(path, dirname(backup)), nameInPool);
  const listing = listingOf(backup);
  writeFileSync(`${listing}.part`, `${JSON.stringify(photos, null, 1)}\n`);
  renameSync(`${listing}.part`, listing);
}

/** Removes listings whose backup is gone, and photos that no listing names any more. */
export function dropOldPhotos(path: string, folder: string): void {
  const pool = poolOf(path, folder);
  if (!existsSync(pool)) return;
  const stem = basename(pool).replace(/-photos$/, '');
  const listings = readdirSync(folder).filter(
    (name) => name.startsWith(`${stem}-`) && name.endsWith('.photos.json'),
  );
  const needed = new Set<string>();
  for (const listing of listings) {
    const file = join(folder, listing);
    if (!existsSync(file.replace(/\.photos\.json$/, '.db'))) rmSync(file);
    else for (const photo of readListing(file)) needed.add(nameInPool(photo));
  }
  for (const name of readdirSync(pool)) if (!needed.has(name)) rmSync(join(pool, name));
}

/**
 * Puts the photos of a backup, or of a database that has them beside it, where the database `path` looks for them. Those
 * that are there stay. Gives how many there are, and a sentence for each that can not be had: the rest is put back.
 */
export function restorePhotos(from: string, path: string): { count: number; missing: string[] } {
  const listing = listingOf(from);
  const beside = photosFolder(from);
  const isBackup = listing !== from && existsSync(listing);
  const photos = isBackup ? readListing(listing) : listPhotos(beside);
  // The name of a backup ends in its stamp, that of its photos does not.
  const pool = join(dirname(from), basename(beside).replace(/-\d{8}T\d{6}Z-photos$/, '-photos'));
  const pathOf = (photo: PhotoFile) =>
    isBackup ? join(pool, nameInPool(photo)) : join(beside, photo.name);
  const missing: string[] = [];
  for (const photo of photos) {
    const fault = photoFault([photo], pathOf);
    if (fault === null) copyPhotos([photo], pathOf, photosFolder(path));
    else missing.push(fault);
  }
  return { count: photos.length - missing.length, missing };
}
