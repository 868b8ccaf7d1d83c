import type { Problem } from '../core/problems.ts';
import { missingReading, type WeatherYear } from '../core/weather/history.ts';
import {
  emptyWeatherYear,
  hourOfYear,
  type LeftOutReason,
  linesInStep,
  readToEnd,
  rowReport,
  unpack,
  type WeatherReading,
} from './weather-file.ts';

/** What is read of a file: hourly years, the rows by line, the number of its station in its name. */
export type IsdLiteReading = Pick<
  WeatherReading,
  'years' | 'report' | 'problems' | 'lines' | 'fileId'
>;

const reasonWords: Partial<Record<LeftOutReason, string>> = {
  malformed:
    'are not twelve whole numbers that start with a real year, month, day and hour (0 to 23 UTC)',
  'impossible-value':
    'hold an impossible value: temperature outside -70 to 60 C, dew point more than 1 C above it, wind outside 0 to 100 m/s, wind direction outside 0 to 360 or rain below a trace or over 400 mm in an hour',
  duplicate: 'repeat an hour that an earlier row holds; the first one was kept',
  'wrong-year': 'are of another year than the one in the file name',
};

/** The twelve whole numbers of a row, or null. */
function numbersOf(line: string): number[] | null {
  const fields = line.trim().split(/\s+/);
  if (fields.length !== 12 || !fields.every((field) => /^-?\d{1,6}$/.test(field))) return null;
  return fields.map(Number);
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
    const empty = emptyWeatherYear(year);
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

/**
 * Reads hourly weather in NOAA ISD-Lite format (plain or gzip): UTC rows of twelve numbers, -9999 missing, -1 rain a
 * trace. Bad rows are left out, counted and named; missing stays missing. A file whose name ends in a year
 * (`724460-03947-2017.gz`) holds that year only; any other may hold several. Yields the share read, 0 to 1.
 * Format: NOAA NCEI, "Federal Climate Complex Integrated Surface Data Lite" format document.
 */
export function* isdLiteSteps(
  fileName: string,
  bytes: Uint8Array,
): Generator<number, WeatherReading> {
  const rows = rowReport(reasonWords);
  const content = unpack(bytes);
  if ('problem' in content) return rows.refused(content.problem);
  const inName = /^(?:(\d{6}-\d{5})|.*)-(\d{4})(\.txt)?(\.gz)?$/i.exec(fileName);
  const fileYear = inName ? Number(inName[2]) : null;
  const years = new Map<number, Collected>();
  const lines = content.text.split(/\r?\n/);
  for (const [index, line] of lines.entries()) {
    if (index % linesInStep === 0) yield index / lines.length;
    if (line.trim() !== '') rows.note(index + 1, takeRow(line, fileYear, years));
  }
  yield 1;
  const noRow: Problem = {
    code: 'no-weather-rows',
    message:
      'The file has no row that could be read: load an ISD-Lite file (rows such as "2017 01 01 00 -6 -67 10141 360 21 0 -9999 -9999").',
  };
  return rows.reading(
    [...years.values()].map((own) => own.year),
    [],
    noRow,
    inName?.[1] ?? null,
  );
}

/** `isdLiteSteps` in one go; `onProgress` gets the share read. */
export function readIsdLite(
  fileName: string,
  bytes: Uint8Array,
  onProgress?: (share: number) => void,
): IsdLiteReading {
  return readToEnd(isdLiteSteps(fileName, bytes), onProgress);
}
