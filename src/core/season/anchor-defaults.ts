import { fromDay, isoDate, type MonthDay, monthDay, toDay } from '../dates.ts';
import type { Anchors } from '../seasons.ts';

/**
 * Usual anchors of a new property, all defaults to edit. Leaf-out by latitude: day of the year 26.3 + 2.18 a degree
 * north, computed from 333 site-years of camera green-up in the eastern United States (error about 12 days). Leaf fall,
 * green-up and warm-season start are our own judgement for the Ozarks and Central Hardwoods.
 */
export function usualAnchors(latitude: number): Anchors {
  const dayOfYear = Math.min(180, Math.max(32, Math.round(26.3 + 2.18 * latitude)));
  const leafOut = fromDay(toDay(isoDate('2027-01-01')) + dayOfYear - 1).slice(5);
  return {
    usual: {
      'leaf-out': leafOut as MonthDay,
      'leaf-fall': monthDay('11-01'),
      'green-up': monthDay('03-15'),
      'warm-season-start': monthDay('05-01'),
    },
    byYear: [],
  };
}
