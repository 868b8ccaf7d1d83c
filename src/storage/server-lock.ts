import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';

function openLock(path: string): Database.Database {
  try {
    mkdirSync(dirname(path), { recursive: true });
    return new Database(`${path}.lock`, { timeout: 0 });
  } catch (error) {
    throw new Error(
      `The database ${path} cannot be opened. Check that the folder exists, may be written to and that the path is not a folder.`,
      { cause: error },
    );
  }
}

/**
 * Takes the one place of a server (or a restore) on a database; gives what lets go of it. The lock is one of
 * the operating system on `FILE.lock`, so that it ends with the process, killed or not.
 * Throws an Error with a sentence when another process holds it.
 */
export function lockForServer(path: string): () => void {
  const lock = openLock(path);
  try {
    lock.exec('BEGIN EXCLUSIVE');
  } catch (error) {
    lock.close();
    throw new Error(
      `The database ${path} is in use by a server of this program. Stop that one first, or name another file with --db.`,
      { cause: error },
    );
  }
  return () => lock.close();
}
