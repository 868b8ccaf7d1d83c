import type { Crew } from '../crews.ts';
import {
  type DateRange,
  daysInMonth,
  fromDay,
  type IsoDate,
  mondayOfDay,
  monthDay,
  monthOf,
  rangeHolds,
  toDay,
  weekdayOfDay,
  yearOf,
} from '../dates.ts';
import type { Operation } from '../operation.ts';
import { burningSeasonStart, halfMonthOf } from '../seasons.ts';

/**
 * Burns draw on the fit days of two weeks together. The two-week spans are counted from Monday 5 January 1970
 * (day 4), whatever day a plan is made on, so that a new plan keeps the spans of the old one.
 */
export const poolDays = 14;

/** Number of the two-week span that holds a day. */
export function poolOfDay(day: number): number {
  return Math.floor((day - 4) / poolDays);
}

/** First day of a two-week span. */
export function firstDayOfPool(pool: number): number {
  return pool * poolDays + 4;
}

/** The horizon cut into weeks (Monday first), with the days each crew works. */
export interface LandWeeks {
  /** Day number of the Monday of week 0. */
  firstDay: number;
  weekCount: number;
  /** First and last day on which work may be planned. */
  fromDay: number;
  toDay: number;
  /** Crew id to one flag a day from `firstDay`: 1 = works. */
  crewWorks: Map<number, Uint8Array>;
  /** Gear key to the spans in which it is away. */
  gearOff: Map<string, DateRange[]>;
}

export function weekOfDay(weeks: LandWeeks, day: number): number {
  return Math.floor((day - weeks.firstDay) / 7);
}

export function landWeeks(operation: Operation, horizon: DateRange): LandWeeks {
  const firstDay = mondayOfDay(toDay(horizon.startsOn));
  const lastDay = toDay(horizon.endsBefore) - 1;
  const weekCount = Math.floor((lastDay - firstDay) / 7) + 1;
  const weeks: LandWeeks = {
    firstDay,
    weekCount,
    fromDay: toDay(horizon.startsOn),
    toDay: lastDay,
    crewWorks: new Map(),
    gearOff: new Map(operation.gear.map((gear) => [gear.key, gear.daysOff])),
  };
  const holidays = new Set(operation.holidays.map((holiday) => holiday.date));
  for (const crew of operation.crews) {
    const works = new Uint8Array(weekCount * 7);
    for (let i = 0; i < works.length; i++)
      if (crewWorksOn(crew, firstDay + i, weeks, holidays)) works[i] = 1;
    weeks.crewWorks.set(crew.id, works);
  }
  return weeks;
}

function crewWorksOn(
  crew: Crew,
  day: number,
  weeks: LandWeeks,
  holidays: ReadonlySet<IsoDate>,
): boolean {
  if (day < weeks.fromDay || day > weeks.toDay) return false;
  if (!crew.workdays.includes(weekdayOfDay(day))) return false;
  const date = fromDay(day);
  if (holidays.has(date)) return false;
  if (crew.daysOff.some((range) => rangeHolds(range, date))) return false;
  return crew.onSpans === null || crew.onSpans.some((range) => rangeHolds(range, date));
}

/** Days of a week on which the crew works, inside `range` when given. */
export function crewDaysIn(
  weeks: LandWeeks,
  crewId: number,
  week: number,
  range: DateRange | null,
): number[] {
  const works = weeks.crewWorks.get(crewId);
  const days: number[] = [];
  if (!works) return days;
  const start = weeks.firstDay + week * 7;
  const from = range ? Math.max(start, toDay(range.startsOn)) : start;
  const to = range ? Math.min(start + 7, toDay(range.endsBefore)) : start + 7;
  for (let day = from; day < to; day++) if (works[day - weeks.firstDay] === 1) days.push(day);
  return days;
}

/** Burns that one day's share of the fit days is good for; each half-month is spread evenly over its days. */
function burnsOfDay(operation: Operation, fitDays: readonly number[], date: IsoDate): number {
  const { weekdayShare, usedShare } = operation.settings.supply;
  const half = halfMonthOf(date);
  const length = half % 2 === 1 ? 15 : daysInMonth(yearOf(date), monthOf(date)) - 15;
  return ((fitDays[half - 1] ?? 0) / length) * weekdayShare * usedShare;
}

/**
 * Tenths of burns (whole burns times ten) that the fit days of a two-week span allow: fit days of its days, times the
 * share of weekdays that the burn people work, times the share of fit days really used, floored to whole burns. What is
 * left of a burn goes on to the next span (from the start of the burning season on), so that many spans with half
 * a burn each still allow a burn now and then. Days before the horizon count for nothing but that rest.
 */
export function poolTenths(
  operation: Operation,
  weeks: LandWeeks,
  fitDays: readonly number[],
  pool: number,
): number {
  const known = poolsKept.get(weeks)?.get(fitDays);
  const burns = known ?? new Map<number, number>();
  if (!known) {
    const kept = poolsKept.get(weeks) ?? new Map();
    poolsKept.set(weeks, kept.set(fitDays, burns));
  }
  if (!burns.has(pool)) countPools(operation, weeks, fitDays, pool, burns);
  return (burns.get(pool) ?? 0) * 10;
}

/** Burns by two-week span that were counted already, by the list of fit days. */
const poolsKept = new WeakMap<LandWeeks, Map<readonly number[], Map<number, number>>>();

/** Counts each span up to `pool`, and to the end of the horizon where that is later. */
function countPools(
  operation: Operation,
  weeks: LandWeeks,
  fitDays: readonly number[],
  pool: number,
  counted: Map<number, number>,
): void {
  const seasonStart = operation.properties[0]?.burningSeasonStart ?? monthDay('07-01');
  const firstPool = poolOfDay(toDay(burningSeasonStart(fromDay(weeks.fromDay), seasonStart)));
  let rest = 0;
  for (let at = firstPool; at <= Math.max(pool, poolOfDay(weeks.toDay)); at++) {
    let ahead = 0;
    let past = 0;
    for (let day = firstDayOfPool(at); day < firstDayOfPool(at + 1); day++) {
      const share = burnsOfDay(operation, fitDays, fromDay(day));
      if (day < weeks.fromDay) past += share;
      else if (day <= weeks.toDay) ahead += share;
    }
    const burns = Math.floor(rest + ahead + 1e-9);
    counted.set(at, burns);
    rest = (rest + ahead - burns + past) % 1;
  }
}
