import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { entriesForScope, feedScopes, findFeedScope } from '../../src/core/feed-scopes.ts';
import { row } from '../feeds/rows.ts';
import { fakeOperation } from '../support/operation.ts';

const operation = fakeOperation();
operation.landowners = [
  { id: 1, name: 'Fernhill Land Trust', contact: 'by letter' },
  { id: 2, name: 'K. Sedge', contact: '' },
  { id: 3, name: 'No Land', contact: '' },
];
operation.properties = operation.properties.map((one) => ({ ...one, landownerId: one.id }));
const own = [
  { id: 7, title: 'Spray, home crew', treatmentKeys: ['foliar-spray'], crewIds: [1], unitIds: [] },
  { id: 8, title: 'Everything', treatmentKeys: [], crewIds: [], unitIds: [] },
];
const scopes = feedScopes(operation, own);

const spray = { family: 'spray' as const, treatmentKey: 'foliar-spray' };
const rows = [
  row(1, '2026-11-10', '2026-11-12', { propertyId: 1, unitIds: [1, 2], crewIds: [1, 2] }),
  row(2, '2026-11-11', '2026-11-12', { propertyId: 2, unitIds: [8], crewIds: [1], ...spray }),
  row(3, '2026-11-12', '2026-11-13', { propertyId: 1, unitIds: [4], crewIds: [2], ...spray }),
  row(4, '2026-11-13', '2026-11-14', {
    propertyId: 1,
    crewIds: [],
    kind: 'deadline',
    family: 'notice',
  }),
  row(5, '2026-11-14', '2026-11-15', {
    propertyId: 1,
    crewIds: [],
    kind: 'no-work',
    family: 'notice',
  }),
  row(6, '2026-11-15', '2026-11-16', {
    propertyId: 2,
    crewIds: [],
    kind: 'outlook',
    family: 'burn',
  }),
  row(7, '2026-11-16', '2026-11-17', {
    propertyId: 1,
    unitIds: [1],
    crewIds: [1],
    family: 'notice',
  }),
];

const shownIn = (ending: string) => {
  const scope = findFeedScope(scopes, `x-${ending}`);
  if (!scope) throw new Error(ending);
  return entriesForScope(rows, scope, isoDate('2026-11-09')).map((one) =>
    Number(one.uid.slice(-2)),
  );
};

describe('what each feed shows', () => {
  it.each([
    ['p1', 'a property: its tasks', [1, 3, 7]],
    ['p2', 'another property', [2]],
    ['c1', 'a crew: its tasks on every property', [1, 2, 7]],
    ['c2', 'another crew', [1, 3]],
    ['u2', 'a unit: also tasks of its block', [1]],
    ['l1', 'a landowner: own land only', [1, 3, 7]],
    ['l2', 'another landowner', [2]],
    ['l3', 'a landowner without land: nothing', []],
    ['b1', 'burn outlook of a property', []],
    ['b2', 'burn outlook of another', [6]],
    ['n1', 'notices and deadlines', [4, 7]],
    ['w1', 'no-work dates', [5]],
    ['o7', 'one’s own: every side must fit', [2]],
    ['o8', 'one’s own with nothing ticked: every task', [1, 2, 3, 7]],
  ])('%s %s', (ending, _name, uids) => expect(shownIn(ending)).toEqual(uids));

  it('every feed has a name of its own that ends in its kind and id', () => {
    const names = scopes.map((scope) => scope.name);
    expect(new Set(names).size).toBe(names.length);
    for (const name of names) expect(name).toMatch(/^([a-z0-9-]+-)?[pcubnlwo]\d+$/);
    for (const scope of scopes) expect(findFeedScope(scopes, scope.name)).toBe(scope);
  });
});
