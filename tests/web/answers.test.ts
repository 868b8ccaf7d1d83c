import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { Visit } from '../../src/core/visits.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';
import { wholeOperation } from '../support/record-rows.ts';
import { upload } from '../support/upload.ts';

const pixel = Uint8Array.from([0x89, 0x50, 0x4e, 0x47]);

function answered() {
  const operation = wholeOperation();
  operation.visits.push({
    ...{ id: 20, unitId: 1, seenOn: isoDate('2024-08-01'), seenBy: '', note: '' },
    finding: {
      ...{ kind: 'forage', of: 'browse', plotSquareFeet: 9.6, dryPercent: 100 },
      gramsByPlot: [6, 7, 8],
    },
  });
  const { yardsticks } = loadLibrary();
  return fakeDeps({ operation, yardsticks, pictures: { 'a.jpg': pixel, 'x.jpg': pixel } });
}

describe('the answers of a unit', () => {
  it('shows each measure with its interval, the yardsticks with their status, and the treatments', async () => {
    const { root, text } = await getPage(buildApp(answered()), '/units/1/answers');
    const forage = root.querySelector('section[aria-labelledby="measure-forage-browse"]');
    const rows = forage
      ?.querySelectorAll('tbody tr')
      .map((row) => row.textContent.replace(/\s+/g, ' ').trim());
    // By hand: 6, 7 and 8 grams on 9.6 square feet are 70 lb an acre; 4.303 x 10.003 / sqrt(3) = 24.9.
    expect(rows?.[1]).toContain('70 lb an acre');
    expect(rows?.[1]).toContain('45.2 to 94.9 lb an acre');
    const list = forage?.querySelector('ol')?.textContent.replace(/\s+/g, ' ') ?? '';
    expect(list).toContain('50 to 100 lb an acre: under closed cedar.');
    expect(list).toContain('500 to 1,500 lb an acre: after opening and fire.');
    expect(list).toContain('common practice, no source');
    expect(list).toContain('published: Shaw and Harper 2007');
    expect(forage?.querySelector('svg')?.getAttribute('aria-label')).toContain('table below');
    expect(forage?.querySelectorAll('.mark title').length).toBeGreaterThan(0);
    expect(forage?.querySelectorAll('.band')).toHaveLength(4);
    expect(text).toContain('Crown scorch: 34 to 66 %');
  });

  it('says what to do first where nothing was measured', async () => {
    const { text, root } = await getPage(buildApp(fakeDeps()), '/units/1/answers');
    expect(text).toContain('Nothing was measured here yet');
    expect(root.querySelector('a[href="/units/1/visits/new/forage"]')).not.toBeNull();
  });

  // CV18: NREM-5053 and EC186.
  it.each([
    ['', 'not known', 'uncertain'],
    ['?fuel=4500', '4,500 lb an acre, as typed', 'mostly killed'],
    ['?fuel=2000', '2,000 lb an acre', 'about 60 % killed'],
    ['?fuel=many', 'write pounds an acre as a number', 'uncertain'],
  ])('says what a fire may do to cedar of 1 to 5 feet: %s', async (query, fuel, expected) => {
    const { root } = await getPage(buildApp(fakeDeps()), `/units/1/answers${query}`);
    const section = root.querySelector('section[aria-labelledby="cedar"]');
    expect(section?.textContent.replace(/\s+/g, ' ')).toContain(fuel);
    expect(section?.querySelectorAll('tbody td')[1]?.textContent).toContain(expected);
    expect(section?.querySelectorAll('tbody td')[3]?.textContent).toContain('cut it');
  });

  it.each([
    '/units/99/answers',
    '/units/1/visits/new/nonsense',
    '/units/1/visits/new/photos',
    '/units/2/photo-points/1/pictures',
    '/units/1/visits/7/pictures/x.jpg',
    '/units/2/visits/7/pictures/a.jpg',
  ])('is not there: %s', async (path) =>
    expect((await getPage(buildApp(answered()), path)).status).toBe(404),
  );

  it('is linked from the page of the unit', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/1');
    expect(root.querySelector('a[href="/units/1/answers"]')).not.toBeNull();
  });
});

describe('the short forms', () => {
  const path = '/units/1/visits/new/forage';
  it('keeps a clipping', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const fields = fieldsOf(await getPage(app, path), path, {
      numbers: '12, 30.5\n8',
      dryPercent: '45',
    });
    const { status, headers } = await sendForm(app, path, fields);
    expect([status, headers['location']]).toEqual([303, '/units/1/answers#visits']);
    const visit: Visit = {
      ...{ id: 0, unitId: 1, seenOn: deps.state.today, seenBy: '', note: '' },
      finding: {
        ...{ kind: 'forage', of: 'browse', plotSquareFeet: 9.6, dryPercent: 45 },
        gramsByPlot: [12, 30.5, 8],
      },
    };
    expect(deps.calls).toEqual([{ name: 'records.save', args: ['visit', visit, true, true] }]);
  });

  it('shows again what was typed, and says what is wrong', async () => {
    const app = buildApp(fakeDeps());
    const fields = fieldsOf(await getPage(app, path), path, {
      numbers: '12, many',
      seenBy: 'R. Hale',
    });
    const page = await sendForm(app, path, fields);
    expect(page.status).toBe(422);
    expect(page.text).toContain('Grams by plot: write numbers of 0 or more');
    expect(fieldsOf(page, path)).toMatchObject({ numbers: '12, many', seenBy: 'R. Hale' });
  });

  it('a unit of the form can not be swapped for another', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const fields = fieldsOf(await getPage(app, path), path, { numbers: '1', unitId: '2' });
    await sendForm(app, path, fields);
    expect((deps.calls[0]!.args[1] as Visit).unitId).toBe(1);
  });
});

describe('pictures of a photo point', () => {
  const path = '/units/1/photo-points/1/pictures';
  const parts = (day: string) => [
    { name: 'seenOn', value: day },
    { name: 'seenBy', value: 'R. Hale' },
    { name: 'caption', value: 'hazy' },
    { name: 'photos', value: 'bytes', fileName: 'one.jpg' },
  ];

  it('stand side by side by date, and are sent as what they are', async () => {
    const app = buildApp(answered());
    const { root } = await getPage(app, '/units/1/answers');
    const shown = root.querySelectorAll('.pictures img').map((one) => one.getAttribute('src'));
    expect(shown).toEqual(['/units/1/visits/7/pictures/a.jpg', '/units/1/visits/7/pictures/b.jpg']);
    const { status, headers } = await getPage(app, '/units/1/visits/7/pictures/a.jpg');
    expect([status, headers['content-type']]).toEqual([200, 'image/jpeg']);
  });

  it('are kept as a visit with their names in the folder', async () => {
    const deps = answered();
    deps.worklog.keepPhoto = () => ({ ok: true, value: 'kept.jpg' });
    expect((await upload(deps, path, parts('2026-08-01'))).status).toBe(303);
    expect(deps.calls.find(({ name }) => name === 'records.save')?.args[1]).toEqual({
      ...{ id: 0, unitId: 1, seenOn: '2026-08-01', seenBy: 'R. Hale', note: 'hazy' },
      finding: { kind: 'photos', photoPointId: 1, photos: ['kept.jpg'] },
    });
  });

  it.each(['2026-02-30', '2999-01-01', ''])('are dropped again when the day is %s', async (day) => {
    const deps = answered();
    const dropped: string[] = [];
    deps.worklog.keepPhoto = () => ({ ok: true, value: 'kept.jpg' });
    deps.worklog.dropPhotos = (names) => dropped.push(...names);
    const { status, root } = await upload(deps, path, parts(day));
    expect([status, dropped]).toEqual([422, ['kept.jpg']]);
    expect(root.querySelector('[name="caption"]')?.getAttribute('value')).toBe('hazy');
  });
});

it('the unit has no answers of another unit', async () => {
  const operation = { ...fakeOperation(), visits: wholeOperation().visits };
  const { text } = await getPage(buildApp(fakeDeps({ operation })), '/units/2/answers');
  expect(text).toContain('Nothing was measured here yet');
});
