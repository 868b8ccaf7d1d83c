import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { feedServer } from '../support/feed-server.ts';

/**
 * A real calendar program reads a feed over HTTP: vdirsyncer fetches, khal lists. Both from Debian
 * (apt-get install vdirsyncer khal); where they are not installed, this file says that it was skipped.
 */
const isInstalled = ['/usr/bin/vdirsyncer', '/usr/bin/khal'].every((path) => existsSync(path));

const fellKey = 'unit:5/cedar-woodland/fell/1/-';
const checkKey = 'unit:2/cedar-woodland/cure-check/1/-';

describe.skipIf(!isInstalled)('vdirsyncer and khal', () => {
  const folder = mkdtempSync(join(tmpdir(), 'feed-client-'));
  const server = feedServer();
  let address = '';

  /** A child that runs while this process answers it, so never `spawnSync` for the fetch. */
  const run = async (command: string, args: string[], input = '') => {
    const env = { PATH: process.env['PATH'], HOME: folder, LANG: 'C.UTF-8', LC_ALL: 'C.UTF-8' };
    const child = spawn(command, args, { env });
    let output = '';
    child.stdout.on('data', (part) => (output += part));
    child.stderr.on('data', (part) => (output += part));
    child.stdin.end(input);
    const code = await new Promise<number | null>((resolve) => child.on('close', resolve));
    return { code, output };
  };
  const sync = () => run('vdirsyncer', ['-c', join(folder, 'vds.conf'), 'sync']);
  /** The entries of the coming two years, one a line. */
  const listed = async () => {
    const format = '{start-date}..{end-date} {title} [{status}]';
    const { code, output } = await run('khal', [
      ...['-c', join(folder, 'khal.conf'), 'list', '--once', '--format', format],
      ...['--day-format', '', '2026-11-01', '2028-06-30'],
    ]);
    expect(code, output).toBe(0);
    return output
      .split('\n')
      .map((line) => line.trim().replace(/\s+\]$/, ']'))
      .filter((line) => line !== '');
  };
  const start = (taskKey: string, lines: string[]) => {
    const row = server.file.store.published().find((one) => one.taskKey === taskKey);
    return lines.filter((line) => line.includes(row?.entry.summary ?? taskKey));
  };

  beforeAll(async () => {
    server.adopt(server.tasks());
    address = await server.app.listen({ port: 0, host: '127.0.0.1' });
    mkdirSync(join(folder, 'cal'));
    writeFileSync(
      join(folder, 'vds.conf'),
      `[general]
status_path = "${folder}/status/"
[pair crew]
a = "local"
b = "feed"
collections = null
conflict_resolution = "b wins"
[storage local]
type = "filesystem"
path = "${folder}/cal/"
fileext = ".ics"
[storage feed]
type = "http"
url = "${address}${server.addressFor('-p1').path}"
`,
    );
    writeFileSync(
      join(folder, 'khal.conf'),
      `[calendars]
[[crew]]
path = ${folder}/cal/
[locale]
dateformat = %Y-%m-%d
longdateformat = %Y-%m-%d
timeformat = %H:%M
datetimeformat = %Y-%m-%d %H:%M
longdatetimeformat = %Y-%m-%d %H:%M
local_timezone = America/Chicago
default_timezone = America/Chicago
[sqlite]
path = ${folder}/khal.db
`,
    );
    const found = await run(
      'vdirsyncer',
      ['-c', join(folder, 'vds.conf'), 'discover', 'crew'],
      'y\ny\n',
    );
    expect(found.code, found.output).toBe(0);
  });

  afterAll(async () => {
    await server.app.close();
    server.file.close();
    rmSync(folder, { recursive: true });
  });

  it('take the first sync, a move, a cancellation and a removal', async () => {
    const first = await sync();
    expect(first.code, first.output).toBe(0);
    const before = await listed();
    const shown = server.file.store.published().filter((row) => row.entry.kind === 'task');
    const own = shown.filter((row) => row.entry.propertyId === 1);
    for (const { entry } of own)
      expect(
        before.filter((line) => line.includes(entry.summary)),
        entry.summary,
      ).not.toEqual([]);
    // khal shows the inclusive last day: DTEND is the day after it.
    expect(start(fellKey, before)).toEqual([
      '2026-11-30..2026-12-18 TENTATIVE: S2 Post oak bench: fell cedar [TENTATIVE]',
    ]);

    const moved = server
      .tasks()
      .filter((task) => task.key !== checkKey)
      .map((task) =>
        task.key === fellKey
          ? { ...task, startsOn: isoDate('2026-12-07'), lastDay: isoDate('2026-12-23') }
          : task,
      );
    server.adopt(moved);
    const second = await sync();
    expect(second.code, second.output).toBe(0);
    const after = await listed();
    expect(start(fellKey, after)).toEqual([
      '2026-12-07..2026-12-23 TENTATIVE: S2 Post oak bench: fell cedar [TENTATIVE]',
    ]);
    expect(start(checkKey, after)).toHaveLength(1);
    expect(start(checkKey, after)[0]).toMatch(/ CANCELLED: .*\[CANCELLED\]$/);
    expect(after).toHaveLength(before.length);

    // The address is replaced: the old one holds a single entry that says so, and the work is gone.
    const [link] = server.deps.feeds.list();
    server.deps.feeds.rotate(link?.id ?? 0);
    const third = await sync();
    expect(third.code, third.output).toBe(0);
    expect(await listed()).toEqual([]);
    const { output } = await run('khal', [
      ...['-c', join(folder, 'khal.conf'), 'list', '--once', '--format', '{title}'],
      ...['--day-format', '', '2025-12-31', '2026-01-03'],
    ]);
    expect(output.trim()).toBe('This link was replaced');
  });
});
