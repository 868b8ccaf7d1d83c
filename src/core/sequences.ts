import type { BurnRotation } from './rotation.ts';
import type { Source } from './sources.ts';

/** Length of a lag; every part given must be met. */
export interface LagLength {
  days?: number;
  growingSeasons?: number;
  burningSeasons?: number;
  /** Calendar years, for targets and use-by. */
  years?: number;
}

/** Time from the last day of `after` to the first day of this step. 0 days = same day. */
export interface Lag {
  afterStepKey: string;
  /** `previous`: the step of the cycle before. */
  cycle: 'same' | 'previous';
  /** `rotation`: least, target and most come from the block's burn rotation instead. */
  kind: 'fixed' | 'rotation';
  /** Hard. */
  least: LagLength;
  /** Soft wish: later than this is late. */
  target: LagLength | null;
  most: LagLength | null;
  mostIsHard: boolean;
  /**
   * `needs`: this step may be done only if the other one is. `both`: both or neither (line and burn).
   */
  link: 'needs' | 'both';
}

/** One treatment in a sequence. */
export interface Step {
  key: string;
  name: string;
  /** First = default; the others are modes of the same step (a late-season burn for a dormant one). */
  treatmentKeys: string[];
  /** `first`: only in cycle 1; `later`: from cycle 2 on; `every`: in each cycle. */
  cycles: 'first' | 'later' | 'every';
  lags: Lag[];
  /**
   * Key of a step of the same cycle whose day fixes this one (second line pass, patrol): no dates of its own
   * before the call; `tiedDays` is its offset from that day (-1 the day before, 0 same day, 1 next day).
   */
  tiedTo: string | null;
  tiedDays: number;
  /** Share of the unit's acres that the step covers, 1 = all. */
  shareOfAcres: number;
  note: string;
}

/** A block's ordered treatments; the repeat is counted in cycles. */
export interface Sequence extends Source {
  key: string;
  name: string;
  purpose: string;
  phase: 'restoration' | 'maintenance' | 'none';
  /** Interval of this phase; null = by natural community (or no fire in the sequence). */
  rotation: BurnRotation | null;
  /** 3 = thirds: parts a, b, c run the same cycle one year apart, each on a third of the acres. */
  partsCount: number;
  /** What makes the next cycle due: years from the last `stepKey` (rotation = the block's burn target). */
  repeat: { kind: 'rotation' | 'years' | 'none'; stepKey: string; years: number };
  steps: Step[];
}
