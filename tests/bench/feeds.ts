import { request } from 'node:http';
import { performance } from 'node:perf_hooks';
import { addDays, isoDate } from '../../src/core/dates.ts';
import type { PublishedTask } from '../../src/core/publication.ts';
import { renderFeed } from '../../src/feeds/ics.ts';
import { fernhill, revisedAt, row } from '../feeds/rows.ts';
import { feedServer } from '../support/feed-server.ts';

/**
 * How fast feeds are: 5,000 entries rendered, and 200 polls a second for 30 s over loopback, server and polls in
 * this one process. Run: npx tsx tests/bench/feeds.ts [seconds]
 */
const seconds = Math.min(Number(process.argv[2] ?? 30), 60);
const pollsPerSecond = 200;

function manyRows(): PublishedTask[] {
  const first = isoDate('2026-11-01');
  return Array.from({ length: 5000 }, (_, at) =>
    row(at, addDays(first, at % 500), addDays(first, (at % 500) + 4), {
      taskKey: `unit:${at}/cedar-woodland/fell/1/-`,
      followedBy: [{ taskKey: `block:${at + 1}/cedar-woodland/burn/1/-`, lagDaysLeast: 2 }],
      description: ['Planned 30 Nov to 18 Dec 2026.', 'Crew: Saw contract.', '31 acres.'],
    }),
  );
}

function renderMany(): void {
  const rows = manyRows();
  for (let round = 1; round <= 3; round++) {
    const startedAt = performance.now();
    const cpu = process.cpuUsage();
    const text = renderFeed(fernhill, rows, {
      baseUrl: 'https://land.example',
      sourceUrl: null,
      revisedAt,
    });
    const spent = (performance.now() - startedAt).toFixed(0);
    const { user, system } = process.cpuUsage(cpu);
    const worked = ((user + system) / 1000).toFixed(0);
    const size = (text.length / 1e6).toFixed(1);
    console.log(
      `5,000 entries, round ${round}: ${spent} ms (${worked} ms of processor), ${size} MB`,
    );
  }
}

/** One poll; resolves to its status and how long it took. */
function poll(url: string, headers: Record<string, string>) {
  return new Promise<{ status: number; milliseconds: number; etag: string }>((resolve, reject) => {
    const startedAt = performance.now();
    const asked = request(url, { headers }, (answer) => {
      answer.resume();
      answer.on('end', () =>
        resolve({
          status: answer.statusCode ?? 0,
          milliseconds: performance.now() - startedAt,
          etag: String(answer.headers.etag),
        }),
      );
    });
    asked.on('error', reject);
    asked.end();
  });
}

/** The same entries through the whole program: the first fetch renders, the next ones come from memory. */
async function serveMany(): Promise<void> {
  const server = feedServer();
  server.file.store.syncPublished(
    manyRows().map((one) => one.entry),
    new Set(),
  );
  // The rows stand for a plan that is not there: publishing would cancel them.
  server.file.publish = () => undefined;
  const { path } = server.addressFor('-p1');
  for (const name of ['first fetch', 'from memory', 'from memory, gzip', 'unchanged']) {
    const plain = name === 'unchanged' ? String((await server.get(path)).headers.etag) : '';
    const headers: Record<string, string> =
      name === 'unchanged'
        ? { 'if-none-match': plain }
        : { 'accept-encoding': name.endsWith('gzip') ? 'gzip' : 'identity' };
    const startedAt = performance.now();
    const answer = await server.get(path, headers);
    const spent = (performance.now() - startedAt).toFixed(0);
    console.log(
      `5,000 entries, ${name}: ${spent} ms, ${answer.statusCode}, ${answer.rawPayload.length} bytes`,
    );
  }
  await server.app.close();
  server.file.close();
}

async function pollMany(): Promise<void> {
  const server = feedServer();
  server.adopt(server.tasks());
  const address = await server.app.listen({ port: 0, host: '127.0.0.1' });
  const url = `${address}${server.addressFor('-p1').path}`;
  const { etag } = await poll(url, {});
  // A third of the polls ask whether it changed, a third take gzip, a third take it plain.
  const kinds: Record<string, string>[] = [
    { 'if-none-match': etag },
    { 'accept-encoding': 'gzip' },
    {},
  ];
  const answers: Promise<{ status: number; milliseconds: number }>[] = [];
  const cpu = process.cpuUsage();
  const startedAt = performance.now();
  const total = seconds * pollsPerSecond;
  while (answers.length < total) {
    const due = Math.floor(((performance.now() - startedAt) / 1000) * pollsPerSecond);
    while (answers.length < Math.min(due, total))
      answers.push(poll(url, kinds[answers.length % kinds.length] ?? {}));
    await new Promise((resolve) => setTimeout(resolve, 5));
  }
  const done = await Promise.allSettled(answers);
  const wall = (performance.now() - startedAt) / 1000;
  const { user, system } = process.cpuUsage(cpu);
  const good = done.flatMap((one) => (one.status === 'fulfilled' ? [one.value] : []));
  const failed = done.length - good.filter(({ status }) => status === 200 || status === 304).length;
  const times = good.map((one) => one.milliseconds).sort((a, b) => a - b);
  const at = (share: number) => (times[Math.floor(times.length * share)] ?? 0).toFixed(1);
  console.log(
    `${done.length} polls in ${wall.toFixed(1)} s: ${failed} failed; median ${at(0.5)} ms, 99 of 100 within ${at(0.99)} ms; ` +
      `${((user + system) / 1e4 / wall).toFixed(0)} % of one core, polls included`,
  );
  await server.app.close();
  server.file.close();
  if (failed > 0) process.exitCode = 1;
}

renderMany();
await serveMany();
await pollMany();
