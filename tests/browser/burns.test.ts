import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { AxeResults } from 'axe-core';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const axeSource = readFileSync(
  createRequire(import.meta.url).resolve('axe-core/axe.min.js'),
  'utf8',
);

let server: RunningServer;
let browser: Browser;
let page: Page;
const complaints: string[] = [];
const db = join(temporaryFolder(), 'burns.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
  page = await browser.newPage({ viewport: { width: 360, height: 740 } });
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) complaints.push(message.text());
  });
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

async function open(path: string): Promise<void> {
  await page.goto(new URL(path, server.url).href);
}

/** What axe-core finds, and whether the page is wider than the phone. */
async function faultsHere(): Promise<string[]> {
  await page.evaluate(axeSource);
  const results = await page.evaluate(() =>
    (window as unknown as { axe: typeof import('axe-core') }).axe.run(document),
  );
  const faults = (results as AxeResults).violations.map(({ id }) => `axe ${id}`);
  const width = await page.evaluate(() => document.documentElement.scrollWidth);
  return width > 360 ? [...faults, `scrolls sideways: ${width}`] : faults;
}

test('the past-years test runs by itself, and its chances stand on the plan page', async () => {
  await open('/past-years');
  await page.getByRole('heading', { name: 'Each burn, the weakest first' }).waitFor();
  expect(await faultsHere()).toEqual([]);
  await open('/plan');
  await page.getByRole('link', { name: 'All burns by past years' }).waitFor();
  expect(await page.locator('td[data-label="Done in"]:not(.empty)').count()).toBeGreaterThan(0);
  expect(complaints).toEqual([]);
});

test('a block is checked for a past day, a county check is kept, and the list is kept as answered', async () => {
  await open('/burn-check?block=1&day=2020-03-10');
  expect(await page.locator('.hours-check tbody tr').count()).toBeGreaterThan(3);
  expect(await faultsHere()).toEqual([]);
  await page.getByText('Write down a check').click();
  await page.getByLabel('Checked by').fill('T. Arden');
  await page.getByRole('button', { name: 'Keep the check' }).click();
  await page.getByText('checked by T. Arden').waitFor();
  for (const group of await page.locator('fieldset.answers').all())
    await group.getByLabel('yes', { exact: true }).check();
  await page.getByLabel('Answered by').fill('T. Arden');
  await page.getByRole('button', { name: 'Keep these answers' }).click();
  await page.waitForURL(/\/burn-check\/lists\/1$/);
  expect(await page.locator('main').textContent()).toContain('every answer yes; the boss decides');
  expect(await faultsHere()).toEqual([]);
  await open('/worklog');
  await page.getByRole('link', { name: /10 Mar 2020/ }).waitFor();
  expect(complaints).toEqual([]);
});
