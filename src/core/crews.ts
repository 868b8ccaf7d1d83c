import type { DateRange } from './dates.ts';

/** People who work as one. */
export interface Crew {
  id: number;
  name: string;
  kind: 'home' | 'contract' | 'help';
  peopleCount: number;
  skills: string[];
  /** ISO weekdays worked, 1 Monday to 7 Sunday. */
  workdays: number[];
  /** Days off and training. */
  daysOff: DateRange[];
  /** Spans on site (a contract crew); null = all year. */
  onSpans: DateRange[] | null;
  /** Spans as entered, where signed bookings add theirs to `onSpans`; a form shows these. Never stored. */
  enteredSpans?: DateRange[];
  costPerDayUsd: number;
  /** Most days a week on one spread job, so that a burn day still fits beside it. */
  spreadDaysPerWeek: number;
}

/** Fields of a crew as changed; what is absent stays as it is. */
export type CrewChange = Partial<Omit<Crew, 'id' | 'kind' | 'skills'>>;

/** Shared thing that limits. */
export interface Gear {
  key: string;
  name: string;
  count: number;
  daysOff: DateRange[];
}
