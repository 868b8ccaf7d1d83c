import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutBoundary } from '../../src/core/boundary-cuts.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { LandContent } from '../../src/core/library.ts';
import type { Operation } from '../../src/core/operation.ts';
import { fireStatus } from '../../src/core/rotation.ts';
import { mergeUnits } from '../../src/core/unit-merge.ts';
import { splitUnit, type UnitPart, type UnitSplit } from '../../src/core/unit-split.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';

const next = { unit: 101, block: 201, line: 301, entry: 401 };

function part(code: string, areaAcres: number, own: Partial<UnitPart> = {}): UnitPart {
  return {
    code,
    name: `Part ${code}`,
    areaAcres,
    boundary: null,
    measuredAcres: null,
    perimeterFeet: null,
    ...own,
  };
}

/** N2 (31 acres, between N1 and N3) in 21 acres on the west and 10 on the east. */
function splitN2(own: Partial<UnitSplit> = {}, change: (land: Operation) => void = () => {}) {
  const operation = fakeOperation();
  change(operation);
  const [east, west] = cutBoundary(
    operation.units[1]!.boundary!,
    [-92.092, 37.21],
    [-92.092, 37.2],
  )!;
  const split: UnitSplit = {
    unitId: 2,
    parts: [part('N2', 21, { boundary: west }), part('N2e', 10, { boundary: east })],
    isTogether: false,
    isAcresConfirmed: false,
    ...own,
  };
  const outcome = splitUnit(operation, split, fakeToday, next);
  if (!outcome.ok) throw new Error(outcome.problems.map((one) => one.message).join(' '));
  return { operation, ...outcome.value, after: { ...operation, ...outcome.value.land } };
}

describe('a unit split', () => {
  it('keeps the row of the first part and gives the others rows of their own', () => {
    const { land } = splitN2();
    const parts = land.units.filter((unit) => unit.code.startsWith('N2'));
    expect(parts.map(({ id, blockId, code, areaAcres }) => [id, blockId, code, areaAcres])).toEqual(
      [
        [2, 2, 'N2', 21],
        [101, 201, 'N2e', 10],
      ],
    );
    expect(land.blocks.at(-1)).toMatchObject({
      id: 201,
      code: 'N2e',
      sequenceKey: 'cedar-woodland',
      sequenceStartsOn: '2024-07-01',
      firstCycle: 1,
      prescriptionKey: 'hardwood-litter',
      readiness: { planSignedBy: null, consentUntil: null, peopleNamed: false },
    });
  });

  it('keeps the parts in one block when they are burned together', () => {
    const { land, operation } = splitN2({ isTogether: true });
    expect(land.units.filter((unit) => unit.blockId === 2).map((unit) => unit.code)).toEqual([
      'N2',
      'N2e',
    ]);
    expect(land.blocks).toEqual(operation.blocks);
    expect(land.neighbours).toContainEqual({
      unitIds: [2, 101],
      sharedFeet: expect.closeTo(1457, -1),
      rule: 'together',
    });
  });

  it('shares out what was done so that the sums are those of the whole', () => {
    const { land } = splitN2();
    const felled = land.entries.filter((entry) => entry.treatmentKey === 'cedar-felling');
    expect(
      felled.map(({ id, unitId, areaAcres, crewDays }) => [id, unitId, areaAcres, crewDays]),
    ).toEqual([
      [2, 2, 21, 8.13],
      [401, 101, 10, 3.87],
    ]);
    expect(felled[1]!.note).toBe(
      'From N2 (31 acres), split 2026-11-09, amounts shared out by acres.',
    );
  });

  const keys: [string, boolean, string][] = [
    ['unit:2/cedar-woodland/fell/1/-', true, 'unit:101/cedar-woodland/fell/1/-'],
    ['unit:2/cedar-woodland/fell/1/-', false, 'unit:101/cedar-woodland/fell/1/-'],
    ['block:2/cedar-woodland/burn/1/-', true, 'block:2/cedar-woodland/burn/1/-'],
    ['block:2/cedar-woodland/burn/1/-', false, 'block:201/cedar-woodland/burn/1/-'],
  ];
  it.each(keys)('a fact of %s, together %s, is one of %s', (key, isTogether, expected) => {
    const { land } = splitN2({ isTogether }, (it) =>
      it.entries.push(fakeEntry(9, 2, 'photo-points', '2025-05-01', { taskKey: key })),
    );
    const facts = land.entries.filter((entry) => entry.treatmentKey === 'photo-points');
    expect(facts.map((entry) => entry.taskKey)).toEqual([key, expected]);
  });

  it('divides lines by the map and draws the one between blocks of their own', () => {
    const { land, operation } = splitN2({}, (it) =>
      it.lines.push({ ...it.lines[0]!, id: 3, name: 'North edge', lengthFeet: 1000, unitIds: [2] }),
    );
    const feet = (name: string) =>
      land.lines.filter((line) => line.name.startsWith(name)).map((l) => [l.unitIds, l.lengthFeet]);
    // The road lies on the west side of N2, so it stays with the west part.
    expect(feet('Ridge road')).toEqual([[[1, 2], 1800]]);
    const north = feet('North edge');
    expect(north.map(([ids]) => ids)).toEqual([[2], [101]]);
    expect(north.reduce((sum, [, length]) => sum + (length as number), 0)).toBeCloseTo(1000, 6);
    // 0.003 of 0.005 degrees lie west of the cut.
    expect(north[0]![1]).toBeCloseTo(600, -1);
    const inner = land.lines.find((line) => line.unitIds.join() === '2,101');
    expect(inner).toMatchObject({ kind: 'mown', readyOn: null, name: 'N2 to N2e' });
    expect(inner!.lengthFeet).toBeGreaterThan(1400);
    expect(operation.lines).toHaveLength(3);
  });

  it('finds the neighbors of each part anew and keeps the rules of pairs', () => {
    const { land } = splitN2({}, (it) => {
      it.neighbours.push({ unitIds: [2, 3], sharedFeet: 1457, rule: 'apart' });
      it.neighbours[0]!.rule = 'together';
    });
    expect(land.neighbours.map(({ unitIds, rule }) => [unitIds.join(' '), rule])).toEqual([
      ['1 2', 'together'],
      ['2 5', null],
      ['2 101', null],
      ['3 101', 'apart'],
      ['5 101', null],
    ]);
  });

  it('without a map: lines by acres, every old neighbor of every part', () => {
    const parts = [part('N2', 21), part('N2e', 10)];
    const { land } = splitN2({ parts });
    const road = land.lines.filter((line) => line.kind === 'road');
    expect(road.map(({ unitIds, lengthFeet }) => [unitIds, lengthFeet])).toEqual([
      [[1, 2], 1219.35],
      [[1, 101], 580.65],
    ]);
    expect(land.neighbours.map(({ unitIds }) => unitIds)).toEqual([
      [1, 2],
      [1, 101],
    ]);
  });

  it('holds for each part what protects, bars or allows on the whole', () => {
    const { land } = splitN2({}, (it) => {
      it.approvals.push({
        noWorkKey: 'bats',
        unitId: 2,
        from: isoDate('2026-01-01'),
        until: isoDate('2026-12-31'),
        grantedBy: 'office',
      });
      it.grazing.push({
        id: 1,
        propertyId: 1,
        unitIds: [2, 3],
        stock: 'cattle',
        opens: '05-01' as never,
        closes: '08-01' as never,
        from: null,
        until: null,
        restDaysBeforeFire: 0,
        deferDaysAfterFire: 0,
        note: '',
      });
    });
    expect(land.grazing[0]!.unitIds).toEqual([2, 3, 101]);
    expect(land.approvals.map((row) => row.unitId)).toEqual([2, 101]);
  });

  const refusals: [string, Partial<UnitSplit>, string, string][] = [
    ['one part', { parts: [part('N2', 31)] }, 'split-parts', ''],
    ['seven parts', { parts: Array.from('abcdefg', (code) => part(code, 4)) }, 'split-parts', ''],
    [
      'a code that is taken',
      { parts: [part('N2', 21), part('N3', 10)] },
      'unit-code-taken',
      'code2',
    ],
    ['a code twice', { parts: [part('A', 21), part('A', 10)] }, 'split-code-twice', 'code2'],
    ['no code', { parts: [part('', 21), part('A', 10)] }, 'unit-code', 'code1'],
    [
      'the code of a block',
      { parts: [part('N2', 21), part('E', 10)] },
      'split-block-code',
      'code2',
    ],
    ['no acres', { parts: [part('N2', 31), part('A', 0)] }, 'split-acres', 'acres2'],
    [
      'acres that do not add up',
      { parts: [part('N2', 21), part('A', 12)] },
      'split-sum',
      'isAcresConfirmed',
    ],
  ];
  it.each(refusals)('refuses %s', (_name, own, code, field) => {
    const split = { unitId: 2, parts: [], isTogether: false, isAcresConfirmed: false, ...own };
    const outcome = splitUnit(fakeOperation(), split, fakeToday, next);
    expect(
      outcome.ok ? [] : outcome.problems.map((one) => [one.code, one.field ?? '']),
    ).toContainEqual([code, field]);
  });

  it('takes acres that do not add up once they are confirmed', () => {
    const parts = [part('N2', 21), part('A', 12)];
    expect(splitN2({ parts, isAcresConfirmed: true }).land.units).toHaveLength(9);
  });
});

function merge(
  own: { keepId?: number; otherIds?: number[]; code?: string } = {},
  change: (land: Operation) => void = () => {},
) {
  const operation = fakeOperation();
  change(operation);
  const request = { keepId: 1, otherIds: [2], code: 'N1', name: 'Both', ...own };
  const outcome = mergeUnits(operation, operation.treatments, request, null, fakeToday);
  if (!outcome.ok) throw new Error(outcome.problems.map((one) => one.message).join(' '));
  return { operation, ...outcome.value, after: { ...operation, ...outcome.value.land } };
}

describe('units merged', () => {
  it('take along what was seen, and the photo points', () => {
    const { land } = merge({}, (it) => {
      const place = { seenOn: isoDate('2026-08-01'), seenBy: '', note: '' };
      const finding = { kind: 'covey-count' as const, stations: 1, coveys: 2 };
      it.visits = [1, 2, 3].map((unitId) => ({ id: unitId, unitId, finding, ...place }));
      const point = { name: 'North', marker: 'post', bearingDegrees: 0, frame: '' };
      it.photoPoints = [{ id: 9, unitId: 2, ...point }];
    });
    expect(land.visits.map(({ unitId }) => unitId)).toEqual([1, 1, 3]);
    expect(land.photoPoints.map(({ unitId }) => unitId)).toEqual([1]);
  });

  it('keep the first row; the other, its emptied block and the line between go', () => {
    const { land } = merge();
    expect(land.units.find((unit) => unit.id === 1)).toMatchObject({
      blockId: 1,
      areaAcres: 53,
      name: 'Both',
    });
    expect(land.units.map((unit) => unit.id)).not.toContain(2);
    expect(land.blocks.map((block) => block.id)).toEqual([1, 3, 4, 5, 6, 7]);
    expect(land.lines.map((line) => line.name)).toEqual(['North line']);
    expect(land.neighbours).toEqual([]);
  });

  it('keep a block that has other units', () => {
    const { land } = merge({ keepId: 3, otherIds: [6], code: 'N3' }, (it) =>
      it.neighbours.push({ unitIds: [3, 6], sharedFeet: 500, rule: null }),
    );
    expect(land.blocks.map((block) => block.id)).toContain(6);
  });

  it('point lines and neighbors of the others at the survivor, with the strictest rule', () => {
    const { land } = merge({}, (it) => {
      it.lines.push({ ...it.lines[0]!, id: 3, name: 'East line', unitIds: [2, 3] });
      it.neighbours.push(
        { unitIds: [2, 3], sharedFeet: 1400, rule: 'apart' },
        { unitIds: [1, 3], sharedFeet: 100, rule: 'together' },
      );
    });
    expect(land.lines.find((line) => line.id === 3)!.unitIds).toEqual([1, 3]);
    expect(land.neighbours).toEqual([{ unitIds: [1, 3], sharedFeet: 1500, rule: 'apart' }]);
  });

  // 22 + 31 = 53 acres; a fire counts from 60 %.
  const fires: [string, WorkEntry[], Partial<WorkEntry>[]][] = [
    [
      'a fire on one part counts with its share',
      [fakeEntry(11, 2, 'dormant-burn', '2026-03-01')],
      [{ outcome: 'partly', shareBlackPercent: 58.4, areaAcres: 31 }],
    ],
    [
      'a fire on both parts on one day is one fire',
      [
        fakeEntry(11, 1, 'dormant-burn', '2026-03-01', { shareBlackPercent: 90, crewDays: 1 }),
        fakeEntry(12, 2, 'dormant-burn', '2026-03-01', { shareBlackPercent: 50, crewDays: 2 }),
      ],
      [{ outcome: 'done', shareBlackPercent: 66.6, crewDays: 3 }],
    ],
    [
      'a share that nobody noted counts as whole',
      [
        fakeEntry(11, 1, 'dormant-burn', '2026-03-01'),
        fakeEntry(12, 2, 'dormant-burn', '2026-03-01', { shareBlackPercent: 50 }),
      ],
      [{ outcome: 'done', shareBlackPercent: 70.7 }],
    ],
    [
      'neither share was noted',
      [
        fakeEntry(11, 1, 'dormant-burn', '2026-03-01'),
        fakeEntry(12, 2, 'dormant-burn', '2026-03-01'),
      ],
      [{ outcome: 'done', shareBlackPercent: null }],
    ],
    [
      'fires on two days stay two',
      [
        fakeEntry(11, 1, 'dormant-burn', '2026-03-01'),
        fakeEntry(12, 2, 'dormant-burn', '2026-03-02'),
      ],
      [
        { outcome: 'partly', shareBlackPercent: 41.5 },
        { outcome: 'partly', shareBlackPercent: 58.4 },
      ],
    ],
    [
      'a wildfire and a planned fire stay two',
      [
        fakeEntry(11, 1, 'dormant-burn', '2026-03-01'),
        fakeEntry(12, 2, 'dormant-burn', '2026-03-01', { fireCause: 'wild' }),
      ],
      [{ fireCause: 'planned' }, { fireCause: 'wild' }],
    ],
    [
      'one that is still open keeps the joined one open',
      [
        fakeEntry(11, 1, 'dormant-burn', '2026-03-01'),
        fakeEntry(12, 2, 'dormant-burn', '2026-03-01', { signedOutOn: null }),
      ],
      [{ signedOutOn: null }],
    ],
    [
      'felling on a part is partly done',
      [fakeEntry(11, 2, 'cedar-felling', '2025-12-01', { crewDays: 4 })],
      [{ outcome: 'partly', areaAcres: 31, crewDays: 4 }],
    ],
    [
      'felling on both on one day is done',
      [
        fakeEntry(11, 1, 'cedar-felling', '2025-12-01', { areaAcres: 22 }),
        fakeEntry(12, 2, 'cedar-felling', '2025-12-01', { areaAcres: 30 }),
      ],
      [{ outcome: 'done', areaAcres: 52 }],
    ],
    [
      'work under way moves as it is, its task gone',
      [
        fakeEntry(11, 2, 'cedar-felling', '2025-12-01', {
          outcome: 'under-way',
          taskKey: 'unit:2/cedar-woodland/fell/1/-',
        }),
      ],
      [{ outcome: 'under-way', taskKey: null, unitId: 1 }],
    ],
    [
      'the task of the survivor stays',
      [
        fakeEntry(11, 1, 'cedar-felling', '2025-12-01', {
          taskKey: 'unit:1/cedar-woodland/fell/1/-',
        }),
        fakeEntry(12, 2, 'cedar-felling', '2025-12-01', {
          taskKey: 'unit:2/cedar-woodland/fell/1/-',
        }),
      ],
      [{ taskKey: 'unit:1/cedar-woodland/fell/1/-' }],
    ],
  ];
  it.each(fires)('%s', (_name, entries, expected) => {
    const { land } = merge({}, (it) => {
      it.entries = entries;
    });
    expect(land.entries).toHaveLength(expected.length);
    for (const [at, entry] of land.entries.entries()) expect(entry).toMatchObject(expected[at]!);
  });

  it('take over consents and approvals only where every part had one', () => {
    const span = { from: isoDate('2026-01-01'), until: isoDate('2026-12-31') };
    const consent = { propertyId: 1, families: [], givenBy: 'owner', isNeighbour: false, note: '' };
    const { land, notes } = merge({}, (it) => {
      it.consents.push(
        { ...consent, ...span, id: 1, unitIds: [1, 2] },
        { ...consent, ...span, id: 2, unitIds: [2] },
        { ...consent, ...span, id: 3, unitIds: [2, 3] },
        { ...consent, ...span, id: 4, unitIds: [] },
      );
      it.approvals.push(
        { ...span, noWorkKey: 'bats', unitId: 1, grantedBy: 'office' },
        { ...span, noWorkKey: 'bats', unitId: 2, grantedBy: 'office', from: isoDate('2026-06-01') },
        { ...span, noWorkKey: 'wilt', unitId: 1, grantedBy: 'office' },
      );
    });
    expect(land.consents.map((row) => [row.id, row.unitIds])).toEqual([
      [1, [1]],
      [3, [3]],
      [4, []],
    ]);
    expect(land.approvals).toEqual([
      {
        noWorkKey: 'bats',
        unitId: 1,
        from: '2026-06-01',
        until: '2026-12-31',
        grantedBy: 'office',
      },
    ]);
    expect(notes.join(' ')).toContain('ask again');
  });

  const refusals: [string, object, string][] = [
    ['one unit', { otherIds: [] }, 'merge-units'],
    ['a unit of another property', { otherIds: [8] }, 'merge-property'],
    ['a unit that lies apart', { otherIds: [3] }, 'merge-apart'],
    ['a code that is taken', { code: 'S1' }, 'unit-code-taken'],
  ];
  it.each(refusals)('refuses %s', (_name, own, code) => {
    const operation = fakeOperation();
    const request = { keepId: 1, otherIds: [2], code: 'N1', name: '', ...own };
    const outcome = mergeUnits(operation, operation.treatments, request, null, fakeToday);
    expect(outcome.ok ? [] : outcome.problems.map((one) => one.code)).toEqual([code]);
  });
});

function sums(land: LandContent, unitIds: readonly number[]) {
  const own = land.entries.filter((entry) => unitIds.includes(entry.unitId));
  const sum = (key: 'areaAcres' | 'crewDays' | 'personHours') =>
    own.reduce((total, entry) => total + (entry[key] ?? 0), 0);
  return [sum('areaAcres'), sum('crewDays'), sum('personHours')];
}

describe('split, then merge', () => {
  const amount = fc.option(fc.integer({ min: 0, max: 4000 }).map((tenths) => tenths / 10));
  const fire = fc.record({
    day: fc.constantFrom('2023-02-01', '2024-02-01', '2025-12-01', '2026-03-01'),
    share: fc.option(fc.double({ min: 0, max: 100, noNaN: true })),
    acres: amount,
    crewDays: amount,
    hours: amount,
  });
  it('gives the acres, the amounts and the fire status it began with', () => {
    const weights = fc.array(fc.integer({ min: 1, max: 90 }), { minLength: 2, maxLength: 6 });
    fc.assert(
      fc.property(weights, fc.uniqueArray(fire, { selector: (one) => one.day }), (list, fires) => {
        const operation = fakeOperation();
        const total = list.reduce((sum, one) => sum + one, 0);
        Object.assign(operation.units[1]!, { areaAcres: total, boundary: null });
        operation.entries = fires.map((one, at) =>
          fakeEntry(at + 1, 2, 'dormant-burn', one.day, {
            shareBlackPercent: one.share,
            areaAcres: one.acres,
            crewDays: one.crewDays,
            personHours: one.hours,
          }),
        );
        const parts = list.map((acres, at) => part(`P-${at}`, acres));
        const split = splitUnit(
          operation,
          { unitId: 2, parts, isTogether: true, isAcresConfirmed: false },
          fakeToday,
          next,
        );
        if (!split.ok) throw new Error(split.problems[0]!.message);
        const ids = [2, ...list.slice(1).map((_, at) => next.unit + at)];
        const before = sums(operation, [2]);
        for (const [at, sum] of sums(split.value.land, ids).entries())
          expect(sum).toBeCloseTo(before[at]!, 6);
        const parted = { ...operation, ...split.value.land };
        const statuses = ids.map((id) =>
          fireStatus(parted, parted.units.find((unit) => unit.id === id)!, fakeToday),
        );
        const own = fireStatus(operation, operation.units[1]!, fakeToday);
        for (const status of statuses) expect(status).toEqual(own);
        // Parts without a map touch each other only by pairs on file.
        for (let at = 1; at < ids.length; at++)
          parted.neighbours.push({ unitIds: [ids[0]!, ids[at]!], sharedFeet: 100, rule: null });
        const merged = mergeUnits(
          parted,
          operation.treatments,
          { keepId: 2, otherIds: ids.slice(1), code: 'N2', name: 'Two Springs' },
          null,
          fakeToday,
        );
        if (!merged.ok) throw new Error(merged.problems[0]!.message);
        const again = { ...operation, ...merged.value.land };
        const unit = again.units.find((one) => one.id === 2)!;
        expect(unit.areaAcres).toBe(total);
        expect(fireStatus(again, unit, fakeToday)).toEqual(own);
        for (const [at, sum] of sums(again, [2]).entries()) expect(sum).toBeCloseTo(before[at]!, 1);
      }),
      { numRuns: 60 },
    );
  });
});
