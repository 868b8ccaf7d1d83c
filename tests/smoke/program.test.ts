import { copyFileSync, existsSync, readFileSync } from 'node:fs';
import { connect } from 'node:net';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { beforeAll, describe, expect, test } from 'vitest';
import { makeSampleDatabase, runProgram, startServer, today } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const folder = temporaryFolder();
const problemFile = fileURLToPath(new URL('../fixtures/problems/small-2.json.gz', import.meta.url));

function sendForm(url: string, path: string, fields: Record<string, string>): Promise<Response> {
  const body = new URLSearchParams(fields);
  return fetch(new URL(path, url), { method: 'POST', body, redirect: 'manual' });
}

test('a first run plans the sample land, answers its pages and a feed, and ends with 0', async () => {
  const server = await startServer(join(folder, 'new', 'first.db'));
  for (const path of ['/', '/year']) {
    const answer = await fetch(new URL(path, server.url));
    expect(answer.status).toBe(200);
    expect(await answer.text()).toContain('plan 1');
  }
  const issued = await sendForm(server.url, '/feeds', { name: 'long-hollow-p1', label: 'office' });
  const address = /http:[^<\s"]+\.ics/.exec(await issued.text())?.[0] ?? '';
  const feed = await fetch(address);
  expect(feed.headers.get('content-type')).toBe('text/calendar; charset=utf-8');
  const text = await feed.text();
  expect(text).toMatch(/^BEGIN:VCALENDAR\r\n[\s\S]+BEGIN:VEVENT[\s\S]+END:VCALENDAR\r\n$/);
  expect(await server.stop()).toBe(0);
});

test('land replaced under a running search: its plan is not offered, and the program lives on', async () => {
  const path = join(folder, 'replaced.db');
  await makeSampleDatabase(path);
  const server = await startServer(path);
  await sendForm(server.url, '/plan/drafts', { seconds: '1', seed: '1' });
  const own = {
    landownerName: 'Hollis Grange',
    name: 'Tern Flat',
    state: 'MO',
    county: 'Sedge',
    timeZone: 'America/Chicago',
    latitude: '37.2',
    longitude: '-92.1',
  };
  expect((await sendForm(server.url, '/land/start', own)).status).toBe(303);
  const planPage = async () => (await fetch(new URL('/plan', server.url))).text();
  await expect.poll(planPage, { timeout: 30_000, interval: 200 }).toContain('make a new draft');
  expect(await planPage()).not.toContain('Adopt the draft');
  expect((await sendForm(server.url, '/land/sample', {})).status).toBe(303);
  // Stopped while the sample is planned.
  expect(await server.stop()).toBe(0);
});

test('a request that never ends does not hold up the stop for good', async () => {
  const server = await startServer(join(folder, 'new', 'first.db'));
  const { port } = new URL(server.url);
  const socket = connect(Number(port), '127.0.0.1');
  socket.on('error', () => {});
  await new Promise((resolve) => socket.once('connect', resolve));
  socket.write('POST /land/start HTTP/1.1\r\nHost: localhost\r\nContent-Length: 99\r\n\r\nhalf');
  // Answered after the half request was taken in.
  expect((await fetch(new URL('/health', server.url))).status).toBe(200);
  expect(await server.stop()).toBe(0);
  socket.destroy();
});

test('two words of the README start it and test it', () => {
  const { scripts } = JSON.parse(
    readFileSync(new URL('../../package.json', import.meta.url), 'utf8'),
  ) as { scripts: Record<string, string> };
  expect(scripts['start']).toBe('node dist/cli/main.js serve');
  expect(scripts['prestart']).toBe('npm run build');
  expect(scripts['test']).toContain('npm run build');
});

test('solve answers a problem file', async () => {
  const ended = await runProgram('solve', problemFile, '--iterations', '500', '--json', '-');
  expect(ended).toMatchObject({ code: 0, err: '' });
  const answer = JSON.parse(ended.out) as { cost: number; bound: number | null; starts: object };
  expect(answer.bound ?? 0).toBeLessThanOrEqual(answer.cost);
  expect(Object.keys(answer.starts).length).toBeGreaterThan(0);
});

test('a second server on one database is refused, and the first loses no entry', async () => {
  const path = join(folder, 'shared.db');
  await makeSampleDatabase(path);
  const server = await startServer(path);
  const second = await runProgram('serve', '--db', path, '--port', '0');
  expect(second.code).not.toBe(0);
  expect(second.err).toContain('is in use by a server of this program');
  const notes = Array.from({ length: 10 }, (_, at) => `note ${at}`);
  const answers = await Promise.all(
    notes.map((note) => sendForm(server.url, '/units/2/entries', entry(note))),
  );
  expect(answers.map((answer) => answer.status)).toEqual(notes.map(() => 303));
  const page = await (await fetch(new URL('/units/2', server.url))).text();
  for (const note of notes) expect(page).toContain(note);
  await server.stop();
});

function entry(note: string): Record<string, string> {
  return {
    taskKey: '',
    treatmentKey: 'mowing',
    doneOn: today,
    outcome: 'partly',
    areaAcres: '0.5',
    crewDays: '',
    shareBlackPercent: '',
    signedOutOn: '',
    reason: 'the rest stands',
    note,
  };
}

describe('a power cut while entries are written', () => {
  const path = join(folder, 'cut.db');
  beforeAll(() => makeSampleDatabase(path));

  test('no answered entry is lost and the file is whole', async () => {
    const answered: string[] = [];
    for (let cut = 1; cut <= 3; cut++) {
      const server = await startServer(path);
      let isUp = true;
      const write = async (writer: number): Promise<void> => {
        for (let at = 0; isUp; at++) {
          const note = `cut ${cut} writer ${writer} entry ${at}`;
          const answer = await sendForm(server.url, '/units/3/entries', entry(note)).catch(
            () => null,
          );
          if (answer?.status === 303) answered.push(note);
          else if (isUp && answer) throw new Error(`refused: ${answer.status}`);
        }
      };
      const writers = Promise.all([write(1), write(2)]);
      const before = answered.length;
      // By count, not by the clock: the cut always falls between two answers.
      while (answered.length < before + 4 * cut) await new Promise((next) => setTimeout(next, 5));
      isUp = false;
      await server.kill();
      await writers;
    }
    // What a restart finds, from a copy, so that the next start is the program's own.
    for (const end of ['', '-wal', '-shm'])
      if (existsSync(path + end)) copyFileSync(path + end, join(folder, `copy.db${end}`));
    const copy = new Database(join(folder, 'copy.db'));
    expect(copy.pragma('integrity_check', { simple: true })).toBe('ok');
    expect(copy.pragma('foreign_key_check')).toEqual([]);
    copy.close();
    const server = await startServer(path);
    const page = await (await fetch(new URL('/units/3', server.url))).text();
    await server.stop();
    expect(answered.length).toBeGreaterThanOrEqual(24);
    expect(answered.filter((note) => !page.includes(note))).toEqual([]);
  });
});
