import { type HTMLElement, parse } from 'node-html-parser';
import { describe, expect, it } from 'vitest';
import type { Noun, RecordRows } from '../../src/core/records.ts';
import { buildApp } from '../../src/web/app.ts';
import { kindAt, markOf, recordKinds } from '../../src/web/forms/records/kinds.ts';
import { recordLandOf, rowPath } from '../../src/web/pages/records.ts';
import { type FakeDeps, type FakeState, fakeDeps } from '../support/fake-deps.ts';
import { wholeOperation } from '../support/record-rows.ts';

const depsOf = (own: Partial<FakeState> = {}) => fakeDeps({ operation: wholeOperation(), ...own });

const apps = new WeakMap<FakeDeps, ReturnType<typeof buildApp>>();

/** One app for all requests of a test: to build it takes longer than to ask it. */
function appOf(deps: FakeDeps) {
  const app = apps.get(deps) ?? buildApp(deps);
  apps.set(deps, app);
  return app;
}

async function get(deps: FakeDeps, url: string) {
  const answer = await appOf(deps).inject({ url, headers: { host: 'localhost' } });
  return { status: answer.statusCode, root: parse(answer.body) };
}

async function post(deps: FakeDeps, url: string, values: Record<string, string>) {
  const answer = await appOf(deps).inject({
    method: 'POST',
    url,
    headers: { host: 'localhost', 'content-type': 'application/x-www-form-urlencoded' },
    payload: new URLSearchParams(values).toString(),
  });
  const { statusCode: status, headers } = answer;
  return { status, location: headers.location, root: parse(answer.body) };
}

/** What a browser would send of the form on a page. */
function sentBy(root: HTMLElement): Record<string, string> {
  const values: Record<string, string> = {};
  for (const input of root.querySelectorAll('main form [name]')) {
    const name = input.getAttribute('name') ?? '';
    if (input.tagName === 'BUTTON') continue;
    if (input.tagName === 'TEXTAREA') values[name] = input.textContent;
    else if (input.tagName === 'SELECT')
      values[name] = input.querySelector('option[selected]')?.getAttribute('value') ?? '';
    else if (input.getAttribute('type') !== 'checkbox')
      values[name] = input.getAttribute('value') ?? '';
    else if (input.hasAttribute('checked'))
      values[name] = [values[name], input.getAttribute('value')].filter(Boolean).join(',');
  }
  return values;
}

const text = (node: HTMLElement | null) => node?.textContent.replace(/\s+/g, ' ').trim() ?? '';

const land = recordLandOf(depsOf());
const everyRow = recordKinds.flatMap((kind) =>
  kind.list(land).map((row) => ({ kind, id: row.id, title: `${kind.path} ${row.id}` })),
);

function storedRow(noun: Noun, id: string | number): RecordRows[Noun] | undefined {
  const { operation } = land;
  const rows: Partial<Record<Noun, readonly object[]>> = {
    landowner: operation.landowners,
    property: operation.properties,
    unit: operation.units,
    block: operation.blocks,
    line: operation.lines,
    point: operation.points,
    lease: operation.leases,
    grazing: operation.grazing,
    consent: operation.consents,
    contract: operation.contracts,
    crew: operation.crews,
    person: operation.people,
    booking: operation.bookings,
    gear: operation.gear,
    holiday: operation.holidays,
    approval: operation.approvals,
    visit: operation.visits,
    photoPoint: operation.photoPoints,
    sequence: operation.sequences,
    treatment: operation.treatments,
    noWork: operation.noWork,
    prescription: operation.prescriptions,
    community: operation.communities,
    lineKind: operation.lineKinds,
  };
  const idOf = (row: object) => {
    const one = row as Record<string, unknown>;
    if (noun === 'approval') return `${one['noWorkKey']}|${one['unitId']}|${one['from']}`;
    return one['id'] ?? one['key'] ?? one['date'];
  };
  return rows[noun]?.find((row) => idOf(row) === id) as RecordRows[Noun] | undefined;
}

it('the land of the test has a row of every noun with pages', () => {
  expect(recordKinds.filter((kind) => kind.count(land) === 0).map(({ path }) => path)).toEqual([]);
});

describe('a form that is sent as it was opened', () => {
  it.each(everyRow.filter(({ kind }) => kind.noun !== 'station'))(
    'saves the same row: $title',
    async ({ kind, id }) => {
      const deps = depsOf();
      const { root } = await get(deps, rowPath(kind, id));
      const { status, location } = await post(deps, rowPath(kind, id), sentBy(root));
      expect(deps.calls).toEqual([
        { name: 'records.save', args: [kind.noun, storedRow(kind.noun, id), false, false] },
      ]);
      expect([status, location]).toEqual([303, `/records/${kind.path}?saved=77`]);
    },
  );

  it('keeps what is not on the form of a station', async () => {
    const deps = depsOf();
    const { root } = await get(deps, '/records/stations/Invented%20station');
    await post(deps, '/records/stations/Invented%20station', sentBy(root));
    expect(deps.calls[0]?.args[1]).toEqual({
      ...{ name: 'Invented station', latitude: 37.1, longitude: -92 },
      ...{ timeZone: 'America/Chicago', isInvented: true },
    });
  });
});

describe.each(recordKinds.map((kind) => ({ kind, name: kind.path })))('$name', ({ kind }) => {
  const first = kind.list(land)[0]!;

  it('is listed, and leads to the form of each row', async () => {
    const { status, root } = await get(depsOf(), `/records/${kind.path}`);
    expect(status).toBe(200);
    const links = root.querySelectorAll('tbody th a').map((link) => link.getAttribute('href'));
    expect(new Set(links)).toEqual(new Set(kind.list(land).map(({ id }) => rowPath(kind, id))));
  });

  it('says what is empty and what to do first', async () => {
    const operation = wholeOperation();
    for (const value of Object.values(operation)) if (Array.isArray(value)) value.length = 0;
    const deps = fakeDeps({ operation });
    deps.weather.places = () => [];
    const { root } = await get(deps, `/records/${kind.path}`);
    expect(text(root.querySelector('.note'))).toContain(`No ${kind.many} yet.`);
    const { status } = await get(deps, `/records/${kind.path}/new`);
    expect(status).toBe(kind.isFixedSet ? 404 : 200);
  });

  it('names every field that has to be filled in, all in one pass', async () => {
    const deps = depsOf();
    const { status, root } = await post(deps, `/records/${kind.path}/new`, {});
    const needed = kind.fields.filter(({ isRequired }) => isRequired).map(({ key }) => key);
    expect(status).toBe(422);
    expect(root.querySelectorAll('.problems a').map((link) => link.getAttribute('href'))).toEqual(
      needed.map((key) => `#record-${key}`),
    );
    for (const key of needed) expect(root.querySelector(`#record-${key}`), key).not.toBeNull();
    expect(deps.calls).toEqual([]);
  });

  it('refuses each field that can be wrong, beside it, and keeps what was typed', async () => {
    const wrong: Record<string, string> = {
      ...{ number: '12 ft', whole: '2.5', day: '2027-02-30', 'month-day': '13-01' },
      ...{ spans: 'all week', 'one-of': 'nothing-such', 'many-of': 'nothing-such', units: 'ZZ9' },
      'text-lines': 'x'.repeat(4001),
      text: 'x'.repeat(201),
    };
    const open = kind.fields.filter((field) => !field.isFixed && wrong[field.kind]);
    const deps = depsOf();
    const typed = {
      ...(first.id !== undefined && kind.find(land, String(first.id))!.values),
      ...Object.fromEntries(open.map(({ key, kind: shape }) => [key, wrong[shape]!])),
      was: markOf(kind.find(land, String(first.id))!.values),
    };
    const { status, root } = await post(deps, rowPath(kind, first.id), typed);
    expect(status).toBe(422);
    for (const { key, label, kind: shape } of open) {
      const beside = root.querySelector(`#record-${key}-wrong`);
      expect(text(beside), key).toMatch(
        new RegExp(`^${label.replace(/[$()*+.?[\\\]^{|}]/g, '.')}`),
      );
      const shown = root.querySelector(`#record-${key}`);
      if (shape === 'number') expect(shown?.getAttribute('value')).toBe('12 ft');
      if (shape === 'spans') expect(shown?.textContent).toBe('all week');
    }
    expect(deps.calls).toEqual([]);
  });

  it('shows both versions when somebody else saved first, and saves mine on the next try', async () => {
    const deps = depsOf();
    const field = kind.fields.find(({ kind: shape, isFixed }) => !isFixed && shape !== 'yes-no')!;
    const { values } = kind.find(land, String(first.id))!;
    const typed = { ...values, was: markOf({ ...values, [field.key]: 'as it was before' }) };
    const { status, root } = await post(deps, rowPath(kind, first.id), typed);
    expect(status).toBe(409);
    expect(deps.calls).toEqual([]);
    expect(text(root.querySelector('.problems h2'))).toContain('Somebody else saved');
    const again = await post(deps, rowPath(kind, first.id), sentBy(root));
    expect(again.status).toBe(303);
    expect(deps.calls.map(({ name }) => name)).toEqual(['records.save']);
  });

  it('asks before it goes out of use', async () => {
    const deps = depsOf();
    const path = `${rowPath(kind, first.id)}/retire`;
    const { root } = await get(deps, path);
    expect(text(root.querySelector('main'))).toContain('history is kept');
    expect(deps.calls).toEqual([]);
    const { status, location } = await post(deps, path, {});
    expect([status, location]).toEqual([303, '/records/retired']);
    expect(deps.calls).toEqual([{ name: 'records.retire', args: [kind.noun, first.id, false] }]);
  });
});

const breaks = {
  kind: 'breaks' as const,
  problems: [{ code: 'x', message: 'Fell cedar on N1 would lie in a no-work date.' }],
};

describe('a change that breaks planned tasks', () => {
  it('is answered with them and the typed values, then saved for who is sure', async () => {
    const deps = depsOf({ recordAnswer: breaks });
    const opened = await get(deps, '/records/units/1');
    const typed = { ...sentBy(opened.root), name: 'New name' };
    const { status, root } = await post(deps, '/records/units/1', typed);
    expect(status).toBe(409);
    expect(text(root.querySelector('.problems'))).toContain('Fell cedar on N1');
    expect(root.querySelector('#record-name')?.getAttribute('value')).toBe('New name');
    const button = root.querySelector('button[name="isSure"]');
    expect(button?.getAttribute('value')).toBe('yes');
    deps.state.recordAnswer = null;
    await post(deps, '/records/units/1', { ...sentBy(root), isSure: 'yes' });
    expect(deps.calls.map(({ args }) => args[3])).toEqual([false, true]);
  });

  it('is named before a row goes out of use', async () => {
    const deps = depsOf({ recordAnswer: breaks });
    const { status, root } = await post(deps, '/records/units/1/retire', {});
    expect(status).toBe(409);
    expect(text(root.querySelector('.problems'))).toContain('Fell cedar on N1');
    expect(root.querySelector('button[name="isSure"]')).not.toBeNull();
    await post(deps, '/records/units/1/retire', { isSure: 'yes' });
    expect(deps.calls.at(-1)).toEqual({ name: 'records.retire', args: ['unit', 1, true] });
  });
});

describe('refusals', () => {
  it('shows what storage refuses beside the field and on top', async () => {
    const message = 'Code: N2 is taken.';
    const deps = depsOf({ problems: [{ code: 'taken', field: 'code', message }] });
    const { root } = await get(deps, '/records/units/1');
    const answer = await post(deps, '/records/units/1', sentBy(root));
    expect(answer.status).toBe(422);
    expect(text(answer.root.querySelector('.problems a'))).toBe(message);
    expect(text(answer.root.querySelector('#record-code-wrong'))).toBe(message);
  });

  it('keeps what was typed for a row that went out of use meanwhile', async () => {
    const deps = depsOf();
    const { root } = await get(deps, '/records/points/1');
    deps.state.operation.points = [];
    const typed = { ...sentBy(root), rule: 'Typed with care.' };
    const answer = await post(deps, '/records/points/1', typed);
    expect(answer.status).toBe(409);
    expect(text(answer.root.querySelector('#record-rule'))).toBe('Typed with care.');
    expect(answer.root.querySelector('main form')?.getAttribute('action')).toBe(
      '/records/points/new',
    );
  });

  it.each([
    ['points', { latitude: '37.2', longitude: '' }, 'longitude', 'leave both blank'],
    ['points', { latitude: '', longitude: '-92.1' }, 'latitude', 'leave both blank'],
    ['blocks', { leastSeasons: '2' }, 'targetYears', 'leave all three blank'],
    ['blocks', { leastSeasons: '3', targetYears: '2', mostYears: '4' }, 'targetYears', '3 or more'],
    ['blocks', { leastSeasons: '2', targetYears: '3', mostYears: '2' }, 'mostYears', '3 or more'],
    ['blocks', { noticesGivenOn: '2026-11-10' }, 'noticesGivenOn', 'today or earlier'],
    ['crews', { isAllYear: 'yes', onSpans: '2026-12-01' }, 'onSpans', 'There all year'],
    ['people', { qualifications: 'saw\nfirst aid, 2027-02-30' }, 'qualifications', 'line 2'],
    ['properties', { timeZone: 'Ozark time' }, 'timeZone', 'America/Chicago'],
    ['properties', { longitude: '-192' }, 'longitude', '-180 or more'],
    ['properties', { state: 'XX' }, 'state', 'choose one of the list'],
  ])('%s %j: the field %s', async (path, typed, field, words) => {
    const deps = depsOf();
    const { root } = await get(deps, `/records/${path}/1`);
    const answer = await post(deps, `/records/${path}/1`, { ...sentBy(root), ...typed });
    expect(answer.status).toBe(422);
    expect(text(answer.root.querySelector(`#record-${field}-wrong`))).toContain(words);
    expect(deps.calls).toEqual([]);
  });

  it.each([
    '/records/nothing',
    '/records/units/99',
    '/records/units/99/retire',
    '/records/units/1/default',
  ])('knows no page %s', async (url) => {
    expect((await get(depsOf(), url)).status).toBe(404);
  });
});

it('tells units of two properties with one code apart', async () => {
  const deps = depsOf();
  deps.state.operation.units[7]!.code = 'N1';
  const { root } = await get(deps, '/records/bookings/1');
  expect(sentBy(root)['unitIds']).toBe('N3, Fernhill Ridge: N1, Lower Sedge: N1');
  await post(deps, '/records/bookings/1', sentBy(root));
  expect(deps.calls[0]?.args[1]).toMatchObject({ unitIds: [3, 1, 8] });
});

it('a new row takes its number from storage, with what an address fills in', async () => {
  const deps = depsOf();
  const { root } = await get(deps, '/records/points/new?propertyId=1&name=Spring');
  const typed = { ...sentBy(root), unitIds: 'N1,N3' };
  expect((await post(deps, '/records/points/new', typed)).status).toBe(303);
  expect(deps.calls[0]?.args.slice(0, 1)).toEqual(['point']);
  expect(deps.calls[0]?.args[1]).toMatchObject({ id: 0, name: 'Spring', unitIds: [1, 3] });
  expect(deps.calls[0]?.args.slice(2)).toEqual([true, false]);
});

describe('a list of 500 units', () => {
  const many = () => {
    const operation = wholeOperation();
    const unit = operation.units[0]!;
    operation.units = Array.from({ length: 500 }, (_, at) => ({
      ...unit,
      id: at + 1,
      propertyId: at % 5 === 0 ? 2 : 1,
      code: `U${at + 1}`,
      areaAcres: (at * 37) % 101,
    }));
    return fakeDeps({ operation });
  };
  const codes = (root: HTMLElement) => root.querySelectorAll('tbody th').map(text);

  it('comes in pages', async () => {
    const deps = many();
    const { root } = await get(deps, '/records/units?page=3');
    expect(codes(root)).toEqual(Array.from({ length: 100 }, (_, at) => `U${at + 401}`));
    expect(root.querySelectorAll('.filters a').map((link) => link.getAttribute('href'))).toContain(
      '/records/units?page=2',
    );
  });

  it('is filtered by text and property, and keeps both while it is sorted', async () => {
    const deps = many();
    const { root } = await get(deps, '/records/units?q=u49&property=1');
    expect(codes(root)).toEqual([
      'U49',
      'U490',
      'U492',
      'U493',
      'U494',
      'U495',
      'U497',
      'U498',
      'U499',
    ]);
    const acres = root.querySelectorAll('thead a').find((link) => text(link) === 'Acres');
    expect(acres?.getAttribute('href')).toBe('/records/units?q=u49&property=1&sort=acres');
  });

  it('is sorted both ways', async () => {
    const deps = many();
    const acresOf = async (url: string) => {
      const { root } = await get(deps, url);
      return root
        .querySelectorAll('tbody tr')
        .map((row) => Number(text(row.querySelectorAll('td').at(-1)!)));
    };
    const up = await acresOf('/records/units?sort=acres');
    expect(up).toEqual([...up].sort((a, b) => a - b));
    const down = await acresOf('/records/units?sort=acres&down=yes');
    expect(down[0]).toBe(100);
    expect(down).toEqual([...down].sort((a, b) => b - a));
  });

  it('has units of a form typed as codes, since boxes would be too many', async () => {
    const { root } = await get(many(), '/records/lines/1');
    expect(root.querySelector('#record-unitIds')?.tagName).toBe('TEXTAREA');
  });
});

describe('rows out of use', () => {
  const retired = [
    { noun: 'point' as const, id: 7, name: 'Old den', retiredAt: '2026-11-08T10:00:00Z' },
    {
      noun: 'gear' as const,
      id: 'burn-trailer',
      name: 'Burn trailer',
      retiredAt: '2026-11-07T10:00:00Z',
    },
  ];

  it('are listed and come back by their own ids', async () => {
    const deps = depsOf({ retired });
    const { root } = await get(deps, '/records/retired');
    expect(root.querySelectorAll('tbody tr').map(text)).toEqual([
      'Old den point to protect 2026-11-08 Bring back',
      'Burn trailer piece of gear 2026-11-07 Bring back',
    ]);
    const { status, location } = await post(deps, '/records/retired', { noun: 'point', id: '7' });
    expect([status, location]).toEqual([303, '/records/retired']);
    await post(deps, '/records/retired', { noun: 'gear', id: 'burn-trailer' });
    expect(deps.calls.map(({ args }) => args)).toEqual([
      ['point', 7],
      ['gear', 'burn-trailer'],
    ]);
  });

  it('says why one can not come back', async () => {
    const message = 'The property Fernhill Ridge of it is out of use: bring that back first.';
    const deps = depsOf({ retired, problems: [{ code: 'row-parent-retired', message }] });
    const { status, root } = await post(deps, '/records/retired', { noun: 'point', id: '7' });
    expect(status).toBe(422);
    expect(text(root.querySelector('.problems'))).toContain(message);
  });

  it('does not bring back what is not out of use', async () => {
    const deps = depsOf({ retired });
    expect((await post(deps, '/records/retired', { noun: 'point', id: '8' })).status).toBe(422);
    expect(deps.calls).toEqual([]);
  });
});

it('the land page leads to every noun with its count', async () => {
  const { root } = await get(depsOf(), '/land');
  for (const kind of recordKinds) {
    const link = root.querySelector(`dt a[href="/records/${kind.path}"]`);
    expect(text(link?.parentNode ?? null)).toMatch(new RegExp(` ${kind.count(land)}$`));
  }
  expect(kindAt('points')?.noun).toBe('point');
});
