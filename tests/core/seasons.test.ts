import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { addDays, daysBetween, isoDate, monthDay, rangeHolds } from '../../src/core/dates.ts';
import {
  type Anchors,
  afterGrowingSeasons,
  anchorDate,
  burningSeasonName,
  burningSeasonOf,
  halfMonthOf,
  horizonFrom,
  type SeasonalWindow,
  type WindowEnd,
  windowOpeningIn,
  windowOpenings,
} from '../../src/core/seasons.ts';

const anchors: Anchors = {
  usual: {
    'leaf-out': monthDay('04-15'),
    'leaf-fall': monthDay('11-01'),
    'green-up': monthDay('03-15'),
    'warm-season-start': monthDay('05-01'),
  },
  byYear: [
    { anchor: 'leaf-out', year: 2027, date: isoDate('2027-04-02'), how: 'observed' },
    { anchor: 'leaf-fall', year: 2026, date: isoDate('2026-10-28'), how: 'computed' },
  ],
};
const july = monthDay('07-01');
const october = monthDay('10-01');
const window = (opens: WindowEnd | string, closes: WindowEnd | string): SeasonalWindow => ({
  opens: typeof opens === 'string' ? { at: monthDay(opens) } : opens,
  closes: typeof closes === 'string' ? { at: monthDay(closes) } : closes,
});
const dormant = window(
  { anchor: 'leaf-fall', plusDays: 7 },
  { earlierOf: [{ at: monthDay('04-01') }, { anchor: 'leaf-out', plusDays: -7 }] },
);

// Meanings decided by the project (a window belongs to the year it opens; an anchored end uses the anchor of the year
// in which it falls; 29 February). Expected days are counted by hand on a calendar.
describe('one opening of a window', () => {
  test.each<[string, SeasonalWindow, number, string, string]>([
    ['inside a year', window('08-15', '10-31'), 2026, '2026-08-15', '2026-11-01'],
    ['one day', window('05-05', '05-05'), 2026, '2026-05-05', '2026-05-06'],
    ['over New Year', window('11-01', '03-15'), 2026, '2026-11-01', '2027-03-16'],
    [
      'last day 29 February, common year',
      window('12-01', '02-29'),
      2025,
      '2025-12-01',
      '2026-03-01',
    ],
    ['last day 29 February, leap year', window('12-01', '02-29'), 2027, '2027-12-01', '2028-03-01'],
    [
      'first day 29 February, common year',
      window('02-29', '03-31'),
      2026,
      '2026-03-01',
      '2026-04-01',
    ],
    [
      'first day 29 February, leap year',
      window('02-29', '03-31'),
      2028,
      '2028-02-29',
      '2028-04-01',
    ],
    ['usual anchors, 1 April first', dormant, 2027, '2027-11-08', '2028-04-02'],
    ['own leaf fall 2026 and own leaf-out 2027', dormant, 2026, '2026-11-04', '2027-03-27'],
    [
      'later of two',
      window(
        { laterOf: [{ at: monthDay('08-15') }, { anchor: 'leaf-out', plusDays: 150 }] },
        '10-31',
      ),
      2026,
      '2026-09-12',
      '2026-11-01',
    ],
    ['whole year', window('07-01', '06-30'), 2026, '2026-07-01', '2027-07-01'],
  ])('%s', (_name, one, year, startsOn, endsBefore) => {
    expect(windowOpeningIn(one, year, anchors)).toEqual({ startsOn, endsBefore });
  });

  test('an own date of one year leaves the other years alone', () => {
    expect(anchorDate(anchors, 'leaf-out', 2027)).toBe('2027-04-02');
    expect(anchorDate(anchors, 'leaf-out', 2026)).toBe('2026-04-15');
  });
});

describe('openings that touch a span', () => {
  test('the one before New Year is found, whole', () => {
    const span = { startsOn: isoDate('2027-01-10'), endsBefore: isoDate('2027-12-01') };
    expect(windowOpenings(dormant, span, anchors)).toEqual([
      { startsOn: '2026-11-04', endsBefore: '2027-03-27' },
      { startsOn: '2027-11-08', endsBefore: '2028-04-02' },
    ]);
  });

  test('a window that ends the day before the span does not touch it', () => {
    const span = { startsOn: isoDate('2026-11-01'), endsBefore: isoDate('2026-12-01') };
    expect(windowOpenings(window('08-15', '10-31'), span, anchors)).toEqual([]);
  });

  test('a day is inside an opening exactly when its month-day lies between the ends', () => {
    const monthDays = fc
      .tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 28 }))
      .map(([m, d]) => monthDay(`${String(m).padStart(2, '0')}-${String(d).padStart(2, '0')}`));
    fc.assert(
      fc.property(
        monthDays,
        monthDays,
        fc.integer({ min: 0, max: 1500 }),
        (opens, closes, plus) => {
          const date = addDays(isoDate('2025-01-01'), plus);
          const at = date.slice(5);
          const isInside =
            opens <= closes ? at >= opens && at <= closes : at >= opens || at <= closes;
          const span = { startsOn: date, endsBefore: addDays(date, 1) };
          const found = windowOpenings(window(opens, closes), span, anchors);
          expect(found.some((one) => rangeHolds(one, date))).toBe(isInside);
        },
      ),
    );
  });
});

describe('burning seasons', () => {
  test.each<[string, number, string]>([
    ['2026-06-30', 2025, '2025-26'],
    ['2026-07-01', 2026, '2026-27'],
    ['2027-03-10', 2026, '2026-27'],
    ['1999-12-31', 1999, '1999-00'],
  ])('%s is in %i, named %s', (day, season, name) => {
    expect(burningSeasonOf(isoDate(day), july)).toBe(season);
    expect(burningSeasonName(season)).toBe(name);
  });

  test('another first day', () => {
    expect(burningSeasonOf(isoDate('2026-08-31'), monthDay('09-01'))).toBe(2025);
  });

  test.each<[string, number, string]>([
    ['2026-11-25', 2, '2029-07-01'],
    ['2026-06-30', 0, '2026-07-01'],
    ['2026-07-01', 0, '2027-07-01'],
  ])('the horizon from %s and %i seasons more ends before %s', (today, more, end) => {
    expect(horizonFrom(isoDate(today), july, more)).toEqual({ startsOn: today, endsBefore: end });
  });
});

// A growing season counts when the first task ended before leaf-out and the second starts on or after its end.
describe('growing seasons between two tasks', () => {
  test.each<[string, number, string]>([
    ['2026-01-20', 1, '2026-10-01'],
    ['2026-04-14', 1, '2026-10-01'],
    ['2026-04-15', 1, '2027-10-01'],
    ['2026-11-20', 1, '2027-10-01'],
    ['2026-11-20', 2, '2028-10-01'],
    ['2027-04-02', 1, '2028-10-01'],
    ['2026-11-20', 0, '2026-11-20'],
  ])('ended %s, %i seasons: from %s', (ended, count, from) => {
    expect(afterGrowingSeasons(isoDate(ended), count, anchors, october)).toBe(from);
  });

  test('one more season is one more year', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 3000 }),
        fc.integer({ min: 1, max: 4 }),
        (plus, count) => {
          const ended = addDays(isoDate('2024-01-01'), plus);
          const a = afterGrowingSeasons(ended, count, anchors, october);
          const b = afterGrowingSeasons(ended, count + 1, anchors, october);
          expect([365, 366]).toContain(daysBetween(a, b));
          expect(a > ended).toBe(true);
        },
      ),
    );
  });
});

test.each<[string, number]>([
  ['2026-01-01', 1],
  ['2026-01-15', 1],
  ['2026-01-16', 2],
  ['2028-02-29', 4],
  ['2026-12-31', 24],
])('%s is in half-month %i', (day, half) => {
  expect(halfMonthOf(isoDate(day))).toBe(half);
});
