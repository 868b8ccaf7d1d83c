import { expect, test } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage, sendForm } from '../support/page.ts';

test('a feed of one’s own that somebody changed meanwhile shows both versions, then takes the second yes', async () => {
  const deps = fakeDeps({
    ownFeeds: [{ id: 1, title: 'Cedar', treatmentKeys: [], crewIds: [], unitIds: [] }],
  });
  const app = buildApp(deps);
  const opened = await getPage(app, '/feeds/own/1');
  const stored = opened.root.querySelector('input[name=stored]')?.getAttribute('value') ?? '';
  const [feed] = deps.state.ownFeeds;
  if (!feed) throw new Error('no feed');
  feed.title = 'Theirs';
  const mine = { title: 'Mine', stored: stored.replaceAll('&quot;', '"') };
  const refused = await sendForm(app, '/feeds/own/1', mine);
  expect(refused.status).toBe(409);
  expect(refused.text).toContain('Name: meanwhile somebody saved "Theirs", and you have "Mine"');
  const again = refused.root.querySelector('input[name=stored]')?.getAttribute('value') ?? '';
  const taken = await sendForm(app, '/feeds/own/1', {
    title: 'Mine',
    stored: again.replaceAll('&quot;', '"'),
  });
  expect(taken.status).toBe(303);
});

test('the forecast service that somebody changed meanwhile shows both versions', async () => {
  const deps = fakeDeps();
  const app = buildApp(deps);
  const opened = await getPage(app, '/weather');
  const stored = opened.root.querySelector('input[name=stored]')?.getAttribute('value') ?? '';
  deps.state.forecastService = { ...deps.state.forecastService, contact: 'theirs@example.org' };
  const { address } = deps.state.forecastService;
  const refused = await sendForm(app, '/weather/service', {
    address,
    contact: 'mine@example.org',
    stored: stored.replaceAll('&quot;', '"'),
  });
  expect(refused.status).toBe(409);
  expect(refused.text).toContain('meanwhile somebody saved "theirs@example.org"');
});
