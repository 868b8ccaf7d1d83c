import { gunzipSync } from 'node:zlib';
import { daysInMonth, isLeapYear, isoDate, toDay } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';
import { type DailyYear, missingReading, type WeatherYear } from '../core/weather/history.ts';

export const weatherFileBytesMost = 20_000_000;
const unpackedBytesMost = 80_000_000;
/** Lines named in the sentence of a reason, and in the list of lines. */
const linesNamed = 5;
const linesListed = 100;
/** Rows between two reports of progress. */
export const linesInStep = 4096;

/** Why a row was left out. */
export type LeftOutReason =
  | 'malformed'
  | 'impossible-value'
  | 'duplicate'
  | 'wrong-year'
  | 'wrong-station'
  | 'hour-never'
  | 'hour-twice'
  | 'failed-check'
  | 'no-reading';

/** A weather file as read. Missing stays missing. */
export interface WeatherReading {
  /** In order; both are empty when the file could not be read at all. */
  years: WeatherYear[];
  days: DailyYear[];
  report: {
    /** Rows of the file that are not blank, and those taken. */
    rows: number;
    rowsTaken: number;
    leftOut: { reason: LeftOutReason; count: number; firstLines: number[] }[];
  };
  /** One sentence for each reason and for a file that is no such file. */
  problems: Problem[];
  /** The first hundred rows that were left out, in order, each with its reason. */
  lines: Problem[];
  /** Number by which the file names its station; null when it does not. */
  fileId: string | null;
}

/** Text of a plain or gzip file within the limits. */
export function unpack(bytes: Uint8Array): { text: string } | { problem: Problem } {
  if (bytes.length > weatherFileBytesMost)
    return {
      problem: {
        code: 'file-too-large',
        message: 'The weather file is over 20 MB: load it in parts, such as one year a file.',
      },
    };
  const isPacked = bytes[0] === 0x1f && bytes[1] === 0x8b;
  let plain = bytes;
  if (isPacked) {
    try {
      plain = gunzipSync(bytes, { maxOutputLength: unpackedBytesMost });
    } catch {
      return {
        problem: {
          code: 'file-not-readable',
          message:
            'The .gz file is damaged or unpacks to more than 80 MB: fetch it again, or unpack it and load the text.',
        },
      };
    }
  }
  if (plain.includes(0))
    return {
      problem: {
        code: 'file-not-text',
        message: 'The file is not text: load it as fetched, plain or packed with gzip.',
      },
    };
  return { text: Buffer.from(plain.buffer, plain.byteOffset, plain.byteLength).toString('latin1') };
}

/** A year of hours without any reading. */
export function emptyWeatherYear(year: number): WeatherYear {
  const hours = (isLeapYear(year) ? 366 : 365) * 24;
  const column = () => new Int16Array(hours).fill(missingReading);
  return {
    year,
    temperatureC10: column(),
    dewPointC10: column(),
    windMs10: column(),
    windDirectionDegrees: column(),
    rainMm10: column(),
  };
}

/** A year of days without any reading. */
export function emptyDailyYear(year: number): DailyYear {
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

/** Day of the year from 0, or -1 for a date that does not exist. */
export function dayOfYear(year: number, month: number, day: number): number {
  if (year < 1901 || year > 2199 || month < 1 || month > 12) return -1;
  if (day < 1 || day > daysInMonth(year, month)) return -1;
  const pad = (value: number) => String(value).padStart(2, '0');
  return toDay(isoDate(`${year}-${pad(month)}-${pad(day)}`)) - toDay(isoDate(`${year}-01-01`));
}

/** Hour of the year from 0, or -1 for one that does not exist. */
export function hourOfYear(year: number, month: number, day: number, hour: number): number {
  const days = hour < 0 || hour > 23 ? -1 : dayOfYear(year, month, day);
  return days < 0 ? -1 : days * 24 + hour;
}

/** Runs a reader to its end. */
export function readToEnd(
  steps: Generator<number, WeatherReading>,
  onProgress?: (share: number) => void,
): WeatherReading {
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
    onProgress?.(step.value);
  }
}

/** True when a year has a reading in any of its columns. */
function hasReading(year: WeatherYear | DailyYear): boolean {
  return Object.values(year).some(
    (column) => column instanceof Int16Array && column.some((value) => value !== missingReading),
  );
}

/** The years between the first and the last that have no row at all. */
function emptyYears(years: readonly { year: number }[]): Problem[] {
  const held = new Set(years.map((one) => one.year));
  const [first, last] = [Math.min(...held), Math.max(...held)];
  const gone: number[] = [];
  for (let year = first; year < last; year++) if (!held.has(year)) gone.push(year);
  if (gone.length === 0) return [];
  const message = `No readings were found for ${gone.join(', ')}: the file skips ${gone.length === 1 ? 'this year' : 'these years'}, which stay empty.`;
  return [{ code: 'weather-empty-year', message }];
}

/** Counts the rows of a file, and names those that were left out. */
export function rowReport(words: Partial<Record<LeftOutReason, string>>) {
  const report: WeatherReading['report'] = { rows: 0, rowsTaken: 0, leftOut: [] };
  const lines: Problem[] = [];
  const problemOf = (row: WeatherReading['report']['leftOut'][number]): Problem => {
    const more = row.count > row.firstLines.length ? ', ...' : '';
    return {
      code: `weather-${row.reason}`,
      message: `${row.count} ${row.count === 1 ? 'row was' : 'rows were'} left out (${row.count === 1 ? 'line' : 'lines'} ${row.firstLines.join(', ')}${more}): such rows ${words[row.reason] ?? row.reason}. Correct them and load the file again, or leave them out.`,
      line: row.firstLines[0] ?? 1,
    };
  };
  return {
    /** A row that is not blank; null = it was taken. */
    note: (line: number, reason: LeftOutReason | null): void => {
      report.rows += 1;
      if (reason === null) {
        report.rowsTaken += 1;
        return;
      }
      let row = report.leftOut.find((one) => one.reason === reason);
      if (!row) {
        row = { reason, count: 0, firstLines: [] };
        report.leftOut.push(row);
      }
      row.count += 1;
      if (row.firstLines.length < linesNamed) row.firstLines.push(line);
      if (lines.length < linesListed)
        lines.push({
          code: `weather-${reason}`,
          line,
          message: `left out: such rows ${words[reason] ?? reason}.`,
        });
    },
    refused: (problem: Problem): WeatherReading => ({
      years: [],
      days: [],
      report,
      problems: [problem],
      lines,
      fileId: null,
    }),
    reading: (
      years: WeatherYear[],
      days: DailyYear[],
      noRow: Problem,
      fileId: string | null,
    ): WeatherReading => {
      const problems = report.leftOut.map(problemOf);
      if (report.rowsTaken === 0) problems.unshift(noRow);
      const byYear = (a: { year: number }, b: { year: number }) => a.year - b.year;
      const held = [...years, ...days].filter(hasReading);
      if (held.length > 0) problems.push(...emptyYears(held));
      const blank = [...years, ...days].filter((one) => !hasReading(one)).map((one) => one.year);
      if (blank.length > 0)
        problems.push({
          code: 'weather-blank-year',
          message: `Every reading of ${blank.sort().join(', ')} is missing in the file, so nothing of it was taken in.`,
        });
      return {
        years: years.filter(hasReading).sort(byYear),
        days: days.filter(hasReading).sort(byYear),
        report,
        problems,
        lines,
        fileId,
      };
    },
  };
}
