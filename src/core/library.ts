import type { BurnStepRule } from './burn-steps.ts';
import type { Community } from './communities.ts';
import type { FollowUpRule } from './follow-ups.ts';
import type { LineKindRule } from './lines.ts';
import type { NoWorkSpan } from './no-work.ts';
import type { Operation } from './operation.ts';
import type { Sequence } from './sequences.ts';
import type { SheetTables } from './sheet-tables.ts';
import type { Source } from './sources.ts';
import type { StateRule } from './state-rules.ts';
import type { Caution, Treatment } from './treatments.ts';
import type { Prescription } from './weather/prescriptions.ts';
import type { WeatherTables } from './weather/tables.ts';
import type { WhatIf } from './what-if.ts';
import type { WorkDetail } from './work-details.ts';
import type { Yardstick } from './yardsticks.ts';

/** Fit days a month used where no weather history is loaded: 12 figures, January first. */
export interface FitDayDefault extends Source {
  prescriptionKey: string;
  monthly: number[];
}

/** The published reference tables of `shared/`, loaded and checked once at start. */
export interface Library {
  communities: Community[];
  treatments: Treatment[];
  sequences: Sequence[];
  noWork: NoWorkSpan[];
  cautions: Caution[];
  prescriptions: Prescription[];
  fitDayDefaults: FitDayDefault[];
  lineKinds: LineKindRule[];
  burnSteps: BurnStepRule[];
  followUps: FollowUpRule[];
  stateRules: StateRule[];
  sheetTables: SheetTables;
  weatherTables: WeatherTables;
  /** Ranges to hold measures of the land against. */
  yardsticks: Yardstick[];
}

/** The part of an operation that is the user's own: what the database holds and the sample land fills. */
export type LandContent = Pick<
  Operation,
  | 'landowners'
  | 'properties'
  | 'units'
  | 'blocks'
  | 'lines'
  | 'neighbours'
  | 'points'
  | 'mapLayers'
  | 'tileServices'
  | 'leases'
  | 'grazing'
  | 'consents'
  | 'planElements'
  | 'contracts'
  | 'ownRates'
  | 'people'
  | 'bookings'
  | 'crews'
  | 'gear'
  | 'holidays'
  | 'entries'
  | 'visits'
  | 'photoPoints'
  | 'ownerLetters'
  | 'approvals'
  | 'heldDates'
  | 'papers'
  | 'settings'
> & {
  /** What stands beside the entries; the sample brings it, and it is read back with `worklog.details`. */
  details?: WorkDetail[];
  /** What-ifs of the sample; they are no part of the operation. */
  whatIfs?: Pick<WhatIf, 'name' | 'changes'>[];
};
