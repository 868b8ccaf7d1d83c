import { randomUUID } from 'node:crypto';
import type { Database } from 'better-sqlite3';
import type { CalendarEntry, PublishedTask } from '../core/publication.ts';
import { utcSeconds } from './changes.ts';

interface PublishedRow extends Omit<PublishedTask, 'entry'> {
  entry: string;
}

const publishedColumns = `task_key AS taskKey, uid, sequence, revised_at AS revisedAt, created_at AS createdAt, entry,
  cancelled_at AS cancelledAt`;

function toPublished(row: PublishedRow): PublishedTask {
  return { ...row, entry: JSON.parse(row.entry) as CalendarEntry };
}

/** JSON with the keys of every object in order, so that equal entries are equal text. */
function stableJson(value: unknown): string {
  return JSON.stringify(value, (_key, part: unknown) =>
    part !== null && typeof part === 'object' && !Array.isArray(part)
      ? Object.fromEntries(Object.entries(part).sort(([a], [b]) => (a < b ? -1 : 1)))
      : part,
  );
}

/** A second after an instant of the form `YYYY-MM-DDTHH:MM:SSZ`. */
function nextSecond(at: string): string {
  return `${new Date(Date.parse(at) + 1000).toISOString().slice(0, 19)}Z`;
}

/** How many rows a synchronisation wrote. */
export interface PublicationCount {
  added: number;
  revised: number;
  cancelled: number;
  restored: number;
}

/** Identity of tasks in the feeds; rows are never deleted while their land is there. */
export function publicationRepository(db: Database, now: () => Date) {
  const list = db.prepare<[], PublishedRow>(
    `SELECT ${publishedColumns} FROM published_task ORDER BY task_key`,
  );
  const insert = db.prepare(
    `INSERT INTO published_task (task_key, uid, sequence, revised_at, created_at, entry, cancelled_at)
     VALUES (@taskKey, @uid, 0, @at, @at, @entry, NULL)`,
  );
  const revise = db.prepare(
    `UPDATE published_task SET sequence = sequence + 1, revised_at = @revisedAt, entry = @entry,
       cancelled_at = @cancelledAt
     WHERE task_key = @taskKey`,
  );
  const published = (): PublishedTask[] => list.all().map(toPublished);

  const sync = (
    entries: readonly CalendarEntry[],
    keepKeys: ReadonlySet<string>,
  ): PublicationCount => {
    const count: PublicationCount = { added: 0, revised: 0, cancelled: 0, restored: 0 };
    const at = utcSeconds(now);
    const rows = new Map(published().map((row) => [row.taskKey, row]));
    const write = (row: PublishedTask, entry: string, isCancelled: boolean) => {
      const revisedAt = at > row.revisedAt ? at : nextSecond(row.revisedAt);
      const cancelledAt = isCancelled ? revisedAt : null;
      revise.run({ taskKey: row.taskKey, revisedAt, entry, cancelledAt });
    };
    for (const entry of entries) {
      const row = rows.get(entry.taskKey);
      const text = stableJson(entry);
      if (!row) {
        insert.run({ taskKey: entry.taskKey, uid: randomUUID(), at, entry: text });
        count.added += 1;
      } else if (row.cancelledAt !== null || stableJson(row.entry) !== text) {
        write(row, text, false);
        count[row.cancelledAt === null ? 'revised' : 'restored'] += 1;
      }
    }
    const present = new Set(entries.map((entry) => entry.taskKey));
    for (const row of rows.values()) {
      if (row.cancelledAt !== null || present.has(row.taskKey) || keepKeys.has(row.taskKey))
        continue;
      write(row, stableJson({ ...row.entry, status: 'cancelled', isFreeTime: true }), true);
      count.cancelled += 1;
    }
    return count;
  };

  return {
    published,
    /**
     * Brings the stored rows in line with `entries` in one transaction. New: a random uid and sequence 0.
     * Changed in any way a reader can see: sequence + 1. Gone: a cancelled tombstone, sequence + 1, unless
     * its key is in `keepKeys` (then it stays as it is). Back again: the same uid, sequence + 1.
     * `revisedAt` always moves on, by a second where the clock did not.
     */
    syncPublished: db.transaction(sync).immediate,
    clear: (): void => {
      db.exec('DELETE FROM published_task');
    },
  };
}
