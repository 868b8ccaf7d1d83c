import type { Source } from '../sources.ts';
import type { Aspect } from '../units.ts';

export interface DryingSite {
  /** Null = level. */
  aspect: Aspect | null;
  /** Null = level. */
  slopePercent: number | null;
  canopyPercent: number;
  fuel: 'grass' | 'litter';
}

export type Exposure = 'sunny' | 'level' | 'shady';

/** A row of the drying table: days after rain until fine fuel of a site is dry enough to try. */
export interface DryingDays extends Source {
  key: string;
  name: string;
  fuel: 'grass' | 'litter';
  exposure: Exposure;
  /** 12 figures, January first; 1 = the day after rain. */
  daysByMonth: number[];
  /** Added under a canopy of 80 percent or more. */
  denseCanopyDays: number;
  /** Added after an inch of rain or more. */
  heavyRainDays: number;
}

/** Slopes under this count as level. */
const slopePercentThatMatters = 10;
const denseCanopyPercent = 80;
/** Less rain than this in a day does not get through: common practice, no source. */
const rainInchesThatWets = 0.02;
/** Under a tenth of an inch half of the days do: common practice calls a tenth a wetting rain, no source. */
export const wettingRainInches = 0.1;
const heavyRainInches = 1;

/** South, southwest and west slopes are sunny, north and northeast shady, everything else as level ground. */
export function exposureOf(site: Pick<DryingSite, 'aspect' | 'slopePercent'>): Exposure {
  if (site.aspect === null || (site.slopePercent ?? 0) < slopePercentThatMatters) return 'level';
  if (['S', 'SW', 'W'].includes(site.aspect)) return 'sunny';
  return ['N', 'NE'].includes(site.aspect) ? 'shady' : 'level';
}

/**
 * Days that must pass after a day with `rainInches` before fine fuel of the site is dry enough to try: 0 = the same day,
 * 1 = the day after. A default to edit by site, month and rain; the practice behind it (south and west slopes and grass 1
 * to 2 days, north-slope litter 3 to 5, in January maybe never) is common practice without a document. The fuel check on
 * the site decides. Throws RangeError when the table lacks the site's row.
 */
export function dryDaysNeeded(
  rows: readonly DryingDays[],
  site: DryingSite,
  month: number,
  rainInches: number,
): number {
  if (rainInches < rainInchesThatWets) return 0;
  const exposure = exposureOf(site);
  const row = rows.find((one) => one.fuel === site.fuel && one.exposure === exposure);
  const days = row?.daysByMonth[month - 1];
  if (!row || days === undefined)
    throw new RangeError(`no drying days for ${site.fuel}, ${exposure}, month ${month}`);
  const underCanopy = days + (site.canopyPercent >= denseCanopyPercent ? row.denseCanopyDays : 0);
  if (rainInches < wettingRainInches) return Math.ceil(underCanopy / 2);
  return underCanopy + (rainInches >= heavyRainInches ? row.heavyRainDays : 0);
}

/**
 * Whether a day is dry enough for the site after the rain of the days before it. `rainInchesBack[0]` is the day itself (its
 * hours up to the burn), `[1]` the day before, and so on. Rain that wets counts day by day, so the longest wait rules.
 * Null = a day without a reading may still be keeping the site wet; an unknown day counts as a wetting rain.
 */
export function isDryAfterRain(
  rows: readonly DryingDays[],
  site: DryingSite,
  month: number,
  rainInchesBack: readonly (number | null)[],
): boolean | null {
  let isDry: boolean | null = true;
  for (const [daysBack, rain] of rainInchesBack.entries()) {
    if (dryDaysNeeded(rows, site, month, rain ?? wettingRainInches) <= daysBack) continue;
    if (rain !== null) return false;
    isDry = null;
  }
  return isDry;
}

/** Days of rain that `isDryAfterRain` may need to look back over, the day itself included. */
export function daysToLookBack(rows: readonly DryingDays[]): number {
  return Math.max(
    1,
    ...rows.map((row) => Math.max(...row.daysByMonth) + row.denseCanopyDays + row.heavyRainDays),
  );
}
