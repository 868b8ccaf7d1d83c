import type { MonthDay } from './dates.ts';
import type { Position } from './geometry.ts';
import type { Family } from './treatments.ts';

export const pointKinds = [
  'den',
  'roost',
  'cave',
  'grave',
  'stand',
  'cabin',
  'water',
  'gate',
  'way-out',
  'smoke',
  'hazard',
  'other',
] as const;
export type PointKind = (typeof pointKinds)[number];

/** A place that work must spare, or that people on the ground must know: with its buffer, its dates and its rule. */
export interface PointToProtect {
  id: number;
  propertyId: number;
  name: string;
  kind: PointKind;
  /** Longitude before latitude, WGS 84; null = not mapped, then `unitIds` say where it is. */
  position: Position | null;
  /** Units that the rule holds for. */
  unitIds: number[];
  bufferFeet: number;
  /** Families of work that it bars, in each year from `opens` to `closes` (both included); none = a note only. */
  barsFamilies: Family[];
  opens: MonthDay | null;
  closes: MonthDay | null;
  firmness: 'hard' | 'ask-first';
  /** The rule as people say it, e.g. "burn only below 50 °F before 1 April". */
  rule: string;
}
