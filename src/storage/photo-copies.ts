import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
} from 'node:fs';
import { join } from 'node:path';
import type { PhotoFile } from '../core/operation-document.ts';

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
