import type { Block } from './blocks.ts';
import type { Booking } from './bookings.ts';
import type { Community } from './communities.ts';
import type { Consent } from './consents.ts';
import type { Weights } from './costs.ts';
import type { Crew, Gear } from './crews.ts';
import type { GrazingSpan } from './grazing.ts';
import type { Lease } from './leases.ts';
import type { Line, LineKindRule } from './lines.ts';
import type { Approval, NoWorkSpan } from './no-work.ts';
import type { Person } from './people.ts';
import type { HeldDates } from './plans.ts';
import type { PointToProtect } from './points.ts';
import type { Holiday, Landowner, NeighbourPair, Property } from './properties.ts';
import type { Sequence } from './sequences.ts';
import type { Caution, Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
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
  leases: Lease[];
  grazing: GrazingSpan[];
  consents: Consent[];
  people: Person[];
  bookings: Booking[];
  crews: Crew[];
  gear: Gear[];
  holidays: Holiday[];
  entries: WorkEntry[];
  approvals: Approval[];
  heldDates: HeldDates[];
  /** Library, with the user's edits already laid over it. */
  communities: Community[];
  treatments: Treatment[];
  sequences: Sequence[];
  noWork: NoWorkSpan[];
  cautions: Caution[];
  prescriptions: Prescription[];
  lineKinds: LineKindRule[];
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
