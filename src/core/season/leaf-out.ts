import { addDays, daysInMonth, type IsoDate, isLeapYear, isoDate } from '../dates.ts';
import type { Source } from '../sources.ts';
import { type DailyYear, missingReading } from '../weather/history.ts';
import { sunTimes } from './sun.ts';

/**
 * A model of leaf-out by warmth: every day from `fromDayOfYear` adds (mean temperature - base), times (day length / 10
 * hours) to a power where one is given; leaf-out is the first day on which the sum reaches `threshold`.
 */
export interface LeafOutModel extends Source {
  key: string;
  name: string;
  /** Mean of the day's high and low above which warmth counts. */
  baseC: number;
  /** 1 = 1 January, counted as in a common year: 91 = 1 April. */
  fromDayOfYear: number;
  /** Degree days C. */
  threshold: number;
  /** 0 = day length does not count. */
  dayLengthPower: number;
  /** Error of the model at its own sites once the spring's temperatures are in, days. */
  errorDays: number;
  /** Days that the species follows red oak, for use with a model of another species or of the whole canopy. */
  afterRedOakDays: number;
}

export interface Place {
  latitude: number;
  longitude: number;
}

export interface LeafOutEstimate {
  date: IsoDate;
  /** One standard error. */
  errorDays: number;
  basis: 'computed from this spring' | 'from past years' | 'latitude fit';
  /** Days of this year's counted span, up to the date, whose temperature is known. */
  daysOfSpringKnown: number;
}

/** Error of carrying a model to another place before the spring's own temperatures are in, and after (days). */
const errorDaysBeforeSpring = 9;
const errorDaysAfterSpring = 4;
/** Error of the latitude fit at its 333 site-years, days. */
const latitudeFitErrorDays = 12.1;

/** Day of the year that a model's start means in a year: its month and day stay the same in leap years. */
function firstIndex(model: LeafOutModel, year: number): number {
  return model.fromDayOfYear - 1 + (isLeapYear(year) && model.fromDayOfYear > 59 ? 1 : 0);
}

/** Warmth that one day adds. */
function dayWarmth(model: LeafOutModel, meanC: number, date: IsoDate, place: Place): number {
  const warmth = Math.max(0, meanC - model.baseC);
  if (warmth === 0 || model.dayLengthPower === 0) return warmth;
  const { dayLengthHours } = sunTimes(date, place.latitude, place.longitude);
  return warmth * (dayLengthHours / 10) ** model.dayLengthPower;
}

/** Gaps up to this many days are bridged straight between their neighbours: a choice of ours. */
const longestGapDays = 3;

/** The means with short gaps bridged; longer ones, and the end of the data, stay missing. */
function bridged(means: readonly (number | null)[]): (number | null)[] {
  const filled = [...means];
  let lastKnown = -1;
  for (const [index, mean] of means.entries()) {
    if (mean === null) continue;
    const before = means[lastKnown] ?? null;
    const gap = index - lastKnown - 1;
    if (before !== null && gap <= longestGapDays)
      for (let step = 1; step <= gap; step++)
        filled[lastKnown + step] = before + ((mean - before) * step) / (gap + 1);
    lastKnown = index;
  }
  return filled;
}

/**
 * Leaf-out of one year by a model from daily mean temperatures (index 0 = 1 January; null = missing). Null when the
 * threshold is not reached or more than three days in a row before it are missing: a gap would make leaf-out late.
 */
export function leafOutOfYear(
  model: LeafOutModel,
  year: number,
  dailyMeanC: readonly (number | null)[],
  place: Place,
): IsoDate | null {
  const newYear = isoDate(`${year}-01-01`);
  const means = bridged(dailyMeanC);
  let sum = 0;
  for (let index = firstIndex(model, year); index < means.length; index++) {
    const mean = means[index] ?? null;
    if (mean === null) return null;
    const date = addDays(newYear, index);
    sum += dayWarmth(model, mean, date, place);
    if (sum >= model.threshold) return date;
  }
  return null;
}

/** Daily mean temperatures, half of high plus low, in degrees C; null where one is missing. */
export function dailyMeans(year: Pick<DailyYear, 'highC10' | 'lowC10'>): (number | null)[] {
  return Array.from(year.highC10, (high, index) => {
    const low = year.lowC10[index] ?? missingReading;
    return high === missingReading || low === missingReading ? null : (high + low) / 20;
  });
}

/** Leaf-out of each year of a daily history; null for years whose spring has gaps. In order of the years given. */
export function leafOutByYear(
  model: LeafOutModel,
  years: readonly DailyYear[],
  place: Place,
): { year: number; date: IsoDate | null }[] {
  return years.map((year) => ({
    year: year.year,
    date: leafOutOfYear(model, year.year, dailyMeans(year), place),
  }));
}

/**
 * Usual mean temperature of each day of the year, from past years: the mean over the years and the seven days around,
 * 366 figures with 29 February; null where no year has a reading.
 */
export function usualDailyMeans(years: readonly DailyYear[]): (number | null)[] {
  const sums = Array<number>(366).fill(0);
  const counts = Array<number>(366).fill(0);
  for (const year of years)
    for (const [index, mean] of dailyMeans(year).entries()) {
      if (mean === null) continue;
      const slot = isLeapYear(year.year) || index < 59 ? index : index + 1;
      sums[slot] = (sums[slot] ?? 0) + mean;
      counts[slot] = (counts[slot] ?? 0) + 1;
    }
  return sums.map((_, slot) => {
    let sum = 0;
    let count = 0;
    for (let near = slot - 3; near <= slot + 3; near++) {
      sum += sums[(near + 366) % 366] ?? 0;
      count += counts[(near + 366) % 366] ?? 0;
    }
    return count === 0 ? null : sum / count;
  });
}

/**
 * Leaf-out by latitude alone: day of the year 26.3 + 2.18 latitude - 0.080 longitude (east positive), a fit of this
 * project to 333 site-years of camera green-up in the eastern United States, error 12.1 days. Height adds a day for
 * each 100 feet (Hopkins' law: 4 days for 400 feet) above 1000 feet, about the height of the sites: a default to edit.
 */
export function leafOutByLatitude(
  year: number,
  place: Place & { elevationFeet?: number | null },
): LeafOutEstimate {
  const aboveFeet = Math.max(0, (place.elevationFeet ?? 0) - 1000);
  const fitted = 26.3 + 2.18 * place.latitude - 0.08 * place.longitude + aboveFeet / 100;
  const dayOfYear = Math.min(180, Math.max(32, Math.round(fitted)));
  return {
    date: addDays(isoDate(`${year}-01-01`), dayOfYear - 1),
    errorDays: latitudeFitErrorDays,
    basis: 'latitude fit',
    daysOfSpringKnown: 0,
  };
}

export interface LeafOutQuestion {
  year: number;
  place: Place & { elevationFeet?: number | null };
  model: LeafOutModel;
  /** This year's daily means so far, index 0 = 1 January; null or past the end = not known. */
  dailyMeanC: readonly (number | null)[];
  /** Usual daily means, 366 figures (`usualDailyMeans`); empty or null where there is no history. */
  usualMeanC: readonly (number | null)[];
}

/**
 * Leaf-out of a year as far as it is known: this spring's temperatures where they are in, the usual ones for the rest. The
 * error shrinks in a straight line (a choice of ours) from 9 days before the model's first day to 4 days (or the model's
 * own error when larger) when every day up to leaf-out is in. Without temperatures, the fit by latitude.
 */
export function leafOutEstimate(question: LeafOutQuestion): LeafOutEstimate {
  const { year, place, model, dailyMeanC, usualMeanC } = question;
  const days = 337 + daysInMonth(year, 2);
  const filled = Array.from({ length: days }, (_, index) => {
    const slot = isLeapYear(year) || index < 59 ? index : index + 1;
    return dailyMeanC[index] ?? usualMeanC[slot] ?? null;
  });
  const date = leafOutOfYear(model, year, filled, place);
  if (date === null) return leafOutByLatitude(year, place);
  const from = firstIndex(model, year);
  const newYear = isoDate(`${year}-01-01`);
  let known = 0;
  let counted = 0;
  for (let index = from; addDays(newYear, index) <= date; index++) {
    counted += 1;
    if ((dailyMeanC[index] ?? null) !== null) known += 1;
  }
  const errorAtEnd = Math.min(
    errorDaysBeforeSpring,
    Math.max(errorDaysAfterSpring, model.errorDays),
  );
  const share = counted === 0 ? 0 : known / counted;
  return {
    date,
    errorDays: errorDaysBeforeSpring - (errorDaysBeforeSpring - errorAtEnd) * share,
    basis: known > 0 ? 'computed from this spring' : 'from past years',
    daysOfSpringKnown: known,
  };
}

/** The date of a species from that of the model: days after red oak, less those of the model's own species. */
export function forSpecies(date: IsoDate, model: LeafOutModel, species: LeafOutModel): IsoDate {
  return addDays(date, Math.round(species.afterRedOakDays - model.afterRedOakDays));
}

/**
 * Hopkins' bioclimatic law (1918): spring is 4 days later a degree north, 4 days a 5 degrees EAST, 4 days a 400 feet
 * (121.92 m) up. Coarse: the fit of this project finds half the latitude slope and no use of longitude. Days to add when
 * a date is carried from one place to another.
 */
export function hopkinsDays(
  from: Place & { elevationMetres: number },
  to: Place & { elevationMetres: number },
): number {
  return (
    4 * (to.latitude - from.latitude) +
    0.8 * (to.longitude - from.longitude) +
    (4 * (to.elevationMetres - from.elevationMetres)) / 121.92
  );
}
