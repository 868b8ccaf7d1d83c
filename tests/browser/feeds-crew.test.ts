import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { feedServer } from '../support/feed-server.ts';

const server = feedServer();
let browser: Browser;
let address = '';

beforeAll(async () => {
  server.adopt(server.tasks());
  address = await server.app.listen({ port: 0, host: '127.0.0.1' });
  browser = await openBrowser();
});
afterAll(async () => {
  await browser.close();
  await server.app.close();
  server.file.close();
});

describe('a crew’s own page on a phone', () => {
  it('works at 360 px without JavaScript, with large targets', async () => {
    const { token } = server.addressFor('-c2', true);
    const context = await browser.newContext({
      viewport: { width: 360, height: 740 },
      javaScriptEnabled: false,
    });
    const page = await context.newPage();
    const widest = async () => {
      const box = await page.locator('body').boundingBox();
      return box?.width ?? 0;
    };
    await page.goto(`${address}/crew/${token}`);
    expect(await widest()).toBeLessThanOrEqual(360);
    await page.locator('main a').first().click();
    expect(await widest()).toBeLessThanOrEqual(360);
    for (const folded of await page.locator('main details:not([open]) > summary').all())
      await folded.click();
    const targets = 'main button, main input:not([type="hidden"]), main select';
    for (const box of await page.locator(targets).all())
      expect((await box.boundingBox())?.height).toBeGreaterThanOrEqual(44);
    await page.locator('main button', { hasText: 'Partly done' }).click();
    expect(await page.locator('.problems').textContent()).toContain('how many acres are done');
    await page.locator('input[name="areaAcres"]').fill('12.5');
    await page.locator('main button', { hasText: 'Partly done' }).click();
    expect(await page.locator('.problems').textContent()).toContain('inside no-work dates');
    await page.getByLabel('Why it was done all the same').fill('The lessee asked for it.');
    await page.locator('main button', { hasText: 'Partly done' }).click();
    expect(await page.locator('h1').textContent()).toContain('the rest');
    await page.locator('main button', { hasText: /^Done$/ }).click();
    await page.getByLabel('Why it was done all the same').fill('The lessee asked for it.');
    await page.locator('main button', { hasText: /^Done$/ }).click();
    expect(await page.locator('main').textContent()).toContain('This task is closed: done');
    await context.close();
  });
});

describe('on paper', () => {
  it.each(['a4', 'letter'])('the year calendar is a sheet a quarter: %s', async (paper) => {
    const page = await browser.newPage();
    await page.goto(`${address}/calendar/year?paper=${paper}`);
    const pdf = (await page.pdf({ preferCSSPageSize: true })).toString('latin1');
    expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(4);
    // Points: A4 is 595 by 842, Letter 612 by 792.
    const [, width, height] = /\/MediaBox\s*\[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdf) ?? [];
    expect([Math.round(Number(width)), Math.round(Number(height))]).toEqual(
      paper === 'a4' ? [595, 842] : [612, 792],
    );
    await page.close();
  });

  it('a new address is one card with its codes and nothing else', async () => {
    const page = await browser.newPage();
    await page.goto(`${address}/feeds`);
    await page.selectOption('select[name="name"]', 'saw-contract-c2');
    await page.fill('input[name="label"]', 'truck');
    await page.selectOption('select[name="mayReport"]', 'yes');
    await page.locator('form[action="/feeds"] button').click();
    await page.locator('.truck-card').waitFor();
    await page.emulateMedia({ media: 'print' });
    expect(await page.locator('.truck-card svg.qr').count()).toBe(2);
    expect(await page.locator('.truck-card').isVisible()).toBe(true);
    for (const hidden of ['nav', 'form', '.feeds-body', 'h1'])
      expect(await page.locator(hidden).first().isVisible()).toBe(false);
    const pdf = (await page.pdf()).toString('latin1');
    expect(pdf.match(/\/Type\s*\/Page\b(?!s)/g)).toHaveLength(1);
    if (process.env['PICTURES']) {
      await page.screenshot({ path: `${process.env['PICTURES']}/card.png` });
      await page.emulateMedia({ media: 'screen' });
      await page.screenshot({ path: `${process.env['PICTURES']}/issued.png`, fullPage: true });
    }
    await page.close();
  });
});
