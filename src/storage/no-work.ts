import type { Database } from 'better-sqlite3';
import { parseIsoDate } from '../core/dates.ts';
import type { Approval } from '../core/no-work.ts';
import type { Problem } from '../core/problems.ts';

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
  const update = db.prepare(
    `UPDATE approval SET until_on = @until, granted_by = @grantedBy
     WHERE no_work_key = @noWorkKey AND unit_id = @unitId AND from_on = @from`,
  );
  const remove = db.prepare(
    'DELETE FROM approval WHERE no_work_key = @noWorkKey AND unit_id = @unitId AND from_on = @from',
  );
  return {
    list: (): Approval[] => list.all(),
    insert: (approval: Approval): void => {
      insert.run(approval);
    },
    update: (approval: Approval): void => {
      update.run(approval);
    },
    remove: ({ noWorkKey, unitId, from }: Approval): void => {
      remove.run({ noWorkKey, unitId, from });
    },
    clear: (): void => {
      db.exec('DELETE FROM approval');
    },
  };
}

/** What is wrong with an approval as entered; empty = it can be stored. */
export function checkApproval(approval: Approval): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `approval-${field}`, field, message });
  const { from, until } = approval;
  if (approval.grantedBy.trim() === '') say('grantedBy', 'Granted by: say who gave it.');
  if (!parseIsoDate(from)) say('from', 'From: give a real day, such as 2026-11-01.');
  if (!parseIsoDate(until)) say('until', 'Until: give a real day, such as 2027-03-31.');
  else if (until < from) say('until', 'Until: the last day can not be before the first one.');
  return problems;
}
