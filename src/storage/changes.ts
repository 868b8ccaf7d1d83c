import type { Database } from 'better-sqlite3';

export type ChangeKind = 'land' | 'rules' | 'people' | 'fact' | 'weather';

/** Reads the clock once, as UTC to the second: `YYYY-MM-DDTHH:MM:SSZ`. */
export function utcSeconds(now: () => Date): string {
  return `${now().toISOString().slice(0, 19)}Z`;
}

/** Most sentences that `since` gives: more than a page can show. */
const sentencesMost = 100;

export type ChangeLog = ReturnType<typeof changeRepository>;

/**
 * The revision of the operation and what changed, in sentences. Everything that changes the land, the rules,
 * the people, the facts or the weather calls `note` inside its own transaction; plans only call `raise`.
 */
export function changeRepository(db: Database, now: () => Date) {
  const current = db.prepare<[], number>('SELECT revision FROM revision').pluck();
  const raise = db
    .prepare<[], number>('UPDATE revision SET revision = revision + 1 RETURNING revision')
    .pluck();
  const insert = db.prepare('INSERT INTO change (revision, at, kind, what) VALUES (?, ?, ?, ?)');
  const since = db
    .prepare<[number, number], string>(
      'SELECT what FROM change WHERE revision > ? GROUP BY what ORDER BY min(id) LIMIT ?',
    )
    .pluck();
  const clear = db.prepare('DELETE FROM change');
  return {
    revision: (): number => current.get() as number,
    raise: (): number => raise.get() as number,
    note: (kind: ChangeKind, what: string): void => {
      insert.run(raise.get(), utcSeconds(now), kind, what);
    },
    /** Each sentence once, in the order of its first time; at most 100. */
    since: (revision: number): string[] => since.all(revision, sentencesMost),
    clear: (): void => {
      clear.run();
    },
  };
}
