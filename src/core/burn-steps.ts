import type { MonthDay } from './dates.ts';
import type { ReadinessKey } from './readiness-items.ts';
import type { Source } from './sources.ts';

/** How long before the day that a step is counted from; one of the three. */
export interface StepLead {
  months?: number;
  days?: number;
  hours?: number;
}

/** A step of the list before a burn, as a row of its table: what, when, and where it holds. */
export interface BurnStepRule extends Source {
  key: string;
  name: string;
  /** `span`: the first day of the span in which the burn is planned; `called-day`: the day that the boss calls. */
  countedFrom: 'span' | 'called-day';
  opens: StepLead;
  due: StepLead;
  /** True: too early or too late does not count (a notice of the law). */
  isHard: boolean;
  /** Done earlier than so many days before the burn, it has to be done again. */
  goodForDays: number;
  /** After the fire, not before it. */
  isAfterFire: boolean;
  /** Item of the readiness that lacks it; null = a reminder only. */
  readiness: ReadinessKey | null;
  /**
   * What on file answers it without a tap; null = only somebody's word. `contract`: asked only where a cost-share
   * contract pays for this burn.
   */
  answeredBy: ReadinessKey | 'planned' | 'contract' | null;
  /** Whom to tell or ask; empty = nobody. */
  toWhom: string;
  /** States that it holds in; null = everywhere. */
  states: string[] | null;
  /** Days of burns that it holds for; null = all year. */
  season: { opens: MonthDay; closes: MonthDay } | null;
  /** A condition that nobody but the user knows; empty = it always holds. */
  onlyIf: string;
  note: string;
  asOf: string;
}
