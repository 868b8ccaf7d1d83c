import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { afterEach, describe, expect, it } from 'vitest';
import { fetchForecast, intervalOf } from '../../src/exchange/nws-forecast.ts';

type Answer = (request: IncomingMessage, response: ServerResponse, base: string) => void;

const ends: (() => void)[] = [];
afterEach(() => {
  for (const end of ends.splice(0)) end();
});

/** A server on this machine that answers as told, and keeps what it was asked. */
async function serverOf(answer: Answer) {
  const asked: { path: string; agent: string }[] = [];
  const server = createServer((request, response) => {
    asked.push({ path: request.url ?? '', agent: request.headers['user-agent'] ?? '' });
    answer(request, response, base);
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const base = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
  ends.push(() => {
    server.closeAllConnections();
    server.close();
  });
  return { base, asked };
}

const now = new Date('2026-11-25T12:20:00Z');
const patience = { timeoutMs: 300, tries: 3, waitMs: 5, waitMsMost: 50 };
const place = { latitude: 36.9, longitude: -92.30001 };
const ask = (base: string) =>
  fetchForecast(
    { isOn: true, address: base, contact: 'steward@example.org' },
    place,
    now,
    patience,
  );

const layer = (uom: string, values: [string, number | null][]) => ({
  uom,
  values: values.map(([validTime, value]) => ({ validTime, value })),
});

// Shape of the documents after the published schema of the service (gridpoint, quantitative value layer, ISO 8601
// interval); the values are invented.
const grid = {
  type: 'Feature',
  properties: {
    updateTime: '2026-11-25T11:40:12+00:00',
    temperature: layer('wmoUnit:degC', [
      ['2026-11-25T11:00:00+00:00/PT2H', 4],
      ['2026-11-25T13:00:00+00:00/PT1H', 6.5],
    ]),
    relativeHumidity: layer('wmoUnit:percent', [['2026-11-25T12:00:00+00:00/PT2H', 55]]),
    windSpeed: layer('wmoUnit:km_h-1', [['2026-11-25T12:00:00+00:00/PT2H', 18]]),
    windGust: layer('wmoUnit:km_h-1', [['2026-11-25T12:00:00+00:00/PT1H', 36]]),
    windDirection: layer('wmoUnit:degree_(angle)', [['2026-11-25T12:00:00+00:00/PT2H', 200]]),
    quantitativePrecipitation: layer('wmoUnit:mm', [['2026-11-25T12:00:00+00:00/PT6H', 3]]),
    snowfallAmount: layer('wmoUnit:mm', [['2026-11-25T12:00:00+00:00/PT6H', 0]]),
  },
};

function json(response: ServerResponse, value: unknown): void {
  response.setHeader('content-type', 'application/geo+json').end(JSON.stringify(value));
}

const good: Answer = (request, response, base) => {
  if (request.url?.startsWith('/points/'))
    json(response, { properties: { forecastGridData: `${base}/gridpoints/SGF/70,40` } });
  else json(response, grid);
};

/** Answers badly on the first `times` requests, then well. */
function faulty(times: number, bad: Answer): Answer {
  let count = 0;
  return (request, response, base) => {
    count += 1;
    (count <= times ? bad : good)(request, response, base);
  };
}

const status =
  (code: number, headers: Record<string, string> = {}): Answer =>
  (_request, response) => {
    response.writeHead(code, headers).end('{}');
  };

describe('forecast service', () => {
  it('reads the grid of a place into hours, in our units, from the hour of now on', async () => {
    const { base, asked } = await serverOf(good);
    const outcome = await ask(base);
    if (!outcome.ok) expect.fail(outcome.problems[0]?.message);
    expect(outcome.value.issuedAt).toBe('2026-11-25T11:40:12Z');
    const [first, second, third] = outcome.value.hours;
    expect(first).toEqual({
      at: '2026-11-25T12:00Z',
      temperatureC: 4,
      rhPercent: 55,
      windMs: 5,
      gustMs: 10,
      windFromDegrees: 200,
      rainMm: 0.5,
      snowCm: null,
    });
    expect(second).toMatchObject({ at: '2026-11-25T13:00Z', temperatureC: 6.5, gustMs: null });
    expect(third).toMatchObject({ temperatureC: null, rainMm: 0.5 });
    expect(outcome.value.hours).toHaveLength(6);
    expect(asked.map((one) => one.path)).toEqual(['/points/36.9,-92.3', '/gridpoints/SGF/70,40']);
    for (const { agent } of asked) expect(agent).toContain('steward@example.org');
  });

  it.each<[string, number, Answer]>([
    ['a broken service', 2, status(500)],
    ['a busy service', 1, status(429, { 'retry-after': '0' })],
    [
      'a redirect to itself',
      1,
      (request, response) => response.writeHead(301, { location: `${request.url}?again` }).end(),
    ],
    ['JSON cut off', 1, (_request, response) => response.end('{"properties": {')],
    ['a connection that breaks', 1, (_request, response) => response.destroy()],
    ['an answer that hangs once', 1, () => {}],
  ])('%s is got over', async (_name, times, bad) => {
    const { base } = await serverOf(faulty(times, bad));
    expect((await ask(base)).ok).toBe(true);
  });

  it.each<[string, Answer, string, number]>([
    ['a service that stays broken', status(503), 'status 503', 3],
    ['a place that it does not cover', status(404), 'status 404', 1],
    ['one that stays busy', status(429, { 'retry-after': '3600' }), 'status 429', 3],
    ['one that hangs', () => {}, 'did not answer within 0.3 seconds', 3],
    ['broken JSON', (_request, response) => response.end('<html>'), 'not whole JSON', 3],
    [
      'another document',
      (_request, response) => json(response, { features: [] }),
      '"properties" is missing',
      1,
    ],
    [
      'no address of a grid',
      (_request, response) => json(response, { properties: {} }),
      '"forecastGridData"',
      1,
    ],
    [
      'a grid elsewhere',
      (_request, response) =>
        json(response, { properties: { forecastGridData: 'http://192.0.2.1/x' } }),
      'leads elsewhere',
      1,
    ],
    [
      'a redirect elsewhere',
      status(302, { location: 'http://192.0.2.1/' }),
      'sends on to another address',
      1,
    ],
    [
      'redirects without end',
      (_request, response) => response.writeHead(302, { location: '/x' }).end(),
      'without end',
      4,
    ],
  ])('%s ends in words', async (_name, answer, wordsOf, requests) => {
    const { base, asked } = await serverOf(answer);
    const outcome = await ask(base);
    expect(outcome.ok).toBe(false);
    expect(outcome.ok ? '' : outcome.problems[0]?.message).toContain(wordsOf);
    expect(asked).toHaveLength(requests);
  });

  it.each<[string, unknown]>([
    ['a layer without values', { temperature: { uom: 'wmoUnit:degC' } }],
    [
      'no hour from now on',
      { temperature: layer('wmoUnit:degC', [['2026-11-24T00:00:00+00:00/PT1H', 1]]) },
    ],
    [
      'only units that are not known',
      { temperature: layer('wmoUnit:K', [['2026-11-25T12:00:00+00:00/PT1H', 280]]) },
    ],
  ])('%s is refused', async (_name, properties) => {
    const { base } = await serverOf((request, response, own) =>
      request.url?.startsWith('/points/')
        ? json(response, { properties: { forecastGridData: `${own}/grid` } })
        : json(response, { properties }),
    );
    expect((await ask(base)).ok).toBe(false);
  });

  it('a port where nobody answers is said in words', async () => {
    const outcome = await ask('http://127.0.0.1:9');
    expect(outcome.ok ? '' : outcome.problems[0]?.message).toContain('could not be reached');
  });
});

// ISO 8601 durations of the forms that the service uses.
it.each([
  ['2026-11-25T12:00:00+00:00/PT3H', 3],
  ['2026-11-25T12:00:00+00:00/P1D', 24],
  ['2026-11-25T12:00:00+00:00/P1DT6H', 30],
  ['2026-11-25T06:00:00-06:00/PT1H', 1],
])('%s is an interval', (text, hours) => {
  expect(intervalOf(text)).toEqual({ fromHour: Date.UTC(2026, 10, 25, 12) / 3_600_000, hours });
});
it.each(['2026-11-25T12:00:00+00:00', 'x/PT3H', '2026-11-25T12:00:00+00:00/PT0H'])(
  '%s is none',
  (text) => expect(intervalOf(text)).toBeNull(),
);
