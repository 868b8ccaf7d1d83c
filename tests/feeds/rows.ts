import { isoDate } from '../../src/core/dates.ts';
import type { FeedFilter, FeedScope } from '../../src/core/feed-scopes.ts';
import type { CalendarEntry, PublishedTask } from '../../src/core/publication.ts';

/** A filter for tasks, narrowed. */
export function showing(own: Partial<FeedFilter>): FeedFilter {
  return {
    kinds: ['task'],
    propertyIds: null,
    crewIds: null,
    unitIds: null,
    treatmentKeys: null,
    families: null,
    ...own,
  };
}

/** Invented rows: one of each kind that a feed can show. */
export const fernhill: FeedScope = {
  name: 'fernhill-ridge-p1',
  title: 'Fernhill Ridge',
  description: 'Field work on Fernhill Ridge; plan only, nothing here allows a burn.',
  kind: 'property',
  id: 1,
  shows: showing({ propertyIds: [1] }),
};

export const sawCrew: FeedScope = {
  name: 'saw-contract-c2',
  title: 'Saw contract',
  description: 'Field work of the saw contract.',
  kind: 'crew',
  id: 2,
  shows: showing({ crewIds: [2] }),
};

export const revisedAt = '2026-11-09T15:30:00Z';

export function uidOf(number: number): string {
  return `00000000-0000-4000-8000-${String(number).padStart(12, '0')}`;
}

export function row(
  number: number,
  startsOn: string,
  endsBefore: string,
  entry: Partial<CalendarEntry>,
  own: Partial<PublishedTask> = {},
): PublishedTask {
  const taskKey = `block:${number}/cedar-woodland/burn/1/-`;
  return {
    taskKey,
    uid: uidOf(number),
    sequence: 0,
    revisedAt: '2026-10-26T14:10:00Z',
    createdAt: '2026-10-26T14:10:00Z',
    cancelledAt: null,
    ...own,
    entry: {
      taskKey,
      kind: 'task',
      propertyId: 1,
      unitIds: [number],
      crewIds: [1],
      family: 'cut',
      treatmentKey: 'cedar-felling',
      startsOn: isoDate(startsOn),
      endsBefore: isoDate(endsBefore),
      status: 'tentative',
      progress: 'to-do',
      isFreeTime: false,
      summary: `N${number}: fell cedar`,
      description: ['Planned.', 'Plan only.'],
      categories: ['Cut'],
      place: { latitude: 37.2, longitude: -92.1, words: `N${number}, Fernhill Ridge` },
      path: `/units/${number}#task-fell-1`,
      followedBy: [],
      ...entry,
    },
  };
}

/** Felling 10 to 13 March, burn span from 1 April: 18 days of lag, so a gap of 17 days from DTEND. */
export const rows: PublishedTask[] = [
  row(4, '2027-03-10', '2027-03-14', {
    summary: 'N4 Two Springs: fell cedar',
    followedBy: [{ taskKey: 'block:5/cedar-woodland/burn/1/-', lagDaysLeast: 18 }],
  }),
  row(
    5,
    '2027-04-01',
    '2027-04-15',
    {
      family: 'burn',
      categories: ['Burn'],
      isFreeTime: true,
      summary: 'N4 Two Springs: burn (when fit)',
      description: ['When fit: one day, 1 to 14 Apr 2027.', 'Roles: boss, lighter; holders, water'],
    },
    { sequence: 3, revisedAt: '2026-11-09T15:30:00Z' },
  ),
  row(6, '2026-11-06', '2026-11-12', {
    status: 'confirmed',
    progress: 'under-way',
    summary: 'S1 Old orchard: spray, under way',
    family: 'spray',
    categories: ['Spray'],
  }),
  row(7, '2026-10-02', '2026-10-03', {
    status: 'confirmed',
    progress: 'done',
    isFreeTime: true,
    summary: 'Done 2 Oct: P1: photo points',
    family: 'monitor',
    categories: ['Monitor'],
    place: null,
  }),
  row(8, '2026-11-02', '2026-11-03', {
    status: 'cancelled',
    isFreeTime: true,
    summary: 'E1: make the line',
    family: 'line',
    categories: ['Line and soil'],
    description: ['Not possible (2 Nov 2026). Ground too wet.'],
  }),
  row(
    9,
    '2026-12-01',
    '2026-12-04',
    { summary: 'S2: fell cedar' },
    { sequence: 1, revisedAt: '2026-11-09T15:30:00Z', cancelledAt: '2026-11-09T15:30:00Z' },
  ),
];
