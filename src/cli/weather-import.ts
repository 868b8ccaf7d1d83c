import type { IsoDate } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';
import { sampleWeather } from '../core/sample/weather.ts';
import { countFitDays } from '../core/weather/fit-days.ts';
import type { FitDayCount, Station } from '../core/weather/history.ts';
import { hoursAhead } from '../core/weather/hours-ahead.ts';
import { mergedYears } from '../core/weather/merge-years.ts';
import type { Prescription } from '../core/weather/prescriptions.ts';
import { ghcnDailySteps, isGhcnDaily } from '../exchange/ghcn-daily.ts';
import { isdLiteSteps } from '../exchange/isd-lite.ts';
import { standardOffsetMinutes } from '../exchange/time-zone.ts';
import { weatherCsvSteps } from '../exchange/weather-csv.ts';
import { unpack, type WeatherReading } from '../exchange/weather-file.ts';
import { utcSeconds } from '../storage/changes.ts';
import type { MonthlyFitDays, WeatherFileOrder, WeatherFormat } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** Counts the fit days of a station for some prescriptions from its stored hours, and keeps the counts. */
export function countStation(
  file: OperationFile,
  station: Station,
  prescriptions: readonly Prescription[],
): void {
  for (const _step of countSteps(file, station, prescriptions));
}

/** `countStation` in steps, a prescription each. */
function* countSteps(
  file: OperationFile,
  station: Station,
  prescriptions: readonly Prescription[],
): Generator<void> {
  const years = file.store.weather.loadYears(station.name);
  const clock = { standardOffsetMinutes: standardOffsetMinutes(station.timeZone) };
  for (const prescription of prescriptions) {
    yield;
    const counts = countFitDays(years, clock, prescription);
    file.store.weather.saveFitDayCounts(station.name, prescription.key, counts);
  }
}

/** An order whose format is known. */
type SoundOrder = WeatherFileOrder & { format: Exclude<WeatherFormat, 'auto'> };

/**
 * Loads the invented weather of the sample land: a history up to the day before `today` with its fit days counted, and a
 * forecast for the days from then on.
 */
export function loadSampleWeather(file: OperationFile, today: IsoDate): void {
  const { weather } = file.store;
  const { station, years, days, ahead } = sampleWeather(today);
  // A station of the user's own of this name keeps its readings.
  if (weather.stations().some((one) => one.name === station.name && !one.isInvented)) return;
  file.store.inOneTransaction(() => {
    weather.saveStation(station);
    weather.saveYears(station.name, years);
    weather.saveDailyYears(station.name, days);
    countStation(file, station, file.operation().prescriptions);
    const now = utcSeconds(() => new Date());
    const source = 'an invented service';
    weather.saveForecast({
      stationName: station.name,
      source,
      issuedAt: now,
      takenAt: now,
      hours: ahead,
    });
  });
}

/** The format of a file by its first line. */
function formatOf(bytes: Uint8Array): Exclude<WeatherFormat, 'auto'> {
  const content = unpack(bytes);
  const first = 'text' in content ? (content.text.trimStart().split(/\r?\n/, 1)[0] ?? '') : '';
  if (isGhcnDaily(first)) return 'ghcn-daily';
  return /^(-?\d+\s+){11}-?\d+\s*$/.test(first) ? 'isd-lite' : 'csv';
}

function stepsOf(order: SoundOrder): Generator<number, WeatherReading> {
  const { station, fileName, bytes, clock, windHeight } = order;
  if (order.format === 'isd-lite') return isdLiteSteps(fileName, bytes);
  if (order.format === 'ghcn-daily') return ghcnDailySteps(bytes, station);
  return weatherCsvSteps(bytes, { timeZone: station.timeZone, clock, windHeight });
}

/** A file that names another station than the files before it; null = none. */
function otherStation(
  file: OperationFile,
  { station, format }: SoundOrder,
  fileId: string | null,
): Problem | null {
  const before = file.store.weather.fileId(station.name, format);
  if (before === null || fileId === null || before === fileId) return null;
  const message = `The file is of station ${fileId}, but ${station.name} was loaded from station ${before}: choose the right file, or give this one a station name of its own.`;
  return { code: 'weather-other-station', field: 'station', message };
}

/** Share of an import that reading takes; the rest is saving and counting. */
const readingShare = 0.6;

/**
 * Reads a weather file, saves what it holds and counts fit days anew, in steps that yield the share done. A plain CSV
 * is laid over the readings of its years; a file of an archive takes the place of its years. Hours ahead of now are a
 * forecast and are kept as one. Nothing is saved before the whole file is read.
 */
export function* importSteps(
  file: OperationFile,
  asked: WeatherFileOrder,
): Generator<number, WeatherReading> {
  const format = asked.format === 'auto' ? formatOf(asked.bytes) : asked.format;
  const order: SoundOrder = { ...asked, format };
  const { station } = order;
  const { weather } = file.store;
  const steps = stepsOf(order);
  let step = steps.next();
  for (; !step.done; step = steps.next()) yield step.value * readingShare;
  const reading = step.value;
  const other = otherStation(file, order, reading.fileId);
  if (other) return { ...reading, years: [], days: [], problems: [other, ...reading.problems] };
  if (reading.years.length === 0 && reading.days.length === 0) return reading;
  weather.saveStation({ ...station, isInvented: false });
  const now = new Date();
  const { past, ahead } = hoursAhead(reading.years, Math.ceil(now.getTime() / 3_600_000));
  if (ahead.length > 0) {
    const takenAt = utcSeconds(() => now);
    const source = `the file ${order.fileName}`;
    const { name: stationName } = station;
    weather.saveForecast({ stationName, source, issuedAt: takenAt, takenAt, hours: ahead });
  }
  if (reading.fileId !== null) weather.saveFileId(station.name, format, reading.fileId);
  const isLaidOver = format === 'csv';
  if (past.length > 0) {
    const older = isLaidOver ? weather.loadYears(station.name) : [];
    weather.saveYears(station.name, mergedYears(older, past));
  }
  if (reading.days.length > 0) {
    const older = isLaidOver ? weather.loadDailyYears(station.name) : [];
    weather.saveDailyYears(station.name, mergedYears(older, reading.days));
  }
  const { prescriptions } = file.operation();
  let counted = 0;
  for (const _step of past.length > 0 ? countSteps(file, station, prescriptions) : []) {
    yield readingShare + (1 - readingShare) * (counted / prescriptions.length);
    counted += 1;
  }
  return { ...reading, years: past, problems: [...aheadNote(ahead.length), ...reading.problems] };
}

/** True when something of the file was kept, as history or as a forecast. */
export function isKept({ years, days, problems }: WeatherReading): boolean {
  return years.length + days.length > 0 || problems.some(({ code }) => code === 'weather-ahead');
}

/** Said with the report: these rows did not become history. */
function aheadNote(hours: number): Problem[] {
  if (hours === 0) return [];
  const message = `Hours ahead of now: ${hours}. They are on file as the forecast of the station, not as history.`;
  return [{ code: 'weather-ahead', message }];
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
