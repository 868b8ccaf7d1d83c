import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage, sendForm } from '../support/page.ts';
import { fakeDraft } from '../support/plan.ts';

/** Pages with the words that make them what they are. */
const pages: [path: string, title: string, words: string[]][] = [
  ['/', 'What can be done now?', ['Burns still open', 'Overdue for fire', 'made 26 Oct 2026']],
  ['/units', 'What does each unit need next?', ['8 units of 8', 'Dogtooth flat']],
  [
    '/units/2',
    'N2 Two Springs',
    ['Cedar out, then fire', 'Felled 12 Dec 2024; two growing seasons', 'On file for a burn'],
  ],
  ['/plan', 'Does the work fit the seasons?', ['In force', 'No fit days are left', 'crew days']],
  ['/worklog', 'What was done?', ['6 entries', 'still open']],
  ['/feeds', 'Who sees the work', ['The call for a burn comes by phone', 'office wall screen']],
  ['/sequences', 'What follows what?', ['Cedar out, then fire', 'at least one growing season']],
  ['/settings', 'Which figures does the plan use?', ['A burn left out', 'Fit days by month']],
  ['/land', 'Whose land is it?', ['Fernhill Land Trust', 'Lower Sedge']],
  ['/land/import', 'Add units from a file', ['FeatureCollection']],
  ['/land/start', 'Start with your own land', ['Two letters']],
  ['/land/sample', 'Load the sample again?', ['as it first was']],
  ['/more', 'What else is there?', ['never authorizes', 'Nobody fells alone']],
  ['/worklog/5/sign-out', 'When was the burn out?', ['E1 Hollow edge']],
  ['/worklog/5/remove', 'Remove this entry?', ['E1 Hollow edge']],
  ['/feeds/1/rotate', 'Replace this address?', ['office wall screen']],
  ['/feeds/1/revoke', 'End this address?', ['office wall screen']],
];

describe('pages', () => {
  it.each(pages)('%s asks its question and answers it', async (path, title, words) => {
    const page = await getPage(buildApp(fakeDeps()), path);
    expect(page.status).toBe(200);
    expect(page.root.querySelector('h1')?.textContent).toContain(title);
    for (const word of words) expect(page.text).toContain(word);
    expect(page.root.querySelectorAll('nav .nav a')).toHaveLength(9);
    expect(page.root.querySelectorAll('[aria-current="page"]')).toHaveLength(1);
    expect(page.text).toContain('the qualified person in charge come first');
    expect(page.headers['cache-control']).toBe('private, no-cache');
    expect(page.headers['vary']).toContain('HX-Request-Type');
  });

  it.each(pages)('%s repeats no id', async (path) => {
    const page = await getPage(buildApp(fakeDeps({ draft: fakeDraft() })), path);
    const ids = page.root.querySelectorAll('[id]').map((one) => one.id);
    expect(ids.toSorted()).toEqual([...new Set(ids)].toSorted());
  });

  it('links only to pages that are there, and to anchors that are on them', async () => {
    const app = buildApp(fakeDeps({ draft: fakeDraft() }));
    const wanted = ['/', ...pages.map(([path]) => path)];
    const seen = new Set<string>();
    const missing: string[] = [];
    while (wanted.length > 0 && seen.size < 400) {
      const path = wanted.shift() ?? '';
      // The filters of the charts are their own tests' matter.
      if (seen.has(path) || /^\/(year|crew-days|burn-days)\?/.test(path)) continue;
      seen.add(path);
      const page = await getPage(app, path);
      const isThere = page.status === 200 || page.status === 303;
      if (!isThere) missing.push(path);
      for (const link of page.root.querySelectorAll('a[href]')) {
        const href = link.getAttribute('href') ?? '';
        if (href.startsWith('#') && !page.root.getElementById(href.slice(1)))
          missing.push(`${path} ${href}`);
        if (href.startsWith('/')) wanted.push(href.split('#')[0]?.replaceAll('&amp;', '&') ?? '');
      }
    }
    expect(missing).toEqual([]);
    expect(seen.size).toBeGreaterThan(30);
  });

  it('says that the land is the sample, and stops saying so on own land', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    expect((await getPage(app, '/')).text).toContain('This is sample land.');
    for (const property of deps.state.operation.properties) property.isSample = false;
    expect((await getPage(app, '/')).text).not.toContain('This is sample land.');
  });

  it('shows an empty operation without a page that breaks', async () => {
    const deps = fakeDeps({ inForce: null, links: [] });
    const empty = { properties: [], units: [], blocks: [], crews: [], entries: [], fitDays: [] };
    Object.assign(deps.state.operation, empty);
    const app = buildApp(deps);
    for (const path of [
      '/',
      '/units',
      '/plan',
      '/worklog',
      '/feeds',
      '/settings',
      '/land',
      '/land/import',
    ])
      expect([path, (await getPage(app, path)).status]).toEqual([path, 200]);
  });
});

describe('what goes wrong', () => {
  it.each(['/nothing', '/units/99', '/units/abc', '/worklog/77/remove', '/feeds/9/rotate'])(
    '%s is a page that says so',
    async (path) => {
      const page = await getPage(buildApp(fakeDeps()), path);
      expect(page.status).toBe(404);
      expect(page.root.querySelector('h1')?.textContent).toBe('Not found');
      expect(page.headers['content-security-policy']).toBeDefined();
    },
  );

  it('shows nothing of the inside of a fault', async () => {
    const deps = fakeDeps();
    deps.operation = () => {
      throw new Error('secret path /srv/land.db');
    };
    const page = await getPage(buildApp(deps), '/units');
    expect(page.status).toBe(500);
    expect(page.root.querySelector('h1')?.textContent).toBe('Something broke');
    expect(page.text).not.toContain('secret');
    expect(page.text).toMatch(/Number of this request, for the log: req-/);
  });
});

describe('what other sites may do', () => {
  it('sends a policy that lets nothing in', async () => {
    const { headers } = await getPage(buildApp(fakeDeps()), '/');
    const policy = String(headers['content-security-policy']).split(';').toSorted();
    expect(policy).toEqual([
      "base-uri 'none'",
      "connect-src 'self'",
      "default-src 'none'",
      "form-action 'self'",
      "frame-ancestors 'none'",
      "img-src 'self' data:",
      "script-src 'self'",
      "style-src 'self'",
      "worker-src 'self'",
    ]);
    expect(headers['x-content-type-options']).toBe('nosniff');
  });

  it.each([
    ['a post from another site', { 'sec-fetch-site': 'cross-site' }, 403],
    ['a post from a sister site', { 'sec-fetch-site': 'same-site' }, 403],
    ['a post from another origin', { 'sec-fetch-site': '', origin: 'https://example.org' }, 403],
    ['a post from this site', { 'sec-fetch-site': 'same-origin' }, 303],
  ])('%s', async (_name, headers, status) => {
    const deps = fakeDeps();
    const page = await sendForm(buildApp(deps), '/plan/stop', {}, headers);
    expect(page.status).toBe(status);
    expect(deps.calls).toHaveLength(status === 303 ? 1 : 0);
  });

  it('judges a post without Sec-Fetch-Site by its Origin', async () => {
    const post = (origin: string) =>
      buildApp(fakeDeps()).inject({
        method: 'POST',
        url: '/plan/stop',
        headers: { host: 'localhost:8080', origin },
      });
    expect((await post('http://localhost:8080')).statusCode).toBe(303);
    expect((await post('http://localhost:9090')).statusCode).toBe(403);
    expect((await post('null')).statusCode).toBe(403);
  });

  it.each([
    ['localhost:3000', 200],
    ['127.0.0.1', 200],
    ['[::1]:3000', 200],
    ['land.example.org', 421],
  ])('host %s', async (host, status) => {
    expect((await getPage(buildApp(fakeDeps()), '/more', { host })).status).toBe(status);
  });

  it.each(['application/json', 'text/plain'])('takes no body of %s', async (type) => {
    const headers = { 'content-type': type, 'sec-fetch-site': 'same-origin' };
    const app = buildApp(fakeDeps());
    const answer = await app.inject({ method: 'POST', url: '/units/2', headers, payload: '{}' });
    expect(answer.statusCode).toBe(415);
  });

  it('answers under any name when told to', async () => {
    const app = buildApp(fakeDeps(), { anyHost: true });
    expect((await getPage(app, '/more', { host: 'land.example.org' })).status).toBe(200);
  });
});

describe('assets', () => {
  it.each([
    ['/assets/app.css', 'text/css'],
    ['/assets/charts.css', 'text/css'],
    ['/assets/app.js', 'javascript'],
    ['/assets/htmx.min.js', 'javascript'],
  ])('%s', async (path, type) => {
    const page = await getPage(buildApp(fakeDeps()), path);
    expect(page.status).toBe(200);
    expect(page.headers['content-type']).toContain(type);
  });
});
