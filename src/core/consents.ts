import type { IsoDate } from './dates.ts';
import type { Family } from './treatments.ts';

/** A written yes: of the landowner by kind of work, or of a neighbour for a fire that crosses the boundary. */
export interface Consent {
  id: number;
  propertyId: number;
  /** Units it covers; empty = the whole property. */
  unitIds: number[];
  families: Family[];
  givenBy: string;
  isNeighbour: boolean;
  from: IsoDate;
  /** Last day. */
  until: IsoDate;
  note: string;
}
