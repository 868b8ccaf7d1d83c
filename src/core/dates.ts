/**
 * Civil dates. The only module that counts days. A date is text `YYYY-MM-DD` outside and a day
 * number (days since 1970-01-01, proleptic Gregorian) inside the scheduler. No time zones here.
 * Day arithmetic after Howard Hinnant, "chrono-compatible low-level date algorithms" (public domain).
 */
export type IsoDate = string & { readonly __brand: 'IsoDate' };
/** `MM-DD`; `02-29` is allowed: as a last day it becomes the 28th in common years, as a first day 1 March. */
export type MonthDay = string & { readonly __brand: 'MonthDay' };

/** Half-open span of days: `startsOn` is inside, `endsBefore` is the first day after. */
export interface DateRange {
  startsOn: IsoDate;
  endsBefore: IsoDate;
}

const isoPattern = /^(\d{4})-(\d{2})-(\d{2})$/;
const monthDayPattern = /^(\d{2})-(\d{2})$/;

export function isLeapYear(year: number): boolean {
  return (year % 4 === 0 && year % 100 !== 0) || year % 400 === 0;
}

/** Days in a month; `month` is 1 to 12. */
export function daysInMonth(year: number, month: number): number {
  if (month === 2) return isLeapYear(year) ? 29 : 28;
  return month === 4 || month === 6 || month === 9 || month === 11 ? 30 : 31;
}

function dayNumber(year: number, month: number, day: number): number {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  const dayOfEra =
    yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear;
  return era * 146097 + dayOfEra - 719468;
}

/** The date if `text` is a real day between years 1900 and 2200, else null. */
export function parseIsoDate(text: string): IsoDate | null {
  const match = isoPattern.exec(text);
  if (!match) return null;
  const [year, month, day] = [Number(match[1]), Number(match[2]), Number(match[3])];
  if (year < 1900 || year > 2200 || month < 1 || month > 12) return null;
  return day >= 1 && day <= daysInMonth(year, month) ? (text as IsoDate) : null;
}

/** The date in `text`; throws RangeError: for constants and rows that were checked before. */
export function isoDate(text: string): IsoDate {
  const date = parseIsoDate(text);
  if (!date) throw new RangeError(`not a date (YYYY-MM-DD): ${text}`);
  return date;
}

/** The month-day if `text` is `MM-DD` and exists in a leap year, else null. */
export function parseMonthDay(text: string): MonthDay | null {
  const match = monthDayPattern.exec(text);
  if (!match) return null;
  const [month, day] = [Number(match[1]), Number(match[2])];
  return month >= 1 && month <= 12 && day >= 1 && day <= daysInMonth(2024, month)
    ? (text as MonthDay)
    : null;
}

/** The month-day in `text`; throws RangeError: for constants and rows that were checked before. */
export function monthDay(text: string): MonthDay {
  const value = parseMonthDay(text);
  if (!value) throw new RangeError(`not a month and day (MM-DD): ${text}`);
  return value;
}

/** Days since 1970-01-01. */
export function toDay(date: IsoDate): number {
  return dayNumber(Number(date.slice(0, 4)), Number(date.slice(5, 7)), Number(date.slice(8, 10)));
}

const pad = (value: number, width: number) => String(value).padStart(width, '0');

/** The date of a day number. */
export function fromDay(day: number): IsoDate {
  const shifted = day + 719468;
  const era = Math.floor(shifted / 146097);
  const dayOfEra = shifted - era * 146097;
  const yearOfEra = Math.floor(
    (dayOfEra -
      Math.floor(dayOfEra / 1460) +
      Math.floor(dayOfEra / 36524) -
      Math.floor(dayOfEra / 146096)) /
      365,
  );
  const dayOfYear =
    dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const shiftedMonth = Math.floor((5 * dayOfYear + 2) / 153);
  const dayOfMonth = dayOfYear - Math.floor((153 * shiftedMonth + 2) / 5) + 1;
  const month = shiftedMonth < 10 ? shiftedMonth + 3 : shiftedMonth - 9;
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  return `${pad(year, 4)}-${pad(month, 2)}-${pad(dayOfMonth, 2)}` as IsoDate;
}

export function yearOf(date: IsoDate): number {
  return Number(date.slice(0, 4));
}

/** 1 to 12. */
export function monthOf(date: IsoDate): number {
  return Number(date.slice(5, 7));
}

export function addDays(date: IsoDate, days: number): IsoDate {
  return fromDay(toDay(date) + days);
}

/** `later - earlier` in days; negative when `later` is before `earlier`. */
export function daysBetween(earlier: IsoDate, later: IsoDate): number {
  return toDay(later) - toDay(earlier);
}

/** Same day of another month; a day that the month does not have becomes its last one. */
export function addMonths(date: IsoDate, months: number): IsoDate {
  const count = yearOf(date) * 12 + monthOf(date) - 1 + months;
  const year = Math.floor(count / 12);
  const month = count - year * 12 + 1;
  const day = Math.min(Number(date.slice(8, 10)), daysInMonth(year, month));
  return `${pad(year, 4)}-${pad(month, 2)}-${pad(day, 2)}` as IsoDate;
}

/** Same month and day `years` on; 29 February becomes the 28th in common years. */
export function addYears(date: IsoDate, years: number): IsoDate {
  const year = yearOf(date) + years;
  const day = Math.min(Number(date.slice(8, 10)), daysInMonth(year, monthOf(date)));
  return `${pad(year, 4)}-${date.slice(5, 7)}-${pad(day, 2)}` as IsoDate;
}

/** ISO weekday: 1 Monday to 7 Sunday. */
export function weekday(date: IsoDate): number {
  return weekdayOfDay(toDay(date));
}

export function weekdayOfDay(day: number): number {
  return ((((day + 3) % 7) + 7) % 7) + 1;
}

/** Monday of the week that holds `day`, as a day number. */
export function mondayOfDay(day: number): number {
  return day - (weekdayOfDay(day) - 1);
}

/** First day a month-day stands for in a year: 29 February becomes 1 March in common years. */
export function firstDayIn(year: number, at: MonthDay): IsoDate {
  if (at === '02-29' && !isLeapYear(year)) return `${pad(year, 4)}-03-01` as IsoDate;
  return `${pad(year, 4)}-${at}` as IsoDate;
}

/** Last day a month-day stands for in a year: 29 February becomes the 28th in common years. */
export function lastDayIn(year: number, at: MonthDay): IsoDate {
  if (at === '02-29' && !isLeapYear(year)) return `${pad(year, 4)}-02-28` as IsoDate;
  return `${pad(year, 4)}-${at}` as IsoDate;
}

/** The last day inside a range. */
export function lastDayOf(range: DateRange): IsoDate {
  return addDays(range.endsBefore, -1);
}

export function rangeHolds(range: DateRange, date: IsoDate): boolean {
  return range.startsOn <= date && date < range.endsBefore;
}

/** The common part, or null when the ranges do not meet. */
export function intersect(a: DateRange, b: DateRange): DateRange | null {
  const startsOn = a.startsOn > b.startsOn ? a.startsOn : b.startsOn;
  const endsBefore = a.endsBefore < b.endsBefore ? a.endsBefore : b.endsBefore;
  return startsOn < endsBefore ? { startsOn, endsBefore } : null;
}

/** Ranges sorted, with overlapping and touching ones joined. */
export function union(ranges: readonly DateRange[]): DateRange[] {
  const sorted = [...ranges].sort((a, b) => (a.startsOn < b.startsOn ? -1 : 1));
  const joined: DateRange[] = [];
  for (const range of sorted) {
    const last = joined.at(-1);
    if (last && range.startsOn <= last.endsBefore) {
      if (range.endsBefore > last.endsBefore) last.endsBefore = range.endsBefore;
    } else joined.push({ ...range });
  }
  return joined;
}

/** What is left of `ranges` when every range of `taken` is cut out. */
export function subtract(ranges: readonly DateRange[], taken: readonly DateRange[]): DateRange[] {
  let left = union(ranges);
  for (const cut of union(taken)) {
    left = left.flatMap((range) => {
      if (!intersect(range, cut)) return [range];
      const parts: DateRange[] = [];
      if (range.startsOn < cut.startsOn)
        parts.push({ startsOn: range.startsOn, endsBefore: cut.startsOn });
      if (cut.endsBefore < range.endsBefore)
        parts.push({ startsOn: cut.endsBefore, endsBefore: range.endsBefore });
      return parts;
    });
  }
  return left;
}

const monthNames = 'Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec'.split(' ');

/** "4 Mar 2027": a date in words, the same in every sentence of the program. */
export function dateWords(date: IsoDate): string {
  return `${Number(date.slice(8, 10))} ${monthNames[monthOf(date) - 1]} ${yearOf(date)}`;
}
