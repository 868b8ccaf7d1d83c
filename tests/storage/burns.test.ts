import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { PastYearsResult } from '../../src/core/weather/past-years-land.ts';
import { fakePlan } from '../support/plan.ts';
import { storeWithLand } from './fixtures.ts';

const result: PastYearsResult = {
  station: { name: 'Invented station', isInvented: true },
  trials: 30,
  fromSeason: 1990,
  toSeason: 2019,
  seed: 1,
  usedShare: 0.4,
  burns: [],
  properties: [],
  weakest: null,
};

describe('burns on file', () => {
  test('the newest check of a switch holds; each county has its own', () => {
    const { store } = storeWithLand();
    const check = { state: 'MO', county: 'Marl', kind: 'burn-ban' as const, since: null, note: '' };
    store.burns.addSwitch({ ...check, isOn: true, checkedBy: 'T. Arden' });
    store.burns.addSwitch({ ...check, isOn: false, checkedBy: 'Imani' });
    store.burns.addSwitch({ ...check, county: 'Sedge', isOn: true, checkedBy: 'Imani' });
    expect(store.burns.switches().map((one) => [one.county, one.isOn, one.checkedBy])).toEqual([
      ['Marl', false, 'Imani'],
      ['Sedge', true, 'Imani'],
    ]);
  });

  test('a go/no-go list is kept as answered, newest first, with the time of the answer', () => {
    const { store } = storeWithLand();
    const list = { blockId: 1, day: isoDate('2026-11-09'), answeredBy: 'T. Arden', note: '' };
    const first = store.burns.addGoNoGo({ ...list, answers: { plan: 'yes', permits: 'unknown' } });
    store.burns.addGoNoGo({ ...list, answers: {} });
    expect(store.burns.goNoGoLists()).toHaveLength(2);
    expect(store.burns.goNoGoLists()[1]).toEqual(first);
    expect(first.recordedAt).toBe('2026-11-09T15:00:00Z');
  });

  test('a past-years test is kept with its plan and goes with it', () => {
    const { store } = storeWithLand();
    const plan = store.plans.saveDraft(fakePlan().content, store.revision());
    store.burns.keepPastYears(plan.id, 0, result);
    store.burns.keepPastYears(plan.id, store.revision(), { ...result, trials: 29 });
    expect(store.burns.pastYears(plan.id)).toMatchObject({
      changedSince: [],
      result: { trials: 29 },
    });
    store.holdDates('block:1/cedar-woodland/burn/1/-', isoDate('2027-02-01'));
    expect(store.burns.pastYears(plan.id)?.changedSince).toHaveLength(1);
    store.plans.discard(plan.id);
    expect(store.burns.pastYears(plan.id)).toBeNull();
  });

  test('smoke categories are those entered; the same floor again takes the place of the older', () => {
    const { store } = storeWithLand();
    const rule = { state: 'MO', leastM2s: 2000, isBurningAllowed: true, note: 'state rules' };
    store.burns.saveSmokeRule({ ...rule, name: 'fair' });
    store.burns.saveSmokeRule({ ...rule, name: 'poor', leastM2s: 0, isBurningAllowed: false });
    store.burns.saveSmokeRule({ ...rule, name: 'category 3' });
    expect(store.burns.smokeRules().map((one) => [one.name, one.isBurningAllowed])).toEqual([
      ['poor', false],
      ['category 3', true],
    ]);
    store.burns.removeSmokeRule(store.burns.smokeRules()[0]?.id ?? 0);
    expect(store.burns.smokeRules().map((one) => one.name)).toEqual(['category 3']);
  });

  test('other land takes over neither lists nor switches', () => {
    const { store } = storeWithLand();
    const list = { blockId: 1, day: isoDate('2026-11-09'), answeredBy: 'T. Arden', note: '' };
    store.burns.addGoNoGo({ ...list, answers: {} });
    store.replaceLand(store.landContent());
    expect(store.burns.goNoGoLists()).toEqual([]);
  });
});
