import { yearSpans } from './fit-days.ts';
import { type DailyYear, missingReading, type WeatherYear } from './history.ts';
import { type HourlyWeather, hoursOfHistory } from './hours.ts';
import type { HourReading } from './readings.ts';

/** Fewer known hours than this leave a day's high and low missing: the warm or the cold end may be among the others. */
const hoursLeast = 20;

function tenths(value: number | null): number {
  return value === null ? missingReading : Math.round(value * 10);
}

function known(readings: readonly HourReading[], key: keyof HourReading): number[] {
  return readings.flatMap((reading) => reading[key] ?? []);
}

function rainMmOf(weather: HourlyWeather, firstHour: number): number | null {
  const hours = Array.from({ length: 24 }, (_, hour) => weather.measuredRainMm(firstHour + hour));
  const seen = hours.filter((rain) => rain !== null);
  return seen.length === 0 ? null : seen.reduce((sum, rain) => sum + rain, 0);
}

/**
 * Days of a station from its hours, in its standard time: high and low of at least 20 known hours, rain, mean wind, highest
 * gust and deepest snow of what is known. For stations that have no daily record of their own.
 */
export function dailyOfHours(
  years: readonly WeatherYear[],
  clock: { standardOffsetMinutes: number },
): DailyYear[] {
  const weather = hoursOfHistory(years);
  const offsetHours = Math.round(clock.standardOffsetMinutes / 60);
  return yearSpans(years).map(({ year, from, to }): DailyYear => {
    const column = () => new Int16Array(to - from).fill(missingReading);
    const daily: DailyYear = {
      year: year.year,
      highC10: column(),
      lowC10: column(),
      rainMm10: column(),
      snowCm: column(),
      windMs10: column(),
      gustMs10: column(),
    };
    for (let day = from; day < to; day++) {
      const firstHour = day * 24 - offsetHours;
      const readings = Array.from({ length: 24 }, (_, hour) => weather.reading(firstHour + hour));
      const temperatures = known(readings, 'temperatureC');
      const index = day - from;
      if (temperatures.length >= hoursLeast) {
        daily.highC10[index] = tenths(Math.max(...temperatures));
        daily.lowC10[index] = tenths(Math.min(...temperatures));
      }
      daily.rainMm10[index] = tenths(rainMmOf(weather, firstHour));
      const [winds, gusts, snow] = [
        known(readings, 'windMs'),
        known(readings, 'gustMs'),
        known(readings, 'snowCm'),
      ];
      if (winds.length >= hoursLeast)
        daily.windMs10[index] = tenths(winds.reduce((sum, wind) => sum + wind, 0) / winds.length);
      if (gusts.length > 0) daily.gustMs10[index] = tenths(Math.max(...gusts));
      if (snow.length > 0) daily.snowCm[index] = Math.max(...snow);
    }
    return daily;
  });
}
