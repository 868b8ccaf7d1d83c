import type { IsoDate, MonthDay } from './dates.ts';
import type { Anchors } from './seasons.ts';

export interface Landowner {
  id: number;
  name: string;
  contact: string;
}

/** A piece of land with a place, a time zone, a state and county and its rules. */
export interface Property {
  id: number;
  landownerId: number;
  name: string;
  /** Two-letter state code; picks the no-work dates. */
  state: string;
  county: string;
  /** IANA name, e.g. `America/Chicago`; "today" is taken in it. */
  timeZone: string;
  latitude: number;
  longitude: number;
  /** First day of the burning season, default 07-01. */
  burningSeasonStart: MonthDay;
  /** End of the growing season, default 10-01. */
  growingSeasonEnd: MonthDay;
  anchors: Anchors;
  /** Neighbouring units of this property: what a burn in one season means for the other. */
  neighbourRule: NeighbourRule;
  isSample: boolean;
}

export type NeighbourRule = 'together' | 'no-matter' | 'apart';

/** Rule for one pair of neighbouring units that overrides the property's rule. */
export interface NeighbourPair {
  unitIds: [number, number];
  sharedFeet: number;
  rule: NeighbourRule | null;
}

/** A day with no work for any crew. */
export interface Holiday {
  date: IsoDate;
  name: string;
}
