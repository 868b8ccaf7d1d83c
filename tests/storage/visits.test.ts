import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { LandRows } from '../../src/core/records.ts';
import type { PhotoPoint, Visit } from '../../src/core/visits.ts';
import { fakePlan } from '../support/plan.ts';
import { storeWithLand } from './fixtures.ts';

const visit: Visit = {
  ...{ id: 0, unitId: 1, seenOn: isoDate('2026-08-01'), seenBy: 'R. Hale', note: '' },
  finding: {
    ...{ kind: 'forage', of: 'browse', plotSquareFeet: 9.6, dryPercent: 40 },
    gramsByPlot: [12, 30.5],
  },
};
const point: PhotoPoint = {
  ...{ id: 0, unitId: 1, name: 'North', marker: 'post', bearingDegrees: 10, frame: '' },
};

function stored() {
  const { store, library } = storeWithLand();
  const save = <N extends keyof LandRows>(noun: N, row: LandRows[N], isNew = true) =>
    store.records.saveRow(noun, row, isNew, library, () => true);
  return { store, library, save, operation: () => store.operation(library) };
}

const idOf = (outcome: ReturnType<ReturnType<typeof stored>['save']>) =>
  outcome.ok ? Number(outcome.value) : Number.NaN;

describe('visits', () => {
  it('come back as they were saved, change, and make no plan out of date', () => {
    const { save, operation, store } = stored();
    const before = store.revision();
    const plan = store.plans.saveDraft(fakePlan().content, before);
    const id = idOf(save('visit', visit));
    expect(operation().visits).toEqual([{ ...visit, id }]);
    save('visit', { ...visit, id, note: 'rain' }, false);
    expect(operation().visits[0]?.note).toBe('rain');
    expect(store.revision()).toBeGreaterThan(before);
    expect(store.landContent().visits).toHaveLength(1);
    expect(store.plans.changesSince(plan.id)).toEqual([]);
  });

  it('go out of use with their unit, and wait for it', () => {
    const { save, operation, store, library } = stored();
    const id = idOf(save('visit', visit));
    save('photoPoint', point);
    expect(store.records.retire('visit', id, library).ok).toBe(true);
    store.records.retire('unit', 1, library);
    expect(operation().photoPoints).toEqual([]);
    expect(store.records.bringBack('visit', id, library)[0]?.code).toBe('row-parent-retired');
    store.records.bringBack('unit', 1, library);
    expect(store.records.bringBack('visit', id, library)).toEqual([]);
    expect([operation().visits.length, operation().photoPoints.length]).toEqual([1, 1]);
  });

  it.each<[string, Partial<Visit>, string]>([
    ['an unknown unit', { unitId: 999 }, 'unitId'],
    [
      'a photo point of no such number',
      { finding: { kind: 'photos', photoPointId: 9, photos: [] } },
      'photoPointId',
    ],
    [
      'no species',
      { finding: { kind: 'bird-count', species: '', stations: 1, birds: 1 } },
      'species',
    ],
  ])('%s is refused', (_name, change, field) => {
    const { save, operation } = stored();
    const outcome = save('visit', { ...visit, ...change });
    expect(outcome.ok ? [] : outcome.problems.map((one) => one.field)).toEqual([field]);
    expect(operation().visits).toEqual([]);
  });

  it('stay on their unit', () => {
    const { save } = stored();
    const id = idOf(save('visit', visit));
    expect(save('visit', { ...visit, id, unitId: 2 }, false).ok).toBe(false);
  });
});

it('a landowner has one set of words for letters', () => {
  const { save, operation } = stored();
  const letter = { id: 0, landownerId: 1, greeting: 'Good day', closing: 'Call us' };
  const id = idOf(save('ownerLetter', letter));
  expect(save('ownerLetter', letter).ok).toBe(false);
  expect(save('ownerLetter', { ...letter, id, closing: '' }, false).ok).toBe(true);
  expect(save('ownerLetter', { ...letter, landownerId: 99 }).ok).toBe(false);
  expect(operation().ownerLetters).toEqual([{ ...letter, id, closing: '' }]);
});
