import { fromDay, isoDate, toDay } from '../dates.ts';
import {
  dayJudge,
  type FitDayRule,
  hasEveryMonth,
  rainByDay,
  type StationClock,
} from './fit-days.ts';
import type { WeatherYear } from './history.ts';
import type { HourlyWeather } from './hours.ts';
import { type AskedDays, type FitHours, monthDayIndex, unknownDay } from './past-years.ts';

/** Days judged between two looks at the clock and at a stop. */
const daysAStep = 20;

/**
 * Fit hours in a row of the local days of the years under a rule, in steps so that others get their turn. Days of the
 * year that are not asked for, and days next to the history, stay unknown, which is never fit.
 */
export function* fitHoursOf(
  rule: FitDayRule,
  weather: HourlyWeather,
  clock: StationClock,
  span: { fromYear: number; toYear: number; asked: AskedDays },
  rainOfDay = rainByDay(weather, clock),
): Generator<void, FitHours> {
  const { fromYear, toYear, asked } = span;
  const firstDay = toDay(isoDate(`${fromYear}-01-01`));
  const hours = new Uint8Array(toDay(isoDate(`${toYear + 1}-01-01`)) - firstDay);
  const judge = dayJudge(rule, weather, clock, rainOfDay);
  for (let index = 0; index < hours.length; index++) {
    if (index % daysAStep === 0) yield;
    if (!asked[monthDayIndex(fromDay(firstDay + index))]) {
      hours[index] = unknownDay;
      continue;
    }
    const { verdict, hoursInRow } = judge(firstDay + index);
    hours[index] = verdict === 'fit' ? hoursInRow : verdict === 'unknown' ? unknownDay : 0;
  }
  return { firstDay, hours };
}

/** Whole burning seasons of a history, by the year they start in: both years of it have readings in every month. */
export function wholeSeasons(years: readonly WeatherYear[]): number[] {
  const whole = new Set(years.filter(hasEveryMonth).map((one) => one.year));
  return [...whole].filter((year) => whole.has(year + 1)).sort((a, b) => a - b);
}
