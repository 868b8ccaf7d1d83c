import { describe, expect, it } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webShapes } from '../../src/cli/web-shapes.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { ShapeChange } from '../../src/web/deps.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

/** The invented operation in a database, its plan in force and published. */
function land(change: (operation: Operation) => void = () => {}) {
  const operation = fakeOperation();
  change(operation);
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  const { store } = file;
  store.replaceLand(contentOf(operation));
  const draft = store.plans.saveDraft(fakePlan().content, store.revision());
  store.plans.adopt(draft.id, () => file.publish());
  const tasks = (place: string) =>
    store
      .published()
      .filter((row) => row.taskKey.startsWith(`${place}/`))
      .map(({ taskKey, uid, sequence, cancelledAt }) => ({
        taskKey,
        uid,
        sequence,
        isCancelled: cancelledAt !== null,
      }));
  return { file, shapes: webShapes(file), tasks };
}

const split: ShapeChange = {
  kind: 'split',
  unitId: 2,
  parts: [
    { code: 'N2', name: 'West', areaAcres: null },
    { code: 'N2e', name: 'East', areaAcres: null },
  ],
  isTogether: false,
  isAcresConfirmed: false,
  // Up the middle of N2, so that west is on the left.
  cut: { by: 'line', from: [-92.0925, 37.2], to: [-92.0925, 37.204] },
};
const merge: ShapeChange = { kind: 'merge', keepId: 1, otherIds: [2], code: 'N1', name: 'Both' };

describe('a change of shape', () => {
  const changes: [string, ShapeChange][] = [
    ['split', split],
    ['merge', merge],
    ['join', { kind: 'join', keepId: 1, otherId: 2 }],
    ['part', { kind: 'part', blockId: 6 }],
    ['lines', { kind: 'lines', propertyId: 1 }],
  ];
  it.each(changes)('%s: a preview says what would change and changes nothing', (_name, change) => {
    const { file, shapes } = land();
    const before = structuredClone(file.operation());
    const revision = file.store.revision();
    const preview = shapes.preview(change);
    expect(preview.ok && preview.value.notes.length).toBeGreaterThan(0);
    expect(preview.ok && preview.value.land).not.toEqual(contentOf(before));
    expect(file.store.revision()).toBe(revision);
    expect(file.store.operation(file.library)).toEqual(before);
    file.close();
  });

  it.each(changes)('%s: what is saved is what the preview showed', (_name, change) => {
    const { file, shapes } = land();
    const preview = shapes.preview(change);
    expect(shapes.save(change)).toEqual([]);
    if (!preview.ok) throw new Error('refused');
    const { units, blocks, lines, neighbours, entries } = preview.value.land;
    expect(file.operation()).toMatchObject({ units, blocks, lines, neighbours, entries });
    file.close();
  });
});

describe('a unit split', () => {
  it('measures its parts and shares its acres out as the map shows', () => {
    const { file, shapes } = land();
    shapes.save(split);
    const parts = file.operation().units.filter((unit) => unit.code.startsWith('N2'));
    expect(parts.map((unit) => [unit.code, unit.areaAcres])).toEqual([
      ['N2', 15.5],
      ['N2e', 15.5],
    ]);
    expect(parts[0]!.measuredAcres! / parts[1]!.measuredAcres!).toBeCloseTo(1, 6);
    file.close();
  });

  it('keeps the feed entries of the unit and publishes what was done on each part', () => {
    const { file, shapes, tasks } = land((it) => {
      it.entries[1]!.taskKey = 'unit:2/cedar-woodland/fell/1/-';
    });
    const before = [...tasks('unit:2'), ...tasks('block:2')];
    expect(before.length).toBeGreaterThan(1);
    shapes.save(split);
    const after = [...tasks('unit:2'), ...tasks('block:2')];
    expect(after.map(({ taskKey, uid, isCancelled }) => [taskKey, uid, isCancelled])).toEqual(
      before.map(({ taskKey, uid }) => [taskKey, uid, false]),
    );
    const copies = tasks('unit:9');
    expect(copies.map((row) => row.taskKey)).toEqual(['unit:9/cedar-woodland/fell/1/-']);
    expect(before.map((row) => row.uid)).not.toContain(copies[0]!.uid);
    file.close();
  });

  it('takes boundaries in the order of their codes and refuses what is not the unit, cut', () => {
    const { file, shapes } = land();
    const box = (code: string, west: number, east: number) => ({
      type: 'Feature',
      properties: { code },
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [west, 37.2],
            [east, 37.2],
            [east, 37.204],
            [west, 37.204],
            [west, 37.2],
          ],
        ],
      },
    });
    const pasted = (...features: object[]): ShapeChange => ({
      ...(split as Extract<ShapeChange, { kind: 'split' }>),
      cut: { by: 'text', text: JSON.stringify({ type: 'FeatureCollection', features }) },
    });
    const east = box('N2e', -92.091, -92.09);
    const west = box('N2', -92.095, -92.091);
    const refused = (change: ShapeChange) => {
      const preview = shapes.preview(change);
      return preview.ok ? '' : preview.problems[0]!.message;
    };
    expect(refused(pasted(east))).toContain('there are 1, and 2 parts');
    expect(refused(pasted(east, east))).toContain('lie in two parts');
    expect(refused(pasted(box('a', -92.097, -92.091), east))).toContain('lie outside N2');
    expect(refused(pasted(box('a', -92.093, -92.091), east))).toContain('are in no part');
    expect(shapes.save(pasted(east, west))).toEqual([]);
    const parts = file.operation().units.filter((unit) => unit.code.startsWith('N2'));
    expect(parts.map((unit) => [unit.code, unit.areaAcres])).toEqual([
      ['N2', 24.8],
      ['N2e', 6.2],
    ]);
    file.close();
  });

  const lines: [string, Partial<Extract<ShapeChange, { kind: 'split' }>>, string][] = [
    [
      'a line that misses it',
      { cut: { by: 'line', from: [-92, 37], to: [-92, 38] } },
      'cut-misses',
    ],
    ['no acres and no map', { cut: { by: 'none' } }, 'split-acres'],
    ['no GeoJSON', { cut: { by: 'text', text: '{' } }, 'not-json'],
  ];
  it.each(lines)('refuses %s', (_name, own, code) => {
    const { file, shapes } = land();
    const before = file.store.revision();
    const change = { ...split, ...own } as ShapeChange;
    expect(shapes.save(change).map((one) => one.code)).toContain(code);
    expect(file.store.revision()).toBe(before);
    file.close();
  });
});

describe('units merged', () => {
  it('leave tombstones for the tasks that are gone; those of the survivor stay', () => {
    const { file, shapes, tasks } = land();
    const [kept, gone] = [tasks('block:1'), [...tasks('unit:2'), ...tasks('block:2')]];
    const preview = shapes.preview(merge);
    expect(preview.ok && preview.value.vanishing.length).toBe(
      fakePlan().content.tasks.filter((task) => task.blockId === 2).length,
    );
    shapes.save(merge);
    const uids = (rows: ReturnType<typeof tasks>) => rows.map((row) => [row.uid, row.isCancelled]);
    expect(uids(tasks('block:1'))).toEqual(uids(kept));
    expect(uids([...tasks('unit:2'), ...tasks('block:2')])).toEqual(
      gone.map((row) => [row.uid, true]),
    );
    expect(gone.length).toBeGreaterThan(1);
    file.close();
  });

  it('do not count a task that is done among those that go', () => {
    const gone = fakePlan().content.tasks.filter((task) => task.blockId === 2);
    const { file, shapes } = land((it) => {
      it.entries.push(fakeEntry(91, 2, 'cure-check', '2026-11-08', { taskKey: gone[0]!.key }));
    });
    const preview = shapes.preview(merge);
    expect(preview.ok && preview.value.vanishing.length).toBe(gone.length - 1);
    file.close();
  });

  it('leave a retired unit its place in leases and consents for when it comes back', () => {
    const { file, shapes } = land((it) => {
      it.consents.push({
        id: 1,
        propertyId: 1,
        unitIds: [2, 3],
        families: ['burn'],
        givenBy: 'the owner',
        isNeighbour: false,
        from: isoDate('2026-01-01'),
        until: isoDate('2027-12-31'),
        note: '',
      });
      it.bookings.push({
        id: 2,
        crewId: 1,
        state: 'asked',
        unitIds: [2],
        from: isoDate('2026-12-01'),
        until: isoDate('2026-12-10'),
        priceBasis: 'day',
        priceUsd: 0,
        moveInUsd: 0,
        daysLeast: 0,
        bookBy: null,
        note: '',
      });
    });
    shapes.save(merge);
    const seen = () => {
      const { consents, bookings } = file.operation();
      return [consents[0]!.unitIds, bookings[0]!.unitIds].map((ids) => ids.toSorted());
    };
    expect(seen()).toEqual([[3], [1]]);
    for (const noun of ['block', 'unit'] as const)
      expect(file.store.records.bringBack(noun, 2, file.library)).toEqual([]);
    expect(seen()).toEqual([
      [2, 3],
      [1, 2],
    ]);
    file.close();
  });

  it('are one outline, measured', () => {
    const { file, shapes } = land();
    shapes.save(split);
    shapes.save({ kind: 'merge', keepId: 2, otherIds: [9], code: 'N2', name: 'Two Springs' });
    const unit = file.operation().units.find((one) => one.id === 2)!;
    expect(unit.areaAcres).toBe(31);
    expect(unit.boundary!.type).toBe('Polygon');
    // N1 is a square like N2.
    shapes.save({ kind: 'merge', keepId: 2, otherIds: [1], code: 'N2', name: '' });
    const both = file.operation().units.find((one) => one.id === 2)!;
    expect(both.measuredAcres! / unit.measuredAcres!).toBeCloseTo(2, 6);
    file.close();
  });

  it('keep the code of a retired unit taken', () => {
    const { file, shapes } = land();
    shapes.save(merge);
    const problems = shapes.save({
      ...(split as Extract<ShapeChange, { kind: 'split' }>),
      unitId: 1,
      parts: [
        { code: 'N1', name: '', areaAcres: 30 },
        { code: 'N2', name: '', areaAcres: 23 },
      ],
      cut: { by: 'none' },
    });
    expect(problems.map((one) => one.message).join(' ')).toContain('N2 is the code of a retired');
    file.close();
  });
});

describe('blocks', () => {
  it('made one: every planned task of the other goes, of its units too', () => {
    const { file, shapes } = land();
    const preview = shapes.preview({ kind: 'join', keepId: 1, otherId: 2 });
    const gone = fakePlan().content.tasks.filter((task) => task.blockId === 2);
    expect(gone.some((task) => task.unitId !== null)).toBe(true);
    expect(preview.ok && preview.value.vanishing.length).toBe(gone.length);
    file.close();
  });

  it('made one and parted again come back with the same feed entries', () => {
    const { file, shapes, tasks } = land();
    const before = tasks('block:2');
    expect(before.length).toBeGreaterThan(0);
    shapes.save({ kind: 'join', keepId: 1, otherId: 2 });
    expect(file.operation().units.filter((unit) => unit.blockId === 1)).toHaveLength(2);
    expect(tasks('block:2').every((row) => row.isCancelled)).toBe(true);
    expect(shapes.save({ kind: 'part', blockId: 1 })).toEqual([]);
    expect(file.operation().units.map((unit) => unit.blockId)).toEqual([1, 2, 3, 4, 5, 6, 6, 7]);
    const after = tasks('block:2');
    expect(after.map((row) => row.uid)).toEqual(before.map((row) => row.uid));
    expect(after.every((row) => !row.isCancelled)).toBe(true);
    after.forEach((row, at) => {
      expect(row.sequence).toBeGreaterThan(before[at]!.sequence);
    });
    file.close();
  });
});

describe('lines drawn from edges', () => {
  it('measure what is there and add what is not; kind, width and dates stay', () => {
    const { file, shapes } = land();
    expect(shapes.save({ kind: 'lines', propertyId: 1 })).toEqual([]);
    const { lines } = file.operation();
    const road = lines.find((line) => line.id === 2)!;
    expect(road).toMatchObject({ kind: 'road', widthFeet: 12, unitIds: [1, 2] });
    // 0.004 degrees of latitude at 37.2 N: 443.9 m (series of the meridian arc, from memory).
    expect(Math.abs(road.lengthFeet - 1457)).toBeLessThan(5);
    expect(road.path).toHaveLength(1);
    const again = shapes.preview({ kind: 'lines', propertyId: 1 });
    expect(again.ok && again.value.land.lines).toEqual(lines);
    file.close();
  });
});
