import { join } from 'node:path';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { openBrowser } from '../support/browser.ts';
import { makeSampleDatabase, type RunningServer, startServer } from '../support/server.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

let server: RunningServer;
let browser: Browser;
const db = join(temporaryFolder(), 'reference.db');

beforeAll(async () => {
  await makeSampleDatabase(db);
  [server, browser] = await Promise.all([startServer(db), openBrowser()]);
});

afterAll(async () => {
  await browser?.close();
  await server?.stop();
});

const open = async (context: BrowserContext, path: string): Promise<Page> => {
  const page = await context.newPage();
  await page.goto(new URL(path, server.url).href);
  return page;
};
const save = (page: Page) => page.getByRole('button', { name: 'Save', exact: true }).first();
const problems = (page: Page) => page.getByRole('alert').textContent();

describe.each([
  { name: 'with JavaScript', javaScriptEnabled: true, key: 'own-a' },
  { name: 'without JavaScript', javaScriptEnabled: false, key: 'own-b' },
])('$name', ({ javaScriptEnabled, key }) => {
  test('a sequence is copied, a step added and moved, a ring refused by name, then it is saved', async () => {
    const context = await browser.newContext({ javaScriptEnabled });
    const page = await open(context, '/sequences');
    await page.locator('a[href$="new?copy=cedar-woodland"]').click();
    await page.getByLabel('Key').fill(key);
    await page.getByRole('button', { name: 'Add a step' }).click();
    await page.getByText('Step 14: new step').waitFor();
    await page.locator('#record-s14-name').fill('Look again');
    await page.locator('#record-s14-treatment1').selectOption('photo-points');
    await save(page).click();
    expect(await problems(page)).toContain('Look again hangs on none of the other steps');
    await page.getByText('Step 14: Look again').click();
    await page.locator('#record-s14-w1-after').selectOption('burn');
    await page.locator('#record-s14-w1-least').fill('one year');
    await page.locator('details[open]').getByRole('button', { name: 'Move up' }).click();
    await page.getByText('Step 13: Look again, after Burn').waitFor();
    await page.getByText('Step 1: Fell cedar').click();
    await page.locator('#record-s1-w1-after').selectOption('burn');
    await page.locator('#record-s1-w1-least').fill('30 days');
    await save(page).click();
    expect(await problems(page)).toContain('Fell cedar and Burn hang on each other in a ring');
    await page.getByText('Step 1: Fell cedar').click();
    await page.locator('#record-s1-w1-after').selectOption('');
    await page.locator('#record-s1-w1-least').fill('');
    await save(page).click();
    await page.getByRole('status').getByRole('link').click();
    expect(await page.getByText('Step 13: Look again, after Burn').count()).toBe(1);
    await context.close();
  });

  test('a window that breaks the plan says which tasks, and goes back to its default', async () => {
    const context = await browser.newContext({ javaScriptEnabled });
    const page = await open(context, '/records/treatments/cedar-felling');
    const published = await page.locator('#record-windows').inputValue();
    await page.locator('#record-windows').fill('07-01 to 07-31');
    await save(page).click();
    expect(await problems(page)).toContain('Fell cedar on');
    await page.getByRole('button', { name: 'Save all the same' }).click();
    await page.getByRole('status').getByRole('link').click();
    expect(await page.locator('.published').first().textContent()).toBe(
      `As published: ${published}`,
    );
    expect(await page.locator('#record-windowSource').inputValue()).toContain('changed here');
    await page.getByRole('link', { name: 'Back to the default' }).click();
    await page.getByRole('button', { name: 'Back to the default' }).click();
    await page.getByRole('heading', { name: 'Treatments' }).waitFor();
    await page.goto(new URL('/records/treatments/cedar-felling', server.url).href);
    expect(await page.locator('#record-windows').inputValue()).toBe(published);
    await context.close();
  });
});
