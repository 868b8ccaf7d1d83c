import { expect, test } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';

test('what watches the server reads that the database answers, and nothing else', async () => {
  const app = buildApp(fakeDeps());
  const well = await app.inject('/health');
  expect(well).toMatchObject({ statusCode: 200, body: 'ok\n' });
  expect(well.headers['cache-control']).toBe('no-store');
});

test('a database that does not answer is said with 503, its cause only in the log', async () => {
  const deps = fakeDeps();
  deps.health.ask = () => {
    throw new Error('disk I/O error in /secret/place');
  };
  const ill = await buildApp(deps).inject('/health');
  expect(ill).toMatchObject({ statusCode: 503, body: 'the database does not answer\n' });
});

test('the page counts what needs doing and names it', async () => {
  const deps = fakeDeps({
    findings: [
      { key: 'backup', found: 'No backup.', todo: 'Make one with the verb backup.' },
      { key: 'disk', found: 'Free disk: 9000 MiB.' },
    ],
  });
  const page = await getPage(buildApp(deps), '/this-server');
  expect(page.text).toContain('One thing needs doing.');
  expect(page.text).toContain('Make one with the verb backup.');
  expect(page.text).toContain('130 MiB');
  const well = await getPage(buildApp(fakeDeps()), '/this-server');
  expect(well.text).toContain('Nothing needs doing.');
});
