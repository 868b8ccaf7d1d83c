import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import Database from 'better-sqlite3';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { noBurnLimits } from '../../src/core/blocks.ts';
import { openDatabase } from '../../src/storage/database.ts';
import { migrate, migrationsFolder } from '../../src/storage/migrate.ts';
import { openStore } from '../../src/storage/store.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { contentOf, libraryOf } from './fixtures.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'storage-test-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const names = readdirSync(migrationsFolder).sort();

function folderWith(files: Record<string, string>): URL {
  const place = mkdtempSync(join(folder, 'migrations-'));
  for (const [name, sql] of Object.entries(files)) writeFileSync(join(place, name), sql);
  return pathToFileURL(`${place}/`);
}

test('an empty database gets every migration once, in order', () => {
  const db = new Database(':memory:');
  expect(migrate(db)).toEqual(names);
  expect(migrate(db)).toEqual([]);
  expect(db.prepare('SELECT name FROM migration ORDER BY name').pluck().all()).toEqual(names);
  expect(db.pragma('foreign_keys', { simple: true })).toBe(1);
});

test('each number is given to one migration', () => {
  const numbers = names.map((name) => name.slice(0, 4));
  expect(numbers).toEqual(names.map((_, at) => String(at + 1).padStart(4, '0')));
});

test('a database of the first release keeps its blocks and edited rows when it is brought up to date', () => {
  const old = names.filter((name) => name < '0006');
  const path = join(folder, 'first-release.db');
  const text = (name: string) => readFileSync(new URL(name, migrationsFolder), 'utf8');
  const db = new Database(path);
  migrate(db, folderWith(Object.fromEntries(old.map((name) => [name, text(name)]))));
  db.exec(`
    INSERT INTO landowner VALUES (1, 'Ash Hollow Trust', '');
    INSERT INTO property VALUES (1, 1, 'Marl Ridge', 'MO', 'Ozark', 'America/Chicago', 37, -92.5, '07-01', '10-01',
      '{"leaf-out":"04-12","leaf-fall":"11-10","green-up":"03-20","warm-season-start":"05-01"}', 'no-matter', 0);
    INSERT INTO block VALUES (1, 1, 'N1', 'Glade', NULL, NULL, 1, NULL, NULL, '', NULL, 6, '{"planSignedBy":"T. Arden"}');
    INSERT INTO line VALUES (1, 1, 'N1 outside', 'mown', 900, NULL, NULL, NULL);
    INSERT INTO library_override VALUES ('communities', 'glade', '{"key":"glade"}', '2026-11-01T00:00:00Z');
  `);
  db.close();
  const store = openStore(path, () => new Date());
  const land = store.landContent();
  store.close();
  expect(land.blocks.map(({ readiness, burnLimits }) => ({ readiness, burnLimits }))).toEqual([
    { readiness: { planSignedBy: 'T. Arden', roles: [] }, burnLimits: noBurnLimits },
  ]);
  expect(land.lines[0]).toMatchObject({ name: 'N1 outside', path: null });
  const after = new Database(path);
  expect(after.prepare('SELECT kind, key FROM library_override').all()).toEqual([
    { kind: 'communities', key: 'glade' },
  ]);
  after.close();
});

test('every table of ours is strict', () => {
  const db = openDatabase(':memory:');
  const tables = db.pragma('table_list') as { name: string; strict: number }[];
  const loose = tables.filter(({ name, strict }) => !name.startsWith('sqlite_') && strict === 0);
  expect(loose).toEqual([]);
});

test('a changed migration is refused, a change of line ends is not', () => {
  const db = new Database(':memory:');
  const first = 'CREATE TABLE a (id INTEGER PRIMARY KEY) STRICT;\n';
  migrate(db, folderWith({ '0001_a.sql': first }));
  expect(migrate(db, folderWith({ '0001_a.sql': first.replace('\n', '\r\n') }))).toEqual([]);
  const changed = folderWith({ '0001_a.sql': `${first}-- more` });
  expect(() => migrate(db, changed)).toThrow('0001_a.sql was changed after it had been applied');
});

test('a database of a newer version and a migration out of order are refused', () => {
  const db = new Database(':memory:');
  const [a, b, c] = ['a', 'b', 'c'].map((name) => `CREATE TABLE ${name} (id INTEGER) STRICT;`);
  migrate(db, folderWith({ '0001_a.sql': a!, '0003_c.sql': c! }));
  expect(() => migrate(db, folderWith({ '0001_a.sql': a! }))).toThrow('newer version');
  const late = folderWith({ '0001_a.sql': a!, '0002_b.sql': b!, '0003_c.sql': c! });
  expect(() => migrate(db, late)).toThrow('0002_b.sql comes before 0003_c.sql');
});

test('rebuilding a parent table keeps its children, and a migration that fails leaves nothing', () => {
  const db = new Database(':memory:');
  const first = `CREATE TABLE unit (id INTEGER PRIMARY KEY) STRICT;
    CREATE TABLE visit (unit_id INTEGER NOT NULL REFERENCES unit (id) ON DELETE CASCADE) STRICT;
    INSERT INTO unit VALUES (1); INSERT INTO visit VALUES (1);`;
  const rebuild = `CREATE TABLE fresh (id INTEGER PRIMARY KEY, name TEXT) STRICT;
    INSERT INTO fresh (id) SELECT id FROM unit; DROP TABLE unit; ALTER TABLE fresh RENAME TO unit;`;
  migrate(db, folderWith({ '0001_a.sql': first, '0002_b.sql': rebuild }));
  expect(db.prepare('SELECT count(*) FROM visit').pluck().get()).toBe(1);
  const orphan = folderWith({
    '0001_a.sql': first,
    '0002_b.sql': rebuild,
    '0003_c.sql': 'DELETE FROM unit;',
  });
  expect(() => migrate(db, orphan)).toThrow('would leave 1 rows without parent');
  expect(db.prepare('SELECT count(*) FROM unit').pluck().get()).toBe(1);
});

test('a file is opened durable, with its folder made', () => {
  const db = openDatabase(join(folder, 'deep', 'er', 'land.db'));
  expect(db.pragma('journal_mode', { simple: true })).toBe('wal');
  expect(db.pragma('synchronous', { simple: true })).toBe(2);
  expect(db.pragma('busy_timeout', { simple: true })).toBe(5000);
  db.close();
});

test('a file that is no database, or of another program, is refused and left as it was', () => {
  const text = join(folder, 'notes.txt');
  writeFileSync(text, 'only some notes about the land, long enough to be looked at '.repeat(40));
  const before = readFileSync(text);
  expect(() => openDatabase(text)).toThrow('is not a database');
  expect(readFileSync(text)).toEqual(before);
  const other = join(folder, 'other.db');
  const foreign = new Database(other);
  foreign.exec('CREATE TABLE song (title TEXT)');
  foreign.close();
  expect(() => openDatabase(other)).toThrow('another program');
  expect(() => openDatabase(folder)).toThrow('cannot be opened');
});

test('a second connection sees what was committed, also when the first never closed', () => {
  const path = join(folder, 'land.db');
  const operation = fakeOperation();
  const first = openStore(path, () => new Date('2026-11-09T15:00:00Z'));
  first.replaceLand(contentOf(operation));
  const { id: _, ...entry } = fakeEntry(0, 1, 'dormant-burn', '2026-11-08');
  expect(first.worklog.record(entry, libraryOf(operation)).ok).toBe(true);
  const second = openStore(path, () => new Date('2026-11-09T15:00:00Z'));
  expect(second.landContent()).toEqual(first.landContent());
  expect(second.landContent().entries.at(-1)?.doneOn).toBe('2026-11-08');
  second.close();
  first.close();
});

test.each([
  ['a day that is none', "INSERT INTO holiday VALUES ('2026-02-30', 'x')", 'CHECK'],
  ['a day without zeros', "INSERT INTO holiday VALUES ('2026-2-1', 'x')", 'CHECK'],
  ['a day number', "INSERT INTO holiday VALUES ('2460000.5', 'x')", 'CHECK'],
  ['text for a number', "INSERT INTO gear VALUES ('a', 'A', 'two', '[]')", 'INTEGER'],
  ['broken JSON', "INSERT INTO gear VALUES ('a', 'A', 1, '[')", 'CHECK'],
  ['held dates that are none', "INSERT INTO held_dates VALUES ('k', '2025-02-29')", 'CHECK'],
  [
    'an unknown anchor',
    "INSERT INTO anchor_year VALUES (1, 'x', 2026, '2026-04-01', 'observed')",
    'CHECK',
  ],
  ['a unit without a block', unitSql(99, 1, 'Z9', 5), 'FOREIGN KEY'],
  ['a unit in a block of another property', unitSql(7, 1, 'Z9', 5), 'FOREIGN KEY'],
  ['a code twice', unitSql(1, 1, 'N1', 5), 'UNIQUE'],
  ['no acres', unitSql(1, 1, 'Z9', 0), 'CHECK'],
  ['a unit removed under its facts', 'DELETE FROM unit WHERE id = 1', 'FOREIGN KEY'],
  ['a pair the other way round', 'INSERT INTO neighbour VALUES (2, 1, 10, NULL)', 'UNIQUE'],
  ['a pair of one', 'INSERT INTO neighbour VALUES (3, 3, 10, NULL)', 'CHECK'],
])('the schema refuses %s', (_name, sql, reason) => {
  const path = join(folder, 'land.db');
  const store = openStore(path, () => new Date('2026-11-09T15:00:00Z'));
  store.replaceLand(contentOf(fakeOperation()));
  store.close();
  const db = openDatabase(path);
  expect(() => db.exec(sql)).toThrow(reason);
  db.close();
});

function unitSql(blockId: number, propertyId: number, code: string, acres: number): string {
  return `INSERT INTO unit (property_id, block_id, code, name, area_acres, community_key, tags)
    VALUES (${propertyId}, ${blockId}, '${code}', '', ${acres}, 'glade', '[]')`;
}
