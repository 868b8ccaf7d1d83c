import { missingReading } from './history.ts';

/** New readings over older ones of the same year: a reading that the new year lacks stays as it was. */
export function mergedYear<T extends { year: number }>(older: T, newer: T): T {
  const merged: Record<string, unknown> = { ...older };
  for (const [name, column] of Object.entries(newer) as [string, unknown][]) {
    const before = merged[name];
    merged[name] =
      column instanceof Int16Array && before instanceof Int16Array
        ? column.map((value, at) => (value === missingReading ? before[at]! : value))
        : column;
  }
  return merged as T;
}

/** Each new year merged with the older one of its number, where there is one. */
export function mergedYears<T extends { year: number }>(
  older: readonly T[],
  newer: readonly T[],
): T[] {
  return newer.map((year) => {
    const before = older.find((one) => one.year === year.year);
    return before ? mergedYear(before, year) : year;
  });
}
