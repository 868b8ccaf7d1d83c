import { daysInMonth, type IsoDate, parseIsoDate, yearOf } from './dates.ts';

/** What was decided once for the whole file; null = not yet. */
export interface HistoryDateChoices {
  /** 3/4/2019 is 4 March or 3 April. */
  order: 'month-first' | 'day-first' | null;
  /** Two digits are the latest year that ends in them and is not in the future. */
  twoDigitYears: 'latest-past' | null;
}

export interface HistoryDate {
  /** With precision month or year: the first day of it. */
  date: IsoDate;
  precision: 'day' | 'month' | 'year';
  /** Written with a question mark or the like. */
  isDoubtful: boolean;
}

/** `ask`: it has two readings, to be settled once for the file. `year`: a year that can be made out; null = none. */
export type HistoryDateReading =
  | { kind: 'date'; value: HistoryDate }
  | { kind: 'ask'; about: 'order' | 'two-digit-years' }
  | { kind: 'unreadable'; year: number | null }
  | { kind: 'future' };

const months = [
  ['jan', 'january'],
  ['feb', 'february'],
  ['mar', 'march'],
  ['apr', 'april'],
  ['may', 'may'],
  ['jun', 'june'],
  ['jul', 'july'],
  ['aug', 'august'],
  ['sep', 'sept', 'september'],
  ['oct', 'october'],
  ['nov', 'november'],
  ['dec', 'december'],
];

function monthNamed(word: string): number | null {
  const at = months.findIndex((names) => names.includes(word));
  return at < 0 ? null : at + 1;
}

interface Parts {
  year: string;
  month?: number;
  day?: number;
}

type Found = Parts | 'order' | null;

/** Two numbers and a year: day and month in an order that the numbers or the choice settle. */
function inOrder(a: number, b: number, year: string, order: HistoryDateChoices['order']): Found {
  if (a > 12 || order === 'day-first')
    return b > 12 ? { year, month: a, day: b } : { year, month: b, day: a };
  if (b > 12 || a === b || order === 'month-first') return { year, month: a, day: b };
  return 'order';
}

function numbered(text: string, order: HistoryDateChoices['order']): Found {
  const parts = text.split(/\s*[/.-]\s*/);
  if (!parts.every((part) => /^\d{1,4}$/.test(part)) || parts.length > 3) return null;
  const [first = '', second = '', third = ''] = parts;
  const wide = parts.map((part) => part.length === 4);
  if (parts.length === 1) return first.length === 4 || first.length === 2 ? { year: first } : null;
  if (parts.length === 2) {
    if (wide[0] && !wide[1]) return { year: first, month: Number(second) };
    return wide[1] && !wide[0] ? { year: second, month: Number(first) } : null;
  }
  if (wide[0] && !wide[1] && !wide[2])
    return { year: first, month: Number(second), day: Number(third) };
  const isYearLast = !wide[0] && !wide[1] && (wide[2] || third.length === 2);
  return isYearLast ? inOrder(Number(first), Number(second), third, order) : null;
}

/** A date with the month as a word: "Mar 2019", "14 march 2019", "Mar 14, 2019", "2019 Mar". */
function named(text: string): Found {
  const words = text.split(/[\s,./-]+/).filter((word) => word !== '');
  const at = words.findIndex((word) => monthNamed(word) !== null);
  if (at < 0) return null;
  const month = monthNamed(words[at]!)!;
  const rest = words
    .filter((_, index) => index !== at)
    .map((word) => word.replace(/^(\d{1,2})(st|nd|rd|th)$/, '$1'));
  if (!rest.every((word) => /^(\d{1,2}|\d{4})$/.test(word))) return null;
  const [first = '', second = ''] = rest;
  if (rest.length === 1) return { year: first, month };
  if (rest.length !== 2) return null;
  const [day, year] = first.length === 4 ? [second, first] : [first, second];
  return { year, month, day: Number(day) };
}

function yearIn(text: string): number | null {
  const years = text.match(/(?<!\d)(19|20)\d\d(?!\d)/g) ?? [];
  return years.length === 1 ? Number(years[0]) : null;
}

function fullYear(year: string, today: IsoDate): number {
  if (year.length === 4) return Number(year);
  const century = Math.floor(yearOf(today) / 100) * 100;
  const here = century + Number(year);
  return here > yearOf(today) ? here - 100 : here;
}

/**
 * The day, month or year that people write into a table of old work. What has two readings is asked for, never
 * guessed: 3/4/2019 (order), 3/4/19 and "march 19" (two-digit years; 19 could be the day).
 */
export function readHistoryDate(
  text: string,
  choices: HistoryDateChoices,
  today: IsoDate,
): HistoryDateReading {
  const plain = text.trim().toLowerCase();
  const isDoubtful = /\?|^(ca\.?|about|~)\s/.test(plain);
  const bare = plain
    .replace(/\?/g, '')
    .replace(/^(ca\.?|about|~)\s*/, '')
    .replace(/^['’](?=\d\d$)/, '')
    .trim();
  const unreadable: HistoryDateReading = { kind: 'unreadable', year: yearIn(plain) };
  const found = numbered(bare, choices.order) ?? named(bare);
  if (found === null) return unreadable;
  if (found === 'order') return { kind: 'ask', about: 'order' };
  if (found.year.length !== 4 && found.year.length !== 2) return unreadable;
  if (found.year.length === 2 && choices.twoDigitYears === null)
    return { kind: 'ask', about: 'two-digit-years' };
  const year = fullYear(found.year, today);
  const { month, day } = found;
  if (month !== undefined && (month < 1 || month > 12)) return unreadable;
  if (month !== undefined && day !== undefined && (day < 1 || day > daysInMonth(year, month)))
    return unreadable;
  const pad = (value: number) => String(value).padStart(2, '0');
  const date = parseIsoDate(`${year}-${pad(month ?? 1)}-${pad(day ?? 1)}`);
  if (!date) return unreadable;
  if (date > today) return { kind: 'future' };
  let precision: HistoryDate['precision'] = 'year';
  if (month !== undefined) precision = day === undefined ? 'month' : 'day';
  return { kind: 'date', value: { date, precision, isDoubtful } };
}
