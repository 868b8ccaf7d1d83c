import { readFileSync } from 'node:fs';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { migrationsFolder } from '../../src/storage/migrate.ts';

test('a task published before entries had a kind stays in its feeds, a cancelled one too', () => {
  const db = new Database(':memory:');
  const apply = (name: string) => db.exec(readFileSync(new URL(name, migrationsFolder), 'utf8'));
  for (const name of ['0001_land.sql', '0002_plans_and_feeds.sql', '0003_weather.sql']) apply(name);
  db.prepare(
    `INSERT INTO published_task (task_key, uid, sequence, revised_at, created_at, entry, cancelled_at)
     VALUES ('a', 'u', 3, '2026-11-09T15:00:00Z', '2026-11-09T15:00:00Z', ?, '2026-11-09T15:00:00Z')`,
  ).run(JSON.stringify({ taskKey: 'a', family: 'cut' }));
  apply('0004_feeds.sql');
  apply('0005_feed_entries.sql');
  const row = db.prepare<[], { entry: string; sequence: number }>(
    'SELECT entry, sequence FROM published_task',
  );
  const { entry, sequence } = row.get() ?? { entry: '{}', sequence: 0 };
  expect(sequence).toBe(3);
  expect(JSON.parse(entry)).toEqual({
    taskKey: 'a',
    family: 'cut',
    kind: 'task',
    treatmentKey: null,
    progress: 'to-do',
  });
});
