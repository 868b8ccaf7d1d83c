import type { IsoDate } from './dates.ts';
import type { WindowEnd } from './seasons.ts';
import type { Source } from './sources.ts';
import type { Family } from './treatments.ts';

/** Span of each year in which named work is barred. Both ends inclusive; may cross New Year. */
export interface NoWorkSpan extends Source {
  key: string;
  name: string;
  /** State code, or null for a rule of one property. */
  state: string | null;
  propertyId: number | null;
  reason: string;
  authority: 'law' | 'contract' | 'owner' | 'own-rule';
  firmness: 'hard' | 'ask-first';
  opens: WindowEnd;
  closes: WindowEnd;
  /** Year of the source. */
  asOf: string;
  applies: {
    families: Family[] | null;
    treatmentKeys: string[] | null;
    /** Every tag must be on the unit. */
    unitTags: string[];
    /** Bars work on stems of more than this many inches dbh; null = any. */
    stemInchesOver: number | null;
    /** At least one must be among the treatment's species groups; empty = any. */
    speciesGroups: string[];
    /** Only contracts signed in this span; null = any. */
    contractFrom: IsoDate | null;
    contractTo: IsoDate | null;
    /** Only these units; absent = all that the tags allow. */
    unitIds?: number[];
  };
  /** First and last day of the years it holds for; absent or null = open. */
  holdsFrom?: IsoDate | null;
  holdsUntil?: IsoDate | null;
  /** Row of the land that it follows from; absent for a row of the reference table. */
  madeFrom?: { noun: 'lease' | 'grazing' | 'point'; id: number };
}

/** An approval on file lifts an ask-first span for a unit. */
export interface Approval {
  noWorkKey: string;
  unitId: number;
  from: IsoDate;
  until: IsoDate;
  grantedBy: string;
}
