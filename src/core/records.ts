import type { Block } from './blocks.ts';
import type { Booking } from './bookings.ts';
import type { Community } from './communities.ts';
import type { Consent } from './consents.ts';
import type { CostShareContract } from './contracts.ts';
import type { Crew, Gear } from './crews.ts';
import type { GrazingSpan } from './grazing.ts';
import type { Lease } from './leases.ts';
import type { Line, LineKindRule } from './lines.ts';
import type { MapLayer } from './map-layers.ts';
import type { TileService } from './map-tiles.ts';
import type { Approval, NoWorkSpan } from './no-work.ts';
import type { OwnRate } from './own-rates.ts';
import type { Person } from './people.ts';
import type { PlanElement } from './plan-elements.ts';
import type { PointToProtect } from './points.ts';
import type { Problem } from './problems.ts';
import type { Holiday, Landowner, Property } from './properties.ts';
import type { Sequence } from './sequences.ts';
import type { Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { OwnerLetter, PhotoPoint, Visit } from './visits.ts';
import type { Station } from './weather/history.ts';
import type { Prescription } from './weather/prescriptions.ts';

/** Rows that are the user's own, by noun: entered, changed, retired and brought back. */
export interface LandRows {
  landowner: Landowner;
  property: Property;
  unit: Unit;
  block: Block;
  line: Line;
  point: PointToProtect;
  lease: Lease;
  grazing: GrazingSpan;
  consent: Consent;
  contract: CostShareContract;
  ownRate: OwnRate;
  crew: Crew;
  person: Person;
  booking: Booking;
  gear: Gear;
  holiday: Holiday;
  approval: Approval;
  visit: Visit;
  photoPoint: PhotoPoint;
  ownerLetter: OwnerLetter;
  station: Station;
  mapLayer: MapLayer;
  planElement: PlanElement;
  tileService: TileService;
}

/** Rows of the reference tables: changed, added, and taken back to what was published. */
export interface LibraryRows {
  community: Community;
  treatment: Treatment;
  sequence: Sequence;
  noWork: NoWorkSpan;
  prescription: Prescription;
  lineKind: LineKindRule;
}

export interface RecordRows extends LandRows, LibraryRows {}

export type Noun = keyof RecordRows;
export type LibraryNoun = keyof LibraryRows;

/** Number of a row, or its key or name where it has no number. */
export type RowId = number | string;

/** What came of a change. `breaks`: nothing was saved yet, since planned tasks would break rules by it. */
export type ChangeAnswer =
  | { kind: 'saved'; id: RowId }
  | { kind: 'refused'; problems: Problem[] }
  | { kind: 'breaks'; problems: Problem[] };

/** A row out of use, with its name for a list. */
export interface RetiredRow {
  noun: Noun;
  id: RowId;
  name: string;
  retiredAt: string;
}
