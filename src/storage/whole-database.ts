import Database from 'better-sqlite3';
import type { DocumentHead, DocumentPart, DocumentRow } from '../core/operation-document.ts';
import { openDatabase } from './database.ts';
import { migrate, migrationsFolder } from './migrate.ts';

/** Who is signed in, and links to sign in with: they belong to the machine, not to the operation. */
const leftOut = new Set(['migration', 'session', 'password_link']);

/** Readings and what is counted from them: large, and to be loaded again from their files. Readings come first. */
const weatherTables = ['weather_year', 'daily_year', 'forecast', 'fit_day_count', 'site_fit_days'];

function tableNames(db: Database.Database, hasWeather: boolean): string[] {
  const names = db
    .prepare<[], string>(
      `SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name`,
    )
    .pluck()
    .all()
    .filter((name) => !leftOut.has(name) && !weatherTables.includes(name));
  return hasWeather ? [...names, ...weatherTables] : names;
}

function fieldTypes(db: Database.Database, table: string): Record<string, string> {
  const rows = db
    .prepare<[string], { name: string; type: string }>(
      'SELECT name, type FROM pragma_table_info(?)',
    )
    .all(table);
  return Object.fromEntries(rows.map(({ name, type }) => [name, type]));
}

/** JSON text stands as JSON where writing it again gives the same text; bytes stand as base64. */
function toDocument(value: unknown): unknown {
  if (Buffer.isBuffer(value)) return { base64: value.toString('base64') };
  if (typeof value !== 'string' || !/^[[{]/.test(value)) return value;
  try {
    const nested: unknown = JSON.parse(value);
    return JSON.stringify(nested) === value ? nested : value;
  } catch {
    return value;
  }
}

function fromDocument(value: unknown, type: string): unknown {
  if (typeof value !== 'object' || value === null) return value;
  const bytes = (value as { base64?: unknown }).base64;
  if (type === 'BLOB' && typeof bytes === 'string') return Buffer.from(bytes, 'base64');
  return JSON.stringify(value);
}

/** Order of rows that some lists are read in: as they were put in; a table without such numbers has that of its key. */
function rowOrder(db: Database.Database, table: string): string {
  const isWithout = db
    .prepare<[string], number>(
      "SELECT wr FROM pragma_table_list WHERE schema = 'main' AND name = ?",
    )
    .pluck()
    .get(table);
  return isWithout === 1 ? '' : 'ORDER BY rowid';
}

function* rowsOf(db: Database.Database, table: string): Generator<DocumentRow> {
  const names = Object.keys(fieldTypes(db, table));
  const rows = db.prepare<[], unknown[]>(`SELECT * FROM "${table}" ${rowOrder(db, table)}`).raw();
  for (const row of rows.iterate())
    yield Object.fromEntries(names.map((name, at) => [name, toDocument(row[at])]));
}

/** A database as its document lists it. */
export interface WholeDatabase {
  schema: string;
  sequences: Record<string, number>;
  fields: DocumentHead['fields'];
  tables: { name: string; rows: Iterable<DocumentRow> }[];
  close(): void;
}

/**
 * Reads a database as it is at this moment, also while it is in use; call `close` when the rows were read. Rows of a
 * table come in the order in which they were put in.
 */
export function readWhole(path: string, hasWeather: boolean): WholeDatabase {
  const db = new Database(path, { readonly: true, fileMustExist: true });
  db.exec('BEGIN');
  const names = tableNames(db, hasWeather);
  const sequences = db
    .prepare<[], { name: string; seq: number }>(
      'SELECT name, seq FROM sqlite_sequence ORDER BY name',
    )
    .all();
  return {
    schema: db.prepare<[], string>('SELECT max(name) FROM migration').pluck().get() ?? '',
    sequences: Object.fromEntries(
      sequences.filter(({ name }) => names.includes(name)).map(({ name, seq }) => [name, seq]),
    ),
    fields: Object.fromEntries(names.map((name) => [name, fieldTypes(db, name)])),
    tables: names.map((name) => ({ name, rows: rowsOf(db, name) })),
    close: () => db.close(),
  };
}

/** A document that does not fit the schema it names; the sentence names table, row and line. */
export class DocumentMisfit extends Error {}

type RowPart = Extract<DocumentPart, { kind: 'row' }>;

/** Puts rows of documents into tables, checking names of tables and fields. */
function rowInserter(db: Database.Database) {
  const known = new Map(tableNames(db, true).map((name) => [name, fieldTypes(db, name)]));
  const statements = new Map<string, Database.Statement<unknown[]>>();
  return ({ table, row, number, line }: RowPart): void => {
    const place = `Line ${line}: ${table}, row ${number}`;
    const types = known.get(table);
    if (!types)
      throw new DocumentMisfit(`${place}: there is no table of this name; take these rows out.`);
    const names = Object.keys(row);
    const odd = names.find((name) => !Object.hasOwn(types, name));
    if (odd !== undefined)
      throw new DocumentMisfit(
        `${place}: there is no field ${odd.slice(0, 40)} in it; take it out.`,
      );
    if (names.length === 0) throw new DocumentMisfit(`${place}: it is empty; take it out.`);
    const key = `${table} ${names.join(' ')}`;
    const columns = names.map((name) => `"${name}"`).join(', ');
    const sql = `INSERT INTO "${table}" (${columns}) VALUES (${names.map(() => '?').join(', ')})`;
    const statement = statements.get(key) ?? db.prepare<unknown[]>(sql);
    statements.set(key, statement);
    try {
      statement.run(...names.map((name) => fromDocument(row[name], types[name] ?? '')));
    } catch (error) {
      // A full disk is no fault of the row.
      const { code = '' } = error as { code?: string };
      if (code !== '' && !/^SQLITE_(CONSTRAINT|MISMATCH)/.test(code)) throw error;
      const why = error instanceof Error ? error.message : String(error);
      throw new DocumentMisfit(`${place} can not be stored (${why}); correct that field.`);
    }
  };
}

function setSequences(db: Database.Database, sequences: Record<string, number>): void {
  const names = new Set(tableNames(db, true));
  const drop = db.prepare('DELETE FROM sqlite_sequence WHERE name = ?');
  const insert = db.prepare('INSERT INTO sqlite_sequence (name, seq) VALUES (?, ?)');
  for (const [name, seq] of Object.entries(sequences)) {
    if (!names.has(name)) continue;
    drop.run(name);
    insert.run(name, seq);
  }
}

function refuseOrphans(db: Database.Database): void {
  const [orphan] = db.pragma('foreign_key_check') as {
    table: string;
    rowid: number;
    parent: string;
  }[];
  if (!orphan) return;
  const { table, rowid, parent } = orphan;
  throw new DocumentMisfit(
    `${table}, number ${rowid}, names a ${parent} that is not in the document.`,
  );
}

function fill(db: Database.Database, parts: Iterable<DocumentPart>): DocumentHead {
  let head: DocumentHead | null = null;
  let insert: ReturnType<typeof rowInserter> | null = null;
  const counts: Record<string, number> = {};
  for (const part of parts) {
    if (part.kind === 'head') {
      head = part.head;
      migrate(db, migrationsFolder, head.schema);
      db.pragma('foreign_keys = OFF');
      db.exec('BEGIN');
      for (const name of tableNames(db, true)) db.exec(`DELETE FROM "${name}"`);
      insert = rowInserter(db);
    } else if (part.kind === 'row') {
      insert?.(part);
      counts[part.table] = (counts[part.table] ?? 0) + 1;
    } else {
      const wrong = Object.entries(part.rows).find(([name, rows]) => (counts[name] ?? 0) !== rows);
      if (wrong)
        throw new DocumentMisfit(
          `${wrong[0]}: ${counts[wrong[0]] ?? 0} rows are there, and "rows" counts ${wrong[1]}. The document is not whole.`,
        );
    }
  }
  if (!head) throw new DocumentMisfit('The document is not whole.');
  setSequences(db, head.sequences);
  refuseOrphans(db);
  db.exec('COMMIT');
  return head;
}

/** Who may sign in here. They stay where there are any: an import must not open a server, or shut out who runs it. */
const accountTables = ['account', 'account_property', 'account_password'];

/**
 * Puts the rows of another database, in the present schema, in the place of all rows of an open one, in one transaction
 * of the caller. `incoming` is the name that the other one is attached under.
 */
function replaceRows(db: Database.Database, incoming: string): void {
  db.pragma('defer_foreign_keys = ON');
  const before = db.prepare<[], number>('SELECT revision FROM main.revision').pluck().get() ?? 0;
  const hasAccounts = db.prepare('SELECT 1 FROM main.account').get() !== undefined;
  const names = tableNames(db, true).filter(
    (name) => !hasAccounts || !accountTables.includes(name),
  );
  for (const name of names) db.exec(`DELETE FROM main."${name}"`);
  // Readings first: new ones drop what was counted from older ones.
  for (const name of [...names.filter((one) => weatherTables.includes(one)), ...names]) {
    if (db.prepare(`SELECT 1 FROM main."${name}"`).get() !== undefined) continue;
    const columns = Object.keys(fieldTypes(db, name))
      .map((column) => `"${column}"`)
      .join(', ');
    db.exec(
      `INSERT INTO main."${name}" (${columns}) SELECT ${columns} FROM ${incoming}."${name}" ${rowOrder(db, name)}`,
    );
  }
  // A number that either of them gave out is not given again.
  db.exec(
    `UPDATE main.sqlite_sequence SET seq = max(seq, coalesce(
       (SELECT seq FROM ${incoming}.sqlite_sequence AS other WHERE other.name = sqlite_sequence.name), 0));
     INSERT INTO main.sqlite_sequence (name, seq) SELECT name, seq FROM ${incoming}.sqlite_sequence
       WHERE name NOT IN (SELECT name FROM main.sqlite_sequence)`,
  );
  // What was read before must not be taken for what is there now.
  db.prepare('UPDATE main.revision SET revision = max(revision, ?) + 1').run(before);
}

/** As `replaceRows`, from the file at `path`; `inside` runs it in a transaction. */
export function replaceFrom(
  db: Database.Database,
  path: string,
  inside: (work: () => void) => void,
): void {
  db.prepare('ATTACH DATABASE ? AS incoming').run(path);
  try {
    inside(() => replaceRows(db, 'incoming'));
  } finally {
    db.exec('DETACH DATABASE incoming');
  }
}

/**
 * Makes a new database at `path` from the parts of a document: in the schema that it names, then brought up to date.
 * Gives its head. Throws with a sentence that names the place, and leaves no file; whether the rows are sound is for the
 * caller to ask.
 */
export function buildDatabase(path: string, parts: Iterable<DocumentPart>): DocumentHead {
  const db = new Database(path);
  try {
    const head = fill(db, parts);
    db.close();
    openDatabase(path).close();
    return head;
  } finally {
    if (db.open) db.close();
  }
}
