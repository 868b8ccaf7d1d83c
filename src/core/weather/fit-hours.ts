import { fromDay, isoDate, toDay } from '../dates.ts';
import {
  type FitDayRule,
  hasEveryMonth,
  judgeDay,
  rainInchesOf,
  type StationClock,
} from './fit-days.ts';
import type { WeatherYear } from './history.ts';
import type { HourlyWeather } from './hours.ts';
import { type FitHours, unknownDay } from './past-years.ts';

/** Days judged between two looks at the clock and at a stop. */
const daysAStep = 20;

/**
 * Fit hours in a row of every local day of the years under a rule, in steps so that others get their turn. Days next
 * to the history are unknown, which is never fit.
 */
export function* fitHoursOf(
  rule: FitDayRule,
  weather: HourlyWeather,
  clock: StationClock,
  fromYear: number,
  toYear: number,
): Generator<void, FitHours> {
  const firstDay = toDay(isoDate(`${fromYear}-01-01`));
  const hours = new Uint8Array(toDay(isoDate(`${toYear + 1}-01-01`)) - firstDay);
  // The rain of a whole day is asked for again by each of the days after.
  const rain = new Map<number, number | null>();
  const rainOn = (day: number): number | null => {
    let inches = rain.get(day);
    if (inches === undefined) {
      inches = rainInchesOf(weather, day, 23, clock);
      rain.set(day, inches);
    }
    return inches;
  };
  for (let index = 0; index < hours.length; index++) {
    const day = firstDay + index;
    const { verdict, hoursInRow } = judgeDay(rule, weather, clock, fromDay(day), (back) =>
      back === 0 ? rainInchesOf(weather, day, rule.prescription.toHour, clock) : rainOn(day - back),
    );
    hours[index] = verdict === 'fit' ? hoursInRow : verdict === 'unknown' ? unknownDay : 0;
    if (index % daysAStep === 0) yield;
  }
  return { firstDay, hours };
}

/** Whole burning seasons of a history, by the year they start in: both years of it have readings in every month. */
export function wholeSeasons(years: readonly WeatherYear[]): number[] {
  const whole = new Set(years.filter(hasEveryMonth).map((one) => one.year));
  return [...whole].filter((year) => whole.has(year + 1)).sort((a, b) => a - b);
}
