import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect, test } from 'vitest';
import { webDeps } from '../../src/cli/deps.ts';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { buildApp } from '../../src/web/app.ts';
import { recordKinds } from '../../src/web/forms/records/kinds.ts';
import { accessToday, get, noLimits } from '../support/access.ts';
import { noHealth } from '../support/fake-deps.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

/** What the program notes by itself when it is read: who fetched a feed, what the feeds say, counts that it keeps. */
const ownNotes = new Set(['published_task', 'feed_link', 'site_fit_days', 'session']);

test('no GET changes anything that people keep', async () => {
  const path = join(temporaryFolder(), 'reading.db');
  const file = openOperationFile(path, accessToday);
  file.store.replaceLand(sampleLand(accessToday));
  const deps = webDeps(
    file,
    () => {},
    () => false,
    noHealth,
  );
  const app = buildApp(deps, { limits: noLimits });
  await app.ready();
  const feed = file.store.feeds.create('home-crew-c1', 'truck', true);
  const reader = new Database(path, { readonly: true });
  const tables = reader
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'",
    )
    .pluck()
    .all()
    .filter((name) => !ownNotes.has(name));
  const held = () =>
    Object.fromEntries(
      tables.map((name) => [name, JSON.stringify(reader.prepare(`SELECT * FROM "${name}"`).all())]),
    );
  const before = held();
  const task = encodeURIComponent('block:1/cedar-woodland/burn/1/-');
  const asked = app.routeNames
    .filter((route) => route.startsWith('GET '))
    .flatMap((route) => {
      const pattern = route
        .slice(4)
        .replace(':token', feed.token)
        .replace(':file', 'home-crew-c1.ics')
        .replace('*', task);
      const kinds = pattern.includes('/records/:kind')
        ? recordKinds.map((kind) => kind.path)
        : [''];
      return kinds.map((kind) =>
        pattern.replace(':kind', kind || 'cover').replaceAll(/:[a-zA-Z]+/g, '1'),
      );
    });
  const statuses = new Set<number>();
  for (const path of asked) {
    const query = '?do=take&remove=1&adopt=1&isSure=yes&unit=1&property=1&block=1';
    for (const url of [path, `${path}${query}`]) statuses.add((await get(app, url)).statusCode);
  }
  expect(asked.length).toBeGreaterThan(100);
  expect(statuses).toContain(200);
  expect(statuses).not.toContain(500);
  const after = held();
  expect(tables.filter((name) => after[name] !== before[name])).toEqual([]);
  reader.close();
  file.close();
}, 120_000);
