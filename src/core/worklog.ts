import type { IsoDate } from './dates.ts';

/** A fact: what was done. Facts may break rules; they are never moved by the scheduler. */
export interface WorkEntry {
  id: number;
  unitId: number;
  treatmentKey: string;
  /** Task it answers; null for history. */
  taskKey: string | null;
  startedOn: IsoDate | null;
  /** Last day. With `precision` month or year: the first day of that month or year. */
  doneOn: IsoDate;
  precision: 'day' | 'month' | 'year';
  outcome: 'done' | 'partly' | 'not-possible' | 'under-way';
  /** Why not possible, or what is left. */
  reason: string;
  areaAcres: number | null;
  crewDays: number | null;
  personHours: number | null;
  /** Fires only: share of the unit that went black; null = not noted, counts as whole. */
  shareBlackPercent: number | null;
  /** Fires only: planned, wild, or a neighbour's. */
  fireCause: 'planned' | 'wild' | 'neighbour' | null;
  /** Burns only: last day of watch; null = still open. */
  signedOutOn: IsoDate | null;
  note: string;
}
