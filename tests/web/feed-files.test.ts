import { gunzipSync } from 'node:zlib';
import fastify, { type FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { FeedAnswer, FeedRequest } from '../../src/web/deps.ts';
import { redactFeedUrl, registerFeedFiles } from '../../src/web/routes/feed-files.ts';
import { fakeDeps } from '../support/fake-deps.ts';

const token = 'tok_0123456789abcdefghijklmnopqrstuv';
const url = `/feed/${token}/fernhill-ridge-p1.ics`;
const text = [
  'BEGIN:VCALENDAR',
  'NAME:Fernhill Ridge é',
  `SOURCE;VALUE=URI:https://land.example/feed/${token}`,
  ' /fernhill-ridge-p1.ics',
  'BEGIN:VEVENT',
  'END:VEVENT',
  'END:VCALENDAR',
  '',
].join('\r\n');
const found: FeedAnswer = {
  kind: 'found',
  fileName: 'fernhill-ridge-p1.ics',
  body: new TextEncoder().encode(text),
  etag: '"abc"',
  lastModified: '2026-10-26T14:10:00Z',
};
const lastModified = 'Mon, 26 Oct 2026 14:10:00 GMT';

let app: FastifyInstance;
let log: string[];
/** What the store answers next; an error is thrown. */
let answer: FeedAnswer | Error;
let served: FeedRequest[];

beforeEach(() => {
  log = [];
  served = [];
  answer = found;
  app = fastify({
    logger: {
      level: 'info',
      stream: { write: (entry: string) => log.push(entry) },
      serializers: { req: (request) => ({ url: redactFeedUrl(request.url) }) },
    },
  });
  const { feeds } = fakeDeps();
  registerFeedFiles(app, {
    feeds: {
      ...feeds,
      serve: (asked) => {
        served.push(asked);
        if (answer instanceof Error) throw answer;
        return asked.token === token ? answer : { kind: 'unknown' };
      },
    },
  });
});

afterEach(() => app.close());

const get = (headers: Record<string, string> = {}, address = url) =>
  app.inject({ method: 'GET', url: address, headers });

describe('a feed', () => {
  it('comes with every header that calendar programs and caches need', async () => {
    const reply = await get({ host: 'land.example', 'user-agent': 'ExampleCalendar/3.1' });
    expect(reply.statusCode).toBe(200);
    expect(reply.body).toBe(text);
    expect(reply.headers).toMatchObject({
      'content-type': 'text/calendar; charset=utf-8',
      'content-disposition': 'inline; filename="fernhill-ridge-p1.ics"',
      'content-length': String(Buffer.byteLength(text)),
      etag: '"abc"',
      'last-modified': lastModified,
      vary: 'Accept-Encoding',
      'cache-control': 'private, no-cache',
      'x-robots-tag': 'noindex',
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
    });
    expect(reply.headers['set-cookie']).toBeUndefined();
    expect(served).toEqual([
      {
        token,
        baseUrl: 'http://land.example',
        userAgent: 'ExampleCalendar/3.1',
        hasAlarms: false,
        hasToDos: false,
      },
    ]);
  });

  it('answers HEAD with the same headers and no body', async () => {
    const [head, body] = [await app.inject({ method: 'HEAD', url }), await get()];
    expect(head.statusCode).toBe(200);
    expect(head.body).toBe('');
    for (const name of ['content-type', 'content-length', 'etag', 'last-modified', 'cache-control'])
      expect(head.headers[name], name).toBe(body.headers[name]);
  });

  it.each([
    ['gzip, br, zstd', true],
    ['GZIP', true],
    ['br;q=1.0, gzip;q=0.8', true],
    ['*', true],
    ['gzip;q=0, *', false],
    ['gzip;q=0.000', false],
    ['identity', false],
    ['', false],
  ])('accept-encoding "%s"', async (accepted, isGzip) => {
    const reply = await get({ 'accept-encoding': accepted });
    expect(reply.headers['content-encoding']).toBe(isGzip ? 'gzip' : undefined);
    expect(reply.headers.etag).toBe(isGzip ? '"abc-gzip"' : '"abc"');
    expect(reply.headers.vary).toBe('Accept-Encoding');
    const body = isGzip ? gunzipSync(reply.rawPayload) : reply.rawPayload;
    expect(body.toString('utf8')).toBe(text);
  });

  it('never dates its last change in the future', async () => {
    answer = { ...found, lastModified: '2999-01-01T00:00:00Z' };
    const reply = await get();
    expect(Date.parse(String(reply.headers['last-modified']))).toBeLessThanOrEqual(Date.now());
  });

  it('keeps odd file names out of the headers', async () => {
    answer = { ...found, fileName: 'a"; x=y\r\nb.ics' };
    const reply = await get();
    expect(reply.headers['content-disposition']).toBe('inline; filename="a---x-y--b.ics"');
  });
});

describe('unchanged, RFC 9110 13.1', () => {
  it.each<[string, Record<string, string>, number]>([
    ['same tag', { 'if-none-match': '"abc"' }, 304],
    ['weak tag', { 'if-none-match': 'W/"abc"' }, 304],
    ['list', { 'if-none-match': '"x", W/"abc"' }, 304],
    ['comma inside a tag', { 'if-none-match': '"x,y", "abc"' }, 304],
    ['any', { 'if-none-match': '*' }, 304],
    ['other tag', { 'if-none-match': '"abd"' }, 200],
    ['tag of the other coding', { 'if-none-match': '"abc-gzip"' }, 200],
    ['gzip tag for gzip', { 'if-none-match': '"abc-gzip"', 'accept-encoding': 'gzip' }, 304],
    ['plain tag for gzip', { 'if-none-match': '"abc"', 'accept-encoding': 'gzip' }, 200],
    ['same date', { 'if-modified-since': lastModified }, 304],
    ['later date', { 'if-modified-since': 'Tue, 27 Oct 2026 00:00:00 GMT' }, 304],
    ['earlier date', { 'if-modified-since': 'Mon, 26 Oct 2026 14:09:59 GMT' }, 200],
    ['no date', { 'if-modified-since': 'yesterday' }, 200],
    [
      'wrong tag beats the date',
      { 'if-none-match': '"x"', 'if-modified-since': lastModified },
      200,
    ],
    ['empty tag beats the date', { 'if-none-match': '', 'if-modified-since': lastModified }, 200],
  ])('%s', async (_name, headers, status) => {
    const reply = await get(headers);
    expect(reply.statusCode).toBe(status);
    if (status !== 304) return;
    expect(reply.body).toBe('');
    expect(reply.headers).toMatchObject({
      etag: headers['accept-encoding'] ? '"abc-gzip"' : '"abc"',
      'last-modified': lastModified,
      vary: 'Accept-Encoding',
      'cache-control': 'private, no-cache',
    });
    expect(reply.headers['content-type']).toBeUndefined();
  });
});

describe('refusals', () => {
  it.each<[string, FeedAnswer, string, number]>([
    ['unknown token', found, '/feed/other/fernhill-ridge-p1.ics', 404],
    ['not a calendar file', found, `/feed/${token}/index.html`, 404],
    ['revoked', { kind: 'revoked' }, url, 410],
  ])('%s', async (_name, next, address, status) => {
    answer = next;
    const reply = await get({}, address);
    expect(reply.statusCode).toBe(status);
    expect(reply.headers['content-type']).toBe('text/plain; charset=utf-8');
    expect(reply.headers['cache-control']).toBe('no-store');
    expect(reply.headers['x-robots-tag']).toBe('noindex');
    expect(reply.headers.etag).toBeUndefined();
    expect(reply.body).toMatch(/address/);
    expect(reply.body).not.toMatch(/BEGIN:V|tok_/);
  });

  it.each(['PUT', 'POST', 'DELETE', 'PATCH', 'OPTIONS'] as const)('%s', async (method) => {
    const sent = method === 'OPTIONS' ? {} : { payload: text };
    const headers = { 'content-type': 'text/calendar' };
    const reply = await app.inject({ method, url, headers, ...sent });
    expect(reply.statusCode).toBe(405);
    expect(reply.headers['allow']).toBe('GET, HEAD');
    expect(served).toEqual([]);
  });
});

describe('when a feed cannot be made', () => {
  const broken = new Error(`no such table, for ${token}`);

  it('the last good one is served, without its address, under a tag of its own', async () => {
    await get();
    answer = broken;
    const reply = await get();
    expect(reply.statusCode).toBe(200);
    expect(reply.body).toBe(
      'BEGIN:VCALENDAR\r\nNAME:Fernhill Ridge é\r\nBEGIN:VEVENT\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n',
    );
    expect(reply.headers.etag).toBe('"abc-kept"');
    expect((await get({ 'if-none-match': '"abc-kept"' })).statusCode).toBe(304);
    answer = found;
    expect((await get()).body).toBe(text);
  });

  it('a revoked one is not served from memory', async () => {
    await get();
    answer = { kind: 'revoked' };
    expect((await get()).statusCode).toBe(410);
    answer = broken;
    expect((await get()).statusCode).toBe(404);
  });

  it('without one it says so, and not as a 5xx, which stops one program for good', async () => {
    answer = broken;
    const reply = await get();
    expect(reply.statusCode).toBe(404);
    expect(reply.headers['cache-control']).toBe('no-store');
    expect(reply.body).not.toContain('table');
    expect(log.join('')).toContain('no such table');
  });
});

describe('the token', () => {
  it('is in no line of the log', async () => {
    await get();
    answer = new Error(`broken at ${token}`);
    await get();
    await app.inject({ method: 'PUT', url });
    expect(log.length).toBeGreaterThan(3);
    expect(log.join('')).not.toContain(token);
  });

  it.each([
    ['/feed/secret/north.ics', '/feed/[hidden]'],
    ['/feed/secret/north.ics?tasks=1#x', '/feed/[hidden]'],
    ['//feed/secret', '//feed/[hidden]'],
    ['/%66eed/secret/north.ics', '/%66eed/[hidden]'],
    ['/FEED/secret/%zz', '/FEED/[hidden]'],
    ['https://land.example/feed/secret/x.ics', 'https://land.example/feed/[hidden]'],
    ['/crew/secret/tasks/1', '/crew/[hidden]'],
    ['/crew-days', '/crew-days'],
    ['/feeds?show=feed', '/feeds?show=feed'],
    ['/units/12', '/units/12'],
  ])('redacted: %s', (address, shown) => {
    expect(redactFeedUrl(address)).toBe(shown);
  });
});
