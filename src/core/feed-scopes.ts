import { addDays, type IsoDate } from './dates.ts';
import type { Operation } from './operation.ts';
import { type EntryKind, type PublishedTask, planOnlyWords, slug } from './publication.ts';
import type { Family } from './treatments.ts';

/** Which entries a feed shows; every list that is not null must hold something of the entry. */
export interface FeedFilter {
  kinds: EntryKind[];
  propertyIds: number[] | null;
  crewIds: number[] | null;
  unitIds: number[] | null;
  treatmentKeys: string[] | null;
  families: Family[] | null;
}

export type FeedKind =
  | 'property'
  | 'crew'
  | 'unit'
  | 'landowner'
  | 'outlook'
  | 'notices'
  | 'no-work'
  | 'own';

/** A feed that can be subscribed to; `name` is its file name without `.ics`, unique, stable. */
export interface FeedScope {
  name: string;
  title: string;
  description: string;
  kind: FeedKind;
  /** Id of the property, crew, unit, landowner or feed of one's own. */
  id: number;
  shows: FeedFilter;
}

/** A feed that somebody put together: an empty list leaves that side open. */
export interface OwnFeed {
  id: number;
  title: string;
  treatmentKeys: string[];
  crewIds: number[];
  unitIds: number[];
}

/** Days after its end that an entry (also a cancelled one) stays in a feed. */
export const feedPastDays = 90;
/** Days ahead that a feed shows: 18 months. */
export const feedFutureDays = 548;

/** Letter before the id at the end of a feed's name; the name of a stored address never changes. */
const kindLetters: Record<FeedKind, string> = {
  property: 'p',
  crew: 'c',
  unit: 'u',
  landowner: 'l',
  outlook: 'b',
  notices: 'n',
  'no-work': 'w',
  own: 'o',
};

const allTasks: FeedFilter = {
  kinds: ['task'],
  propertyIds: null,
  crewIds: null,
  unitIds: null,
  treatmentKeys: null,
  families: null,
};

function scopeOf(
  kind: FeedKind,
  id: number,
  title: string,
  what: string,
  shows: Partial<FeedFilter>,
): FeedScope {
  return {
    name: [slug(title), `${kindLetters[kind]}${id}`].filter(Boolean).join('-'),
    title,
    description: `${what} ${planOnlyWords}`,
    kind,
    id,
    shows: { ...allTasks, ...shows },
  };
}

/**
 * Every feed: properties, crews, landowners, then burn outlook, notices and deadlines and no-work dates of each
 * property, feeds of one's own, and units. The name opens with words for people (one calendar program shows the
 * file name as the calendar's name) and ends in the kind and id, which a rename does not change.
 */
export function feedScopes(operation: Operation, own: readonly OwnFeed[] = []): FeedScope[] {
  const { properties, crews, landowners, units } = operation;
  const someOf = <T>(list: T[]) => (list.length > 0 ? list : null);
  const propertyIdsOf = (landownerId: number) =>
    properties.filter((one) => one.landownerId === landownerId).map((one) => one.id);
  return [
    ...properties.map(({ id, name }) =>
      scopeOf('property', id, name, `Field work on ${name}.`, { propertyIds: [id] }),
    ),
    ...crews.map(({ id, name }) =>
      scopeOf('crew', id, name, `Field work of ${name}.`, { crewIds: [id] }),
    ),
    ...landowners.map(({ id, name }) =>
      scopeOf('landowner', id, `Land of ${name}`, `Field work on the land of ${name}.`, {
        propertyIds: propertyIdsOf(id),
      }),
    ),
    ...properties.map(({ id, name }) =>
      scopeOf('outlook', id, `Burn outlook ${name}`, `Blocks ready on paper on ${name}.`, {
        kinds: ['outlook'],
        propertyIds: [id],
      }),
    ),
    ...properties.map(({ id, name }) =>
      scopeOf('notices', id, `Deadlines ${name}`, `Notices and deadlines on ${name}.`, {
        kinds: ['task', 'deadline'],
        families: ['notice'],
        propertyIds: [id],
      }),
    ),
    ...properties.map(({ id, name }) =>
      scopeOf('no-work', id, `No-work dates ${name}`, `When work is barred on ${name}.`, {
        kinds: ['no-work'],
        propertyIds: [id],
      }),
    ),
    ...own.map(({ id, title, treatmentKeys, crewIds, unitIds }) =>
      scopeOf('own', id, title, 'Field work by treatments, crews and units of choice.', {
        treatmentKeys: someOf(treatmentKeys),
        crewIds: someOf(crewIds),
        unitIds: someOf(unitIds),
      }),
    ),
    ...units.map(({ id, code, name }) => {
      const title = name === '' || name === code ? code : `${code} ${name}`;
      return scopeOf('unit', id, title, `Field work on ${title}.`, { unitIds: [id] });
    }),
  ];
}

/** True when a stored feed name is that of this feed, whatever its words are. */
export function isNameOf(name: string, { kind, id }: Pick<FeedScope, 'kind' | 'id'>): boolean {
  return name.slice(name.lastIndexOf('-') + 1) === `${kindLetters[kind]}${id}`;
}

/** The scope behind a stored feed name, also after what it is about was renamed; null when it is gone. */
export function findFeedScope(scopes: readonly FeedScope[], name: string): FeedScope | null {
  return scopes.find((scope) => isNameOf(name, scope)) ?? null;
}

function belongsTo({ entry }: PublishedTask, { shows }: FeedScope): boolean {
  const holds = <T>(list: readonly T[] | null, ...values: readonly T[]) =>
    list === null || values.some((value) => list.includes(value));
  return (
    shows.kinds.includes(entry.kind) &&
    holds(shows.propertyIds, entry.propertyId) &&
    holds(shows.crewIds, ...entry.crewIds) &&
    holds(shows.unitIds, ...entry.unitIds) &&
    holds(shows.treatmentKeys, entry.treatmentKey ?? '') &&
    holds(shows.families, entry.family)
  );
}

/** Day on which an entry comes into a feed, and the day on which it leaves it. */
function shownDays(row: PublishedTask): { from: IsoDate; before: IsoDate } {
  return {
    from: addDays(row.entry.startsOn, -feedFutureDays),
    before: addDays(row.entry.endsBefore, feedPastDays),
  };
}

/**
 * The rows of one feed on a day, in order of dates: entries that ended less than 90 days ago and start within
 * 18 months, cancelled ones too.
 */
export function entriesForScope(
  published: readonly PublishedTask[],
  scope: FeedScope,
  today: IsoDate,
): PublishedTask[] {
  const order = (row: PublishedTask) => `${row.entry.startsOn} ${row.taskKey}`;
  return published
    .filter((row) => {
      const { from, before } = shownDays(row);
      return belongsTo(row, scope) && from <= today && today < before;
    })
    .sort((a, b) => (order(a) < order(b) ? -1 : 1));
}

/** Revision instant of a feed in which nothing was ever published. */
export const feedFirstRevision = '2026-01-01T00:00:00Z';

/**
 * Newest change of one feed, UTC: the last revision of its rows, and the days on which rows came into or
 * left its span of dates. Feeds `Last-Modified` and the stamp of the permanent entry.
 */
export function feedRevisedAt(
  published: readonly PublishedTask[],
  scope: FeedScope,
  today: IsoDate,
): string {
  return published
    .filter((row) => belongsTo(row, scope))
    .flatMap((row) => {
      const { from, before } = shownDays(row);
      const edges = [from, before].filter(
        (day) => day <= today && day > row.revisedAt.slice(0, 10),
      );
      return [row.revisedAt, ...edges.map((day) => `${day}T00:00:00Z`)];
    })
    .reduce((newest, at) => (at > newest ? at : newest), feedFirstRevision);
}
