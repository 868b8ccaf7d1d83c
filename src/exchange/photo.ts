import type { Outcome, Problem } from '../core/problems.ts';

/** A photo without what the camera wrote into it. */
export interface CleanPhoto {
  bytes: Uint8Array;
  ending: 'jpg' | 'png' | 'webp';
}

type Cleaned = Outcome<CleanPhoto>;

const problemOf = (code: string, message: string): { ok: false; problems: Problem[] } => ({
  ok: false,
  problems: [{ code, field: 'photos', message }],
});
const notWhole = (name: string) =>
  problemOf(
    'photo-broken',
    `${name}: the photo is damaged or did not arrive whole. Choose it again.`,
  );

function viewOf(bytes: Uint8Array): DataView {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
}

function asciiAt(bytes: Uint8Array, at: number, text: string): boolean {
  return [...text].every((letter, index) => bytes[at + index] === letter.charCodeAt(0));
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

const letters = (text: string) => Uint8Array.from(text, (letter) => letter.charCodeAt(0));

/**
 * Orientation (tag 0x0112, 1 to 8) of the first directory of a TIFF block, as Exif carries it (Exif 2.32, 4.6.4 and TIFF 6.0,
 * section 2); 1, upright, when it is not there or can not be read.
 */
function orientationOf(tiff: Uint8Array): number {
  const view = viewOf(tiff);
  const little = asciiAt(tiff, 0, 'II');
  if (tiff.length < 8 || (!little && !asciiAt(tiff, 0, 'MM'))) return 1;
  const directory = view.getUint32(4, little);
  if (directory + 2 > tiff.length) return 1;
  const count = view.getUint16(directory, little);
  for (let index = 0; index < count; index++) {
    const at = directory + 2 + index * 12;
    if (at + 12 > tiff.length) return 1;
    if (view.getUint16(at, little) !== 0x0112) continue;
    const value = view.getUint16(at + 8, little);
    return value >= 1 && value <= 8 ? value : 1;
  }
  return 1;
}

/** A TIFF block that says the orientation and nothing else. */
function tiffOf(orientation: number): Uint8Array {
  const entry = [1, 0x12, 0, 3, 0, 0, 0, 1, 0, orientation, 0, 0];
  return Uint8Array.from([0x4d, 0x4d, 0, 42, 0, 0, 0, 8, 0, 1, ...entry, 0, 0, 0, 0]);
}

/** After the entropy-coded bytes of a scan: the next marker that is neither stuffing nor a restart. */
function endOfScan(bytes: Uint8Array, from: number): number {
  let at = from;
  while (at + 1 < bytes.length) {
    if (bytes[at] === 0xff) {
      const next = bytes[at + 1] ?? 0;
      if (next !== 0 && next !== 0xff && !(next >= 0xd0 && next <= 0xd7)) return at;
    }
    at += 1;
  }
  return -1;
}

/**
 * JPEG (ITU-T T.81, annex B): all marker segments but those of programs (APPn) and comments are kept; of the APPn the JFIF head
 * and Adobe's colour transform, which the picture can not be drawn without. What follows the end of the image (other
 * pictures, a film) is dropped.
 */
function cleanJpeg(name: string, bytes: Uint8Array): Cleaned {
  const view = viewOf(bytes);
  const parts: Uint8Array[] = [];
  let orientation = 1;
  let hasFrame = false;
  let at = 2;
  while (at + 4 <= bytes.length || (at + 2 <= bytes.length && bytes[at + 1] === 0xd9)) {
    if (bytes[at] !== 0xff) return notWhole(name);
    const marker = bytes[at + 1] ?? 0;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker === 0xd9) {
      if (!hasFrame) return notWhole(name);
      const exif = tiffOf(orientation);
      const length = exif.length + 8;
      const head = [0xff, 0xe1, length >> 8, length & 255, ...letters('Exif'), 0, 0];
      const turned = orientation === 1 ? [] : [Uint8Array.from(head), exif];
      const [start, end] = [Uint8Array.of(0xff, 0xd8), Uint8Array.of(0xff, 0xd9)];
      return {
        ok: true,
        value: { bytes: joined([start, ...turned, ...parts, end]), ending: 'jpg' },
      };
    }
    const length = view.getUint16(at + 2);
    let next = at + 2 + length;
    if (length < 2 || next > bytes.length) return notWhole(name);
    if (marker === 0xe1 && asciiAt(bytes, at + 4, 'Exif\0\0'))
      orientation = orientationOf(bytes.subarray(at + 10, next));
    if (marker === 0xda) {
      hasFrame = true;
      next = endOfScan(bytes, next);
      if (next < 0) return notWhole(name);
    }
    const isProgram = marker >= 0xe0 && marker <= 0xef;
    const isNeeded =
      (marker === 0xe0 && asciiAt(bytes, at + 4, 'JFIF\0')) ||
      (marker === 0xee && asciiAt(bytes, at + 4, 'Adobe'));
    if (isNeeded || (!isProgram && marker !== 0xfe)) parts.push(bytes.subarray(at, next));
    at = next;
  }
  return notWhole(name);
}

const crcTable = Uint32Array.from({ length: 256 }, (_, byte) => {
  let value = byte;
  for (let bit = 0; bit < 8; bit++) value = value & 1 ? 0xedb88320 ^ (value >>> 1) : value >>> 1;
  return value;
});

/** CRC of a PNG chunk's name and data (PNG, third edition, annex D). */
function crcOf(bytes: Uint8Array): number {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = (crcTable[(crc ^ byte) & 255] ?? 0) ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
}

function pngChunk(name: string, data: Uint8Array): Uint8Array {
  const named = joined([letters(name), data]);
  const chunk = new Uint8Array(named.length + 8);
  chunk.set(named, 4);
  viewOf(chunk).setUint32(0, data.length);
  viewOf(chunk).setUint32(named.length + 4, crcOf(named));
  return chunk;
}

const pngSignature = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
/** Chunks that draw the picture; all others (text, time, Exif, profiles, of programs) are dropped. */
const pngKept = ['IHDR', 'PLTE', 'tRNS', 'sRGB', 'gAMA', 'cHRM', 'IDAT', 'IEND'];

/** PNG (third edition, section 5): kept are the chunks that draw the picture, each with its sum checked. */
function cleanPng(name: string, bytes: Uint8Array): Cleaned {
  const view = viewOf(bytes);
  const parts: Uint8Array[] = [Uint8Array.from(pngSignature)];
  let [orientation, hasData] = [1, false];
  let at = pngSignature.length;
  while (at + 12 <= bytes.length) {
    const length = view.getUint32(at);
    const end = at + 12 + length;
    if (end > bytes.length) break;
    const kind = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (crcOf(bytes.subarray(at + 4, end - 4)) !== view.getUint32(end - 4)) break;
    if (parts.length === 1 && kind !== 'IHDR') break;
    if (kind === 'eXIf') orientation = orientationOf(bytes.subarray(at + 8, end - 4));
    if (kind === 'IDAT') hasData = true;
    if (pngKept.includes(kind)) parts.push(bytes.subarray(at, end));
    if (kind === 'IEND') {
      if (!hasData) break;
      if (orientation !== 1) parts.splice(2, 0, pngChunk('eXIf', tiffOf(orientation)));
      return { ok: true, value: { bytes: joined(parts), ending: 'png' } };
    }
    at = end;
  }
  return notWhole(name);
}

function riffChunk(name: string, data: Uint8Array): Uint8Array {
  const chunk = new Uint8Array(8 + data.length + (data.length % 2));
  chunk.set(letters(name));
  viewOf(chunk).setUint32(4, data.length, true);
  chunk.set(data, 8);
  return chunk;
}

const webpKept = ['VP8 ', 'VP8L', 'ALPH', 'ANIM', 'ANMF'];
/** Bits of the VP8X head: colour profile, Exif, XMP. */
const [iccBit, exifBit, xmpBit] = [0x20, 0x08, 0x04];

/** WebP (RFC 9649, section 2): colour profile, Exif, XMP and unknown chunks are dropped and their bits cleared. */
function cleanWebp(name: string, bytes: Uint8Array): Cleaned {
  const view = viewOf(bytes);
  const size = view.getUint32(4, true) + 8;
  if (size > bytes.length) return notWhole(name);
  const parts: Uint8Array[] = [];
  let head: Uint8Array | null = null;
  let orientation = 1;
  let at = 12;
  while (at + 8 <= size) {
    const kind = String.fromCharCode(...bytes.subarray(at, at + 4));
    const length = view.getUint32(at + 4, true);
    const end = at + 8 + length;
    if (end > size) return notWhole(name);
    const data = bytes.subarray(at + 8, end);
    if (kind === 'VP8X') head = Uint8Array.from(data);
    else if (kind === 'EXIF')
      orientation = orientationOf(asciiAt(data, 0, 'Exif\0\0') ? data.subarray(6) : data);
    else if (webpKept.includes(kind)) parts.push(riffChunk(kind, data));
    at = end + (length % 2);
  }
  if (parts.length === 0) return notWhole(name);
  if (head) {
    const isTurned = orientation !== 1;
    head[0] = ((head[0] ?? 0) & ~(iccBit | exifBit | xmpBit)) | (isTurned ? exifBit : 0);
    parts.unshift(riffChunk('VP8X', head));
    if (isTurned) parts.push(riffChunk('EXIF', tiffOf(orientation)));
  }
  const body = joined([letters('WEBP'), ...parts]);
  return { ok: true, value: { bytes: riffChunk('RIFF', body), ending: 'webp' } };
}

/**
 * A JPEG, PNG or WebP, told by its content, without what the camera and programs wrote into it: place, time, names, previews,
 * comments, colour profiles. Only the orientation is kept, since pictures are turned by it. `name` is for the sentence when it is
 * none of these, or damaged.
 */
export function cleanPhoto(name: string, bytes: Uint8Array): Cleaned {
  if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return cleanJpeg(name, bytes);
  if (pngSignature.every((byte, index) => bytes[index] === byte)) return cleanPng(name, bytes);
  if (bytes.length > 20 && asciiAt(bytes, 0, 'RIFF') && asciiAt(bytes, 8, 'WEBP'))
    return cleanWebp(name, bytes);
  return problemOf('photo-kind', `${name}: choose a photo in the format JPEG, PNG or WebP.`);
}
