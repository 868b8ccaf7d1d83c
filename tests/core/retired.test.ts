import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import type { LandContent } from '../../src/core/library.ts';
import { activeLand, approvalId, type RetiredKey, usesOf } from '../../src/core/retired.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeOperation } from '../support/operation.ts';

/** The invented land with one row of every kind beside it. */
function content(): LandContent {
  const from = isoDate('2026-07-01');
  const until = isoDate('2027-06-30');
  const span = { opens: monthDay('11-01'), closes: monthDay('12-31') };
  const bars = { barsFamilies: ['burn' as const], firmness: 'hard' as const, rule: '', ...span };
  const place = { propertyId: 1, from, until };
  return {
    ...contentOf(fakeOperation()),
    points: [
      {
        ...bars,
        id: 1,
        propertyId: 1,
        name: 'Den',
        kind: 'den',
        position: null,
        unitIds: [1],
        bufferFeet: 50,
      },
      {
        ...bars,
        id: 2,
        propertyId: 1,
        name: 'Cabin',
        kind: 'cabin',
        position: [-92, 37],
        unitIds: [1],
        bufferFeet: 50,
      },
    ],
    leases: [
      { ...bars, ...place, id: 1, holder: 'Club', contact: '', use: 'hunting', unitIds: [1, 2] },
      { ...bars, ...place, id: 2, holder: 'Club', contact: '', use: 'hunting', unitIds: [] },
    ],
    grazing: [
      {
        ...place,
        ...span,
        id: 1,
        unitIds: [3],
        stock: 'cattle',
        restDaysBeforeFire: 0,
        deferDaysAfterFire: 0,
        note: '',
      },
    ],
    consents: [
      {
        ...place,
        id: 1,
        unitIds: [1, 3],
        families: ['burn'],
        givenBy: 'Owner',
        isNeighbour: false,
        note: '',
      },
    ],
    people: [
      {
        id: 1,
        name: 'A. Reed',
        contact: '',
        crewId: 1,
        burnRoles: ['boss'],
        qualifications: [],
        usualDays: [],
        note: '',
      },
    ],
    bookings: [
      {
        id: 1,
        crewId: 2,
        state: 'signed',
        unitIds: [1, 2],
        from,
        until,
        priceBasis: 'day',
        priceUsd: 0,
        moveInUsd: 0,
        daysLeast: 0,
        bookBy: null,
        note: '',
      },
    ],
    approvals: [{ noWorkKey: 'lease-1', unitId: 1, from, until, grantedBy: 'Owner' }],
    blocks: fakeOperation().blocks.map((block) =>
      block.id === 1
        ? { ...block, readiness: { ...block.readiness, roles: [{ role: 'boss', personId: 1 }] } }
        : block,
    ),
  };
}

const whole = content();
const without = (...retired: RetiredKey[]) => activeLand(whole, retired);
const ids = (rows: readonly { id: number }[]) => rows.map(({ id }) => id);

describe('a row out of use takes along what hangs on it', () => {
  test('a unit: its block when it was the only one, work log, approvals, neighbors, its place in lists', () => {
    const land = without({ noun: 'unit', id: 1 });
    expect(ids(land.units)).not.toContain(1);
    expect(ids(land.blocks)).not.toContain(1);
    expect(land.entries.some(({ unitId }) => unitId === 1)).toBe(false);
    expect(land.approvals).toEqual([]);
    expect(land.neighbours).toEqual([]);
    expect(land.lines.map(({ id, unitIds }) => [id, unitIds])).toEqual([[2, [2]]]);
    expect(land.leases.map(({ unitIds }) => unitIds)).toEqual([[2], []]);
    expect(land.consents[0]?.unitIds).toEqual([3]);
    expect(land.bookings[0]?.unitIds).toEqual([2]);
    // A place on the map is still there; one known by its unit alone is not.
    expect(land.points.map(({ id, unitIds }) => [id, unitIds])).toEqual([[2, []]]);
  });

  test('a lease whose units are all gone does not widen to the whole property', () => {
    const land = without({ noun: 'unit', id: 1 }, { noun: 'unit', id: 2 });
    expect(ids(land.leases)).toEqual([2]);
  });

  test('a unit of a block of two leaves the block', () => {
    const land = without({ noun: 'unit', id: 6 });
    expect(ids(land.blocks)).toContain(6);
    expect(ids(land.units)).toContain(7);
  });

  test('a block: its units', () => {
    const land = without({ noun: 'block', id: 6 });
    expect(ids(land.blocks)).not.toContain(6);
    expect(ids(land.units)).toEqual([1, 2, 3, 4, 5, 8]);
  });

  test('a property: all that lies on it', () => {
    const land = without({ noun: 'property', id: 1 });
    expect(ids(land.properties)).toEqual([2]);
    expect(ids(land.units)).toEqual([8]);
    expect(ids(land.blocks)).toEqual([7]);
    const { lines, points, leases, grazing, consents } = land;
    expect([...lines, ...points, ...leases, ...grazing, ...consents]).toEqual([]);
  });

  test('a crew: its bookings, and people keep their rows without it', () => {
    expect(without({ noun: 'crew', id: 2 }).bookings).toEqual([]);
    expect(without({ noun: 'crew', id: 1 }).people[0]?.crewId).toBeNull();
  });

  test('a person: the roles on burns', () => {
    const land = without({ noun: 'person', id: 1 });
    expect(land.people).toEqual([]);
    expect(land.blocks[0]?.readiness.roles).toEqual([]);
  });

  test('a new block that waits for its first unit stays', () => {
    const empty = { ...whole.blocks[0]!, id: 99, code: 'new' };
    const land = activeLand({ ...whole, blocks: [...whole.blocks, empty] }, [
      { noun: 'unit', id: 1 },
    ]);
    expect(ids(land.blocks)).toContain(99);
  });
});

const everyKey: RetiredKey[] = [
  ...whole.landowners.map(({ id }): RetiredKey => ({ noun: 'landowner', id })),
  ...whole.properties.map(({ id }): RetiredKey => ({ noun: 'property', id })),
  ...whole.units.map(({ id }): RetiredKey => ({ noun: 'unit', id })),
  ...whole.blocks.map(({ id }): RetiredKey => ({ noun: 'block', id })),
  ...whole.lines.map(({ id }): RetiredKey => ({ noun: 'line', id })),
  ...whole.points.map(({ id }): RetiredKey => ({ noun: 'point', id })),
  ...whole.leases.map(({ id }): RetiredKey => ({ noun: 'lease', id })),
  ...whole.crews.map(({ id }): RetiredKey => ({ noun: 'crew', id })),
  ...whole.gear.map(({ key }): RetiredKey => ({ noun: 'gear', id: key })),
  ...whole.approvals.map((row): RetiredKey => ({ noun: 'approval', id: approvalId(row) })),
];

/** Every number that a row names is that of a row in use. */
function dangling(land: LandContent): string[] {
  const unitIds = new Set(ids(land.units));
  const blockIds = new Set(ids(land.blocks));
  const propertyIds = new Set(ids(land.properties));
  const crewIds = new Set(ids(land.crews));
  const lists = [land.lines, land.points, land.leases, land.grazing, land.consents];
  return [
    ...land.units.filter((row) => !blockIds.has(row.blockId)).map(({ id }) => `unit ${id}`),
    ...land.units.filter((row) => !propertyIds.has(row.propertyId)).map(({ id }) => `unit ${id}`),
    ...land.entries.filter((row) => !unitIds.has(row.unitId)).map(({ id }) => `entry ${id}`),
    ...lists
      .flat()
      .filter((row) => !row.unitIds.every((id) => unitIds.has(id)))
      .map(({ id }) => `row ${id}`),
    ...land.bookings.filter((row) => !crewIds.has(row.crewId)).map(({ id }) => `booking ${id}`),
  ];
}

describe('whatever goes out of use', () => {
  const some = fc.subarray(everyKey);

  test('nothing in use names a row that is not, and the rows given stay as they were', () => {
    fc.assert(
      fc.property(some, (retired) => {
        const before = structuredClone(whole);
        expect(dangling(activeLand(whole, retired))).toEqual([]);
        expect(whole).toEqual(before);
      }),
    );
  });

  test('the order does not matter', () => {
    fc.assert(
      fc.property(some, (retired) => {
        expect(activeLand(whole, [...retired].reverse())).toEqual(activeLand(whole, retired));
      }),
    );
  });
});

describe('what leans on a row keeps it in use', () => {
  const library = libraryOf(fakeOperation());
  test.each([
    ['landowner', 1, ['Fernhill Ridge']],
    ['landowner', 9, []],
    ['community', 'glade', ['N3']],
    ['sequence', 'old-field-spray', ['S1']],
    ['treatment', 'dormant-burn', ['Cedar out, then fire', 'the work log']],
    ['treatment', 'photo-points', []],
    ['gear', 'burn-trailer', ['Dormant-season burn']],
    ['unit', 1, []],
  ] as const)('%s %s: %j', (noun, id, expected) =>
    expect(usesOf(whole, library, noun, id)).toEqual(expected),
  );
});
