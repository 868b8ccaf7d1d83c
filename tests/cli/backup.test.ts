import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { makeBackup } from '../../src/storage/backup.ts';
import { openDatabase } from '../../src/storage/database.ts';
import { makeSampleDatabase, runProgram, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const folder = temporaryFolder();
const path = join(folder, 'work.db');

async function untilBackup(): Promise<void> {
  const made = () =>
    existsSync(join(folder, 'backups')) &&
    readdirSync(join(folder, 'backups')).some((name) => name.endsWith('Z.db'));
  while (!made()) await new Promise((resolve) => setTimeout(resolve, 50));
}

test('a server makes a backup at its start; a second one and a restore are refused beside it', async () => {
  await makeSampleDatabase(path);
  const server = await startServer(path);
  const second = await runProgram('serve', '--db', path, '--port', '0');
  expect(second).toMatchObject({ code: 1, out: '' });
  expect(second.err).toContain('is in use by a server of this program');
  await untilBackup();
  const made = await runProgram('backup', '--db', path, '--to', join(folder, 'away'));
  expect(made).toMatchObject({ code: 0, err: '' });
  const copy = made.out.trim().replace(/^.*: /, '');
  const beside = await runProgram('restore', copy, '--db', path);
  expect(beside.code).toBe(1);
  expect(beside.err).toContain('is in use by a server');
  await server.kill();
  const restored = await runProgram('restore', copy, '--db', path);
  expect(restored).toMatchObject({ code: 0, err: '' });
  expect(restored.out).toContain('was put back as');
  const again = await startServer(path);
  expect(await again.stop()).toBe(0);
});

test('a damaged file stops the start and the newest good backup is named', async () => {
  const good = await makeBackup(path, new Date(Date.now() + 1000));
  const bytes = readFileSync(path);
  bytes.fill(0xa5, 4096);
  writeFileSync(path, bytes);
  const ended = await runProgram('serve', '--db', path, '--port', '0');
  expect(ended).toMatchObject({ code: 1, out: '' });
  expect(ended.err).toContain('or it is damaged');
  expect(ended.err).toContain(`The newest good backup is ${good}.`);
  const looked = await runProgram('doctor', '--db', path);
  expect(looked).toMatchObject({ code: 1, out: '' });
  expect(looked.err).toContain(`The newest good backup is ${good}.`);
  expect((await runProgram('restore', good, '--db', path)).code).toBe(0);
  const checked = await runProgram('check', '--db', path);
  expect(checked.code).toBe(0);
});

test('doctor says what to do and ends with 1, and with 0 when nothing is', async () => {
  const fresh = join(folder, 'fresh.db');
  openDatabase(fresh).close();
  const without = await runProgram('doctor', '--db', fresh);
  expect(without).toMatchObject({ code: 1, err: '' });
  expect(without.out).toContain('TO DO  No backup. Start the server');
  await makeBackup(fresh, new Date());
  const well = await runProgram('doctor', '--db', fresh);
  expect(well.out).not.toContain('TO DO');
  expect(well.code).toBe(0);
  const db = openDatabase(fresh);
  db.exec(`INSERT INTO station (name, latitude, longitude, time_zone, is_invented)
    VALUES ('Old field', 37, -92, 'America/Chicago', 0);
    INSERT INTO forecast (station_id, source, issued_at, taken_at, hours)
    VALUES (1, 'typed', '2020-01-01T00:00:00Z', '2020-01-01T00:00:00Z', '[]')`);
  db.close();
  await makeBackup(fresh, new Date('2099-01-01T00:00:00Z'));
  const old = await runProgram('doctor', '--db', fresh);
  expect(old.out).toContain('Set the clock');
  expect(old.out).toMatch(/TO DO {2}The forecast at Old field is \d+ hours old\. Fetch or type/);
  const missing = await runProgram('doctor', '--db', join(folder, 'none.db'));
  expect(missing.err).toContain('There is no database');
});
