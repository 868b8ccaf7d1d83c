import type { Source } from './sources.ts';

/** A published or usual range of a measure, to hold a figure against. No target: land and years differ. */
export interface Yardstick extends Source {
  key: string;
  name: string;
  /** Key of the series that it belongs beside, such as `forage-browse`. */
  series: string;
  low: number;
  high: number;
  unit: string;
  /** Where and when it was found. */
  note: string;
}
