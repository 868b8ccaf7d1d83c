import type { Database } from 'better-sqlite3';
import type { Approval } from '../core/no-work.ts';

/** Approvals on file; the no-work dates themselves are in the library and its overrides. */
export function approvalRepository(db: Database) {
  const list = db.prepare<[], Approval>(
    `SELECT no_work_key AS noWorkKey, unit_id AS unitId, from_on AS "from", until_on AS until,
       granted_by AS grantedBy
     FROM approval ORDER BY no_work_key, unit_id, from_on`,
  );
  const insert = db.prepare(
    `INSERT INTO approval (no_work_key, unit_id, from_on, until_on, granted_by)
     VALUES (@noWorkKey, @unitId, @from, @until, @grantedBy)`,
  );
  return {
    list: (): Approval[] => list.all(),
    insert: (approval: Approval): void => {
      insert.run(approval);
    },
    clear: (): void => {
      db.exec('DELETE FROM approval');
    },
  };
}
