import rrulePkg from 'rrule';
import { type IsoDate, isoDate } from './dates.ts';
import type { Holiday } from './properties.ts';

const { RRule } = rrulePkg;

/** Days of each year in named months: by day of the month, by weekday, or a weekday among days of the month. */
export interface YearlyRule {
  /** 1 to 12. */
  months: number[];
  /** 1 to 31. A day that a month lacks is skipped, not moved (RFC 5545 section 3.3.10); seasonal windows clamp instead. */
  monthDays?: number[];
  /** ISO weekday: 1 Monday to 7 Sunday. */
  weekday?: number;
  /** The nth such weekday of the month, -1 the last; without it every one. */
  nth?: number;
}

/**
 * Dates of a rule from 1 January of `fromYear` to 31 December of `toYear`, in order. Follows RFC 5545 section 3.3.10.
 * Throws RangeError for a rule that names neither days of the month nor a weekday.
 */
export function yearlyDates(rule: YearlyRule, fromYear: number, toYear: number): IsoDate[] {
  if (rule.months.length === 0 || (!rule.monthDays && rule.weekday === undefined))
    throw new RangeError('a yearly rule needs months, and days of the month or a weekday');
  const day = rule.weekday === undefined ? null : new rrulePkg.Weekday(rule.weekday - 1);
  // rrule's dates are UTC in disguise: Date.UTC in, ISO text out, so that no zone of the machine comes in.
  const found = new RRule({
    freq: RRule.YEARLY,
    dtstart: new Date(Date.UTC(fromYear, 0, 1)),
    until: new Date(Date.UTC(toYear, 11, 31)),
    bymonth: rule.months,
    ...(rule.monthDays ? { bymonthday: rule.monthDays } : {}),
    ...(day ? { byweekday: rule.nth === undefined ? day : day.nth(rule.nth) } : {}),
  }).all();
  return found.map((date) => isoDate(date.toISOString().slice(0, 10)));
}

/** Legal public holidays of 5 U.S.C. 6103(a); those that the law names for a person carry their day instead. */
const federalHolidays: { name: string; rule: YearlyRule }[] = [
  { name: "New Year's Day", rule: { months: [1], monthDays: [1] } },
  { name: 'Federal holiday, third Monday of January', rule: { months: [1], weekday: 1, nth: 3 } },
  { name: 'Federal holiday, third Monday of February', rule: { months: [2], weekday: 1, nth: 3 } },
  { name: 'Memorial Day', rule: { months: [5], weekday: 1, nth: -1 } },
  { name: 'Juneteenth', rule: { months: [6], monthDays: [19] } },
  { name: 'Independence Day', rule: { months: [7], monthDays: [4] } },
  { name: 'Labor Day', rule: { months: [9], weekday: 1, nth: 1 } },
  { name: 'Federal holiday, second Monday of October', rule: { months: [10], weekday: 1, nth: 2 } },
  { name: 'Veterans Day', rule: { months: [11], monthDays: [11] } },
  { name: 'Thanksgiving Day', rule: { months: [11], weekday: 4, nth: 4 } },
  { name: 'Christmas Day', rule: { months: [12], monthDays: [25] } },
];

/**
 * US federal holidays of the years `fromYear` to `toYear`, in order, on the day itself: one that falls on a weekend is
 * not moved. A default to edit: each operation keeps its own list.
 */
export function holidaysBetween(fromYear: number, toYear: number): Holiday[] {
  return federalHolidays
    .flatMap(({ name, rule }) =>
      yearlyDates(rule, fromYear, toYear).map((date): Holiday => ({ date, name })),
    )
    .sort((a, b) => (a.date < b.date ? -1 : 1));
}
