import { fromDay, type IsoDate, toDay } from '../../core/dates.ts';
import { forecastAgeHours, isForecastStale } from '../../core/weather/forecast-age.ts';
import type { Station } from '../../core/weather/history.ts';
import { hourUtcOf } from '../../core/weather/hours.ts';
import type { Forecast, ForecastHour } from '../../core/weather/readings.ts';
import type { Deps, WeatherImportRun } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import {
  forecastDayCount,
  forecastFieldName,
  forecastFields,
  forecastParts,
} from '../forms/weather.ts';
import * as words from '../words.ts';
import { type Shell, shellOf } from './shell.ts';

const stationPath = (name: string) => `/weather/station?name=${encodeURIComponent(name)}`;

/** "2 hours old", "20 minutes old". */
export function forecastAgeWords(forecast: Forecast, now: string): string {
  const hours = forecastAgeHours(forecast, now);
  if (hours < 1) return `${words.count(Math.round(hours * 60), 'minute')} old`;
  return hours < 48
    ? `${words.count(Math.round(hours), 'hour')} old`
    : `${words.count(Math.round(hours / 24), 'day')} old`;
}

interface ForecastNote {
  source: string;
  issued: string;
  age: string;
  isStale: boolean;
}

function forecastNote(deps: Deps, forecast: Forecast): ForecastNote {
  const now = deps.burns.now();
  return {
    source: forecast.source,
    issued: words.instant(forecast.issuedAt),
    age: forecastAgeWords(forecast, now),
    isStale: isForecastStale(forecast, now),
  };
}

/** Years one after the other as "2016 to 2025"; gaps part them. */
export function yearSpans(years: readonly number[]): string {
  const spans: [number, number][] = [];
  for (const year of [...years].sort((a, b) => a - b)) {
    const last = spans.at(-1);
    if (last && last[1] === year - 1) last[1] = year;
    else spans.push([year, year]);
  }
  const texts = spans.map(([from, to]) => (from === to ? String(from) : `${from} to ${to}`));
  return texts.join(', ') || 'none';
}

export interface StationLine {
  name: string;
  path: string;
  isInvented: boolean;
  place: string;
  hasHistory: boolean;
  hourlyYears: string;
  dailyYears: string;
  forecast: ForecastNote | null;
}

const placeWords = ({ latitude, longitude }: Station) =>
  `${words.number(Math.abs(latitude), 3)} ${latitude < 0 ? 'S' : 'N'}, ${words.number(Math.abs(longitude), 3)} ${longitude < 0 ? 'W' : 'E'}`;

function stationLine(deps: Deps, station: Station): StationLine {
  const held = deps.weather.yearsHeld(station.name);
  const forecast = deps.weather.forecast(station.name);
  return {
    name: station.name,
    path: stationPath(station.name),
    isInvented: station.isInvented,
    place: placeWords(station),
    hasHistory: held.length > 0,
    hourlyYears: yearSpans(held.filter((one) => one.hours > 0).map((one) => one.year)),
    dailyYears: yearSpans(held.filter((one) => one.days > 0).map((one) => one.year)),
    forecast: forecast ? forecastNote(deps, forecast) : null,
  };
}

/** The state of an import in words. */
export interface ImportPane {
  run: WeatherImportRun | null;
  percent: number;
  years: string;
}

export function importPane(deps: Deps): ImportPane {
  const run = deps.weather.importRun();
  return { run, percent: Math.round((run?.share ?? 0) * 100), years: yearSpans(run?.years ?? []) };
}

export interface WeatherPage extends ImportPane {
  shell: Shell;
  stations: StationLine[];
  service: FormState;
}

/** Stations with what is held of each, the import that runs or ended last, and the forecast service. */
export function weatherPage(deps: Deps, service?: FormState): WeatherPage {
  const { isOn, address, contact } = deps.weather.service();
  return {
    shell: shellOf(deps, 'more', 'What weather is on file?'),
    ...importPane(deps),
    stations: deps.weather.places().map((station) => stationLine(deps, station)),
    service: service ?? { values: { isOn: isOn ? 'yes' : '', address, contact }, problems: [] },
  };
}

export interface WeatherImportPage {
  shell: Shell;
  form: FormState;
}

/** The form that loads a weather file; it begins with the place of the first property. */
export function weatherImportPage(deps: Deps, form?: FormState): WeatherImportPage {
  const [property] = deps.operation().properties;
  const values = {
    latitude: property ? String(property.latitude) : '',
    longitude: property ? String(property.longitude) : '',
    timeZone: property?.timeZone ?? 'America/Chicago',
    format: 'auto',
    clock: 'local',
    windHeight: '10-m',
  };
  return {
    shell: shellOf(deps, 'more', 'Load a weather file'),
    form: form ?? { ...blankForm, values },
  };
}

interface ForecastRow {
  time: string;
  temperatureF: string;
  rhPercent: string;
  windMph: string;
  gustMph: string;
  from: string;
  rainInches: string;
}

/** Hours shown of a forecast, and from one row to the next. */
const shownHours = 72;
const rowHours = 3;

function forecastRow(hour: ForecastHour, rainMm: number | null, timeZone: string): ForecastRow {
  const time = new Intl.DateTimeFormat('en-US', {
    timeZone,
    weekday: 'short',
    day: 'numeric',
    month: 'short',
    hour: 'numeric',
  }).format(new Date(hour.at));
  const show = (value: number | null, toOurs: (value: number) => number, digits = 0) =>
    value === null ? 'unknown' : words.number(toOurs(value), digits);
  return {
    time,
    temperatureF: show(hour.temperatureC, (value) => value * 1.8 + 32),
    rhPercent: show(hour.rhPercent, (value) => value),
    windMph: show(hour.windMs, (value) => value / 0.44704),
    gustMph: show(hour.gustMs, (value) => value / 0.44704),
    from: show(hour.windFromDegrees, (value) => value),
    rainInches: show(rainMm, (value) => value / 25.4, 2),
  };
}

/** From now on a row for each three hours of UTC, with its first known hour and its rain; null where an hour lacks it. */
function forecastRows(forecast: Forecast, now: string, timeZone: string): ForecastRow[] {
  const from = hourUtcOf(now);
  const groups = new Map<number, ForecastHour[]>();
  for (const hour of forecast.hours) {
    const at = hourUtcOf(hour.at);
    if (at < from || at >= from + shownHours) continue;
    const slot = Math.floor(at / rowHours);
    groups.set(slot, [...(groups.get(slot) ?? []), hour]);
  }
  return [...groups.values()].map((hours) => {
    const known = hours.flatMap(({ rainMm }) => rainMm ?? []);
    const rain = known.length === rowHours ? known.reduce((sum, mm) => sum + mm, 0) : null;
    return forecastRow(hours[0]!, rain, timeZone);
  });
}

export interface StationPage {
  shell: Shell;
  station: StationLine;
  timeZone: string;
  years: { year: number; hours: number; days: number }[];
  rows: ForecastRow[];
  fetch: { isRunning: boolean; problems: string[] };
  isServiceOn: boolean;
  typePath: string;
}

/** One station: its forecast and each year on file; null for an unknown name. */
export function stationPage(deps: Deps, name: string): StationPage | null {
  const station = deps.weather.places().find((one) => one.name === name);
  if (!station) return null;
  const forecast = deps.weather.forecast(name);
  const fetch = deps.weather.forecastFetch(name);
  return {
    shell: shellOf(deps, 'more', name),
    station: stationLine(deps, station),
    timeZone: station.timeZone,
    years: deps.weather.yearsHeld(name).reverse(),
    rows: forecast ? forecastRows(forecast, deps.burns.now(), station.timeZone) : [],
    fetch: {
      isRunning: fetch?.state === 'running',
      problems: fetch?.problems.map((problem) => problem.message) ?? [],
    },
    isServiceOn: deps.weather.service().isOn,
    typePath: `/weather/forecast?station=${encodeURIComponent(name)}`,
  };
}

export interface TypedForecastPage {
  shell: Shell;
  station: string;
  timeZone: string;
  form: FormState;
  days: {
    date: IsoDate;
    parts: { title: string; fields: { name: string; label: string }[] }[];
  }[];
}

/** The form for a forecast by hand; null for an unknown station. */
export function typedForecastPage(
  deps: Deps,
  stationName: string,
  form?: FormState,
): TypedForecastPage | null {
  const station = deps.weather.places().find((one) => one.name === stationName);
  if (!station) return null;
  const today = deps.today(station.timeZone);
  const typed = form?.values['firstDay'] ?? '';
  const firstDay =
    /^\d{4}-\d\d-\d\d$/.test(typed) && !Number.isNaN(Date.parse(typed))
      ? (typed as IsoDate)
      : today;
  return {
    shell: shellOf(deps, 'more', 'Type a forecast'),
    station: station.name,
    timeZone: station.timeZone,
    form: form ?? { ...blankForm, values: { firstDay, station: station.name } },
    days: Array.from({ length: forecastDayCount }, (_, day) => ({
      date: fromDay(toDay(firstDay) + day),
      parts: forecastParts.map(({ fromHour, untilHour }) => ({
        title: `${fromHour} to ${untilHour} h`,
        fields: forecastFields.map(({ key, label }) => ({
          name: forecastFieldName(day, fromHour, key),
          label,
        })),
      })),
    })),
  };
}
