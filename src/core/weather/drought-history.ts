import { fromDay, type IsoDate, isLeapYear, isoDate, monthOf, toDay, yearOf } from '../dates.ts';
import { percentile } from './chance.ts';
import { droughtIndex } from './drought.ts';
import { wettingRainInches } from './drying.ts';
import { type DailyYear, missingReading } from './history.ts';

/** An index started at zero says nothing before it has run this long; a year is the usual practice. */
export const spinUpDays = 365;
/** Days without high or rain among the last 365 that the index may step over; ours, a default to edit. */
const unknownDaysMost = 36;
/** Days without rain on record that a year may have and still count for the mean rain of a year; ours. */
const rainDaysMissingMost = 10;
/** Fewer past years than this make no P10 to P90; ours. */
const pastYearsLeast = 5;

export interface DroughtHistory {
  /** Mean of the years whose rain is known, inches. */
  annualRainInches: number;
  /** Years in that mean. */
  rainYears: number;
  /** Day on which the index was set to zero; nothing of the year that follows is in `days`. */
  startedOn: IsoDate;
  /** Index at the end of each day (day number) that can be told; in order. */
  days: { day: number; index: number }[];
}

/** Month of the index in past years and in one year; null = not known. */
export interface DroughtMonth {
  /** Means of the month, a figure a year; `years` counts them. */
  past: { p10: number; median: number; p90: number; years: number } | null;
  own: number | null;
}

const known = (value: number | undefined) => value !== undefined && value !== missingReading;

function rainInches(value: number): number {
  // A trace is on record as less than nothing.
  return Math.max(0, value) / 254;
}

/** Mean rain of a year in inches, and from how many years; null = no year is whole enough. */
export function meanAnnualRain(
  years: readonly DailyYear[],
): { inches: number; years: number } | null {
  const sums = years.flatMap(({ year, rainMm10 }) => {
    const seen = [...rainMm10].filter(known);
    const least = (isLeapYear(year) ? 366 : 365) - rainDaysMissingMost;
    return seen.length < least ? [] : [seen.reduce((sum, rain) => sum + rainInches(rain), 0)];
  });
  if (sums.length === 0) return null;
  return { inches: sums.reduce((sum, one) => sum + one, 0) / sums.length, years: sums.length };
}

interface KnownDay {
  day: number;
  highF: number;
  rainInches: number;
}

function knownDays(years: readonly DailyYear[]): KnownDay[] {
  return [...years]
    .sort((a, b) => a.year - b.year)
    .flatMap(({ year, highC10, rainMm10 }) => {
      const first = toDay(isoDate(`${year}-01-01`));
      return Array.from(highC10, (high, at): KnownDay[] => {
        const rain = rainMm10[at];
        if (rain === undefined || !known(rain) || !known(high)) return [];
        return [{ day: first + at, highF: high * 0.18 + 32, rainInches: rainInches(rain) }];
      }).flat();
    });
}

/**
 * Keetch-Byram index of a daily history, started at zero (soil full) on its first known day; told from a year later on. A day
 * without its high or its rain leaves the index as it was; where more than a tenth of the last year is so, nothing is
 * told. Null = no year with its rain known, or less than a year of days.
 */
export function droughtHistory(years: readonly DailyYear[]): DroughtHistory | null {
  const rain = meanAnnualRain(years);
  const days = knownDays(years);
  const first = days[0];
  if (rain === null || first === undefined) return null;
  const indexes = droughtIndex(days, rain.inches, 0);
  let oldest = 0;
  const told = days.flatMap(({ day }, at) => {
    while ((days[oldest]?.day ?? day) <= day - spinUpDays) oldest += 1;
    const unknownDays = spinUpDays - (at - oldest + 1);
    const index = indexes[at];
    if (index === undefined || day < first.day + spinUpDays || unknownDays > unknownDaysMost)
      return [];
    return [{ day, index }];
  });
  if (told.length === 0) return null;
  return {
    annualRainInches: rain.inches,
    rainYears: rain.years,
    startedOn: fromDay(first.day),
    days: told,
  };
}

/** Stage 0 to 7 of an index as it is shown, in whole points; a hundred a stage, as weather offices print them. */
export function droughtStage(index: number): { stage: number; from: number; to: number } {
  const stage = Math.min(7, Math.floor(Math.max(0, Math.round(index)) / 100));
  return { stage, from: stage * 100, to: stage === 7 ? 800 : stage * 100 + 99 };
}

/** The twelve months of a year beside those of the years before it; a year counts where it holds half of the month. */
export function droughtByMonth(
  history: Pick<DroughtHistory, 'days'>,
  year: number,
): DroughtMonth[] {
  const sums = new Map<number, { sum: number; days: number }[]>();
  for (const { day, index } of history.days) {
    const date = fromDay(day);
    const months =
      sums.get(yearOf(date)) ?? Array.from({ length: 12 }, () => ({ sum: 0, days: 0 }));
    sums.set(yearOf(date), months);
    const month = months[monthOf(date) - 1];
    if (!month) continue;
    month.sum += index;
    month.days += 1;
  }
  return Array.from({ length: 12 }, (_, month): DroughtMonth => {
    const past = [...sums].flatMap(([of, months]) => {
      const one = months[month];
      return of < year && one && one.days >= 15 ? [one.sum / one.days] : [];
    });
    const own = sums.get(year)?.[month];
    return {
      past:
        past.length < pastYearsLeast
          ? null
          : {
              p10: percentile(past, 0.1),
              median: percentile(past, 0.5),
              p90: percentile(past, 0.9),
              years: past.length,
            },
      own: own && own.days > 0 ? own.sum / own.days : null,
    };
  });
}

/**
 * The newest day (day number) with a tenth of an inch of rain or more, and the days after it, up to the newest day on record, whose
 * rain is not known. Null = none on record.
 */
export function lastWettingRain(
  years: readonly DailyYear[],
): { day: number; inches: number; newestDay: number; unknownDays: number } | null {
  let newestDay: number | null = null;
  let unknownDays = 0;
  for (const { year, rainMm10 } of [...years].sort((a, b) => b.year - a.year)) {
    const first = toDay(isoDate(`${year}-01-01`));
    for (let at = rainMm10.length - 1; at >= 0; at--) {
      const rain = rainMm10[at];
      if (rain === undefined || !known(rain)) {
        if (newestDay !== null) unknownDays += 1;
        continue;
      }
      newestDay ??= first + at;
      const inches = rainInches(rain);
      if (inches >= wettingRainInches) return { day: first + at, inches, newestDay, unknownDays };
    }
  }
  return null;
}
