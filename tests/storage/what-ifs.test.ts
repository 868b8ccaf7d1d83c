import { expect, test } from 'vitest';
import { planSummary } from '../../src/core/plan-summary.ts';
import type { WhatIfChange } from '../../src/core/what-if.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { contentOf, storeWithLand } from './fixtures.ts';

const { content } = fakePlan();
const summary = planSummary(fakeOperation(), content, fakeToday);
const changes: WhatIfChange[] = [{ kind: 'gear', gearKey: 'burn-trailer', count: 2 }];

test('a what-if keeps its changes and the plan found for them, until its changes are others', () => {
  const { store } = storeWithLand();
  const id = store.whatIfs.add('Two trailers', changes);
  expect(store.whatIfs.list()).toEqual([{ id, name: 'Two trailers', changes, solved: null }]);
  expect(store.whatIfs.plan(id)).toBeNull();
  expect(store.whatIfs.setPlan(id, changes, { content, summary, madeFrom: 7 })).toBe(true);
  expect(store.whatIfs.find(id)?.solved).toEqual({ at: '2026-11-09T15:00:00Z', summary });
  expect(store.whatIfs.plan(id)).toEqual({ content, madeFrom: 7 });
  store.whatIfs.rename(id, 'A second trailer');
  expect(store.whatIfs.find(id)).toMatchObject({ name: 'A second trailer', solved: { summary } });
  store.whatIfs.setChanges(id, []);
  expect(store.whatIfs.find(id)?.solved).toBeNull();
  expect(store.whatIfs.plan(id)).toBeNull();
});

test('a plan found for changes that are others by now is not kept', () => {
  const { store } = storeWithLand();
  const id = store.whatIfs.add('Two trailers', changes);
  expect(store.whatIfs.setPlan(id, [], { content, summary, madeFrom: 7 })).toBe(false);
  store.whatIfs.remove(id);
  expect(store.whatIfs.setPlan(id, changes, { content, summary, madeFrom: 7 })).toBe(false);
  expect(store.whatIfs.list()).toEqual([]);
});

test('what-ifs make no plan out of date, and go with the land', () => {
  const { store } = storeWithLand();
  const before = store.revision();
  store.whatIfs.add('Two trailers', changes);
  expect(store.revision()).toBe(before);
  store.replaceLand({ ...contentOf(fakeOperation()), whatIfs: [{ name: 'Other', changes: [] }] });
  expect(store.whatIfs.list().map(({ name }) => name)).toEqual(['Other']);
});
