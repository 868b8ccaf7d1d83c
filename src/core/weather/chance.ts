/** Share of times something came about, with how far the true share may lie from it. */
export interface Chance {
  done: number;
  of: number;
  /** Ends of the Wilson 95 % interval, shares from 0 to 1. */
  low: number;
  high: number;
}

/** Two-sided 95 % point of the normal distribution. */
const z = 1.959964;

/**
 * `done` times out of `of`, with its Wilson 95 % score interval. Method: Wilson 1927, Journal of the American
 * Statistical Association 22, 209-212; its check values are in the tests. With nothing tried it is 0 to 1.
 */
export function chanceOf(done: number, of: number): Chance {
  if (of === 0) return { done: 0, of: 0, low: 0, high: 1 };
  const share = done / of;
  const scale = 1 + (z * z) / of;
  const centre = (share + (z * z) / (2 * of)) / scale;
  const half = (z / scale) * Math.sqrt((share * (1 - share)) / of + (z * z) / (4 * of * of));
  return { done, of, low: Math.max(0, centre - half), high: Math.min(1, centre + half) };
}

/** The value that a share of the list does not pass, by nearest rank (the 5th and the 37th of 41 for 0.1 and 0.9). */
export function percentile(values: readonly number[], share: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  const rank = Math.max(1, Math.ceil(share * sorted.length - 1e-9));
  return sorted[Math.min(rank, sorted.length) - 1] ?? 0;
}
