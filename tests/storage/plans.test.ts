import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { CalendarEntry } from '../../src/core/publication.ts';
import { fakeEntry } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { storeWithLand } from './fixtures.ts';

const { content } = fakePlan();

function entryOf(taskKey: string, own: Partial<CalendarEntry> = {}): CalendarEntry {
  return {
    taskKey,
    kind: 'task',
    propertyId: 1,
    unitIds: [1],
    crewIds: [1],
    family: 'cut',
    treatmentKey: 'cedar-felling',
    startsOn: isoDate('2026-12-01'),
    endsBefore: isoDate('2026-12-05'),
    status: 'tentative',
    progress: 'to-do',
    isFreeTime: false,
    summary: 'Fell cedar on N1',
    description: ['Nobody fells alone.'],
    categories: ['Cut'],
    place: { latitude: 37, longitude: -92, words: 'Fernhill Ridge' },
    path: '/units/1',
    followedBy: [{ taskKey: 'b', lagDaysLeast: 300 }],
    ...own,
  };
}

describe('plans', () => {
  test('a draft is saved whole; a newer one takes its place; discarding leaves none', () => {
    const { store } = storeWithLand();
    const first = store.plans.saveDraft(content, store.revision());
    expect(first).toEqual({
      id: 1,
      state: 'draft',
      createdAt: '2026-11-09T15:00:00Z',
      adoptedAt: null,
      content,
    });
    const second = store.plans.saveDraft({ ...content, seed: 2 }, store.revision());
    expect(store.plans.draft()).toEqual(second);
    expect(store.plans.find(first.id)).toBeNull();
    const old = store.plans.adopt(first.id, () => {});
    expect(old.ok ? '' : old.problems[0]?.code).toBe('plan-not-draft');
    store.plans.discard(second.id);
    expect(store.plans.draft()).toBeNull();
  });

  test('adopting puts the draft in force, supersedes the older plan and publishes', () => {
    const { store } = storeWithLand();
    const first = store.plans.saveDraft(content, store.revision());
    expect(store.plans.adopt(first.id, () => {})).toMatchObject({ value: { state: 'in-force' } });
    const second = store.plans.saveDraft(content, store.revision());
    const before = store.revision();
    store.plans.adopt(second.id, () => store.syncPublished([entryOf('a')], new Set()));
    expect(store.plans.inForce()).toMatchObject({ id: 2, adoptedAt: '2026-11-09T15:00:00Z' });
    expect(store.plans.find(first.id)?.state).toBe('superseded');
    expect(store.published()).toHaveLength(1);
    expect(store.revision()).toBeGreaterThan(before);
    store.plans.discard(second.id);
    expect(store.plans.inForce()?.id).toBe(2);
  });

  test('when publishing fails the older plan stays in force and nothing is published', () => {
    const { store } = storeWithLand();
    store.plans.adopt(store.plans.saveDraft(content, store.revision()).id, () => {});
    const draft = store.plans.saveDraft(content, store.revision());
    const revision = store.revision();
    const fail = () => {
      store.syncPublished([entryOf('a')], new Set());
      throw new Error('no feed');
    };
    expect(() => store.plans.adopt(draft.id, fail)).toThrow('no feed');
    expect(store.plans.inForce()?.id).toBe(1);
    expect(store.plans.draft()?.id).toBe(draft.id);
    expect(store.published()).toEqual([]);
    expect(store.revision()).toBe(revision);
  });

  test('a plan tells what changed since its land was read, each once', () => {
    const { store, library } = storeWithLand();
    const readAt = store.revision();
    store.updateUnit(1, { areaAcres: 23 }, library);
    const { id } = store.plans.saveDraft(content, readAt);
    store.plans.adopt(id, () => {});
    const { id: _, ...entry } = fakeEntry(0, 3, 'dormant-burn', '2026-11-08');
    store.worklog.record(entry, library);
    store.updateUnit(1, { areaAcres: 24 }, library);
    expect(store.plans.changesSince(id)).toEqual([
      'Unit N1 was changed.',
      'Recorded: Dormant-season burn on N3 (2026-11-08).',
    ]);
    const fresh = store.plans.saveDraft(content, store.revision());
    expect(store.plans.changesSince(fresh.id)).toEqual([]);
  });
});

describe('syncPublished', () => {
  const none = new Set<string>();

  test('new rows get a uid of their own and sequence 0', () => {
    const { store } = storeWithLand();
    const count = store.syncPublished([entryOf('a'), entryOf('b')], none);
    expect(count).toEqual({ added: 2, revised: 0, cancelled: 0, restored: 0 });
    const [a, b] = store.published();
    expect(a).toMatchObject({
      taskKey: 'a',
      sequence: 0,
      revisedAt: '2026-11-09T15:00:00Z',
      createdAt: '2026-11-09T15:00:00Z',
      cancelledAt: null,
      entry: entryOf('a'),
    });
    expect(a!.uid).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4/);
    expect(a!.uid).not.toBe(b!.uid);
  });

  test('the same entries, whatever the order of their fields, change nothing', () => {
    const { store, clock } = storeWithLand();
    store.syncPublished([entryOf('a')], none);
    const before = store.published();
    clock.at = '2026-11-10T15:00:00Z';
    const fields = Object.entries(entryOf('a')).reverse();
    const turned = Object.fromEntries(fields) as unknown as CalendarEntry;
    expect(store.syncPublished([turned], none).revised).toBe(0);
    expect(store.published()).toEqual(before);
  });

  test.each<[string, Partial<CalendarEntry>]>([
    ['dates', { startsOn: isoDate('2026-12-02') }],
    ['status', { status: 'confirmed' }],
    ['words', { description: ['Other words.'] }],
    ['place', { place: null }],
    ['followers', { followedBy: [] }],
  ])('a change of %s raises the sequence and keeps the uid', (_name, change) => {
    const { store, clock } = storeWithLand();
    store.syncPublished([entryOf('a')], none);
    const [before] = store.published();
    clock.at = '2026-11-10T15:00:00Z';
    store.syncPublished([entryOf('a', change)], none);
    expect(store.published()).toEqual([
      {
        ...before,
        sequence: 1,
        revisedAt: '2026-11-10T15:00:00Z',
        entry: entryOf('a', change),
      },
    ]);
  });

  test('gone is a tombstone once; back again is the same uid', () => {
    const { store, clock } = storeWithLand();
    store.syncPublished([entryOf('a'), entryOf('keep')], none);
    const uid = store.published()[0]!.uid;
    clock.at = '2026-11-10T15:00:00Z';
    expect(store.syncPublished([], new Set(['keep'])).cancelled).toBe(1);
    const [gone, kept] = store.published();
    expect(gone).toMatchObject({
      uid,
      sequence: 1,
      cancelledAt: '2026-11-10T15:00:00Z',
      entry: { status: 'cancelled', isFreeTime: true, summary: 'Fell cedar on N1' },
    });
    expect(kept).toMatchObject({ sequence: 0, cancelledAt: null });
    expect(store.syncPublished([entryOf('keep')], none).cancelled).toBe(0);
    expect(store.syncPublished([entryOf('a'), entryOf('keep')], none).restored).toBe(1);
    expect(store.published()[0]).toMatchObject({ uid, sequence: 2, cancelledAt: null });
  });

  test('the revision instant always moves on, also when the clock stands or goes back', () => {
    const { store, clock } = storeWithLand();
    store.syncPublished([entryOf('a')], none);
    store.syncPublished([entryOf('a', { summary: 'One' })], none);
    clock.at = '2026-11-09T14:00:00Z';
    store.syncPublished([entryOf('a', { summary: 'Two' })], none);
    expect(store.published()[0]).toMatchObject({ sequence: 2, revisedAt: '2026-11-09T15:00:02Z' });
  });

  test('a failure part of the way leaves every row as it was', () => {
    const { store } = storeWithLand();
    store.syncPublished([entryOf('a')], none);
    const before = store.published();
    expect(() => store.syncPublished([entryOf('b'), entryOf('')], none)).toThrow('CHECK');
    expect(store.published()).toEqual(before);
  });
});
