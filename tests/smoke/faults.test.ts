import { spawnSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { setTimeout as wait } from 'node:timers/promises';
import { beforeAll, describe, expect, test } from 'vitest';
import {
  childrenOf,
  entryFields,
  liftFileLimit,
  lookInto,
  postForm,
  runHeld,
  serveHeld,
  writeEntries,
} from '../support/faults.ts';
import { makeSampleDatabase, runProgram } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

/** Faults that really happen to the built program; `tests/bench/faults.ts` does more of each and prints figures. */
const folder = temporaryFolder();
const sample = join(folder, 'sample.db');
const isLinux = process.platform === 'linux';

beforeAll(() => makeSampleDatabase(sample));

function ownCopy(name: string): string {
  mkdirSync(join(folder, name));
  const path = join(folder, name, 'land.db');
  copyFileSync(sample, path);
  return path;
}

test('killed five times while entries are written: the file is whole, no acknowledged entry is missing', async () => {
  const path = ownCopy('killed');
  const answered: string[] = [];
  for (let round = 1; round <= 5; round++) {
    const server = await serveHeld(path);
    let isOver = false;
    const writing = writeEntries(server.url, `kill ${round}`, 3, () => isOver, answered);
    const before = answered.length;
    // By count, not by the clock: whatever the machine, the kill falls among writes.
    while (answered.length < before + 2 * round) await wait(2);
    await server.kill('SIGKILL');
    isOver = true;
    await writing;
    const { faults, notes } = lookInto(path, join(folder, `killed-${round}.db`));
    expect(faults).toEqual([]);
    expect(answered.filter((note) => !notes.has(note))).toEqual([]);
  }
  expect(answered.length).toBeGreaterThanOrEqual(30);
});

describe.runIf(isLinux)('a disk that takes no more', () => {
  test('says so, keeps what was typed, lets people read, and goes on when there is room again', async () => {
    const path = ownCopy('full');
    const server = await serveHeld(path, { fileKilobytes: 160 });
    const issued = await postForm(server.url, '/feeds', { name: 'long-hollow-p1', label: 'x' });
    const feed = /http:[^<\s"]+\.ics/.exec(await issued.text())?.[0] ?? '';
    const answered: string[] = [];
    let refused: Response | null = null;
    for (let at = 0; at < 500 && !refused; at++) {
      const note = `full ${at}`;
      const answer = await postForm(server.url, '/units/2/entries', entryFields(note));
      if (answer.status === 303) answered.push(note);
      else refused = answer;
    }
    expect(refused?.status).toSatisfy((status: number) => status === 503 || status === 507);
    const page = (await refused?.text()) ?? '';
    expect(page).toMatch(/nothing of this was saved/);
    expect(page).toContain(`full ${answered.length}`);
    for (const path of ['/', '/year', '/units/2'])
      expect((await fetch(new URL(path, server.url))).status).toBe(200);
    expect((await fetch(feed)).status).toBe(200);
    // A form of another kind, by the page for all of them.
    const owner = { name: 'Hollis Grange', contact: 'by phone' };
    const settings = await postForm(server.url, '/records/landowners/new', owner);
    expect([503, 507]).toContain(settings.status);
    const again = await settings.text();
    expect(again).toMatch(/nothing of this was saved/);
    expect(again).toContain('value="Hollis Grange"');
    const upload = new FormData();
    upload.set('propertyId', '1');
    upload.set('file', new File(['code,acres,community\nZZ9,10,glade\n'], 'units.csv'));
    const imported = await fetch(new URL('/land/import', server.url), {
      method: 'POST',
      body: upload,
      redirect: 'manual',
    });
    expect(imported.status).not.toBe(303);
    expect(imported.status).not.toBe(500);
    liftFileLimit(server.pid);
    const last = await postForm(server.url, '/units/2/entries', entryFields('room again'));
    expect(last.status).toBe(303);
    await server.kill('SIGKILL');
    const { faults, notes } = lookInto(path, join(folder, 'full-copy.db'));
    expect(faults).toEqual([]);
    expect([...answered, 'room again'].filter((note) => !notes.has(note))).toEqual([]);
  });

  test('a backup that finds no room is refused with a sentence and leaves nothing behind', async () => {
    const path = ownCopy('no-room');
    const ended = await runHeld(['backup', '--db', path], { fileKilobytes: 100 });
    expect(ended.code).toBe(1);
    expect(ended.said).toContain('No backup was made, and no older one is lost');
    expect(readdirSync(join(folder, 'no-room', 'backups'))).toEqual([]);
  });
});

test('a file that is damaged is refused, with the last good backup named', async () => {
  const path = ownCopy('damaged');
  expect((await runProgram('backup', '--db', path)).code).toBe(0);
  const [backup] = readdirSync(join(folder, 'damaged', 'backups'));
  writeFileSync(path, 'no database at all, but long enough to be looked at '.repeat(100));
  const ended = await runProgram('serve', '--db', path, '--port', '0');
  expect(ended.code).toBe(1);
  expect(ended.err).toContain('is not a database, or it is damaged');
  expect(ended.err).toContain(backup);
});

test.runIf(isLinux && process.getuid?.() === 0)(
  'a database that may not be written is refused at the start, and not once it may be',
  async () => {
    const userId = 65_534;
    const path = ownCopy('read-only');
    chmodSync(folder, 0o755);
    chmodSync(path, 0o444);
    const refused = await runHeld(['serve', '--db', path, '--port', '0'], { userId });
    expect(refused.said).toContain('is read-only');
    expect(refused.code).toBe(1);
    chownSync(path, userId, userId);
    chownSync(join(folder, 'read-only'), userId, userId);
    chmodSync(path, 0o644);
    const server = await serveHeld(path, { userId });
    expect((await fetch(new URL('/year', server.url))).status).toBe(200);
    await server.kill('SIGTERM');
  },
);

/** An immutable file takes no write, not even through a descriptor that is open (chattr(1)); not every disk knows it. */
function setImmutable(path: string, isOn: boolean): boolean {
  // The third file is memory that both sides map, and is left alone.
  const files = ['', '-wal'].map((end) => path + end).filter((file) => existsSync(file));
  return spawnSync('chattr', [isOn ? '+i' : '-i', ...files]).status === 0;
}

test.runIf(isLinux && process.getuid?.() === 0)(
  'a database that may not be written any more, while it is in use: nothing is lost, people read on',
  async ({ skip }) => {
    const path = ownCopy('frozen');
    const server = await serveHeld(path);
    const write = (note: string) => postForm(server.url, '/units/2/entries', entryFields(note));
    expect((await write('before')).status).toBe(303);
    try {
      if (!setImmutable(path, true)) skip('this disk knows no immutable files');
      const refused = await write('meanwhile');
      expect(refused.status).toBe(503);
      const page = await refused.text();
      expect(page).toMatch(/nothing of this was saved/);
      expect(page).toContain('meanwhile');
      for (const read of ['/', '/year', '/units/2'])
        expect((await fetch(new URL(read, server.url))).status).toBe(200);
    } finally {
      setImmutable(path, false);
    }
    expect((await write('after')).status).toBe(303);
    await server.kill('SIGTERM');
    const { faults, notes } = lookInto(path, join(folder, 'frozen-copy.db'));
    expect(faults).toEqual([]);
    expect(['before', 'meanwhile', 'after'].filter((note) => notes.has(note))).toEqual([
      'before',
      'after',
    ]);
  },
);

describe.runIf(isLinux)('a search whose process', () => {
  async function startDraft(url: string, pid: number): Promise<number> {
    const known = new Set(childrenOf(pid));
    const started = await postForm(url, '/plan/drafts', { seconds: '60', seed: '1' });
    expect(started.status).toBe(303);
    let child: number | undefined;
    while (child === undefined) {
      await wait(50);
      child = childrenOf(pid).find((one) => !known.has(one));
    }
    // Until it has a plan, so that there is one to keep.
    await expect
      .poll(async () => (await fetch(new URL('/plan', url))).text(), { timeout: 20_000 })
      .toMatch(/left out|points/);
    return child;
  }

  test('is killed: the run ends, its best plan is kept, and another can start', async () => {
    const path = ownCopy('search');
    const server = await serveHeld(path);
    const child = await startDraft(server.url, server.pid);
    process.kill(child, 'SIGKILL');
    const planPage = async () => (await fetch(new URL('/plan', server.url))).text();
    await expect.poll(planPage, { timeout: 20_000, interval: 200 }).not.toContain('/plan/stop');
    // Stopped by the system, and then by the user: a stop ends it all the same.
    const hung = await startDraft(server.url, server.pid);
    process.kill(hung, 'SIGSTOP');
    await postForm(server.url, '/plan/stop', {});
    await expect.poll(planPage, { timeout: 20_000, interval: 200 }).not.toContain('/plan/stop');
    await expect.poll(() => childrenOf(server.pid), { timeout: 10_000 }).not.toContain(hung);
    expect(await server.kill('SIGTERM')).toBe(0);
  });
});
