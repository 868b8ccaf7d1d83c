import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { AxeResults, RunOptions } from 'axe-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { findPages } from '../support/crawl.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const axeSource = readFileSync(
  createRequire(import.meta.url).resolve('axe-core/axe.min.js'),
  'utf8',
);

let server: RunningServer;
let browser: Browser;
let paths: string[];
const db = join(temporaryFolder(), 'pages.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
  const form = {
    method: 'POST',
    body: new URLSearchParams({ name: 'home-crew-c1', label: 'office' }),
  };
  expect((await fetch(new URL('/feeds', server.url), form)).status).toBe(200);
  // A removal, so that there is a change to take back and a row to bring back.
  const removal = { method: 'POST', body: new URLSearchParams() };
  expect((await fetch(new URL('/worklog/1/remove', server.url), removal)).status).toBe(200);
  const pages = await findPages(server.url);
  expect([...pages.keys()]).toEqual(
    expect.arrayContaining([
      ...['/', '/year', '/units', '/units/:id', '/crew-days', '/plan', '/plan/hold', '/burn-days'],
      ...['/worklog', '/worklog/:id/remove', '/feeds', '/feeds/:id/rotate', '/feeds/:id/revoke'],
      ...['/more', '/land', '/land/import', '/land/start', '/land/sample'],
      ...['/sequences', '/settings'],
      ...['/changes', '/changes/:id/undo', '/changes/rows/:id/undo', '/removed'],
      '/whole-operation',
      ...['/reports', '/reports/season', '/reports/letter', '/units/:id/ledger'],
      ...['/units/:id/answers', '/units/:id/visits/new/forage'],
      ...['/map', '/map/layers', '/map/pictures', '/sheets', '/sheets/:key'],
      ...['/packets/:id', '/packets/:id/elements'],
      ...['/records/points', '/records/points/new', '/records/points/:id', '/records/retired'],
      '/records/:kind/:id/retire',
    ]),
  );
  paths = [...pages.values(), '/no-such-page'];
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

/** Everything that the browser complains about: scripts, missing files, breaches of the policy. */
function complaintsOf(page: Page): string[] {
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(`script: ${error.message}`));
  page.on('requestfailed', (request) => complaints.push(`not loaded: ${request.url()}`));
  page.on('console', (message) => {
    const isOwnStatus = message.location().url.endsWith('/no-such-page');
    if (['error', 'warning'].includes(message.type()) && !isOwnStatus)
      complaints.push(`console: ${message.text()}`);
  });
  return complaints;
}

/** The rules of WCAG 2.2 A and AA and the best practices that axe-core knows, each with where it is broken. */
async function axeFaults(page: Page, options: RunOptions = {}): Promise<string[]> {
  // Evaluated by the browser's own tools, so the page's policy stays as strict as it is.
  await page.evaluate(axeSource);
  const results = await page.evaluate(
    (given) => (window as unknown as { axe: typeof import('axe-core') }).axe.run(document, given),
    { resultTypes: ['violations'], ...options } as RunOptions,
  );
  return (results as AxeResults).violations.map(
    ({ id, nodes }) =>
      `axe ${id}: ${nodes.length} times, ${String(nodes[0]?.target)} ${nodes[0]?.failureSummary?.replace(/\s+/g, ' ')}`,
  );
}

/** Faults that need no outside judge: sideways scroll, head and heading. */
function frameFaults(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const faults: string[] = [];
    const { scrollWidth, clientWidth } = document.documentElement;
    if (scrollWidth > clientWidth) faults.push(`scrolls sideways: ${scrollWidth} > ${clientWidth}`);
    const headings = [...document.querySelectorAll('h1')].filter((one) => one.textContent?.trim());
    if (headings.length !== 1) faults.push(`${headings.length} headings of the first level`);
    if (!document.title.endsWith(' · Seasonwright')) faults.push(`title: ${document.title}`);
    return faults;
  });
}

/** Faults of the page as it stands in the browser, in light and in dark. */
async function faultsHere(page: Page): Promise<string[]> {
  const faults = [...(await frameFaults(page)), ...(await axeFaults(page))];
  await page.emulateMedia({ colorScheme: 'dark' });
  const contrast: RunOptions = { runOnly: { type: 'rule', values: ['color-contrast'] } };
  faults.push(...(await axeFaults(page, contrast)).map((fault) => `dark: ${fault}`));
  await page.emulateMedia({ colorScheme: 'light' });
  return faults;
}

async function faultsOf(context: BrowserContext, path: string): Promise<string[]> {
  const page = await context.newPage();
  try {
    const complaints = complaintsOf(page);
    await page.goto(new URL(path, server.url).href, { waitUntil: 'load' });
    const faults = [...(await faultsHere(page)), ...complaints];
    return faults.map((fault) => `${path}: ${fault}`);
  } finally {
    await page.close();
  }
}

/** The pages are found by their links, so the tests share them out by number, to stay within their time. */
const parts = [0, 1, 2, 3, 4];

describe.each([
  { name: 'phone', width: 360, height: 740 },
  { name: 'desk', width: 1280, height: 900 },
])('every page on a $name', ({ width, height }) => {
  test.each(parts)(
    'no complaint of the browser, no axe-core fault in light or dark, no sideways scroll: part %i',
    async (part) => {
      const context = await browser.newContext({
        viewport: { width, height },
        colorScheme: 'light',
      });
      const faults: string[] = [];
      for (const path of paths.filter((_, at) => at % parts.length === part))
        faults.push(...(await faultsOf(context, path)));
      await context.close();
      expect(faults).toEqual([]);
    },
  );
});

test('pages that only a form leads to: a new address, a refusal, what a change would do, a search under way and its draft', async () => {
  const page = await browser.newPage({ viewport: { width: 360, height: 740 } });
  const complaints = complaintsOf(page);
  const faults: Record<string, string[]> = {};
  await page.goto(`${server.url}/feeds`);
  await page.getByLabel('Whose calendar').fill('crew lead');
  await page.getByRole('button', { name: 'Make the address' }).click();
  await page.locator('#issued-address').waitFor();
  faults['address'] = await faultsHere(page);
  expect(complaints.splice(0)).toEqual([]);
  await page.goto(`${server.url}/units/1`);
  await page.getByRole('button', { name: 'Write the entry' }).click();
  await page.getByRole('alert').waitFor();
  faults['refusal'] = await faultsHere(page);
  expect(complaints.splice(0)).toEqual([expect.stringContaining('422')]);
  await page.goto(`${server.url}/land/lines`);
  await page.getByRole('button', { name: 'See what drawing would change' }).click();
  await page.getByText('Nothing is saved yet').waitFor();
  faults['change'] = await faultsHere(page);
  await page.goto(`${server.url}/records/sequences/cedar-woodland`);
  await page.getByRole('button', { name: 'Add a step' }).click();
  await page.getByText('Step 14: new step').waitFor();
  faults['step'] = await faultsHere(page);
  await page.goto(`${server.url}/plan`);
  await page.getByLabel('Seconds to search').fill('20');
  await page.getByRole('button', { name: 'Make a draft' }).click();
  await page.getByText('The best so far leaves out').waitFor();
  faults['search'] = await faultsHere(page);
  await page.getByRole('button', { name: 'Stop and keep the best so far' }).click();
  await page.getByRole('button', { name: 'Adopt the draft' }).waitFor();
  faults['draft'] = await faultsHere(page);
  expect(complaints).toEqual([]);
  await page.close();
  expect(faults).toEqual({ address: [], refusal: [], change: [], step: [], search: [], draft: [] });
});

test('pages that only a file leads to: rows of old work to settle, changes of a land file', async () => {
  const page = await browser.newPage({ viewport: { width: 360, height: 740 } });
  const complaints = complaintsOf(page);
  const faults: Record<string, string[]> = {};
  await page.goto(`${server.url}/history`);
  await page
    .getByLabel('Or paste the rows')
    .fill('unit,date,work\nN4,Mar 2009,rx\nN99,3/4/2010,cut\n');
  await page.getByRole('button', { name: 'Read it' }).click();
  await page.getByRole('heading', { name: 'Unclear: 1 row' }).waitFor();
  faults['history'] = await faultsHere(page);
  const land = await (await fetch(`${server.url}/land/files/1/kml`)).text();
  await page.goto(`${server.url}/land/files`);
  const changed = land.replace(/(?<=<Data name="acres"><value>)[^<]*/, '99');
  await page.getByLabel('Or paste the text').fill(changed);
  await page.getByRole('button', { name: 'See what would change' }).click();
  await page.getByRole('heading', { name: 'Changed: 1' }).waitFor();
  faults['file'] = await faultsHere(page);
  expect(complaints).toEqual([]);
  await page.close();
  expect(faults).toEqual({ history: [], file: [] });
});

test('the judges of a page see faults where there are some', async () => {
  const page = await browser.newPage({ viewport: { width: 360, height: 740 } });
  await page.setContent('<p style="width: 900px; color: #ccc">pale and wide</p><img src="data:,">');
  const faults = (await faultsHere(page)).join('\n');
  for (const words of [
    'scrolls sideways',
    '0 headings',
    'title:',
    'axe color-contrast',
    'axe image-alt',
  ])
    expect(faults).toContain(words);
  await page.close();
});

test('the policy forbids a script in the page, and the browser keeps to it', async () => {
  const page = await browser.newPage();
  const complaints = complaintsOf(page);
  await page.goto(server.url);
  const ran = await page.evaluate(() => {
    const script = document.createElement('script');
    script.textContent = 'document.title = "ran"';
    document.head.append(script);
    return document.title === 'ran';
  });
  await page.close();
  expect(ran).toBe(false);
  expect(complaints).toEqual([expect.stringContaining('Content Security Policy')]);
});
