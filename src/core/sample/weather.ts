import { fromDay, type IsoDate, isLeapYear, isoDate, monthOf, toDay, yearOf } from '../dates.ts';
import { createRandom, type Random } from '../schedule/random.ts';
import {
  type DailyYear,
  missingReading,
  type Station,
  traceRain,
  type WeatherYear,
} from '../weather/history.ts';

import { relativeHumidityPercent } from '../weather/humidity.ts';
import type { ForecastHour } from '../weather/readings.ts';

/** A made-up weather history: the figures below are our own invention in the likeness of the southern Ozarks. */
export interface SampleWeather {
  station: Station;
  /** Hourly, the last ten whole years and the running one. */
  years: WeatherYear[];
  /** Daily, thirty whole years and the running one. */
  days: DailyYear[];
  /** Made-up hours of `today` and the three days after it. */
  ahead: ForecastHour[];
}

export const sampleStation: Station = {
  name: 'Quail Prairie Field',
  latitude: 36.95,
  longitude: -92.3,
  timeZone: 'America/Chicago',
  isInvented: true,
};
const standardOffsetHours = -6;
const dailyYearsCount = 30;
const hourlyYearsCount = 10;
const daysAhead = 4;

/** By month, January first: mean temperature (C), half the daily range on a dry day (C), spread of air masses (C). */
const meanC = [1.5, 3.8, 8.5, 14, 18.5, 23.5, 26, 25.5, 21, 14.5, 8, 2];
const halfRangeC = [5.5, 6, 6.5, 6.8, 6.2, 6, 6.2, 6.8, 7, 7.2, 6.2, 5.4];
const spreadC = [5.5, 5.2, 4.8, 4, 3, 2.2, 1.8, 2, 3, 3.8, 4.8, 5.4];
/** Least depression of the dew point in moist air (C), and wind against that of the year. */
const depressionC = [3.2, 3.4, 4, 4, 3.4, 3, 3, 3.2, 3.4, 3.6, 3.4, 3.2];
const windShare = [0.95, 1, 1.06, 1.05, 0.92, 0.8, 0.7, 0.7, 0.8, 0.9, 0.92, 0.93];
/** Chance a day of a front three days after the last one, of a shower without one, and of more rain after a wet day. */
const frontChance = [0.3, 0.3, 0.3, 0.28, 0.22, 0.14, 0.1, 0.11, 0.18, 0.22, 0.27, 0.29];
const showerChance = [0.1, 0.11, 0.15, 0.18, 0.23, 0.22, 0.18, 0.16, 0.15, 0.15, 0.11, 0.1];
const wetAgainChance = [0.2, 0.22, 0.26, 0.3, 0.32, 0.28, 0.26, 0.25, 0.28, 0.27, 0.25, 0.22];

/** Clouds where the moisture of the air, near to normal in its luck, lies below this. */
const cloudyBelow = [-0.1, 0, -0.1, -0.1, -0.2, -0.5, -0.7, -0.7, -0.5, -0.1, -0.5, -0.2];

/** By days since a front: where the wind comes from, its mean in m/s, how much drier the air is (C). */
const flow = [
  { from: 300, windMs: 6, dryC: 2 },
  { from: 330, windMs: 4.6, dryC: 6 },
  { from: 60, windMs: 2.6, dryC: 6.5 },
  { from: 150, windMs: 3.2, dryC: 5 },
  { from: 185, windMs: 4.6, dryC: 3 },
  { from: 195, windMs: 5, dryC: 1.5 },
] as const;

interface Day {
  meanC: number;
  halfRangeC: number;
  depressionC: number;
  windMs: number;
  fromDegrees: number;
  rainMm: number;
  rainFromHour: number;
  rainHours: number;
}

/** Uniform in 0 to 1. */
const uniform = (random: Random) => random.bits() / 0x1_0000_0000;

/** Near to normal, mean 0 and spread 1: twelve uniform numbers, so that every engine adds up the same. */
function bell(random: Random): number {
  let sum = -6;
  for (let draw = 0; draw < 12; draw++) sum += uniform(random);
  return sum;
}

/** Days one after the other: fronts, dry air behind them, warmth before them, wet spells, and luck that lasts. */
function weatherMaker(random: Random): (month: number) => Day {
  let sinceFront = 2;
  let isWet = false;
  let airMass = 0;
  let moisture = 0;
  let windiness = 0;
  return (month) => {
    const at = month - 1;
    const chance = frontChance[at]! * Math.min(1.6, 0.25 + 0.35 * sinceFront);
    const isFront = uniform(random) < chance;
    sinceFront = isFront ? 0 : sinceFront + 1;
    const own = flow[Math.min(sinceFront, flow.length - 1)]!;
    const pull = isFront ? -0.9 : sinceFront >= 3 ? 0.35 : 0;
    airMass = 0.62 * airMass + 0.68 * bell(random) + pull;
    moisture = 0.72 * moisture + 0.65 * bell(random);
    windiness = 0.4 * windiness + 0.9 * bell(random);
    const rainChance = isFront ? 0.6 : isWet ? wetAgainChance[at]! : showerChance[at]!;
    isWet = uniform(random) < rainChance;
    const wetMm = 0.2 - 9 * Math.log(1 - 0.999 * uniform(random));
    const dryness = Math.max(0, own.dryC + 2.9 * moisture);
    // Moist air is cloudy: the day warms little and the air stays near its dew point.
    const isCloudy = isWet || moisture < cloudyBelow[at]! + (sinceFront === 1 ? -0.4 : 0);
    return {
      meanC: meanC[at]! + spreadC[at]! * airMass * 0.85,
      halfRangeC: halfRangeC[at]! * (isCloudy ? 0.5 : 1),
      depressionC: isWet ? 1.2 : isCloudy ? 2 : depressionC[at]! + dryness,
      windMs: Math.max(0.6, own.windMs * windShare[at]! * (1 + 0.38 * windiness)),
      fromDegrees: (own.from + 28 * bell(random) + 720) % 360,
      rainMm: isWet ? wetMm : 0,
      rainFromHour: random.below(20),
      rainHours: 2 + random.below(9),
    };
  };
}

interface Hour {
  temperatureC: number;
  dewPointC: number;
  windMs: number;
  gustMs: number;
  fromDegrees: number;
  rainMm: number;
}

const smooth = (today: number, tomorrow: number, share: number) =>
  today + (tomorrow - today) * share;

function hourOf(day: Day, next: Day, hour: number, random: Random): Hour {
  const share = hour / 24;
  // Coolest about 3 h, warmest about 15 h.
  const swing = Math.cos(((hour - 15) / 12) * Math.PI);
  const temperatureC =
    smooth(day.meanC, next.meanC, share) +
    smooth(day.halfRangeC, next.halfRangeC, share) * swing +
    0.3 * bell(random);
  const meanNow = smooth(day.meanC, next.meanC, share);
  const rains = hour >= day.rainFromHour && hour < day.rainFromHour + day.rainHours;
  const dewPointC = meanNow - smooth(day.depressionC, next.depressionC, share) + 0.3 * bell(random);
  const isRaining = day.rainMm > 0 && rains;
  const windMs = Math.max(
    0,
    smooth(day.windMs, next.windMs, share) * (1 + 0.32 * swing) + 0.4 * bell(random),
  );
  return {
    temperatureC,
    dewPointC: Math.min(temperatureC, isRaining ? temperatureC - 0.6 : dewPointC),
    windMs,
    gustMs: windMs * (1.3 + 0.35 * uniform(random)),
    fromDegrees: (day.fromDegrees + 8 * bell(random) + 360) % 360,
    rainMm: isRaining ? day.rainMm / Math.min(day.rainHours, 24 - day.rainFromHour) : 0,
  };
}

function emptyHours(year: number): Required<WeatherYear> {
  const column = () => new Int16Array((isLeapYear(year) ? 366 : 365) * 24).fill(missingReading);
  return {
    year,
    temperatureC10: column(),
    dewPointC10: column(),
    windMs10: column(),
    windDirectionDegrees: column(),
    rainMm10: column(),
    gustMs10: column(),
    snowCm: column(),
  };
}

function emptyDays(year: number): DailyYear {
  const column = () => new Int16Array(isLeapYear(year) ? 366 : 365).fill(missingReading);
  return {
    year,
    highC10: column(),
    lowC10: column(),
    rainMm10: column(),
    snowCm: column(),
    windMs10: column(),
    gustMs10: column(),
  };
}

const tenths = (value: number) => Math.round(value * 10);

function putHour(year: Required<WeatherYear>, index: number, hour: Hour, snowCm: number): void {
  year.temperatureC10[index] = tenths(hour.temperatureC);
  year.dewPointC10[index] = tenths(hour.dewPointC);
  year.windMs10[index] = tenths(hour.windMs);
  year.gustMs10[index] = tenths(hour.gustMs);
  // Stations write a calm as 0 degrees and north as 360.
  year.windDirectionDegrees[index] =
    tenths(hour.windMs) === 0 ? 0 : Math.round(hour.fromDegrees) || 360;
  year.rainMm10[index] = hour.rainMm > 0 && hour.rainMm < 0.05 ? traceRain : tenths(hour.rainMm);
  year.snowCm[index] = Math.round(snowCm);
}

function putDay(year: DailyYear, index: number, hours: readonly Hour[], snowCm: number): void {
  const sum = (of: (hour: Hour) => number) => hours.reduce((all, hour) => all + of(hour), 0);
  const temperatures = hours.map((hour) => hour.temperatureC);
  year.highC10[index] = tenths(Math.max(...temperatures));
  year.lowC10[index] = tenths(Math.min(...temperatures));
  year.rainMm10[index] = tenths(sum((hour) => hour.rainMm));
  year.snowCm[index] = Math.round(snowCm);
  year.windMs10[index] = tenths(sum((hour) => hour.windMs) / hours.length);
  year.gustMs10[index] = tenths(Math.max(...hours.map((hour) => hour.gustMs)));
}

/** Snow on the ground after a day: what fell while it froze, settled, less what the warmth took. */
function snowAfter(snowCm: number, hours: readonly Hour[]): number {
  const fell = hours.reduce((all, hour) => all + (hour.temperatureC < 0 ? hour.rainMm : 0), 0);
  const mean = hours.reduce((all, hour) => all + hour.temperatureC, 0) / hours.length;
  return Math.max(0, 0.85 * snowCm + 0.7 * fell - Math.max(0, 1.5 * (mean + 2)));
}

/**
 * Thirty made-up whole years by day, the last ten by hour too, and the running year up to the day before `today`. The
 * same seed and day give the same weather. A chain of fronts and wet spells with air masses that last makes fit days
 * come in clusters.
 */
export function sampleWeather(today: IsoDate, seed = 20): SampleWeather {
  const random = createRandom(seed);
  const makeDay = weatherMaker(random);
  const lastDay = toDay(today) - 1;
  const lastYear = yearOf(fromDay(lastDay));
  const firstYear = lastYear - dailyYearsCount;
  const firstHourlyYear = lastYear - hourlyYearsCount;
  const years = new Map<number, Required<WeatherYear>>();
  const days = new Map<number, DailyYear>();
  for (let year = firstYear; year <= lastYear; year++) days.set(year, emptyDays(year));
  for (let year = firstHourlyYear; year <= lastYear; year++) years.set(year, emptyHours(year));
  const firstDay = toDay(isoDate(`${firstYear}-01-01`));
  const yearStarts = new Map(
    [...days.keys()].map((year) => [year, toDay(isoDate(`${year}-01-01`))]),
  );
  const ahead: ForecastHour[] = [];
  let snowCm = 0;
  // From a day before: the local day and the year of UTC do not begin together.
  let now = makeDay(12);
  for (let day = firstDay - 1; day <= lastDay + daysAhead; day++) {
    const date = fromDay(day);
    const next = makeDay(monthOf(date));
    const hours = Array.from({ length: 24 }, (_, hour) => hourOf(now, next, hour, random));
    snowCm = snowAfter(snowCm, hours);
    const year = yearOf(date);
    if (day > lastDay) {
      ahead.push(...hours.map((hour, at) => forecastHour(day * 24 + at, hour, snowCm)));
      now = next;
      continue;
    }
    const own = days.get(year);
    if (own) putDay(own, day - yearStarts.get(year)!, hours, snowCm);
    if (year >= firstHourlyYear - 1) putHours(years, yearStarts, day, hours, snowCm);
    now = next;
  }
  return { station: sampleStation, years: [...years.values()], days: [...days.values()], ahead };
}

/** An hour of a made-up forecast; `localHour` counts standard-time hours since 1970. */
function forecastHour(localHour: number, hour: Hour, snowCm: number): ForecastHour {
  const utcHour = localHour - standardOffsetHours;
  const hourOfDay = String(utcHour % 24).padStart(2, '0');
  const tenth = (value: number) => tenths(value) / 10;
  return {
    at: `${fromDay(Math.floor(utcHour / 24))}T${hourOfDay}:00Z`,
    temperatureC: tenth(hour.temperatureC),
    rhPercent: Math.round(relativeHumidityPercent(hour.temperatureC, hour.dewPointC)),
    windMs: tenth(hour.windMs),
    gustMs: tenth(hour.gustMs),
    windFromDegrees: tenths(hour.windMs) === 0 ? null : Math.round(hour.fromDegrees),
    rainMm: tenth(hour.rainMm),
    snowCm: Math.round(snowCm),
  };
}

function putHours(
  years: ReadonlyMap<number, Required<WeatherYear>>,
  yearStarts: ReadonlyMap<number, number>,
  day: number,
  hours: readonly Hour[],
  snowCm: number,
): void {
  for (const [hour, reading] of hours.entries()) {
    const utcHour = day * 24 + hour - standardOffsetHours;
    const year = yearOf(fromDay(Math.floor(utcHour / 24)));
    const own = years.get(year);
    if (own) putHour(own, utcHour - yearStarts.get(year)! * 24, reading, snowCm);
  }
}
