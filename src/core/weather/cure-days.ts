import { addDays, fromDay, type IsoDate, isoDate, toDay } from '../dates.ts';
import type { CureDay } from './cure.ts';
import { yearSpans } from './fit-days.ts';
import type { WeatherYear } from './history.ts';
import { hoursOfHistory } from './hours.ts';

/** Days of a weather history as drying wood feels them. */
export interface CureWeather {
  /** By day number; a day that is not held is not known. */
  byDay: ReadonlyMap<number, CureDay>;
  /** Mean of all years round a month and day, such as `02-29`. */
  usual: ReadonlyMap<string, CureDay>;
}

const unknownDay: CureDay = { rhMeanPercent: null, temperatureMeanF: null, rainInches: null };
/** Fewer known hours than this say too little of a day's mean. */
const hoursLeast = 20;

function meanOf(values: readonly (number | null)[], least: number): number | null {
  const known = values.filter((value) => value !== null);
  if (known.length < least) return null;
  return known.reduce((sum, value) => sum + value, 0) / known.length;
}

/** Days on either side that the usual day of a date is taken over: single days of a few years say too little. */
const usualDaysAround = 7;

/** Mean of what the years know of the fifteen days round each calendar day. */
function usualDays(byDate: ReadonlyMap<IsoDate, CureDay>): Map<string, CureDay> {
  const groups = new Map<string, CureDay[]>();
  for (const [date, day] of byDate) {
    const group = groups.get(date.slice(5));
    if (group) group.push(day);
    else groups.set(date.slice(5), [day]);
  }
  const leapYear = toDay(isoDate('2024-01-01'));
  const calendar = Array.from({ length: 366 }, (_, index) => fromDay(leapYear + index).slice(5));
  return new Map(
    calendar.map((monthDay, index) => {
      const near = Array.from({ length: 2 * usualDaysAround + 1 }, (_, step) => {
        const at = (index + step - usualDaysAround + 366) % 366;
        return groups.get(calendar[at] ?? '') ?? [];
      }).flat();
      const mean = (key: keyof CureDay) =>
        meanOf(
          near.map((day) => day[key]),
          1,
        );
      const usual: CureDay = {
        rhMeanPercent: mean('rhMeanPercent'),
        temperatureMeanF: mean('temperatureMeanF'),
        rainInches: mean('rainInches'),
      };
      return [monthDay, usual];
    }),
  );
}

/** Daily means from the hours of a station, in its standard time; a mean needs at least 20 known hours. */
export function cureWeatherOf(
  years: readonly WeatherYear[],
  clock: { standardOffsetMinutes: number },
): CureWeather {
  const weather = hoursOfHistory(years);
  const offsetHours = Math.round(clock.standardOffsetMinutes / 60);
  const byDay = new Map<number, CureDay>();
  const byDate = new Map<IsoDate, CureDay>();
  for (const { year, from, to } of yearSpans(years))
    for (let day = from; day < to; day++) {
      const hours = Array.from({ length: 24 }, (_, hour) => day * 24 + hour - offsetHours);
      const readings = hours.map((hour) => weather.reading(hour));
      const temperatureC = meanOf(
        readings.map((reading) => reading.temperatureC),
        hoursLeast,
      );
      const rains = hours.flatMap((hour) => weather.measuredRainMm(hour) ?? []);
      const found: CureDay = {
        rhMeanPercent: meanOf(
          readings.map((reading) => reading.rhPercent),
          hoursLeast,
        ),
        temperatureMeanF: temperatureC === null ? null : temperatureC * 1.8 + 32,
        rainInches: rains.length === 0 ? null : rains.reduce((sum, mm) => sum + mm, 0) / 25.4,
      };
      byDay.set(day, found);
      byDate.set(addDays(isoDate(`${year.year}-01-01`), day - from), found);
    }
  return { byDay, usual: usualDays(byDate) };
}

/** Days from the one after `from` to `to`, both as dates; where a day lacks a reading, the usual day of past
 * years stands in. */
export function cureDaysBetween(
  weather: CureWeather,
  from: IsoDate,
  to: IsoDate,
): { days: CureDay[]; observedDays: number } {
  const days: CureDay[] = [];
  let observedDays = 0;
  for (let date = addDays(from, 1); date <= to; date = addDays(date, 1)) {
    const observed = weather.byDay.get(toDay(date));
    const isKnown =
      observed && Object.values(observed).every((value: number | null) => value !== null);
    if (isKnown) observedDays += 1;
    days.push(isKnown ? observed : (weather.usual.get(date.slice(5)) ?? unknownDay));
  }
  return { days, observedDays };
}
