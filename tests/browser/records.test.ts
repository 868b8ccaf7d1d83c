import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let server: RunningServer;
let browser: Browser;
const db = join(temporaryFolder(), 'records.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

const open = async (path: string): Promise<Page> => {
  const page = await browser.newPage();
  await page.goto(new URL(path, server.url).href);
  return page;
};

test('a point is made, edited in two tabs with both versions shown, retired and brought back', async () => {
  const first = await open('/land');
  await first.getByRole('link', { name: 'Points to protect' }).click();
  await first.getByRole('link', { name: 'New point to protect' }).click();
  await first.getByLabel('Property').selectOption({ index: 1 });
  await first.getByLabel('Name').fill('Spring of the test');
  await first.getByLabel('Latitude').fill('37.21');
  await first.getByLabel('Longitude').fill('-92.13');
  await first.getByLabel('Rule in words').fill('No machines.');
  await first.getByRole('button', { name: 'Save' }).click();
  expect(await first.getByRole('status').textContent()).toContain('Spring of the test');
  await first.getByRole('status').getByRole('link').click();

  const second = await open(new URL(first.url()).pathname);
  await first.getByLabel('Buffer, feet').fill('50');
  await first.getByRole('button', { name: 'Save' }).click();
  await first.getByRole('status').waitFor();
  await second.getByLabel('Rule in words').fill('No machines, no spray.');
  await second.getByRole('button', { name: 'Save' }).click();
  const rows = second.locator('table').first().locator('tbody tr');
  expect(await rows.allInnerTexts()).toEqual([
    expect.stringMatching(/Buffer, feet\s+50\s+0/),
    expect.stringMatching(/Rule in words\s+No machines\.\s+No machines, no spray\./),
  ]);
  await second.getByLabel('Buffer, feet').fill('50');
  await second.getByRole('button', { name: 'Save mine' }).click();
  await second.getByRole('status').getByRole('link').click();
  expect(await second.getByLabel('Buffer, feet').inputValue()).toBe('50');
  expect(await second.getByLabel('Rule in words').inputValue()).toBe('No machines, no spray.');

  await second.getByRole('link', { name: 'out of use' }).click();
  await second.getByRole('button', { name: 'Take it out of use' }).click();
  await second.getByRole('button', { name: 'Bring back Spring of the test' }).click();
  await second.getByText('Nothing is out of use').waitFor();
  await second.goto(new URL('/records/points?q=spring+of', server.url).href);
  expect(await second.locator('tbody th').allInnerTexts()).toEqual(['Spring of the test']);
});
