import type { Source } from '../sources.ts';

/** Inclusive limits; null = no limit. */
export interface Limits {
  least: number | null;
  most: number | null;
}

/**
 * Ranges of weather inside which a block may be burned. Hours are local standard time (no summer time):
 * `fromHour` 11 and `toHour` 15 are the observations of 11, 12, 13, 14 and 15 h.
 */
export interface Prescription extends Source {
  key: string;
  name: string;
  /** Count for the scheduler's supply, or only a check of the counting. */
  use: 'work' | 'check';
  temperatureF: Limits;
  rhPercent: Limits;
  /** Wind as observed at 10 m, miles an hour. */
  windMph: Limits;
  fromHour: number;
  toHour: number;
  hoursInRow: number;
  /** Days since the last wetting rain; 0 = no rule. */
  dryDaysBefore: number;
  /** Rain in a day that starts the count again, inches. */
  wettingRainInches: number;
  /** Rain (or trace) in an hour ends the run of hours. */
  rainEndsRun: boolean;
  missingRain: 'dry' | 'unknown';
  /** Gusts at 10 m, miles an hour; absent = no limit. */
  gustMph?: Limits;
  /** Fine dead fuel moisture, percent of dry weight, by the block's aspect, slope, canopy and the month; absent = no limit. */
  fineFuelMoisturePercent?: Limits;
  /** Most snow on the ground, inches; absent = no limit. */
  snowInchesMost?: number | null;
  /** Gusts and lowest humidity of the day after, between 8 and 20 h; null or absent = not asked for. */
  quietNextDay?: { gustMphMost: number; rhPercentLeast: number } | null;
  /** Height that `windMph` is meant at: as observed at 10 m (absent), at 20 feet, or at eye level in the stand. */
  windHeight?: '10-m' | '20-ft' | 'in-stand';
  note: string;
}
