import type { Block } from '../blocks.ts';
import {
  addDays,
  addYears,
  daysBetween,
  firstDayIn,
  type IsoDate,
  lastDayIn,
  yearOf,
} from '../dates.ts';
import type { NoWorkSpan } from '../no-work.ts';
import type { Property } from '../properties.ts';
import type { LagLength } from '../sequences.ts';

/** The checker's own reading of windows, seasons and lags; the planner has another. */
type SpanEnd = NoWorkSpan['opens'];
type AnchorName = keyof Property['anchors']['usual'];

/** First and last day, both inclusive. */
export interface DaySpan {
  first: IsoDate;
  last: IsoDate;
}

export type Rotation = NonNullable<Block['rotation']>;

function anchorDay(property: Property, anchor: AnchorName, year: number): IsoDate {
  for (const row of property.anchors.byYear)
    if (row.anchor === anchor && row.year === year) return row.date;
  return firstDayIn(year, property.anchors.usual[anchor]);
}

function endDay(end: SpanEnd, year: number, property: Property, edge: 'first' | 'last'): IsoDate {
  if ('at' in end) return edge === 'first' ? firstDayIn(year, end.at) : lastDayIn(year, end.at);
  if ('anchor' in end) return addDays(anchorDay(property, end.anchor, year), end.plusDays);
  const isEarlier = 'earlierOf' in end;
  const days = (isEarlier ? end.earlierOf : end.laterOf)
    .map((one) => endDay(one, year, property, edge))
    .sort();
  return (isEarlier ? days[0] : days[1]) as IsoDate;
}

/**
 * Openings of a yearly span that touch the days from `from` to `to`, touching ones joined: a span that never closes is
 * one opening. A span belongs to the year it opens and ends on the first closing day after that.
 */
export function openingsOf(
  span: { opens: SpanEnd; closes: SpanEnd },
  property: Property,
  from: IsoDate,
  to: IsoDate,
): DaySpan[] {
  const found: DaySpan[] = [];
  for (let year = yearOf(from) - 2; year <= yearOf(to) + 1; year++) {
    const first = endDay(span.opens, year, property, 'first');
    const last = [year, year + 1]
      .map((closing) => endDay(span.closes, closing, property, 'last'))
      .find((day) => day >= first);
    if (!last) continue;
    const before = found.at(-1);
    if (before && first <= addDays(before.last, 1)) {
      if (last > before.last) before.last = last;
    } else found.push({ first, last });
  }
  return found.filter((one) => one.first <= to && from <= one.last);
}

/** Year in which the burning season that holds the day starts. */
export function burningSeason(date: IsoDate, property: Property): number {
  const year = yearOf(date);
  return date < firstDayIn(year, property.burningSeasonStart) ? year - 1 : year;
}

/** Growing seasons that lie wholly between two tasks: after the first ended and before the second starts. */
export function growingSeasonsBetween(
  endedOn: IsoDate,
  startsOn: IsoDate,
  property: Property,
): number {
  let count = 0;
  for (let year = yearOf(endedOn); year <= yearOf(startsOn); year++) {
    const isWhole =
      endedOn < anchorDay(property, 'leaf-out', year) &&
      startsOn >= firstDayIn(year, property.growingSeasonEnd);
    if (isWhole) count += 1;
  }
  return count;
}

function leafOutsBetween(endedOn: IsoDate, startsOn: IsoDate, property: Property): number {
  let count = 0;
  for (let year = yearOf(endedOn); year <= yearOf(startsOn); year++) {
    const leafOut = anchorDay(property, 'leaf-out', year);
    if (endedOn < leafOut && leafOut <= startsOn) count += 1;
  }
  return count;
}

/** What is missing of a least lag, in words, or null when all of it has passed. */
export function leastMissing(
  least: LagLength,
  endedOn: IsoDate,
  startsOn: IsoDate,
  property: Property,
): string | null {
  const days = daysBetween(endedOn, startsOn);
  if (days < (least.days ?? 0)) return `${days} of at least ${least.days} days`;
  if (least.years && startsOn < addYears(endedOn, least.years))
    return `${days} days, less than ${least.years} years`;
  if (least.growingSeasons) {
    const grown = growingSeasonsBetween(endedOn, startsOn, property);
    if (grown < least.growingSeasons)
      return `${grown} of at least ${least.growingSeasons} growing seasons`;
  }
  if (least.burningSeasons) {
    const burned = burningSeason(startsOn, property) - burningSeason(endedOn, property);
    if (burned < least.burningSeasons)
      return `${burned} of at least ${least.burningSeasons} burning seasons`;
  }
  return days < 0 ? `${days} days: it starts before the other one ends` : null;
}

/** How a most lag is overrun, in words, or null when it is kept. */
export function mostOverrun(
  most: LagLength,
  endedOn: IsoDate,
  startsOn: IsoDate,
  property: Property,
): string | null {
  const days = daysBetween(endedOn, startsOn);
  if (most.days !== undefined && days > most.days) return `${days} days, at most ${most.days}`;
  if (most.years !== undefined && startsOn > addYears(endedOn, most.years))
    return `${days} days, at most ${most.years} years`;
  if (most.growingSeasons && leafOutsBetween(endedOn, startsOn, property) >= most.growingSeasons)
    return `past leaf-out number ${most.growingSeasons}`;
  if (most.burningSeasons !== undefined) {
    const burned = burningSeason(startsOn, property) - burningSeason(endedOn, property);
    if (burned > most.burningSeasons)
      return `${burned} burning seasons, at most ${most.burningSeasons}`;
  }
  return null;
}
