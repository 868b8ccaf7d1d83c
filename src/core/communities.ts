import type { Source } from './sources.ts';

/** Natural community with its default fire return interval, in years. */
export interface Community extends Source {
  key: string;
  name: string;
  /** Least and most years between fires; null where fire is not planned by default. */
  interval: { leastYears: number; targetYears: number; mostYears: number } | null;
  /**
   * Prescription that the block of a new unit starts with, by the fuel that carries its fire: our own judgement, a
   * default to edit. Null where fire is not planned by default.
   */
  prescriptionKey: string | null;
}
