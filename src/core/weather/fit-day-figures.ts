import { monthOf, toDay } from '../dates.ts';
import type { DayVerdict } from './fit-days.ts';

/** Days that followed a day of one kind, and how many of them were fit. */
export interface Followers {
  days: number;
  fit: number;
}

/** Days by the month of the second day, January first: after a fit day and after an unfit one. */
export interface FitDayFollowers {
  afterFit: Followers[];
  afterUnfit: Followers[];
}

/**
 * How often a fit day follows a fit day, and an unfit one. Fit days come in spells, so the two differ much, and a count of days
 * a month says too little of when to stand ready. Pairs with an unknown day are left out; so are the edges of gaps.
 */
export function followersOf(verdicts: readonly DayVerdict[]): FitDayFollowers {
  const none = () => Array.from({ length: 12 }, (): Followers => ({ days: 0, fit: 0 }));
  const found: FitDayFollowers = { afterFit: none(), afterUnfit: none() };
  for (const [index, day] of verdicts.entries()) {
    const before = verdicts[index - 1];
    if (!before || toDay(before.date) + 1 !== toDay(day.date)) continue;
    if (before.verdict === 'unknown' || day.verdict === 'unknown') continue;
    const list = before.verdict === 'fit' ? found.afterFit : found.afterUnfit;
    const month = list[monthOf(day.date) - 1];
    if (!month) continue;
    month.days += 1;
    if (day.verdict === 'fit') month.fit += 1;
  }
  return found;
}

export function sumOfFollowers(lists: readonly Followers[]): Followers {
  return {
    days: lists.reduce((sum, one) => sum + one.days, 0),
    fit: lists.reduce((sum, one) => sum + one.fit, 0),
  };
}

/** Mean, and the counts that 1 and 9 years of 10 stay at or under. */
export interface Spread {
  mean: number;
  p10: number;
  p90: number;
}

/**
 * Spread of the counts of several years; the tenth and ninetieth per cent by nearest rank (the 5th and 37th of 41 years).
 * Null without years.
 */
export function spreadOf(counts: readonly number[]): Spread | null {
  if (counts.length === 0) return null;
  const rising = [...counts].sort((a, b) => a - b);
  const at = (share: number) =>
    rising[Math.max(1, Math.ceil(share * rising.length - 1e-9)) - 1] ?? 0;
  return {
    mean: rising.reduce((sum, count) => sum + count, 0) / rising.length,
    p10: at(0.1),
    p90: at(0.9),
  };
}
