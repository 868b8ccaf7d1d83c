import type { Database } from 'better-sqlite3';
import type { Noun, RowId } from '../core/records.ts';
import type { RetiredKey } from '../core/retired.ts';
import { utcSeconds } from './changes.ts';

interface StoredRetired {
  noun: string;
  rowId: number;
  retiredAt: string;
}

/**
 * Rows without a number (gear, holidays, approvals, stations, reference rows) are kept as `noun/key` with the
 * number 0: row numbers that SQLite gives by itself may change when a file is compacted.
 */
function stored({ noun, id }: RetiredKey): [string, number] {
  return typeof id === 'number' ? [noun, id] : [`${noun}/${id}`, 0];
}

function toKey({ noun, rowId }: StoredRetired): RetiredKey {
  const slash = noun.indexOf('/');
  return slash < 0
    ? { noun: noun as Noun, id: rowId }
    : { noun: noun.slice(0, slash) as Noun, id: noun.slice(slash + 1) };
}

/** Rows that are out of use, and since when. */
export function retiredRepository(db: Database, now: () => Date) {
  const list = db.prepare<[], StoredRetired>(
    `SELECT noun, row_id AS rowId, retired_at AS retiredAt FROM retired
     ORDER BY retired_at DESC, noun, row_id`,
  );
  const insert = db.prepare(
    'INSERT OR IGNORE INTO retired (noun, row_id, retired_at) VALUES (?, ?, ?)',
  );
  const remove = db.prepare('DELETE FROM retired WHERE noun = ? AND row_id = ?');
  const find = db.prepare('SELECT 1 FROM retired WHERE noun = ? AND row_id = ?');
  return {
    /** Newest first. */
    list: (): (RetiredKey & { retiredAt: string })[] =>
      list.all().map((row) => ({ ...toKey(row), retiredAt: row.retiredAt })),
    has: (noun: Noun, id: RowId): boolean => find.get(...stored({ noun, id })) !== undefined,
    insert: (noun: Noun, id: RowId): void => {
      insert.run(...stored({ noun, id }), utcSeconds(now));
    },
    remove: (noun: Noun, id: RowId): void => {
      remove.run(...stored({ noun, id }));
    },
    clear: (): void => {
      db.exec('DELETE FROM retired');
    },
  };
}
