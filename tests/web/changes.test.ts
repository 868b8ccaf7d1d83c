import { describe, expect, test } from 'vitest';
import type { ChangeGroup, RowChange, StoredRow } from '../../src/core/change-log.ts';
import { buildApp } from '../../src/web/app.ts';
import { changeLine, loggedAs } from '../../src/web/pages/change-words.ts';
import { recordLandOf } from '../../src/web/pages/records.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { getPage, sendForm } from '../support/page.ts';

const [unit] = fakeOperation().units;
const unitId = unit?.id ?? 0;

const change = (table: string, before: StoredRow | null, after: StoredRow | null): RowChange => ({
  id: 12,
  table,
  key: [unitId],
  propertyId: unit?.propertyId ?? null,
  before,
  after,
  isLast: true,
});

const entry = (own: StoredRow): StoredRow => ({
  id: unitId,
  unit_id: unitId,
  treatment_key: fakeOperation().treatments[0]?.key ?? '',
  done_on: '2026-11-02',
  note: 'wet',
  area_acres: 3.1,
  ...own,
});

const group = (changes: RowChange[], own: Partial<ChangeGroup> = {}): ChangeGroup => ({
  id: 5,
  at: '2026-11-09T15:00:00Z',
  personId: 4,
  person: 'Dana',
  what: 'Corrected: an entry.',
  rowCount: changes.length,
  changes,
  ...own,
});

const corrected = group([change('work_entry', entry({}), entry({ note: 'dry' }))]);

describe('a change in words', () => {
  const land = recordLandOf(fakeDeps());
  const holiday = (name: string): StoredRow => ({ date: '2026-11-26', name });
  const record = (rule: string): StoredRow => ({
    id: 3,
    kind: 'lease',
    content: JSON.stringify({
      propertyId: 1,
      holder: 'Club',
      contact: '',
      use: 'hunting',
      unitIds: [],
      from: '2026-01-01',
      until: null,
      barsFamilies: ['burn'],
      opens: null,
      closes: null,
      firmness: 'hard',
      rule,
    }),
  });
  test.each([
    ['holiday', holiday('A'), holiday('B'), [['Name', 'A', 'B']]],
    [
      'land_record',
      record('call'),
      record('call first'),
      [['What was agreed', 'call', 'call first']],
    ],
    ['work_entry', entry({}), entry({ area_acres: 4 }), [['Acres', '3.1', '4']]],
    [
      'county_switch',
      { id: 1, is_on: 0, note: '' },
      { id: 1, is_on: 1, note: '' },
      [['Is on', 'no', 'yes']],
    ],
  ])('%s: only what differs, in the words of its form', (table, before, after, fields) => {
    const line = changeLine(change(table, before, after), land);
    expect(line.did).toBe('changed');
    expect(line.fields.map(({ label, before: b, after: a }) => [label, b, a])).toEqual(fields);
  });

  test('a row of an older shape, which its form can not show, is told by its columns', () => {
    const old = { id: 3, kind: 'lease', content: '{"holder":"Club"}' };
    const line = changeLine(change('land_record', null, old), land);
    expect(line).toMatchObject({ what: 'lease', did: 'added' });
    expect(line.fields.map(({ label }) => label)).toContain('Content');
  });

  test('rows are found in the log by the address of their form', () => {
    expect(loggedAs('unit', 3)).toEqual({ table: 'unit', key: [3] });
    expect(loggedAs('lease', 3)).toEqual({ table: 'land_record', key: [3] });
    expect(loggedAs('noWork', 'nesting')).toEqual({
      table: 'library_override',
      key: ['noWork', 'nesting'],
    });
    expect(loggedAs('approval', 'nesting|4|2026-04-01')).toEqual({
      table: 'approval',
      key: ['nesting', 4, '2026-04-01'],
    });
  });
});

describe('/changes', () => {
  test('says who, when and what, field by field, and leads to taking it back', async () => {
    const app = buildApp(fakeDeps({ changes: [corrected] }));
    const page = await getPage(app, '/changes');
    expect(page.status).toBe(200);
    expect(page.text).toContain('Corrected: an entry. 9 Nov 2026, 15:00 UTC, Dana');
    expect(page.text).toMatch(/Note wet dry/);
    expect(page.root.querySelector('a[href="/changes/5/undo"]')).not.toBeNull();
  });

  test('an empty log says what will stand there', async () => {
    const page = await getPage(buildApp(fakeDeps()), '/changes?person=Dana&from=x&page=99');
    expect(page.text).toContain('No change fits.');
  });

  test.each(['key=x&table=unit', 'key=[1', 'table=unit&key={}', 'property=abc', 'page=-1'])(
    'an address that nobody made (%s) is a page',
    async (query) => {
      const app = buildApp(fakeDeps({ changes: [corrected] }));
      expect((await getPage(app, `/changes?${query}`)).status).toBe(200);
    },
  );

  test('text of a row is text, not markup', async () => {
    const bad = change('work_entry', entry({}), entry({ note: '<b data-x>"onx=' }));
    const app = buildApp(fakeDeps({ changes: [group([bad], { what: '<i data-x>' })] }));
    expect((await getPage(app, '/changes')).root.querySelector('[data-x]')).toBeNull();
  });
});

describe('taking back', () => {
  test('asks first, then does it and goes to the list', async () => {
    const deps = fakeDeps({ changes: [corrected] });
    const app = buildApp(deps);
    const asked = await getPage(app, '/changes/5/undo');
    expect(asked.text).toMatch(/Note dry wet/);
    expect(deps.calls).toEqual([]);
    const done = await sendForm(app, '/changes/5/undo', {});
    expect([done.status, done.headers['location']]).toEqual([303, '/changes']);
    expect(deps.calls).toEqual([
      { name: 'changeLog.undo', args: [[12], 'Taken back: Corrected: an entry.', false] },
    ]);
  });

  test('planned work that would break is shown, with a button to go on', async () => {
    const problems = [{ code: 'day-off', message: 'The crew is off.' }];
    const deps = fakeDeps({ changes: [corrected], recordAnswer: { kind: 'breaks', problems } });
    const app = buildApp(deps);
    const asked = await sendForm(app, '/changes/rows/12/undo', {});
    expect(asked.status).toBe(409);
    expect(asked.text).toContain('The crew is off.');
    expect(asked.root.querySelector('button[name=isSure]')).not.toBeNull();
    await sendForm(app, '/changes/rows/12/undo', { isSure: 'yes' });
    expect(deps.calls.at(-1)?.args[2]).toBe(true);
  });

  test('a row that was changed since shows both versions and no button', async () => {
    const later = { ...change('work_entry', entry({}), entry({ note: 'dry' })), isLast: false };
    const deps = fakeDeps({ changes: [group([later])] });
    deps.changeLog.present = () => entry({ note: 'third' });
    const page = await getPage(buildApp(deps), '/changes/5/undo');
    expect(page.text).toMatch(/After this changeNow Note dry third/);
    expect(page.root.querySelector('form[action="/changes/5/undo"]')).toBeNull();
  });

  test.each(['/changes/77/undo', '/changes/rows/77/undo', '/changes/x/undo'])(
    '%s is not there',
    async (path) => expect((await getPage(buildApp(fakeDeps()), path)).status).toBe(404),
  );
});

describe('/whole-operation', () => {
  test('the document is sent as a file', async () => {
    const app = buildApp(fakeDeps());
    const page = await getPage(app, '/whole-operation/operation.json?weather=yes');
    expect(page.headers['content-disposition']).toBe('attachment; filename="operation.json"');
    expect(JSON.parse(page.root.textContent)).toEqual({ weather: true });
  });

  test('nothing is replaced without a document and a yes', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const send = (parts: string) =>
      app.inject({
        method: 'POST',
        url: '/whole-operation',
        headers: { host: 'localhost', 'content-type': 'multipart/form-data; boundary=x' },
        payload: `${parts}--x--\r\n`,
      });
    const file =
      '--x\r\ncontent-disposition: form-data; name="document"; filename="operation.json"\r\n\r\n{}\r\n';
    const sure = '--x\r\ncontent-disposition: form-data; name="isSure"\r\n\r\nyes\r\n';
    const unsure = await send(file);
    expect([unsure.statusCode, unsure.body.includes('Tick that')]).toEqual([422, true]);
    const none = await send(sure);
    expect([none.statusCode, none.body.includes('choose the file')]).toEqual([422, true]);
    expect(deps.calls).toEqual([]);
    expect((await send(file + sure)).statusCode).toBe(303);
    expect(deps.calls).toEqual([{ name: 'whole.take', args: ['{}'] }]);
  });
});
