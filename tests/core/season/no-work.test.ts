import { describe, expect, test } from 'vitest';
import {
  addDays,
  type DateRange,
  daysBetween,
  intersect,
  isoDate,
  rangeHolds,
} from '../../../src/core/dates.ts';
import type { NoWorkSpan } from '../../../src/core/no-work.ts';
import type { Property } from '../../../src/core/properties.ts';
import { barredRanges, noWorkThatApplies, openRanges } from '../../../src/core/season/no-work.ts';
import type { Treatment } from '../../../src/core/treatments.ts';
import type { Unit } from '../../../src/core/units.ts';
import { loadLibrary } from '../../../src/reference/library.ts';
import { fakeOperation } from '../../support/operation.ts';

const library = loadLibrary();
const operation = fakeOperation();
const base = operation.properties[0] as Property;
const inState = (state: string): Property => ({ ...base, state });
const unitWith = (tags: string[]): Unit => ({ ...(operation.units[0] as Unit), tags });
const treatment = (key: string): Treatment => {
  const row = library.treatments.find((one) => one.key === key);
  if (!row) throw new Error(`no treatment ${key}`);
  return row;
};
const span = (key: string): NoWorkSpan => {
  const row = library.noWork.find((one) => one.key === key);
  if (!row) throw new Error(`no span ${key}`);
  return row;
};
const range = (startsOn: string, endsBefore: string): DateRange => ({
  startsOn: isoDate(startsOn),
  endsBefore: isoDate(endsBefore),
});

/** Keys of the rules that bar the work on the day. */
function barredBy(
  state: string,
  tags: string[],
  work: Treatment,
  day: string,
  contractOn: string | null = null,
): string[] {
  const property = inState(state);
  const date = isoDate(day);
  return library.noWork
    .filter((row) =>
      noWorkThatApplies(row, {
        property,
        unit: unitWith(tags),
        treatment: work,
        contractOn: contractOn ? isoDate(contractOn) : null,
      }),
    )
    .filter(
      (row) =>
        barredRanges(row, { startsOn: date, endsBefore: addDays(date, 1) }, base.anchors).length >
        0,
    )
    .map((row) => row.key);
}

// Primary nesting seasons of contract land by state; sources beside the rows of no-work.json (Farm Service Agency
// bulletins and news of them). Dates are "as of" their sources.
describe('nest season of contract land', () => {
  test.each<[string, string, string, boolean, string?]>([
    ['MO', '2026-04-30', 'mowing', false],
    ['MO', '2026-05-01', 'mowing', true],
    ['MO', '2026-07-15', 'mowing', true],
    ['MO', '2026-07-16', 'mowing', false],
    ['MO', '2026-06-10', 'sericea-spray', true],
    ['MO', '2026-05-05', 'early-growing-season-burn', true],
    ['IA', '2026-05-14', 'mowing', false],
    ['IA', '2026-08-01', 'mowing', true],
    ['OK', '2026-07-01', 'mowing', true],
    ['OK', '2026-07-02', 'mowing', false],
    ['NE', '2026-07-15', 'mowing', true],
    ['KY', '2026-05-15', 'mowing', true],
    ['KY', '2026-05-15', 'sericea-spray', false],
    ['CO', '2026-03-14', 'mowing', false],
    ['CO', '2026-03-15', 'mowing', true],
    ['IN', '2026-04-01', 'mowing', true, '2010-05-01'],
    ['IN', '2026-03-31', 'mowing', false, '2010-05-01'],
    ['IN', '2026-08-01', 'mowing', true, '2010-05-01'],
    ['IN', '2026-08-02', 'mowing', false, '2010-05-01'],
    ['IN', '2026-03-01', 'mowing', true, '2005-05-01'],
    ['IN', '2026-07-16', 'mowing', false, '2005-05-01'],
    ['OH', '2026-07-15', 'mowing', true],
  ])('%s %s %s barred: %s', (state, day, key, expected, contractOn) => {
    const keys = barredBy(state, ['contract-land'], treatment(key), day, contractOn ?? null);
    expect(keys.some((one) => one.startsWith('nest-'))).toBe(expected);
  });

  test('land without a contract is not under contract rules', () => {
    expect(barredBy('OH', [], treatment('mowing'), '2026-05-10')).toEqual([]);
  });

  test('a contract whose date is not known falls under the rules of every date', () => {
    expect(barredBy('IN', ['contract-land'], treatment('mowing'), '2026-07-01')).toEqual([
      'nest-in-2008',
      'nest-in-2007',
      'nest-in-2006',
    ]);
  });
});

// Field-office guidance for Indiana as quoted in a public forestry thread; Ohio and Indiana clearing window of a
// consultancy note (both secondary; see no-work.json).
describe('bats in trees', () => {
  const cutting = (stemInchesMost: number): Treatment => ({
    ...treatment('cedar-felling'),
    stemInchesMost,
  });

  test.each<[string, string[], number, string, string[]]>([
    ['IN', [], 4, '2026-09-30', ['bats-in']],
    ['IN', [], 4, '2026-10-01', []],
    ['IN', [], 4, '2026-03-31', []],
    ['IN', [], 4, '2026-04-01', ['bats-in']],
    ['IN', ['near-hibernaculum'], 4, '2026-11-15', ['bats-in-cave']],
    ['IN', ['near-hibernaculum'], 4, '2026-11-16', []],
    ['IN', [], 3, '2026-06-15', []],
    ['OH', [], 4, '2027-03-31', []],
    ['OH', [], 4, '2027-04-01', ['bats-oh']],
    ['MO', [], 3, '2026-10-31', ['bats-mo']],
    ['MO', [], 3, '2026-11-01', []],
    ['MO', [], 2.5, '2026-06-15', []],
  ])('%s %j, stems of %s in, %s: %j', (state, tags, inches, day, expected) => {
    expect(barredBy(state, tags, cutting(inches), day)).toEqual(expected);
  });
});

// Oak wilt seasons: Missouri news column ("mid-March" read as the 15th), table of states on a Texas civic page.
describe('oak wilt', () => {
  const cut = { ...treatment('hardwood-thinning'), stemInchesMost: 2 };

  test.each<[string, string, boolean]>([
    ['MO', '2026-03-14', false],
    ['MO', '2026-03-15', true],
    ['MO', '2026-06-30', true],
    ['MO', '2026-07-01', false],
    ['MI', '2026-07-15', true],
    ['MI', '2026-07-16', false],
    ['IA', '2026-10-15', true],
    ['IA', '2026-10-16', false],
  ])('%s %s barred: %s', (state, day, expected) => {
    expect(barredBy(state, [], cut, day).some((key) => key.startsWith('oak-wilt'))).toBe(expected);
  });

  test('it bars injection of oaks too, and never the felling of redcedar', () => {
    expect(barredBy('MO', [], treatment('hack-and-squirt'), '2026-06-20')).toContain('oak-wilt-mo');
    expect(barredBy('MO', [], treatment('cedar-felling'), '2026-06-20')).toEqual(['bats-mo']);
  });
});

describe('dates of a rule', () => {
  test('over New Year, cut to what was asked', () => {
    const winter = {
      ...span('nest-mo'),
      opens: { at: '12-20' },
      closes: { at: '01-05' },
    } as NoWorkSpan;
    expect(barredRanges(winter, range('2026-01-02', '2026-12-25'), base.anchors)).toEqual([
      range('2026-01-02', '2026-01-06'),
      range('2026-12-20', '2026-12-25'),
    ]);
  });

  test('a rule of one property holds there only; one without state or property holds everywhere', () => {
    const own = { ...span('mow-mo'), state: null, propertyId: 7 };
    const about = { property: base, unit: unitWith([]), treatment: treatment('mowing') };
    expect(noWorkThatApplies(own, about)).toBe(false);
    expect(noWorkThatApplies(own, { ...about, property: { ...base, id: 7 } })).toBe(true);
    expect(noWorkThatApplies({ ...own, propertyId: null }, about)).toBe(true);
  });

  test('a rule that names neither family nor treatment bars all work', () => {
    const all = { ...span('mow-mo'), applies: { ...span('mow-mo').applies, treatmentKeys: null } };
    const about = {
      property: inState('MO'),
      unit: unitWith([]),
      treatment: treatment('photo-points'),
    };
    expect(noWorkThatApplies(all, about)).toBe(true);
    expect(noWorkThatApplies(span('mow-mo'), about)).toBe(false);
  });
});

const rules = { noWork: library.noWork, approvals: [] };

// Bat-safe 1 November to 31 March, oak-wilt-safe 1 July to 14 March, nest-safe 16 July to 30 April: the common part
// is 1 November to 14 March, 134 days, 135 with 29 February (counted by hand).
describe('what is left of a window', () => {
  const oaks: Treatment = {
    ...treatment('cut-stump'),
    windows: treatment('hardwood-thinning').windows,
  };

  test.each<[string, string, number]>([
    ['2025-07-01', '2026-07-01', 134],
    ['2027-07-01', '2028-07-01', 135],
  ])('cut and treated oaks on contract land, %s to %s: %i days', (from, before, days) => {
    const { open, barred, askFirst } = openRanges(
      oaks,
      unitWith(['contract-land']),
      inState('MO'),
      rules,
      range(from, before),
    );
    const year = Number(from.slice(0, 4));
    expect(open).toEqual([range(`${year}-11-01`, `${year + 1}-03-15`)]);
    expect(open.reduce((sum, part) => sum + daysBetween(part.startsOn, part.endsBefore), 0)).toBe(
      days,
    );
    expect(barred).toEqual([]);
    expect(new Set(askFirst.map((one) => one.span.key))).toEqual(
      new Set(['bats-mo', 'oak-wilt-mo', 'nest-mo']),
    );
  });

  test('an approval lifts an ask-first rule for its unit and its days, not for others', () => {
    const unit = unitWith(['contract-land']);
    const year = range('2026-05-20', '2026-08-01');
    const approved = (unitId: number) => ({
      noWork: library.noWork,
      approvals: [
        {
          noWorkKey: 'nest-mo',
          unitId,
          from: isoDate('2026-06-01'),
          until: isoDate('2026-06-20'),
          grantedBy: 'the office',
        },
      ],
    });
    const spray = treatment('sericea-spray');
    const property = inState('MO');
    expect(openRanges(spray, unit, property, approved(unit.id), year)).toMatchObject({
      open: [range('2026-06-01', '2026-06-21'), range('2026-07-21', '2026-08-01')],
      askFirst: [
        { range: range('2026-05-20', '2026-06-01') },
        { range: range('2026-06-21', '2026-07-16') },
      ],
    });
    expect(openRanges(spray, unit, property, approved(unit.id + 1), year).open).toEqual([
      range('2026-07-21', '2026-08-01'),
    ]);
  });

  test('no approval lifts a hard rule', () => {
    const unit = unitWith(['contract-land']);
    const approvals = [
      {
        noWorkKey: 'nest-oh',
        unitId: unit.id,
        from: isoDate('2026-01-01'),
        until: isoDate('2026-12-31'),
        grantedBy: 'the office',
      },
    ];
    const found = openRanges(
      treatment('mowing'),
      unit,
      inState('OH'),
      { noWork: library.noWork, approvals },
      range('2026-02-01', '2026-08-01'),
    );
    expect(found.open).toEqual([
      range('2026-02-01', '2026-03-01'),
      range('2026-07-16', '2026-08-01'),
    ]);
    expect(found.barred.map((one) => one.span.key)).toEqual(['nest-oh']);
  });
});

// What a practitioner expects to see month by month in the Ozarks.
describe('invariants of the shipped tables in Missouri', () => {
  const property = inState('MO');
  const years = range('2025-07-01', '2029-07-01');
  const meets = (open: DateRange[], from: string, before: string) =>
    [2026, 2027, 2028].some((year) =>
      open.some((part) => intersect(part, range(`${year}-${from}`, `${year}-${before}`)) !== null),
    );

  test('no tree of 3 inches or more is cut from April to October', () => {
    const cuts = library.treatments.filter(
      (row) => row.family === 'cut' && (row.stemInchesMost ?? 0) >= 3,
    );
    expect(cuts.length).toBeGreaterThanOrEqual(5);
    for (const row of cuts) {
      const { open } = openRanges(row, unitWith([]), property, rules, years);
      expect(open.length, row.key).toBeGreaterThan(0);
      expect(meets(open, '04-01', '11-01'), row.key).toBe(false);
    }
  });

  test('contract land is neither mown, disked, sprayed nor burned from 1 May to 15 July', () => {
    const barred = library.treatments.filter(
      (row) =>
        ['burn', 'spray'].includes(row.family) ||
        ['mowing', 'strip-disking', 'line-mow'].includes(row.key),
    );
    for (const row of barred) {
      const { open } = openRanges(row, unitWith(['contract-land']), property, rules, years);
      expect(meets(open, '05-01', '07-16'), row.key).toBe(false);
    }
  });

  test('burns by default lie between 1 November and 10 April or 15 August and 31 October', () => {
    const defaults = new Set(
      library.sequences.flatMap((row) => row.steps.flatMap((step) => step.treatmentKeys)),
    );
    const burns = library.treatments.filter(
      (row) => row.family === 'burn' && defaults.has(row.key),
    );
    expect(burns).toHaveLength(2);
    for (const row of burns) {
      const { open } = openRanges(row, unitWith([]), property, rules, years);
      expect(meets(open, '04-11', '08-15'), row.key).toBe(false);
    }
    const dormant = openRanges(
      treatment('dormant-burn'),
      unitWith([]),
      property,
      rules,
      years,
    ).open;
    expect(meets(dormant, '08-15', '11-01')).toBe(false);
    expect(dormant.some((part) => rangeHolds(part, isoDate('2027-01-15')))).toBe(true);
  });
});
