import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let server: RunningServer;
let browser: Browser;
let page: Page;
const db = join(temporaryFolder(), 'keyboard.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
  page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

/** What has the focus: its words, its address, and whether the page shows where the focus is. */
function focused(): Promise<{ words: string; path: string; isSeen: boolean; inChart: boolean }> {
  return page.evaluate(() => {
    const one = document.activeElement;
    const style = one ? getComputedStyle(one) : null;
    return {
      words: (one?.getAttribute('aria-label') ?? one?.textContent ?? '').trim(),
      path: one?.getAttribute('href') ?? '',
      isSeen: style?.outlineStyle === 'solid' && parseFloat(style.outlineWidth) >= 2,
      inChart: Boolean(one?.closest('svg.chart')),
    };
  });
}

/** Presses Tab until `isThere`; gives the stops on the way, the last one included. */
async function tabUntil(isThere: (stop: Awaited<ReturnType<typeof focused>>) => boolean) {
  const stops = [];
  for (let press = 0; press < 120; press++) {
    await page.keyboard.press('Tab');
    const stop = await focused();
    stops.push(stop);
    if (isThere(stop)) return stops;
  }
  throw new Error(`never reached; stops: ${stops.map((stop) => stop.words).join(' | ')}`);
}

test('the first Tab is the way past the navigation, and it leads to the page', async () => {
  await page.goto(server.url);
  await page.keyboard.press('Tab');
  expect(await focused()).toMatchObject({ words: 'Skip to the page', isSeen: true });
  await page.keyboard.press('Enter');
  expect(await page.evaluate(() => document.activeElement?.id)).toBe('main');
  await page.keyboard.press('Tab');
  expect((await focused()).words).toBe('Write in the work log');
});

test('Tab goes through the navigation in order, and each stop shows', async () => {
  await page.goto(server.url);
  const stops = (await tabUntil((stop) => stop.words === 'More')).slice(1);
  expect(stops.map((stop) => stop.words)).toEqual([
    ...['Today', 'Year', 'Units', 'Crew days', 'Plan', 'Burn days', 'Work log', 'Feeds', 'More'],
  ]);
  expect(stops.filter((stop) => !stop.isSeen)).toEqual([]);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/more');
});

test('the main action of Plan is reached and works by keyboard', async () => {
  await page.goto(`${server.url}/plan`);
  const stops = await tabUntil((stop) => stop.words === 'Make a draft');
  expect(stops.at(-1)?.isSeen).toBe(true);
  await page.keyboard.press('Enter');
  await page.getByRole('progressbar').waitFor();
  await tabUntil((stop) => stop.words === 'Stop and keep the best so far');
  // The pane is drawn anew each second; the focus stays where it was.
  await page.getByText('The best so far leaves out').waitFor();
  expect((await focused()).words).toBe('Stop and keep the best so far');
  await page.keyboard.press('Enter');
  await page.getByRole('button', { name: 'Adopt the draft' }).waitFor();
});

test('the chips of Year are reached, say what they are, and lead to the unit', async () => {
  await page.goto(`${server.url}/year`);
  const stops = await tabUntil((stop) => stop.inChart && stop.path.includes('#'));
  const chip = stops.at(-1);
  expect(chip?.isSeen).toBe(true);
  expect(chip?.words).toMatch(/20\d\d/);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/units/*');
});
