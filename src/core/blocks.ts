import type { IsoDate } from './dates.ts';
import type { BurnRotation } from './rotation.ts';

/** One or more units lit together: one plan, one outer line. The sequence of work hangs on the block. */
export interface Block {
  id: number;
  propertyId: number;
  code: string;
  name: string;
  sequenceKey: string | null;
  /** Facts on or after this day count as steps of the sequence; earlier ones only for the rotation. */
  sequenceStartsOn: IsoDate | null;
  /** Cycle the block starts in: 1 runs the first-cycle steps, 2 and more skip them. */
  firstCycle: number;
  /** The block's own interval; null = by sequence phase, else by natural community. */
  rotation: BurnRotation | null;
  /** No fire before 1 July of this year, and why; not overdue meanwhile. */
  heldUntilYear: number | null;
  heldReason: string;
  prescriptionKey: string | null;
  /** Least people on the burn. */
  burnPeopleLeast: number;
  readiness: Readiness;
}

/** What a burn of the block needs on file; null = not on file, so not ready. */
export interface Readiness {
  planSignedBy: string | null;
  planExpiresOn: IsoDate | null;
  consentUntil: IsoDate | null;
  noticesGivenOn: IsoDate | null;
  permitUntil: IsoDate | null;
  permitNotNeeded: boolean;
  fuelCheckedOn: IsoDate | null;
  peopleNamed: boolean;
}

/** Fields of a block as changed; what is absent stays as it is. */
export type BlockChange = Partial<Omit<Block, 'id' | 'propertyId'>>;
