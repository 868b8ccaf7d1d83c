import { createHash } from 'node:crypto';
import { isoDate } from '../core/dates.ts';
import type { FeedScope, PublishedTask } from '../core/publication.ts';
import { cleanLine, escapeText, foldLine } from './content-lines.ts';
import { eventLines, type FeedEvent } from './event-lines.ts';

export interface FeedOptions {
  /** Address of the server, `https://host`, for links to task pages; null = none. */
  baseUrl: string | null;
  /** The feed's own address. It holds the token: only for a feed that is served, never for a downloaded file. */
  sourceUrl: string | null;
  /** Newest change of the feed, UTC (`feedRevisedAt`): stamp of the permanent entry. */
  revisedAt: string;
}

/** Least time between two fetches that we suggest; RFC 5545 duration. */
const refreshInterval = 'PT1H';

/** CSS3 names (RFC 7986, 5.9) with the same colour as hex for the programs that read only that. */
const scopeColours = {
  property: { name: 'darkolivegreen', hex: '#556B2F' },
  crew: { name: 'saddlebrown', hex: '#8B4513' },
} as const;

/** Day of the permanent entry; any day would do, but never another one. */
const aboutDay = { startsOn: isoDate('2026-01-01'), endsBefore: isoDate('2026-01-02') };
const aboutCreatedAt = '2026-01-01T00:00:00Z';

/**
 * A whole feed (RFC 5545, 7986, 9253): the same rows and options give the same bytes, in any time zone of the
 * process. Never empty: one entry tells what the feed is, because some programs keep old events when a calendar
 * comes without any. Throws RangeError on a row that cannot be right.
 */
export function renderFeed(
  scope: FeedScope,
  published: readonly PublishedTask[],
  options: FeedOptions,
): string {
  const relations = relationLines(published);
  const events = [
    event(aboutEvent(scope, options.revisedAt), []),
    ...published.map((row) =>
      event(taskEvent(row), [
        ...placeLines(row),
        ...linkLines(row, options.baseUrl),
        ...(relations.get(row.taskKey) ?? []),
      ]),
    ),
  ];
  const lines = ['BEGIN:VCALENDAR', ...headerLines(scope), ...events.flat(), 'END:VCALENDAR'];
  const text = lines.map(foldLine).join('');
  return options.sourceUrl === null ? text : addFeedSource(text, options.sourceUrl);
}

/**
 * A rendered feed with its own address put in, for the moment it is sent: texts that are kept or downloaded
 * hold no token.
 */
export function addFeedSource(text: string, sourceUrl: string): string {
  const source = foldLine(`SOURCE;VALUE=URI:${webAddress(sourceUrl, undefined)}`);
  return text.replace('\r\nBEGIN:VEVENT\r\n', (start) => `\r\n${source}${start.slice(2)}`);
}

/** Strong entity tag of a feed's bytes, with its quotes. */
export function feedEtag(bytes: Uint8Array | string): string {
  return `"${createHash('sha256').update(bytes).digest('hex').slice(0, 32)}"`;
}

function event(about: FeedEvent, ownLines: string[]): string[] {
  return ['BEGIN:VEVENT', ...eventLines(about), ...ownLines, 'END:VEVENT'];
}

function headerLines(scope: FeedScope): string[] {
  const name = escapeText(cleanLine(scope.title));
  const description = escapeText(cleanLine(scope.description));
  const colour = scopeColours[scope.kind];
  return [
    'VERSION:2.0',
    'PRODID:-//Seasonwright//Seasonwright//EN',
    'CALSCALE:GREGORIAN',
    `NAME:${name}`,
    `X-WR-CALNAME:${name}`,
    `DESCRIPTION:${description}`,
    `X-WR-CALDESC:${description}`,
    `REFRESH-INTERVAL;VALUE=DURATION:${refreshInterval}`,
    `X-PUBLISHED-TTL:${refreshInterval}`,
    `COLOR:${colour.name}`,
    `X-APPLE-CALENDAR-COLOR:${colour.hex}`,
  ];
}

/** An http(s) address as a URI value: no TEXT escapes, everything else percent-encoded by the URL parser. */
function webAddress(path: string, base: string | undefined): string {
  const url = new URL(path, base);
  if (url.protocol !== 'https:' && url.protocol !== 'http:')
    throw new RangeError('feed: an address must start with http:// or https://');
  return url.href;
}

/** Opaque and the same for life: a name-based UUID (RFC 9562, version 8) of the feed's kind and id. */
function aboutUid(scope: FeedScope): string {
  const hex = createHash('sha256').update(`about ${scope.kind} ${scope.id}`).digest('hex');
  const parts = [
    hex.slice(0, 8),
    hex.slice(8, 12),
    `8${hex.slice(13, 16)}`,
    `8${hex.slice(17, 20)}`,
  ];
  return [...parts, hex.slice(20, 32)].join('-');
}

function aboutEvent(scope: FeedScope, revisedAt: string): FeedEvent {
  return {
    uid: aboutUid(scope),
    sequence: 0,
    revisedAt,
    createdAt: aboutCreatedAt,
    ...aboutDay,
    status: 'confirmed',
    isFreeTime: true,
    summary: `About this feed: ${scope.title}`,
    description: [
      scope.description,
      'This entry is always here, also when no work is planned.',
      'TENTATIVE before a name means that the dates are a plan; CANCELLED means that the work is off.',
      'A burn is shown as the span in which it may be lit when fit. This calendar can be hours late: the call comes by phone or text.',
    ],
    location: null,
    categories: [],
  };
}

function isCancelled(row: PublishedTask): boolean {
  return row.cancelledAt !== null || row.entry.status === 'cancelled';
}

/** The prefix is the only sign of the status that every calendar program shows. */
function taskEvent(row: PublishedTask): FeedEvent {
  const { entry } = row;
  const status = isCancelled(row) ? 'cancelled' : entry.status;
  const prefix = { cancelled: 'CANCELLED: ', tentative: 'TENTATIVE: ', confirmed: '' }[status];
  const hasLeftPlan = row.cancelledAt !== null && entry.status !== 'cancelled';
  return {
    uid: row.uid,
    sequence: row.sequence,
    revisedAt: row.revisedAt,
    createdAt: row.createdAt,
    startsOn: entry.startsOn,
    endsBefore: entry.endsBefore,
    status,
    isFreeTime: entry.isFreeTime,
    summary: `${prefix}${entry.summary}`,
    description: [
      ...(hasLeftPlan ? ['Cancelled: no longer in the plan in force.'] : []),
      ...entry.description,
    ],
    location: entry.place?.words ?? null,
    categories: entry.categories,
  };
}

/** GEO: latitude, then longitude, at most 6 decimals and never an exponent (RFC 5545, 3.8.1.6). */
function placeLines({ entry }: PublishedTask): string[] {
  if (!entry.place) return [];
  const { latitude, longitude } = entry.place;
  const isOnEarth = Math.abs(latitude) <= 90 && Math.abs(longitude) <= 180;
  return isOnEarth ? [`GEO:${latitude.toFixed(6)};${longitude.toFixed(6)}`] : [];
}

function linkLines({ entry }: PublishedTask, baseUrl: string | null): string[] {
  return baseUrl === null ? [] : [`URL;VALUE=URI:${webAddress(entry.path, baseUrl)}`];
}

/**
 * RFC 9253: FINISHTOSTART stands in the predecessor and names the successor (section 4); the successor may name
 * the predecessor with DEPENDS-ON (section 5). Only ends that this feed shows and that are still on. GAP counts
 * from DTEND, which is the day after the last one, so it is a day less than the lag; lag 1 needs no GAP, and
 * for lag 0 (same day) only DEPENDS-ON holds.
 */
function relationLines(published: readonly PublishedTask[]): Map<string, string[]> {
  const shown = published.filter((row) => !isCancelled(row));
  const uids = new Map(shown.map((row) => [row.taskKey, row.uid]));
  const lines = new Map(shown.map((row) => [row.taskKey, [] as string[]]));
  for (const row of shown)
    for (const { taskKey, lagDaysLeast } of row.entry.followedBy) {
      const uid = uids.get(taskKey);
      if (!uid || taskKey === row.taskKey) continue;
      const gap = lagDaysLeast > 1 ? `;GAP=P${lagDaysLeast - 1}D` : '';
      if (lagDaysLeast >= 1)
        lines.get(row.taskKey)?.push(`RELATED-TO;RELTYPE=FINISHTOSTART${gap}:${uid}`);
      lines.get(taskKey)?.push(`RELATED-TO;RELTYPE=DEPENDS-ON:${row.uid}`);
    }
  return lines;
}
