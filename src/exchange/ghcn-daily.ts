import { type DailyYear, missingReading, traceRain } from '../core/weather/history.ts';
import {
  dayOfYear,
  emptyDailyYear,
  type LeftOutReason,
  linesInStep,
  rowReport,
  unpack,
  type WeatherReading,
} from './weather-file.ts';

type Column = Exclude<keyof DailyYear, 'year'>;

/**
 * Elements that are read, what turns the file's whole number into ours, and what is possible in the file's unit.
 * Units: tenths of a degree C, tenths of a millimetre, millimetres of snow depth, tenths of a metre a second (NOAA
 * GHCN-Daily readme, section III, seen for TMAX, TMIN, PRCP, SNWD and AWND; WSFG from memory).
 */
const elements: Record<string, { column: Column; divisor: number; least: number; most: number }> = {
  TMAX: { column: 'highC10', divisor: 1, least: -700, most: 600 },
  TMIN: { column: 'lowC10', divisor: 1, least: -700, most: 600 },
  PRCP: { column: 'rainMm10', divisor: 1, least: 0, most: 20_000 },
  SNWD: { column: 'snowCm', divisor: 10, least: 0, most: 10_000 },
  AWND: { column: 'windMs10', divisor: 1, least: 0, most: 750 },
  WSFG: { column: 'gustMs10', divisor: 1, least: 0, most: 1200 },
};

const reasonWords: Partial<Record<LeftOutReason, string>> = {
  malformed:
    'do not have the columns of the header (by station), or are not station, day as YYYYMMDD, element, value and four flags (by year)',
  'impossible-value':
    'hold an impossible value: temperature outside -70 to 60 C, low above high, rain outside 0 to 2000 mm, snow outside 0 to 10 m, wind outside 0 to 75 m/s or gust outside 0 to 120 m/s',
  duplicate: 'repeat a day and element that an earlier row holds; the first one was kept',
  'wrong-station':
    'are of another station than the first row, or lie more than 0.25 degrees from the place given',
  'failed-check': 'hold only values that failed a check of the archive (quality flag)',
  'no-reading': 'hold none of TMAX, TMIN, PRCP, SNWD, AWND, WSFG',
};

/** One value of one day. */
interface Cell {
  element: string;
  value: string;
  /** Flags of measurement and quality. */
  measurement: string;
  quality: string;
}

type Days = Map<number, DailyYear>;

/** Fields of a line, quoted or not. The archive's files hold no line breaks inside quotes. */
function fieldsOf(line: string): string[] {
  if (!line.includes('"')) return line.split(',').map((field) => field.trim());
  return [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map((match) =>
    (match[1] ?? match[2] ?? '').replaceAll('""', '"').trim(),
  );
}

function cellValue(cell: Cell): number | 'impossible' | 'malformed' {
  const element = elements[cell.element];
  if (!element || !/^-?\d{1,6}$/.test(cell.value)) return 'malformed';
  const value = Number(cell.value);
  if (value < element.least || value > element.most) return 'impossible';
  // Flag T: a trace of rain, written as 0.
  if (cell.element === 'PRCP' && cell.measurement === 'T') return traceRain;
  return Math.round(value / element.divisor);
}

/** Takes the cells of a day, or says why not; a row is taken whole or not at all. */
function takeCells(
  cells: readonly Cell[],
  year: number,
  day: number,
  days: Days,
): LeftOutReason | null {
  const present = cells.filter(
    (cell) => elements[cell.element] && cell.value !== '' && cell.value !== '-9999',
  );
  if (present.length === 0) return 'no-reading';
  const sound = present.filter((cell) => cell.quality === '');
  if (sound.length === 0) return 'failed-check';
  const own = days.get(year) ?? emptyDailyYear(year);
  const found: { column: Column; value: number }[] = [];
  for (const cell of sound) {
    const value = cellValue(cell);
    if (value === 'malformed') return 'malformed';
    if (value === 'impossible') return 'impossible-value';
    const column = elements[cell.element]!.column;
    if (own[column][day] !== missingReading) return 'duplicate';
    found.push({ column, value });
  }
  const now = (column: Column) =>
    found.find((one) => one.column === column)?.value ?? own[column][day]!;
  const [high, low] = [now('highC10'), now('lowC10')];
  if (high !== missingReading && low !== missingReading && low > high) return 'impossible-value';
  for (const { column, value } of found) own[column][day] = value;
  days.set(year, own);
  return null;
}

interface Row {
  station: string;
  year: number;
  month: number;
  day: number;
  cells: Cell[];
  place: { latitude: number; longitude: number } | null;
}

function longRow(fields: readonly string[]): Row | null {
  const [station = '', date = '', element = '', value = '', measurement = '', quality = ''] =
    fields;
  if (fields.length < 7 || !/^\w{11}$/.test(station) || !/^\d{8}$/.test(date)) return null;
  return {
    station,
    year: Number(date.slice(0, 4)),
    month: Number(date.slice(4, 6)),
    day: Number(date.slice(6)),
    cells: [{ element, value, measurement, quality }],
    place: null,
  };
}

function wideRow(header: readonly string[], fields: readonly string[]): Row | null {
  const at = (name: string) => fields[header.indexOf(name)] ?? '';
  const date = /^(\d{4})-(\d\d)-(\d\d)$/.exec(at('DATE'));
  if (fields.length !== header.length || !date) return null;
  const cells = Object.keys(elements).map((element): Cell => {
    // Flags: measurement, quality, source (and time of observation), with commas between.
    const [measurement = '', quality = ''] = at(`${element}_ATTRIBUTES`).split(',');
    return {
      element,
      value: at(element),
      measurement: measurement.trim(),
      quality: quality.trim(),
    };
  });
  const isPlaced = at('LATITUDE') !== '' && at('LONGITUDE') !== '';
  return {
    station: at('STATION'),
    year: Number(date[1]),
    month: Number(date[2]),
    day: Number(date[3]),
    cells,
    place: isPlaced
      ? { latitude: Number(at('LATITUDE')), longitude: Number(at('LONGITUDE')) }
      : null,
  };
}

const degreesApartMost = 0.25;

function isElsewhere(row: Row, place: { latitude: number; longitude: number } | null): boolean {
  if (!row.place || !place) return false;
  const apart = [row.place.latitude - place.latitude, row.place.longitude - place.longitude];
  return apart.some((degrees) => !(Math.abs(degrees) <= degreesApartMost));
}

/** True for the first line of a file of this format, in either form. */
export function isGhcnDaily(firstLine: string): boolean {
  const fields = fieldsOf(firstLine);
  return (fields[0] === 'STATION' && fields.includes('DATE')) || longRow(fields) !== null;
}

/**
 * Reads NOAA GHCN-Daily: the by-station table (a header, a day a row, elements across, `TMAX_ATTRIBUTES` with flags)
 * or the long form by year or station (station, YYYYMMDD, element, value, three flags, time). Values that failed a
 * check of the archive are left out; rain with flag T is a trace. One station a file: that of the first row, near
 * `place` where the file says where it is. Yields the share read.
 */
export function* ghcnDailySteps(
  bytes: Uint8Array,
  place: { latitude: number; longitude: number } | null,
): Generator<number, WeatherReading> {
  const rows = rowReport(reasonWords);
  const content = unpack(bytes);
  if ('problem' in content) return rows.refused(content.problem);
  const lines = content.text.replace(/^\u00ef\u00bb\u00bf/, '').split(/\r?\n/);
  const header = fieldsOf(lines[0] ?? '');
  const isWide = header[0] === 'STATION';
  const days: Days = new Map();
  let station: string | null = null;
  const take = (line: string): LeftOutReason | null => {
    const row = isWide ? wideRow(header, fieldsOf(line)) : longRow(fieldsOf(line));
    const day = row ? dayOfYear(row.year, row.month, row.day) : -1;
    if (!row || day < 0) return 'malformed';
    if (row.station !== (station ?? row.station) || isElsewhere(row, place)) return 'wrong-station';
    station = row.station;
    return takeCells(row.cells, row.year, day, days);
  };
  for (const [index, line] of lines.entries()) {
    if (index % linesInStep === 0) yield index / lines.length;
    if (line.trim() === '' || (isWide && index === 0)) continue;
    rows.note(index + 1, take(line));
  }
  yield 1;
  const noRow = {
    code: 'no-weather-rows',
    message:
      'The file has no row that could be read: load a GHCN-Daily table of a station (first line STATION,DATE,...) or its long form (rows such as USW00003947,20170101,TMAX,61,,,W,2400).',
  };
  return rows.reading([], [...days.values()], noRow, station);
}
