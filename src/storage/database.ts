import { mkdirSync } from 'node:fs';
import { dirname } from 'node:path';
import Database from 'better-sqlite3';
import { migrate, migrationsFolder } from './migrate.ts';

function open(path: string): Database.Database {
  try {
    if (path !== ':memory:') mkdirSync(dirname(path), { recursive: true });
    return new Database(path);
  } catch (error) {
    throw new Error(
      `The database ${path} cannot be opened. Check that the folder exists, may be written to and that the path is not a folder.`,
      { cause: error },
    );
  }
}

/** Looks before it writes, so that a file of something else is left as it is. */
function refuseForeignFile(db: Database.Database, path: string): void {
  let names: string[];
  try {
    names = db
      .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table'")
      .pluck()
      .all();
  } catch (error) {
    throw new Error(
      `The file ${path} is not a database, or it is damaged. Name another file, or put back a copy of the database.`,
      { cause: error },
    );
  }
  if (names.length > 0 && !names.includes('migration'))
    throw new Error(`The file ${path} is the database of another program. Name another file.`);
}

/**
 * Opens the one SQLite file, makes it and its folder when missing, and brings its schema up to date.
 * `:memory:` is a database for tests. Throws an Error with a sentence for people when the file is not a
 * database, belongs to something else or was written by a newer version.
 * Every commit is on the disk before it is answered (WAL with `synchronous` FULL).
 */
export function openDatabase(path: string, migrations: URL = migrationsFolder): Database.Database {
  const db = open(path);
  try {
    db.pragma('busy_timeout = 5000');
    refuseForeignFile(db, path);
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    migrate(db, migrations);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}
