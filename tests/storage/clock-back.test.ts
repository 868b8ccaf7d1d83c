import { expect, test } from 'vitest';
import { backupsToKeep } from '../../src/core/backups.ts';
import { isoDate } from '../../src/core/dates.ts';
import { feedRevisedAt } from '../../src/core/feed-scopes.ts';
import { fernhill, row } from '../feeds/rows.ts';
import { fakeEntry } from '../support/operation.ts';
import { clockAt, storeWithLand } from './fixtures.ts';

/** A machine whose clock is set back goes on: nothing is refused, and what readers compare never goes back. */
test('a published task that changes under a clock set back is newer than before', () => {
  const clock = clockAt('2026-11-09T15:00:00Z');
  const { store } = storeWithLand(clock);
  const entry = row(1, '2027-03-10', '2027-03-14', {}).entry;
  store.syncPublished([entry], new Set());
  const before = store.published()[0]!;
  clock.at = '2019-01-01T00:00:00Z';
  store.syncPublished([{ ...entry, summary: 'N1: changed' }], new Set());
  const after = store.published()[0]!;
  expect(after.revisedAt > before.revisedAt).toBe(true);
  expect(after.sequence).toBe(before.sequence + 1);
  const revised = (rows: (typeof after)[]) => feedRevisedAt(rows, fernhill, isoDate('2026-11-09'));
  expect(revised([after]) >= revised([before])).toBe(true);
  store.close();
});

test('an entry is taken, and the revision rises', () => {
  const clock = clockAt('2026-11-09T15:00:00Z');
  const { store, library } = storeWithLand(clock);
  const revision = store.revision();
  clock.at = '2019-01-01T00:00:00Z';
  const { id: _, ...entry } = fakeEntry(0, 1, 'dormant-burn', '2026-02-10');
  const made = store.worklog.record(entry, library);
  expect(made.ok).toBe(true);
  expect(store.revision()).toBeGreaterThan(revision);
  store.close();
});

test('a backup of before the clock was set back stays beside the ones made since', () => {
  const days = ['2026-11-09', '2019-01-02', '2019-01-01'].map((date) => ({
    date: isoDate(date),
    time: '120000',
  }));
  expect(backupsToKeep(days)).toEqual(days);
});
