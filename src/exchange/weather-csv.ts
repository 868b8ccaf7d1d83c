import {
  type DailyYear,
  missingReading,
  traceRain,
  type WeatherYear,
} from '../core/weather/history.ts';
import { dewPointOf } from '../core/weather/humidity.ts';
import { standardOffsetMinutes } from './time-zone.ts';
import {
  dayOfYear,
  emptyDailyYear,
  emptyWeatherYear,
  hourOfYear,
  type LeftOutReason,
  linesInStep,
  rowReport,
  unpack,
  type WeatherReading,
} from './weather-file.ts';
import { localClock } from './zone-clock.ts';

/** What the person says of a plain CSV; units stand in its header. */
export interface CsvWeatherRules {
  timeZone: string;
  /** Clock of the times: UTC, standard time all year, or the local clock with its summer time. */
  clock: 'utc' | 'standard' | 'local';
  /** Winds are kept at 10 m: those at 20 feet times 1.15 (Turner and Lawson 1978). */
  windHeight: '10-m' | '20-ft';
}

type Element =
  | 'temperature'
  | 'dewPoint'
  | 'rh'
  | 'wind'
  | 'gust'
  | 'from'
  | 'rain'
  | 'snow'
  | 'high'
  | 'low';

const identity = (value: number) => value;
const fromF = (value: number) => (value - 32) / 1.8;

/** Columns of a plain CSV: the unit is part of the name. To degrees C, m/s, mm, cm, percent, degrees. */
const columns: Record<string, { element: Element; toOurs(value: number): number }> = {
  temperature_f: { element: 'temperature', toOurs: fromF },
  temperature_c: { element: 'temperature', toOurs: identity },
  dew_point_f: { element: 'dewPoint', toOurs: fromF },
  dew_point_c: { element: 'dewPoint', toOurs: identity },
  high_f: { element: 'high', toOurs: fromF },
  high_c: { element: 'high', toOurs: identity },
  low_f: { element: 'low', toOurs: fromF },
  low_c: { element: 'low', toOurs: identity },
  rh_percent: { element: 'rh', toOurs: identity },
  wind_mph: { element: 'wind', toOurs: (value) => value * 0.44704 },
  wind_ms: { element: 'wind', toOurs: identity },
  wind_kmh: { element: 'wind', toOurs: (value) => value / 3.6 },
  gust_mph: { element: 'gust', toOurs: (value) => value * 0.44704 },
  gust_ms: { element: 'gust', toOurs: identity },
  gust_kmh: { element: 'gust', toOurs: (value) => value / 3.6 },
  wind_from_degrees: { element: 'from', toOurs: identity },
  rain_in: { element: 'rain', toOurs: (value) => value * 25.4 },
  rain_mm: { element: 'rain', toOurs: identity },
  snow_in: { element: 'snow', toOurs: (value) => value * 2.54 },
  snow_cm: { element: 'snow', toOurs: identity },
};

/** Names a column can have, for the page and the command line. */
export const csvWeatherColumns = ['time (hours) or date (days)', ...Object.keys(columns)];

/** Least and most of each element in our units; rain of an hour, and of a day. */
const possible: Record<Element, [number, number]> = {
  temperature: [-70, 60],
  dewPoint: [-120, 60],
  high: [-70, 60],
  low: [-70, 60],
  rh: [0, 100],
  wind: [0, 75],
  gust: [0, 120],
  from: [0, 360],
  rain: [0, 400],
  snow: [0, 1000],
};
const dayRainMmMost = 2000;

const reasonWords: Partial<Record<LeftOutReason, string>> = {
  malformed:
    'have another number of values than the header, a time that is not like 2026-03-14 13:00 (or a date like 2026-03-14), or a value that is not a number',
  'impossible-value':
    'hold an impossible value: temperature outside -70 to 60 C, dew point more than 1 C above it, low above high, humidity outside 0 to 100 %, wind outside 0 to 75 m/s, gust below the wind or above 120 m/s, direction outside 0 to 360, rain over 400 mm in an hour or below 0, snow outside 0 to 10 m',
  duplicate:
    'fall into an hour or day that an earlier row holds; the first one was kept, without its rain',
  'hour-never':
    'have a local time that the clock skips when summer time begins: say whether the clock had summer time',
  'hour-twice':
    'have a local time that the clock goes through twice when summer time ends, so it is not known which is meant: write times with their offset (-05:00) or in UTC',
  'no-reading': 'hold no value at all',
};

const timePattern =
  /^(\d{4})-(\d\d)-(\d\d)(?:[T ](\d\d):(\d\d)(?::(\d\d)(?:\.\d+)?)?)?\s*(Z|[+-]\d\d:?\d\d)?$/i;

type When = { year: number; index: number } | LeftOutReason;

function dateOf(text: string): When {
  const match = /^(\d{4})-(\d\d)-(\d\d)$/.exec(text);
  const index = match ? dayOfYear(Number(match[1]), Number(match[2]), Number(match[3])) : -1;
  return match && index >= 0 ? { year: Number(match[1]), index } : 'malformed';
}

/** From text to the nearest full hour in UTC. */
function hourReader(rules: CsvWeatherRules): (text: string) => When {
  const instants = rules.clock === 'local' ? localClock(rules.timeZone) : null;
  const standardMs =
    rules.clock === 'standard' ? standardOffsetMinutes(rules.timeZone) * 60_000 : 0;
  return (text) => {
    const match = timePattern.exec(text);
    if (!match || match[4] === undefined) return 'malformed';
    const [year, month, day, hour, minute] = match.slice(1, 6).map(Number) as [
      number,
      number,
      number,
      number,
      number,
    ];
    if (hourOfYear(year, month, day, hour) < 0 || minute > 59) return 'malformed';
    const shown = Date.UTC(year, month - 1, day, hour, minute);
    const offset = match[7];
    let at = [shown - standardMs];
    if (offset !== undefined) at = [shown - offsetMs(offset)];
    else if (instants) at = instants(shown);
    const [only, other] = at;
    if (only === undefined) return 'hour-never';
    if (other !== undefined) return 'hour-twice';
    const utc = new Date(Math.floor(only / 3_600_000 + 0.5) * 3_600_000);
    const index = hourOfYear(
      utc.getUTCFullYear(),
      utc.getUTCMonth() + 1,
      utc.getUTCDate(),
      utc.getUTCHours(),
    );
    return index < 0 ? 'malformed' : { year: utc.getUTCFullYear(), index };
  };
}

function offsetMs(text: string): number {
  if (text.toUpperCase() === 'Z') return 0;
  const [, sign, hours, minutes] = /^([+-])(\d\d):?(\d\d)$/.exec(text) ?? [];
  return (sign === '-' ? -1 : 1) * (Number(hours) * 60 + Number(minutes)) * 60_000;
}

type Values = Partial<Record<Element, number>>;

function isImpossible(values: Values, isDaily: boolean): boolean {
  for (const [element, value] of Object.entries(values) as [Element, number][]) {
    const [least, most] = possible[element];
    const limit = element === 'rain' && isDaily ? dayRainMmMost : most;
    if (!(value >= least && value <= limit)) return true;
  }
  const { temperature, dewPoint, high, low, wind, gust } = values;
  if (temperature !== undefined && dewPoint !== undefined && dewPoint > temperature + 1)
    return true;
  if (high !== undefined && low !== undefined && low > high) return true;
  return wind !== undefined && gust !== undefined && gust < wind - 0.5;
}

const tenths = (value: number) => Math.round(value * 10);
/** Rain under a twentieth of a millimetre is a trace. */
const rainTenths = (value: number) => (value > 0 && value < 0.05 ? traceRain : tenths(value));

function putHour(year: WeatherYear, index: number, values: Values): void {
  const { temperature, rh, wind, gust, from, rain, snow } = values;
  let { dewPoint } = values;
  // Humidity is kept as the dew point; 0 percent has none.
  if (dewPoint === undefined && temperature !== undefined && rh !== undefined)
    dewPoint = dewPointOf(temperature, Math.max(0.5, rh));
  if (temperature !== undefined) year.temperatureC10[index] = tenths(temperature);
  if (dewPoint !== undefined) year.dewPointC10[index] = tenths(dewPoint);
  if (wind !== undefined) year.windMs10[index] = tenths(wind);
  if (from !== undefined) year.windDirectionDegrees[index] = Math.round(from);
  if (rain !== undefined) year.rainMm10[index] = rainTenths(rain);
  const seldom = () => new Int16Array(year.temperatureC10.length).fill(missingReading);
  if (gust !== undefined) {
    year.gustMs10 ??= seldom();
    year.gustMs10[index] = tenths(gust);
  }
  if (snow !== undefined) {
    year.snowCm ??= seldom();
    year.snowCm[index] = Math.round(snow);
  }
}

function putDay(year: DailyYear, index: number, values: Values): void {
  if (values.high !== undefined) year.highC10[index] = tenths(values.high);
  if (values.low !== undefined) year.lowC10[index] = tenths(values.low);
  if (values.rain !== undefined) year.rainMm10[index] = rainTenths(values.rain);
  if (values.snow !== undefined) year.snowCm[index] = Math.round(values.snow);
  if (values.wind !== undefined) year.windMs10[index] = tenths(values.wind);
  if (values.gust !== undefined) year.gustMs10[index] = tenths(values.gust);
}

/** What is wrong with the first line; null = it can be read. */
function headerProblem(names: readonly string[]): string | null {
  const [first] = names;
  if (first !== 'time' && first !== 'date')
    return 'Line 1, header: the first column is "time" (hours, as 2026-03-14 13:00) or "date" (days, as 2026-03-14), with commas between columns.';
  const allowed = first === 'time' ? ['high', 'low'] : ['temperature', 'dewPoint', 'rh', 'from'];
  for (const [index, name] of names.entries()) {
    if (index === 0) continue;
    const column = columns[name];
    if (!column || allowed.includes(column.element))
      return `Line 1, header: "${name}" is not a column that is read beside "${first}": the unit is part of the name, as in ${Object.entries(
        columns,
      )
        .filter(([, one]) => !allowed.includes(one.element))
        .map(([key]) => key)
        .join(', ')}.`;
    if (names.findIndex((one) => columns[one]?.element === column.element) !== index)
      return `Line 1, header: "${name}" gives an element that another column gives already: remove one.`;
  }
  return names.length < 2 ? 'Line 1, header: there is no column with a reading.' : null;
}

/** The values of a row in our units, or why not. */
function valuesOf(
  fields: readonly string[],
  names: readonly string[],
  rules: CsvWeatherRules,
): Values | LeftOutReason {
  if (fields.length !== names.length) return 'malformed';
  const toTenMetres = rules.windHeight === '20-ft' ? 1.15 : 1;
  const values: Values = {};
  for (let at = 1; at < names.length; at++) {
    const text = fields[at]!.trim();
    if (text === '') continue;
    if (!/^-?\d+(\.\d+)?$/.test(text)) return 'malformed';
    const { element, toOurs } = columns[names[at]!]!;
    const isWind = element === 'wind' || element === 'gust';
    values[element] = toOurs(Number(text)) * (isWind ? toTenMetres : 1);
  }
  return Object.keys(values).length === 0 ? 'no-reading' : values;
}

/** Where rows go: the hours or the days by year. */
function collector(isDaily: boolean) {
  const years = new Map<number, { seen: Uint8Array; hours: WeatherYear; days: DailyYear }>();
  const take = (
    { year, index }: { year: number; index: number },
    values: Values,
  ): LeftOutReason | null => {
    let own = years.get(year);
    if (!own) {
      own = {
        seen: new Uint8Array(8784),
        hours: emptyWeatherYear(year),
        days: emptyDailyYear(year),
      };
      years.set(year, own);
    }
    if (own.seen[index]) {
      // Rows more often than hourly: the sum of their rain is not known.
      (isDaily ? own.days : own.hours).rainMm10[index] = missingReading;
      return 'duplicate';
    }
    own.seen[index] = 1;
    if (isDaily) putDay(own.days, index, values);
    else putHour(own.hours, index, values);
    return null;
  };
  return {
    take,
    hours: () => (isDaily ? [] : [...years.values()].map((own) => own.hours)),
    days: () => (isDaily ? [...years.values()].map((own) => own.days) : []),
  };
}

/**
 * Reads a plain CSV of hours (`time,temperature_f,rh_percent,wind_mph,...`) or days (`date,high_f,low_f,rain_in,...`).
 * The header declares the units. A row stands for the nearest full hour; a blank is unknown. Yields the share read.
 */
export function* weatherCsvSteps(
  bytes: Uint8Array,
  rules: CsvWeatherRules,
): Generator<number, WeatherReading> {
  const rows = rowReport(reasonWords);
  const content = unpack(bytes);
  if ('problem' in content) return rows.refused(content.problem);
  const lines = content.text.replace(/^\u00ef\u00bb\u00bf/, '').split(/\r?\n/);
  const names = (lines[0] ?? '').split(',').map((name) => name.trim().toLowerCase());
  const wrong = headerProblem(names);
  if (wrong !== null) return rows.refused({ code: 'weather-header', message: wrong, line: 1 });
  const isDaily = names[0] === 'date';
  const whenOf = isDaily ? dateOf : hourReader(rules);
  const collected = collector(isDaily);
  const take = (line: string): LeftOutReason | null => {
    const fields = line.split(',');
    const values = valuesOf(fields, names, rules);
    if (typeof values === 'string') return values;
    const when = whenOf(fields[0]!.trim());
    if (typeof when === 'string') return when;
    return isImpossible(values, isDaily) ? 'impossible-value' : collected.take(when, values);
  };
  for (const [index, line] of lines.entries()) {
    if (index % linesInStep === 0) yield index / lines.length;
    if (index > 0 && line.trim() !== '') rows.note(index + 1, take(line));
  }
  yield 1;
  const noRow = {
    code: 'no-weather-rows',
    message:
      'The file has a header and no row that could be read: write rows such as 2026-03-14 13:00,61,35.',
  };
  return rows.reading(collected.hours(), collected.days(), noRow, null);
}
