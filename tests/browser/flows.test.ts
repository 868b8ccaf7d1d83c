import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import ICAL from 'ical.js';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

// One after the other on one database, as a person would go through the program.

const unitsFile = fileURLToPath(new URL('../fixtures/land/units.geojson', import.meta.url));

let server: RunningServer;
let browser: Browser;
let page: Page;
const complaints: string[] = [];
const db = join(temporaryFolder(), 'flows.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
  page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    // The browser itself notes an answer 422; what the page says about it is checked below.
    if (message.type() === 'error' && !message.text().includes('422'))
      complaints.push(message.text());
  });
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

async function open(path: string): Promise<void> {
  await page.goto(new URL(path, server.url).href);
}

/** Makes a draft and waits, without a click, until the page holds it. */
async function makeDraft(seconds: string): Promise<void> {
  await open('/plan');
  await page.getByLabel('Seconds to search').fill(seconds);
  await page.getByRole('button', { name: 'Make a draft' }).click();
  await page.getByRole('progressbar').waitFor();
  await page.getByRole('button', { name: 'Adopt the draft' }).waitFor();
}

test('what was done on a unit stands in its history and makes the plan out of date', async () => {
  await open('/units/1');
  const form = page.locator('form#entry');
  await form.getByLabel('Treatment').selectOption('line-build');
  await form.getByLabel('Last day').fill('2026-11-24');
  await form.getByLabel('Crew days').fill('2.5');
  await form.getByRole('button', { name: 'Write the entry' }).click();
  await page.waitForURL(/#history$/);
  const history = page.locator('section[aria-labelledby="history"]');
  expect(await history.textContent()).toMatch(
    /Make the line in timber.*24 Nov 2026.*2\.5 crew days/s,
  );
  await open('/plan');
  await page.getByText('It is out of date.').waitFor();
});

test('held dates stay in the next draft', async () => {
  await open('/plan');
  const line = page.getByRole('row').filter({ hasText: 'Photo' }).first();
  await line.getByRole('link', { name: /^Hold dates of/ }).click();
  const day = await page.getByLabel('First day').inputValue();
  const taskKey = await page.locator('input[name="taskKey"]').inputValue();
  await page.getByRole('button', { name: 'Hold dates' }).click();
  await page.waitForURL(/\/plan$/);
  await makeDraft('1');
  const path = `/plan/hold?task=${encodeURIComponent(taskKey)}`;
  await open(path);
  expect(await page.getByLabel('First day').inputValue()).toBe(day);
  await open('/plan');
  expect(await page.locator(`a[href="${path}"]`).first().textContent()).toBe('Held');
});

test('a draft shows its progress, is compared and adopted', async () => {
  await makeDraft('2');
  expect(await page.getByRole('heading', { level: 2 }).allTextContents()).toContain(
    'The draft against the plan in force',
  );
  await page.getByRole('button', { name: 'Adopt the draft' }).click();
  await page.getByRole('button', { name: 'Adopt the draft' }).waitFor({ state: 'detached' });
  expect(await page.getByText('It is out of date.').count()).toBe(0);
  expect(await page.getByRole('alert').count()).toBe(0);
});

test('a feed address is shown once, gives a calendar, and ends when it is ended', async () => {
  await open('/feeds');
  await page.getByLabel('Feed', { exact: true }).selectOption({ label: 'Home crew' });
  await page.getByLabel('Whose calendar').fill('crew lead');
  await page.getByRole('button', { name: 'Make the address' }).click();
  const address = (await page.locator('#issued-address').textContent()) ?? '';
  const answer = await fetch(address);
  expect(answer.status).toBe(200);
  expect(answer.headers.get('content-type')).toBe('text/calendar; charset=utf-8');
  const calendar = new ICAL.Component(ICAL.parse(await answer.text()) as unknown[]);
  const events = calendar.getAllSubcomponents('vevent').map((one) => new ICAL.Event(one));
  expect(events.length).toBeGreaterThan(5);
  for (const event of events) expect(event.startDate.isDate && event.uid !== '').toBe(true);
  await open('/feeds');
  expect(await page.content()).not.toContain(address.split('/').at(-2));
  await page.getByRole('link', { name: 'End the address of crew lead' }).click();
  await page.getByRole('button', { name: 'End the address' }).click();
  await page.getByText('ended', { exact: true }).waitFor();
  expect((await fetch(address)).status).toBe(410);
});

test('a bad setting is named beside its field and what was typed stays', async () => {
  await open('/settings');
  const form = page.locator('form#supply');
  await form.getByLabel('Burning seasons after this one').fill('9');
  await form.getByLabel('A fire counts from this share black, %').fill('55');
  await form.getByRole('button', { name: 'Save supply and horizon' }).click();
  const problems = page.getByRole('alert');
  expect(await problems.textContent()).toContain('Burning seasons after this one');
  expect(await problems.evaluate((one) => one === document.activeElement)).toBe(true);
  const wrong = form.getByLabel('Burning seasons after this one');
  expect(await wrong.inputValue()).toBe('9');
  expect(await wrong.getAttribute('aria-invalid')).toBe('true');
  expect(await form.getByLabel('A fire counts from this share black, %').inputValue()).toBe('55');
  await wrong.fill('1');
  await form.getByRole('button', { name: 'Save supply and horizon' }).click();
  await page.waitForURL(/\/settings/);
  await open('/settings');
  expect(await wrong.inputValue()).toBe('1');
});

test('own land: start, import, choose a sequence, plan, adopt', async () => {
  await open('/');
  await page.getByRole('button', { name: 'Start my own' }).click();
  for (const [label, words] of [
    ['Landowner', 'Hollis Grange'],
    ['Property', 'Tern Flat'],
    ['State', 'MO'],
    ['County', 'Sedge'],
    ['Time zone', 'America/Chicago'],
    ['Latitude', '37.2'],
    ['Longitude', '-92.1'],
  ] as const)
    await page.getByLabel(label, { exact: true }).fill(words);
  await page.getByRole('button', { name: 'Start with this property' }).click();
  await page.getByLabel('File, GeoJSON or CSV').setInputFiles(unitsFile);
  await page.getByRole('button', { name: 'Take the units in' }).click();
  const { features } = JSON.parse(readFileSync(unitsFile, 'utf8')) as { features: unknown[] };
  await page
    .getByRole('status')
    .filter({ hasText: `${features.length} units taken in` })
    .waitFor();
  await open('/plan');
  await page.getByRole('button', { name: 'Make a draft' }).click();
  await page.getByText('No unit has a sequence of work yet').waitFor();
  await open('/units');
  await page.locator('main table a[href^="/units/"]').first().click();
  const form = page.locator('form#edit');
  await form.getByLabel('Sequence', { exact: true }).selectOption('cedar-woodland');
  await form.getByRole('button', { name: 'Save the unit' }).click();
  await page
    .getByText('Fell redcedar by hand, cycle 1')
    .or(page.getByText('Cycle 1'))
    .first()
    .waitFor();
  await makeDraft('1');
  await page.getByRole('button', { name: 'Adopt the draft' }).click();
  await page.getByRole('heading', { name: 'Planned' }).waitFor();
  expect(await page.getByRole('row').count()).toBeGreaterThan(2);
});

test('the land of one’s own is not overwritten by the sample', async () => {
  await open('/land/sample');
  expect(await page.getByText('would be lost').count()).toBe(1);
  expect(await page.getByRole('button', { name: 'Load the sample' }).count()).toBe(0);
});

test('the browser complained of nothing on the way', () => {
  expect(complaints).toEqual([]);
});
