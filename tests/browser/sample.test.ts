import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let server: RunningServer;
let browser: Browser;
const db = join(temporaryFolder(), 'sample.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

test('loading the sample again brings it back as it was, with a plan', async () => {
  const page = await browser.newPage();
  await page.goto(`${server.url}/units/1`);
  const name = page.locator('form#edit').getByLabel('Name', { exact: true });
  const before = await name.inputValue();
  await name.fill('Renamed by hand');
  await page.getByRole('button', { name: 'Save the unit' }).click();
  await page.getByRole('heading', { name: 'Renamed by hand' }).waitFor();
  await page.getByRole('button', { name: 'Load the sample again' }).click();
  await page.getByRole('button', { name: 'Load the sample', exact: true }).click();
  await page.waitForURL(`${server.url}/`);
  await page.goto(`${server.url}/units/1`);
  expect(await name.inputValue()).toBe(before);
  await expect
    .poll(
      async () => {
        await page.goto(`${server.url}/plan`);
        return page.getByRole('heading', { name: 'In force' }).count();
      },
      { timeout: 60_000, interval: 500 },
    )
    .toBe(1);
  await page.close();
});

test('a print of Year: black on white, no navigation, the title block and the caution', async () => {
  const page = await browser.newPage({ colorScheme: 'dark' });
  await page.goto(`${server.url}/year`);
  await page.emulateMedia({ media: 'print' });
  const seen = await page.evaluate(() => {
    const shown = (selector: string) =>
      [...document.querySelectorAll(selector)].some(
        (one) => one.getBoundingClientRect().height > 0,
      );
    const { backgroundColor, color } = getComputedStyle(document.body);
    return {
      nav: shown('nav'),
      buttons: shown('button'),
      filters: shown('.year-filters'),
      chart: shown('svg.chart'),
      colours: [backgroundColor, color],
      words: [...document.querySelectorAll('p')]
        .filter((one) => one.getBoundingClientRect().height > 0)
        .map((one) => one.textContent)
        .join('\n'),
    };
  });
  expect(seen).toMatchObject({ nav: false, buttons: false, filters: false, chart: true });
  expect(seen.colours).toEqual(['rgb(255, 255, 255)', 'rgb(0, 0, 0)']);
  expect(seen.words).toContain(
    'local law, the label, the signed burn plan and the qualified person in charge come first',
  );
  expect(seen.words).toContain('25 Nov 2026');
  expect(seen.words).toMatch(/plan \d+, in force since 25 Nov 2026/);
  await page.close();
});
