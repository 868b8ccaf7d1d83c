import { type BurnLimits, windSectors } from '../blocks.ts';
import {
  daysInMonth,
  fromDay,
  type IsoDate,
  isoDate,
  type MonthDay,
  monthOf,
  toDay,
} from '../dates.ts';
import { sunTimes } from '../season/sun.ts';
import { halfMonthOf } from '../seasons.ts';
import { type DryingSite, daysToLookBack, isDryAfterRain } from './drying.ts';
import { fineFuelMoisturePercent, isShadedByCanopy } from './fine-fuel.ts';
import { type DailyYear, type FitDayCount, missingReading, type WeatherYear } from './history.ts';
import { type HourlyWeather, hoursOfHistory, hourUtcOfDay } from './hours.ts';
import type { Limits, Prescription } from './prescriptions.ts';
import type { HourReading } from './readings.ts';
import type { WeatherTables } from './tables.ts';
import { windAt20Feet, windInStand } from './wind-height.ts';

/** Clock of a weather station: minutes that its standard time (no summer time) is ahead of UTC. */
export interface StationClock {
  standardOffsetMinutes: number;
}

/** What one block adds to its prescription: its limits, its ground and its place. */
export interface BlockConditions {
  limits: BurnLimits;
  site: DryingSite;
  /** Leaves shade the fuel from `leafOut` until `leafFall`. */
  leafOut: MonthDay;
  leafFall: MonthDay;
  latitude: number;
  longitude: number;
}

/** Tables of the ground: how long it dries and how moist its fine fuel is. */
export type GroundTables = Pick<
  WeatherTables,
  'fineFuelMoisture' | 'fineFuelCorrections' | 'dryingDays'
>;

/**
 * All that a day is judged by. Without a block: the prescription alone, at any hour of day, with neither wind sectors, drying
 * of the ground nor daylight.
 */
export interface FitDayRule {
  prescription: Prescription;
  block: BlockConditions | null;
  tables: GroundTables;
}

export type ElementName =
  | 'temperature'
  | 'humidity'
  | 'wind'
  | 'gust'
  | 'wind-direction'
  | 'rain'
  | 'fine-fuel-moisture'
  | 'snow'
  | 'daylight'
  | 'dry-days'
  | 'drying'
  | 'next-day-gust'
  | 'next-day-humidity';

/** One element against its limits. `unknown` = not observed; it never counts as in. */
export interface ElementFinding {
  element: ElementName;
  state: 'in' | 'out' | 'unknown';
  /** In the unit of the limits (F, percent, miles an hour at the prescription's height, inches, degrees). */
  value: number | null;
  limits: Limits;
}

/** One hour of a day, local standard time; it stands for the time until the next. */
export interface HourFinding {
  hour: number;
  /** `unfit`, not unknown, when what was observed already rules it out. */
  verdict: 'fit' | 'unfit' | 'unknown';
  /** The elements that the rule limits. */
  elements: ElementFinding[];
}

/**
 * What a day was under a rule. `unknown`: not fit on what was observed, but it would have been had the missing readings been
 * good; it never counts as a fit day.
 */
export interface DayVerdict {
  date: IsoDate;
  verdict: 'fit' | 'unfit' | 'unknown';
  /** Longest run of hours inside the prescription. */
  hoursInRow: number;
  /** Hours of the prescription that lacked an element it limits. */
  unknownHours: number;
}

/** A day with its reasons. */
export interface DayFinding extends DayVerdict {
  hours: HourFinding[];
  /** First hour and end of the longest run of fit hours; null = none. */
  bestRun: { fromHour: number; untilHour: number } | null;
  /** What is asked of the day as a whole: rain before, drying of the ground, a quiet next day. */
  dayElements: ElementFinding[];
}

/** Room for the rounding of unit conversions, so that a reading exactly on a limit is inside it. */
const limitSlack = 1e-9;
const noLimits: Limits = { least: null, most: null };
/** Depth of the fuel bed that the wind at eye level is taken over: short grass and leaf litter, our own judgement. */
const fuelDepthFeet = { grass: 1, litter: 0.2 } as const;

function isLimited(limits: Limits | undefined): limits is Limits {
  return limits !== undefined && (limits.least !== null || limits.most !== null);
}

function isInside(value: number, { least, most }: Limits): boolean {
  return (
    (least === null || value >= least - limitSlack) && (most === null || value <= most + limitSlack)
  );
}

function found(element: ElementName, value: number | null, limits: Limits): ElementFinding {
  const state = value === null ? 'unknown' : isInside(value, limits) ? 'in' : 'out';
  return { element, state, value, limits };
}

function fahrenheit(celsius: number | null): number | null {
  return celsius === null ? null : celsius * 1.8 + 32;
}

function milesAnHour(metersASecond: number | null): number | null {
  return metersASecond === null ? null : metersASecond / 0.44704;
}

/** The narrower of two upper limits. */
function narrower(limits: Limits | undefined, most: number | null): Limits {
  const own = limits ?? noLimits;
  return most === null || (own.most !== null && own.most <= most) ? own : { ...own, most };
}

/** Gust, when known; a mean wind above the limit is a gust above it. */
function gustFinding(reading: HourReading, limits: Limits): ElementFinding {
  const gust = milesAnHour(reading.gustMs);
  const wind = milesAnHour(reading.windMs);
  const isOver = gust === null && wind !== null && limits.most !== null && wind > limits.most;
  return found('gust', isOver ? wind : gust, limits);
}

/** Sectors are 45 degrees wide, N from 337.5 to 22.5. A variable or missing direction is unknown. */
function directionFinding(reading: HourReading, from: readonly string[]): ElementFinding {
  const degrees = reading.windFromDegrees;
  const sector = degrees === null ? undefined : windSectors[Math.round(degrees / 45) % 8];
  const state = sector === undefined ? 'unknown' : from.includes(sector) ? 'in' : 'out';
  return { element: 'wind-direction', state, value: degrees, limits: noLimits };
}

function rainFinding(reading: HourReading, prescription: Prescription): ElementFinding {
  const rainInches = reading.rainMm === null ? null : reading.rainMm / 25.4;
  const finding = found('rain', rainInches, { least: null, most: 0 });
  const isTakenAsDry = finding.state === 'unknown' && prescription.missingRain === 'dry';
  return isTakenAsDry ? { ...finding, state: 'in' } : finding;
}

function isLeafOn({ leafOut, leafFall }: BlockConditions, date: IsoDate): boolean {
  const day = date.slice(5);
  return day >= leafOut && day < leafFall;
}

function fineFuelFinding(
  rule: FitDayRule,
  date: IsoDate,
  hour: number,
  reading: HourReading,
  limits: Limits,
): ElementFinding {
  const { block, tables } = rule;
  const temperatureF = fahrenheit(reading.temperatureC);
  const { rhPercent } = reading;
  if (block === null || temperatureF === null || rhPercent === null)
    return found('fine-fuel-moisture', null, limits);
  const { aspect, slopePercent, canopyPercent } = block.site;
  const percent = fineFuelMoisturePercent(tables, {
    temperatureF,
    rhPercent,
    month: monthOf(date),
    hour,
    aspect,
    slopePercent,
    isShaded: isShadedByCanopy(canopyPercent, isLeafOn(block, date)),
  });
  return found('fine-fuel-moisture', percent, limits);
}

/** Sunrise and sunset in minutes of the station's standard day; the whole day or none of it near the poles. */
function daylightOf(block: BlockConditions, date: IsoDate, clock: StationClock): Limits {
  const { sunriseUtcMinutes, sunsetUtcMinutes, dayLengthHours } = sunTimes(
    date,
    block.latitude,
    block.longitude,
  );
  if (sunriseUtcMinutes === null || sunsetUtcMinutes === null)
    return dayLengthHours > 0 ? noLimits : { least: 1440, most: 0 };
  const offset = clock.standardOffsetMinutes;
  return { least: sunriseUtcMinutes + offset, most: sunsetUtcMinutes + offset };
}

function daylightFinding(hour: number, daylight: Limits): ElementFinding {
  const { least, most } = daylight;
  const isIn = (least === null || hour * 60 >= least) && (most === null || (hour + 1) * 60 <= most);
  const limits = {
    least: least === null ? null : least / 60,
    most: most === null ? null : most / 60,
  };
  return { element: 'daylight', state: isIn ? 'in' : 'out', value: hour, limits };
}

/** Wind at the height that the prescription means; in the stand it hangs on canopy, leaves and fuel, so on a block. */
function windFinding(rule: FitDayRule, date: IsoDate, reading: HourReading): ElementFinding {
  const { prescription, block } = rule;
  const wind = milesAnHour(reading.windMs);
  const height = prescription.windHeight ?? '10-m';
  if (wind === null || height === '10-m') return found('wind', wind, prescription.windMph);
  if (height === '20-ft') return found('wind', windAt20Feet(wind), prescription.windMph);
  if (block === null) return found('wind', null, prescription.windMph);
  const inStand = windInStand(wind, {
    canopyPercent: block.site.canopyPercent,
    isLeafOn: isLeafOn(block, date),
    fuelDepthFeet: fuelDepthFeet[block.site.fuel],
  });
  return found('wind', inStand, prescription.windMph);
}

function verdictOf(elements: readonly ElementFinding[]): DayVerdict['verdict'] {
  if (elements.some(({ state }) => state === 'out')) return 'unfit';
  return elements.some(({ state }) => state === 'unknown') ? 'unknown' : 'fit';
}

/** One hour of a day under a rule: each element that is limited with its value. */
function hourFinding(
  rule: FitDayRule,
  date: IsoDate,
  hour: number,
  reading: HourReading,
  daylight: Limits | null,
): HourFinding {
  const { prescription, block } = rule;
  const elements: ElementFinding[] = [];
  if (isLimited(prescription.temperatureF)) {
    const temperatureF = fahrenheit(reading.temperatureC);
    elements.push(found('temperature', temperatureF, prescription.temperatureF));
  }
  if (isLimited(prescription.rhPercent))
    elements.push(found('humidity', reading.rhPercent, prescription.rhPercent));
  if (isLimited(prescription.windMph)) elements.push(windFinding(rule, date, reading));
  const gusts = narrower(prescription.gustMph, block?.limits.gustMphMost ?? null);
  if (isLimited(gusts)) elements.push(gustFinding(reading, gusts));
  if (block?.limits.windFrom) elements.push(directionFinding(reading, block.limits.windFrom));
  if (prescription.rainEndsRun) elements.push(rainFinding(reading, prescription));
  if (isLimited(prescription.fineFuelMoisturePercent))
    elements.push(fineFuelFinding(rule, date, hour, reading, prescription.fineFuelMoisturePercent));
  const snowMost = prescription.snowInchesMost ?? null;
  if (snowMost !== null) {
    const snowInches = reading.snowCm === null ? null : reading.snowCm / 2.54;
    elements.push(found('snow', snowInches, { least: null, most: snowMost }));
  }
  if (daylight) elements.push(daylightFinding(hour, daylight));
  return { hour, verdict: verdictOf(elements), elements };
}

/** Rain of the local hours 0 to `toHour` of a day in inches; null when every hour of them lacks it. */
function rainInchesOf(
  weather: HourlyWeather,
  day: number,
  toHour: number,
  clock: StationClock,
): number | null {
  const first = hourUtcOfDay(day, 0, clock.standardOffsetMinutes);
  let sumMm10 = 0;
  let knownHours = 0;
  for (let hour = first; hour <= first + toHour; hour++) {
    const rain = weather.measuredRainMm(hour);
    if (rain === null) continue;
    knownHours += 1;
    // Whole tenths add up without rounding.
    sumMm10 += Math.round(rain * 1000) / 100;
  }
  return knownHours === 0 ? null : sumMm10 / 254;
}

/**
 * Whether enough days have passed since the last wetting rain. Of the day itself only the hours up to the prescription's
 * last one count: rain after the burn hours does not undo them. Where snow is limited, a day with more of it wets the ground
 * as rain does, so that a block stays unfit for days after the melt.
 */
function rainElements(
  rule: FitDayRule,
  date: IsoDate,
  rainBack: (daysBack: number) => number | null,
  snowInchesBack: (daysBack: number) => number | null,
): ElementFinding[] {
  const { prescription, block, tables } = rule;
  const isDryWhenMissing = prescription.missingRain === 'dry';
  const rainOf = (back: number) => rainBack(back) ?? (isDryWhenMissing ? 0 : null);
  const elements: ElementFinding[] = [];
  if (prescription.dryDaysBefore > 0) {
    let state: ElementFinding['state'] = 'in';
    for (let back = 0; back < prescription.dryDaysBefore && state !== 'out'; back++) {
      const rain = rainOf(back);
      if (rain === null) state = 'unknown';
      else if (rain >= prescription.wettingRainInches - limitSlack) state = 'out';
    }
    const limits = { least: prescription.dryDaysBefore, most: null };
    elements.push({ element: 'dry-days', state, value: null, limits });
  }
  if (block && tables.dryingDays.length > 0) {
    const length = daysToLookBack(tables.dryingDays);
    const snowMost = prescription.snowInchesMost ?? null;
    const wetOf = (back: number) => {
      const rain = rainOf(back);
      const snow = snowMost === null || back === 0 ? 0 : snowInchesBack(back);
      if (snow === null || rain === null) return null;
      return snow > (snowMost ?? 0) ? Math.max(rain, prescription.wettingRainInches) : rain;
    };
    const rainInchesBack = Array.from({ length }, (_, back) => wetOf(back));
    const isDry = isDryAfterRain(tables.dryingDays, block.site, monthOf(date), rainInchesBack);
    const state = isDry === null ? 'unknown' : isDry ? 'in' : 'out';
    elements.push({ element: 'drying', state, value: null, limits: noLimits });
  }
  return elements;
}

/** The worst of the hours from 8 to 20 h of the day after; one hour outside settles it, one missing leaves it open. */
function nextDayElements(
  rule: FitDayRule,
  weather: HourlyWeather,
  clock: StationClock,
  date: IsoDate,
): ElementFinding[] {
  const asked = rule.prescription.quietNextDay ?? null;
  if (asked === null) return [];
  const first = hourUtcOfDay(toDay(date) + 1, 8, clock.standardOffsetMinutes);
  const readings = Array.from({ length: 12 }, (_, hour) => weather.reading(first + hour));
  const gusts = { least: null, most: asked.gustMphMost };
  const humidity = { least: asked.rhPercentLeast, most: null };
  const worstOf = (findings: ElementFinding[], element: ElementName): ElementFinding => {
    const worst = ['out', 'unknown'].flatMap((state) =>
      findings.filter((finding) => finding.state === state),
    )[0];
    return { ...(worst ?? (findings[0] as ElementFinding)), element };
  };
  return [
    worstOf(
      readings.map((reading) => gustFinding(reading, gusts)),
      'next-day-gust',
    ),
    worstOf(
      readings.map((reading) => found('humidity', reading.rhPercent, humidity)),
      'next-day-humidity',
    ),
  ];
}

function longestRun(
  hours: readonly HourFinding[],
  counted: readonly DayVerdict['verdict'][],
): { length: number; untilHour: number } {
  let longest = { length: 0, untilHour: 0 };
  let run = 0;
  for (const { hour, verdict } of hours) {
    run = counted.includes(verdict) ? run + 1 : 0;
    if (run > longest.length) longest = { length: run, untilHour: hour + 1 };
  }
  return longest;
}

/**
 * One local day of a station under a rule, hour by hour, with the reasons. A day is fit when at least `hoursInRow` hours in a
 * row, between `fromHour` and `toHour` (both included, local standard time), lie inside every limit and, for a block, in
 * daylight at its place; and when all that is asked of the day as a whole holds. What is unknown is never fit.
 */
export function judgeDay(
  rule: FitDayRule,
  weather: HourlyWeather,
  clock: StationClock,
  date: IsoDate,
  rainBack: (daysBack: number) => number | null = (daysBack) =>
    rainInchesOf(
      weather,
      toDay(date) - daysBack,
      daysBack === 0 ? rule.prescription.toHour : 23,
      clock,
    ),
): DayFinding {
  const { prescription, block } = rule;
  const firstHour = hourUtcOfDay(toDay(date), 0, clock.standardOffsetMinutes);
  const daylight = block ? daylightOf(block, date, clock) : null;
  const hours: HourFinding[] = [];
  for (let hour = prescription.fromHour; hour <= prescription.toHour; hour++)
    hours.push(hourFinding(rule, date, hour, weather.reading(firstHour + hour), daylight));
  const dayElements = [
    ...rainElements(rule, date, rainBack, (back) => {
      const { snowCm } = weather.reading(firstHour + 12 - back * 24);
      return snowCm === null ? null : snowCm / 2.54;
    }),
    ...nextDayElements(rule, weather, clock, date),
  ];
  const dayVerdict = verdictOf(dayElements);
  const best = longestRun(hours, ['fit']);
  const isFit = best.length >= prescription.hoursInRow && dayVerdict === 'fit';
  const mayBeFit =
    longestRun(hours, ['fit', 'unknown']).length >= prescription.hoursInRow &&
    dayVerdict !== 'unfit';
  return {
    date,
    verdict: isFit ? 'fit' : mayBeFit ? 'unknown' : 'unfit',
    hoursInRow: best.length,
    unknownHours: hours.filter(({ elements }) => elements.some((one) => one.state === 'unknown'))
      .length,
    hours,
    bestRun:
      best.length > 0
        ? { fromHour: best.untilHour - best.length, untilHour: best.untilHour }
        : null,
    dayElements,
  };
}

/** Judges single days (day numbers) of a history under a rule. */
export type DayJudge = (day: number) => DayVerdict;

/** Rain of whole local days in inches, each added up once: several days after it, and several rules, ask for it again. */
export function rainByDay(
  weather: HourlyWeather,
  clock: StationClock,
): (day: number) => number | null {
  const known = new Map<number, number | null>();
  return (day) => {
    const before = known.get(day);
    if (before !== undefined) return before;
    const rain = rainInchesOf(weather, day, 23, clock);
    known.set(day, rain);
    return rain;
  };
}

export function dayJudge(
  rule: FitDayRule,
  weather: HourlyWeather,
  clock: StationClock,
  rainOfDay: (day: number) => number | null = rainByDay(weather, clock),
): DayJudge {
  return (day) => {
    const date = fromDay(day);
    const { verdict, hoursInRow, unknownHours } = judgeDay(rule, weather, clock, date, (back) =>
      back === 0
        ? rainInchesOf(weather, day, rule.prescription.toHour, clock)
        : rainOfDay(day - back),
    );
    return { date, verdict, hoursInRow, unknownHours };
  };
}

/** The years of a history in order, each once, with the day numbers of their first day and of the day after their last. */
export function yearSpans(
  years: readonly WeatherYear[],
): { year: WeatherYear; from: number; to: number }[] {
  return [...new Map(years.map((year) => [year.year, year])).values()]
    .sort((a, b) => a.year - b.year)
    .map((year) => {
      const from = toDay(isoDate(`${year.year}-01-01`));
      return { year, from, to: from + year.temperatureC10.length / 24 };
    });
}

function verdictsOf(from: number, to: number, judge: DayJudge): DayVerdict[] {
  return Array.from({ length: to - from }, (_, index) => judge(from + index));
}

const withoutTables: GroundTables = {
  fineFuelMoisture: [],
  fineFuelCorrections: [],
  dryingDays: [],
};

/** The rule of a prescription alone. */
export function prescriptionRule(prescription: Prescription): FitDayRule {
  return { prescription, block: null, tables: withoutTables };
}

/**
 * Every local day of the years under a rule, in order. Days are those of local standard time; hours that fall into a
 * neighbouring UTC year are taken from it, and are missing when that year is not among `years`.
 */
export function dailyVerdicts(
  years: readonly WeatherYear[],
  clock: StationClock,
  rule: FitDayRule,
  dailyYears: readonly DailyYear[] = [],
): DayVerdict[] {
  const weather = hoursOfHistory(years, dailyYears, clock.standardOffsetMinutes);
  const judge = dayJudge(rule, weather, clock);
  return yearSpans(years).flatMap(({ from, to }) => verdictsOf(from, to, judge));
}

/** True when every month of the year has at least one observation. */
export function hasEveryMonth(year: WeatherYear): boolean {
  const columns = [year.temperatureC10, year.dewPointC10, year.windMs10, year.rainMm10];
  let from = 0;
  for (let month = 1; month <= 12; month++) {
    const until = from + daysInMonth(year.year, month) * 24;
    const isEmpty = columns.every((column) =>
      column.subarray(from, until).every((value) => value === missingReading),
    );
    if (isEmpty) return false;
    from = until;
  }
  return true;
}

/** The days of one year by half-month. */
export function countOfYear(year: WeatherYear, verdicts: readonly DayVerdict[]): FitDayCount {
  const halfMonths = Array<number>(24).fill(0);
  let unknownHours = 0;
  for (const day of verdicts) {
    unknownHours += day.unknownHours;
    const slot = halfMonthOf(day.date) - 1;
    if (day.verdict === 'fit') halfMonths[slot] = (halfMonths[slot] ?? 0) + 1;
  }
  return { year: year.year, halfMonths, unknownHours, isWholeYear: hasEveryMonth(year) };
}

/**
 * Fit days of a prescription alone by half-month of each year. Method: counting of hourly observations as in Yurkonis and
 * others 2019, Fire Ecology 15, s42408-019-0027-y.
 */
export function countFitDays(
  years: readonly WeatherYear[],
  clock: StationClock,
  prescription: Prescription,
): FitDayCount[] {
  const weather = hoursOfHistory(years);
  const judge = dayJudge(prescriptionRule(prescription), weather, clock);
  return yearSpans(years).map(({ year, from, to }) =>
    countOfYear(year, verdictsOf(from, to, judge)),
  );
}
