import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { setTimeout as wait } from 'node:timers/promises';
import {
  childrenOf,
  entryFields,
  lookInto,
  postForm,
  runHeld,
  serveHeld,
  writeEntries,
} from '../support/faults.ts';
import { makeSampleDatabase } from '../support/server.ts';

/**
 * Faults that are really done to the built program: it is killed at random moments while three people write, a small
 * disk fills up (root only: a file system of its own), searches are killed, stopped and starved of memory. Prints
 * figures; ends with 1 when an acknowledged entry is missing or a file is not whole.
 * Run after `npm run build`: npx tsx tests/bench/faults.ts [KILLS, default 200]
 */
const kills = Number(process.argv[2] ?? 200);
const folder = mkdtempSync(join(tmpdir(), 'seasonwright-faults-'));
const sample = join(folder, 'sample.db');
let bad = 0;

function say(name: string, isGood: boolean, words: string): void {
  if (!isGood) bad += 1;
  console.log(`${isGood ? 'held  ' : 'BROKEN'}  ${name}: ${words}`);
}

function ownCopy(name: string, place = folder): string {
  mkdirSync(join(place, name), { recursive: true });
  const path = join(place, name, 'land.db');
  copyFileSync(sample, path);
  return path;
}

async function killMany(): Promise<void> {
  const path = ownCopy('killed');
  const answered: string[] = [];
  let [missing, broken] = [0, 0];
  const starts: number[] = [];
  for (let round = 1; round <= kills; round++) {
    const startedAt = performance.now();
    const server = await serveHeld(path);
    starts.push(performance.now() - startedAt);
    let isOver = false;
    const before = answered.length;
    const writing = writeEntries(server.url, `kill ${round}`, 3, () => isOver, answered);
    // Some entries in, then a random moment.
    const some = before + 1 + Math.floor(Math.random() * 8);
    while (answered.length < some) await wait(1);
    await wait(Math.random() * 100);
    await server.kill('SIGKILL');
    isOver = true;
    await writing;
    const { faults, notes } = lookInto(path, join(folder, 'looked-into.db'));
    broken += faults.length > 0 ? 1 : 0;
    missing += answered.slice(before).filter((note) => !notes.has(note)).length;
    if (round === kills) missing += answered.filter((note) => !notes.has(note)).length;
  }
  const slowest = (Math.max(...starts) / 1000).toFixed(1);
  say(
    'kill -9 while three people write',
    missing === 0 && broken === 0,
    `${kills} kills, ${answered.length} acknowledged entries, ${missing} missing, ${broken} files not whole; slowest start ${slowest} s`,
  );
}

/** A disk of its own of a few megabytes, filled up and emptied again. */
async function fillDisk(): Promise<void> {
  const mount = join(folder, 'small-disk');
  mkdirSync(mount);
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', 'size=24m', 'tmpfs', mount], { stdio: 'ignore' });
  } catch {
    console.log('skipped a full disk: only root may make one');
    return;
  }
  try {
    const path = ownCopy('full', mount);
    const server = await serveHeld(path);
    const filler = join(mount, 'filler');
    execFileSync('bash', ['-c', `cat /dev/zero > ${filler} || true`], { stdio: 'ignore' });
    const answered: string[] = [];
    let refusal = '';
    for (let at = 0; at < 3000 && refusal === ''; at++) {
      const answer = await postForm(server.url, '/units/2/entries', entryFields(`full ${at}`));
      if (answer.status === 303) answered.push(`full ${at}`);
      else refusal = `${answer.status} ${/The disk is full[^<]*/.exec(await answer.text())?.[0]}`;
    }
    say('disk full while writing', refusal.startsWith('507 The disk is full'), refusal);
    const reading = (await fetch(new URL('/year', server.url))).status;
    say('disk full while reading', reading === 200, `the Year page answers ${reading}`);
    const backup = await runHeld(['backup', '--db', path]);
    say('disk full while backing up', backup.code === 1, backup.said.trim());
    const upload = new FormData();
    upload.set('propertyId', '1');
    const rows = Array.from({ length: 400 }, (_, at) => `Z${at},10,glade`);
    upload.set('file', new File([`code,acres,community\n${rows.join('\n')}\n`], 'units.csv'));
    const imported = await fetch(new URL('/land/import', server.url), {
      method: 'POST',
      body: upload,
      redirect: 'manual',
    });
    say('disk full while importing', [503, 507].includes(imported.status), `${imported.status}`);
    rmSync(filler);
    const after = await postForm(server.url, '/units/2/entries', entryFields('room again'));
    say('room again, without a restart', after.status === 303, `${after.status}`);
    await server.kill('SIGKILL');
    const { faults, notes } = lookInto(path, join(folder, 'full-copy.db'));
    const missing = answered.filter((note) => !notes.has(note)).length;
    say(
      'the file of the full disk',
      faults.length === 0 && missing === 0,
      `${answered.length} acknowledged, ${missing} missing`,
    );
  } finally {
    execFileSync('umount', [mount]);
  }
}

async function endSearches(): Promise<void> {
  const path = ownCopy('search');
  const server = await serveHeld(path);
  const planPage = async () => (await fetch(new URL('/plan', server.url))).text();
  const search = async (): Promise<number> => {
    await postForm(server.url, '/plan/drafts', { seconds: '60', seed: '1' });
    await wait(1500);
    return childrenOf(server.pid)[0] ?? 0;
  };
  const ends = async (name: string): Promise<void> => {
    const startedAt = performance.now();
    const isOver = async () =>
      !(await planPage()).includes('/plan/stop') && childrenOf(server.pid).length === 0;
    while (!(await isOver()) && performance.now() - startedAt < 120_000) await wait(100);
    const seconds = ((performance.now() - startedAt) / 1000).toFixed(1);
    const left = childrenOf(server.pid).length;
    say(name, await isOver(), `ended after ${seconds} s, ${left} processes left`);
  };
  process.kill(await search(), 'SIGKILL');
  await ends('search killed');
  process.kill(await search(), 'SIGSTOP');
  await ends('search hung, nobody stops it');
  process.kill(await search(), 'SIGSTOP');
  await postForm(server.url, '/plan/stop', {});
  await ends('search hung, stopped by a person');
  execFileSync('prlimit', ['--pid', String(await search()), '--as=1000000']);
  await ends('search without memory');
  await search();
  await postForm(server.url, '/plan/stop', {});
  await ends('a search after all that');
  const code = await server.kill('SIGTERM');
  say('the server after all that', code === 0, `ended with ${code}`);
}

async function refuse(): Promise<void> {
  const path = ownCopy('refused');
  const first = await serveHeld(path);
  const second = await runHeld(['serve', '--db', path, '--port', '0']);
  say('a second server on one file', second.code === 1, second.said.trim());
  await first.kill('SIGTERM');
  await runHeld(['backup', '--db', path]);
  writeFileSync(path, 'damaged '.repeat(4000));
  const damaged = await runHeld(['serve', '--db', path, '--port', '0']);
  say('a damaged file', damaged.said.includes('newest good backup is'), damaged.said.trim());
}

try {
  await makeSampleDatabase(sample);
  await refuse();
  await fillDisk();
  await endSearches();
  await killMany();
} finally {
  rmSync(folder, { recursive: true, force: true });
}
process.exitCode = bad > 0 ? 1 : 0;
