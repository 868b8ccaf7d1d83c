import type { Database } from 'better-sqlite3';
import { type IsoDate, parseIsoDate } from '../core/dates.ts';
import type { HeldDates, Plan, PlanContent } from '../core/plans.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { type ChangeLog, utcSeconds } from './changes.ts';

interface PlanRow extends Omit<Plan, 'content'> {
  content: string;
}

const planColumns = 'id, state, created_at AS createdAt, adopted_at AS adoptedAt, content';

/** Contents that were read last, by their text: a plan is read with every page and does not change. */
function contentReader(): (text: string) => PlanContent {
  let kept: { text: string; content: PlanContent }[] = [];
  return (text) => {
    const known = kept.find((one) => one.text === text);
    const content = known?.content ?? (JSON.parse(text) as PlanContent);
    if (!known) kept = [{ text, content }, ...kept].slice(0, 2);
    return content;
  };
}

/**
 * Plans. At most one is in force and at most one draft is open: a new draft takes the place of the older one.
 * A plan knows the revision of the land it was made from, so that it can say what changed since.
 */
export function planRepository(db: Database, changes: ChangeLog, now: () => Date) {
  const find = db.prepare<[number], PlanRow>(`SELECT ${planColumns} FROM plan WHERE id = ?`);
  const findState = db.prepare<[Plan['state']], PlanRow>(
    `SELECT ${planColumns} FROM plan WHERE state = ?`,
  );
  const adopted = db.prepare<[], PlanRow>(
    `SELECT ${planColumns} FROM plan WHERE adopted_at IS NOT NULL ORDER BY adopted_at, id`,
  );
  const insert = db.prepare(
    `INSERT INTO plan (state, created_at, cost, seed, content, land_revision)
     VALUES ('draft', @createdAt, @cost, @seed, @content, @landRevision)`,
  );
  const landRevision = db
    .prepare<[number], number>('SELECT land_revision FROM plan WHERE id = ?')
    .pluck();
  const supersede = db.prepare("UPDATE plan SET state = 'superseded' WHERE state = 'in-force'");
  const putInForce = db.prepare(
    `UPDATE plan SET state = 'in-force', adopted_at = @adoptedAt, land_revision_at_adoption = @revision
     WHERE id = @id`,
  );
  const dropDraft = db.prepare("DELETE FROM plan WHERE id = ? AND state = 'draft'");
  const dropDrafts = db.prepare("DELETE FROM plan WHERE state = 'draft'");
  const contentOf = contentReader();
  const one = (row: PlanRow | undefined): Plan | null =>
    row ? { ...row, content: contentOf(row.content) } : null;

  const saveDraft = (content: PlanContent, madeFromRevision: number): Plan => {
    dropDrafts.run();
    const { cost, seed } = content;
    const row = { cost, seed, content: JSON.stringify(content), landRevision: madeFromRevision };
    const { lastInsertRowid } = insert.run({ ...row, createdAt: utcSeconds(now) });
    changes.raise();
    return one(find.get(Number(lastInsertRowid))) as Plan;
  };

  const adopt = (id: number, publish: (plan: Plan) => void): Outcome<Plan> => {
    const draft = one(find.get(id));
    if (draft?.state !== 'draft') {
      const message = 'This draft is not open any more: it was adopted, discarded or replaced.';
      return { ok: false, problems: [{ code: 'plan-not-draft', ref: String(id), message }] };
    }
    supersede.run();
    putInForce.run({ id, adoptedAt: utcSeconds(now), revision: changes.revision() });
    const plan = one(find.get(id)) as Plan;
    publish(plan);
    changes.raise();
    return { ok: true, value: plan };
  };

  return {
    find: (id: number): Plan | null => one(find.get(id)),
    inForce: (): Plan | null => one(findState.get('in-force')),
    draft: (): Plan | null => one(findState.get('draft')),
    /** In the order of adoption; the last one is in force. */
    everInForce: (): Plan[] =>
      adopted.all().map((row) => ({ ...row, content: contentOf(row.content) })),
    /**
     * Stores a draft. `madeFromRevision`: the store's `revision()` when the operation was read for planning,
     * so that what changed while the search ran counts as changed since.
     */
    saveDraft: db.transaction(saveDraft).immediate,
    /**
     * Puts a draft in force and calls `publish` (which writes the published tasks) in one transaction: when
     * `publish` throws, the older plan stays in force and the error comes through.
     */
    adopt: db.transaction(adopt).immediate,
    /** Deletes an open draft; any other plan stays. */
    discard: db.transaction((id: number): void => {
      if (dropDraft.run(id).changes > 0) changes.raise();
    }).immediate,
    /** What changed since the land was read for this plan, as sentences; empty = up to date. */
    changesSince: (id: number): string[] => changes.since(landRevision.get(id) ?? 0),
    clear: (): void => {
      db.exec('DELETE FROM plan');
    },
  };
}

/** Dates that the user fixed for tasks. */
export function heldDatesRepository(db: Database, changes: ChangeLog) {
  const list = db.prepare<[], HeldDates>(
    'SELECT task_key AS taskKey, starts_on AS startsOn FROM held_dates ORDER BY task_key',
  );
  const save = db.prepare(
    `INSERT INTO held_dates (task_key, starts_on) VALUES (?, ?)
     ON CONFLICT DO UPDATE SET starts_on = excluded.starts_on`,
  );
  const drop = db.prepare('DELETE FROM held_dates WHERE task_key = ?');
  const hold = (taskKey: string, startsOn: IsoDate | null): Problem[] => {
    if (startsOn === null) {
      if (drop.run(taskKey).changes > 0) changes.note('rules', `Dates of ${taskKey} were let go.`);
      return [];
    }
    if (!parseIsoDate(startsOn)) {
      const message = 'Held first day: give a real day, such as 2026-11-06.';
      return [{ code: 'held-startsOn', field: 'startsOn', ref: taskKey, message }];
    }
    save.run(taskKey, startsOn);
    changes.note('rules', `Dates of ${taskKey} were held from ${startsOn}.`);
    return [];
  };
  return {
    list: (): HeldDates[] => list.all(),
    insert: (held: HeldDates): void => {
      save.run(held.taskKey, held.startsOn);
    },
    hold: db.transaction(hold).immediate,
    clear: (): void => {
      db.exec('DELETE FROM held_dates');
    },
  };
}
