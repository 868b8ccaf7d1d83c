import { expect, test } from 'vitest';
import { storeWithLand } from './fixtures.ts';

const feed = { title: ' Spray ', treatmentKeys: ['foliar-spray'], crewIds: [1], unitIds: [] };

test('a feed of one’s own is kept, changed and removed with its addresses', () => {
  const { store } = storeWithLand();
  const added = store.ownFeeds.add(feed);
  expect(added).toEqual({ ok: true, value: 1 });
  expect(store.ownFeeds.list()).toEqual([{ ...feed, id: 1, title: 'Spray' }]);
  expect(store.ownFeeds.change({ ...feed, id: 1, title: 'All spray', crewIds: [] })).toEqual([]);
  expect(store.ownFeeds.list()[0]).toMatchObject({ title: 'All spray', crewIds: [] });
  const { token } = store.feeds.create('spray-o1', 'office');
  const kept = store.feeds.create('fernhill-ridge-p1', 'office');
  expect(store.ownFeeds.remove(1)).toEqual([]);
  expect(store.ownFeeds.list()).toEqual([]);
  expect(store.feeds.findByToken(token)).toBe('revoked');
  expect(store.feeds.findByToken(kept.token)).toHaveProperty('link');
});

test('its id is not given again, because addresses hold it', () => {
  const { store } = storeWithLand();
  store.ownFeeds.add(feed);
  store.ownFeeds.remove(1);
  expect(store.ownFeeds.add(feed)).toEqual({ ok: true, value: 2 });
});

test('without a name, or unknown, it is refused in words', () => {
  const { store } = storeWithLand();
  expect(store.ownFeeds.add({ ...feed, title: ' ' })).toMatchObject({
    ok: false,
    problems: [{ field: 'title', message: 'Name: fill this in.' }],
  });
  expect(store.ownFeeds.change({ ...feed, id: 9 })).toHaveLength(1);
  expect(store.ownFeeds.remove(9)).toHaveLength(1);
});

test('new land leaves none', () => {
  const { store, content } = storeWithLand();
  store.ownFeeds.add(feed);
  store.replaceLand(content);
  expect(store.ownFeeds.list()).toEqual([]);
});

test('whether an address may report is kept', () => {
  const { store } = storeWithLand();
  expect(store.feeds.create('saw-contract-c2', 'lead', true).link.mayReport).toBe(true);
  expect(store.feeds.create('saw-contract-c2', 'office').link.mayReport).toBe(false);
  expect(store.feeds.list().map((link) => link.mayReport)).toEqual([true, false]);
});
