import { describe, expect, test } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import { type YearRow, yearOfWork } from '../../src/core/year.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

const d = isoDate;
const span = { startsOn: d('2026-10-01'), endsBefore: d('2028-04-01') };

function rows(change: (operation: Operation) => void = () => {}, shown = span): YearRow[] {
  const operation = fakeOperation();
  change(operation);
  const tasks = fakePlan().content.tasks;
  return yearOfWork(operation, tasks, operation.units, fakeToday, shown).flatMap((one) => one.rows);
}

const row = (code: string, change?: (operation: Operation) => void, shown = span) =>
  rows(change, shown).find((one) => one.unit.code === code)!;
const marksOf = (one: YearRow) =>
  one.marks.map((mark) => [mark.name, mark.state, mark.startsOn, mark.lastDay]);

describe('rows', () => {
  test('are grouped by property, units by code, and numbers in codes count as numbers', () => {
    const operation = fakeOperation();
    operation.units[0]!.code = 'N10';
    const groups = yearOfWork(operation, [], operation.units, fakeToday, span);
    expect(groups.map((one) => one.property.name)).toEqual(['Fernhill Ridge', 'Lower Sedge']);
    const codes = ['E1', 'E2', 'N2', 'N3', 'N10', 'S1', 'S2'];
    expect(groups[0]?.rows.map((one) => one.unit.code)).toEqual(codes);
  });

  test('a property without a shown unit is left out', () => {
    const operation = fakeOperation();
    const units = operation.units.filter((unit) => unit.propertyId === 2);
    expect(yearOfWork(operation, [], units, fakeToday, span)).toHaveLength(1);
  });
});

describe('work on a row', () => {
  test('a burn is one mark over its span; what is tied to its day has no dates of its own', () => {
    expect(marksOf(row('N1'))).toEqual([
      ['Make the line', 'dated', '2026-11-02', '2026-11-04'],
      ['Dormant-season burn', 'when-fit', '2027-01-11', '2027-01-24'],
    ]);
    expect(row('N1').marks[1]?.onTheDay).toEqual(['Blow the line again']);
  });

  test.each([
    ['under-way', [['Foliar spray', 'under-way', '2026-11-05', '2026-11-20']]],
    ['not-possible', [['Foliar spray', 'not-possible', '2026-11-05', '2026-11-20']]],
    ['done', [['Foliar spray', 'done', '2026-11-06', '2026-11-06']]],
    [
      'partly',
      [
        ['Foliar spray', 'dated', '2026-11-05', '2026-11-20'],
        ['Foliar spray', 'partly', '2026-11-06', '2026-11-06'],
      ],
    ],
  ] as const)('a planned task whose last entry says %s', (outcome, expected) => {
    const one = row('S1', (operation) => {
      operation.entries.find((entry) => entry.id === 4)!.outcome = outcome;
    });
    expect(marksOf(one)).toEqual(expected);
  });

  test('a fact without a task is shown on its own unit of the block only', () => {
    expect(marksOf(row('E1'))).toEqual([
      ['Dormant-season burn', 'done', '2026-11-07', '2026-11-07'],
    ]);
    expect(row('E2').marks).toEqual([]);
  });

  test('work that ended before the first day or starts on the day after the last is not shown', () => {
    const from = { startsOn: d('2026-11-05'), endsBefore: d('2027-01-11') };
    expect(row('N1', undefined, from).marks).toEqual([]);
    const touching = { startsOn: d('2026-11-04'), endsBefore: d('2027-01-12') };
    expect(row('N1', undefined, touching).marks).toHaveLength(2);
  });
});

describe('windows', () => {
  // Leaf fall 5 Nov + 7 days to the earlier of 1 April and leaf-out 12 Apr - 7 days: by hand.
  test('the burn season that holds the next burn, whole', () => {
    expect(row('N1').windows).toEqual([
      {
        name: 'Dormant-season burn',
        family: 'burn',
        span: { startsOn: '2026-11-12', endsBefore: '2027-04-02' },
      },
    ]);
  });

  test('no window for monitoring, for work that is past, or where nothing is planned', () => {
    expect(row('N2').windows.map((one) => one.family)).toEqual(['burn']);
    expect(row('E1').windows).toEqual([]);
  });
});

describe('no-work dates', () => {
  test('only those that bar planned work of the row, whole, not cut to the page', () => {
    const one = row('S2', undefined, { startsOn: d('2026-11-10'), endsBefore: d('2027-06-01') });
    expect(one.noWork.map((bar) => [bar.span, bar.spans.map((rule) => rule.key)])).toEqual([
      [{ startsOn: '2026-11-01', endsBefore: '2026-11-25' }, ['fall-hunt']],
    ]);
    expect(row('N1').noWork).toEqual([]);
  });

  test('two rules that overlap are one span with both reasons', () => {
    const one = row('S2', (operation) => {
      const rule = operation.noWork[0]!;
      operation.noWork.push({
        ...rule,
        key: 'lease',
        opens: { at: monthDay('11-20') },
        closes: { at: monthDay('12-05') },
      });
    });
    expect(one.noWork[0]?.span).toEqual({ startsOn: '2026-11-01', endsBefore: '2026-12-06' });
    expect(one.noWork[0]?.spans.map((rule) => rule.key)).toEqual(['fall-hunt', 'lease']);
  });

  test('an approval on file lifts an ask-first rule for its days', () => {
    const one = row('S2', (operation) => {
      operation.noWork[0]!.firmness = 'ask-first';
      operation.approvals.push({
        noWorkKey: 'fall-hunt',
        unitId: 5,
        from: d('2026-11-01'),
        until: d('2026-11-30'),
        grantedBy: 'the owner',
      });
    });
    expect(one.noWork.map((bar) => bar.span.startsOn)).toEqual(['2027-11-01']);
  });
});

describe('cure', () => {
  test('from the felling on record to the planned burn, with its use-by', () => {
    const lag = (operation: Operation) =>
      operation.sequences[0]!.steps.find((step) => step.key === 'burn')!.lags[0]!;
    const one = row('N2', (operation) => {
      lag(operation).most = { days: 900 };
    });
    // 12 Dec 2024 + 900 days = 31 May 2027 (365 + 365 + 170); the burn season before it ends on 1 April.
    expect(one.cures).toEqual([
      {
        span: { startsOn: '2024-12-13', endsBefore: '2027-02-08' },
        useByOn: '2027-04-01',
        hasBurn: true,
      },
    ]);
  });

  test('from planned felling to the use-by where no burn is planned', () => {
    const [cure] = row('S2').cures;
    expect(cure?.span.startsOn).toBe('2026-12-19');
    expect(cure?.hasBurn).toBe(false);
  });

  test('none once the burn is done', () => {
    const one = row('N2', (operation) => {
      operation.entries.push(fakeEntry(9, 2, 'dormant-burn', '2026-11-08'));
    });
    expect(one.cures).toEqual([]);
  });
});
