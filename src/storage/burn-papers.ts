import type { Database } from 'better-sqlite3';
import { type BurnPaper, checkBurnPaper, type NewBurnPaper } from '../core/burn-papers.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { ChangeLog } from './changes.ts';

interface StoredPaper {
  id: number;
  content: string;
}

const kind = 'burnPaper';

/**
 * Steps done, calls, answers, checks and decisions about burns: one record each, never changed, only added and taken
 * back. They raise the revision; only a decision makes the plan in force out of date.
 */
export function burnPaperRepository(db: Database, changes: ChangeLog) {
  const list = db.prepare<[], StoredPaper>(
    `SELECT id, content FROM land_record WHERE kind = '${kind}' ORDER BY id`,
  );
  const insert = db.prepare(`INSERT INTO land_record (id, kind, content) VALUES (?, '${kind}', ?)`);
  const remove = db.prepare(`DELETE FROM land_record WHERE kind = '${kind}' AND id = ?`);
  const keep = (paper: NewBurnPaper & { id?: number }): number => {
    const { id, ...content } = paper;
    return Number(insert.run(id ?? null, JSON.stringify(content)).lastInsertRowid);
  };
  const add = (paper: NewBurnPaper, decision = ''): Outcome<number> => {
    const problems = checkBurnPaper(paper);
    if (problems.length > 0) return { ok: false, problems };
    const id = keep(paper);
    if (decision === '') changes.raise();
    else changes.note('fact', decision);
    return { ok: true, value: id };
  };
  const takeBack = (id: number): Problem[] => {
    if (remove.run(id).changes === 0)
      return [{ code: 'paper-unknown', message: 'This is not on record any more.' }];
    changes.raise();
    return [];
  };
  return {
    /** Oldest first. */
    list: (): BurnPaper[] =>
      list.all().map(({ id, content }) => ({ id, ...JSON.parse(content) }) as BurnPaper),
    insert: (paper: BurnPaper): void => {
      keep(paper);
    },
    /** `decision`: a sentence why the plan in force is out of date by it. */
    add: db.transaction(add).immediate,
    takeBack: db.transaction(takeBack).immediate,
  };
}
