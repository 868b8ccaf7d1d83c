import type { Rate, Treatment } from './treatments.ts';
import type { DensityClass } from './units.ts';

/** What a job is measured by. */
export interface JobSize {
  areaAcres: number;
  /** Feet of line that have to be made or cleared. */
  lineFeet: number;
  /** Null = not noted, taken as moderate. */
  densityClass: DensityClass | null;
  crewPeople: number;
  /** Points or stations of a survey; default 1. */
  points?: number;
}

/** Machine-hours that get done in one day: 8 h on site less set-up. Our own judgement. */
const machineHoursADay = 7;

function amountOf(rate: Rate, densityClass: DensityClass | null): number {
  return typeof rate.amount === 'number' ? rate.amount : rate.amount[densityClass ?? 'moderate'];
}

function quantityOf(rate: Rate, size: JobSize): number {
  if (rate.basis === 'acre') return size.areaAcres;
  return rate.basis === 'line-foot' ? size.lineFeet : (size.points ?? 1);
}

/** Tenths of a crew day, rounded up to half days; a hair of floating point does not cost half a day. */
function toHalfDays(crewDays: number): number {
  return Math.ceil(crewDays * 2 - 1e-9) * 5;
}

/**
 * Crew days that one crew needs for a job, in tenths, rounded up to half crew days because crews are indivisible.
 * 0 when there is nothing to do. Throws RangeError for a rate or a crew of zero.
 */
export function workNeed(treatment: Pick<Treatment, 'key' | 'rate'>, size: JobSize): number {
  const { rate } = treatment;
  const amount = amountOf(rate, size.densityClass);
  if (!(amount > 0)) throw new RangeError(`the rate of ${treatment.key} must be more than zero`);
  if (rate.basis === 'fixed') return toHalfDays(amount);
  const quantity = quantityOf(rate, size);
  if (quantity <= 0) return 0;
  if (rate.per === 'crew-day') return toHalfDays(quantity / amount);
  if (rate.per === 'machine-hour') return toHalfDays(quantity / amount / machineHoursADay);
  if (!(size.crewPeople > 0)) throw new RangeError(`the crew for ${treatment.key} has no people`);
  return toHalfDays(quantity / (amount * size.crewPeople));
}

/**
 * Mean years between fires of any severity from the mean years between replacement, mixed and surface fires
 * (null = that kind does not occur): frequencies add. Identity of the LANDFIRE biophysical-setting tables.
 * Throws RangeError when no kind of fire occurs.
 */
export function meanFireIntervalYears(intervalsYears: readonly (number | null)[]): number {
  const firesAYear = intervalsYears.reduce<number>(
    (sum, years) => sum + (years ? 1 / years : 0),
    0,
  );
  if (firesAYear === 0) throw new RangeError('no interval given');
  return 1 / firesAYear;
}

/** Acres to burn in a mean year so that the land burns once an interval. */
export function acresAYear(areaAcres: number, meanIntervalYears: number): number {
  return areaAcres / meanIntervalYears;
}

/** Most acres of a field in one year under a rule "one part of `parts` a year on fields from `fromAcres`"; null = no limit. */
export function yearlyPartAcres(
  areaAcres: number,
  parts: number,
  fromAcres: number,
): number | null {
  return areaAcres >= fromAcres ? areaAcres / parts : null;
}
