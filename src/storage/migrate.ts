import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import type { Database } from 'better-sqlite3';

export const migrationsFolder = new URL('../../migrations/', import.meta.url);

interface Migration {
  name: string;
  sql: string;
  hash: string;
}

const namePattern = /^\d{4}_[a-z0-9_]+\.sql$/;

/** The files of the folder in order of their numbers. Line ends do not count in the hash. */
function readMigrations(folder: URL): Migration[] {
  const names = readdirSync(folder)
    .filter((name) => namePattern.test(name))
    .sort();
  return names.map((name) => {
    const sql = readFileSync(new URL(name, folder), 'utf8').replaceAll('\r\n', '\n');
    return { name, sql, hash: createHash('sha256').update(sql).digest('hex') };
  });
}

function appliedHashes(db: Database): Map<string, string> {
  const rows = db.prepare<[], { name: string; hash: string }>('SELECT name, hash FROM migration');
  return new Map(rows.all().map((row) => [row.name, row.hash]));
}

function refuseForeignHistory(migrations: readonly Migration[], applied: Map<string, string>) {
  const known = new Set(migrations.map((migration) => migration.name));
  const newer = [...applied.keys()].filter((name) => !known.has(name)).sort();
  if (newer.length > 0)
    throw new Error(
      `The database was written by a newer version of the program (it holds ${newer.join(', ')}). ` +
        'Start that version, or go back to a copy made before the upgrade.',
    );
  const last = [...applied.keys()].sort().at(-1) ?? '';
  for (const { name, hash } of migrations) {
    const before = applied.get(name);
    if (before !== undefined && before !== hash)
      throw new Error(
        `The migration ${name} was changed after it had been applied to this database. ` +
          'Put the file back as it was released; changes of the schema go into a new file.',
      );
    if (before === undefined && name < last)
      throw new Error(
        `The migration ${name} comes before ${last}, which was applied already. Give it a higher number.`,
      );
  }
}

/** Throws with a sentence when the database has no migrations, or one that this program does not know. */
export function refuseUnknownMigrations(db: Database, folder: URL = migrationsFolder): void {
  refuseForeignHistory(readMigrations(folder), appliedHashes(db));
}

function applyMigration(db: Database, { name, sql, hash }: Migration): boolean {
  return db
    .transaction(() => {
      // Another process may have been quicker while this one waited for the lock.
      if (appliedHashes(db).has(name)) return false;
      db.exec(sql);
      const orphans = db.pragma('foreign_key_check') as unknown[];
      if (orphans.length > 0)
        throw new Error(`The migration ${name} would leave ${orphans.length} rows without parent.`);
      db.prepare(
        `INSERT INTO migration (name, hash, applied_at)
         VALUES (?, ?, strftime('%Y-%m-%dT%H:%M:%SZ', 'now'))`,
      ).run(name, hash);
      return true;
    })
    .immediate();
}

/**
 * Brings the schema up to date: numbered .sql files, forward only, each in a transaction and recorded by name
 * and content hash. Gives the names of the files applied now. Throws when an applied file has changed, when
 * the database knows a file that this program does not, or when rows would lose their parent. `upTo` is the last file to
 * apply, for a database in an older schema.
 * Foreign keys are off outside the transactions, because dropping a table would empty its child tables, and
 * the switch does nothing inside one.
 */
export function migrate(
  db: Database,
  folder: URL = migrationsFolder,
  upTo: string | null = null,
): string[] {
  const all = readMigrations(folder);
  const last = all.findIndex(({ name }) => name === upTo);
  if (upTo !== null && last < 0)
    throw new Error(
      `It was written by a newer version of the program (its schema is ${upTo.slice(0, 60)}). Use that version.`,
    );
  const migrations = upTo === null ? all : all.slice(0, last + 1);
  if (migrations.length === 0) throw new Error(`There are no migrations in ${folder.pathname}.`);
  db.exec(
    `CREATE TABLE IF NOT EXISTS migration (
       name TEXT NOT NULL PRIMARY KEY, hash TEXT NOT NULL, applied_at TEXT NOT NULL
     ) STRICT`,
  );
  const applied = appliedHashes(db);
  refuseForeignHistory(migrations, applied);
  const pending = migrations.filter(({ name }) => !applied.has(name));
  db.pragma('foreign_keys = OFF');
  try {
    return pending.filter((migration) => applyMigration(db, migration)).map(({ name }) => name);
  } finally {
    db.pragma('foreign_keys = ON');
  }
}
