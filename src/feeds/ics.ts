import { createHash } from 'node:crypto';
import { addDays, isoDate } from '../core/dates.ts';
import type { FeedKind, FeedScope } from '../core/feed-scopes.ts';
import type { PublishedTask } from '../core/publication.ts';
import { cleanLine, escapeText, foldLine } from './content-lines.ts';
import { eventLines, type FeedEvent } from './event-lines.ts';

export interface FeedOptions {
  /** Address of the server, `https://host`, for links to task pages; null = none. */
  baseUrl: string | null;
  /** The feed's own address. It holds the token: only for a feed that is served, never for a downloaded file. */
  sourceUrl: string | null;
  /** Newest change of the feed, UTC (`feedRevisedAt`): stamp of the permanent entry. */
  revisedAt: string;
  /** Reminders, which most readers do not want from a calendar of others. */
  hasAlarms?: boolean;
  /** To-dos beside the entries, for the few programs that show them. */
  hasToDos?: boolean;
  /** Entries lead to the crew's own pages: a mark is put in that `addFeedAddresses` replaces. */
  leadsToCrewPages?: boolean;
}

/** Least time between two fetches that we suggest; RFC 5545 duration. */
const refreshInterval = 'PT1H';

/** CSS3 names (RFC 7986, 5.9) with the same colour as hex for the programs that read only that. */
const scopeColours: Record<FeedKind, { name: string; hex: string }> = {
  property: { name: 'darkolivegreen', hex: '#556B2F' },
  crew: { name: 'saddlebrown', hex: '#8B4513' },
  unit: { name: 'darkolivegreen', hex: '#556B2F' },
  landowner: { name: 'darkolivegreen', hex: '#556B2F' },
  outlook: { name: 'firebrick', hex: '#B22222' },
  notices: { name: 'dimgray', hex: '#696969' },
  'no-work': { name: 'dimgray', hex: '#696969' },
  own: { name: 'darkslategray', hex: '#2F4F4F' },
};

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
  const about = aboutEvent(scope, options.revisedAt);
  const text = calendarText(scope, options.baseUrl, [
    ...event(about, []),
    ...taskComponents(published, options),
  ]);
  return options.sourceUrl === null ? text : addFeedAddresses(text, options.sourceUrl, null);
}

/** What a replaced address gives for 30 days: one entry, so that old work leaves the calendars that read it. */
export function renderReplacedFeed(scope: FeedScope, replacedAt: string): string {
  const about: FeedEvent = {
    ...aboutEvent(scope, replacedAt),
    summary: 'This link was replaced',
    description: [
      `The address of ${scope.title} was replaced. Ask for the new one where you got this one, and take this calendar out.`,
      'Work is not shown here any more. The call for a burn comes by phone or text.',
    ],
  };
  return calendarText(scope, null, event(about, []));
}

/** A file to import once: the given entries, without an address of a feed and without the permanent entry. */
export function renderOnce(
  title: string,
  published: readonly PublishedTask[],
  baseUrl: string | null,
): string {
  const about = { title, description: 'A copy made once: later changes do not reach it.' };
  const options = { baseUrl, sourceUrl: null, revisedAt: aboutCreatedAt };
  return calendarText({ ...about, kind: 'property' }, baseUrl, taskComponents(published, options));
}

function taskComponents(published: readonly PublishedTask[], options: FeedOptions): string[] {
  const relations = relationLines(published);
  return published.flatMap((row) => {
    const about = taskEvent(row, options);
    const ownLines = [
      ...placeLines(row),
      ...linkLines(row, options),
      ...(relations.get(row.taskKey) ?? []),
      ...(options.hasAlarms ? alarmLines(row) : []),
    ];
    return [
      ...event(about, ownLines, leadsToCrewPage(row, options) ? crewPageMark(row.uid) : ''),
      ...(options.hasToDos ? toDoLines(about, row) : []),
    ];
  });
}

function calendarText(
  scope: Pick<FeedScope, 'title' | 'description' | 'kind'>,
  baseUrl: string | null,
  components: readonly string[],
): string {
  return ['BEGIN:VCALENDAR', ...headerLines(scope, baseUrl), ...components, 'END:VCALENDAR']
    .map(foldMarked)
    .join('');
}

/**
 * Stands where the address of a crew's task page goes: alone on a continuation line, so that it can be found.
 * NUL before it tells `foldMarked` so; no typed text holds one.
 */
const crewPageMark = (uid: string) => `\0crew-task:${uid}`;

function foldMarked(line: string): string {
  const [start = '', mark] = line.split('\0');
  return mark === undefined ? foldLine(start) : `${foldLine(start)} ${mark}\r\n`;
}

const crewPageMarks = /\r\n crew-task:([0-9a-f-]{1,60})\r\n/g;

/**
 * A rendered feed with its own address put in, for the moment it is sent, and with the addresses of the crew's
 * task pages (`crewTasksUrl` and the task's uid): texts that are kept or downloaded hold no token.
 */
export function addFeedAddresses(
  text: string,
  sourceUrl: string,
  crewTasksUrl: string | null,
): string {
  const source = foldLine(`SOURCE;VALUE=URI:${webAddress(sourceUrl, undefined)}`);
  const own = text.replace('\r\nBEGIN:VEVENT\r\n', (start) => `\r\n${source}${start.slice(2)}`);
  if (crewTasksUrl === null) return own;
  const base = webAddress(crewTasksUrl, undefined);
  return own.replace(crewPageMarks, (_mark, uid: string) => {
    const pieces = `${base}/${uid}`.match(/.{1,74}/g) ?? [];
    return `${pieces.map((piece) => `\r\n ${piece}`).join('')}\r\n`;
  });
}

/** Strong entity tag of a feed's bytes, with its quotes. */
export function feedEtag(bytes: Uint8Array | string): string {
  return `"${createHash('sha256').update(bytes).digest('hex').slice(0, 32)}"`;
}

function event(about: FeedEvent, ownLines: readonly string[], descriptionEnd = ''): string[] {
  const lines = eventLines(about).map((line) =>
    line.startsWith('DESCRIPTION:') ? `${line}${descriptionEnd}` : line,
  );
  return ['BEGIN:VEVENT', ...lines, ...ownLines, 'END:VEVENT'];
}

function headerLines(
  scope: Pick<FeedScope, 'title' | 'description' | 'kind'>,
  baseUrl: string | null,
): string[] {
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
    ...(baseUrl === null ? [] : [`URL;VALUE=URI:${webAddress('/feeds', baseUrl)}`]),
  ];
}

/** An http(s) address as a URI value: no TEXT escapes, everything else percent-encoded by the URL parser. */
function webAddress(path: string, base: string | undefined): string {
  const url = new URL(path, base);
  if (url.protocol !== 'https:' && url.protocol !== 'http:')
    throw new RangeError('feed: an address must start with http:// or https://');
  return url.href;
}

/** Opaque and the same for life: a name-based UUID (RFC 9562, version 8). */
function namedUid(name: string): string {
  const hex = createHash('sha256').update(name).digest('hex');
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
    uid: namedUid(`about ${scope.kind} ${scope.id}`),
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
function taskEvent(row: PublishedTask, options: FeedOptions): FeedEvent {
  const { entry } = row;
  const status = isCancelled(row) ? 'cancelled' : entry.status;
  const prefix = { cancelled: 'CANCELLED: ', tentative: 'TENTATIVE: ', confirmed: '' }[status];
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
      ...statusWords(row, status),
      ...entry.description,
      ...placeWords(row),
      ...linkWords(row, options),
    ],
    location: entry.place?.words ?? null,
    categories: entry.categories,
  };
}

function statusWords(row: PublishedTask, status: FeedEvent['status']): string[] {
  if (status === 'tentative') return ['Tentative: the dates are a plan.'];
  if (status === 'confirmed') return [];
  const hasLeftPlan = row.cancelledAt !== null && row.entry.status !== 'cancelled';
  return [hasLeftPlan ? 'Cancelled: no longer in the plan in force.' : 'Cancelled.'];
}

function isOnEarth(place: { latitude: number; longitude: number }): boolean {
  return Math.abs(place.latitude) <= 90 && Math.abs(place.longitude) <= 180;
}

/** A `geo:` address (RFC 5870) opens the map program of a phone, whichever it is. */
function placeWords({ entry }: PublishedTask): string[] {
  if (!entry.place || !isOnEarth(entry.place)) return [];
  const { latitude, longitude } = entry.place;
  return [`Map: geo:${latitude.toFixed(6)},${longitude.toFixed(6)}`];
}

function leadsToCrewPage({ entry }: PublishedTask, options: FeedOptions): boolean {
  return options.leadsToCrewPages === true && entry.kind === 'task';
}

/** The address again in words: some programs do not show URL. */
function linkWords(row: PublishedTask, options: FeedOptions): string[] {
  if (leadsToCrewPage(row, options)) return ['Mark done, partly done or not possible: '];
  return options.baseUrl === null ? [] : [`Page: ${webAddress(row.entry.path, options.baseUrl)}`];
}

/** GEO: latitude, then longitude, at most 6 decimals and never an exponent (RFC 5545, 3.8.1.6). */
function placeLines({ entry }: PublishedTask): string[] {
  if (!entry.place || !isOnEarth(entry.place)) return [];
  const { latitude, longitude } = entry.place;
  return [`GEO:${latitude.toFixed(6)};${longitude.toFixed(6)}`];
}

/** The page of the task, and the job that the steps of one place and cycle have in common (RFC 9253, section 8.3). */
function linkLines(row: PublishedTask, options: FeedOptions): string[] {
  const job = jobOf(row);
  const refid = job === null ? [] : [`REFID:${namedUid(`job ${job}`)}`];
  if (leadsToCrewPage(row, options)) return [`URL;VALUE=URI:${crewPageMark(row.uid)}`, ...refid];
  if (options.baseUrl === null) return refid;
  const page = webAddress(row.entry.path, options.baseUrl);
  return [`URL;VALUE=URI:${page}`, ...refid];
}

/** Place, sequence and cycle of a task key. */
function jobOf({ taskKey, entry }: PublishedTask): string | null {
  if (entry.kind !== 'task') return null;
  const [place, sequence, , cycle] = taskKey.split('/');
  return [place, sequence, cycle].join('/');
}

/** Hours before midnight of the first day: 9 in the morning a week before a deadline, else the day before. */
function alarmLines(row: PublishedTask): string[] {
  if (isCancelled(row) || row.entry.progress !== 'to-do') return [];
  const trigger = row.entry.kind === 'deadline' ? '-P6DT15H' : '-PT15H';
  return [
    'BEGIN:VALARM',
    'ACTION:DISPLAY',
    `DESCRIPTION:${escapeText(cleanLine(row.entry.summary))}`,
    `TRIGGER:${trigger}`,
    'END:VALARM',
  ];
}

const toDoStatuses = { 'to-do': 'NEEDS-ACTION', 'under-way': 'IN-PROCESS', done: 'COMPLETED' };

/**
 * A VTODO beside the entry, under a uid of its own. DUE is the last day; DTSTART must be earlier (RFC 5545,
 * 3.8.2.3), so a one-day task has none.
 */
function toDoLines(about: FeedEvent, row: PublishedTask): string[] {
  if (row.entry.kind !== 'task' && row.entry.kind !== 'deadline') return [];
  const stamp = (at: string) => at.replace(/[-:]/g, '');
  const lastDay = addDays(row.entry.endsBefore, -1);
  const { startsOn } = row.entry;
  return [
    'BEGIN:VTODO',
    `UID:${namedUid(`to-do ${row.uid}`)}`,
    `SEQUENCE:${row.sequence}`,
    `DTSTAMP:${stamp(row.revisedAt)}`,
    `LAST-MODIFIED:${stamp(row.revisedAt)}`,
    `CREATED:${stamp(row.createdAt)}`,
    ...(startsOn < lastDay ? [`DTSTART;VALUE=DATE:${stamp(startsOn)}`] : []),
    `DUE;VALUE=DATE:${stamp(lastDay)}`,
    `SUMMARY:${escapeText(cleanLine(about.summary))}`,
    `DESCRIPTION:${escapeText(row.entry.description.map(cleanLine).join('\n'))}`,
    `STATUS:${isCancelled(row) ? 'CANCELLED' : toDoStatuses[row.entry.progress]}`,
    'END:VTODO',
  ];
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
