import type { IsoDate, MonthDay } from './dates.ts';
import type { Family } from './treatments.ts';

/** Somebody else's right on the land. Kept apart from law: its dates are an agreement. */
export interface Lease {
  id: number;
  propertyId: number;
  holder: string;
  contact: string;
  use: 'hunting' | 'grazing' | 'farming' | 'other';
  /** Units it covers; empty = the whole property. */
  unitIds: number[];
  from: IsoDate;
  /** Last day; null = open. */
  until: IsoDate | null;
  /** Families of work that it bars, in each year from `opens` to `closes` (both included); none = a note only. */
  barsFamilies: Family[];
  opens: MonthDay | null;
  closes: MonthDay | null;
  firmness: 'hard' | 'ask-first';
  /** What was agreed, e.g. "after 10 am", "call first". */
  rule: string;
}
