import type { Database, Statement } from 'better-sqlite3';
import {
  type ChangeFilter,
  type ChangeGroup,
  groupsPerPage,
  isSameRow,
  type RowChange,
  type RowKey,
  removedKeptDays,
  rowsOfGroupMost,
  type StoredRow,
} from '../core/change-log.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { type ChangeKind, type ChangeLog, utcSeconds } from './changes.ts';
import { lostReferences } from './references.ts';
import { keyColumns, loggedTables, rowJson } from './row-log.ts';

interface StoredChange {
  id: number;
  groupId: number;
  table: string;
  key: string;
  propertyId: number | null;
  before: string | null;
  after: string | null;
  isLast: number;
}

type StoredGroup = Omit<ChangeGroup, 'changes'>;

const changeColumns = `row_change.id, group_id AS groupId, table_name AS "table", row_key AS key,
  property_id AS propertyId, before_row AS before, after_row AS after,
  NOT EXISTS (SELECT 1 FROM row_change AS later WHERE later.table_name = row_change.table_name
    AND later.row_key = row_change.row_key AND later.id > row_change.id) AS isLast`;

const parsed = (text: string | null): StoredRow | null =>
  text === null ? null : (JSON.parse(text) as StoredRow);

function toChange({ groupId: _, ...row }: StoredChange): RowChange {
  return {
    ...row,
    key: JSON.parse(row.key) as RowKey,
    before: parsed(row.before),
    after: parsed(row.after),
    isLast: row.isLast === 1,
  };
}

/** Conditions on rows of a group, as SQL with named values. */
function rowConditions({ table, key, propertyIds }: ChangeFilter): string[] {
  return [
    ...(table === null ? [] : ['table_name = @table']),
    ...(key === null ? [] : ['row_key = @key']),
    ...(propertyIds === null ? [] : ['property_id IN (SELECT value FROM json_each(@propertyIds))']),
  ];
}

/** A list of changes; of a group only the rows that the filter lets through. */
function listing(db: Database) {
  const bound = (filter: ChangeFilter) => ({
    table: filter.table,
    key: filter.key === null ? null : JSON.stringify(filter.key),
    person: filter.person,
    from: filter.from,
    until: filter.until === null ? null : `${filter.until}T23:59:59Z`,
    propertyIds: JSON.stringify(filter.propertyIds ?? []),
  });
  return (filter: ChangeFilter, page: number): { groups: ChangeGroup[]; total: number } => {
    const values = bound(filter);
    const rows = ['group_id = change_group.id', ...rowConditions(filter)].join(' AND ');
    const narrow = rowConditions(filter);
    const where = [
      // By the index of rows: a row has few changes, and the log may have many.
      ...(narrow.length === 0
        ? []
        : [`id IN (SELECT group_id FROM row_change WHERE ${narrow.join(' AND ')})`]),
      ...(filter.person === null ? [] : ["coalesce(person, '') = @person"]),
      ...(filter.from === null ? [] : ['at >= @from']),
      ...(filter.until === null ? [] : ['at <= @until']),
    ];
    const condition = where.length === 0 ? '' : `WHERE ${where.join(' AND ')}`;
    const total = db
      .prepare<[object], number>(`SELECT count(*) FROM change_group ${condition}`)
      .pluck()
      .get(values) as number;
    const groups = db
      .prepare<[object], StoredGroup>(
        `SELECT id, at, person_id AS personId, person, what,
           (SELECT count(*) FROM row_change WHERE ${rows}) AS rowCount
         FROM change_group ${condition} ORDER BY id DESC LIMIT @limit OFFSET @offset`,
      )
      .all({ ...values, limit: groupsPerPage, offset: (page - 1) * groupsPerPage });
    const of = db.prepare<[object], StoredChange>(
      `SELECT ${changeColumns} FROM row_change
       WHERE ${['group_id = @id', ...rowConditions(filter)].join(' AND ')} ORDER BY id LIMIT @limit`,
    );
    const changesOf = (id: number) =>
      of.all({ ...values, id, limit: rowsOfGroupMost }).map(toChange);
    return { groups: groups.map((group) => ({ ...group, changes: changesOf(group.id) })), total };
  };
}

/** Rows of other tables that hang on a row, by the columns of their foreign keys. */
interface Hanging {
  table: string;
  columns: string[];
  parentColumns: string[];
}

function hangingOn(db: Database, parent: string): Hanging[] {
  const parts = db
    .prepare<[string], { child: string; id: number; own: string; theirs: string | null }>(
      `SELECT s.name AS child, f.id, f."from" AS own, f."to" AS theirs
       FROM sqlite_schema AS s, pragma_foreign_key_list(s.name) AS f
       WHERE s.type = 'table' AND f."table" = ? ORDER BY s.name, f.id, f.seq`,
    )
    .all(parent);
  const keys = keyColumns(db, parent);
  const found = new Map<string, Hanging>();
  for (const { child, id, own, theirs } of parts) {
    const name = `${child} ${id}`;
    const one = found.get(name) ?? { table: child, columns: [], parentColumns: [] };
    one.parentColumns.push(theirs ?? keys[one.columns.length] ?? '');
    one.columns.push(own);
    found.set(name, one);
  }
  return [...found.values()];
}

const problem = (code: string, message: string, ref: number): Problem => ({
  code,
  message,
  ref: String(ref),
});

/** Ends a transaction that takes changes back: nothing of it is written. */
class Refused extends Error {
  readonly problems: Problem[];

  constructor(problems: Problem[]) {
    super('refused');
    this.problems = problems;
  }
}

/** Writes a row as it was before a change. */
function rowWriter(db: Database) {
  const whereKey = (table: string) =>
    keyColumns(db, table)
      .map((name) => `"${name}" = ?`)
      .join(' AND ');
  const reading = new Map<string, Statement<RowKey, string>>();
  const reader = (table: string): Statement<RowKey, string> => {
    const sql = () =>
      `SELECT ${rowJson(db, table, `"${table}"`)} FROM "${table}" WHERE ${whereKey(table)}`;
    const statement = reading.get(table) ?? db.prepare<RowKey, string>(sql()).pluck();
    reading.set(table, statement);
    return statement;
  };
  const present = (table: string, key: RowKey): StoredRow | null =>
    parsed(reader(table).get(...key) ?? null);
  const columnsNow = (table: string) =>
    new Set(
      db.prepare<[string], string>('SELECT name FROM pragma_table_info(?)').pluck().all(table),
    );
  const refuseHanging = (change: RowChange, row: StoredRow): void => {
    for (const { table, columns, parentColumns } of hangingOn(db, change.table)) {
      const where = columns.map((name) => `"${name}" = ?`).join(' AND ');
      const count = db
        .prepare<unknown[], number>(`SELECT count(*) FROM "${table}" WHERE ${where}`)
        .pluck()
        .get(...parentColumns.map((name) => row[name])) as number;
      const message = `Other rows hang on this one by now (${count} of ${table.replaceAll('_', ' ')}): remove it, or take it out of use, on its own page.`;
      if (count > 0) throw new Refused([problem('row-in-use', message, change.id)]);
    }
  };
  const write = (change: RowChange): void => {
    const { table, key, before, after } = change;
    if (before === null) {
      refuseHanging(change, after ?? {});
      db.prepare(`DELETE FROM "${table}" WHERE ${whereKey(table)}`).run(...key);
      return;
    }
    const known = columnsNow(table);
    const columns = Object.keys(before).filter((name) => known.has(name));
    const values = columns.map((name) => before[name] ?? null);
    const names = columns.map((name) => `"${name}"`);
    const sql =
      after === null
        ? `INSERT INTO "${table}" (${names.join(', ')}) VALUES (${names.map(() => '?').join(', ')})`
        : `UPDATE "${table}" SET ${names.map((name) => `${name} = ?`).join(', ')} WHERE ${whereKey(table)}`;
    db.prepare(sql).run(...values, ...(after === null ? [] : key));
    // Counts were taken under the other ranges.
    if (table === 'library_override' && before['kind'] === 'prescriptions')
      db.prepare('DELETE FROM fit_day_count WHERE prescription_key = ?').run(before['key']);
  };
  return { present, write };
}

/** Changes of one group that hang on a changed row by a foreign key, such as the units of a line. */
function dependants(db: Database, change: RowChange, group: readonly RowChange[]): RowChange[] {
  const row = change.after ?? change.before ?? {};
  const hanging = hangingOn(db, change.table);
  return group.filter(({ table, before, after }) => {
    const child = after ?? before ?? {};
    return hanging.some(
      (one) =>
        one.table === table &&
        one.columns.every((name, at) => child[name] === row[one.parentColumns[at] ?? '']),
    );
  });
}

/** Takes changes back, newest first. */
function undoing(db: Database) {
  const rows = rowWriter(db);
  const undo = db.transaction((changes: readonly RowChange[]): void => {
    const refs = lostReferences(db);
    db.pragma('defer_foreign_keys = ON');
    for (const change of [...changes].sort((a, b) => b.id - a.id)) {
      if (loggedTables[change.table]?.isOwnPage) {
        const message = 'Accounts are not taken back here: change the account on its own page.';
        throw new Refused([problem('row-own-page', message, change.id)]);
      }
      if (!isSameRow(rows.present(change.table, change.key), change.after)) {
        const message = 'This row was changed again since: both versions are shown.';
        throw new Refused([problem('changed-since', message, change.id)]);
      }
      rows.write(change);
    }
    const orphans = db.pragma('foreign_key_check') as { table: string }[];
    const lost = orphans[0]?.table ?? lostReferences(db).find((one) => !refs.includes(one));
    if (lost === undefined) return;
    const message = `A row would lose what it hangs on (${lost.replaceAll('_', ' ')}): change that one first.`;
    throw new Refused([problem('row-orphan', message, changes[0]?.id ?? 0)]);
  });
  return {
    present: rows.present,
    undo: (changes: readonly RowChange[]): Problem[] => {
      try {
        undo(changes);
        return [];
      } catch (error) {
        if (error instanceof Refused) return error.problems;
        const { code } = error as { code?: string };
        if (!code?.startsWith('SQLITE_CONSTRAINT')) throw error;
        const message =
          'What was there before does not fit what is there now, such as a code that another row holds: change the row by its form.';
        return [problem('row-constraint', message, changes[0]?.id ?? 0)];
      }
    },
  };
}

function finding(db: Database) {
  const find = db.prepare<[number], StoredChange>(
    `SELECT ${changeColumns} FROM row_change WHERE id = ?`,
  );
  const findGroup = db.prepare<[number], StoredGroup>(
    `SELECT id, at, person_id AS personId, person, what,
       (SELECT count(*) FROM row_change WHERE group_id = change_group.id) AS rowCount
     FROM change_group WHERE id = ?`,
  );
  const ofGroup = db.prepare<[number], StoredChange>(
    `SELECT ${changeColumns} FROM row_change WHERE group_id = ? ORDER BY id`,
  );
  const group = (id: number): ChangeGroup | null => {
    const row = findGroup.get(id);
    return row ? { ...row, changes: ofGroup.all(id).map(toChange) } : null;
  };
  return {
    group,
    /** The group of one change, of which only it and what hangs on it in the same group are given. */
    change: (id: number): ChangeGroup | null => {
      const row = find.get(id);
      const whole = row && group(row.groupId);
      if (!row || !whole) return null;
      const change = toChange(row);
      return { ...whole, changes: [change, ...dependants(db, change, whole.changes)] };
    },
  };
}

export type ChangeLogStore = ReturnType<typeof changeLogStore>;

const kindOfTable: Readonly<Record<string, ChangeKind>> = {
  work_entry: 'fact',
  work_detail: 'fact',
  crew: 'people',
  gear: 'people',
  holiday: 'people',
  approval: 'rules',
  setting: 'rules',
  library_override: 'rules',
  held_dates: 'rules',
  entered_fit_days: 'rules',
  station: 'weather',
};

/** The log of changes: read, taken back, thinned. */
export function changeLogStore(db: Database, now: () => Date, changes: ChangeLog) {
  const { present, undo } = undoing(db);
  const find = finding(db);
  const since = () => {
    const at = new Date(now().getTime() - removedKeptDays * 86_400_000);
    return utcSeconds(() => at);
  };
  const people = db
    .prepare<[], string>(
      'SELECT DISTINCT person FROM change_group WHERE person IS NOT NULL ORDER BY person',
    )
    .pluck();
  const removed = db.prepare<[string], StoredChange & { at: string; person: string | null }>(
    `SELECT ${changeColumns}, at, person FROM row_change
     JOIN change_group ON change_group.id = group_id
     WHERE after_row IS NULL AND at >= ? ORDER BY row_change.id DESC`,
  );
  const purge = db.prepare(
    `DELETE FROM row_change WHERE (table_name, row_key) IN (
       SELECT table_name, row_key FROM row_change AS gone JOIN change_group ON change_group.id = gone.group_id
       WHERE gone.after_row IS NULL AND at < ? AND NOT EXISTS (SELECT 1 FROM row_change AS later
         WHERE later.table_name = gone.table_name AND later.row_key = gone.row_key AND later.id > gone.id))`,
  );
  const version = db
    .prepare<[string, string], number | null>(
      'SELECT max(id) FROM row_change WHERE table_name = ? AND row_key = ?',
    )
    .pluck();
  const takeBack = (rows: readonly RowChange[], what: string): Outcome<number> => {
    const problems = undo(rows);
    if (problems.length > 0) return { ok: false, problems };
    changes.note(kindOfTable[rows[0]?.table ?? ''] ?? 'land', what);
    return { ok: true, value: rows.length };
  };
  return {
    list: listing(db),
    ...find,
    /** Names of all who changed something while signed in. */
    people: (): string[] => people.all(),
    /** The row as it is, or null. */
    present,
    /** Number of the newest change of a row; 0 = none on record. */
    version: (table: string, key: RowKey): number => version.get(table, JSON.stringify(key)) ?? 0,
    /** Rows that are gone, newest first, in the days for which they are kept. */
    removed: (): (RowChange & { at: string; person: string | null })[] =>
      removed.all(since()).flatMap(({ at, person, ...row }) => {
        const change = toChange(row);
        return change.isLast ? [{ ...change, at, person }] : [];
      }),
    /** Takes changes back in one transaction, itself a change of the log; with problems nothing is written. */
    undo: db.transaction(takeBack).immediate,
    /** Forgets what rows held that are gone for longer than they are kept; gives how many changes. */
    purge: (): number => purge.run(since()).changes,
  };
}
