import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join } from 'node:path';
import type { AxeResults } from 'axe-core';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { hashPassword } from '../../src/storage/password.ts';
import { openStore } from '../../src/storage/store.ts';
import { testPassword } from '../support/access.ts';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

const axeSource = readFileSync(
  createRequire(import.meta.url).resolve('axe-core/axe.min.js'),
  'utf8',
);

let server: RunningServer;
let browser: Browser;
const db = join(temporaryFolder(), 'access.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  const store = openStore(db, () => new Date());
  const hash = await hashPassword(testPassword);
  const all = { hasAllProperties: true, landownerId: null, propertyIds: [] };
  const some = { hasAllProperties: false, landownerId: 2, propertyIds: [] };
  store.accounts.add({ name: 'Ada', role: 'administrator', ...all }, hash);
  store.accounts.add({ name: 'Olin', role: 'landowner', ...some }, hash);
  store.accounts.add({ name: 'Cleo', role: 'crew-lead', ...all }, hash);
  store.close();
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

const phone = { viewport: { width: 360, height: 740 } };

/** Everything that the browser complains about, breaches of the policy too. */
function complaintsOf(page: Page): string[] {
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(`script: ${error.message}`));
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) complaints.push(message.text());
  });
  return complaints;
}

async function faultsOf(page: Page): Promise<string[]> {
  await page.evaluate(axeSource);
  const results = (await page.evaluate(() =>
    (window as unknown as { axe: typeof import('axe-core') }).axe.run(document, {
      resultTypes: ['violations'],
    }),
  )) as AxeResults;
  const wide = await page.evaluate(() => {
    const { scrollWidth, clientWidth } = document.documentElement;
    return scrollWidth > clientWidth ? [`scrolls sideways: ${scrollWidth}`] : [];
  });
  return [
    ...wide,
    ...results.violations.map(({ id, nodes }) => `${id} ${String(nodes[0]?.target)}`),
  ];
}

async function signIn(context: BrowserContext, name: string, path = '/'): Promise<Page> {
  const page = await context.newPage();
  await page.goto(`${server.url}${path}`);
  await page.getByLabel('Name').fill(name);
  await page.getByLabel('Password').fill(testPassword);
  await page.getByRole('button', { name: 'Sign in' }).click();
  await page.getByText(`Signed in as ${name}`).waitFor();
  return page;
}

test('the keyboard alone signs in, leads to the page asked for, and signs out', async () => {
  const context = await browser.newContext(phone);
  const page = await context.newPage();
  const complaints = complaintsOf(page);
  await page.goto(`${server.url}/units/1`);
  expect(new URL(page.url()).pathname).toBe('/sign-in');
  expect(await page.title()).toBe('Who is there? · Seasonwright');
  const focused = () => page.evaluate(() => document.activeElement?.getAttribute('name'));
  await page.keyboard.press('Tab');
  await page.keyboard.press('Tab');
  expect(await focused()).toBe('name');
  await page.keyboard.type('ada');
  await page.keyboard.press('Tab');
  expect(await focused()).toBe('password');
  await page.keyboard.type(testPassword);
  await page.keyboard.press('Enter');
  await page.waitForURL('**/units/1');
  expect(complaints).toEqual([]);
  const cookies = await context.cookies();
  expect(cookies).toMatchObject([{ name: 'seasonwright', httpOnly: true, sameSite: 'Lax' }]);
  expect(await page.evaluate(() => document.cookie)).toBe('');
  await page.getByRole('button', { name: 'Sign out' }).focus();
  await page.keyboard.press('Enter');
  await page.waitForURL('**/sign-in');
  await page.goBack();
  expect(new URL(page.url()).pathname).toBe('/sign-in');
  await context.close();
});

test('a wrong password is said where it is seen and read, and what is typed can be shown', async () => {
  const context = await browser.newContext(phone);
  const page = await context.newPage();
  await page.goto(`${server.url}/sign-in`);
  await page.getByLabel('Name').fill('ada');
  const password = page.getByLabel('Password', { exact: true });
  await password.fill('not this one');
  expect(await password.getAttribute('type')).toBe('password');
  await page.getByLabel('Show what I type').check();
  expect(await password.getAttribute('type')).toBe('text');
  await page.keyboard.press('Tab');
  await page.keyboard.press('Enter');
  await page.getByRole('alert').waitFor();
  expect(await page.evaluate(() => document.activeElement?.className)).toBe('problems');
  expect(await page.getByLabel('Name').inputValue()).toBe('ada');
  expect(await password.inputValue()).toBe('');
  expect(await faultsOf(page)).toEqual([]);
  await context.close();
});

describe('the pages of accounts on a phone', () => {
  test('have no complaint of the browser, no axe-core fault, no sideways scroll', async () => {
    const context = await browser.newContext(phone);
    const page = await signIn(context, 'Ada', '/people-access');
    const complaints = complaintsOf(page);
    const faults: Record<string, string[]> = {};
    for (const path of ['/people-access', '/people-access/2', '/account']) {
      await page.goto(`${server.url}${path}`);
      faults[path] = await faultsOf(page);
    }
    await page.goto(`${server.url}/people-access/2`);
    await page.getByRole('button', { name: 'Make a link' }).click();
    const link = (await page.locator('#issued-link').textContent()) ?? '';
    faults['link'] = await faultsOf(page);
    const other = await (await browser.newContext(phone)).newPage();
    await other.goto(link);
    faults['new password'] = await faultsOf(other);
    await other.context().close();
    expect(faults).toEqual({
      ...{ '/people-access': [], '/people-access/2': [], '/account': [] },
      ...{ link: [], 'new password': [] },
    });
    expect(complaints).toEqual([]);
    await context.close();
  });
});

describe('a landowner on a phone', () => {
  test('sees the year, the units and reports of own land, and nothing to change', async () => {
    const context = await browser.newContext(phone);
    const page = await signIn(context, 'Olin');
    const complaints = complaintsOf(page);
    expect(new URL(page.url()).pathname).toBe('/units');
    const links = await page.getByRole('navigation').getByRole('link').allTextContents();
    expect(links).toEqual(['Year', 'Units', 'Reports']);
    const first = page.locator('main a[href^="/units/"]').first();
    const unitPath = (await first.getAttribute('href')) ?? '';
    for (const path of ['/year', '/units', unitPath, '/reports', '/account']) {
      await page.goto(`${server.url}${path}`);
      const text = (await page.locator('body').textContent()) ?? '';
      expect(text).not.toContain('Long Hollow');
      expect([path, await faultsOf(page)]).toEqual([path, []]);
      const actions = await page
        .locator('form[method=post]')
        .evaluateAll((forms) => forms.map((form) => form.getAttribute('action')));
      expect(actions.filter((action) => !/^\/(sign-out|account)/.test(action ?? ''))).toEqual([]);
    }
    expect(complaints).toEqual([]);
    await page.goto(`${server.url}/settings`);
    expect(await page.locator('main').textContent()).toContain('Your role does not allow this');
    await context.close();
  });
});

test('a form of somebody whose session ended is shown again and sent after signing in', async () => {
  const context = await browser.newContext(phone);
  const page = await signIn(context, 'Cleo', '/feeds');
  await page.getByLabel('Whose calendar').fill('the truck by the gate');
  await context.clearCookies();
  await page.getByRole('button', { name: 'Make the address' }).click();
  await page.getByText('What you typed is kept on this page').waitFor();
  const other = await signIn(context, 'Cleo', '/sign-in');
  await other.close();
  await page.getByRole('button', { name: 'Send it again' }).click();
  await page.locator('#issued-address').waitFor();
  expect(await page.locator('main').textContent()).toContain('the truck by the gate');
  await context.close();
});
