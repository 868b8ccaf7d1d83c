import { existsSync, mkdirSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { everyChange } from '../../src/core/change-log.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { fileDeps } from '../support/file-deps.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const today = isoDate('2026-11-25');
const place = { state: 'MO', county: 'Marl', timeZone: 'America/Chicago' };
const own = { ...place, landownerName: 'O', name: 'Still', latitude: 37, longitude: -92 };

function sampleAt(path: string) {
  const file = openOperationFile(path, today);
  file.store.replaceLand(sampleLand(today));
  return { file, deps: fileDeps(file) };
}

const textOf = (pieces: Iterable<string> | null) => [...(pieces ?? [])].join('');

test('a document takes the place of everything in an open database, which is copied first', () => {
  const folder = temporaryFolder();
  const sample = sampleAt(join(folder, 'sample.db'));
  const text = textOf(sample.deps.whole.document(true));
  const file = openOperationFile(join(folder, 'work.db'), today);
  const deps = fileDeps(file);
  deps.land.startOwn(own);
  const revision = file.store.revision();
  expect(deps.whole.take(text)).toEqual([]);
  expect(file.store.landContent()).toEqual(sample.file.store.landContent());
  expect(deps.operation().properties).toEqual(sample.deps.operation().properties);
  expect(file.store.revision()).toBeGreaterThan(revision);
  const [kept = ''] = readdirSync(join(folder, 'backups'));
  const [line] = deps.changeLog.list(everyChange, 1).groups;
  expect(line?.what).toBe(
    `Everything was replaced by a document. What was there before is kept in the folder backups beside the database, as ${kept}.`,
  );
  const before = openOperationFile(join(folder, 'backups', kept), today);
  expect(before.operation().properties.map(({ name }) => name)).toEqual(['Still']);
  before.close();
  // The next change is logged again, and a new row gets a number of its own.
  const most = Math.max(...deps.operation().units.map(({ id }) => id));
  deps.land.importUnits(1, 'own.csv', 'code,name,acres,community\nQQ1,New,10,glade');
  expect(deps.operation().units.find(({ code }) => code === 'QQ1')?.id).toBeGreaterThan(most);
  expect(deps.changeLog.list(everyChange, 1).groups[0]?.changes.length).toBeGreaterThan(0);
  expect(existsSync(join(folder, 'work.db.importing'))).toBe(false);
  file.close();
  sample.file.close();
});

test('who may sign in stays as it is', () => {
  const folder = temporaryFolder();
  const sample = sampleAt(join(folder, 'sample.db'));
  const text = textOf(sample.deps.whole.document(false));
  const { file, deps } = sampleAt(join(folder, 'work.db'));
  const account = { name: 'Dana', role: 'administrator' as const, hasAllProperties: true };
  const made = file.store.accounts.add({ ...account, landownerId: null, propertyIds: [] }, 'x');
  expect(made.ok).toBe(true);
  expect(deps.whole.take(text)).toEqual([]);
  expect(file.store.accounts.list().map(({ name }) => name)).toEqual(['Dana']);
  file.close();
  sample.file.close();
});

test('a document that is wrong changes nothing and keeps no copy', () => {
  const folder = temporaryFolder();
  const { file, deps } = sampleAt(join(folder, 'work.db'));
  const before = file.store.landContent();
  const text = textOf(deps.whole.document(false));
  expect(deps.whole.take(text.slice(0, -40))[0]?.code).toBe('document');
  expect(deps.whole.take('{}')[0]?.message).toMatch(/missing/);
  expect(file.store.landContent()).toEqual(before);
  expect(existsSync(join(folder, 'backups'))).toBe(false);
  file.close();
});

test('photos that the document names have to be in the folder already', () => {
  const folder = temporaryFolder();
  const { file, deps } = sampleAt(join(folder, 'sample.db'));
  mkdirSync(join(folder, 'sample-photos'));
  writeFileSync(join(folder, 'sample-photos', `${'0a'.repeat(16)}.jpg`), 'a picture');
  const text = textOf(deps.whole.document(false));
  const other = openOperationFile(join(folder, 'other.db'), today);
  expect(fileDeps(other).whole.take(text)[0]?.code).toBe('document-photo');
  expect(deps.whole.take(text)).toEqual([]);
  other.close();
  file.close();
});
