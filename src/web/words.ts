import { daysBetween, type IsoDate, monthOf, yearOf } from '../core/dates.ts';
import type { AnchorName } from '../core/seasons.ts';
import type { Status } from '../core/sources.ts';
import type { TaskState } from '../core/tasks.ts';
import type { Family } from '../core/treatments.ts';
import type { VisitKind } from '../core/visits.ts';

export const monthNames = [
  'Jan',
  'Feb',
  'Mar',
  'Apr',
  'May',
  'Jun',
  'Jul',
  'Aug',
  'Sep',
  'Oct',
  'Nov',
  'Dec',
] as const;

export const weekdayNames = ['Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun'] as const;

const dayOf = (at: IsoDate) => Number(at.slice(8, 10));

/** "4 Mar". */
export function dayMonth(at: IsoDate): string {
  return `${dayOf(at)} ${monthNames[monthOf(at) - 1]}`;
}

/** "4 Mar 2027". */
export function date(at: IsoDate): string {
  return `${dayMonth(at)} ${yearOf(at)}`;
}

/** A month-day `MM-DD` as "12 Apr". */
export function monthDayWords(at: string): string {
  return `${Number(at.slice(3, 5))} ${monthNames[Number(at.slice(0, 2)) - 1] ?? ''}`;
}

/** First and last day, both inclusive: "4 to 18 Mar 2027", "28 Dec 2026 to 3 Jan 2027", "4 Mar 2027". */
export function span(first: IsoDate, last: IsoDate): string {
  if (first === last) return date(first);
  if (yearOf(first) !== yearOf(last)) return `${date(first)} to ${date(last)}`;
  if (monthOf(first) !== monthOf(last)) return `${dayMonth(first)} to ${date(last)}`;
  return `${dayOf(first)} to ${date(last)}`;
}

/** Date of an entry to its precision: "4 Mar 2027", "Mar 2027", "2027". */
export function entryDate(at: IsoDate, precision: 'day' | 'month' | 'year'): string {
  if (precision === 'year') return String(yearOf(at));
  return precision === 'month' ? `${monthNames[monthOf(at) - 1]} ${yearOf(at)}` : date(at);
}

/** Time from today in words: "today", "in 5 days", "3 days ago". */
export function fromToday(today: IsoDate, at: IsoDate): string {
  const days = daysBetween(today, at);
  if (days === 0) return 'today';
  return days > 0 ? `in ${count(days, 'day')}` : `${count(-days, 'day')} ago`;
}

/** A UTC instant as "26 Oct 2026, 14:03 UTC". */
export function instant(at: string): string {
  return `${date(at.slice(0, 10) as IsoDate)}, ${at.slice(11, 16)} UTC`;
}

/** By decimals; a format costs more than a thousand uses of it. */
const numberFormats = new Map<number, Intl.NumberFormat>();

/** A number with at most `digits` decimals and no zeros after them; thousands with a comma. */
export function number(value: number, digits = 1): string {
  const known = numberFormats.get(digits);
  const format = known ?? new Intl.NumberFormat('en-US', { maximumFractionDigits: digits });
  if (!known) numberFormats.set(digits, format);
  return format.format(value);
}

/** "1 burn", "3 burns". */
export function count(value: number, noun: string, plural = `${noun}s`): string {
  return `${number(value)} ${value === 1 ? noun : plural}`;
}

export function acres(value: number): string {
  return count(value, 'acre');
}

/** Tenths of a crew day as "2.5 crew days". */
export function crewDays(tenths: number): string {
  return count(tenths / 10, 'crew day');
}

export function money(dollars: number): string {
  return `$${number(dollars, 0)}`;
}

export const familyNames: Record<Family, string> = {
  burn: 'Burn',
  cut: 'Cut',
  line: 'Line and soil',
  spray: 'Spray',
  plant: 'Plant',
  monitor: 'Monitor',
  notice: 'Notice',
};

/** The letter in a chip; it carries the meaning, the colour only helps. */
export const familyLetters: Record<Family, string> = {
  burn: 'B',
  cut: 'C',
  line: 'L',
  spray: 'S',
  plant: 'P',
  monitor: 'M',
  notice: 'N',
};

/** How a chip is drawn: solid, dashed, struck through, or hollow with a tick. */
export type ChipState = 'confirmed' | 'tentative' | 'cancelled' | 'done';

export const stateNames: Record<TaskState, string> = {
  planned: 'planned',
  confirmed: 'confirmed',
  'under-way': 'under way',
  done: 'done',
  'partly-done': 'partly done',
  'not-possible': 'not possible',
  cancelled: 'cancelled',
  'after-horizon': 'after the horizon',
};

export const outcomeNames = {
  done: 'done',
  partly: 'partly done',
  'not-possible': 'not possible',
  'under-way': 'under way',
} as const;

export const standingNames = {
  done: 'done',
  'partly-done': 'partly done',
  'under-way': 'under way',
  'not-possible': 'not possible',
  skipped: 'not needed',
  'to-do': 'to do',
} as const;

export const statusNames: Record<Status, string> = {
  published: 'published',
  'common-practice': 'common practice, no source',
  'default-to-edit': 'our default, to edit',
};

export const anchorWords: Record<AnchorName, string> = {
  'leaf-out': 'Leaf-out',
  'leaf-fall': 'Leaf fall',
  'green-up': 'Cool-season green-up',
  'warm-season-start': 'Warm-season grass start',
};

export const authorityNames = {
  law: 'law',
  contract: 'contract',
  owner: 'owner',
  'own-rule': 'own rule',
} as const;

/** "a, b and c". */
export function list(parts: readonly string[]): string {
  if (parts.length < 2) return parts.join('');
  return `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}`;
}

export const visitNames: Record<VisitKind, string> = {
  evaluation: 'Burn evaluation',
  forage: 'Forage clipping',
  'stem-count': 'Stem count',
  'canopy-cover': 'Canopy cover',
  'basal-area': 'Basal area',
  photos: 'Photo point',
  'bird-count': 'Bird count',
  'covey-count': 'Covey count',
};
