import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lastDayIn, monthDay, weekday } from '../../src/core/dates.ts';
import { holidaysBetween, type YearlyRule, yearlyDates } from '../../src/core/recurrence.ts';

/** Worked examples of RFC 5545 section 3.8.5.3; their start date is left out where they begin within a year. */
describe('yearly dates against RFC 5545 section 3.8.5.3', () => {
  it.each<[string, YearlyRule, number, number, string]>([
    [
      'yearly in June and July for 10 occurrences',
      { months: [6, 7], monthDays: [10] },
      1997,
      2001,
      '1997-06-10 1997-07-10 1998-06-10 1998-07-10 1999-06-10 1999-07-10 2000-06-10 2000-07-10 2001-06-10 2001-07-10',
    ],
    [
      'every Thursday in March, 1998 and 1999',
      { months: [3], weekday: 4 },
      1998,
      1999,
      '1998-03-05 1998-03-12 1998-03-19 1998-03-26 1999-03-04 1999-03-11 1999-03-18 1999-03-25',
    ],
    [
      'every Thursday, but only in June, July and August (1997)',
      { months: [6, 7, 8], weekday: 4 },
      1997,
      1997,
      '1997-06-05 1997-06-12 1997-06-19 1997-06-26 1997-07-03 1997-07-10 1997-07-17 1997-07-24 1997-07-31 1997-08-07 1997-08-14 1997-08-21 1997-08-28',
    ],
    [
      'monthly on the first Friday, January to June 1998',
      { months: [1, 2, 3, 4, 5, 6], weekday: 5, nth: 1 },
      1998,
      1998,
      '1998-01-02 1998-02-06 1998-03-06 1998-04-03 1998-05-01 1998-06-05',
    ],
    [
      'monthly on the second-to-last Monday, September to December 1997',
      { months: [9, 10, 11, 12], weekday: 1, nth: -2 },
      1997,
      1997,
      '1997-09-22 1997-10-20 1997-11-17 1997-12-22',
    ],
    [
      'every Friday the 13th',
      { months: [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12], monthDays: [13], weekday: 5 },
      1998,
      2000,
      '1998-02-13 1998-03-13 1998-11-13 1999-08-13 2000-10-13',
    ],
    [
      'an invalid date (30 February) is ignored',
      { months: [1, 2, 3], monthDays: [15, 30] },
      2007,
      2007,
      '2007-01-15 2007-01-30 2007-02-15 2007-03-15 2007-03-30',
    ],
  ])('%s', (_name, rule, from, to, expected) => {
    expect(yearlyDates(rule, from, to).join(' ')).toBe(expected);
  });

  it('US Presidential Election day: the first Tuesday after a Monday in November', () => {
    const rule = { months: [11], monthDays: [2, 3, 4, 5, 6, 7, 8], weekday: 2 };
    const everyYear = yearlyDates(rule, 1996, 2004);
    expect(everyYear.filter((_, index) => index % 4 === 0)).toEqual([
      '1996-11-05',
      '2000-11-07',
      '2004-11-02',
    ]);
  });
});

describe('days that not every year has', () => {
  it('29 February is skipped here, while a window end clamps', () => {
    expect(yearlyDates({ months: [2], monthDays: [29] }, 2023, 2032)).toEqual([
      '2024-02-29',
      '2028-02-29',
      '2032-02-29',
    ]);
    expect(lastDayIn(2023, monthDay('02-29'))).toBe('2023-02-28');
  });

  it('the 31st is skipped in shorter months', () => {
    expect(yearlyDates({ months: [1, 2, 3, 4], monthDays: [31] }, 2026, 2026)).toEqual([
      '2026-01-31',
      '2026-03-31',
    ]);
  });

  it('both ends of the span are inside it, and a span that ends before it starts is empty', () => {
    const ends = { months: [1, 12], monthDays: [1, 31] };
    expect(yearlyDates(ends, 2026, 2026)).toEqual([
      '2026-01-01',
      '2026-01-31',
      '2026-12-01',
      '2026-12-31',
    ]);
    expect(yearlyDates(ends, 2027, 2026)).toEqual([]);
  });

  it('refuses a rule without days', () => {
    expect(() => yearlyDates({ months: [1] }, 2026, 2026)).toThrow(RangeError);
    expect(() => yearlyDates({ months: [], weekday: 1 }, 2026, 2026)).toThrow(RangeError);
  });

  it('the nth weekday of a month is that weekday, in its seven days', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1950, max: 2150 }),
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 1, max: 7 }),
        fc.integer({ min: 1, max: 4 }),
        (year, month, isoWeekday, nth) => {
          const dates = yearlyDates({ months: [month], weekday: isoWeekday, nth }, year, year);
          expect(dates).toHaveLength(1);
          expect(weekday(dates[0]!)).toBe(isoWeekday);
          expect(Math.ceil(Number(dates[0]!.slice(8)) / 7)).toBe(nth);
        },
      ),
    );
  });
});

describe('US federal holidays', () => {
  // Dates of the US Office of Personnel Management's list for 2027 by 5 U.S.C. 6103(a), from memory; observance
  // on a weekday near a weekend (18 June, 5 July, 24 and 31 December 2027) is left to the user.
  it('2027', () => {
    expect(holidaysBetween(2027, 2027)).toEqual([
      { date: '2027-01-01', name: "New Year's Day" },
      { date: '2027-01-18', name: 'Federal holiday, third Monday of January' },
      { date: '2027-02-15', name: 'Federal holiday, third Monday of February' },
      { date: '2027-05-31', name: 'Memorial Day' },
      { date: '2027-06-19', name: 'Juneteenth' },
      { date: '2027-07-04', name: 'Independence Day' },
      { date: '2027-09-06', name: 'Labor Day' },
      { date: '2027-10-11', name: 'Federal holiday, second Monday of October' },
      { date: '2027-11-11', name: 'Veterans Day' },
      { date: '2027-11-25', name: 'Thanksgiving Day' },
      { date: '2027-12-25', name: 'Christmas Day' },
    ]);
  });

  it('eleven a year, in order over several years', () => {
    const dates = holidaysBetween(2026, 2030).map((holiday) => holiday.date);
    expect(dates).toHaveLength(55);
    expect(dates).toEqual([...dates].sort());
  });
});
