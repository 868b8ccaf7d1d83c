import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let server: RunningServer;
let browser: Browser;
const db = join(temporaryFolder(), 'sheets.db');

const wordy = (letters: number) =>
  'People go here only with boots and the key from the barn. '.repeat(10).slice(0, letters);

/** A unit about which people wrote more than a page holds: places, leases and long names of lines. */
function writeMuch(): void {
  const database = new Database(db);
  const unit = database.prepare("SELECT id, property_id AS propertyId FROM unit WHERE code = 'N2'");
  const { id, propertyId } = unit.get() as { id: number; propertyId: number };
  const insert = database.prepare('INSERT INTO land_record (kind, content) VALUES (?, ?)');
  const bars = { barsFamilies: ['burn', 'cut', 'line'], opens: '06-01', closes: '07-31' };
  const own = { propertyId, unitIds: [id], firmness: 'ask-first', ...bars, rule: wordy(300) };
  for (let at = 0; at < 10; at++) {
    const place = { ...own, kind: 'grave', position: null, bufferFeet: 150 };
    insert.run('point', JSON.stringify({ ...place, name: `An old place with a long name ${at}` }));
    const lease = { ...own, use: 'hunting', from: '2026-01-01', until: null, contact: wordy(120) };
    insert.run('lease', JSON.stringify({ ...lease, holder: `Hunting club of the ridge ${at}` }));
  }
  database
    .prepare(
      "UPDATE line SET name = name || ', the long way around the hollow and back to the road' WHERE id IN (SELECT line_id FROM line_unit WHERE unit_id = ?)",
    )
    .run(id);
  database.close();
}

beforeAll(async () => {
  await makeSampleDatabase(db);
  writeMuch();
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

/** Pages of a PDF file: its page objects (ISO 32000-1, 7.7.3.3); this browser writes them in the open. */
const pagesOf = (pdf: Buffer) => pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)?.length ?? 0;

// A year of the sample: felling, spraying, burns, patrols, checks, seeding.
const spans = [
  ['2026-11-25', '2027-01-25'],
  ['2027-01-26', '2027-03-28'],
  ['2027-03-29', '2027-05-29'],
  ['2027-05-30', '2027-07-30'],
  ['2027-07-31', '2027-09-30'],
] as const;

describe('a sheet is one printed page', () => {
  test.each(spans)('from %s to %s, on Letter and on A4', async (from, to) => {
    const page = await open(`/sheets?from=${from}&to=${to}`);
    const sheets = await page.locator('.task-sheet').count();
    expect(sheets).toBeGreaterThan(0);
    for (const format of ['Letter', 'A4'])
      expect(`${format} ${pagesOf(await page.pdf({ format }))}`).toBe(`${format} ${sheets}`);
    await page.close();
  });

  test('nothing of a sheet runs out of its page, however much was written, and notes have room', async () => {
    const page = await open('/sheets?from=2027-01-26&to=2027-03-28');
    await page.emulateMedia({ media: 'print' });
    // The width of A4 less its margins, at 96 pixels an inch.
    await page.setViewportSize({ width: 718, height: 1000 });
    const measured = await page.locator('.task-sheet').evaluateAll((all) =>
      all.map((one) => ({
        over: one.scrollHeight - one.clientHeight,
        notes: (one.querySelector('.sheet-notes') as HTMLElement).offsetHeight,
      })),
    );
    for (const { over, notes } of measured) {
      expect(over).toBeLessThanOrEqual(0);
      expect(notes).toBeGreaterThanOrEqual(50);
    }
    await page.close();
  });

  test('a packet prints a page for each of its parts', async () => {
    const page = await open('/packets/2');
    const parts = await page.locator('.task-sheet').count();
    for (const format of ['Letter', 'A4']) expect(pagesOf(await page.pdf({ format }))).toBe(parts);
    await page.close();
  });
});

test('paper carries no buttons, no links above the sheet, and no colour of a family', async () => {
  const page = await open('/packets/2');
  await page.emulateMedia({ media: 'print' });
  for (const hidden of ['nav', 'h1', 'form', 'button'])
    for (const one of await page.locator(hidden).all()) expect(await one.isVisible()).toBe(false);
  const colours = await page
    .locator('.chip, .course, .task-sheet h2, .task-sheet strong')
    .evaluateAll((all) =>
      all.flatMap((one) => [getComputedStyle(one).color, getComputedStyle(one).stroke]),
    );
  const parts = (colour: string) => colour.match(/[\d.]+/g)?.slice(0, 3) ?? [];
  for (const colour of colours.filter((one) => one !== 'none'))
    expect(new Set(parts(colour)).size, colour).toBe(1);
  await page.close();
});

test('the map prints its property, plan and deference, and the one choice that is on', async () => {
  const page = await open('/map?show=fire');
  await page.emulateMedia({ media: 'print' });
  for (const shown of ['.property-note', '.foot', '.whole-map svg'])
    expect(await page.locator(shown).first().isVisible(), shown).toBe(true);
  expect(await page.locator('.property-note').textContent()).toContain('plan 1, made');
  const choices = await page.locator('.filters li:visible').allInnerTexts();
  expect(choices).toContain('time since fire');
  expect(choices.join()).not.toContain('next treatment');
  await page.close();
});

describe('pictures of a server under the map', () => {
  const address = 'https://tiles.example.org/{z}/{x}/{y}.png';
  // The smallest PNG: one clear pixel.
  const pixel = Buffer.from(
    'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==',
    'base64',
  );

  test('are asked for only once they are switched on, and only from that server', async () => {
    const page = await browser.newPage();
    const outside: string[] = [];
    const complaints: string[] = [];
    page.on('console', (message) => complaints.push(message.text()));
    await page.route(/^https?:\/\/(?!127\.0\.0\.1|localhost)/, async (route) => {
      outside.push(route.request().url());
      await route.fulfill({ contentType: 'image/png', body: pixel });
    });
    await page.goto(new URL('/map', server.url).href);
    expect(outside).toEqual([]);
    await page.goto(new URL('/map/pictures', server.url).href);
    await page.getByLabel('Address of map pictures').fill(address);
    await page.getByLabel('Thanks to').fill('its makers');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('tells that server where the land is').waitFor();
    await page.waitForLoadState('load');
    expect(outside.length).toBeGreaterThan(0);
    expect(new Set(outside.map((one) => new URL(one).origin))).toEqual(
      new Set(['https://tiles.example.org']),
    );
    expect(complaints).toEqual([]);
    await page.goto(new URL('/map/pictures', server.url).href);
    await page.getByLabel('Address of map pictures').fill('');
    await page.getByRole('button', { name: 'Save' }).click();
    outside.length = 0;
    await page.goto(new URL('/map', server.url).href);
    expect(outside).toEqual([]);
    await page.close();
  });
});

test('the planning elements are ticked without JavaScript, and the packet says so', async () => {
  const context = await browser.newContext({ javaScriptEnabled: false });
  const page = await context.newPage();
  await page.goto(new URL('/packets/1', server.url).href);
  await page.getByRole('link', { name: 'Tick planning elements' }).click();
  await page.locator('#elements-isWritten-smoke').check();
  await page.locator('#elements-signedBy-smoke').fill('Odell Finch');
  await page.locator('#elements-signedOn-smoke').fill('2026-11-20');
  await page.getByRole('button', { name: 'Save the list' }).click();
  expect(await page.getByText('Odell Finch, 20 Nov 2026').count()).toBe(1);
  await context.close();
});
