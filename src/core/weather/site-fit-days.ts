import { halfMonthOf } from '../seasons.ts';
import { type FitDayFollowers, followersOf } from './fit-day-figures.ts';
import {
  type DayVerdict,
  dayJudge,
  type FitDayRule,
  hasEveryMonth,
  prescriptionRule,
  rainByDay,
  type StationClock,
  yearSpans,
} from './fit-days.ts';
import type { DailyYear, WeatherYear } from './history.ts';
import { hoursOfHistory } from './hours.ts';

/** Days of one year at one kind of site. */
export interface SiteYear {
  year: number;
  /** 24 half-months, 1-15 January first. */
  fitDays: number[];
  unknownDays: number[];
  /** False when the year has no observation in some month. */
  isWholeYear: boolean;
}

/** What was counted for one kind of site under one prescription at one station. */
export interface SiteFitDays {
  years: SiteYear[];
  followers: FitDayFollowers;
}

/** Counts several rules of one station; what they share (rain of days, the prescription alone) is worked out once. */
export interface SiteCounter {
  /** Yields after each year, so that the caller can do other work between; its last value is the count. */
  count(rule: FitDayRule): Generator<number, SiteFitDays>;
}

function siteYear(year: WeatherYear, verdicts: readonly DayVerdict[]): SiteYear {
  const days = (kind: DayVerdict['verdict']) => {
    const halves = Array<number>(24).fill(0);
    for (const { date, verdict } of verdicts) {
      const slot = halfMonthOf(date) - 1;
      if (verdict === kind) halves[slot] = (halves[slot] ?? 0) + 1;
    }
    return halves;
  };
  return {
    year: year.year,
    fitDays: days('fit'),
    unknownDays: days('unknown'),
    isWholeYear: hasEveryMonth(year),
  };
}

/**
 * Fit days of blocks by the weather of one station. A block only adds limits to its prescription, so that a day which the
 * prescription alone rules out is not looked at again.
 */
export function siteCounter(
  years: readonly WeatherYear[],
  dailyYears: readonly DailyYear[],
  clock: StationClock,
): SiteCounter {
  const weather = hoursOfHistory(years, dailyYears, clock.standardOffsetMinutes);
  const rainOfDay = rainByDay(weather, clock);
  const alone = new Map<string, Map<number, DayVerdict>>();
  return {
    *count(rule) {
      const { prescription } = rule;
      // Fine fuel moisture needs the ground; the prescription alone cannot rule a day out by it, only leave it open.
      const text = JSON.stringify(prescription);
      const ruledOut = alone.get(text) ?? new Map<number, DayVerdict>();
      alone.set(text, ruledOut);
      const judgeAlone = dayJudge(prescriptionRule(prescription), weather, clock, rainOfDay);
      const judgeSite = dayJudge(rule, weather, clock, rainOfDay);
      const verdicts: DayVerdict[] = [];
      const found: SiteYear[] = [];
      for (const { year, from, to } of yearSpans(years)) {
        for (let day = from; day < to; day++) {
          const first = ruledOut.get(day) ?? judgeAlone(day);
          ruledOut.set(day, first);
          verdicts.push(first.verdict === 'unfit' ? first : judgeSite(day));
        }
        const own = verdicts.slice(from - to);
        found.push(siteYear(year, own));
        yield year.year;
      }
      return { years: found, followers: followersOf(verdicts) };
    },
  };
}

/** The whole count at once. */
export function countSite(counter: SiteCounter, rule: FitDayRule): SiteFitDays {
  const steps = counter.count(rule);
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}
