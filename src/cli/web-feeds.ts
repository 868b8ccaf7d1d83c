import { createHash } from 'node:crypto';
import {
  entriesForScope,
  type FeedScope,
  feedRevisedAt,
  feedScopes,
  findFeedScope,
} from '../core/feed-scopes.ts';
import type { Operation } from '../core/operation.ts';
import { addFeedAddresses, feedEtag, renderFeed, renderReplacedFeed } from '../feeds/ics.ts';
import { wroteIfDiskAllows } from '../storage/write-faults.ts';
import type { Deps, FeedAnswer, FeedLink, FeedRequest } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import type { CurrentSight } from './sight.ts';
import { type PublishedRows, webFeedFiles } from './web-feed-files.ts';

/** A rendered feed, good until the operation, its scope or the day changes. It holds no token. */
interface Rendered {
  madeFrom: string;
  text: string;
  hash: string;
  lastModified: string;
}

/** Rendered feeds that are kept. */
const keptMost = 100;

/** Least time between two notes of who fetched a feed: polls come often, and each note is a write. */
const noteMilliseconds = 60_000;

/** All feeds of an operation; worked out again only when it or the feeds of one's own change. */
function scopesOf(file: OperationFile): () => FeedScope[] {
  let known: { operation: Operation; own: string; scopes: FeedScope[] } | null = null;
  return () => {
    const operation = file.operation();
    const ownFeeds = file.store.ownFeeds.list();
    const own = JSON.stringify(ownFeeds);
    if (known?.operation !== operation || known.own !== own)
      known = { operation, own, scopes: feedScopes(operation, ownFeeds) };
    return known.scopes;
  };
}

/** The published rows as of now, brought in line once a revision and day. */
function rowsOf(file: OperationFile): () => PublishedRows {
  let known: PublishedRows | null = null;
  return () => {
    const revision = file.store.revision();
    const today = file.today();
    if (known?.revision !== revision || known.today !== today) {
      const isInLine = wroteIfDiskAllows(file.publish);
      const now = { revision, today, rows: file.store.published() };
      // On a full disk the feeds show the tasks as they were, and the next poll tries again.
      if (!isInLine) return now;
      known = now;
    }
    return known;
  };
}

/** Renders feeds and keeps them; when one cannot be made, the last good one is given. */
function renderer(rows: () => PublishedRows) {
  const kept = new Map<string, Rendered>();
  const make = (scope: FeedScope, asked: FeedRequest, isCrewPage: boolean, known?: Rendered) => {
    const { revision, today, rows: published } = rows();
    const madeFrom = JSON.stringify([revision, today, scope]);
    if (known?.madeFrom === madeFrom) return known;
    const lastModified = feedRevisedAt(published, scope, today);
    const text = renderFeed(scope, entriesForScope(published, scope, today), {
      baseUrl: asked.baseUrl,
      sourceUrl: null,
      revisedAt: lastModified,
      hasAlarms: asked.hasAlarms,
      hasToDos: asked.hasToDos,
      leadsToCrewPages: isCrewPage,
    });
    return { madeFrom, text, hash: createHash('sha256').update(text).digest('hex'), lastModified };
  };
  return (scope: FeedScope, asked: FeedRequest, isCrewPage: boolean): Rendered => {
    const { hasAlarms, hasToDos, baseUrl } = asked;
    const key = JSON.stringify([scope.kind, scope.id, hasAlarms, hasToDos, isCrewPage, baseUrl]);
    const known = kept.get(key);
    try {
      const rendered = make(scope, asked, isCrewPage, known);
      kept.delete(key);
      kept.set(key, rendered);
      if (kept.size > keptMost) kept.delete(kept.keys().next().value ?? '');
      return rendered;
    } catch (error) {
      if (!known) throw error;
      process.stderr.write(`A feed could not be made, the last good one is sent: ${error}\n`);
      return known;
    }
  };
}

function addressOf(link: FeedLink, asked: FeedRequest): string {
  const variant = [asked.hasAlarms ? 'alarms=1' : '', asked.hasToDos ? 'tasks=1' : ''];
  const query = variant.filter((part) => part !== '').join('&');
  return `${asked.baseUrl}/feed/${asked.token}/${link.name}.ics${query === '' ? '' : `?${query}`}`;
}

/** An address that leads to reports, and only a crew's: other feeds show tasks of several crews. */
function isForReports(link: FeedLink, scope: FeedScope): boolean {
  return link.mayReport && scope.kind === 'crew';
}

function replacedFeed(scope: FeedScope, link: FeedLink, replacedAt: string): FeedAnswer {
  const body = new TextEncoder().encode(renderReplacedFeed(scope, replacedAt));
  const fileName = `${link.name}.ics`;
  return { kind: 'found', fileName, body, etag: feedEtag(body), lastModified: replacedAt };
}

/** Feed addresses, and what is behind a token. Kept texts hold no token: addresses are put in when they are sent. */
export function webFeeds(file: OperationFile, sight: CurrentSight): Deps['feeds'] {
  const { feeds, ownFeeds } = file.store;
  const scopes = scopesOf(file);
  const rows = rowsOf(file);
  const render = renderer(rows);
  const notedAt = new Map<string, number>();
  const note = (link: FeedLink, userAgent: string) => {
    const key = `${link.id} ${userAgent}`;
    const now = Date.now();
    if (now - (notedAt.get(key) ?? 0) < noteMilliseconds) return;
    if (notedAt.size > 1000) notedAt.clear();
    notedAt.set(key, now);
    wroteIfDiskAllows(() => feeds.touch(link.id, userAgent, new Date(now).toISOString()));
  };
  return {
    list: feeds.list,
    scopes,
    create: (name, label, mayReport) => {
      const scope = findFeedScope(scopes(), name);
      if (scope)
        return { ok: true, value: feeds.create(name, label, mayReport && scope.kind === 'crew') };
      const message = `There is no feed named ${name}: pick one from the list.`;
      return { ok: false, problems: [{ code: 'feed-unknown', field: 'name', message }] };
    },
    rotate: feeds.rotate,
    revoke: feeds.revoke,
    own: ownFeeds,
    serve: (asked) => {
      const found = feeds.findByToken(asked.token);
      if (found === null) return { kind: 'unknown' };
      if (found === 'revoked') return { kind: 'revoked' };
      const link = 'replaced' in found ? found.replaced : found.link;
      const scope = findFeedScope(scopes(), link.name);
      if (!scope) return { kind: 'revoked' };
      if ('replaced' in found) return replacedFeed(scope, link, found.at);
      const isCrewPage = isForReports(link, scope);
      const { text, hash, lastModified } = render(scope, asked, isCrewPage);
      note(link, asked.userAgent);
      const source = addressOf(link, asked);
      const crewTasks = isCrewPage ? `${asked.baseUrl}/crew/${asked.token}/tasks` : null;
      const body = new TextEncoder().encode(addFeedAddresses(text, source, crewTasks));
      // The bytes hang on the rendered text and the address alone.
      const etag = feedEtag(`${hash} ${source}`);
      return { kind: 'found', fileName: `${link.name}.ics`, body, etag, lastModified };
    },
    crew: (token) => {
      const found = feeds.findByToken(token);
      if (found === null) return { kind: 'unknown' };
      if (found === 'revoked' || 'replaced' in found) return { kind: 'revoked' };
      const scope = findFeedScope(scopes(), found.link.name);
      if (!scope || !isForReports(found.link, scope)) return { kind: 'unknown' };
      const { rows: published, today } = rows();
      return {
        kind: 'found',
        crewId: scope.id,
        tasks: entriesForScope(published, scope, today),
      };
    },
    ...webFeedFiles(file, rows, sight),
  };
}
