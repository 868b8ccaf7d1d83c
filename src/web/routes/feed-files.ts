import { createHash } from 'node:crypto';
import { gzipSync } from 'node:zlib';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { Deps, FeedAnswer, FeedRequest } from '../deps.ts';
import { baseUrlOf } from '../plugins/security.ts';

type FoundFeed = Extract<FeedAnswer, { kind: 'found' }>;

interface FeedRoute {
  Params: { token: string; file: string };
  Querystring: Record<string, string | string[] | undefined>;
}

/** Last good answers kept in memory, newest use last. */
const keptFeedsMost = 200;

/** Path parts after which a token comes. */
const beforeTokens = ['feed', 'crew', 'new-password'];

/**
 * A request address for logs and error pages, with the token of a feed, of a crew's page or of a link taken out. Everything
 * after a path part that reads `feed`, `crew` or `new-password` is a secret, however it is written.
 */
export function redactFeedUrl(url: string): string {
  const [path = ''] = url.split(/[?#]/, 1);
  const parts = path.split('/');
  const at = parts.findIndex((part) => beforeTokens.includes(decodedPart(part)));
  return at < 0 ? url : `${parts.slice(0, at + 1).join('/')}/[hidden]`;
}

function decodedPart(part: string): string {
  try {
    return decodeURIComponent(part).toLowerCase();
  } catch {
    return part.toLowerCase();
  }
}

/**
 * Calendar feeds: `GET` and `HEAD /feed/:token/:name.ics`. Calendar programs poll these addresses without
 * anybody watching: no cookies, no redirects, never a 5xx (one of them gives a feed up after a single 5xx).
 */
export function registerFeedFiles(app: FastifyInstance, deps: Pick<Deps, 'feeds'>): void {
  const kept = new Map<string, FoundFeed>();
  const url = '/feed/:token/:file';
  app.route<FeedRoute>({
    method: ['GET', 'HEAD'],
    url,
    handler: (request, reply) => {
      const answer = answerFor(request, deps, kept);
      if (answer === 'failed' || answer.kind !== 'found') return sendRefusal(reply, answer);
      return sendFeed(request, reply, answer);
    },
  });
  app.route({
    method: ['POST', 'PUT', 'PATCH', 'DELETE', 'OPTIONS'],
    url,
    // Before the body is read: a calendar program that tries to save an edit sends a type we do not parse.
    onRequest: async (_request, reply) => sendNotAllowed(reply),
    handler: (_request, reply) => sendNotAllowed(reply),
  });
}

/** Today's answer, else the last good one; `failed` when there is none. */
function answerFor(
  request: FastifyRequest<FeedRoute>,
  deps: Pick<Deps, 'feeds'>,
  kept: Map<string, FoundFeed>,
): FeedAnswer | 'failed' {
  const { token, file } = request.params;
  if (!file.endsWith('.ics')) return { kind: 'unknown' };
  const asked: FeedRequest = {
    token,
    baseUrl: baseUrlOf(request),
    userAgent: (request.headers['user-agent'] ?? '').slice(0, 200),
    hasAlarms: request.query['alarms'] === '1',
    hasToDos: request.query['tasks'] === '1',
  };
  const variant = `${asked.hasAlarms} ${asked.hasToDos} ${token}`;
  const keptAs = createHash('sha256').update(variant).digest('hex');
  try {
    const answer = deps.feeds.serve(asked);
    const before = kept.get(keptAs);
    if (answer.kind === 'found' && before?.etag === keptTag(answer)) return answer;
    kept.delete(keptAs);
    if (answer.kind === 'found') {
      const tokenless = withoutSource(answer);
      if (!holds(tokenless.body, token)) kept.set(keptAs, tokenless);
      if (kept.size > keptFeedsMost) kept.delete(kept.keys().next().value ?? '');
    }
    return answer;
  } catch (error) {
    request.log.error({ reason: String(error).replaceAll(token, '[hidden]') }, 'feed not made');
    return kept.get(keptAs) ?? 'failed';
  }
}

/** Kept bodies hold no token: the feed's own address is taken out, and the bytes get a tag of their own. */
function withoutSource(answer: FoundFeed): FoundFeed {
  const text = Buffer.from(answer.body).toString('utf8');
  const body = text.replace(/\r\nSOURCE;VALUE=URI:[^\r\n]*(\r\n [^\r\n]*)*/, '');
  return { ...answer, body: Buffer.from(body), etag: keptTag(answer) };
}

function keptTag(answer: FoundFeed): string {
  return `"${plainTag(answer.etag)}-kept"`;
}

/** Looks through folds: a token may stand on two lines. */
function holds(body: Uint8Array, token: string): boolean {
  return Buffer.from(body).toString('utf8').replaceAll('\r\n ', '').includes(token);
}

function plainTag(etag: string): string {
  return etag.replace(/^W\//, '').replaceAll('"', '');
}

const refusals = {
  unknown: [404, 'There is no calendar at this address. Ask for a new one where you got it.'],
  revoked: [410, 'This calendar address was withdrawn. Ask for a new one where you got it.'],
  // 404 and not 5xx: calendar programs keep the old events and ask again.
  failed: [404, 'This calendar cannot be made just now. It will be back at the same address.'],
} as const;

function sendRefusal(
  reply: FastifyReply,
  answer: Exclude<FeedAnswer, FoundFeed> | 'failed',
): FastifyReply {
  const [status, words] = refusals[answer === 'failed' ? 'failed' : answer.kind];
  return privately(reply)
    .code(status)
    .header('cache-control', 'no-store')
    .type('text/plain; charset=utf-8')
    .send(`${words}\n`);
}

function sendNotAllowed(reply: FastifyReply): FastifyReply {
  return privately(reply)
    .code(405)
    .header('allow', 'GET, HEAD')
    .header('cache-control', 'no-store')
    .type('text/plain; charset=utf-8')
    .send('This calendar can only be read.\n');
}

function privately(reply: FastifyReply): FastifyReply {
  return reply
    .header('x-robots-tag', 'noindex')
    .header('x-content-type-options', 'nosniff')
    .header('referrer-policy', 'no-referrer');
}

function sendFeed(request: FastifyRequest, reply: FastifyReply, answer: FoundFeed): FastifyReply {
  const isGzip = takesGzip(request.headers['accept-encoding']);
  const etag = `"${plainTag(answer.etag)}${isGzip ? '-gzip' : ''}"`;
  // A last change in the future is not allowed (RFC 9110, 8.8.2.1); a civil day may begin before its UTC one.
  const changedAt = Math.min(Date.parse(answer.lastModified), Date.now());
  privately(reply)
    .header('etag', etag)
    .header('last-modified', new Date(changedAt).toUTCString())
    .header('vary', 'Accept-Encoding')
    .header('cache-control', 'private, no-cache');
  if (isUnchanged(request, etag, changedAt)) return reply.code(304).send();
  reply
    .type('text/calendar; charset=utf-8')
    .header(
      'content-disposition',
      `inline; filename="${answer.fileName.replace(/[^\w.-]/g, '-')}"`,
    );
  if (!isGzip) return reply.send(Buffer.from(answer.body));
  return reply.header('content-encoding', 'gzip').send(gzipSync(answer.body, { level: 1 }));
}

/** RFC 9110, 12.5.3: `gzip` or `*` named and not refused by a weight of zero. */
function takesGzip(header: string | string[] | undefined): boolean {
  const codings = String(header ?? '')
    .toLowerCase()
    .split(',')
    .map((part) => part.split(';').map((piece) => piece.trim()));
  const named = codings.find(([name]) => name === 'gzip') ?? codings.find(([name]) => name === '*');
  return named !== undefined && !named.slice(1).some((piece) => /^q=0(\.0*)?$/.test(piece));
}

/** RFC 9110, 13.1.2, 13.1.3 and 13.2.2: If-None-Match by weak comparison; the date only without it. */
function isUnchanged(request: FastifyRequest, etag: string, changedAt: number): boolean {
  const wanted = request.headers['if-none-match'];
  if (wanted !== undefined) {
    const tags = wanted.match(/(?:W\/)?"[^"]*"|\*/g) ?? [];
    return tags.some((tag) => tag === '*' || tag.replace(/^W\//, '') === etag);
  }
  const since = Date.parse(request.headers['if-modified-since'] ?? '');
  return !Number.isNaN(since) && Math.floor(changedAt / 1000) * 1000 <= since;
}
