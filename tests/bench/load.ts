import { execFileSync, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { setTimeout as wait } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { loadSampleWeather } from '../../src/cli/weather-import.ts';
import { isoDate } from '../../src/core/dates.ts';
import { findPages } from '../support/crawl.ts';
import { manyLand } from '../support/many-land.ts';
import { runProgram, today } from '../support/server.ts';

/**
 * Load: 512 units, 20,000 entries of five years, 30 people. The server is held to one core, a plan runs niced on
 * the other, and 30 readers open every page in turn; then a day's feed polls and page views in ten minutes.
 * Prints the time of each page, memory, and how long the server kept a small file waiting. Asserts nothing.
 * Run after `npm run build`: npx tsx tests/bench/load.ts [--seconds 120] [--soak 600] [--db FILE] [--profile]
 */
const mainFile = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
const readerCount = 30;
const pauseMs = 5000;
/** Of one person on a working day, and of one calendar program that asks every quarter of an hour. */
const viewsADay = 100;
const pollsADay = 96;

function argument(name: string, fallback: string): string {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? fallback : (process.argv[at + 1] ?? fallback);
}

async function makeDatabase(path: string): Promise<void> {
  const file = openOperationFile(path, isoDate(today));
  const land = manyLand(file.library, isoDate(today));
  file.store.replaceLand(land);
  loadSampleWeather(file, isoDate(today));
  file.close();
  const startedAt = performance.now();
  const planned = await runProgram(
    ...['plan', '--db', path, '--today', today, '--iterations', '200', '--adopt'],
  );
  if (planned.code !== 0) throw new Error(planned.out + planned.err);
  const seconds = ((performance.now() - startedAt) / 1000).toFixed(0);
  const { units, entries, people } = land;
  console.log(
    `${units.length} units, ${entries.length} entries, ${people.length} people; planned in ${seconds} s`,
  );
}

const hasTaskset = (() => {
  try {
    execFileSync('taskset', ['-V'], { stdio: 'ignore' });
    return true;
  } catch {
    return false;
  }
})();

async function startHeld(path: string, profileFolder: string | null) {
  const profile = profileFolder ? ['--cpu-prof', '--cpu-prof-dir', profileFolder] : [];
  const serve = [...profile, mainFile, 'serve', '--db', path, '--port', '0', '--today', today];
  const [program, args] = hasTaskset
    ? ['taskset', ['-c', '0', process.execPath, ...serve]]
    : [process.execPath, serve];
  const child = spawn(program, args, { stdio: ['ignore', 'pipe', 'inherit'] });
  const pid = child.pid as number;
  let said = '';
  while (!/http:\S+/.test(said)) {
    const [chunk] = (await once(child.stdout!, 'data')) as [Buffer];
    said += chunk.toString();
  }
  const url = /http:\S+/.exec(said)?.[0] ?? '';
  const closed = once(child, 'close');
  const stop = async () => {
    child.kill('SIGTERM');
    await closed;
  };
  return { url, pid, stop };
}

function statusOf(pid: number, key: string): number {
  const text = readFileSync(`/proc/${pid}/status`, 'utf8');
  return Number(new RegExp(`${key}:\\s+(\\d+)`).exec(text)?.[1] ?? 0) / 1024;
}

/** Seconds of processor that the server has used. */
function processorSeconds(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8')
    .replace(/^.*\) /, '')
    .split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

/** Moves the children of the server (searches) to the other core. */
function moveChildren(pid: number): void {
  const children = readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim();
  for (const child of children.split(' ').filter((one) => one !== ''))
    if (hasTaskset) execFileSync('taskset', ['-a', '-p', '-c', '1', child], { stdio: 'ignore' });
}

const percentile = (times: readonly number[], share: number): number => {
  const sorted = [...times].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0;
};

interface Seen {
  times: Map<string, number[]>;
  failed: number;
}

async function view(url: string, path: string, kind: string, seen: Seen): Promise<void> {
  const startedAt = performance.now();
  const answer = await fetch(new URL(path, url));
  await answer.arrayBuffer();
  const times = seen.times.get(kind) ?? [];
  times.push(performance.now() - startedAt);
  seen.times.set(kind, times);
  if (answer.status >= 400) seen.failed += 1;
}

/** Readers who open a page, read, and open the next until the time is over. */
async function readPages(
  url: string,
  pages: ReadonlyMap<string, string>,
  seconds: number,
  pauseMs: number,
  readerCount: number,
): Promise<Seen> {
  const seen: Seen = { times: new Map(), failed: 0 };
  const all = [...pages];
  const until = performance.now() + seconds * 1000;
  let next = 0;
  const read = async (reader: number): Promise<void> => {
    await wait((pauseMs * reader) / readerCount);
    while (performance.now() < until) {
      const [kind, path] = all[next++ % all.length]!;
      await view(url, path, kind, seen);
      await wait(pauseMs);
    }
  };
  await Promise.all(Array.from({ length: readerCount }, (_, reader) => read(reader)));
  return seen;
}

/** Asks for a small file again and again: what it waits, the server's work held it up. */
async function probe(url: string, isOver: () => boolean): Promise<number[]> {
  const waits: number[] = [];
  while (!isOver()) {
    const startedAt = performance.now();
    await (await fetch(new URL('/assets/app.js', url), { method: 'HEAD' })).arrayBuffer();
    waits.push(performance.now() - startedAt);
    await wait(20);
  }
  return waits;
}

function print(seen: Seen): void {
  const rows = [...seen.times].map(([kind, times]) => ({
    kind,
    count: times.length,
    half: percentile(times, 0.5),
    most: percentile(times, 0.95),
  }));
  rows.sort((a, b) => b.most - a.most);
  for (const { kind, count, half, most } of rows)
    console.log(
      `${most.toFixed(0).padStart(6)} ms (half ${half.toFixed(0).padStart(5)} ms, ${count} times)  ${kind}`,
    );
  const all = [...seen.times.values()].flat();
  console.log(
    `all: ${all.length} views, 95 of 100 within ${percentile(all, 0.95).toFixed(0)} ms, ${seen.failed} failed`,
  );
}

async function feedAddresses(url: string): Promise<string[]> {
  const names = [
    ...(await (await fetch(new URL('/feeds', url))).text()).matchAll(
      /name="name" value="([^"]+)"|<option value="([^"]+-[a-z]+\d+)"/g,
    ),
  ].map((match) => match[1] ?? match[2] ?? '');
  const addresses: string[] = [];
  for (const name of [...new Set(names)].slice(0, readerCount)) {
    const body = new URLSearchParams({ name, label: 'load' });
    const answer = await fetch(new URL('/feeds', url), { method: 'POST', body });
    const address = /http:[^<\s"]+\.ics/.exec(await answer.text())?.[0];
    if (address) addresses.push(address);
  }
  return addresses;
}

/** A day's views and polls in so many seconds; memory before and after. */
async function soak(url: string, pid: number, pages: ReadonlyMap<string, string>, seconds: number) {
  const feeds = await feedAddresses(url);
  if (feeds.length === 0) throw new Error('No feed address could be made.');
  const polls = pollsADay * readerCount;
  const seen: Seen = { times: new Map(), failed: 0 };
  const pollAll = async (): Promise<void> => {
    const startedAt = performance.now();
    for (let at = 0; at < polls; at++) {
      const due = (at / polls) * seconds * 1000 - (performance.now() - startedAt);
      if (due > 0) await wait(due);
      await view(url, feeds[at % feeds.length]!, 'feed poll', seen);
    }
  };
  const pace = (seconds * 1000) / viewsADay;
  // The first round fills what the server keeps; growth counts from there.
  await readPages(url, pages, seconds / 5, pace, readerCount);
  for (const feed of feeds) await view(url, feed, 'feed first', seen);
  const before = statusOf(pid, 'VmRSS');
  const [views] = await Promise.all([readPages(url, pages, seconds, pace, readerCount), pollAll()]);
  await wait(2000);
  const after = statusOf(pid, 'VmRSS');
  for (const [kind, times] of views.times) seen.times.set(kind, times);
  print({ times: seen.times, failed: seen.failed + views.failed });
  const growth = ((after / before - 1) * 100).toFixed(1);
  console.log(
    `soak of ${seconds} s, ${feeds.length} feeds: memory ${before.toFixed(0)} MB, then ${after.toFixed(0)} MB (${growth} %), most ${statusOf(pid, 'VmHWM').toFixed(0)} MB`,
  );
}

async function bench(): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'seasonwright-load-'));
  const given = argument('db', '');
  const path = given === '' ? join(folder, 'load.db') : given;
  if (given === '') await makeDatabase(path);
  const profile = process.argv.includes('--profile') ? argument('profile', folder) : null;
  const server = await startHeld(path, profile);
  try {
    const pages = await findPages(server.url);
    console.log(`${pages.size} kinds of pages`);
    const seconds = Number(argument('seconds', '120'));
    if (seconds > 0) {
      const body = new URLSearchParams({ seconds: String(Math.min(600, seconds)), seed: '1' });
      await fetch(new URL('/plan/drafts', server.url), { method: 'POST', body });
      moveChildren(server.pid);
      let isOver = false;
      const cpu = processorSeconds(server.pid);
      const waits = probe(server.url, () => isOver);
      const seen = await readPages(server.url, pages, seconds, pauseMs, readerCount);
      isOver = true;
      const held = await waits;
      print(seen);
      const used = ((processorSeconds(server.pid) - cpu) / seconds) * 100;
      console.log(
        `a small file waits: half ${percentile(held, 0.5).toFixed(1)} ms, 99 of 100 ${percentile(held, 0.99).toFixed(0)} ms, most ${Math.max(...held).toFixed(0)} ms; ${used.toFixed(0)} % of one core`,
      );
      console.log(
        `memory of the server: ${statusOf(server.pid, 'VmRSS').toFixed(0)} MB, most ${statusOf(server.pid, 'VmHWM').toFixed(0)} MB`,
      );
      await fetch(new URL('/plan/stop', server.url), { method: 'POST' });
    }
    const soakSeconds = Number(argument('soak', '0'));
    if (soakSeconds > 0) await soak(server.url, server.pid, pages, soakSeconds);
  } finally {
    await server.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

await bench();
