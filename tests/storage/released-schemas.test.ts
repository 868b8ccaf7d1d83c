import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { describe, expect, test } from 'vitest';
import { restoreDatabase, verifyDatabase } from '../../src/storage/backup.ts';
import { openStore } from '../../src/storage/store.ts';
import { fakeOperation } from '../support/operation.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';
import { libraryOf } from './fixtures.ts';

/**
 * Databases as the released programs wrote them (their own code made them, with invented rows in every table that
 * people fill), as SQL. A release adds its own.
 */
const releases = new URL('../fixtures/schemas/', import.meta.url);

type Row = Record<string, unknown>;

const tablesOf = (db: Database.Database): string[] =>
  db
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name",
    )
    .pluck()
    .all();

const parsed = (value: unknown): unknown =>
  typeof value === 'string' && /^[[{]/.test(value) ? JSON.parse(value) : value;

/** A row with its JSON as values; a later schema may add fields to both. */
const opened = (row: Row): Row =>
  Object.fromEntries(Object.entries(row).map(([name, value]) => [name, parsed(value)]));

describe.each(readdirSync(releases).sort())('%s', (name) => {
  const folder = temporaryFolder();
  const old = join(folder, 'old.db');
  const db = new Database(old);
  db.exec(readFileSync(new URL(name, releases), 'utf8'));
  const before = new Map(
    tablesOf(db).map((table) => [
      table,
      db.prepare<[], Row>(`SELECT rowid AS "row number", * FROM "${table}" ORDER BY rowid`).all(),
    ]),
  );
  db.close();

  test('holds rows in the tables that people fill', () => {
    for (const table of ['property', 'unit', 'block', 'crew', 'work_entry', 'own_feed', 'plan'])
      expect(before.get(table)?.length, table).toBeGreaterThan(0);
  });

  test('is restored and opened with every row as it was', async () => {
    const path = join(folder, 'work.db');
    await restoreDatabase(old, path, new Date('2026-11-25T18:00:00Z'));
    verifyDatabase(path);
    const now = new Database(path, { readonly: true });
    for (const [table, rows] of before) {
      const after = now
        .prepare<[], Row>(`SELECT rowid AS "row number", * FROM "${table}" ORDER BY rowid`)
        .all();
      const known = after.slice(0, rows.length).map(opened);
      expect(known, table).toMatchObject(rows.map(opened));
      expect(table === 'migration' || after.length === rows.length, table).toBe(true);
    }
    expect(now.prepare('SELECT count(*) FROM sqlite_sequence').pluck().get()).toBeGreaterThan(0);
    now.close();
  });

  test('is written to afterwards, and the first change is logged and taken back', () => {
    const path = join(folder, 'work.db');
    const store = openStore(path, () => new Date('2026-11-25T18:00:00Z'));
    const library = libraryOf(fakeOperation());
    const [unit] = store.operation(library).units;
    if (!unit) throw new Error('no unit');
    expect(store.updateUnit(unit.id, { name: 'Renamed' }, library)).toEqual([]);
    const everything = { table: null, key: null, person: null, from: null, until: null };
    const [group] = store.changeLog.list({ ...everything, propertyIds: null }, 1).groups;
    expect(group?.changes.map(({ table }) => table)).toContain('unit');
    expect(store.changeLog.undo(group?.changes ?? [], 'Back.').ok).toBe(true);
    expect(store.operation(library).units[0]).toEqual(unit);
    expect(store.plans.inForce()).not.toBeNull();
    expect(store.published().length).toBeGreaterThan(0);
    store.close();
  });
});
