import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, test } from 'vitest';
import { openStore } from '../../src/storage/store.ts';
import { testPassword } from '../support/access.ts';
import { runProgram, today } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const main = fileURLToPath(new URL('../../dist/cli/main.js', import.meta.url));
const db = join(temporaryFolder(), 'people.db');

beforeAll(async () => {
  expect((await runProgram('demo', '--db', db, '--today', today)).code).toBe(0);
});

/** Runs `user` with a password on its standard input. */
function user(password: string, ...args: string[]) {
  return new Promise<{ code: number | null; out: string; err: string }>((resolve) => {
    const child = spawn(process.execPath, [main, 'user', ...args, '--db', db]);
    let [out, err] = ['', ''];
    child.stdout.on('data', (text) => {
      out += text;
    });
    child.stderr.on('data', (text) => {
      err += text;
    });
    child.on('close', (code) => resolve({ code, out, err }));
    child.stdin.end(`${password}\n`);
  });
}

describe('the verb user', () => {
  test.each([
    [[], 'Say what to do'],
    [['add'], 'Name the person'],
    [['add', 'Ada'], '--password-stdin'],
    [['reset', 'Nobody'], 'There is no account "Nobody"'],
  ])('user %j is wrong usage', async (args, words) => {
    const ended = await user('', ...args);
    expect(ended.code).toBe(2);
    expect(ended.err).toContain(words);
  });

  test.each([
    [['--host', '0.0.0.0'], '--host 0.0.0.0'],
    [['--public-url', 'https://work.example.org'], '--public-url https://work.example.org'],
  ])('before the first account serve %j is refused, and says what to do', async (args, words) => {
    const ended = await runProgram('serve', '--db', db, '--port', '0', ...args);
    expect(ended.code).toBe(2);
    expect(ended.err).toContain(`${words} lets other machines in`);
    expect(ended.err).toContain('user add NAME');
  });

  test('makes the administrator, then others with a link, and never shows a password', async () => {
    const short = await user('short', 'add', 'Ada', '--password-stdin');
    expect(short.code).toBe(1);
    expect(short.err).toContain('at least 12 characters');
    const limited = await user(testPassword, 'add', 'Ada', '--role', 'planner', '--password-stdin');
    expect(limited.code).toBe(1);
    const made = await user(testPassword, 'add', 'Ada', '--password-stdin');
    expect(made).toMatchObject({ code: 0, err: '' });
    expect(made.out).toContain('Ada may sign in as administrator.');
    expect(made.out).not.toContain(testPassword);
    const owner = ['--role', 'landowner', '--landowner', '1', '--link'];
    const base = ['--public-url', 'https://work.example.org'];
    const second = await user('', 'add', 'Bo', ...owner, ...base);
    expect(second.out).toMatch(/^https:\/\/work\.example\.org\/new-password\/[\w-]{43}$/m);
    const listed = await user('', 'list');
    expect(listed.out).toMatch(/^Ada: administrator, all properties$/m);
    expect(listed.out).toMatch(/^Bo: landowner, land of /m);
  });

  test('a link of the command line is the one that the store knows', async () => {
    const { out } = await user('', 'reset', 'bo');
    const token = /new-password\/([\w-]{43})/.exec(out)?.[1] ?? '';
    const store = openStore(db, () => new Date());
    expect(store.accounts.accountOfLink(token)).toBe(store.accounts.findName('Bo')?.id);
    store.close();
  });

  test('the last administrator stays; others go', async () => {
    expect((await user('', 'retire', 'Ada')).code).toBe(1);
    expect((await user('', 'retire', 'Bo')).code).toBe(0);
    expect((await user('', 'list')).out).toMatch(/^Bo: .*, out of use$/m);
  });
});
