import type { Problem } from '../core/problems.ts';

const full = new Set(['SQLITE_FULL', 'ENOSPC', 'EDQUOT', 'EFBIG']);
const readOnly = new Set([
  'SQLITE_READONLY',
  'SQLITE_CANTOPEN',
  'SQLITE_PERM',
  'EROFS',
  'EACCES',
  'EPERM',
]);

/** What a failed write means to the person who waits for it; null for a fault of another kind. */
export function writeFault(error: unknown): Problem | null {
  const code = error instanceof Error && 'code' in error ? String(error.code) : '';
  const plain = code.replace(/^(SQLITE_(?:READONLY|IOERR|CANTOPEN|FULL))_.*$/, '$1');
  if (full.has(plain))
    return {
      code: 'disk-full',
      message:
        'The disk is full, so nothing of this was saved. What you typed is still here: make room on the disk, then save again.',
    };
  if (readOnly.has(plain))
    return {
      code: 'disk-read-only',
      message:
        'The database can not be written, so nothing of this was saved. What you typed is still here: let the program write its folder again, then save again.',
    };
  if (plain === 'SQLITE_IOERR' || code === 'EIO')
    return {
      code: 'disk-fault',
      message:
        'The disk did not take the data, so nothing of this was saved. What you typed is still here: check the disk and its space, then save again.',
    };
  return null;
}

/** Writes what nobody waits for; false where the disk refuses it: that stops no reader. */
export function wroteIfDiskAllows(write: () => void): boolean {
  try {
    write();
    return true;
  } catch (error) {
    if (!writeFault(error)) throw error;
    return false;
  }
}
