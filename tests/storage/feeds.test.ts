import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { openStore } from '../../src/storage/store.ts';
import { clockAt, storeWithLand } from './fixtures.ts';

test('an address is found by its token only', () => {
  const { store } = storeWithLand();
  const { token, link } = store.feeds.create('fernhill-ridge-p1', 'office');
  // 32 bytes in base64url without padding are 43 characters (RFC 4648 section 5).
  expect(token).toMatch(/^[A-Za-z0-9_-]{43}$/);
  expect(store.feeds.findByToken(token)).toEqual({ link });
  expect(store.feeds.findByToken('')).toBeNull();
  expect(store.feeds.findByToken(`${token}x`)).toBeNull();
  expect(store.feeds.list()).toEqual([link]);
});

test('a rotated address keeps its row; the old token is known as replaced for 30 days', () => {
  const { store, clock } = storeWithLand();
  const { token, link } = store.feeds.create('fernhill-ridge-p1', 'office');
  store.feeds.touch(link.id, 'Reader/1.0', '2026-11-09T16:00:00Z');
  const rotated = store.feeds.rotate(link.id);
  if (!rotated.ok) throw new Error('refused');
  expect(rotated.value.link).toEqual(link);
  expect(store.feeds.findByToken(token)).toEqual({ replaced: link, at: '2026-11-09T15:00:00Z' });
  clock.at = '2026-12-09T14:59:59Z';
  expect(store.feeds.findByToken(token)).toMatchObject({ replaced: { label: 'office' } });
  // 30 days after the rotation.
  clock.at = '2026-12-09T15:00:00Z';
  expect(store.feeds.findByToken(token)).toBe('revoked');
  expect(store.feeds.findByToken(rotated.value.token)).toEqual({ link });
});

test('a revoked address stays revoked', () => {
  const { store, clock } = storeWithLand();
  const { token, link } = store.feeds.create('fernhill-ridge-p1', 'office');
  expect(store.feeds.revoke(link.id)).toEqual([]);
  clock.at = '2027-01-01T00:00:00Z';
  expect(store.feeds.revoke(link.id)).toEqual([]);
  expect(store.feeds.list()[0]?.revokedAt).toBe('2026-11-09T15:00:00Z');
  expect(store.feeds.findByToken(token)).toBe('revoked');
  expect(store.feeds.rotate(link.id).ok).toBe(false);
  expect(store.feeds.rotate(99).ok).toBe(false);
  expect(store.feeds.revoke(99)).toHaveLength(1);
});

test('who fetched it and when is kept, cut to a length', () => {
  const { store } = storeWithLand();
  const { link } = store.feeds.create('fernhill-ridge-p1', 'office');
  const revision = store.revision();
  store.feeds.touch(link.id, 'x'.repeat(5000), '2026-11-09T16:00:00Z');
  const [row] = store.feeds.list();
  expect(row).toMatchObject({ lastFetchedAt: '2026-11-09T16:00:00Z' });
  expect(row?.lastFetchedBy).toHaveLength(200);
  expect(store.revision()).toBe(revision);
});

test('the file holds no token', () => {
  const folder = mkdtempSync(join(tmpdir(), 'feeds-test-'));
  const path = join(folder, 'land.db');
  const store = openStore(path, clockAt('2026-11-09T15:00:00Z').now);
  const { token } = store.feeds.create('fernhill-ridge-p1', 'label-in-the-file');
  store.close();
  const bytes = readFileSync(path, 'latin1');
  expect(bytes).toContain('label-in-the-file');
  expect(bytes).not.toContain(token);
  rmSync(folder, { recursive: true });
});
