import type { IsoDate, MonthDay } from './dates.ts';
import type { Source } from './sources.ts';

/** A span of each year; both ends inside, may cross New Year. */
export interface YearSpan {
  opens: MonthDay;
  closes: MonthDay;
}

/** What a rule asks, as far as it can be worked out; a `statement` is only told. */
export type StateRuleTerms =
  | { kind: 'statement' }
  | {
      /** A permit is needed inside the span, near woods or grass, or over so many acres. */
      kind: 'permit';
      season: YearSpan | null;
      withinFeet: number | null;
      acresOver: number | null;
    }
  | {
      /** No burning in these hours of the day inside the spans, near woods, unless there is snow. */
      kind: 'barred-hours';
      seasons: YearSpan[];
      fromHour: number;
      untilHour: number;
      withinFeet: number;
      isLiftedBySnow: boolean;
    }
  | {
      /** A notice given not earlier and not later than so many hours before the first fire. */
      kind: 'notice';
      season: YearSpan | null;
      earliestHours: number | null;
      latestHours: number | null;
    };

/** A rule of a state on burning, as read on a day: an example to look up, never the law itself. */
export interface StateRule extends Source {
  key: string;
  name: string;
  state: string;
  text: string;
  terms: StateRuleTerms;
  /** Where it holds, when that is not the whole state; nobody but the user knows. */
  onlyWhere: string;
  asOf: string;
  /** Who to ask. */
  checkWith: string;
}

const holds = ({ opens, closes }: YearSpan, day: IsoDate): boolean => {
  const at = day.slice(5);
  return opens <= closes ? opens <= at && at <= closes : at >= opens || at <= closes;
};

const isIn = (seasons: readonly YearSpan[] | null, day: IsoDate) =>
  seasons === null || seasons.some((season) => holds(season, day));

/**
 * True when a rule asks for a permit on a day. Feet to the nearest woods or grass and acres burned; null = not known,
 * and what is not known counts as inside the rule.
 */
export function isPermitNeeded(
  rule: StateRule,
  day: IsoDate,
  { feetToWoods, areaAcres }: { feetToWoods: number | null; areaAcres: number | null },
): boolean {
  const { terms } = rule;
  if (terms.kind !== 'permit' || !isIn(terms.season && [terms.season], day)) return false;
  const { withinFeet, acresOver } = terms;
  if (withinFeet === null && acresOver === null) return true;
  const isNear = withinFeet !== null && (feetToWoods === null || feetToWoods <= withinFeet);
  const isLarge = acresOver !== null && (areaAcres === null || areaAcres > acresOver);
  return isNear || isLarge;
}

/** True when a rule bars burning at an hour of a day, local clock; an unknown distance counts as near. */
export function isHourBarred(
  rule: StateRule,
  day: IsoDate,
  hour: number,
  { feetToWoods, isSnow }: { feetToWoods: number | null; isSnow: boolean },
): boolean {
  const { terms } = rule;
  if (terms.kind !== 'barred-hours' || !isIn(terms.seasons, day)) return false;
  if (terms.isLiftedBySnow && isSnow) return false;
  const isNear = feetToWoods === null || feetToWoods <= terms.withinFeet;
  return isNear && terms.fromHour <= hour && hour < terms.untilHour;
}

/** How a notice stands that was given so many hours before the first fire of a day. */
export function noticeTiming(
  rule: StateRule,
  day: IsoDate,
  hoursBefore: number,
): 'not-asked' | 'in-time' | 'too-early' | 'too-late' {
  const { terms } = rule;
  if (terms.kind !== 'notice' || !isIn(terms.season && [terms.season], day)) return 'not-asked';
  if (terms.earliestHours !== null && hoursBefore > terms.earliestHours) return 'too-early';
  return terms.latestHours !== null && hoursBefore < terms.latestHours ? 'too-late' : 'in-time';
}

/** Rules of a state, in the order of their table. */
export function rulesOfState(rules: readonly StateRule[], state: string): StateRule[] {
  return rules.filter((rule) => rule.state === state);
}
