import { countFitDays } from '../core/weather/fit-days.ts';
import type { FitDayCount, Station } from '../core/weather/history.ts';
import type { Prescription } from '../core/weather/prescriptions.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import type { MonthlyFitDays } from '../web/deps.ts';
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

function monthlyOf(halfMonths: readonly number[]): number[] {
  return Array.from(
    { length: 12 },
    (_, i) => (halfMonths[2 * i] ?? 0) + (halfMonths[2 * i + 1] ?? 0),
  );
}

/** Fit days a month of each year; the mean is taken over whole years, of which a part year would draw it down. */
export function monthlyFitDays(counts: readonly FitDayCount[]): MonthlyFitDays {
  const whole = counts.filter((count) => count.isWholeYear);
  const meant = (whole.length > 0 ? whole : counts).map((count) => monthlyOf(count.halfMonths));
  return {
    years: Object.fromEntries(counts.map((count) => [count.year, monthlyOf(count.halfMonths)])),
    mean: Array.from(
      { length: 12 },
      (_, month) =>
        meant.reduce((sum, row) => sum + (row[month] ?? 0), 0) / Math.max(1, meant.length),
    ),
    unknownHours: counts.reduce((sum, count) => sum + count.unknownHours, 0),
  };
}
