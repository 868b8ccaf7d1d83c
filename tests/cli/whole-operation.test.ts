import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { loadSampleWeather } from '../../src/cli/weather-import.ts';
import { exportOperation, importOperation } from '../../src/cli/whole-operation.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { fileDeps } from '../support/file-deps.ts';
import { fakePlan } from '../support/plan.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const at = new Date('2026-11-25T18:00:00Z');
const today = isoDate('2026-11-25');
const keep = { isReplacing: false, isAsItStands: false };
const replace = { isReplacing: true, isAsItStands: false };

/** Every row of every table that goes along, and the numbers given out. */
function contentsOf(path: string, hasWeather = true): Record<string, unknown[]> {
  const db = new Database(path, { readonly: true });
  const weather = ['weather_year', 'daily_year', 'forecast', 'fit_day_count', 'site_fit_days'];
  const left = ['migration', 'session', 'password_link', ...(hasWeather ? [] : weather)];
  const names = db
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' ORDER BY name")
    .pluck()
    .all()
    .filter((name) => !left.includes(name) && name !== 'sqlite_stat1');
  const read = (name: string) => {
    const rows = db.prepare(`SELECT * FROM "${name}"`).all() as Record<string, unknown>[];
    const kept =
      name === 'sqlite_sequence' ? rows.filter((row) => !left.includes(String(row['name']))) : rows;
    const texts = kept.map((row) => JSON.stringify(row));
    // Some lists are read in the order in which their rows were put in.
    return name === 'sqlite_sequence' ? texts.sort() : texts;
  };
  const all = Object.fromEntries(names.map((name) => [name, read(name)]));
  db.close();
  return all;
}

/** The sample with its invented weather, an adopted plan, feeds, a switch, a removed entry and photos. */
function sampleAt(path: string): void {
  const file = openOperationFile(path, today);
  file.store.replaceLand(sampleLand(today));
  loadSampleWeather(file, today);
  const deps = fileDeps(file);
  const draft = file.store.plans.saveDraft(
    { ...fakePlan().content, tasks: [], leftOut: [] },
    file.store.revision(),
  );
  file.store.plans.adopt(draft.id, () => file.publish());
  const [scope] = deps.feeds.scopes();
  const feed = deps.feeds.create(scope?.name ?? '', 'phone', false);
  if (feed.ok) deps.feeds.rotate(feed.value.link.id);
  deps.worklog.remove(file.operation().entries[0]?.id ?? 0);
  file.close();
}

const photo = (folder: string, name: string, text: string) => {
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, name), text);
};

test('the sample with weather, plan, feeds, log and photos comes back equal', () => {
  const folder = temporaryFolder();
  const from = join(folder, 'from.db');
  sampleAt(from);
  const name = `${'0a'.repeat(16)}.jpg`;
  photo(join(folder, 'from-photos'), name, 'a picture');
  const file = exportOperation(from, join(folder, 'out'), true, at);
  expect(readdirSync(join(folder, 'out')).sort()).toEqual(['operation-photos', 'operation.json']);
  const document = JSON.parse(readFileSync(file, 'utf8'));
  expect(document).toMatchObject({
    format: 'seasonwright-operation',
    version: 1,
    hasWeather: true,
  });
  expect(document.photos).toEqual([
    { name, bytes: 9, sha256: createHash('sha256').update('a picture').digest('hex') },
  ]);
  const to = join(folder, 'to.db');
  expect(importOperation(file, to, keep, at)).toEqual({ ok: true, aside: null, photoCount: 1 });
  expect(contentsOf(to)).toEqual(contentsOf(from));
  expect(readFileSync(join(folder, 'to-photos', name), 'utf8')).toBe('a picture');
  expect(existsSync(`${to}.importing`)).toBe(false);
  // A document made from it is the same text.
  const again = exportOperation(to, join(folder, 'again'), true, at);
  expect(readFileSync(again, 'utf8')).toBe(readFileSync(file, 'utf8'));
});

test('without weather the rest comes back equal', () => {
  const folder = temporaryFolder();
  const from = join(folder, 'from.db');
  sampleAt(from);
  const file = exportOperation(from, join(folder, 'lean.json'), false, at);
  const to = join(folder, 'to.db');
  expect(importOperation(file, to, keep, at)).toMatchObject({ ok: true });
  expect(contentsOf(to, false)).toEqual(contentsOf(from, false));
  expect(contentsOf(to)['weather_year']).toEqual([]);
});

/** Own land with a unit and entries of any text, as a database. */
function smallAt(path: string, notes: readonly string[]): void {
  const file = openOperationFile(path, today);
  const deps = fileDeps(file);
  const place = { state: 'MO', county: 'Marl', timeZone: 'America/Chicago' };
  const property = { landownerName: 'O', name: 'Still', latitude: 37, longitude: -92 };
  deps.land.startOwn({ ...place, ...property });
  const header = 'code,name,acres,community,aspect,slope_percent,density,tags';
  deps.land.importUnits(1, 'own.csv', `${header}\nU1,One,10,glade,,,,`);
  const [unit] = file.operation().units;
  const [treatment] = file.operation().treatments;
  for (const note of notes) {
    const done = file.store.worklog.record(
      {
        unitId: unit?.id ?? 0,
        treatmentKey: treatment?.key ?? '',
        taskKey: null,
        startedOn: null,
        doneOn: isoDate('2026-11-02'),
        precision: 'day',
        outcome: 'partly',
        reason: note,
        areaAcres: 0.1 + notes.length,
        crewDays: null,
        personHours: null,
        shareBlackPercent: null,
        fireCause: null,
        signedOutOn: null,
        note,
      },
      file.library,
    );
    expect(done.ok).toBe(true);
  }
  file.close();
}

test('any text of a row comes back as it was', () => {
  const folder = temporaryFolder();
  let run = 0;
  const text = fc.oneof(
    fc.string({ unit: 'grapheme', maxLength: 30 }),
    fc.constantFrom(
      '[1, 2]',
      '[1,2]',
      '{"base64":"QQ=="}',
      '{}',
      '"',
      '\\',
      'a\nb\r\n\t',
      '\u0000x',
    ),
    fc.json({ maxDepth: 2 }),
  );
  fc.assert(
    fc.property(fc.array(text, { maxLength: 6 }), (notes) => {
      run += 1;
      const from = join(folder, `from${run}.db`);
      smallAt(from, notes);
      const file = exportOperation(from, join(folder, `doc${run}.json`), false, at);
      const to = join(folder, `to${run}.db`);
      expect(importOperation(file, to, keep, at)).toMatchObject({ ok: true });
      expect(contentsOf(to)).toEqual(contentsOf(from));
    }),
    { numRuns: 8 },
  );
});

/** Any rows that the schema takes, sound or not: figures, blanks, bytes, JSON in any layout. */
const anyRows = fc.record({
  names: fc.array(fc.string({ unit: 'grapheme', minLength: 1, maxLength: 20 }), { maxLength: 4 }),
  figures: fc.uniqueArray(fc.double({ min: 0, max: 1e300, noNaN: true }), { maxLength: 6 }),
  documents: fc.array(fc.json({ maxDepth: 3 }), { maxLength: 4 }),
  hashes: fc.uniqueArray(fc.uint8Array({ minLength: 32, maxLength: 32 }), {
    maxLength: 4,
    selector: String,
  }),
  note: fc.option(fc.string({ unit: 'grapheme', maxLength: 40 })),
});

function rowsAt(
  path: string,
  rows: typeof anyRows extends fc.Arbitrary<infer R> ? R : never,
): void {
  openOperationFile(path, today).close();
  const db = new Database(path);
  const run = (sql: string, ...values: unknown[]) => db.prepare(sql).run(...values);
  for (const name of rows.names)
    run('INSERT INTO landowner (name, contact) VALUES (?, ?)', name, name);
  run('DELETE FROM landowner WHERE id = 1');
  for (const figure of rows.figures)
    run(
      "INSERT INTO smoke_rule (state, name, least_m2s, is_burning_allowed, note) VALUES ('MO', 'x', ?, 1, '')",
      figure,
    );
  rows.documents.forEach((text, at) => {
    // As people's files may have it: with white space, which writing it again would lose.
    const spaced = at % 2 === 0 ? text : ` ${text} `;
    run('INSERT INTO land_record (kind, content) VALUES (?, ?)', `kind ${at}`, spaced);
  });
  for (const hash of rows.hashes)
    run(
      'INSERT INTO feed_link (name, label, token_hash, created_at, last_fetched_by) VALUES (?, ?, ?, ?, ?)',
      'all',
      '',
      Buffer.from(hash),
      '2026-11-25T18:00:00Z',
      rows.note,
    );
  db.close();
}

test('any rows that a database can hold come back equal, also such as no form would take', () => {
  const folder = temporaryFolder();
  let run = 0;
  fc.assert(
    fc.property(anyRows, (rows) => {
      run += 1;
      const from = join(folder, `from${run}.db`);
      rowsAt(from, rows);
      const file = exportOperation(from, join(folder, `doc${run}.json`), true, at);
      const to = join(folder, `to${run}.db`);
      const asItStands = { isReplacing: false, isAsItStands: true };
      expect(importOperation(file, to, asItStands, at)).toMatchObject({ ok: true });
      expect(contentsOf(to)).toEqual(contentsOf(from));
    }),
    { numRuns: 10 },
  );
});

describe('refused, with the place and nothing changed', () => {
  const folder = temporaryFolder();
  const from = join(folder, 'from.db');
  smallAt(from, ['first']);
  const file = exportOperation(from, join(folder, 'good.json'), false, at);
  const good = readFileSync(file, 'utf8');
  const entriesAt = good.indexOf('"work_entry": [');
  const noteLine = good.slice(0, good.indexOf('"note":"first"', entriesAt)).split('\n').length;
  /** The log of changes holds the entry, too: only the entry itself is meant. */
  const inEntries = (from: string | RegExp, to: string) => (text: string) =>
    text.slice(0, entriesAt) + text.slice(entriesAt).replace(from, to);
  const cases: [string, (text: string) => string, RegExp][] = [
    [
      'another version',
      (text) => text.replace('"version": 1', '"version": 2'),
      /version 2; this program reads version 1/,
    ],
    [
      'another format',
      (text) => text.replace('seasonwright-operation', 'x'),
      /no document of a whole operation/,
    ],
    [
      'a newer schema',
      (text) => text.replace(/"schema": "[^"]+"/, '"schema": "9999_later.sql"'),
      /newer version/,
    ],
    ['cut off', (text) => text.slice(0, text.length / 2), /ends in the middle/],
    [
      'cut off after a row',
      (text) => text.slice(0, text.indexOf('\n]', text.indexOf('"unit":'))),
      /ends in the middle|missing/,
    ],
    [
      'a row taken out',
      inEntries(/("work_entry": \[)\n[^\n]*\n/, '$1\n'),
      /work_entry: 0 rows are there, and "rows" counts 1/,
    ],
    [
      'a letter lost',
      inEntries('"note":"first"', '"note":first"'),
      new RegExp(`Line ${noteLine}: `),
    ],
    [
      'a field that is not there',
      inEntries('"note":"first"', '"nota":"first"'),
      /work_entry, row \d+: there is no field nota/,
    ],
    [
      'text in place of a number',
      inEntries('"area_acres":1.1', '"area_acres":"much"'),
      /work_entry, row \d+ can not be stored/,
    ],
    [
      'a day that is none',
      inEntries('"done_on":"2026-11-02"', '"done_on":"2026-02-30"'),
      /work_entry, row \d+ can not be stored/,
    ],
    [
      'a table that is not there',
      (text) => text.replace('"work_entry": [', '"work_log": ['),
      /there is no table of this name/,
    ],
    [
      'a row that the forms refuse',
      inEntries(/"treatment_key":"[^"]+"/, '"treatment_key":"no-such"'),
      /^entry \d+: Treatment/,
    ],
    ['not JSON at all', () => 'SQLite format 3', /not an object/],
    ['nothing', () => '', /not an object/],
    ['something after the end', (text) => `${text}{}`, /something follows/],
  ];
  test.each(cases)('%s', (_name, change, sentence) => {
    const bad = join(folder, 'bad.json');
    writeFileSync(bad, change(good));
    expect(change(good)).not.toBe(good);
    const to = join(folder, 'kept.db');
    if (!existsSync(to)) smallAt(to, ['kept']);
    const before = readFileSync(to);
    const answer = importOperation(bad, to, replace, at);
    expect(answer.ok ? 'taken' : answer.problems[0]?.message).toMatch(sentence);
    expect(readFileSync(to).equals(before)).toBe(true);
    expect(readdirSync(folder).filter((name) => name.includes('importing'))).toEqual([]);
  });

  test('a row that names one that is not there', () => {
    const bad = join(folder, 'bad.json');
    writeFileSync(bad, inEntries(/"unit_id":\d+/, '"unit_id":99999')(good));
    const answer = importOperation(bad, join(folder, 'other.db'), keep, at);
    expect(answer.ok ? '' : answer.problems[0]?.message).toMatch(
      /names a unit that is not in the document/,
    );
  });

  test('land that is there stays unless it is to be replaced; then the file before is kept aside', () => {
    const to = join(folder, 'land.db');
    smallAt(to, ['kept']);
    const asked = importOperation(file, to, keep, at);
    expect(asked.ok ? '' : asked.problems[0]?.message).toMatch(
      /holds land already. With --replace/,
    );
    const done = importOperation(file, to, replace, at);
    expect(done).toEqual({ ok: true, aside: `${to}.before-20261125T180000Z`, photoCount: 0 });
    expect(contentsOf(to)).toEqual(contentsOf(from));
  });

  test('photos that are missing or changed', () => {
    const path = join(folder, 'withphoto.db');
    smallAt(path, []);
    const name = `${'1b'.repeat(16)}.jpg`;
    photo(join(folder, 'withphoto-photos'), name, 'a picture');
    const document = exportOperation(path, join(folder, 'withphoto.json'), false, at);
    writeFileSync(join(folder, 'withphoto-photos', name), 'another one');
    const answer = importOperation(document, join(folder, 'x.db'), keep, at);
    expect(answer.ok ? '' : answer.problems[0]?.message).toMatch(/is not the one that was listed/);
  });
});

test('every table of the document is described in DEVELOPERS.md', () => {
  const folder = temporaryFolder();
  smallAt(join(folder, 'all.db'), []);
  const file = exportOperation(join(folder, 'all.db'), join(folder, 'all.json'), true, at);
  const { fields } = JSON.parse(readFileSync(file, 'utf8')) as { fields: object };
  const guide = readFileSync(new URL('../../DEVELOPERS.md', import.meta.url), 'utf8');
  const part = guide.slice(guide.indexOf('### The document of a whole operation'));
  const named = part.slice(0, part.indexOf('## Recipes'));
  expect(Object.keys(fields).filter((table) => !named.includes(`\`${table}\``))).toEqual([]);
});
