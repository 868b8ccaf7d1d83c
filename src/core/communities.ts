import type { Source } from './sources.ts';

/** Natural community with its default fire return interval, in years. */
export interface Community extends Source {
  key: string;
  name: string;
  /** Least and most years between fires; null where fire is not planned by default. */
  interval: { leastYears: number; targetYears: number; mostYears: number } | null;
}
