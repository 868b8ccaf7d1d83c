import { expect, it, vi } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';

it('what breaks is in the log under the number that its page shows, and not on the page', async () => {
  let log = '';
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => {
    log += text;
    return true;
  });
  const deps = {
    ...fakeDeps(),
    operation: () => {
      throw new Error('the inside broke');
    },
  };
  const page = await getPage(buildApp(deps, { logger: true }), '/');
  vi.restoreAllMocks();
  expect(page.status).toBe(500);
  expect(page.text).not.toContain('the inside broke');
  const { reqId, err } = JSON.parse(log) as { reqId: string; err: { message: string } };
  expect(err.message).toBe('the inside broke');
  expect(page.text).toContain(`Number of this request, for the log: ${reqId}`);
});
