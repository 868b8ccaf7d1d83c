import { daysInMonth, fromDay, type IsoDate, isoDate, toDay } from '../dates.ts';
import { halfMonthOf } from '../seasons.ts';
import { type FitDayCount, missingReading, type WeatherYear } from './history.ts';
import { relativeHumidityPercent } from './humidity.ts';
import type { Limits, Prescription } from './prescriptions.ts';

/** Clock of a weather station: minutes that its standard time (no summer time) is ahead of UTC. */
export interface StationClock {
  standardOffsetMinutes: number;
}

/**
 * What a past day was under a prescription. `unknown`: not fit on what was observed, but it would have been
 * had the missing readings been good; it never counts as a fit day.
 */
export interface DayVerdict {
  date: IsoDate;
  verdict: 'fit' | 'unfit' | 'unknown';
  /** Longest run of hours inside the prescription. */
  hoursInRow: number;
  /** Hours of the prescription that lacked an element it limits. */
  unknownHours: number;
}

type HourVerdict = 'fit' | 'unfit' | 'unknown';

/** Room for the rounding of unit conversions, so that a reading exactly on a limit is inside it. */
const limitSlack = 1e-9;

function isLimited(limits: Limits): boolean {
  return limits.least !== null || limits.most !== null;
}

function isInside(value: number, limits: Limits): boolean {
  return (
    (limits.least === null || value >= limits.least - limitSlack) &&
    (limits.most === null || value <= limits.most + limitSlack)
  );
}

/** A year's column index that reaches into the years next to it; null where no such year is loaded. */
interface YearsAround {
  before: WeatherYear | undefined;
  year: WeatherYear;
  after: WeatherYear | undefined;
}

type Reading = { from: WeatherYear; index: number } | null;

function readingAt(around: YearsAround, hourOfYear: number): Reading {
  const length = around.year.temperatureC10.length;
  if (hourOfYear >= 0 && hourOfYear < length) return { from: around.year, index: hourOfYear };
  if (hourOfYear < 0 && around.before)
    return { from: around.before, index: around.before.temperatureC10.length + hourOfYear };
  if (hourOfYear >= length && around.after)
    return { from: around.after, index: hourOfYear - length };
  return null;
}

function known(
  reading: Reading,
  column: 'temperatureC10' | 'dewPointC10' | 'windMs10' | 'rainMm10',
) {
  const value = reading ? reading.from[column][reading.index] : undefined;
  return value === undefined || value === missingReading ? null : value;
}

/** One hour; it is unfit, not unknown, when what was observed already rules it out. */
interface HourFinding {
  verdict: HourVerdict;
  /** An element that the prescription limits is missing. */
  lacksElement: boolean;
}

function hourFinding(reading: Reading, prescription: Prescription): HourFinding {
  const temperature = known(reading, 'temperatureC10');
  const dewPoint = known(reading, 'dewPointC10');
  const wind = known(reading, 'windMs10');
  const rain = known(reading, 'rainMm10');
  let lacksElement = false;
  let isInsideAll = true;
  const judge = (limits: Limits, value: number | null) => {
    if (!isLimited(limits)) return;
    if (value === null) lacksElement = true;
    else if (!isInside(value, limits)) isInsideAll = false;
  };
  judge(prescription.temperatureF, temperature === null ? null : (temperature / 10) * 1.8 + 32);
  judge(
    prescription.rhPercent,
    temperature === null || dewPoint === null
      ? null
      : relativeHumidityPercent(temperature / 10, dewPoint / 10),
  );
  judge(prescription.windMph, wind === null ? null : wind / 10 / 0.44704);
  if (prescription.rainEndsRun) {
    if (rain === null) lacksElement ||= prescription.missingRain === 'unknown';
    // A trace (-1) is rain too.
    else if (rain !== 0) isInsideAll = false;
  }
  return { verdict: !isInsideAll ? 'unfit' : lacksElement ? 'unknown' : 'fit', lacksElement };
}

function longestRun(hours: readonly HourVerdict[], counted: readonly HourVerdict[]): number {
  let longest = 0;
  let run = 0;
  for (const hour of hours) {
    run = counted.includes(hour) ? run + 1 : 0;
    if (run > longest) longest = run;
  }
  return longest;
}

/** Rain of the local hours 0 to `toHour` of a day; `unknown` when every hour of them lacks it. */
function rainVerdict(
  around: YearsAround,
  firstHour: number,
  toHour: number,
  prescription: Prescription,
): HourVerdict {
  let sumMm10 = 0;
  let knownHours = 0;
  for (let hour = 0; hour <= toHour; hour++) {
    const rain = known(readingAt(around, firstHour + hour), 'rainMm10');
    if (rain === null) continue;
    knownHours += 1;
    sumMm10 += Math.max(0, rain);
  }
  if (sumMm10 / 254 >= prescription.wettingRainInches - limitSlack) return 'unfit';
  return knownHours === 0 && prescription.missingRain === 'unknown' ? 'unknown' : 'fit';
}

/**
 * Whether enough days have passed since the last wetting rain. Of the day itself only the hours up to the
 * prescription's last one count: rain after the burn hours does not undo them.
 */
function drynessVerdict(
  around: YearsAround,
  firstHour: number,
  prescription: Prescription,
): HourVerdict {
  let verdict: HourVerdict = 'fit';
  for (let back = 0; back < prescription.dryDaysBefore; back++) {
    const toHour = back === 0 ? prescription.toHour : 23;
    const day = rainVerdict(around, firstHour - back * 24, toHour, prescription);
    if (day === 'unfit') return 'unfit';
    if (day === 'unknown') verdict = 'unknown';
  }
  return verdict;
}

function dayVerdict(
  around: YearsAround,
  date: IsoDate,
  firstHour: number,
  prescription: Prescription,
): DayVerdict {
  const hours: HourVerdict[] = [];
  let unknownHours = 0;
  for (let hour = prescription.fromHour; hour <= prescription.toHour; hour++) {
    const finding = hourFinding(readingAt(around, firstHour + hour), prescription);
    hours.push(finding.verdict);
    if (finding.lacksElement) unknownHours += 1;
  }
  const hoursInRow = longestRun(hours, ['fit']);
  const dryness = drynessVerdict(around, firstHour, prescription);
  const isFit = hoursInRow >= prescription.hoursInRow && dryness === 'fit';
  const mayBeFit =
    longestRun(hours, ['fit', 'unknown']) >= prescription.hoursInRow && dryness !== 'unfit';
  return {
    date,
    verdict: isFit ? 'fit' : mayBeFit ? 'unknown' : 'unfit',
    hoursInRow,
    unknownHours,
  };
}

function verdictsOf(
  around: YearsAround,
  clock: StationClock,
  prescription: Prescription,
): DayVerdict[] {
  // Observations are on the UTC hour; a zone off by a part of an hour takes the nearest one.
  const offsetHours = Math.round(clock.standardOffsetMinutes / 60);
  const firstDay = toDay(isoDate(`${around.year.year}-01-01`));
  const days = around.year.temperatureC10.length / 24;
  return Array.from({ length: days }, (_, day) =>
    dayVerdict(around, fromDay(firstDay + day), day * 24 - offsetHours, prescription),
  );
}

function withNeighbours(years: readonly WeatherYear[]): YearsAround[] {
  const byYear = new Map(years.map((year) => [year.year, year]));
  return [...byYear.values()]
    .sort((a, b) => a.year - b.year)
    .map((year) => ({
      before: byYear.get(year.year - 1),
      year,
      after: byYear.get(year.year + 1),
    }));
}

/**
 * Every local day of the years under a prescription, in order. Days are those of local standard time; hours that
 * fall into a neighbouring UTC year are taken from it, and are missing when that year is not among `years`.
 */
export function dailyVerdicts(
  years: readonly WeatherYear[],
  clock: StationClock,
  prescription: Prescription,
): DayVerdict[] {
  return withNeighbours(years).flatMap((around) => verdictsOf(around, clock, prescription));
}

/** True when every month of the year has at least one observation. */
function hasEveryMonth(year: WeatherYear): boolean {
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

/**
 * Fit days by half-month of each year. A day is fit when at least `hoursInRow` hours in a row, between `fromHour`
 * and `toHour` (both included, local standard time), lie inside every limit, without rain or trace where rain ends
 * the run, and the last wetting rain is `dryDaysBefore` days back or more. What is unknown is never fit. Method:
 * counting of hourly observations as in Yurkonis and others 2019, Fire Ecology 15, s42408-019-0027-y.
 */
export function countFitDays(
  years: readonly WeatherYear[],
  clock: StationClock,
  prescription: Prescription,
): FitDayCount[] {
  return withNeighbours(years).map((around) => {
    const halfMonths = Array<number>(24).fill(0);
    let unknownHours = 0;
    for (const day of verdictsOf(around, clock, prescription)) {
      unknownHours += day.unknownHours;
      const slot = halfMonthOf(day.date) - 1;
      if (day.verdict === 'fit') halfMonths[slot] = (halfMonths[slot] ?? 0) + 1;
    }
    return {
      year: around.year.year,
      halfMonths,
      unknownHours,
      isWholeYear: hasEveryMonth(around.year),
    };
  });
}
