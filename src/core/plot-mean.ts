/** Mean of plots with the ends of its 95 % interval; no interval from fewer than two plots. */
export interface PlotMean {
  mean: number;
  low: number | null;
  high: number | null;
  plots: number;
}

/**
 * Upper 2.5 % points of Student's t for 1 to 30 degrees of freedom: NIST/SEMATECH e-Handbook of Statistical Methods,
 * section 1.3.6.7.2.
 */
const tByDegrees = [
  12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201, 2.179, 2.16, 2.145,
  2.131, 2.12, 2.11, 2.101, 2.093, 2.086, 2.08, 2.074, 2.069, 2.064, 2.06, 2.056, 2.052, 2.048,
  2.045, 2.042,
];

/** 97.5 % point of the normal distribution. */
const z = 1.959964;

/**
 * Student's t that leaves 2.5 % above it. Past the table by the first two terms of the series in 1/degrees
 * (Abramowitz and Stegun 1964, 26.7.5), which is right to a thousandth there.
 */
export function studentT(degrees: number): number {
  const listed = tByDegrees[degrees - 1];
  if (listed !== undefined) return listed;
  const first = (z ** 3 + z) / 4;
  const second = (5 * z ** 5 + 16 * z ** 3 + 3 * z) / 96;
  return z + first / degrees + second / degrees ** 2;
}

/**
 * Mean and its 95 % t interval. The lower end is never below `least`, the upper never above `most`: a weight is not
 * negative, a share not over 100 %. Null without plots.
 */
export function plotMean(
  values: readonly number[],
  least = 0,
  most = Number.POSITIVE_INFINITY,
): PlotMean | null {
  const plots = values.length;
  if (plots === 0) return null;
  const mean = values.reduce((sum, value) => sum + value, 0) / plots;
  if (plots === 1) return { mean, low: null, high: null, plots };
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  const half = studentT(plots - 1) * Math.sqrt(squares / (plots - 1) / plots);
  return { mean, low: Math.max(least, mean - half), high: Math.min(most, mean + half), plots };
}
