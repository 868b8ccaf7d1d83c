import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { makeSampleDatabase, runProgram, today } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const folder = temporaryFolder();
const sample = join(folder, 'sample.db');
const table = join(folder, 'old.csv');
const answers = join(folder, 'answers.json');

beforeAll(() => makeSampleDatabase(sample));

test.each(['geojson', 'kml'])('export-land writes %s', async (kind) => {
  const target = join(folder, `land.${kind}`);
  const ended = await runProgram('export-land', '--db', sample, '--property', '1', target);
  expect(ended).toMatchObject({ code: 0, err: '' });
  expect(readFileSync(target, 'utf8')).toContain(
    kind === 'kml' ? '<kml xmlns="http://www.opengis.net/kml/2.2">' : '"FeatureCollection"',
  );
});

test('import-history says what each row means, asks, and takes over with the answers', async () => {
  writeFileSync(table, 'unit,date,work\nN4,3/4/2009,rx\nN44,2008,cut\n');
  writeFileSync(answers, JSON.stringify({ order: 'month-first', 'unit:n44': 'leave-out' }));
  const call = ['import-history', '--db', sample, '--property', '1', '--today', today];
  const asked = await runProgram(...call, '--take', table);
  expect(asked.code).toBe(1);
  expect(asked.out).toContain('"order": Days such as 3/4/2019: which stands first?');
  expect(asked.out).toContain('0 rows clear, 2 unclear, 0 left out.');
  const read = await runProgram(...call, '--answers', answers, table);
  expect(read).toMatchObject({ code: 0, err: '' });
  expect(read.out).toContain('row 2: N4: planned fire (dormant-season burn), 4 March 2009');
  const taken = await runProgram(...call, '--answers', answers, '--take', table);
  expect(taken.out).toContain('Entries taken in: 1.');
  const again = await runProgram(...call, '--answers', answers, '--take', table);
  expect(again.out).toContain('The work log has it already (4 March 2009).');
});
