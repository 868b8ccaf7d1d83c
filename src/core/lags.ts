import {
  addDays,
  addYears,
  firstDayIn,
  type IsoDate,
  lastDayOf,
  type MonthDay,
  yearOf,
} from './dates.ts';
import type { Property } from './properties.ts';
import type { BurnRotation } from './rotation.ts';
import {
  type Anchors,
  afterGrowingSeasons,
  anchorDate,
  burningSeasonOf,
  type SeasonalWindow,
  windowOpenings,
} from './seasons.ts';
import type { Lag, LagLength } from './sequences.ts';

/** What lags need of a property: its anchors and where its seasons begin and end. */
export interface LagCalendar {
  anchors: Anchors;
  growingSeasonEnd: MonthDay;
  burningSeasonStart: MonthDay;
}

export function lagCalendarOf(property: Property): LagCalendar {
  return {
    anchors: property.anchors,
    growingSeasonEnd: property.growingSeasonEnd,
    burningSeasonStart: property.burningSeasonStart,
  };
}

/** Least, target and most of a lag; those of a rotation come from the block's interval. */
export interface LagRule {
  least: LagLength;
  target: LagLength | null;
  most: LagLength | null;
  mostIsHard: boolean;
}

export function lagRule(lag: Lag, rotation: BurnRotation | null): LagRule {
  if (lag.kind === 'fixed' || !rotation) return lag;
  return {
    least: { burningSeasons: rotation.leastSeasons },
    target: { years: rotation.targetYears },
    most: { years: rotation.mostYears },
    mostIsHard: false,
  };
}

/** First day that meets every part of the length, counted from the last day of the task before. */
export function earliestAfter(length: LagLength, endedOn: IsoDate, calendar: LagCalendar): IsoDate {
  let earliest = addDays(endedOn, length.days ?? 0);
  const atLeast = (date: IsoDate) => {
    if (date > earliest) earliest = date;
  };
  if (length.growingSeasons)
    atLeast(
      afterGrowingSeasons(
        endedOn,
        length.growingSeasons,
        calendar.anchors,
        calendar.growingSeasonEnd,
      ),
    );
  if (length.burningSeasons)
    atLeast(
      firstDayIn(
        burningSeasonOf(endedOn, calendar.burningSeasonStart) + length.burningSeasons,
        calendar.burningSeasonStart,
      ),
    );
  if (length.years) atLeast(addYears(endedOn, length.years));
  return earliest;
}

/** The nth leaf-out after a day. */
function leafOutAfter(endedOn: IsoDate, count: number, anchors: Anchors): IsoDate {
  const thisYear = yearOf(endedOn);
  const first = endedOn < anchorDate(anchors, 'leaf-out', thisYear) ? thisYear : thisYear + 1;
  return anchorDate(anchors, 'leaf-out', first + count - 1);
}

/**
 * Last day that keeps every part of a most lag. Growing seasons count to the day before the nth leaf-out
 * (felled fuel: the burn season before the third leaf-out is the last one), burning seasons to the end of the nth.
 */
export function latestAfter(length: LagLength, endedOn: IsoDate, calendar: LagCalendar): IsoDate {
  const ends: IsoDate[] = [];
  if (length.days !== undefined) ends.push(addDays(endedOn, length.days));
  if (length.years !== undefined) ends.push(addYears(endedOn, length.years));
  if (length.growingSeasons)
    ends.push(addDays(leafOutAfter(endedOn, length.growingSeasons, calendar.anchors), -1));
  if (length.burningSeasons !== undefined) {
    const season = burningSeasonOf(endedOn, calendar.burningSeasonStart) + length.burningSeasons;
    const startsOn = firstDayIn(season, calendar.burningSeasonStart);
    ends.push(lastDayOf({ startsOn, endsBefore: addYears(startsOn, 1) }));
  }
  if (ends.length === 0) throw new RangeError('a most lag without any length');
  return ends.reduce((least, end) => (end < least ? end : least));
}

/**
 * Use-by of felled fuel: the end of the last burn season that a most lag leaves (its last day on or before the day that
 * `latestAfter` gives). Where no window of the burn opens between, that day itself.
 */
export function useByOf(
  most: LagLength,
  felledOn: IsoDate,
  calendar: LagCalendar,
  burnWindows: readonly SeasonalWindow[],
): IsoDate {
  const latest = latestAfter(most, felledOn, calendar);
  const between = { startsOn: addDays(felledOn, 1), endsBefore: addDays(latest, 1) };
  const ends = burnWindows
    .flatMap((window) => windowOpenings(window, between, calendar.anchors))
    .map((opening) => lastDayOf(opening))
    .map((end) => (end < latest ? end : latest));
  return ends.length === 0 ? latest : ends.reduce((last, end) => (end > last ? end : last));
}

const plural = (count: number, one: string, many: string) =>
  `${count === 1 ? 'one' : count} ${count === 1 ? one : many}`;

/** "one growing season and 300 days". */
export function lagWords(length: LagLength): string {
  const parts: string[] = [];
  if (length.growingSeasons)
    parts.push(plural(length.growingSeasons, 'growing season', 'growing seasons'));
  if (length.burningSeasons)
    parts.push(plural(length.burningSeasons, 'burning season', 'burning seasons'));
  if (length.years) parts.push(plural(length.years, 'year', 'years'));
  if (length.days) parts.push(plural(length.days, 'day', 'days'));
  return parts.length > 0 ? parts.join(' and ') : 'the same day';
}
