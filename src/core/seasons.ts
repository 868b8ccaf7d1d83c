import {
  addDays,
  addYears,
  type DateRange,
  firstDayIn,
  type IsoDate,
  lastDayIn,
  type MonthDay,
  monthOf,
  yearOf,
} from './dates.ts';

/** Dates of spring and fall that windows hang on; each property has its own. */
export const anchorNames = ['leaf-out', 'leaf-fall', 'green-up', 'warm-season-start'] as const;
export type AnchorName = (typeof anchorNames)[number];

/** Usual month-day by anchor, and the dates of single years (observed or computed) that override it. */
export interface Anchors {
  usual: Record<AnchorName, MonthDay>;
  byYear: { anchor: AnchorName; year: number; date: IsoDate; how: 'observed' | 'computed' }[];
}

export type WindowEnd =
  | { at: MonthDay }
  | { anchor: AnchorName; plusDays: number }
  | { earlierOf: [WindowEnd, WindowEnd] }
  | { laterOf: [WindowEnd, WindowEnd] };

/** Span of the year in which a treatment may be done; both ends inclusive; may cross New Year. */
export interface SeasonalWindow {
  opens: WindowEnd;
  closes: WindowEnd;
}

/** The date of an anchor in a year: the override of that year, else the usual month-day. */
export function anchorDate(anchors: Anchors, anchor: AnchorName, year: number): IsoDate {
  const own = anchors.byYear.find((row) => row.anchor === anchor && row.year === year);
  return own ? own.date : firstDayIn(year, anchors.usual[anchor]);
}

function endIn(end: WindowEnd, year: number, anchors: Anchors, isFirstDay: boolean): IsoDate {
  if ('at' in end) return isFirstDay ? firstDayIn(year, end.at) : lastDayIn(year, end.at);
  if ('anchor' in end) return addDays(anchorDate(anchors, end.anchor, year), end.plusDays);
  const [a, b] = ('earlierOf' in end ? end.earlierOf : end.laterOf).map((part) =>
    endIn(part, year, anchors, isFirstDay),
  ) as [IsoDate, IsoDate];
  const isFirst = a < b;
  return 'earlierOf' in end === isFirst ? a : b;
}

/**
 * The window that opens in `year` (a window belongs to the year it opens; an anchored end uses the
 * anchor of the year in which it falls). Null when it closes before it opens.
 */
export function windowOpeningIn(
  window: SeasonalWindow,
  year: number,
  anchors: Anchors,
): DateRange | null {
  const startsOn = endIn(window.opens, year, anchors, true);
  const sameYear = endIn(window.closes, year, anchors, false);
  const lastDay = sameYear < startsOn ? endIn(window.closes, year + 1, anchors, false) : sameYear;
  return startsOn <= lastDay ? { startsOn, endsBefore: addDays(lastDay, 1) } : null;
}

/** Every opening of the window that touches `span`, in order, whole (not clipped to `span`). */
export function windowOpenings(
  window: SeasonalWindow,
  span: DateRange,
  anchors: Anchors,
): DateRange[] {
  const found: DateRange[] = [];
  for (let year = yearOf(span.startsOn) - 1; year <= yearOf(span.endsBefore); year++) {
    const opening = windowOpeningIn(window, year, anchors);
    if (opening && opening.startsOn < span.endsBefore && span.startsOn < opening.endsBefore)
      found.push(opening);
  }
  return found;
}

/** First day of the burning season that holds `date`; seasons start on `startsAt` (default 1 July). */
export function burningSeasonStart(date: IsoDate, startsAt: MonthDay): IsoDate {
  const thisYear = firstDayIn(yearOf(date), startsAt);
  return date >= thisYear ? thisYear : firstDayIn(yearOf(date) - 1, startsAt);
}

/** Number of the burning season that holds `date`: the year in which it starts. */
export function burningSeasonOf(date: IsoDate, startsAt: MonthDay): number {
  return yearOf(burningSeasonStart(date, startsAt));
}

/** "2026-27" for the season that starts in 2026. */
export function burningSeasonName(season: number): string {
  return `${season}-${String((season + 1) % 100).padStart(2, '0')}`;
}

/**
 * Planning horizon: from `today` to the end of the burning season that holds it and of the
 * `seasonsAfter` next ones.
 */
export function horizonFrom(today: IsoDate, startsAt: MonthDay, seasonsAfter: number): DateRange {
  return {
    startsOn: today,
    endsBefore: addYears(burningSeasonStart(today, startsAt), seasonsAfter + 1),
  };
}

/**
 * First day on which a task may start so that `count` whole growing seasons (leaf-out to
 * `growingSeasonEnd`) lie between it and a task that ended on `endedOn`.
 * A season counts when the first task ended before its leaf-out and the second starts on or after its end.
 */
export function afterGrowingSeasons(
  endedOn: IsoDate,
  count: number,
  anchors: Anchors,
  growingSeasonEnd: MonthDay,
): IsoDate {
  if (count <= 0) return endedOn;
  const firstYear =
    endedOn < anchorDate(anchors, 'leaf-out', yearOf(endedOn))
      ? yearOf(endedOn)
      : yearOf(endedOn) + 1;
  return firstDayIn(firstYear + count - 1, growingSeasonEnd);
}

/** 1 to 24: half-month of the year, days 1 to 15 and 16 to the end. */
export function halfMonthOf(date: IsoDate): number {
  return (monthOf(date) - 1) * 2 + (Number(date.slice(8, 10)) <= 15 ? 1 : 2);
}
