import type { IsoDate } from './dates.ts';
import type { Position } from './geometry.ts';

export const lineKinds = ['disked', 'mown', 'blown', 'road', 'creek', 'green', 'black'] as const;
export type LineKind = (typeof lineKinds)[number];

/** A stretch of firebreak. */
export interface Line {
  id: number;
  propertyId: number;
  name: string;
  kind: LineKind;
  lengthFeet: number;
  widthFeet: number | null;
  /** Units on its sides: one for an outer line, two for a shared one. */
  unitIds: number[];
  /** Day on which it was last made or found good; null = not made. */
  readyOn: IsoDate | null;
  /** Last day it is good; null = by its kind (roads and creeks stay good). */
  goodUntil: IsoDate | null;
  /** Its course, one or more stretches, longitude before latitude; null = not mapped. */
  path: Position[][] | null;
}

/** Roads and creeks need no work to hold. */
export function needsWork(kind: LineKind): boolean {
  return kind !== 'road' && kind !== 'creek';
}
