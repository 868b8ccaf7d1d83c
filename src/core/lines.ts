import { addDays, type IsoDate, yearOf } from './dates.ts';
import type { Position } from './geometry.ts';
import { type AnchorName, type Anchors, anchorDate } from './seasons.ts';
import type { Source } from './sources.ts';

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

/** Whether a line has to be made: by its kind's row; without one roads and creeks need nothing. */
export function needsWork(kind: LineKind, kinds: readonly LineKindRule[]): boolean {
  const rule = kinds.find((row) => row.key === kind);
  return rule ? rule.needsWork : kind !== 'road' && kind !== 'creek';
}

/** What a kind of line needs and how long it holds; a row of the reference tables. */
export interface LineKindRule extends Source {
  key: LineKind;
  name: string;
  /** False: it is there without work (road, creek). */
  needsWork: boolean;
  /** Days that it holds from the day it was made; null = it stays good. */
  goodForDays: number | null;
  /** What ends it sooner, on the first such day after it was made. */
  staleOn: AnchorName[];
}

/**
 * Last day on which a line holds: as entered, else by its kind from the day it was made or found good, and no longer
 * than the day before what makes the kind stale. Null = it stays good, or was never made.
 */
export function lineGoodUntil(
  line: Pick<Line, 'kind' | 'readyOn' | 'goodUntil'>,
  kinds: readonly LineKindRule[],
  anchors: Anchors,
): IsoDate | null {
  const { readyOn } = line;
  if (line.goodUntil !== null) return line.goodUntil;
  const rule = kinds.find((row) => row.key === line.kind);
  if (!rule || readyOn === null) return null;
  const year = yearOf(readyOn);
  const ends = rule.staleOn.flatMap((anchor) => {
    const next = [year, year + 1]
      .map((one) => anchorDate(anchors, anchor, one))
      .find((date) => date > readyOn);
    return next ? [addDays(next, -1)] : [];
  });
  if (rule.goodForDays !== null) ends.push(addDays(readyOn, rule.goodForDays));
  return ends.sort()[0] ?? null;
}
