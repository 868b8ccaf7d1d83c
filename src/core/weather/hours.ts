import { fromDay, isoDate, toDay } from '../dates.ts';
import { type DailyYear, missingReading, traceRain, type WeatherYear } from './history.ts';
import { relativeHumidityPercent } from './humidity.ts';
import type { HourReading } from './readings.ts';

/** Rain that a reading gives for a trace, millimetres; it ends a run of hours but wets nothing. */
export const traceRainMm = 0.1;

/**
 * Weather hour by hour at one station, whether past or expected. Hours are whole hours since 1970-01-01T00Z; an hour that is
 * not held has no known element.
 */
export interface HourlyWeather {
  reading(hourUtc: number): HourReading;
  /** Rain of the hour in millimetres, a trace as nothing; null = not known. */
  measuredRainMm(hourUtc: number): number | null;
}

export const noReading: HourReading = {
  temperatureC: null,
  rhPercent: null,
  windMs: null,
  gustMs: null,
  windFromDegrees: null,
  rainMm: null,
  snowCm: null,
};

function valueAt(column: Int16Array | undefined, index: number): number | null {
  const value = column?.[index];
  return value === undefined || value === missingReading ? null : value;
}

function tenthAt(column: Int16Array | undefined, index: number): number | null {
  const value = valueAt(column, index);
  return value === null ? null : value / 10;
}

function readingIn(year: WeatherYear, index: number): HourReading {
  const temperatureC = tenthAt(year.temperatureC10, index);
  const dewPointC = tenthAt(year.dewPointC10, index);
  const windMs = tenthAt(year.windMs10, index);
  const rain = valueAt(year.rainMm10, index);
  const isKnownHumidity = temperatureC !== null && dewPointC !== null;
  return {
    temperatureC,
    rhPercent: isKnownHumidity ? relativeHumidityPercent(temperatureC, dewPointC) : null,
    windMs,
    gustMs: tenthAt(year.gustMs10, index),
    // Stations write a calm as 0 degrees; air that stands still comes from nowhere.
    windFromDegrees: windMs === 0 ? null : valueAt(year.windDirectionDegrees, index),
    rainMm: rain === null ? null : rain === traceRain ? traceRainMm : rain / 10,
    snowCm: valueAt(year.snowCm, index),
  };
}

/** Snow of a local day by day number, from daily years; it stands in where the hours hold none. */
function snowByDay(dailyYears: readonly DailyYear[]): (dayNumber: number) => number | null {
  const byYear = new Map(dailyYears.map((one) => [one.year, one]));
  return (dayNumber) => {
    const year = Number(fromDay(dayNumber).slice(0, 4));
    const index = dayNumber - toDay(isoDate(`${year}-01-01`));
    return valueAt(byYear.get(year)?.snowCm, index);
  };
}

/**
 * Hours of a weather history. Snow on the ground comes from the hours, else from the daily years of the same station,
 * whose days are taken in the station's standard time.
 */
export function hoursOfHistory(
  years: readonly WeatherYear[],
  dailyYears: readonly DailyYear[] = [],
  standardOffsetMinutes = 0,
): HourlyWeather {
  const spans = years
    .map((year) => ({ year, from: toDay(isoDate(`${year.year}-01-01`)) * 24 }))
    .sort((a, b) => a.from - b.from);
  let last = spans[0];
  const spanAt = (hourUtc: number) => {
    const isIn = (span: typeof last) =>
      span && hourUtc >= span.from && hourUtc < span.from + span.year.temperatureC10.length;
    if (!isIn(last)) last = spans.find(isIn) ?? last;
    return isIn(last) ? last : undefined;
  };
  const snow = snowByDay(dailyYears);
  const hasSnow = dailyYears.length > 0;
  return {
    reading: (hourUtc) => {
      const span = spanAt(hourUtc);
      const reading = span ? readingIn(span.year, hourUtc - span.from) : noReading;
      if (!hasSnow || reading.snowCm !== null) return reading;
      const localDay = Math.floor((hourUtc + standardOffsetMinutes / 60) / 24);
      return { ...reading, snowCm: snow(localDay) };
    },
    measuredRainMm: (hourUtc) => {
      const span = spanAt(hourUtc);
      const rain = span ? valueAt(span.year.rainMm10, hourUtc - span.from) : null;
      return rain === null ? null : Math.max(0, rain) / 10;
    },
  };
}

/** Hours of a list of readings, such as a forecast, by their UTC start `YYYY-MM-DDTHH:00Z`. */
export function hoursOfReadings(
  readings: readonly (HourReading & { at: string })[],
): HourlyWeather {
  const byHour = new Map(readings.map((one) => [hourUtcOf(one.at), one]));
  return {
    reading: (hourUtc) => byHour.get(hourUtc) ?? noReading,
    measuredRainMm: (hourUtc) => {
      const rain = byHour.get(hourUtc)?.rainMm ?? null;
      return rain !== null && rain <= traceRainMm ? 0 : rain;
    },
  };
}

/** The first source where it knows anything of the hour, else the second: a forecast after what was observed. */
export function hoursOfEither(first: HourlyWeather, second: HourlyWeather): HourlyWeather {
  const isKnown = (reading: HourReading) => Object.values(reading).some((value) => value !== null);
  return {
    reading: (hourUtc) => {
      const reading = first.reading(hourUtc);
      return isKnown(reading) ? reading : second.reading(hourUtc);
    },
    measuredRainMm: (hourUtc) => first.measuredRainMm(hourUtc) ?? second.measuredRainMm(hourUtc),
  };
}

/** Number of the hour of an instant `YYYY-MM-DDTHH...Z`, since 1970-01-01T00Z. */
export function hourUtcOf(at: string): number {
  return toDay(isoDate(at.slice(0, 10))) * 24 + Number(at.slice(11, 13));
}

/**
 * Number of a station's hour of day (its standard time) on the day of a day number. Observations are on the UTC hour; a zone off by a part of an
 * hour takes the nearest one.
 */
export function hourUtcOfDay(day: number, hour: number, standardOffsetMinutes: number): number {
  return day * 24 + hour - Math.round(standardOffsetMinutes / 60);
}
