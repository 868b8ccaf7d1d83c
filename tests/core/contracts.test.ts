import { describe, expect, it } from 'vitest';
import {
  beforeApprovalWords,
  type CostShareContract,
  checkContract,
  contractDeadlines,
  contractStandings,
  contractsWithMerged,
  contractsWithParts,
} from '../../src/core/contracts.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sharedOut } from '../../src/core/land-change.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { WorkDetail } from '../../src/core/work-details.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { wholeOperation } from '../support/record-rows.ts';

/** 314 on N1 (18.5 of 22 acres) and S1 (unit 3, no contract acres), 338 on N1; approved 20 August 2026. */
const contract = wholeOperation().contracts[0] as CostShareContract;

const withEntries = (...entries: WorkEntry[]): Operation => ({
  ...fakeOperation(),
  contracts: [contract],
  entries,
});

const felled = (id: number, unitId: number, doneOn: string, own: Partial<WorkEntry> = {}) =>
  fakeEntry(id, unitId, 'cedar-felling', doneOn, own);

const standing = (
  operation: Operation,
  own: Partial<CostShareContract> = {},
  details: WorkDetail[] = [],
) => contractStandings(operation, null, { ...contract, ...own }, details, fakeToday)[0]!;

describe('a contract as entered', () => {
  it('is sound', () => expect(checkContract(contract)).toEqual([]));

  it.each<[string, Partial<CostShareContract>]>([
    ['program', { program: ' ' }],
    ['approvedOn', { approvedOn: isoDate('2026-03-01') }],
    ['endsOn', { endsOn: isoDate('2026-08-19'), firstPracticeDueOn: null }],
    ['firstPracticeDueOn', { firstPracticeDueOn: isoDate('2030-01-01') }],
    ['practices', { practices: [] }],
    ['p1-number', { practices: [{ ...contract.practices[0]!, number: '' }] }],
    ['p1-units', { practices: [{ ...contract.practices[0]!, units: [] }] }],
    [
      'p1-units',
      { practices: [{ ...contract.practices[0]!, units: [{ unitId: 1, contractAcres: 0 }] }] },
    ],
    ['p1-treatments', { practices: [{ ...contract.practices[0]!, treatmentKeys: [] }] }],
    ['p1-paymentUsd', { practices: [{ ...contract.practices[0]!, paymentUsd: -1 }] }],
  ])('is refused by its %s, with the field and the fix', (field, own) => {
    const problems = checkContract({ ...contract, ...own });
    expect(problems.map((one) => one.field)).toEqual([field]);
    expect(problems[0]!.message).toMatch(/: .+\.$/);
  });
});

describe('work of a practice', () => {
  it('counts from the approval on, and both acres are kept apart', () => {
    const operation = withEntries(
      felled(1, 1, '2026-08-20', { areaAcres: 12, personHours: 40 }),
      felled(2, 1, '2026-10-02', { areaAcres: 6.5, personHours: 24 }),
      felled(3, 2, '2026-10-03'),
      fakeEntry(4, 1, 'cure-check', '2026-10-04'),
    );
    const details: WorkDetail[] = [
      {
        ...{ entryId: 1, moneyUsd: 310, gearHours: [], startedAt: null, endedAt: null },
        ...{ readings: [], photos: ['a.jpg', 'b.jpg'] },
      },
      {
        ...{ entryId: 3, moneyUsd: 99, gearHours: [], startedAt: null, endedAt: null },
        ...{ readings: [], photos: ['c.jpg'] },
      },
    ];
    const found = standing(operation, {}, details);
    expect(
      found.units.map(({ contractAcres, unit, acresDone, doneOn }) => [
        contractAcres,
        unit.areaAcres,
        acresDone,
        doneOn,
      ]),
    ).toEqual([
      [18.5, 22, 18.5, '2026-10-02'],
      [null, operation.units[2]!.areaAcres, 0, null],
    ]);
    expect([found.photoCount, found.spentUsd, found.personHours]).toEqual([2, 310, 64]);
    expect(found.paymentUsd).toBe(210.5 * 18.5);
    expect(found.isDone).toBe(false);
    expect(found.early).toEqual([]);
  });

  it('is done when every unit is, by the smaller of both acres', () => {
    const operation = withEntries(
      felled(1, 1, '2026-09-01', { areaAcres: 18.45 }),
      felled(2, 3, '2026-09-02'),
    );
    expect(standing(operation).isDone).toBe(true);
    expect(standing(operation).doneOn).toBe('2026-09-02');
  });

  it('is never more than the unit, however often it was gone over', () => {
    const operation = withEntries(felled(1, 1, '2026-09-01'), felled(2, 1, '2026-09-09'));
    expect(standing(operation).units[0]!.acresDone).toBe(22);
    expect(standing(operation).paymentUsd).toBe(210.5 * 18.5);
  });

  it.each<[string, Partial<WorkEntry>]>([
    ['not possible', { outcome: 'not-possible' }],
    ['a wildfire', { fireCause: 'wild' }],
  ])('leaves out what is %s', (_name, own) => {
    const operation = withEntries(felled(1, 1, '2026-09-01', own), felled(2, 1, '2026-07-01', own));
    expect(standing(operation).entries).toEqual([]);
    expect(standing(operation).early).toEqual([]);
  });
});

/** Trade rule of cost-share programs: no work before approval without a waiver (EQIP guide, one state, seen). */
describe('work before the approval', () => {
  it.each<[string, string, Partial<WorkEntry>, Partial<CostShareContract>, boolean]>([
    ['the day before', '2026-08-19', {}, {}, true],
    ['on its day', '2026-08-20', {}, {}, false],
    ['begun before, done after', '2026-08-25', { startedOn: isoDate('2026-08-18') }, {}, true],
    ['before the application', '2026-03-01', {}, {}, false],
    ['within a year, no application on file', '2025-09-01', {}, { appliedOn: null }, true],
    ['over a year before, no application', '2025-08-01', {}, { appliedOn: null }, false],
    ['no approval yet', '2026-10-01', {}, { approvedOn: null }, true],
  ])('%s', (_name, doneOn, own, terms, isEarly) => {
    const entry = felled(1, 1, doneOn, own);
    const operation = { ...withEntries(entry), contracts: [{ ...contract, ...terms }] };
    const words = beforeApprovalWords(operation, entry, fakeToday);
    expect(words.length).toBe(isEarly ? 1 : 0);
    if (isEarly) expect(words[0]).toContain('Ask the office');
    const found = standing(operation, terms);
    expect(found.early.length).toBe(isEarly ? 1 : 0);
    // Flagged, not hidden: it is listed, and it does not count as the practice's.
    if (isEarly) expect(found.entries).toEqual([]);
  });

  it('is asked of planned work, too', () => {
    const plan = fakePlan().content;
    const first = plan.tasks.find((task) => task.treatmentKey === 'dormant-burn')!;
    const practice = {
      ...contract.practices[1]!,
      units: [
        {
          unitId:
            first.unitId ??
            fakeOperation().units.find((unit) => unit.blockId === first.blockId)!.id,
          contractAcres: null,
        },
      ],
    };
    const of = (approvedOn: string | null) =>
      contractStandings(
        { ...fakeOperation(), entries: [] },
        plan,
        { ...contract, practices: [practice], approvedOn: approvedOn ? isoDate(approvedOn) : null },
        [],
        fakeToday,
      )[0]!.planned.find(({ task }) => task.key === first.key)?.isBeforeApproval;
    expect(of('2026-08-20')).toBe(false);
    expect(of(null)).toBe(true);
    expect(of('2040-01-01')).toBe(true);
  });
});

describe('days of a contract', () => {
  const days = (operation: Operation, own: Partial<CostShareContract> = {}) =>
    contractDeadlines(operation, [{ ...contract, ...own }], fakeToday).map(
      ({ key, day }) => `${key} ${day}`,
    );

  it('are the first practice, each practice and the end', () =>
    expect(days(withEntries())).toEqual([
      'first 2027-08-20',
      'practice-1 2027-12-31',
      'ends 2029-12-31',
    ]));

  it('fall away with the work', () => {
    expect(days(withEntries(felled(1, 1, '2026-09-01')))).toEqual([
      'practice-1 2027-12-31',
      'ends 2029-12-31',
    ]);
    expect(days(withEntries(felled(1, 1, '2026-09-01'), felled(2, 3, '2026-09-01')))).toEqual([
      'ends 2029-12-31',
    ]);
  });

  it('do not fall away with work before the approval', () =>
    expect(days(withEntries(felled(1, 1, '2026-08-01')))[0]).toBe('first 2027-08-20'));

  it('end with the contract', () =>
    expect(days(withEntries(), { endsOn: isoDate('2026-11-08') })).toEqual([]));
});

describe('units that change shape', () => {
  it('share the contract acres out, and join them again', () => {
    const parts = [
      { id: 1, areaAcres: 15 },
      { id: 90, areaAcres: 5 },
    ];
    const [split] = contractsWithParts([contract], 1, parts, sharedOut);
    expect(split!.practices[0]!.units).toEqual(
      [
        { unitId: 1, contractAcres: 13.87 },
        { unitId: 90, contractAcres: 4.63 },
        { unitId: 3, contractAcres: null },
      ].map((row) =>
        row.unitId === 1
          ? { ...row, contractAcres: expect.closeTo(13.87, 2) }
          : row.unitId === 90
            ? { ...row, contractAcres: expect.closeTo(4.63, 2) }
            : row,
      ),
    );
    const [merged] = contractsWithMerged([split!], [1, 90], 1);
    expect(
      merged!.practices[0]!.units.find(({ unitId }) => unitId === 1)!.contractAcres,
    ).toBeCloseTo(18.5, 9);
    expect(merged!.practices[0]!.units.map(({ unitId }) => unitId).sort()).toEqual([1, 3]);
  });
});
