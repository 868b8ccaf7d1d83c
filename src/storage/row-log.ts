import type { Database } from 'better-sqlite3';
import { utcSeconds } from './changes.ts';

/** Who writes; null = nobody is signed in. */
export type Writer = () => { id: number; name: string } | null;

/**
 * Tables whose rows people enter or change: each write of one of them is logged. `isOwnPage`: rows with rules of their
 * own, such as the last administrator, are not taken back by the log.
 */
export const loggedTables: Readonly<Record<string, { isOwnPage?: true }>> = {
  landowner: {},
  property: {},
  anchor_year: {},
  block: {},
  unit: {},
  line: {},
  line_unit: {},
  neighbour: {},
  crew: {},
  gear: {},
  holiday: {},
  work_entry: {},
  work_detail: {},
  work_photo: {},
  entry_version: {},
  approval: {},
  held_dates: {},
  setting: {},
  library_override: {},
  entered_fit_days: {},
  land_record: {},
  retired: {},
  own_feed: {},
  county_switch: {},
  go_no_go: {},
  smoke_rule: {},
  station: {},
  forecast_service: {},
  account: { isOwnPage: true },
  account_property: { isOwnPage: true },
};

/** Tables that nobody edits row by row, with why their writes are not logged. */
export const unloggedTables: Readonly<Record<string, string>> = {
  migration: 'the program keeps it',
  revision: 'the program keeps it',
  change: 'sentences of changes; each group of the log holds its own',
  change_group: 'the log itself',
  row_change: 'the log itself',
  plan: 'kept whole, never edited',
  what_if: 'tries: nothing of the land; what is adopted of one is logged as it is written',
  past_years: 'worked out from a plan and the weather',
  published_task: 'worked out from the plan and the facts; holds its own revisions',
  feed_link: 'addresses: made and ended, with dates of their own, and a hash of a secret',
  retired_feed_token: 'hashes of secrets',
  account_password: 'hashes of secrets',
  session: 'hashes of secrets; who is signed in is listed on its own page',
  password_link: 'hashes of secrets',
  entry_sent: 'marks of forms that were sent, to know one that is sent twice',
  weather_year: 'files of readings, replaced as a whole',
  daily_year: 'files of readings, replaced as a whole',
  fit_day_count: 'counted from readings',
  site_fit_days: 'counted from readings',
  forecast: 'replaced by each newer one',
};

interface Column {
  name: string;
  type: string;
  pk: number;
}

const columnsOf = (db: Database, table: string): Column[] =>
  db.prepare<[string], Column>('SELECT name, type, pk FROM pragma_table_info(?)').all(table);

/** Columns of the primary key in its order. */
export function keyColumns(db: Database, table: string): string[] {
  return columnsOf(db, table)
    .filter(({ pk }) => pk > 0)
    .sort((a, b) => a.pk - b.pk)
    .map(({ name }) => name);
}

/** SQL of a row's columns as a JSON object; `of` is NEW, OLD or the name of a table. No logged table holds a BLOB. */
export function rowJson(db: Database, table: string, of: string): string {
  const parts = columnsOf(db, table).map(({ name }) => `'${name}', ${of}."${name}"`);
  return `json_object(${parts.join(', ')})`;
}

const ofUnit = (id: string) => `(SELECT property_id FROM unit WHERE id = ${id})`;
const ofBlock = (id: string) => `(SELECT property_id FROM block WHERE id = ${id})`;
const ofEntry = (id: string) =>
  `(SELECT property_id FROM unit WHERE id = (SELECT unit_id FROM work_entry WHERE id = ${id}))`;

/** SQL of the property named inside a JSON column; NULL where it names none. */
function propertyInside(content: string): string {
  const at = (path: string) => `json_extract(${content}, '$.${path}')`;
  return `coalesce(${at('propertyId')}, ${ofUnit(at('unitId'))}, ${ofUnit(at('unitIds[0]'))}, ${ofBlock(at('blockId'))}, ${ofEntry(at('entryId'))})`;
}

/** SQL of the property that a row belongs to; NULL = it concerns all of them. */
function propertyOf(table: string, columns: readonly string[], of: string): string {
  if (table === 'property') return `${of}.id`;
  if (table === 'retired')
    return `CASE ${of}.noun WHEN 'property' THEN ${of}.row_id WHEN 'unit' THEN ${ofUnit(`${of}.row_id`)}
      WHEN 'block' THEN ${ofBlock(`${of}.row_id`)} WHEN 'line' THEN (SELECT property_id FROM line WHERE id = ${of}.row_id)
      ELSE (SELECT ${propertyInside('content')} FROM land_record WHERE id = ${of}.row_id AND kind = ${of}.noun) END`;
  const has = (name: string) => columns.includes(name);
  if (has('property_id')) return `${of}.property_id`;
  if (has('unit_id')) return ofUnit(`${of}.unit_id`);
  if (has('unit_a')) return ofUnit(`${of}.unit_a`);
  if (has('block_id')) return ofBlock(`${of}.block_id`);
  if (has('entry_id')) return ofEntry(`${of}.entry_id`);
  if (has('content')) return propertyInside(`${of}.content`);
  return 'NULL';
}

/** Triggers of one table; they live and end with the connection. */
function triggersOf(db: Database, table: string): string {
  const columns = columnsOf(db, table).map(({ name }) => name);
  const keyOf = (of: string) =>
    `json_array(${keyColumns(db, table)
      .map((name) => `${of}."${name}"`)
      .join(', ')})`;
  const isChanged = columns.map((name) => `OLD."${name}" IS NOT NEW."${name}"`).join(' OR ');
  const trigger = (event: 'insert' | 'update' | 'delete') => {
    const row = event === 'delete' ? 'OLD' : 'NEW';
    const before = event === 'insert' ? 'NULL' : rowJson(db, table, 'OLD');
    const after = event === 'delete' ? 'NULL' : rowJson(db, table, 'NEW');
    const when = event === 'update' ? `log_is_on() AND (${isChanged})` : 'log_is_on()';
    // With log_group() NULL the statement stands alone, and so does its group.
    return `CREATE TEMP TRIGGER log_${table}_${event} AFTER ${event.toUpperCase()} ON main."${table}" WHEN ${when} BEGIN
      INSERT INTO change_group (id, at, person_id, person, what)
        SELECT log_group(), log_at(), log_person_id(), log_person(), ''
        WHERE log_group() IS NULL OR NOT EXISTS (SELECT 1 FROM change_group WHERE id = log_group());
      INSERT INTO row_change (group_id, table_name, row_key, property_id, before_row, after_row)
        VALUES (coalesce(log_group(), last_insert_rowid()), '${table}', ${keyOf(row)},
          ${propertyOf(table, columns, row)}, ${before}, ${after});
    END;`;
  };
  return [trigger('insert'), trigger('update'), trigger('delete')].join('\n');
}

/** Most characters of the sentence of a group. */
const sentenceMost = 400;

/** Brings the rows of a finished group to one change a row, and says what was done. */
function groupFinisher(db: Database) {
  const repeated = db.prepare<[number], { first: number; last: number; isSame: number }>(
    `SELECT first, last, (SELECT before_row FROM row_change WHERE id = first) IS
       (SELECT after_row FROM row_change WHERE id = last) AS isSame
     FROM (SELECT min(id) AS first, max(id) AS last FROM row_change WHERE group_id = ?
       GROUP BY table_name, row_key HAVING count(*) > 1)`,
  );
  const join = db.prepare(
    `UPDATE row_change SET before_row = (SELECT before_row FROM row_change WHERE id = @first) WHERE id = @last`,
  );
  // The last one goes too where the row is what it was.
  const drop = db.prepare(
    `DELETE FROM row_change WHERE group_id = @id AND id < @last + @isSame
       AND (table_name, row_key) = (SELECT table_name, row_key FROM row_change WHERE id = @last)`,
  );
  const notes = db
    .prepare<[number], string>(
      'SELECT what FROM change WHERE id > ? GROUP BY what ORDER BY min(id)',
    )
    .pluck();
  const say = db.prepare('UPDATE change_group SET what = ? WHERE id = ?');
  const dropEmpty = db.prepare(
    `DELETE FROM change_group WHERE id = ? AND what = ''
       AND NOT EXISTS (SELECT 1 FROM row_change WHERE group_id = change_group.id)`,
  );
  return (id: number, lastNote: number, said: readonly string[]): void => {
    for (const { first, last, isSame } of repeated.all(id)) {
      if (isSame === 0) join.run({ first, last });
      drop.run({ id, last, isSame });
    }
    const sentence = [...notes.all(lastNote), ...said].join(' ');
    const cut = `${sentence.slice(0, sentenceMost)} …`;
    if (sentence !== '') say.run(sentence.length > sentenceMost ? cut : sentence, id);
    dropEmpty.run(id);
  };
}

export type RowLog = ReturnType<typeof rowLog>;

/**
 * Logs every write of the tables that people edit, by triggers of this connection: one row a changed row, one group a
 * transaction. Call it once on an up-to-date database, before statements and transactions are made: it puts its own
 * `transaction` in the place of the connection's, which behaves the same.
 */
export function rowLog(db: Database, now: () => Date, writer: Writer) {
  let depth = 0;
  let group: number | null = null;
  let isUsed = false;
  let isOn = true;
  let said: string[] = [];
  const nextGroup = db
    .prepare<[], number>('SELECT coalesce(max(id), 0) + 1 FROM change_group')
    .pluck();
  const lastNote = db.prepare<[], number>('SELECT coalesce(max(id), 0) FROM change').pluck();
  const finish = groupFinisher(db);
  db.function('log_is_on', () => (isOn ? 1 : 0));
  db.function('log_group', () => {
    isUsed = true;
    return group;
  });
  db.function('log_at', () => utcSeconds(now));
  db.function('log_person_id', () => writer()?.id ?? null);
  db.function('log_person', () => writer()?.name ?? null);
  // A row that INSERT OR REPLACE takes the place of is logged as gone, too.
  db.pragma('recursive_triggers = ON');
  for (const table of Object.keys(loggedTables)) db.exec(triggersOf(db, table));
  const open = db.prepare(
    `INSERT INTO change_group (id, at, person_id, person, what) VALUES (?, ?, ?, ?, '')
     ON CONFLICT DO NOTHING`,
  );
  const plain = db.transaction.bind(db);
  const grouped = <A extends unknown[], R>(work: (...args: A) => R) =>
    plain((...args: A): R => {
      if (depth > 0) return work(...args);
      depth = 1;
      isUsed = false;
      said = [];
      group = nextGroup.get() as number;
      const noted = lastNote.get() as number;
      try {
        const result = work(...args);
        if (said.length > 0)
          open.run(group, utcSeconds(now), writer()?.id ?? null, writer()?.name ?? null);
        if (isUsed || said.length > 0) finish(group, noted, said);
        return result;
      } finally {
        depth = 0;
        group = null;
      }
    });
  db.transaction = grouped as typeof db.transaction;
  const forget = db.prepare('DELETE FROM change_group');
  const say = db.prepare(
    'INSERT INTO change_group (at, person_id, person, what) VALUES (?, ?, ?, ?)',
  );
  return {
    /** Logs what a transaction does that is not in rows of the log, in a sentence. */
    say: (what: string): void => {
      said.push(what);
    },
    /**
     * Runs a write that puts other rows in the place of everything, inside a transaction. Row by row it would say
     * nothing, and what the log holds is of rows that are gone: one line says so, after what the write itself brings.
     */
    replacing: <T>(what: string, work: () => T): T => {
      isOn = false;
      try {
        forget.run();
        const result = work();
        say.run(utcSeconds(now), writer()?.id ?? null, writer()?.name ?? null, what);
        return result;
      } finally {
        isOn = true;
      }
    },
  };
}
