import { countFitDays } from '../core/weather/fit-days.ts';
import type { Station } from '../core/weather/history.ts';
import type { Prescription } from '../core/weather/prescriptions.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import type { OperationFile } from './operation-file.ts';

/** Counts the fit days of a station for some prescriptions from its stored hours, and keeps the counts. */
export function countStation(
  file: OperationFile,
  station: Station,
  prescriptions: readonly Prescription[],
): void {
  const years = file.store.weather.loadYears(station.name);
  const clock = { standardOffsetMinutes: standardOffsetMinutes(station.timeZone) };
  for (const prescription of prescriptions)
    file.store.weather.saveFitDayCounts(
      station.name,
      prescription.key,
      countFitDays(years, clock, prescription),
    );
}

/** Fit days a month (12 figures) of a half-month count. */
export function monthlyOf(halfMonths: readonly number[]): number[] {
  return Array.from(
    { length: 12 },
    (_, i) => (halfMonths[2 * i] ?? 0) + (halfMonths[2 * i + 1] ?? 0),
  );
}
