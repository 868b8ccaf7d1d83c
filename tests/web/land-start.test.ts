import { parse } from 'node-html-parser';
import { expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';

it('the first property is told all that is wrong with it in one pass', async () => {
  const deps = fakeDeps();
  const answer = await buildApp(deps).inject({
    method: 'POST',
    url: '/land/start',
    headers: { host: 'localhost', 'content-type': 'application/x-www-form-urlencoded' },
    payload: new URLSearchParams({
      ...{ landownerName: '', name: 'Ridge', state: 'XQ', county: 'Marl' },
      ...{ timeZone: 'Ozark', latitude: '137', longitude: 'west' },
    }).toString(),
  });
  expect(answer.statusCode).toBe(422);
  const problems = parse(answer.body).querySelectorAll('.problems a');
  expect(new Set(problems.map((link) => link.getAttribute('href')))).toEqual(
    new Set(
      ['landownerName', 'state', 'timeZone', 'latitude', 'longitude'].map((one) => `#start-${one}`),
    ),
  );
  expect(deps.calls).toEqual([]);
});

/** Codes of ANSI INCITS 38:2009 (from memory): 50 states, the District of Columbia, 5 territories. */
it.each([
  ['MO', 303],
  ['pr', 303],
  ['GU', 303],
  ['DC', 303],
  ['XX', 422],
  ['constructor', 422],
])('a property in the state %s answers %i', async (state, status) => {
  const answer = await buildApp(fakeDeps()).inject({
    method: 'POST',
    url: '/land/start',
    headers: { host: 'localhost', 'content-type': 'application/x-www-form-urlencoded' },
    payload: new URLSearchParams({
      ...{ landownerName: 'A', name: 'Ridge', state, county: 'Marl' },
      ...{ timeZone: 'America/Chicago', latitude: '37', longitude: '-92' },
    }).toString(),
  });
  expect(answer.statusCode).toBe(status);
});
