import { fromDay, isoDate, toDay } from '../dates.ts';
import { missingReading, type WeatherYear } from './history.ts';
import { hoursOfHistory } from './hours.ts';
import type { ForecastHour, HourReading } from './readings.ts';

const isKnown = (reading: HourReading) => Object.values(reading).some((value) => value !== null);

/** The year with nothing from an hour of it on. */
function cutAt(year: WeatherYear, from: number): WeatherYear {
  const columns = Object.entries(year).map(([name, column]) => {
    if (typeof column === 'number') return [name, column];
    const kept = (column as Int16Array).slice();
    return [name, kept.fill(missingReading, Math.max(0, from))];
  });
  return Object.fromEntries(columns) as WeatherYear;
}

const hasReadings = ({ year: _, ...columns }: WeatherYear) =>
  Object.values(columns).some((column: Int16Array) =>
    column.some((value) => value !== missingReading),
  );

/**
 * What a table of hours says of the time from `nowHourUtc` (whole hours since 1970-01-01T00Z) on is a forecast, not an
 * observation: those hours apart, and the years without them.
 */
export function hoursAhead(
  years: readonly WeatherYear[],
  nowHourUtc: number,
): { past: WeatherYear[]; ahead: ForecastHour[] } {
  const weather = hoursOfHistory(years, [], 0);
  const past: WeatherYear[] = [];
  const ahead: ForecastHour[] = [];
  for (const year of years) {
    const start = toDay(isoDate(`${year.year}-01-01`)) * 24;
    const length = year.temperatureC10.length;
    const kept = start + length <= nowHourUtc ? year : cutAt(year, nowHourUtc - start);
    if (hasReadings(kept)) past.push(kept);
    for (let hour = Math.max(start, nowHourUtc); hour < start + length; hour++) {
      const reading = weather.reading(hour);
      const hourOfDay = String(hour % 24).padStart(2, '0');
      if (isKnown(reading))
        ahead.push({ at: `${fromDay(Math.floor(hour / 24))}T${hourOfDay}:00Z`, ...reading });
    }
  }
  return { past, ahead };
}
