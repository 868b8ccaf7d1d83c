import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { buildApp } from '../../src/web/app.ts';
import { openBrowser } from '../support/browser.ts';
import { feedServer } from '../support/feed-server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

// The day after the invented no-work dates of the hunt.
const today = isoDate('2026-11-25');
const server = feedServer(today, join(temporaryFolder(), 'land.db'));
let app = server.app;
let browser: Browser;
let address = '';
let context: BrowserContext;
let page: Page;
let complaints: string[] = [];

beforeAll(async () => {
  server.adopt(server.tasks());
  address = await app.listen({ port: 0, host: '127.0.0.1' });
  browser = await openBrowser();
});
afterAll(async () => {
  await browser?.close();
  await app.close();
  server.file.close();
});
beforeEach(async () => {
  // The loopback counts as a secure context, as a server behind TLS does.
  context = await browser.newContext({ viewport: { width: 360, height: 740 }, hasTouch: true });
  page = await context.newPage();
  complaints = [];
  page.on('pageerror', (error) => complaints.push(error.message));
  page.on('console', (message) => {
    const isAnswer = /422|ERR_INTERNET_DISCONNECTED|ERR_CONNECTION_REFUSED/.test(message.text());
    if (message.type() === 'error' && !isAnswer) complaints.push(message.text());
  });
});
afterEach(async () => {
  await context.close();
  expect(complaints).toEqual([]);
});

const open = (path: string) => page.goto(address + path);
const withNote = (note: string) =>
  server.deps.operation().entries.filter((one) => one.note === note);
const write = () => page.getByRole('button', { name: 'Write the entry' }).tap();
const note = () => page.locator('[data-kept-note]');
const keptCount = () =>
  page.evaluate(() => Object.keys(localStorage).filter((key) => key.startsWith('worklog:')).length);

async function typeEntry(words: string): Promise<void> {
  await page.getByLabel('People').fill('2');
  await page.getByLabel('Hours each').fill('4');
  await page.getByText(/^More: note/).tap();
  await page.getByLabel('Note').fill(words);
}

describe('on a phone', () => {
  it('a real entry from Today takes at most eight taps and fields: partly done, acres, people by hours', async () => {
    let count = 0;
    const act = async (work: Promise<unknown>) => {
      count += 1;
      await work;
    };
    const acresBefore = server.deps.operation().entries.length;
    await open('/');
    await act(page.locator('a.log-it').first().tap());
    await page.waitForURL(/\/worklog\/new\?/);
    await act(page.getByText('partly done', { exact: true }).tap());
    await act(page.getByLabel('Acres done').fill('7'));
    await act(page.getByLabel('People').fill('3'));
    await act(page.getByLabel('Hours each').fill('6.5'));
    await act(write());
    await page.waitForURL(/saved=yes/);
    expect(count).toBeLessThanOrEqual(8);
    const { entries } = server.deps.operation();
    expect(entries).toHaveLength(acresBefore + 1);
    expect(entries.at(-1)).toMatchObject({ outcome: 'partly', areaAcres: 7, personHours: 19.5 });
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(360);
    for (const box of await page.locator('form button').all())
      expect((await box.boundingBox())?.height).toBeGreaterThanOrEqual(44);
  });

  it('the answers are large enough for a thumb, and the whole form needs no script', async () => {
    const plain = await browser.newContext({
      viewport: { width: 360, height: 740 },
      javaScriptEnabled: false,
    });
    const form = await plain.newPage();
    await form.goto(`${address}/worklog/new?unit=2&treatment=cure-check`);
    for (const label of await form.locator('.choices label').all())
      expect((await label.boundingBox())?.height).toBeGreaterThanOrEqual(44);
    await form.getByText('More: note').click();
    await form.getByLabel('Note').fill('without script');
    await form.getByRole('button', { name: 'Write the entry' }).click();
    expect(await form.locator('main').textContent()).toContain('Written.');
    expect(withNote('without script')).toHaveLength(1);
    await plain.close();
  });
});

describe('without signal', () => {
  it('what was typed is kept and sent once when the signal is back', async () => {
    await open('/worklog/new?unit=2&treatment=cure-check');
    await typeEntry('lost signal');
    await context.setOffline(true);
    await write();
    await note().getByText('No signal: kept on this phone').waitFor();
    expect(withNote('lost signal')).toEqual([]);
    await context.setOffline(false);
    await page.waitForURL(/\/worklog\/\d+\?saved=yes/);
    expect(withNote('lost signal')).toMatchObject([{ unitId: 2, personHours: 8 }]);
    expect(await keptCount()).toBe(0);
    await open('/');
    await page.waitForTimeout(300);
    expect(withNote('lost signal')).toHaveLength(1);
  });

  it('the form opens, filled in from its address, and keeps its text over a reload', async () => {
    await open('/worklog/new');
    await page.evaluate(() => navigator.serviceWorker.ready);
    await context.setOffline(true);
    await open('/worklog/new?unit=2&treatment=cure-check');
    expect(await page.locator('#entry-unitId').inputValue()).toBe('2');
    expect(await page.locator('#entry-treatmentKey').inputValue()).toBe('cure-check');
    await typeEntry('opened in the hollow');
    await page.reload();
    expect(await page.getByLabel('Note').inputValue()).toBe('opened in the hollow');
    expect(await note().textContent()).toContain('This was typed before');
    await write();
    await note().getByText('No signal: kept on this phone').waitFor();
    await context.setOffline(false);
    await page.waitForURL(/saved=yes/);
    expect(withNote('opened in the hollow')).toMatchObject([
      { unitId: 2, treatmentKey: 'cure-check' },
    ]);
    const cached = await page.evaluate(async () => {
      const names = await caches.keys();
      const all = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
      return all.flat().map((request) => new URL(request.url).pathname);
    });
    expect(cached.filter((path) => !path.startsWith('/assets/'))).toEqual(['/worklog/new']);
    // Whoever signs out leaves no page of the land on the phone.
    await page.evaluate(() => fetch('/sign-out', { method: 'POST' }));
    await expect.poll(() => page.evaluate(() => caches.keys())).toEqual([]);
  });

  it('readings at the fire are kept one beside the other', async () => {
    await open('/worklog/5');
    await context.setOffline(true);
    for (const [time, humidity] of [
      ['12:00', '40'],
      ['13:00', '36'],
    ] as const) {
      await page.getByLabel('Time').fill(time);
      await page.getByLabel('Humidity, %').fill(humidity);
      await page.getByRole('button', { name: 'Add the reading' }).tap();
      await note().getByText('Readings kept on this phone').waitFor();
      expect(await page.getByLabel('Humidity, %').inputValue()).toBe('');
    }
    expect(await note().textContent()).toContain('Readings kept on this phone: 2.');
    await context.setOffline(false);
    await page.locator('tbody th', { hasText: '13:00' }).waitFor();
    const readings = () =>
      server.deps.worklog.details().find(({ entryId }) => entryId === 5)?.readings ?? [];
    expect(readings().map((one) => [one.at, one.rhPercent])).toEqual([
      ['12:00', 40],
      ['13:00', 36],
    ]);
    expect(await keptCount()).toBe(0);
    // With signal the page shows a new one at once.
    await page.getByLabel('Time').fill('14:00');
    await page.getByLabel('Humidity, %').fill('33');
    await page.getByRole('button', { name: 'Add the reading' }).tap();
    await page.locator('tbody th', { hasText: '14:00' }).waitFor();
  });

  it('two entries typed one after the other are two', async () => {
    await open('/worklog/new');
    await page.evaluate(() => navigator.serviceWorker.ready);
    await context.setOffline(true);
    for (const unit of ['2', '3']) {
      await open(`/worklog/new?unit=${unit}&treatment=cure-check`);
      await typeEntry('two in a row');
      await write();
      await note().getByText('No signal: kept on this phone').waitFor();
    }
    await context.setOffline(false);
    await page.waitForURL(/saved=yes/);
    await open('/');
    await expect
      .poll(() =>
        withNote('two in a row')
          .map((one) => one.unitId)
          .sort(),
      )
      .toEqual([2, 3]);
    expect(await keptCount()).toBe(0);
  });
});

describe('a server that ends while somebody types', () => {
  it('loses nothing: it is sent on the next visit, once', async () => {
    const port = Number(new URL(address).port);
    await open('/worklog/new?unit=2&treatment=cure-check');
    await typeEntry('server was off');
    await app.close();
    await write();
    await note().getByText('No signal: kept on this phone').waitFor();
    app = buildApp(server.deps, { logger: false, anyHost: true });
    await app.listen({ port, host: '127.0.0.1' });
    await open('/');
    await expect.poll(() => withNote('server was off').length).toBe(1);
    await open('/worklog');
    expect(withNote('server was off')).toHaveLength(1);
    expect(await keptCount()).toBe(0);
  });
});

describe('a refusal', () => {
  it('is shown with what was typed, and once answered nothing is kept on the phone', async () => {
    await open('/worklog/new?unit=5&treatment=cedar-felling');
    await page.getByLabel('Last day').fill('2026-11-20');
    await typeEntry('inside the hunt');
    await write();
    await page.getByText('lies inside no-work dates').first().waitFor();
    expect(await page.getByLabel('Note').inputValue()).toBe('inside the hunt');
    await page.getByLabel('Why it was done all the same').fill('storm damage');
    await write();
    await page.waitForURL(/saved=yes/);
    expect(withNote('inside the hunt')).toHaveLength(1);
    expect(await keptCount()).toBe(0);
  });

  it('of an entry sent later waits to be looked at', async () => {
    await open('/worklog/new?unit=5&treatment=cedar-felling');
    await page.getByLabel('Last day').fill('2026-11-20');
    await typeEntry('asked later');
    await context.setOffline(true);
    await write();
    await note().getByText('No signal').waitFor();
    await context.setOffline(false);
    await open('/');
    const link = page.getByRole('link', { name: /needs an answer/ });
    await link.waitFor();
    expect(withNote('asked later')).toEqual([]);
    await link.tap();
    expect(await page.getByLabel('Note').inputValue()).toBe('asked later');
    await write();
    await page.getByLabel('Why it was done all the same').fill('asked the owner');
    await write();
    await page.waitForURL(/saved=yes/);
    expect(withNote('asked later')).toHaveLength(1);
    expect(await keptCount()).toBe(0);
  });
});

describe('photos', () => {
  it('of a phone held upright stay upright without their place', async () => {
    await open('/worklog/5');
    // Drawn by the browser itself, 60 wide and 20 high, then given an Exif block with orientation 6 and a place.
    const drawn = await page.evaluate(() => {
      const canvas = document.createElement('canvas');
      Object.assign(canvas, { width: 60, height: 20 });
      canvas.getContext('2d')?.fillRect(0, 0, 30, 20);
      return canvas.toDataURL('image/jpeg').split(',')[1] ?? '';
    });
    const jpeg = Buffer.from(drawn, 'base64');
    const secret = Buffer.from('37.2000N 92.1000W');
    const tiff = Buffer.concat([
      Buffer.from('4d4d002a000000080001011200030000000100060000', 'hex'),
      Buffer.alloc(4),
      secret,
    ]);
    const length = Buffer.alloc(2);
    length.writeUInt16BE(tiff.length + 8);
    const exif = Buffer.concat([Buffer.from('ffe1', 'hex'), length, Buffer.from('Exif\0\0'), tiff]);
    const buffer = Buffer.concat([jpeg.subarray(0, 2), exif, jpeg.subarray(2)]);
    await page
      .getByLabel(/^Photos, up to/)
      .setInputFiles({ name: 'a.jpg', mimeType: 'image/jpeg', buffer });
    await page.getByLabel('What they show').fill('The west line, black to the road');
    await page.getByRole('button', { name: 'Add the photos' }).tap();
    const image = page.getByAltText('The west line, black to the road');
    await image.scrollIntoViewIfNeeded();
    await expect
      .poll(() =>
        image.evaluate((one) => [
          (one as HTMLImageElement).naturalWidth,
          (one as HTMLImageElement).naturalHeight,
        ]),
      )
      .toEqual([20, 60]);
    const served = await fetch(address + (await image.getAttribute('src')));
    expect(Buffer.from(await served.arrayBuffer()).includes(secret)).toBe(false);
  });
});

describe('the pages of an entry', () => {
  const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');

  it.each([
    '/worklog/5',
    '/worklog/5/correct',
    '/worklog/new',
    '/worklog/new?unit=1&treatment=dormant-burn',
  ])(
    '%s has no fault that axe-core finds and no sideways scroll, with all that can be on it',
    async (path) => {
      server.deps.worklog.addReading(5, {
        at: '14:10',
        tempF: 62,
        rhPercent: 22,
        windMph: 6,
        gustMph: 12,
        windFromDegrees: 225,
        note: 'a spot fire over the line, out at once',
      });
      server.deps.worklog.correct(5, {
        entry: { shareBlackPercent: 65 },
        detail: { moneyUsd: 40 },
      });
      await open(path);
      await page.evaluate(() => {
        for (const one of document.querySelectorAll('details')) one.open = true;
      });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(360);
      await page.evaluate(axe);
      const faults = await page.evaluate(async () => {
        const { axe } = window as unknown as { axe: typeof import('axe-core') };
        return (await axe.run(document)).violations.map(
          ({ id, nodes }) => `${id} ${nodes[0]?.target}`,
        );
      });
      expect(faults).toEqual([]);
    },
  );
});
