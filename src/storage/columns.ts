import { endianness } from 'node:os';

/** 16-bit whole numbers as little-endian bytes, whatever the machine. */
export function toBytes(column: Int16Array): Buffer {
  const bytes = Buffer.from(column.slice().buffer);
  return endianness() === 'LE' ? bytes : bytes.swap16();
}

/** The inverse of `toBytes`. */
export function fromBytes(bytes: Buffer): Int16Array {
  const copy = Buffer.from(Uint8Array.from(bytes).buffer);
  const ordered = endianness() === 'LE' ? copy : copy.swap16();
  return new Int16Array(ordered.buffer, ordered.byteOffset, ordered.length / 2);
}
