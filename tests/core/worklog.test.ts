import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chainOf } from '../../src/core/chains.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { NoWorkSpan } from '../../src/core/no-work.ts';
import { noDetail } from '../../src/core/work-details.ts';
import { noWorkInside, sharedByAcres, type WorkEntry } from '../../src/core/worklog.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';

const felling = (change: Partial<WorkEntry> = {}) =>
  fakeEntry(0, 5, 'cedar-felling', '2026-11-09', change);

describe('work inside no-work dates', () => {
  const operation = fakeOperation();
  it.each<[string, Partial<WorkEntry>, number]>([
    ['on a day inside', {}, 1],
    ['on its first day', { doneOn: isoDate('2026-11-01') }, 1],
    ['on its last day', { doneOn: isoDate('2026-11-24') }, 1],
    ['the day after', { doneOn: isoDate('2026-11-25') }, 0],
    [
      'begun before, ended after',
      { startedOn: isoDate('2026-10-20'), doneOn: isoDate('2026-12-01') },
      1,
    ],
    ['in another year', { doneOn: isoDate('2019-11-10') }, 1],
    ['not possible: nothing was done', { outcome: 'not-possible', reason: 'hunters' }, 0],
    ['partly done', { outcome: 'partly' }, 1],
    ['known to the month', { doneOn: isoDate('2026-11-01'), precision: 'month' }, 0],
    ['of another family', { treatmentKey: 'line-build' }, 0],
    ['a wildfire is nobody’s work', { treatmentKey: 'dormant-burn', fireCause: 'wild' }, 0],
    ['on land taken out', { unitId: 99 }, 0],
  ])('%s', (_name, change, count) => {
    expect(noWorkInside(operation, felling(change))).toHaveLength(count);
  });

  it('is lifted by an approval on file only where asking is enough', () => {
    const approved = fakeOperation();
    const [rule] = approved.noWork;
    approved.approvals.push({
      noWorkKey: rule?.key ?? '',
      unitId: 5,
      from: isoDate('2026-11-01'),
      until: isoDate('2026-11-15'),
      grantedBy: 'the owner',
    });
    expect(noWorkInside(approved, felling())).toHaveLength(1);
    (rule as NoWorkSpan).firmness = 'ask-first';
    expect(noWorkInside(approved, felling())).toEqual([]);
    expect(noWorkInside(approved, felling({ doneOn: isoDate('2026-11-16') }))).toHaveLength(1);
  });
});

describe('a report on several units', () => {
  const { units } = fakeOperation();
  const detail = {
    ...noDetail,
    moneyUsd: 100,
    gearHours: [{ gearKey: 'trailer', hours: 6 }],
    readings: [
      {
        at: '14:10',
        tempF: 60,
        rhPercent: 40,
        windMph: 5,
        gustMph: null,
        windFromDegrees: null,
        note: '',
      },
    ],
  };

  it('shares amounts by acres: 30 acres of 40 get three quarters', () => {
    const [first, second] = units;
    if (!first || !second) throw new Error('the operation holds units');
    const two = [
      { ...first, areaAcres: 30 },
      { ...second, areaAcres: 10 },
    ];
    const { id: _, ...entry } = felling({ areaAcres: 40, crewDays: 2, personHours: 33 });
    const parts = sharedByAcres({ entry, detail }, two);
    expect(
      parts.map((one) => [
        one.entry.unitId,
        one.entry.areaAcres,
        one.entry.crewDays,
        one.entry.personHours,
      ]),
    ).toEqual([
      [first.id, 30, 1.5, 24.75],
      [second.id, 10, 0.5, 8.25],
    ]);
    expect(
      parts.map((one) => [
        one.detail.moneyUsd,
        one.detail.gearHours[0]?.hours,
        one.detail.readings.length,
      ]),
    ).toEqual([
      [75, 4.5, 1],
      [25, 1.5, 0],
    ]);
  });

  it('gives parts whose sum is the whole, and blanks for a blank', () => {
    const amount = fc.integer({ min: 0, max: 100_000 }).map((cents) => cents / 100);
    const acres = fc.array(fc.integer({ min: 1, max: 9000 }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(amount, acres, (hours, areas) => {
        const { id: _, ...entry } = felling({ personHours: hours, crewDays: null });
        const land = areas.map((area, index) => ({
          ...(units[0] as (typeof units)[number]),
          id: index + 1,
          areaAcres: area / 10,
        }));
        const parts = sharedByAcres({ entry, detail }, land).map((one) => one.entry);
        const sum = parts.reduce((total, one) => total + (one.personHours ?? 0), 0);
        expect(sum).toBeCloseTo(hours, 6);
        expect(parts.every((one) => (one.personHours ?? -1) >= 0 && one.crewDays === null)).toBe(
          true,
        );
      }),
    );
  });
});

describe('partly done', () => {
  it('leaves the rest planned, with the acres that are left, under a key of its own', () => {
    const operation = fakeOperation();
    const unit = operation.units.find(({ id }) => id === 5);
    const block = operation.blocks.find(({ id }) => id === unit?.blockId);
    if (!unit || !block) throw new Error('unit 5 is there');
    const stepOf = () => {
      const found = chainOf(operation, block).find(
        (one) => one.stepKey === 'fell' && one.unitId === 5 && one.cycle === 1,
      );
      if (!found) throw new Error('the step is there');
      return found;
    };
    const before = stepOf();
    operation.entries.push(
      felling({ id: 90, taskKey: before.key, outcome: 'partly', areaAcres: 10 }),
    );
    const after = stepOf();
    expect(after.standing).toBe('partly-done');
    expect(after.areaAcres).toBeCloseTo(before.areaAcres - 10, 2);
    expect(after.openPart).toBe('rest');
    // The correction to fewer acres leaves more.
    const last = operation.entries.at(-1);
    if (last) operation.entries = [...operation.entries.slice(0, -1), { ...last, areaAcres: 4 }];
    expect(stepOf().areaAcres).toBeCloseTo(before.areaAcres - 4, 2);
  });
});
