import type { Source } from '../sources.ts';
import type { Aspect } from '../units.ts';

/** A row of Table A: reference fuel moisture of a band of temperature. */
export interface ReferenceMoisture extends Source {
  key: string;
  name: string;
  /** Lowest temperature of the band; the band ends where the next begins. */
  temperatureFLeast: number;
  /** Percent for humidity 0-4, 5-9, ... 95-99 and 100: 21 figures. */
  percentByRh: number[];
}

/** A row of Tables B, C and D: what the month, the shade, the slope and the time of day add. */
export interface MoistureCorrection extends Source {
  key: string;
  name: string;
  /** 1 to 12. */
  months: number[];
  /** Shaded: half of the fuel or more, by canopy and cloud. */
  shade: 'exposed' | 'shaded';
  aspect: 'N' | 'E' | 'S' | 'W';
  /** Gentle: to 30 percent. */
  slope: 'gentle' | 'steep' | 'any';
  /**
   * Percent points from 8, 10, 12, 14, 16 and 18 h; each: site 1000 to 2000 feet below the weather station, within
   * 1000 feet of its height, 1000 to 2000 feet above.
   */
  addByTime: [number, number, number][];
}

export interface FineFuelTables {
  fineFuelMoisture: readonly ReferenceMoisture[];
  fineFuelCorrections: readonly MoistureCorrection[];
}

/** Air and ground of one hour. */
export interface FineFuelConditions {
  temperatureF: number;
  rhPercent: number;
  /** 1 to 12. */
  month: number;
  /** Whole hour, local standard time. */
  hour: number;
  /** `flat` and not known (null) count as gentle south, as handbooks take level ground. */
  aspect: Aspect | null;
  /** Null = gentle. */
  slopePercent: number | null;
  isShaded: boolean;
  /** Height of the site against the weather station; level (within 1000 feet) when absent. */
  height?: 'below' | 'level' | 'above';
}

/**
 * Whether canopy shades half of the fine fuel or more. A deciduous canopy counts only between leaf-out and leaf fall
 * (a leafless oak woodland is exposed); evergreen canopy counts all year.
 */
export function isShadedByCanopy(
  canopyPercent: number,
  isLeafOn: boolean,
  isEvergreen = false,
): boolean {
  return canopyPercent >= 50 && (isLeafOn || isEvergreen);
}

const aspectsBetween: Record<Aspect, ('N' | 'E' | 'S' | 'W')[]> = {
  N: ['N'],
  NE: ['N', 'E'],
  E: ['E'],
  SE: ['S', 'E'],
  S: ['S'],
  SW: ['S', 'W'],
  W: ['W'],
  NW: ['N', 'W'],
  flat: ['S'],
};

function referencePercent(
  rows: readonly ReferenceMoisture[],
  temperatureF: number,
  rhPercent: number,
): number | null {
  const bands = [...rows].sort((a, b) => a.temperatureFLeast - b.temperatureFLeast);
  // Bands are of whole degrees; colder than the table takes its coldest band.
  const degrees = Math.round(temperatureF);
  const band = bands.findLast((row) => row.temperatureFLeast <= degrees) ?? bands[0];
  const column = Math.min(20, Math.max(0, Math.floor(rhPercent / 5)));
  return band?.percentByRh[column] ?? null;
}

function correctionPoints(
  rows: readonly MoistureCorrection[],
  aspect: 'N' | 'E' | 'S' | 'W',
  at: FineFuelConditions,
): number | null {
  const slope = (at.slopePercent ?? 0) > 30 ? 'steep' : 'gentle';
  const row = rows.find(
    (one) =>
      one.months.includes(at.month) &&
      one.shade === (at.isShaded ? 'shaded' : 'exposed') &&
      one.aspect === aspect &&
      (one.slope === 'any' || one.slope === slope),
  );
  const column = { below: 0, level: 1, above: 2 }[at.height ?? 'level'];
  return row?.addByTime[Math.floor((at.hour - 8) / 2)]?.[column] ?? null;
}

/**
 * Fine (1-hour) dead fuel moisture, percent of dry weight, by the tables of the handbook procedure (NWCG PMS 437;
 * Rothermel 1983, after Fosberg and Deeming 1971): reference moisture by temperature and humidity plus a correction.
 * The cells are from memory: check against print. By day only, hours 8 to 19; null at night, for which there are no
 * tables here, and where the tables lack the row. Between two aspects the mean, rounded up to the moister point.
 * Good to about 1 point. Rain is not in it: ask `dryDaysNeeded` too.
 */
export function fineFuelMoisturePercent(
  tables: FineFuelTables,
  at: FineFuelConditions,
): number | null {
  if (at.hour < 8 || at.hour >= 20) return null;
  const reference = referencePercent(tables.fineFuelMoisture, at.temperatureF, at.rhPercent);
  if (reference === null) return null;
  let sum = 0;
  const aspects = aspectsBetween[at.aspect ?? 'flat'];
  for (const aspect of aspects) {
    const points = correctionPoints(tables.fineFuelCorrections, aspect, at);
    if (points === null) return null;
    sum += points;
  }
  return reference + Math.ceil(sum / aspects.length);
}

/**
 * Equilibrium moisture of fine dead fuel, percent, by the regressions of Simard 1968 as used by Fosberg and by Cohen and
 * Deeming 1985 (PSW-GTR-82); coefficients read on a university copy of the fire weather index definition. They step by
 * half a point at 50 percent humidity.
 */
export function equilibriumMoisturePercent(temperatureF: number, rhPercent: number): number {
  const [t, h] = [temperatureF, rhPercent];
  if (h < 10) return 0.03229 + 0.281073 * h - 0.000578 * h * t;
  if (h < 50) return 2.22749 + 0.160107 * h - 0.01478 * t;
  return 21.0606 + 0.005565 * h * h - 0.00035 * h * t - 0.483199 * h;
}

/**
 * Equilibrium moisture of wood, percent, by the sorption equation of Hailwood and Horrobin with the constants of the
 * Wood Handbook (USDA Forest Products Laboratory), constants from memory; for limbs and logs.
 */
export function woodEquilibriumPercent(temperatureF: number, rhPercent: number): number {
  const t = temperatureF;
  const h = Math.min(100, Math.max(0, rhPercent)) / 100;
  const w = 330 + 0.452 * t + 0.00415 * t * t;
  const k = 0.791 + 0.000463 * t - 0.000000844 * t * t;
  const k1 = 6.34 + 0.000775 * t - 0.0000935 * t * t;
  const k2 = 1.09 + 0.0284 * t - 0.0000904 * t * t;
  const kh = k * h;
  const wet = k1 * kh + 2 * k1 * k2 * kh * kh;
  return (1800 / w) * (kh / (1 - kh) + wet / (1 + k1 * kh + k1 * k2 * kh * kh));
}

/**
 * Moisture of fuel that the sun warms above the air, percent, after Cohen and Deeming 1985 (PSW-GTR-82), from memory:
 * by state of weather 0 (clear), 1, 2 and 3 (overcast) the fuel surface is 25, 19, 12 and 5 °F warmer with 0.75, 0.83,
 * 0.91 and 1.00 of the humidity; 1-hour fuel 1.03, 10-hour fuel 1.28 times the equilibrium. On a wet day both are 35.
 */
export function sunWarmedFuelPercent(
  temperatureF: number,
  rhPercent: number,
  stateOfWeather: 0 | 1 | 2 | 3,
  isWet: boolean,
): { oneHourPercent: number; tenHourPercent: number } {
  if (isWet) return { oneHourPercent: 35, tenHourPercent: 35 };
  const warmerF = [25, 19, 12, 5][stateOfWeather] ?? 5;
  const rhShare = [0.75, 0.83, 0.91, 1][stateOfWeather] ?? 1;
  const equilibrium = equilibriumMoisturePercent(temperatureF + warmerF, rhPercent * rhShare);
  return { oneHourPercent: 1.03 * equilibrium, tenHourPercent: 1.28 * equilibrium };
}
