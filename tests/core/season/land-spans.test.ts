import { describe, expect, test } from 'vitest';
import { addDays, isoDate, monthDay, rangeHolds } from '../../../src/core/dates.ts';
import type { GrazingSpan } from '../../../src/core/grazing.ts';
import type { Lease } from '../../../src/core/leases.ts';
import type { NoWorkSpan } from '../../../src/core/no-work.ts';
import type { PointToProtect } from '../../../src/core/points.ts';
import { isLandSpanKey, landSpans } from '../../../src/core/season/land-spans.ts';
import { barredRanges, noWorkThatApplies, openRanges } from '../../../src/core/season/no-work.ts';
import { fakeOperation } from '../../support/operation.ts';

const operation = fakeOperation();
const property = operation.properties[0]!;

function lease(own: Partial<Lease> = {}): Lease {
  return {
    id: 3,
    propertyId: 1,
    holder: 'Gate Creek club',
    contact: '',
    use: 'hunting',
    unitIds: [1, 2],
    from: isoDate('2026-09-01'),
    until: isoDate('2028-01-31'),
    barsFamilies: ['cut', 'burn'],
    opens: monthDay('11-11'),
    closes: monthDay('12-31'),
    firmness: 'ask-first',
    rule: 'no saws in the deer season',
    ...own,
  };
}

function grazing(own: Partial<GrazingSpan> = {}): GrazingSpan {
  return {
    id: 2,
    propertyId: 1,
    unitIds: [3],
    stock: 'cattle',
    opens: monthDay('04-15'),
    closes: monthDay('10-15'),
    from: null,
    until: null,
    restDaysBeforeFire: 30,
    deferDaysAfterFire: 60,
    note: '',
    ...own,
  };
}

function point(own: Partial<PointToProtect> = {}): PointToProtect {
  return {
    id: 4,
    propertyId: 1,
    name: 'Fox den',
    kind: 'den',
    position: null,
    unitIds: [1],
    bufferFeet: 100,
    barsFamilies: ['burn'],
    opens: monthDay('03-01'),
    closes: monthDay('05-31'),
    firmness: 'hard',
    rule: 'keep away',
    ...own,
  };
}

const none = { leases: [], grazing: [], points: [] };
const spansOf = (rows: Partial<typeof none> | object): NoWorkSpan[] =>
  landSpans({ ...none, ...rows });
const treatment = (key: string) => operation.treatments.find((one) => one.key === key)!;

/** Is this work barred on this unit on this day by the one span of the row? */
function isBarred(span: NoWorkSpan, unitId: number, treatmentKey: string, day: string): boolean {
  const unit = operation.units.find((one) => one.id === unitId)!;
  const on = isoDate(day);
  const range = { startsOn: on, endsBefore: addDays(on, 1) };
  return (
    noWorkThatApplies(span, { property, unit, treatment: treatment(treatmentKey) }) &&
    barredRanges(span, range, property.anchors).some((one) => rangeHolds(one, on))
  );
}

// Worked out by hand from the rows above; the days are the first and last ones and their neighbors.
describe('a lease bars what it names, on its units, in its years', () => {
  const [span] = spansOf({ leases: [lease()] });
  test.each([
    [1, 'cedar-felling', '2026-11-10', false],
    [1, 'cedar-felling', '2026-11-11', true],
    [2, 'dormant-burn', '2026-12-31', true],
    [1, 'cedar-felling', '2027-01-01', false],
    [3, 'cedar-felling', '2026-11-20', false],
    [1, 'line-build', '2026-11-20', false],
    [1, 'cedar-felling', '2025-11-20', false],
    [1, 'cedar-felling', '2028-11-20', false],
  ])('unit %i, %s on %s: %s', (unitId, key, day, expected) =>
    expect(isBarred(span!, unitId, key, day)).toBe(expected),
  );

  test('a span that runs over the last day of the lease ends with it', () => {
    const [cut] = spansOf({ leases: [lease({ until: isoDate('2026-12-01') })] });
    expect(isBarred(cut!, 1, 'cedar-felling', '2026-12-01')).toBe(true);
    expect(isBarred(cut!, 1, 'cedar-felling', '2026-12-02')).toBe(false);
  });

  test('without units it holds for the whole property, without days all year', () => {
    const [whole] = spansOf({ leases: [lease({ unitIds: [], opens: null, closes: null })] });
    expect(isBarred(whole!, 7, 'cedar-felling', '2027-07-04')).toBe(true);
    const other = { ...property, id: 2 };
    const unit = operation.units[7]!;
    const about = { property: other, unit, treatment: treatment('cedar-felling') };
    expect(noWorkThatApplies(whole!, about)).toBe(false);
  });

  test('one that bars nothing gives no dates', () =>
    expect(spansOf({ leases: [lease({ barsFamilies: [] })] })).toEqual([]));
});

describe('grazing bars fire from the rest before it to the last day of stock', () => {
  const [span] = spansOf({ grazing: [grazing()] });
  // 30 days before 15 April is 16 March.
  test.each([
    [3, 'dormant-burn', '2027-03-15', false],
    [3, 'dormant-burn', '2027-03-16', true],
    [3, 'dormant-burn', '2027-10-15', true],
    [3, 'dormant-burn', '2027-10-16', false],
    [3, 'cedar-felling', '2027-06-01', false],
    [1, 'dormant-burn', '2027-06-01', false],
  ])('unit %i, %s on %s: %s', (unitId, key, day, expected) =>
    expect(isBarred(span!, unitId, key, day)).toBe(expected),
  );

  test('stock over New Year, and rest back over New Year', () => {
    const [winter] = spansOf({
      grazing: [grazing({ opens: monthDay('11-01'), closes: monthDay('02-15') })],
    });
    expect(isBarred(winter!, 3, 'dormant-burn', '2027-01-10')).toBe(true);
    expect(isBarred(winter!, 3, 'dormant-burn', '2027-02-16')).toBe(false);
    const [early] = spansOf({ grazing: [grazing({ opens: monthDay('01-10') })] });
    expect(isBarred(early!, 3, 'dormant-burn', '2026-12-11')).toBe(true);
    expect(isBarred(early!, 3, 'dormant-burn', '2026-12-10')).toBe(false);
  });

  test('no day is left when rest and stock fill the year', () => {
    const [all] = spansOf({ grazing: [grazing({ restDaysBeforeFire: 181 })] });
    for (const day of ['2027-01-01', '2027-04-14', '2027-10-16', '2027-12-31'])
      expect(isBarred(all!, 3, 'dormant-burn', day)).toBe(true);
  });

  test('rest before the first year counts, too', () => {
    const [from] = spansOf({ grazing: [grazing({ from: isoDate('2027-04-15') })] });
    expect(isBarred(from!, 3, 'dormant-burn', '2027-03-16')).toBe(true);
    expect(isBarred(from!, 3, 'dormant-burn', '2026-06-01')).toBe(false);
  });
});

describe('a point bars work on its units only', () => {
  test('hard, in its days', () => {
    const [span] = spansOf({ points: [point()] });
    expect(span).toMatchObject({ key: 'point-4', firmness: 'hard', authority: 'own-rule' });
    expect(isBarred(span!, 1, 'dormant-burn', '2027-05-31')).toBe(true);
    expect(isBarred(span!, 2, 'dormant-burn', '2027-05-31')).toBe(false);
  });

  test.each([
    ['no units', point({ unitIds: [] })],
    ['no work', point({ barsFamilies: [] })],
  ])('%s: a note only', (_, row) => expect(spansOf({ points: [row] })).toEqual([]));
});

test('an approval on file lifts an ask-first one for its unit', () => {
  const noWork = spansOf({ leases: [lease()] });
  const approval = {
    noWorkKey: 'lease-3',
    unitId: 1,
    from: isoDate('2026-11-15'),
    until: isoDate('2026-11-20'),
    grantedBy: 'R. Hale',
  };
  const day = { startsOn: isoDate('2026-11-16'), endsBefore: isoDate('2026-11-17') };
  const open = (unitId: number) =>
    openRanges(
      treatment('cedar-felling'),
      operation.units.find((one) => one.id === unitId)!,
      property,
      { noWork, approvals: [approval] },
      day,
    ).open.length;
  expect([open(1), open(2)]).toEqual([1, 0]);
});

test.each([
  ['lease-3', true],
  ['grazing-12', true],
  ['point-4', true],
  ['bat-mo', false],
  ['lease-rule', false],
])('%s is the key of such a rule: %s', (key, expected) =>
  expect(isLandSpanKey(key)).toBe(expected),
);
