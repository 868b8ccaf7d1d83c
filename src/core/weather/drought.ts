/**
 * Keetch-Byram drought index: 0 (soil full) to 800 (8 inches short), in hundredths of an inch. Equations with the
 * corrected constants (the 1968 report prints 0.830 for 8.30; Alexander 1990), from memory.
 */
export interface DroughtDay {
  highF: number;
  rainInches: number;
}

/** Rain at the start of a run of rainy days that does not reach the soil, inches. */
const interceptedInches = 0.2;

/** What a day dries, in index points, from the index after its rain; 0 at 50 °F and below. */
export function droughtPointsOfDay(index: number, highF: number, annualRainInches: number): number {
  if (highF <= 50) return 0;
  const heat = 0.968 * Math.exp(0.0486 * highF) - 8.3;
  return ((800 - index) * heat) / 1000 / (1 + 10.88 * Math.exp(-0.0441 * annualRainInches));
}

/** Index at the end of each day, from the index before the first. A run of rain begins anew with the first day. */
export function droughtIndex(
  days: readonly DroughtDay[],
  annualRainInches: number,
  startIndex: number,
): number[] {
  let index = startIndex;
  let runInches = 0;
  return days.map(({ highF, rainInches }) => {
    const before = Math.max(0, runInches - interceptedInches);
    runInches = rainInches > 0 ? runInches + rainInches : 0;
    const netInches = rainInches > 0 ? Math.max(0, runInches - interceptedInches) - before : 0;
    index = Math.max(0, index - 100 * netInches);
    index = Math.min(800, index + droughtPointsOfDay(index, highF, annualRainInches));
    return index;
  });
}
