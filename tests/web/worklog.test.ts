import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { webDeps } from '../../src/cli/deps.ts';
import { type OperationFile, openOperationFile } from '../../src/cli/operation-file.ts';
import { buildApp } from '../../src/web/app.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let folder: string;
let file: OperationFile;
let app: ReturnType<typeof buildApp>;
let deps: ReturnType<typeof webDeps>;

beforeEach(() => {
  const operation = fakeOperation();
  folder = temporaryFolder();
  file = openOperationFile(join(folder, 'land.db'), fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  deps = webDeps(
    file,
    () => undefined,
    () => false,
    fakeDeps().health,
  );
  app = buildApp(deps);
});
afterEach(async () => {
  await app.close();
  file.close();
});

const photoFiles = () => {
  const path = join(folder, 'land-photos');
  return existsSync(path) ? readdirSync(path) : [];
};
const newPath = '/worklog/new';
const form = async (
  path: string,
  change: Record<string, string>,
  action = path.split('?')[0] ?? '',
) => fieldsOf(await getPage(app, path), action, change);
const idIn = (location: unknown) => Number(/^\/worklog\/(\d+)/.exec(String(location))?.[1]);
const detailOf = (id: number) => deps.worklog.details().find(({ entryId }) => entryId === id);
const entryOf = (id: number) => deps.operation().entries.find((one) => one.id === id);

describe('a new entry', () => {
  it('is filled in from the task: unit, treatment, acres, today', async () => {
    const fields = await form(
      `${newPath}?task=${encodeURIComponent('unit:5/cedar-woodland/fell/1/-')}`,
      {},
    );
    expect(fields).toMatchObject({
      unitId: '5',
      treatmentKey: 'cedar-felling',
      taskKey: 'unit:5/cedar-woodland/fell/1/-',
      outcome: 'done',
      doneOn: '2026-11-09',
      areaAcres: '44',
    });
    expect(fields['sendKey']).toMatch(/^[0-9a-f-]{36}$/);
  });

  it('holds hours, money, gear, times, readings and a note', async () => {
    const fields = await form(`${newPath}?unit=5`, {
      treatmentKey: 'dormant-burn',
      people: '6',
      hoursEach: '5.5',
      moneyUsd: '84.20',
      'gear-burn-trailer': '5',
      startedAt: '9:40',
      endedAt: '15:10',
      shareBlackPercent: '80',
      readings: '11:00, 60, 40, 5, 9, 225, calm\n12:00, 63, 36',
      note: 'north end stayed green',
    });
    const sent = await sendForm(app, newPath, fields);
    expect(sent.status).toBe(303);
    const id = idIn(sent.headers['location']);
    expect(entryOf(id)).toMatchObject({
      personHours: 33,
      shareBlackPercent: 80,
      fireCause: 'planned',
    });
    expect(detailOf(id)).toMatchObject({
      moneyUsd: 84.2,
      gearHours: [{ gearKey: 'burn-trailer', hours: 5 }],
      startedAt: '09:40',
      endedAt: '15:10',
      readings: [
        { at: '11:00', note: 'calm' },
        { at: '12:00', rhPercent: 36 },
      ],
    });
    const page = await getPage(app, `/worklog/${id}?saved=yes`);
    for (const words of ['Written.', '33', '$84.2', 'Burn trailer 5 h', 'north end stayed green'])
      expect(page.text).toContain(words);
    expect(page.text).toContain('This burn is still open.');
    expect(page.text.toLowerCase()).not.toMatch(/\bgo\b.*burn check|ready to burn/);
  });

  it('is written once when the form is sent twice', async () => {
    const fields = await form(`${newPath}?unit=5&treatment=cure-check`, { note: 'twice' });
    const first = await sendForm(app, newPath, fields);
    const again = await sendForm(app, newPath, fields);
    expect(again.headers['location']).toBe(first.headers['location']);
    expect(deps.operation().entries.filter(({ note }) => note === 'twice')).toHaveLength(1);
  });

  it('of a whole block is one a unit, in one go, with the amounts shared by acres', async () => {
    // E1 has 19 acres and E2 40.
    const fields = await form(
      `${newPath}?task=${encodeURIComponent('block:6/cedar-woodland/line/1/-')}`,
      {
        treatmentKey: 'line-build',
        people: '2',
        hoursEach: '5.9',
        areaAcres: '59',
      },
    );
    expect(fields['wholeBlock']).toEqual(['yes']);
    await sendForm(app, newPath, fields);
    const written = deps.operation().entries.filter((one) => one.treatmentKey === 'line-build');
    expect(written.map((one) => [one.unitId, one.areaAcres, one.personHours])).toEqual([
      [6, 19, 3.8],
      [7, 40, 8],
    ]);
  });

  it.each<[string, Record<string, string>, string, RegExp]>([
    ['no unit', { unitId: '' }, 'unitId', /^Unit: /],
    ['a unit that is not there', { unitId: '99' }, 'unitId', /^Unit: choose one/],
    ['no treatment', { treatmentKey: '' }, 'treatmentKey', /^Treatment: fill/],
    ['partly without acres', { outcome: 'partly', areaAcres: '' }, 'areaAcres', /how many acres/],
    ['no reason', { outcome: 'not-possible' }, 'reason', /why it was not possible/],
    ['tomorrow', { doneOn: '2026-11-10' }, 'doneOn', /today or an earlier day/],
    ['begun after the end', { startedOn: '2026-11-10' }, 'startedOn', /the last day or an earlier/],
    ['begun years ago', { startedOn: '2009-11-10' }, 'startedOn', /within a year before/],
    ['people without hours', { people: '3' }, 'hoursEach', /how long each/],
    ['hours without people', { hoursEach: '3' }, 'people', /how many worked/],
    [
      'two counts of hours',
      { people: '3', hoursEach: '2', personHours: '7' },
      'personHours',
      /are 6\./,
    ],
    [
      'gear hours in words',
      { 'gear-burn-trailer': 'some' },
      'gear-burn-trailer',
      /^Burn trailer: write/,
    ],
    ['a time in words', { startedAt: 'noon' }, 'startedAt', /^Began at: /],
    ['a reading in words', { readings: '14:10, warm' }, 'readings', /line 1/],
    ['money below nothing', { moneyUsd: '-4' }, 'moneyUsd', /^Money spent, \$: /],
  ])(
    'refuses %s, names the field, and keeps what was typed',
    async (_name, change, field, message) => {
      const before = deps.operation().entries.length;
      const fields = await form(`${newPath}?unit=5&treatment=dormant-burn`, {
        note: 'typed on a cold hand',
        ...change,
      });
      const page = await sendForm(app, newPath, fields);
      expect(page.status).toBe(422);
      const link = page.root.querySelector(`.problems a[href="#entry-${field}"]`);
      expect(link?.textContent).toMatch(message);
      expect(page.root.querySelector(`#entry-${field}`)).not.toBeNull();
      // A unit that is not in the list can not be shown as chosen.
      const { unitId: _unit, ...typed } = change;
      expect(fieldsOf(page, newPath)).toMatchObject({ ...typed, note: 'typed on a cold hand' });
      expect(deps.operation().entries).toHaveLength(before);
    },
  );
});

describe('no-work dates', () => {
  const felling = { treatmentKey: 'cedar-felling', areaAcres: '44' };

  it('ask for an approval or a reason, and the entry holds and shows it', async () => {
    const fields = await form(`${newPath}?unit=5`, felling);
    const asked = await sendForm(app, newPath, fields);
    expect(asked.status).toBe(422);
    expect(asked.text).toMatch(
      /9 Nov 2026 lies inside no-work dates: Firearms deer season \(.*barred\)/,
    );
    const answered = fieldsOf(asked, newPath, {
      noWorkApprovedBy: 'Rowan Vale',
      noWorkReference: 'letter of 2 Nov',
    });
    const sent = await sendForm(app, newPath, answered);
    expect(sent.status).toBe(303);
    const id = idIn(sent.headers['location']);
    expect(detailOf(id)?.noWork).toEqual({
      rules: ['Firearms deer season'],
      approvedBy: 'Rowan Vale',
      reference: 'letter of 2 Nov',
      reason: '',
    });
    const said = 'Firearms deer season: approved by Rowan Vale, letter of 2 Nov';
    for (const path of ['/worklog', '/units/5', `/worklog/${id}`])
      expect((await getPage(app, path)).text).toContain(said);
    expect(deps.worklog.table(deps.operation().entries)).toContain('Rowan Vale,letter of 2 Nov');
  });

  it('are asked about by the short form of the unit page, too', async () => {
    const action = '/units/5/entries';
    const fields = fieldsOf(await getPage(app, '/units/5'), action, {
      ...felling,
      doneOn: '2026-11-09',
      outcome: 'done',
    });
    const asked = await sendForm(app, action, fields);
    expect(asked.status).toBe(422);
    expect(asked.text).toContain('lies inside no-work dates');
    const answered = fieldsOf(asked, action, { noWorkReason: 'storm damage on the road' });
    expect((await sendForm(app, action, answered)).status).toBe(303);
    expect(deps.worklog.details()[0]?.noWork?.reason).toBe('storm damage on the road');
  });

  it('do not hold for a day outside', async () => {
    const fields = await form(`${newPath}?unit=5`, { ...felling, doneOn: '2026-10-30' });
    const sent = await sendForm(app, newPath, fields);
    expect(sent.status).toBe(303);
    expect(detailOf(idIn(sent.headers['location']))).toBeUndefined();
  });

  it('that an entry without an answer lies inside are said, not hidden', async () => {
    const { id: _, ...old } = fakeEntry(0, 5, 'cedar-felling', '2024-11-10');
    deps.worklog.record(old);
    expect((await getPage(app, '/worklog')).text).toContain(
      'Firearms deer season: no approval or reason on file',
    );
  });
});

describe('a correction', () => {
  const written = async () => {
    const fields = await form(`${newPath}?unit=5&treatment=cure-check`, {
      areaAcres: '20',
      people: '2',
      hoursEach: '3',
      note: 'first said',
    });
    return idIn((await sendForm(app, newPath, fields)).headers['location']);
  };

  it('keeps what it was, and says so on the page', async () => {
    const id = await written();
    const path = `/worklog/${id}/correct`;
    const sent = await sendForm(app, path, await form(path, { areaAcres: '24', moneyUsd: '15' }));
    expect([sent.status, sent.headers['location']]).toEqual([303, `/worklog/${id}`]);
    expect(entryOf(id)).toMatchObject({ areaAcres: 24, personHours: 6, note: 'first said' });
    const { text } = await getPage(app, `/worklog/${id}`);
    expect(text).toMatch(/Corrected \d+ \w+ \d{4}, \d\d:\d\d UTC/);
    expect(text).toContain('Acres done: was 20, then 24');
    expect(text).toContain('Money spent, $: was blank, then 15');
  });

  it('by two people at once: the second gets both versions, then keeps what was typed', async () => {
    const id = await written();
    const path = `/worklog/${id}/correct`;
    const mine = await form(path, { areaAcres: '30' });
    await sendForm(app, path, await form(path, { areaAcres: '24', note: 'theirs' }));
    const refused = await sendForm(app, path, mine);
    expect(refused.status).toBe(409);
    expect(refused.text).toContain('Acres done: meanwhile somebody saved "24", and you have "30"');
    expect(refused.text).toContain(
      'Note: meanwhile somebody saved "theirs", and you have "first said"',
    );
    expect(entryOf(id)).toMatchObject({ areaAcres: 24, note: 'theirs' });
    const again = await sendForm(app, path, fieldsOf(refused, path));
    expect(again.status).toBe(303);
    expect(entryOf(id)).toMatchObject({ areaAcres: 30, note: 'first said' });
    expect(deps.worklog.versions(id)).toHaveLength(2);
  });

  it('leaves a date that is known to the month as it is known', async () => {
    const { id: _, ...old } = fakeEntry(0, 8, 'dormant-burn', '2024-01-01', { precision: 'month' });
    const recorded = deps.worklog.record(old);
    const id = recorded.ok ? recorded.value.id : 0;
    const path = `/worklog/${id}/correct`;
    await sendForm(app, path, await form(path, { note: 'from the old map' }));
    expect(entryOf(id)).toMatchObject({ ...old, note: 'from the old map' });
    await sendForm(
      app,
      path,
      await form(path, { doneOn: '2024-01-20', signedOutOn: '2024-01-21' }),
    );
    expect(entryOf(id)).toMatchObject({ precision: 'day', doneOn: '2024-01-20' });
  });

  it('of the sign-out is one, and can be looked up', async () => {
    const before = deps.operation().entries.length;
    const sent = await sendForm(app, '/worklog/5/sign-out', {
      signedOutOn: '2026-11-09',
      reason: 'a soaking rain',
    });
    expect(sent.status).toBe(303);
    expect(deps.operation().entries).toHaveLength(before);
    expect(entryOf(5)?.signedOutOn).toBe('2026-11-09');
    expect((await getPage(app, '/worklog/5')).text).toContain(
      'Signed out on: was blank, then 2026-11-09',
    );
  });
});

describe('readings during the burn', () => {
  const path = '/worklog/5/readings';

  it('are added one by one and stand beside the limits in words', async () => {
    const fields = fieldsOf(await getPage(app, '/worklog/5'), path, {
      at: '14:10',
      tempF: '62',
      rhPercent: '22',
      note: 'dry',
    });
    expect((await sendForm(app, path, fields)).status).toBe(303);
    const page = await getPage(app, '/worklog/5');
    const section =
      page.root.querySelector('section[aria-labelledby="readings"]')?.textContent ?? '';
    expect(section).toContain('14:10');
    expect(section).toMatch(/22 %, outside|22 %, inside/);
    expect(section).toContain('They record; the burn boss decides.');
    expect(page.root.querySelector('#reading-at')?.getAttribute('value')).toMatch(/^\d\d:\d\d$/);
  });

  it('that can not be are refused, and what was typed stays', async () => {
    const page = await sendForm(app, path, {
      at: '14:10',
      tempF: '62',
      rhPercent: '140',
      windMph: '',
      gustMph: '',
      windFromDegrees: '',
      note: 'typed',
    });
    expect(page.status).toBe(422);
    expect(page.text).toContain('Humidity: write a number from 0 to 100');
    expect(page.root.querySelector('#reading-note')?.getAttribute('value')).toBe('typed');
  });
});

/** A JPEG of one grey square as small as the standard allows for our reading, with a comment. */
const jpeg = Buffer.concat([
  Buffer.from('ffd8fffe0008', 'hex'),
  Buffer.from('secret'),
  Buffer.from('ffda00080101000000001234ffd9', 'hex'),
]);

async function uploadPhotos(
  entryId: number,
  files: [name: string, bytes: Buffer][],
  caption = 'the west line',
) {
  const boundary = 'part-77aa';
  const part = (head: string, body: Buffer) =>
    Buffer.concat([
      Buffer.from(`--${boundary}\r\nContent-Disposition: form-data; ${head}\r\n\r\n`),
      body,
      Buffer.from('\r\n'),
    ]);
  const payload = Buffer.concat([
    part('name="caption"', Buffer.from(caption)),
    ...files.map(([name, bytes]) =>
      part(`name="photos"; filename="${name}"\r\nContent-Type: image/jpeg`, bytes),
    ),
    Buffer.from(`--${boundary}--\r\n`),
  ]);
  const headers = {
    host: 'localhost',
    'content-type': `multipart/form-data; boundary=${boundary}`,
  };
  return app.inject({ method: 'POST', url: `/worklog/${entryId}/photos`, headers, payload });
}

describe('photos', () => {
  it('are kept without what the camera wrote, served as what they are, removed, and only to their entry', async () => {
    expect(
      (
        await uploadPhotos(5, [
          ['a.jpg', jpeg],
          ['b.jpg', jpeg],
        ])
      ).statusCode,
    ).toBe(303);
    const names = detailOf(5)?.photos ?? [];
    expect(names).toHaveLength(2);
    expect(photoFiles().sort()).toEqual([...names].sort());
    const path = `/worklog/5/photos/${names[0]}`;
    const served = await app.inject({ url: path, headers: { host: 'localhost' } });
    expect(served.headers).toMatchObject({
      'content-type': 'image/jpeg',
      'x-content-type-options': 'nosniff',
      'cache-control': 'private, max-age=86400',
    });
    expect(served.rawPayload.includes('secret')).toBe(false);
    const page = await getPage(app, '/worklog/5');
    expect(page.root.querySelector('.photos img')?.getAttribute('alt')).toBe('the west line');
    expect((await getPage(app, `/worklog/4/photos/${names[0]}`)).status).toBe(404);
    expect((await getPage(app, '/worklog/5/photos/..%2Fland.db')).status).toBe(404);
    expect((await getPage(app, `${path}/remove`)).status).toBe(200);
    expect((await sendForm(app, `${path}/remove`, {})).status).toBe(303);
    expect((await getPage(app, path)).status).toBe(404);
    expect(detailOf(5)?.photos).toEqual([names[1]]);
    // The file is still there for an entry that comes back.
    expect(file.store.photos?.read(names[0] ?? '')).not.toBeNull();
  });

  it.each<[string, [string, Buffer][], string]>([
    ['none', [], 'choose at least one'],
    [
      'another format',
      [
        ['a.jpg', jpeg],
        ['roost.jpg', Buffer.from('GIF89a')],
      ],
      'roost.jpg: choose a photo in the format',
    ],
    [
      'too many',
      Array.from({ length: 13 }, () => ['a.jpg', jpeg] as [string, Buffer]),
      'at most 12',
    ],
    [
      'too large',
      [['big.jpg', Buffer.concat([jpeg, Buffer.alloc(15 * 1024 * 1024)])]],
      'big.jpg: a photo may have at most 15 megabytes',
    ],
  ])('refuses %s, all of them, and leaves no file', async (_name, files, words) => {
    const answer = await uploadPhotos(5, files, 'kept words');
    expect(answer.statusCode).toBe(422);
    expect(answer.body).toContain(words);
    expect(answer.body).toContain('kept words');
    expect(detailOf(5)).toBeUndefined();
    expect(photoFiles()).toEqual([]);
  });
});

it('photos that did not arrive whole are asked for again, and leave no file', async () => {
  const part = (name: string, text: string) =>
    `--xx\r\nContent-Disposition: form-data; name="photos"; filename="${name}"\r\n\r\n${text}`;
  const whole = part('a.jpg', jpeg.toString('latin1'));
  for (const [payload, type] of [
    [`${whole}\r\n${part('b.jpg', 'abc')}`, 'multipart/form-data; boundary=xx'],
    [`${whole}\r\n--xx\r\nContent-Disp`, 'multipart/form-data; boundary=xx'],
    ['x', 'multipart/form-data'],
  ] as const) {
    const headers = { host: 'localhost', 'content-type': type };
    const url = '/worklog/5/photos';
    const answer = await app.inject({
      ...{ method: 'POST', url, headers },
      payload: Buffer.from(payload, 'latin1'),
    });
    expect([answer.statusCode, answer.body.includes('did not arrive whole')]).toEqual([422, true]);
  }
  expect(detailOf(5)).toBeUndefined();
  expect(photoFiles()).toEqual([]);
});

describe('the list', () => {
  it.each<[string, string, number[]]>([
    ['property', 'property=2', [6]],
    ['treatment', 'treatment=foliar-spray', [4]],
    ['outcome', 'outcome=under-way', [4]],
    ['span', 'from=2026-03-01&until=2026-11-06', [4, 3]],
    ['words, whatever their case', 'text=LIMESTONE', [3]],
    ['two at once', 'family=burn&year=2026', [5, 3]],
    ['nothing', 'text=no+such+words', []],
  ])('shows by %s', async (_name, query, ids) => {
    const page = await getPage(app, `/worklog?${query}`);
    const shown = page.root.querySelectorAll('tbody th a').map((link) => link.getAttribute('href'));
    expect(shown).toEqual(ids.map((id) => `/worklog/${id}`));
    const table = await app.inject({
      url: `/worklog.csv?${query}`,
      headers: { host: 'localhost' },
    });
    const lines = table.body.split('\r\n').slice(1, -1);
    expect(lines.map((line) => Number(line.split(',')[0]))).toEqual(ids);
  });

  it('gives a table in which nothing is a formula', async () => {
    const { id: _, ...entry } = fakeEntry(0, 5, 'cure-check', '2026-11-01', {
      note: '=HYPERLINK("x")',
    });
    deps.worklog.record(entry);
    const table = await app.inject({
      url: '/worklog.csv?text=hyperlink',
      headers: { host: 'localhost' },
    });
    expect(table.headers['content-disposition']).toContain('work-log.csv');
    expect(table.body).toContain(`"'=HYPERLINK(""x"")"`);
  });
});

describe('a disk that takes nothing', () => {
  it.each([
    ['disk-full', 507],
    ['disk-read-only', 503],
  ])('%s answers %i and keeps what was typed', async (code, status) => {
    const problems = [{ code, message: 'The disk took nothing.' }];
    const refusing = buildApp(fakeDeps({ problems }));
    const fields = fieldsOf(
      await getPage(refusing, `${newPath}?unit=2&treatment=cure-check`),
      newPath,
      { note: 'typed' },
    );
    const page = await sendForm(refusing, newPath, fields);
    expect(page.status).toBe(status);
    expect(page.text).toContain('The disk took nothing.');
    expect(fieldsOf(page, newPath)['note']).toBe('typed');
  });

  it('is told from what the database throws, and the same form can be sent again', async () => {
    const fields = await form(`${newPath}?unit=5&treatment=cure-check`, { note: 'again' });
    const { write } = file.store.worklog;
    file.store.worklog.write = () => {
      throw Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' });
    };
    const refused = await sendForm(app, newPath, fields);
    expect(refused.status).toBe(507);
    expect(refused.text).toContain('The disk is full, so nothing of this was saved.');
    file.store.worklog.write = write;
    expect((await sendForm(app, newPath, fieldsOf(refused, newPath))).status).toBe(303);
    expect(deps.operation().entries.filter(({ note }) => note === 'again')).toHaveLength(1);
  });
});
