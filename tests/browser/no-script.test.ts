import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let server: RunningServer;
let browser: Browser;
let page: Page;
const db = join(temporaryFolder(), 'no-script.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
  page = await (await browser.newContext({ javaScriptEnabled: false })).newPage();
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

test('Today leads to a unit, and what was done is written there', async () => {
  await page.goto(server.url);
  expect(await page.getByRole('heading', { level: 1 }).textContent()).toBe('What can be done now?');
  await page.locator('main a[href^="/units/"]').first().click();
  const form = page.locator('form#entry');
  await form.getByLabel('Treatment').selectOption('mowing');
  await form.getByLabel('Last day').fill('2026-11-24');
  await form.getByLabel('Acres done').fill('3.5');
  await form.getByRole('button', { name: 'Write the entry' }).click();
  await page.waitForURL(/#history$/);
  const done = page.locator('section[aria-labelledby="history"]');
  expect(await done.textContent()).toMatch(/Mow or brush-hog.*24 Nov 2026.*3\.5 acres/s);
});

test('a refused entry keeps what was typed and names the field', async () => {
  await page.goto(`${server.url}/units/1`);
  const form = page.locator('form#entry');
  await form.getByLabel('Treatment').selectOption('mowing');
  await form.getByLabel('Last day').fill('2031-01-01');
  await form.getByLabel('Note', { exact: true }).fill('the north half');
  await form.getByRole('button', { name: 'Write the entry' }).click();
  expect(await form.getByRole('alert').textContent()).toContain('Last day');
  expect(await form.getByLabel('Last day').inputValue()).toBe('2031-01-01');
  expect(await form.getByLabel('Note', { exact: true }).inputValue()).toBe('the north half');
});

test('a draft is made with plain links: look again until it is there', async () => {
  await page.goto(`${server.url}/plan`);
  await page.getByLabel('Seconds to search').fill('1');
  await page.getByRole('button', { name: 'Make a draft' }).click();
  const again = page.getByRole('link', { name: 'Look again' });
  await again.waitFor();
  const adopt = page.getByRole('button', { name: 'Adopt the draft' });
  for (let look = 0; look < 200 && (await adopt.count()) === 0; look++) {
    await page.waitForTimeout(200);
    if ((await again.count()) > 0) await again.click();
  }
  await adopt.click();
  expect(await adopt.count()).toBe(0);
  expect(await page.getByRole('alert').count()).toBe(0);
});
