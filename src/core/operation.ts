import type { Block } from './blocks.ts';
import type { Booking } from './bookings.ts';
import type { BurnPaper } from './burn-papers.ts';
import type { BurnStepRule } from './burn-steps.ts';
import type { Community } from './communities.ts';
import type { Consent } from './consents.ts';
import type { CostShareContract } from './contracts.ts';
import type { Weights } from './costs.ts';
import type { Crew, Gear } from './crews.ts';
import type { FollowUpRule } from './follow-ups.ts';
import type { GrazingSpan } from './grazing.ts';
import type { Lease } from './leases.ts';
import type { Line, LineKindRule } from './lines.ts';
import type { MapLayer } from './map-layers.ts';
import type { TileService } from './map-tiles.ts';
import type { Approval, NoWorkSpan } from './no-work.ts';
import type { OwnRate } from './own-rates.ts';
import type { Person } from './people.ts';
import type { PlanElement } from './plan-elements.ts';
import type { HeldDates } from './plans.ts';
import type { PointToProtect } from './points.ts';
import type { Holiday, Landowner, NeighbourPair, Property } from './properties.ts';
import type { Sequence } from './sequences.ts';
import type { SheetTables } from './sheet-tables.ts';
import type { StateRule } from './state-rules.ts';
import type { Caution, Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { OwnerLetter, PhotoPoint, Visit } from './visits.ts';
import type { Prescription } from './weather/prescriptions.ts';
import type { FitDayTable, SupplySettings } from './weather/supply.ts';
import type { WorkEntry } from './worklog.ts';

/**
 * Everything the planner, the checker, the pages and the feeds look at: the land, the people, the rules
 * and the facts, as one read-only snapshot. Lists are sorted by id or key.
 */
export interface Operation {
  landowners: Landowner[];
  properties: Property[];
  units: Unit[];
  blocks: Block[];
  lines: Line[];
  neighbours: NeighbourPair[];
  points: PointToProtect[];
  mapLayers: MapLayer[];
  /** None or one. */
  tileServices: TileService[];
  leases: Lease[];
  grazing: GrazingSpan[];
  consents: Consent[];
  planElements: PlanElement[];
  contracts: CostShareContract[];
  /** Rates that were learned from the log and accepted, in order of acceptance. */
  ownRates: OwnRate[];
  people: Person[];
  bookings: Booking[];
  crews: Crew[];
  gear: Gear[];
  holidays: Holiday[];
  entries: WorkEntry[];
  visits: Visit[];
  photoPoints: PhotoPoint[];
  /** At most one a landowner. */
  ownerLetters: OwnerLetter[];
  approvals: Approval[];
  heldDates: HeldDates[];
  /** Steps done, calls, answers, checks and decisions about burns, oldest first. */
  papers: BurnPaper[];
  /** Library, with the user's edits already laid over it. */
  communities: Community[];
  treatments: Treatment[];
  sequences: Sequence[];
  noWork: NoWorkSpan[];
  cautions: Caution[];
  prescriptions: Prescription[];
  lineKinds: LineKindRule[];
  /** Steps before a burn, in order. */
  burnSteps: BurnStepRule[];
  /** Looks after a fire. */
  followUps: FollowUpRule[];
  /** Examples of state law to look up. */
  stateRules: StateRule[];
  sheetTables: SheetTables;
  /** One table a prescription of use `work`. */
  fitDays: FitDayTable[];
  settings: Settings;
}

export interface Settings {
  supply: SupplySettings;
  weights: Weights;
  /** Burning seasons planned after the present one, 0 to 4; default 2. */
  seasonsAfter: number;
  shareBlackPercentLeast: number;
}
