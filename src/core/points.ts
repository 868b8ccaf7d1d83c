import type { MonthDay } from './dates.ts';
import type { Position } from './geometry.ts';
import { checkYearlySpan } from './leases.ts';
import type { Problem } from './problems.ts';
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

/** What is wrong with a point to protect as entered; empty = it can be stored. */
export function checkPoint(point: Omit<PointToProtect, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `point-${field}`, field, ref: point.name, message });
  const { position, bufferFeet, barsFamilies, unitIds } = point;
  if (point.name.trim() === '') say('name', 'Name: give the place a name.');
  if (!pointKinds.includes(point.kind)) say('kind', 'Kind: pick one from the list.');
  if (!(bufferFeet >= 0 && Number.isFinite(bufferFeet)))
    say('bufferFeet', 'Buffer: give feet from 0 up.');
  if (position !== null) {
    const [longitude, latitude] = position;
    if (!(Math.abs(longitude) <= 180 && Math.abs(latitude) <= 90))
      say('position', 'Position: give degrees of longitude, then latitude; west is negative.');
  }
  if (position === null && unitIds.length === 0)
    say('unitIds', 'Units: pick the units it is on, or give its position.');
  if (barsFamilies.length > 0 && unitIds.length === 0)
    say('unitIds', 'Units: pick the units on which it bars work.');
  checkYearlySpan(point, say);
  return problems;
}
