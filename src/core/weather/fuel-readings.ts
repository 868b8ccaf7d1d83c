import { fromDay, type IsoDate, monthOf, toDay } from '../dates.ts';
import { sunTimes } from '../season/sun.ts';
import { type DryingSite, daysToLookBack, isDryAfterRain } from './drying.ts';
import { fineFuelMoisturePercent, isShadedByCanopy, sunWarmedFuelPercent } from './fine-fuel.ts';
import { rainByDay, type StationClock } from './fit-days.ts';
import { type HeavyFuelDay, hundredHourPercent, thousandHourPercent } from './heavy-fuel.ts';
import { type HourlyWeather, hourUtcOfDay } from './hours.ts';
import { ignitionPercentInAir } from './ignition.ts';
import type { Place } from './stations.ts';
import type { WeatherTables } from './tables.ts';

/** First and last hour of day for which the tables of fine fuel hold. */
export const fuelHours = { first: 8, last: 19 } as const;
/** Fewer known hours than this leave the ends of a day's temperature and humidity unknown. */
const hoursLeast = 20;
/** Heavy fuel is told from a run of this many days, of which at most a tenth may be unknown. */
export const heavyRunDays = 365;
const heavyUnknownMost = 36;
/** Moisture that heavy fuel starts from a year back, percent: long forgotten by today. */
const heavyStartPercent = 20;

/** What hourly weather and reference tables are looked up from. */
export interface FuelWeather {
  weather: HourlyWeather;
  clock: StationClock;
  tables: WeatherTables;
}

/** Air of one hour of day, station standard time, and what hangs on it alone; null = not known. */
export interface FuelAir {
  hour: number;
  temperatureF: number | null;
  rhPercent: number | null;
  /** Rain in the hour: fine fuel is wet, whatever the air. */
  isRaining: boolean | null;
  /** 10-hour fuel under a clear and under an overcast sky, percent; the history holds no clouds. */
  tenHourPercent: { clear: number; overcast: number } | null;
}

export interface FineFuelReading {
  hour: number;
  percent: number;
  /** Probability of ignition. */
  ignitionPercent: number;
}

/** The hours of a day for which the tables of fine fuel hold. */
export function fuelAir({ weather, clock }: FuelWeather, date: IsoDate): FuelAir[] {
  return Array.from({ length: fuelHours.last - fuelHours.first + 1 }, (_, at): FuelAir => {
    const hour = fuelHours.first + at;
    const hourUtc = hourUtcOfDay(toDay(date), hour, clock.standardOffsetMinutes);
    const { temperatureC, rhPercent } = weather.reading(hourUtc);
    const rainMm = weather.measuredRainMm(hourUtc);
    const temperatureF = temperatureC === null ? null : temperatureC * 1.8 + 32;
    const isRaining = rainMm === null ? null : rainMm > 0;
    const tenHour = (sky: 0 | 3) =>
      sunWarmedFuelPercent(temperatureF ?? 0, rhPercent ?? 0, sky, isRaining === true)
        .tenHourPercent;
    const tenHourPercent =
      temperatureF === null || rhPercent === null
        ? null
        : { clear: tenHour(0), overcast: tenHour(3) };
    return { hour, temperatureF, rhPercent, isRaining, tenHourPercent };
  });
}

/**
 * Fine dead fuel of a site in one hour by the handbook tables, whole percent, with the probability of ignition. Null = temperature
 * or humidity is not known, it rains, or the tables lack the row.
 */
export function fineFuelReading(
  { tables }: Pick<FuelWeather, 'tables'>,
  air: FuelAir,
  date: IsoDate,
  site: DryingSite,
  isLeafOn: boolean,
): FineFuelReading | null {
  const { hour, temperatureF, rhPercent, isRaining } = air;
  if (temperatureF === null || rhPercent === null || isRaining === true) return null;
  const isShaded = isShadedByCanopy(site.canopyPercent, isLeafOn);
  const { aspect, slopePercent } = site;
  const month = monthOf(date);
  const percent = fineFuelMoisturePercent(tables, {
    temperatureF,
    rhPercent,
    month,
    hour,
    aspect,
    slopePercent,
    isShaded,
  });
  if (percent === null) return null;
  const ignitionPercent = ignitionPercentInAir(temperatureF, percent, isShaded);
  return { hour, percent, ignitionPercent };
}

/**
 * Whether the ground of a site is dry enough after the rain of the days before, the day's own rain as a whole included.
 * Null = not known, or the table is not loaded.
 */
export function isDryOn(from: FuelWeather, date: IsoDate, site: DryingSite): boolean | null {
  const rows = from.tables.dryingDays;
  if (rows.length === 0) return null;
  const rainOf = rainByDay(from.weather, from.clock);
  const back = Array.from({ length: daysToLookBack(rows) }, (_, days) =>
    rainOf(toDay(date) - days),
  );
  return isDryAfterRain(rows, site, monthOf(date), back);
}

/** The newest day, up to `date` and not more than `daysBack` before it, with air known in an hour of the tables. */
export function newestFuelDay(from: FuelWeather, date: IsoDate, daysBack: number): IsoDate | null {
  for (let back = 0; back <= daysBack; back++) {
    const day = fromDay(toDay(date) - back);
    const isKnown = fuelAir(from, day).some(
      ({ temperatureF, rhPercent }) => temperatureF !== null && rhPercent !== null,
    );
    if (isKnown) return day;
  }
  return null;
}

function heavyDay(
  weather: HourlyWeather,
  clock: StationClock,
  place: Place,
  day: number,
  rainInches: number | null,
): HeavyFuelDay | null {
  if (rainInches === null) return null;
  const temperatures: number[] = [];
  const humidities: number[] = [];
  const first = hourUtcOfDay(day, 0, clock.standardOffsetMinutes);
  for (let hour = first; hour < first + 24; hour++) {
    const { temperatureC, rhPercent } = weather.reading(hour);
    if (temperatureC === null || rhPercent === null) continue;
    temperatures.push(temperatureC * 1.8 + 32);
    humidities.push(rhPercent);
  }
  if (temperatures.length < hoursLeast) return null;
  return {
    highF: Math.max(...temperatures),
    lowF: Math.min(...temperatures),
    rhHighPercent: Math.max(...humidities),
    rhLowPercent: Math.min(...humidities),
    rainInches,
    dayLengthHours: sunTimes(fromDay(day), place.latitude, place.longitude).dayLengthHours,
  };
}

/** Moisture of heavy dead fuel at the end of a day, percent, and the unknown days of the year before that were stepped over. */
export interface HeavyFuelReading {
  /** The newest day whose weather is known. */
  on: IsoDate;
  hundredHourPercent: number;
  thousandHourPercent: number;
  unknownDays: number;
}

/**
 * 100- and 1000-hour moisture at the end of the newest known day up to `date`, from the year before it. An unknown day leaves
 * the moisture as it was. Null = more than a tenth of the days are unknown.
 */
export function heavyFuelReading(
  { weather, clock }: Pick<FuelWeather, 'weather' | 'clock'>,
  place: Place,
  date: IsoDate,
): HeavyFuelReading | null {
  const last = toDay(date);
  const rainOf = rainByDay(weather, clock);
  const days = Array.from({ length: heavyRunDays }, (_, at) => {
    const day = last - heavyRunDays + 1 + at;
    return { day, of: heavyDay(weather, clock, place, day, rainOf(day)) };
  });
  const known = days.flatMap(({ day, of }) => (of === null ? [] : [{ day, of }]));
  const newest = known.at(-1);
  const unknownDays = heavyRunDays - known.length;
  const run = known.map(({ of }) => of);
  const hundred = hundredHourPercent(run, heavyStartPercent).at(-1);
  const thousand = thousandHourPercent(run, heavyStartPercent).at(-1);
  if (!newest || hundred === undefined || thousand === undefined || unknownDays > heavyUnknownMost)
    return null;
  return {
    on: fromDay(newest.day),
    hundredHourPercent: hundred,
    thousandHourPercent: thousand,
    unknownDays,
  };
}
