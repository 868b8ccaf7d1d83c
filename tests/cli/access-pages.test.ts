import { parse } from 'node-html-parser';
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest';
import type { AccountRow } from '../../src/core/accounts.ts';
import { hashPassword } from '../../src/storage/password.ts';
import { type AppOptions, buildApp } from '../../src/web/app.ts';
import { redactFeedUrl } from '../../src/web/routes/feed-files.ts';
import { get, noLimits, post, sampleApp, signedIn, testPassword } from '../support/access.ts';

let hash: string;
beforeAll(async () => {
  hash = await hashPassword(testPassword);
});

const opened: ReturnType<typeof sampleApp>[] = [];
afterAll(() => {
  for (const { file } of opened) file.close();
});

const whole = { hasAllProperties: true, landownerId: null, propertyIds: [] };

/** Sample land; `people` have the password of the tests. */
function land(people: AccountRow[] = [], options: AppOptions = {}) {
  const made = sampleApp();
  opened.push(made);
  for (const row of people) expect(made.file.store.accounts.add(row, hash).ok).toBe(true);
  const app = buildApp(made.deps, { limits: noLimits, ...options });
  return { ...made, app };
}

const ada: AccountRow = { name: 'Ada', role: 'administrator', ...whole };
const signIn = (app: ReturnType<typeof land>['app'], fields = {}, headers = {}) =>
  post(app, '/sign-in', { name: 'ada', password: testPassword, ...fields }, headers);
const cookieOf = (answer: Awaited<ReturnType<typeof signIn>>) =>
  String(answer.headers['set-cookie'] ?? '').split(';')[0] ?? '';
const textOf = (body: string) => parse(body).textContent.replace(/\s+/g, ' ');

describe('without an account', () => {
  test('this machine may everything, and no other is answered', async () => {
    const { app } = land();
    expect((await get(app, '/settings')).statusCode).toBe(200);
    const elsewhere = await app.inject({
      url: '/year',
      headers: { host: 'localhost' },
      remoteAddress: '192.0.2.7',
    });
    expect(elsewhere.statusCode).toBe(403);
    expect(textOf(elsewhere.body)).not.toContain('Long Hollow');
  });

  test('behind a proxy nobody is let in: there every request comes from this machine', async () => {
    const { app } = land([], { publicUrl: 'https://work.example.org', proxies: ['127.0.0.1'] });
    const answer = await get(app, '/year', { host: 'work.example.org' });
    expect(answer.statusCode).toBe(403);
    expect(textOf(answer.body)).toContain('user add');
  });

  test('the first page makes the administrator, once; then everybody signs in', async () => {
    const { app } = land();
    const first = { name: 'Ada', password: testPassword, again: testPassword };
    const page = await get(app, '/people-access');
    expect(page.body).toContain('action="/people-access/first"');
    const wrong = await post(app, '/people-access/first', { ...first, again: 'another one here' });
    expect(wrong.statusCode).toBe(422);
    expect(wrong.body).not.toContain(testPassword);
    const made = await post(app, '/people-access/first', first);
    expect([made.statusCode, made.headers.location]).toEqual([303, '/sign-in?next=/people-access']);
    expect((await get(app, '/year')).headers.location).toBe('/sign-in?next=%2Fyear');
    const again = await post(app, '/people-access/first', { ...first, name: 'Eve' });
    expect(again.statusCode).toBe(401);
    const cookie = cookieOf(await signIn(app));
    expect((await post(app, '/people-access/first', first, { cookie })).statusCode).toBe(403);
    expect((await get(app, '/year', { cookie })).statusCode).toBe(200);
  });
});

describe('signing in', () => {
  test('gives a cookie that scripts and other sites do not get, and a new one each time', async () => {
    const { app } = land([ada]);
    const first = await signIn(app);
    expect(first.statusCode).toBe(303);
    expect(first.headers['set-cookie']).toMatch(
      /^seasonwright=[\w-]{43}; Max-Age=604800; Path=\/; HttpOnly; SameSite=Lax$/,
    );
    const cookie = cookieOf(first);
    const second = await signIn(app, {}, { cookie });
    expect(cookieOf(second)).not.toBe(cookie);
    expect((await get(app, '/year', { cookie })).statusCode).toBe(302);
    const page = await get(app, '/year', { cookie: cookieOf(second) });
    expect([page.statusCode, page.headers['cache-control']]).toEqual([200, 'no-store']);
  });

  test('over TLS the cookie is bound to the host, and browsers are told to stay with it', async () => {
    const { app } = land([ada], { publicUrl: 'https://work.example.org', proxies: ['127.0.0.1'] });
    const headers = { host: 'work.example.org', origin: 'https://work.example.org' };
    const answer = await signIn(app, {}, { ...headers, 'sec-fetch-site': 'same-origin' });
    expect(answer.headers['set-cookie']).toMatch(/^__Host-seasonwright=.*; Path=\/; .*; Secure$/);
    expect(answer.headers['strict-transport-security']).toContain('max-age=');
    const other = await get(app, '/year', { host: 'evil.example' });
    expect(other.statusCode).toBe(421);
  });

  test.each([
    ['/units?x=1', '/units?x=1'],
    ['//evil.example', '/'],
    ['/\\evil.example', '/'],
    ['https://evil.example', '/'],
    ['javascript:alert(1)', '/'],
    ['', '/'],
  ])('leads on to %j as %s', async (next, path) => {
    const { app, file } = land();
    file.store.accounts.add(ada, hash);
    const page = await get(app, `/sign-in?${new URLSearchParams({ next })}`);
    expect(parse(page.body).querySelector('[name=next]')?.getAttribute('value')).toBe(path);
    expect((await signIn(app, { next })).headers.location).toBe(path);
  });

  test('a wrong password, an unknown name and an account out of use get the same answer', async () => {
    const { app, file } = land([ada, { ...ada, name: 'Bo' }]);
    file.store.accounts.retire(file.store.accounts.findName('Bo')?.id ?? 0);
    const answers = [
      await signIn(app, { password: 'wrong wrong wrong' }),
      await signIn(app, { name: 'ada', password: 'wrong wrong wrong' }),
      await signIn(app, { name: 'nobody', password: testPassword }),
      await signIn(app, { name: 'bo' }),
    ];
    const bodies = answers.map(({ body }) =>
      body.replaceAll(/value="(ada|nobody|bo)"/g, 'value=""'),
    );
    expect(new Set(bodies).size).toBe(1);
    expect(answers.map(({ statusCode }) => statusCode)).toEqual([401, 401, 401, 401]);
    expect(answers.every((answer) => answer.headers['set-cookie'] === undefined)).toBe(true);
  });

  test('failures slow down the name and the address, not other people elsewhere', async () => {
    const { app } = land([ada, { ...ada, name: 'Bo' }]);
    for (let at = 0; at < 5; at += 1)
      expect((await signIn(app, { password: 'wrong wrong wrong' })).statusCode).toBe(401);
    const slowed = await signIn(app);
    expect(slowed.statusCode).toBe(429);
    expect(Number(slowed.headers['retry-after'])).toBeGreaterThan(0);
    const elsewhere = await app.inject({
      method: 'POST',
      url: '/sign-in',
      payload: new URLSearchParams({ name: 'Bo', password: testPassword }).toString(),
      headers: { host: 'localhost', 'content-type': 'application/x-www-form-urlencoded' },
      remoteAddress: '192.0.2.8',
    });
    expect(elsewhere.statusCode).toBe(303);
  });

  test('signing out is a form; the session is over on the server', async () => {
    const { app } = land([ada]);
    const cookie = cookieOf(await signIn(app));
    expect((await get(app, '/sign-out', { cookie })).statusCode).toBe(404);
    const out = await post(app, '/sign-out', {}, { cookie });
    expect(out.headers['set-cookie']).toContain('Max-Age=0');
    expect((await get(app, '/year', { cookie })).statusCode).toBe(302);
  });
});

describe('who is signed out', () => {
  test('gets the form back with all that was typed, as text, without passwords', async () => {
    const { app } = land([ada]);
    const note = '<b onload=x>"mind the gate"';
    const answer = await post(app, '/units/1/entries?x=1', { note, password: 'secret secret' });
    expect(answer.statusCode).toBe(401);
    const form = parse(answer.body).querySelector('form[method=post]');
    expect(form?.getAttribute('action')).toBe('/units/1/entries?x=1');
    expect(form?.querySelector('[name=note]')?.getAttribute('value')).toBe(note);
    expect(answer.body).not.toContain('<b onload');
    expect(answer.body).not.toContain('secret secret');
  });

  test('an answer for a part of a page is refused in words, not led elsewhere', async () => {
    const { app } = land([ada]);
    const answer = await get(app, '/plan', { 'hx-request': 'true', 'hx-request-type': 'partial' });
    expect(answer.statusCode).toBe(401);
    expect(textOf(answer.body)).toContain('You are signed out');
  });

  test('feeds and crew pages keep their own secret', async () => {
    const { app, file } = land([ada]);
    const feed = file.store.feeds.create('home-crew-c1', 'truck', true);
    const path = `/feed/${feed.token}/home-crew-c1.ics`;
    expect((await get(app, path)).statusCode).toBe(200);
    expect((await get(app, `/crew/${feed.token}`)).statusCode).toBe(200);
    expect((await get(app, '/feed/none/home-crew-c1.ics')).statusCode).toBe(404);
  });
});

describe('posts of other sites', () => {
  test.each([
    ['another site', { 'sec-fetch-site': 'cross-site' }, 403],
    ['a neighbor under the same domain', { 'sec-fetch-site': 'same-site' }, 403],
    ['this site', { 'sec-fetch-site': 'same-origin' }, 303],
    ['an older browser, this site', { 'sec-fetch-site': '', origin: 'http://localhost' }, 303],
    [
      'an older browser, another site',
      { 'sec-fetch-site': '', origin: 'http://evil.example' },
      403,
    ],
    ['an opaque origin', { 'sec-fetch-site': '', origin: 'null' }, 403],
    ['a session without a word of where from', { 'sec-fetch-site': '' }, 403],
  ])('%s', async (_name, from, status) => {
    const made = land([ada]);
    const { headers } = signedIn(made, { name: 'Bo', role: 'administrator', ...whole });
    const sent = Object.fromEntries(Object.entries(from).filter(([, value]) => value !== ''));
    const answer = await made.app.inject({
      method: 'POST',
      url: '/account/sessions/end-others',
      payload: '',
      headers: {
        host: 'localhost',
        'content-type': 'application/x-www-form-urlencoded',
        ...headers,
        ...sent,
      },
    });
    expect(answer.statusCode).toBe(status);
  });
});

describe('rate limits', () => {
  const limits = {
    pages: { atOnce: 3, perSecond: 0.01 },
    changes: { atOnce: 2, perSecond: 0.01 },
  };

  test('hold pages and changes of one person, not of the next, and never feeds', async () => {
    const made = land([ada], { limits });
    const one = signedIn(made, { name: 'Bo', role: 'administrator', ...whole }).headers;
    const other = signedIn(made, { name: 'Cy', role: 'administrator', ...whole }).headers;
    const pages = [];
    for (let at = 0; at < 4; at += 1) pages.push(await get(made.app, '/cure', one));
    expect(pages.map(({ statusCode }) => statusCode)).toEqual([200, 200, 200, 429]);
    expect(Number(pages[3]?.headers['retry-after'])).toBeGreaterThan(0);
    expect((await get(made.app, '/cure', other)).statusCode).toBe(200);
    const posts = [];
    for (let at = 0; at < 3; at += 1) posts.push(await post(made.app, '/past-years/stop', {}, one));
    expect(posts.map(({ statusCode }) => statusCode)).toEqual([303, 303, 429]);
    const feed = made.file.store.feeds.create('home-crew-c1', 'truck', false);
    for (let at = 0; at < 8; at += 1)
      expect((await get(made.app, `/feed/${feed.token}/home-crew-c1.ics`, one)).statusCode).toBe(
        200,
      );
  });

  test('believe X-Forwarded-For from a named proxy only', async () => {
    const tries = async (options: AppOptions) => {
      const { app } = land([ada], { limits, ...options });
      const statuses = [];
      for (let at = 0; at < 5; at += 1)
        statuses.push((await get(app, '/cure', { 'x-forwarded-for': `192.0.2.${at}` })).statusCode);
      return statuses;
    };
    expect(await tries({})).toEqual([302, 302, 302, 429, 429]);
    expect(await tries({ proxies: ['127.0.0.1'] })).toEqual([302, 302, 302, 302, 302]);
  });
});

describe('people who may sign in', () => {
  test('are added with a link that sets a password once', async () => {
    const made = land([ada]);
    const { headers } = signedIn(made, { name: 'Bo', role: 'administrator', ...whole });
    const fields = {
      name: 'Cy',
      role: 'crew-lead',
      extent: 'some',
      landownerId: '',
      properties: '1',
    };
    const added = await post(made.app, '/people-access', fields, headers);
    const link = parse(added.body).querySelector('#issued-link')?.textContent ?? '';
    expect(link).toMatch(/^http:\/\/localhost\/new-password\/[\w-]{43}$/);
    expect(added.headers['cache-control']).toBe('no-store');
    const path = new URL(link).pathname;
    expect(redactFeedUrl(path)).toBe('/new-password/[hidden]');
    const page = await get(made.app, path);
    expect([page.statusCode, page.headers['referrer-policy']]).toEqual([200, 'no-referrer']);
    const short = await post(made.app, path, { password: 'short', again: 'short' });
    expect(short.statusCode).toBe(422);
    const set = { password: 'old mill by the water', again: 'old mill by the water' };
    expect((await post(made.app, path, set)).headers.location).toBe('/sign-in');
    expect((await post(made.app, path, set)).statusCode).toBe(422);
    expect((await get(made.app, path)).statusCode).toBe(410);
    const cookie = cookieOf(await signIn(made.app, { name: 'Cy', password: set.password }));
    expect(textOf((await get(made.app, '/account', { cookie })).body)).toContain('crew lead');
    expect(textOf((await get(made.app, '/units', { cookie })).body)).not.toContain('Meadow Bench');
  });

  test('an administrator of some properties lets nobody see more', async () => {
    const made = land([ada]);
    const { headers } = signedIn(made, { name: 'Bo', role: 'administrator', propertyIds: [1] });
    const row = { name: 'Cy', role: 'planner', landownerId: '' };
    const all = await post(made.app, '/people-access', { ...row, extent: 'all' }, headers);
    expect(all.statusCode).toBe(422);
    const two = await post(
      made.app,
      '/people-access',
      { ...row, extent: 'some', properties: '2' },
      headers,
    );
    expect(two.statusCode).toBe(422);
    const id = made.file.store.accounts.findName('Ada')?.id ?? 0;
    for (const what of ['', '/link', '/retire', '/sessions/end'])
      expect(
        (await post(made.app, `/people-access/${id}${what}`, { ...row, extent: 'all' }, headers))
          .statusCode,
      ).toBe(404);
    expect(made.file.store.accounts.findName('Cy')).toBeNull();
    expect((await get(made.app, '/people-access', headers)).body).not.toContain('Ada');
  });

  test('are not changed back by a form that was open while somebody else saved', async () => {
    const made = land([ada]);
    const { headers } = signedIn(made, { name: 'Bo', role: 'administrator', ...whole });
    const row = { name: 'Cy', role: 'planner', extent: 'all', landownerId: '' };
    await post(made.app, '/people-access', row, headers);
    const id = made.file.store.accounts.findName('Cy')?.id ?? 0;
    const path = `/people-access/${id}`;
    const markOf = (body: string) =>
      parse(body).querySelector('[name=stored]')?.getAttribute('value') ?? '';
    const stored = markOf((await get(made.app, path, headers)).body);
    const lowered = { ...row, role: 'crew-lead', stored };
    expect((await post(made.app, path, lowered, headers)).statusCode).toBe(303);
    const late = await post(made.app, path, { ...row, name: 'Cy Two', stored }, headers);
    expect(late.statusCode).toBe(409);
    expect(textOf(late.body)).toContain('Meanwhile somebody saved: Cy, crew lead, all properties.');
    expect(made.file.store.accounts.find(id)).toMatchObject({ name: 'Cy', role: 'crew-lead' });
    const again = { ...row, name: 'Cy Two', stored: markOf(late.body) };
    expect((await post(made.app, path, again, headers)).statusCode).toBe(303);
    expect(made.file.store.accounts.find(id)).toMatchObject({ name: 'Cy Two', role: 'planner' });
  });

  test('change the own password: the other sessions end, this one goes on with a new token', async () => {
    const { app } = land([ada]);
    const cookie = cookieOf(await signIn(app));
    const elsewhere = cookieOf(await signIn(app));
    const fields = {
      present: testPassword,
      password: 'old mill by the water',
      again: 'old mill by the water',
    };
    const wrong = await post(
      app,
      '/account/password',
      { ...fields, present: 'not this one' },
      { cookie },
    );
    expect(wrong.statusCode).toBe(422);
    const changed = await post(app, '/account/password', fields, { cookie });
    expect(changed.statusCode).toBe(303);
    expect((await get(app, '/account', { cookie: elsewhere })).statusCode).toBe(302);
    expect((await get(app, '/account', { cookie })).statusCode).toBe(302);
    expect((await get(app, '/account', { cookie: cookieOf(changed) })).statusCode).toBe(200);
  });

  test('end a session of their own, never one of somebody else', async () => {
    const made = land([ada]);
    const { app } = made;
    const bo = signedIn(made, { name: 'Bo', role: 'crew-lead', ...whole });
    const cookie = cookieOf(await signIn(app));
    const ids = (id: number) => made.file.store.accounts.sessions.list(id).map((one) => one.id);
    const adaId = made.file.store.accounts.findName('Ada')?.id ?? 0;
    await post(app, `/account/sessions/${ids(adaId)[0]}/end`, {}, bo.headers);
    expect((await get(app, '/account', { cookie })).statusCode).toBe(200);
    await post(app, `/account/sessions/${ids(adaId)[0]}/end`, {}, { cookie });
    expect((await get(app, '/account', { cookie })).statusCode).toBe(302);
  });
});

describe('a page offers what the role allows', () => {
  const formsOf = (body: string) =>
    parse(body)
      .querySelectorAll('form[method=post]')
      .map((form) => form.getAttribute('action'));

  test('a crew lead logs work and changes no land; a landowner only signs out', async () => {
    const made = land([ada]);
    const lead = signedIn(made, { name: 'Bo', role: 'crew-lead', ...whole }).headers;
    const owner = signedIn(made, { name: 'Cy', role: 'landowner', landownerId: 1 }).headers;
    const all = signedIn(made, { name: 'Di', role: 'planner', ...whole }).headers;
    const forms = async (headers: Record<string, string>) =>
      formsOf((await get(made.app, '/units/1', headers)).body);
    expect(await forms(all)).toEqual(expect.arrayContaining(['/units/1', '/units/1/block']));
    const ofLead = await forms(lead);
    expect(ofLead).not.toContain('/units/1');
    expect(ofLead.length).toBeGreaterThan(1);
    expect(await forms(owner)).toEqual(['/sign-out']);
    const { body } = await get(made.app, '/units/1', owner);
    const links = parse(body).querySelectorAll('nav a');
    expect(links.map((link) => link.textContent)).toEqual(['Year', 'Units', 'Reports']);
  });

  test('a landowner is led from the first page to the own units', async () => {
    const made = land([ada]);
    const { headers } = signedIn(made, { name: 'Cy', role: 'landowner', landownerId: 2 });
    expect((await get(made.app, '/', headers)).headers.location).toBe('/units');
    const text = textOf((await get(made.app, '/units', headers)).body);
    expect(text).toContain('Meadow Bench');
    expect(text).not.toContain('Long Hollow');
  });
});

test('the log tells of sign-ins and refusals, one line each, without names, passwords or tokens', async () => {
  let log = '';
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    log += text;
    return true;
  });
  const made = land([ada], { logger: true });
  const one = signedIn(made, { name: 'Bo', role: 'crew-lead', propertyIds: [1] });
  await signIn(made.app, {
    name: 'my\npassword in the wrong field',
    password: 'wrong wrong wrong',
  });
  const cookie = cookieOf(await signIn(made.app));
  await get(made.app, '/plan', one.headers);
  const foreign = made.file.operation().units.find(({ propertyId }) => propertyId === 2)?.id;
  await get(made.app, `/units/${foreign}`, one.headers);
  await get(made.app, '/new-password/some-secret-token');
  vi.restoreAllMocks();
  const lines = log.trim().split('\n');
  const events = lines.map((line) => JSON.parse(line) as Record<string, unknown>);
  const id = made.file.store.accounts.findName('Ada')?.id;
  expect(events).toMatchObject([
    { msg: 'sign-in: refused', account: null, address: '127.0.0.1' },
    { msg: 'sign-in: signed-in', account: id },
    { msg: 'refused', account: one.id, route: 'GET /plan', statusCode: 403 },
    { msg: 'refused', account: one.id, route: 'GET /units/:id', statusCode: 404 },
  ]);
  for (const secret of ['wrong field', testPassword, cookie.split('=')[1] ?? '', 'some-secret'])
    expect(log).not.toContain(secret);
});
