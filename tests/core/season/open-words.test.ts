import { describe, expect, it } from 'vitest';
import { type DateRange, isoDate, monthDay } from '../../../src/core/dates.ts';
import type { Approval, NoWorkSpan } from '../../../src/core/no-work.ts';
import type { Property } from '../../../src/core/properties.ts';
import {
  dayRangeWords,
  openYear,
  openYearSentence,
  yearOfSeason,
} from '../../../src/core/season/open-words.ts';
import type { SeasonalWindow } from '../../../src/core/seasons.ts';
import type { Treatment } from '../../../src/core/treatments.ts';
import type { Unit } from '../../../src/core/units.ts';
import { loadLibrary } from '../../../src/reference/library.ts';
import { fakeOperation } from '../../support/operation.ts';

// Rules, windows and dates are invented, except where the reference table is named.
const operation = fakeOperation();
const property = operation.properties[0] as Property;
const unit = operation.units[0] as Unit;
const base = operation.treatments.find(({ family }) => family === 'cut') as Treatment;
const at = (text: string) => ({ at: monthDay(text) });
const window = (opens: string, closes: string): SeasonalWindow => ({
  opens: at(opens),
  closes: at(closes),
});
const cut = (...windows: SeasonalWindow[]): Treatment => ({ ...base, windows });
const range: DateRange = { startsOn: isoDate('2026-07-01'), endsBefore: isoDate('2027-07-01') };
const rule = (name: string, opens: string, closes: string, own: Partial<NoWorkSpan> = {}) =>
  ({
    key: name,
    name,
    state: null,
    propertyId: null,
    reason: '',
    authority: 'law',
    firmness: 'hard',
    opens: at(opens),
    closes: at(closes),
    asOf: '2024',
    status: 'default-to-edit',
    source: '',
    applies: {
      families: null,
      treatmentKeys: null,
      unitTags: [],
      stemInchesOver: null,
      speciesGroups: [],
      contractFrom: null,
      contractTo: null,
    },
    ...own,
  }) satisfies NoWorkSpan;
const ask = (name: string, opens: string, closes: string) =>
  rule(name, opens, closes, { firmness: 'ask-first', authority: 'owner' });
const approval = (noWorkKey: string, from: string, until: string): Approval => ({
  noWorkKey,
  unitId: unit.id,
  from: isoDate(from),
  until: isoDate(until),
  grantedBy: 'the holder',
});

function sentence(
  treatment: Treatment,
  noWork: NoWorkSpan[],
  approvals: Approval[] = [],
  place: Unit = unit,
): string {
  return openYearSentence(openYear(treatment, place, property, { noWork, approvals }, range));
}

describe('the year of a treatment on a unit in words', () => {
  const winter = cut(window('11-01', '03-31'));
  const contract = rule('Contract', '01-01', '01-31', { authority: 'contract' });
  contract.applies.unitTags = ['contract-land'];
  const toLeafOut = cut({
    opens: at('11-01'),
    closes: { anchor: 'leaf-out', plusDays: -1 },
  });

  it.each<[string, string, string]>([
    ['nothing bars', sentence(winter, []), 'Open 1 Nov to 31 Mar.'],
    [
      'a hard rule takes the end of a window over New Year',
      sentence(winter, [rule('Oaks', '03-15', '06-30')]),
      'Open 1 Nov to 14 Mar; barred 15 Mar to 30 Jun by Oaks (law).',
    ],
    [
      'an ask-first rule bars until it is lifted',
      sentence(winter, [ask('Quail', '01-10', '01-20')]),
      'Open 1 Nov to 9 Jan and 21 Jan to 31 Mar; ask first 10 to 20 Jan: Quail (owner).',
    ],
    [
      'an approval lifts a part',
      sentence(
        winter,
        [ask('Quail', '01-10', '01-20')],
        [approval('Quail', '2027-01-10', '2027-01-15')],
      ),
      'Open 1 Nov to 15 Jan and 21 Jan to 31 Mar; ask first 16 to 20 Jan: Quail (owner); lifted 10 to 15 Jan: Quail, granted by the holder.',
    ],
    [
      'an approval of another year lifts nothing and is not named',
      sentence(
        winter,
        [ask('Quail', '01-10', '01-20')],
        [approval('Quail', '2025-01-10', '2025-01-15')],
      ),
      'Open 1 Nov to 9 Jan and 21 Jan to 31 Mar; ask first 10 to 20 Jan: Quail (owner).',
    ],
    [
      'an approval never lifts a hard rule',
      sentence(
        winter,
        [rule('Oaks', '03-15', '06-30')],
        [approval('Oaks', '2027-03-15', '2027-03-31')],
      ),
      'Open 1 Nov to 14 Mar; barred 15 Mar to 30 Jun by Oaks (law).',
    ],
    [
      'rules that overlap are each named',
      sentence(winter, [rule('Oaks', '03-15', '06-30'), ask('Bats', '03-01', '04-30')]),
      'Open 1 Nov to 28 Feb; barred 15 Mar to 30 Jun by Oaks (law); ask first 1 Mar to 30 Apr: Bats (owner).',
    ],
    [
      'a rule that is cut by the year is named once',
      sentence(winter, [rule('Summer', '06-01', '08-31')]),
      'Open 1 Nov to 31 Mar; barred 1 Jul to 31 Aug and 1 to 30 Jun by Summer (law).',
    ],
    // Leaf-out of the invented property: 12 April.
    ['a window that hangs on an anchor', sentence(toLeafOut, []), 'Open 1 Nov to 11 Apr.'],
    [
      'a whole season barred',
      sentence(winter, [rule('Winter', '10-01', '04-30')]),
      'Open on no day: no-work dates bar its whole season; barred 1 Oct to 30 Apr by Winter (law).',
    ],
    ['contract land only', sentence(winter, [contract]), 'Open 1 Nov to 31 Mar.'],
    [
      'on contract land',
      sentence(winter, [contract], [], { ...unit, tags: ['contract-land'] }),
      'Open 1 Nov to 31 Dec and 1 Feb to 31 Mar; barred 1 to 31 Jan by Contract (contract).',
    ],
    ['a window of the whole year', sentence(cut(window('01-01', '12-31')), []), 'Open all year.'],
    ['no window', sentence(cut(), []), 'No season of this work opens in these months.'],
  ])('%s', (_name, said, expected) => expect(said).toBe(expected));

  it('lists each rule once, by its first day', () => {
    const noWork = [rule('Summer', '06-01', '08-31'), ask('Quail', '01-10', '01-20')];
    const approvals = [approval('Quail', '2027-01-10', '2027-01-12')];
    const year = openYear(winter, unit, property, { noWork, approvals }, range);
    expect(year.rules.map(({ name }) => name)).toEqual(['Summer', 'Quail']);
  });

  it('says no open day that a rule of the reference table bars', () => {
    const library = loadLibrary();
    for (const treatment of library.treatments) {
      const rules = { noWork: library.noWork, approvals: [] };
      const year = openYear(treatment, unit, property, rules, range);
      for (const { range: bar } of [...year.barred, ...year.askFirst])
        for (const open of year.open)
          expect(open.endsBefore <= bar.startsOn || bar.endsBefore <= open.startsOn).toBe(true);
    }
  });
});

describe('the months shown', () => {
  it.each([
    ['2026-06-30', '2025-07-01', '2026-07-01'],
    ['2026-07-01', '2026-07-01', '2027-07-01'],
    ['2027-01-01', '2026-07-01', '2027-07-01'],
  ])('on %s: %s to before %s', (today, startsOn, endsBefore) =>
    expect(yearOfSeason(isoDate(today), monthDay('07-01'))).toEqual({ startsOn, endsBefore }),
  );

  it.each([
    ['2027-05-01', '2027-05-02', '1 May'],
    ['2027-05-01', '2027-05-31', '1 to 30 May'],
    ['2026-12-28', '2027-01-04', '28 Dec to 3 Jan'],
  ])('%s to before %s: %s', (startsOn, endsBefore, said) =>
    expect(dayRangeWords({ startsOn: isoDate(startsOn), endsBefore: isoDate(endsBefore) })).toBe(
      said,
    ),
  );
});
