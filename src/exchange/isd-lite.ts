import { gunzipSync } from 'node:zlib';
import { daysInMonth, isLeapYear, isoDate, toDay } from '../core/dates.ts';
import type { Problem } from '../core/problems.ts';
import { missingReading, type WeatherYear } from '../core/weather/history.ts';

export const weatherFileBytesMost = 20_000_000;
const unpackedBytesMost = 80_000_000;
const linesNamed = 5;

/** Why a row was left out. */
export type LeftOutReason = 'malformed' | 'impossible-value' | 'duplicate' | 'wrong-year';

export interface IsdLiteReading {
  /** In order; empty when the file could not be read at all. */
  years: WeatherYear[];
  report: {
    /** Rows of the file that are not blank, and those taken. */
    rows: number;
    rowsTaken: number;
    leftOut: { reason: LeftOutReason; count: number; firstLines: number[] }[];
  };
  /** One sentence for each reason and for a file that is no such file. */
  problems: Problem[];
}

const reasonWords: Record<LeftOutReason, string> = {
  malformed:
    'are not twelve whole numbers that start with a real year, month, day and hour (0 to 23 UTC)',
  'impossible-value':
    'hold an impossible value: temperature outside -70 to 60 C, dew point more than 1 C above it, wind outside 0 to 100 m/s, wind direction outside 0 to 360 or rain below a trace or over 400 mm in an hour',
  duplicate: 'repeat an hour that an earlier row holds; the first one was kept',
  'wrong-year': 'are of another year than the one in the file name',
};

function newYear(year: number): WeatherYear {
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

function unpack(bytes: Uint8Array): { text: string } | { problem: Problem } {
  if (bytes.length > weatherFileBytesMost)
    return {
      problem: {
        code: 'file-too-large',
        message: 'The weather file is over 20 MB: load one year a file.',
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
        message:
          'The file is not text: load an ISD-Lite file as fetched, plain or packed with gzip.',
      },
    };
  return { text: Buffer.from(plain.buffer, plain.byteOffset, plain.byteLength).toString('latin1') };
}

/** The twelve whole numbers of a row, or null. */
function numbersOf(line: string): number[] | null {
  const fields = line.trim().split(/\s+/);
  if (fields.length !== 12 || !fields.every((field) => /^-?\d{1,6}$/.test(field))) return null;
  return fields.map(Number);
}

/** Hour of the year, or -1 for a date that does not exist. */
function hourOfYear(year: number, month: number, day: number, hour: number): number {
  if (year < 1901 || year > 2199 || month < 1 || month > 12 || hour < 0 || hour > 23) return -1;
  if (day < 1 || day > daysInMonth(year, month)) return -1;
  const pad = (value: number) => String(value).padStart(2, '0');
  const days =
    toDay(isoDate(`${year}-${pad(month)}-${pad(day)}`)) - toDay(isoDate(`${year}-01-01`));
  return days * 24 + hour;
}

const isMissing = (value: number) => value === -9999;

function isOutside(value: number, least: number, most: number): boolean {
  return !isMissing(value) && (value < least || value > most);
}

function isImpossible(
  temperature: number,
  dewPoint: number,
  direction: number,
  wind: number,
  rain: number,
): boolean {
  return (
    isOutside(temperature, -700, 600) ||
    isOutside(dewPoint, -1200, 600) ||
    (!isMissing(temperature) && !isMissing(dewPoint) && dewPoint > temperature + 10) ||
    isOutside(direction, 0, 360) ||
    isOutside(wind, 0, 1000) ||
    isOutside(rain, -1, 4000)
  );
}

interface Collected {
  year: WeatherYear;
  seen: Uint8Array;
}

/** Puts a row in its place, or says why not. */
function takeRow(
  line: string,
  fileYear: number | null,
  years: Map<number, Collected>,
): LeftOutReason | null {
  const numbers = numbersOf(line);
  if (!numbers) return 'malformed';
  const [year = 0, month = 0, day = 0, hour = 0, temperature = 0, dewPoint = 0] = numbers;
  const [, , , , , , , direction = 0, wind = 0, , rain = 0] = numbers;
  const index = hourOfYear(year, month, day, hour);
  if (index < 0) return 'malformed';
  if (fileYear !== null && year !== fileYear) return 'wrong-year';
  if (isImpossible(temperature, dewPoint, direction, wind, rain)) return 'impossible-value';
  let own = years.get(year);
  if (!own) {
    const empty = newYear(year);
    own = { year: empty, seen: new Uint8Array(empty.temperatureC10.length) };
    years.set(year, own);
  }
  if (own.seen[index]) return 'duplicate';
  own.seen[index] = 1;
  const put = (column: Int16Array, value: number) => {
    column[index] = isMissing(value) ? missingReading : value;
  };
  put(own.year.temperatureC10, temperature);
  put(own.year.dewPointC10, dewPoint);
  put(own.year.windDirectionDegrees, direction);
  put(own.year.windMs10, wind);
  put(own.year.rainMm10, rain);
  return null;
}

function problemOf(row: IsdLiteReading['report']['leftOut'][number]): Problem {
  const more = row.count > row.firstLines.length ? ', ...' : '';
  return {
    code: `weather-${row.reason}`,
    message: `${row.count} rows were left out because they ${reasonWords[row.reason]} (lines ${row.firstLines.join(', ')}${more}). Correct them and load the file again, or leave them out.`,
    line: row.firstLines[0] ?? 1,
  };
}

/**
 * Reads hourly weather in NOAA ISD-Lite format (plain or gzip): UTC rows of twelve numbers, -9999 missing, -1 rain a
 * trace. Bad rows are left out, counted and named; missing stays missing. A file whose name ends in a year
 * (`724460-03947-2017.gz`) holds that year only; any other may hold several. `onProgress` gets the share read, 0 to 1.
 * Format: NOAA NCEI, "Federal Climate Complex Integrated Surface Data Lite" format document.
 */
export function readIsdLite(
  fileName: string,
  bytes: Uint8Array,
  onProgress?: (share: number) => void,
): IsdLiteReading {
  const report: IsdLiteReading['report'] = { rows: 0, rowsTaken: 0, leftOut: [] };
  const content = unpack(bytes);
  if ('problem' in content) return { years: [], report, problems: [content.problem] };
  const inName = /-(\d{4})(\.txt)?(\.gz)?$/i.exec(fileName);
  const fileYear = inName ? Number(inName[1]) : null;
  const years = new Map<number, Collected>();
  const lines = content.text.split(/\r?\n/);
  lines.forEach((line, index) => {
    if (index % 4096 === 0) onProgress?.(index / lines.length);
    if (line.trim() === '') return;
    report.rows += 1;
    const reason = takeRow(line, fileYear, years);
    if (!reason) {
      report.rowsTaken += 1;
      return;
    }
    let row = report.leftOut.find((one) => one.reason === reason);
    if (!row) {
      row = { reason, count: 0, firstLines: [] };
      report.leftOut.push(row);
    }
    row.count += 1;
    if (row.firstLines.length < linesNamed) row.firstLines.push(index + 1);
  });
  onProgress?.(1);
  const problems = report.leftOut.map(problemOf);
  if (report.rowsTaken === 0)
    problems.unshift({
      code: 'no-weather-rows',
      message:
        'The file has no row that could be read: load an ISD-Lite file (rows such as "2017 01 01 00 -6 -67 10141 360 21 0 -9999 -9999").',
    });
  return {
    years: [...years.values()].map((own) => own.year).sort((a, b) => a.year - b.year),
    report,
    problems,
  };
}
