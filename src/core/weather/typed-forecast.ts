import { fromDay, type IsoDate, toDay } from '../dates.ts';
import { hourUtcOfDay } from './hours.ts';
import type { ForecastHour, HourReading } from './readings.ts';

/** A part of a day as typed: hours of the station's standard time, `untilHour` not included; rain is that of the whole part. */
export interface ForecastPart {
  date: IsoDate;
  fromHour: number;
  untilHour: number;
  reading: HourReading;
}

/** Hours of typed parts in UTC, in order; a part without any element gives none. */
export function hoursOfParts(
  parts: readonly ForecastPart[],
  standardOffsetMinutes: number,
): ForecastHour[] {
  const hours: ForecastHour[] = [];
  for (const { date, fromHour, untilHour, reading } of parts) {
    if (Object.values(reading).every((value) => value === null)) continue;
    const rainMm = reading.rainMm === null ? null : reading.rainMm / (untilHour - fromHour);
    for (let hour = fromHour; hour < untilHour; hour++) {
      const utc = hourUtcOfDay(toDay(date), hour, standardOffsetMinutes);
      const day = Math.floor(utc / 24);
      const at = `${fromDay(day)}T${String(utc - day * 24).padStart(2, '0')}:00Z`;
      hours.push({ ...reading, rainMm, at });
    }
  }
  return hours.sort((a, b) => (a.at < b.at ? -1 : 1));
}
