import type { Database } from 'better-sqlite3';
import type { OwnFeed } from '../core/feed-scopes.ts';
import type { Outcome, Problem } from '../core/problems.ts';

interface OwnFeedRow {
  id: number;
  title: string;
  treatmentKeys: string;
  crewIds: string;
  unitIds: string;
}

function toOwnFeed(row: OwnFeedRow): OwnFeed {
  return {
    ...row,
    treatmentKeys: JSON.parse(row.treatmentKeys) as string[],
    crewIds: JSON.parse(row.crewIds) as number[],
    unitIds: JSON.parse(row.unitIds) as number[],
  };
}

const unknownFeed: Problem = {
  code: 'own-feed-unknown',
  message: 'This feed is not on record any more.',
};

function problemsOf(feed: Omit<OwnFeed, 'id'>): Problem[] {
  if (feed.title.trim() !== '') return [];
  return [{ code: 'own-feed-title', field: 'title', message: 'Name: fill this in.' }];
}

/** Feeds of one's own, by treatments, crews and units. */
export function ownFeedRepository(db: Database) {
  const list = db.prepare<[], OwnFeedRow>(
    `SELECT id, title, treatment_keys AS treatmentKeys, crew_ids AS crewIds, unit_ids AS unitIds
     FROM own_feed ORDER BY id`,
  );
  const insert = db.prepare(
    'INSERT INTO own_feed (title, treatment_keys, crew_ids, unit_ids) VALUES (?, ?, ?, ?)',
  );
  const update = db.prepare(
    'UPDATE own_feed SET title = ?, treatment_keys = ?, crew_ids = ?, unit_ids = ? WHERE id = ?',
  );
  const remove = db.prepare('DELETE FROM own_feed WHERE id = ?');
  const columnsOf = ({ title, treatmentKeys, crewIds, unitIds }: Omit<OwnFeed, 'id'>) => [
    title.trim(),
    ...[treatmentKeys, crewIds, unitIds].map((part) => JSON.stringify(part)),
  ];
  return {
    list: (): OwnFeed[] => list.all().map(toOwnFeed),
    add: (feed: Omit<OwnFeed, 'id'>): Outcome<number> => {
      const problems = problemsOf(feed);
      if (problems.length > 0) return { ok: false, problems };
      return { ok: true, value: Number(insert.run(...columnsOf(feed)).lastInsertRowid) };
    },
    change: ({ id, ...feed }: OwnFeed): Problem[] => {
      const problems = problemsOf(feed);
      if (problems.length > 0) return problems;
      return update.run(...columnsOf(feed), id).changes === 0 ? [unknownFeed] : [];
    },
    remove: (id: number): Problem[] => (remove.run(id).changes === 0 ? [unknownFeed] : []),
    clear: (): void => {
      db.exec('DELETE FROM own_feed');
    },
  };
}
