import { addDays, daysBetween, fromDay, type IsoDate, toDay, yearOf } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Property } from '../../core/properties.ts';
import { type SunTimes, sunTimes } from '../../core/season/sun.ts';
import { anchorDate } from '../../core/seasons.ts';
import type { Source } from '../../core/sources.ts';
import type { Caution } from '../../core/treatments.ts';
import {
  droughtHistory,
  droughtStage,
  lastWettingRain,
  spinUpDays,
} from '../../core/weather/drought-history.ts';
import type { DryingSite } from '../../core/weather/drying.ts';
import { isForecastStale } from '../../core/weather/forecast-age.ts';
import {
  type FuelAir,
  type FuelWeather,
  fineFuelReading,
  fuelAir,
  heavyFuelReading,
  heavyRunDays,
  isDryOn,
  newestFuelDay,
} from '../../core/weather/fuel-readings.ts';
import { siteOfUnit, slowestUnit } from '../../core/weather/sites.ts';
import type { DailyWeather, DayWeather, Deps } from '../deps.ts';
import * as words from '../words.ts';
import { type DroughtPicture, droughtPicture } from './drought-picture.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { cautionsFor } from './task-words.ts';
import { forecastAgeWords } from './weather.ts';
import type { FilterLink } from './year.ts';

/** Days after which the newest weather says nothing of today; ours. */
const oldAfterDays = 7;
/** How far back the newest hours are looked for: the years that a day's weather is read from. */
const lookBackDays = 365;

export interface Fact {
  name: string;
  words: string;
}

export interface SiteLine {
  name: string;
  ground: string;
  /** Driest hour of the day, moisture and ignition then. */
  hour: string;
  fine: string;
  ignition: string;
  rain: string;
}

export interface HourLine {
  hour: string;
  temperature: string;
  humidity: string;
  /** One a site. */
  fine: string[];
  tenHour: string;
  quick: string;
}

export interface TableLine {
  file: string;
  name: string;
  rows: string;
  status: string;
  sources: string[];
}

export interface DroughtView {
  stationWords: string;
  isInvented: boolean;
  old: string | null;
  /** Null = why nothing can be told. */
  index: string | null;
  why: string | null;
  facts: Fact[];
  picture: DroughtPicture | null;
}

export interface FineFuelView {
  basis: string;
  isInvented: boolean;
  isStale: boolean;
  old: string | null;
  siteNames: string[];
  sites: SiteLine[];
  hours: HourLine[];
  heavy: Fact[];
}

export interface FuelPage {
  shell: Shell;
  properties: FilterLink[];
  property: { id: number; name: string } | null;
  blocks: { key: string; name: string }[];
  query: Record<string, string>;
  sun: Fact[];
  sunDay: string;
  drought: DroughtView | null;
  fine: FineFuelView | null;
  tables: TableLine[];
  cautions: Caution[];
}

interface Site {
  name: string;
  site: DryingSite;
}

/** Grounds to compare by; the canopies are ours. */
const usualSites: Site[] = [
  {
    name: 'South slope, open grass',
    site: { aspect: 'S', slopePercent: 20, canopyPercent: 0, fuel: 'grass' },
  },
  {
    name: 'Flat grass',
    site: { aspect: null, slopePercent: 0, canopyPercent: 0, fuel: 'grass' },
  },
  {
    name: 'North slope, woods',
    site: { aspect: 'N', slopePercent: 20, canopyPercent: 65, fuel: 'litter' },
  },
];

function clockTime(date: IsoDate, utcMinutes: number | null, timeZone: string): string {
  if (utcMinutes === null) return 'not on this day';
  const at = new Date((toDay(date) * 1440 + Math.round(utcMinutes)) * 60_000);
  return new Intl.DateTimeFormat('en-US', {
    timeZone,
    hour: 'numeric',
    minute: '2-digit',
    timeZoneName: 'short',
  }).format(at);
}

function sunFacts(property: Property, today: IsoDate): Fact[] {
  const sun = sunTimes(today, property.latitude, property.longitude);
  const at = (key: Exclude<keyof SunTimes, 'dayLengthHours'>) =>
    clockTime(today, sun[key], property.timeZone);
  const minutes = Math.round(sun.dayLengthHours * 60);
  return [
    { name: 'Civil twilight begins', words: at('dawnUtcMinutes') },
    { name: 'Sunrise', words: at('sunriseUtcMinutes') },
    { name: 'Sunset', words: at('sunsetUtcMinutes') },
    { name: 'Civil twilight ends', words: at('duskUtcMinutes') },
    { name: 'Day length', words: `${Math.floor(minutes / 60)} h ${minutes % 60} min` },
  ];
}

function oldWords(newest: IsoDate, today: IsoDate): string | null {
  const days = daysBetween(newest, today);
  return days > oldAfterDays
    ? `The newest weather is of ${words.date(newest)}, ${words.count(days, 'day')} ago: too old to say how dry it is today.`
    : null;
}

function rainFact(daily: DailyWeather): Fact {
  const name = 'Wetting rain';
  const rain = lastWettingRain(daily.years);
  if (rain === null) return { name, words: 'not known: no wetting rain is on record' };
  const days = rain.newestDay - rain.day;
  const unknown =
    rain.unknownDays > 0
      ? `; the rain of ${words.count(rain.unknownDays, 'day')} is not known`
      : '';
  const inches = words.number(rain.inches, 2);
  return {
    name,
    words: `${words.count(days, 'day')} ago on ${words.date(fromDay(rain.newestDay))}; ${inches} ${inches === '1' ? 'inch' : 'inches'} fell on ${words.date(fromDay(rain.day))}${unknown}`,
  };
}

function droughtView(daily: DailyWeather, today: IsoDate): DroughtView {
  const { station, years } = daily;
  const history = droughtHistory(years);
  const newest = history?.days.at(-1);
  const view = {
    stationWords: `Station ${station.name}, days of ${years[0]?.year ?? ''} to ${years.at(-1)?.year ?? ''}`,
    isInvented: station.isInvented,
  };
  if (!history || !newest)
    return {
      ...view,
      old: null,
      index: null,
      why: 'The drought index is not known: it needs more than a year of days with their high temperature and rain, and one whole year of rain.',
      facts: [rainFact(daily)],
      picture: null,
    };
  const { stage, from, to } = droughtStage(newest.index);
  const on = fromDay(newest.day);
  const told = history.days.find(({ day }) => day === newest.day - 30);
  const change = told ? Math.round(newest.index) - Math.round(told.index) : null;
  return {
    ...view,
    old: oldWords(on, today),
    index: `${words.number(newest.index, 0)} of 800, stage ${stage} (${from} to ${to})`,
    why: null,
    facts: [
      { name: 'At the end of', words: words.date(on) },
      ...(change === null
        ? []
        : [
            {
              name: '30 days before',
              words: `${words.number(told?.index ?? 0, 0)}${change === 0 ? ', as now' : `: ${Math.abs(change)} ${change > 0 ? 'drier' : 'wetter'} now`}`,
            },
          ]),
      rainFact(daily),
      {
        name: 'Rain a year',
        words: `${words.number(history.annualRainInches)} inches, the mean of ${words.count(history.rainYears, 'year')}`,
      },
      {
        name: 'Started',
        words: `at 0 (soil full) on ${words.date(history.startedOn)}; the first ${spinUpDays} days are not shown`,
      },
    ],
    picture: droughtPicture(history, yearOf(on)),
  };
}

const clock = (hour: number) => `${String(hour).padStart(2, '0')}:00`;

/** In tens, as the printed tables give it. */
export function ignitionWords(percent: number): string {
  const tens = Math.round(percent / 10) * 10;
  return tens < 10 ? 'about 10 % or less' : `about ${tens} %`;
}

function groundWords({ aspect, slopePercent, canopyPercent, fuel }: DryingSite, shade: boolean) {
  const slope =
    aspect === null ? 'level' : `facing ${aspect}, slope ${words.number(slopePercent ?? 0, 0)} %`;
  const canopy = canopyPercent === 0 ? 'no canopy' : `canopy ${words.number(canopyPercent, 0)} %`;
  return `${slope}, ${canopy}, ${fuel}; counts as ${shade ? 'shaded' : 'in the sun'}`;
}

const rainWords = (isDry: boolean | null) =>
  isDry === null ? 'not known' : isDry ? 'past its days of drying' : 'still drying';

function siteLine(
  from: FuelWeather,
  airs: readonly FuelAir[],
  date: IsoDate,
  { name, site }: Site,
  isLeafOn: boolean,
): SiteLine {
  const readings = airs.flatMap((air) => fineFuelReading(from, air, date, site, isLeafOn) ?? []);
  const driest = readings.reduce<(typeof readings)[number] | null>(
    (least, one) => (least === null || one.percent < least.percent ? one : least),
    null,
  );
  return {
    name,
    ground: groundWords(site, isLeafOn && site.canopyPercent >= 50),
    hour: driest ? clock(driest.hour) : 'not known',
    fine: driest ? String(driest.percent) : 'not known',
    ignition: driest ? ignitionWords(driest.ignitionPercent) : 'not known',
    rain: rainWords(isDryOn(from, date, site)),
  };
}

function hourLine(
  from: FuelWeather,
  air: FuelAir,
  date: IsoDate,
  sites: readonly Site[],
  isLeafOn: boolean,
): HourLine {
  const { hour, temperatureF, rhPercent, isRaining, tenHourPercent } = air;
  const figure = (value: number | null) => (value === null ? 'not known' : words.number(value, 0));
  const fine = ({ site }: Site) => {
    if (isRaining) return 'rain';
    return figure(fineFuelReading(from, air, date, site, isLeafOn)?.percent ?? null);
  };
  const [clear, overcast] = [
    figure(tenHourPercent?.clear ?? null),
    figure(tenHourPercent?.overcast ?? null),
  ];
  return {
    hour: clock(hour),
    temperature: figure(temperatureF),
    humidity: figure(rhPercent),
    fine: sites.map(fine),
    tenHour: clear === overcast ? clear : `${clear} to ${overcast}`,
    quick: figure(rhPercent === null ? null : rhPercent / 5),
  };
}

function heavyFacts(from: FuelWeather, property: Property, today: IsoDate): Fact[] {
  const heavy = heavyFuelReading(from, property, addDays(today, -1));
  if (!heavy) {
    const why = `not known: more than a tenth of the ${heavyRunDays} days before lack hours or rain`;
    return [
      { name: '100-hour fuel', words: why },
      { name: '1000-hour fuel', words: why },
    ];
  }
  const on = `at the end of ${words.date(heavy.on)}`;
  const percent = (value: number) => `${words.number(value, 0)} % of dry weight, ${on}`;
  const stepped =
    heavy.unknownDays > 0
      ? `, ${words.count(heavy.unknownDays, 'unknown day')} stepped over`
      : ', every day known';
  return [
    { name: '100-hour fuel', words: percent(heavy.hundredHourPercent) },
    { name: '1000-hour fuel', words: percent(heavy.thousandHourPercent) },
    { name: 'From', words: `the weather of the ${heavyRunDays} days before today${stepped}` },
  ];
}

function basisWords(deps: Deps, weather: DayWeather, day: IsoDate): string {
  const at = `${words.date(day)} at station ${weather.stationName}, its standard time`;
  const { forecast } = weather;
  if (!forecast) return `${weather.isInvented ? 'Invented' : 'Observed'} hours of ${at}`;
  const age = forecastAgeWords(
    { ...forecast, stationName: weather.stationName, hours: [] },
    deps.burns.now(),
  );
  return `Expected (${forecast.source}, ${age}) where the forecast holds the hour, else ${weather.isInvented ? 'invented' : 'observed'}: ${at}`;
}

function fineFuelView(
  deps: Deps,
  property: Property,
  weather: DayWeather,
  today: IsoDate,
  sites: readonly Site[],
): FineFuelView | null {
  const day = newestFuelDay(weather, today, lookBackDays);
  if (day === null) return null;
  const isLeafOn =
    day >= anchorDate(property.anchors, 'leaf-out', yearOf(day)) &&
    day < anchorDate(property.anchors, 'leaf-fall', yearOf(day));
  const airs = fuelAir(weather, day);
  const shown = day === today ? weather : { ...weather, forecast: null };
  return {
    basis: basisWords(deps, shown, day),
    isInvented: weather.isInvented,
    isStale: shown.forecast !== null && isForecastStale(shown.forecast, deps.burns.now()),
    old: oldWords(day, today),
    siteNames: sites.map(({ name }) => name),
    sites: sites.map((site) => siteLine(weather, airs, day, site, isLeafOn)),
    hours: airs.map((air) => hourLine(weather, air, day, sites, isLeafOn)),
    heavy: heavyFacts(weather, property, today),
  };
}

function sitesOf(operation: Operation, propertyId: number, blockId: number): Site[] {
  const block = operation.blocks.find((one) => one.id === blockId);
  const unit = block && block.propertyId === propertyId ? slowestUnit(operation, block) : null;
  if (!block || !unit) return usualSites;
  return [
    { name: `${block.code} ${block.name}, its slowest ground`, site: siteOfUnit(block, unit) },
    ...usualSites,
  ];
}

function tableLine(file: string, name: string, rows: readonly Source[]): TableLine {
  const sources = [...new Set(rows.map(({ source }) => source))];
  const statuses = [...new Set(rows.map(({ status }) => words.statusNames[status]))];
  return {
    file: `shared/${file}`,
    name,
    rows: words.number(rows.length),
    status: statuses.join(', ') || 'no row is loaded',
    sources: sources.length > 3 ? ['Each row names its own source.'] : sources,
  };
}

function tableLines(deps: Deps): TableLine[] {
  const tables = deps.weather.tables();
  return [
    tableLine('fine-fuel-moisture.json', 'Fine dead fuel, Table A', tables.fineFuelMoisture),
    tableLine('fine-fuel-corrections.json', 'Tables B, C and D', tables.fineFuelCorrections),
    tableLine('drying-days.json', 'Days of drying after rain', tables.dryingDays),
    tableLine('fuel-models.json', 'Fuels of the rate of spread', tables.fuelModels),
  ];
}

/** How dry it is at one property: drought by day, fine fuel by the hour, heavy fuel, daylight. */
export function fuelPage(deps: Deps, query: Record<string, string | undefined>): FuelPage {
  const operation = deps.operation();
  const { properties } = operation;
  const property = properties.find(({ id }) => String(id) === query['property']) ?? properties[0];
  const today = todayAt(deps, property);
  const daily = property ? deps.seasons.dailyWeather(property.id) : null;
  const weather = property ? deps.burns.weatherOf(property.id, today) : null;
  const blocks = operation.blocks.filter((one) => one.propertyId === property?.id);
  const sites = sitesOf(operation, property?.id ?? 0, Number(query['block']));
  return {
    shell: shellOf(deps, 'burn-days', 'How dry is it?'),
    properties:
      properties.length < 2
        ? []
        : properties.map(({ id, name }) => ({
            name,
            path: `/fuel?property=${id}`,
            count: null,
            isCurrent: id === property?.id,
          })),
    property: property ? { id: property.id, name: property.name } : null,
    blocks: blocks.map(({ id, code, name }) => ({ key: String(id), name: `${code} ${name}` })),
    query: { block: query['block'] ?? '' },
    sun: property ? sunFacts(property, today) : [],
    sunDay: words.date(today),
    drought: daily ? droughtView(daily, today) : null,
    fine: property && weather ? fineFuelView(deps, property, weather, today, sites) : null,
    tables: tableLines(deps),
    cautions: cautionsFor(
      operation,
      operation.treatments.filter(({ family }) => family === 'burn').map(({ key }) => key),
    ),
  };
}
