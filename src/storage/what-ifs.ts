import type { Database } from 'better-sqlite3';
import type { PlanSummary } from '../core/plan-summary.ts';
import type { PlanContent } from '../core/plans.ts';
import type { WhatIf, WhatIfChange, WhatIfPlan } from '../core/what-if.ts';
import { utcSeconds } from './changes.ts';

interface WhatIfRow {
  id: number;
  name: string;
  changes: string;
  at: string | null;
  summary: string | null;
}

/** What a search found for a what-if. */
export interface FoundPlan extends WhatIfPlan {
  summary: PlanSummary;
}

/** What-ifs, each with the plan that was found for its changes; other changes take the plan away. */
export function whatIfRepository(db: Database, now: () => Date) {
  const columns = 'id, name, changes, solved_at AS at, summary';
  const list = db.prepare<[], WhatIfRow>(`SELECT ${columns} FROM what_if ORDER BY id`);
  const find = db.prepare<[number], WhatIfRow>(`SELECT ${columns} FROM what_if WHERE id = ?`);
  const plan = db.prepare<[number], { content: string; madeFrom: number }>(
    'SELECT content, land_revision AS madeFrom FROM what_if WHERE id = ? AND content IS NOT NULL',
  );
  const insert = db.prepare('INSERT INTO what_if (name, changes) VALUES (?, ?)');
  const rename = db.prepare('UPDATE what_if SET name = ? WHERE id = ?');
  const setChanges = db.prepare(
    `UPDATE what_if SET changes = ?, solved_at = NULL, land_revision = NULL, summary = NULL, content = NULL
     WHERE id = ?`,
  );
  const setPlan = db.prepare(
    `UPDATE what_if SET solved_at = @at, land_revision = @madeFrom, summary = @summary, content = @content
     WHERE id = @id AND changes = @changes`,
  );
  const remove = db.prepare('DELETE FROM what_if WHERE id = ?');
  const toWhatIf = ({ at, summary, changes, ...row }: WhatIfRow): WhatIf => ({
    ...row,
    changes: JSON.parse(changes) as WhatIfChange[],
    solved:
      at === null || summary === null ? null : { at, summary: JSON.parse(summary) as PlanSummary },
  });
  return {
    list: (): WhatIf[] => list.all().map(toWhatIf),
    find: (id: number): WhatIf | null => {
      const row = find.get(id);
      return row ? toWhatIf(row) : null;
    },
    /** Null for one that is not searched. */
    plan: (id: number): WhatIfPlan | null => {
      const row = plan.get(id);
      return row
        ? { content: JSON.parse(row.content) as PlanContent, madeFrom: row.madeFrom }
        : null;
    },
    add: (name: string, changes: readonly WhatIfChange[] = []): number =>
      Number(insert.run(name, JSON.stringify(changes)).lastInsertRowid),
    rename: (id: number, name: string): void => {
      rename.run(name, id);
    },
    setChanges: (id: number, changes: readonly WhatIfChange[]): void => {
      setChanges.run(JSON.stringify(changes), id);
    },
    /** False when the what-if is gone or has other changes than those that were searched with. */
    setPlan: (id: number, changes: readonly WhatIfChange[], found: FoundPlan): boolean =>
      setPlan.run({
        id,
        changes: JSON.stringify(changes),
        at: utcSeconds(now),
        madeFrom: found.madeFrom,
        summary: JSON.stringify(found.summary),
        content: JSON.stringify(found.content),
      }).changes > 0,
    remove: (id: number): void => {
      remove.run(id);
    },
    clear: (): void => {
      db.exec('DELETE FROM what_if');
    },
  };
}
