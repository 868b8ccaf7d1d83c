import type { IsoDate } from './dates.ts';
import type { BurnRoleFill } from './people.ts';
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
  /** What this block adds to its prescription, from its signed burn plan. */
  burnLimits: BurnLimits;
}

export const windSectors = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW'] as const;
export type WindSector = (typeof windSectors)[number];

/** Limits of one block; narrower than the prescription, never wider. */
export interface BurnLimits {
  /** Sectors that the wind may come from; null = any. A variable or missing direction is unknown. */
  windFrom: WindSector[] | null;
  /** Gusts at 10 m, miles an hour; null = no limit of its own. */
  gustMphMost: number | null;
  /** Canopy over the fine fuel, percent; null = by natural community. */
  canopyPercent: number | null;
}

export const noBurnLimits: BurnLimits = { windFrom: null, gustMphMost: null, canopyPercent: null };

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
  /** Named people by role; once any are named they take the place of `peopleNamed`. */
  roles: BurnRoleFill[];
}

/** What a new block has on file: nothing. */
export const readinessNone: Readiness = {
  planSignedBy: null,
  planExpiresOn: null,
  consentUntil: null,
  noticesGivenOn: null,
  permitUntil: null,
  permitNotNeeded: false,
  fuelCheckedOn: null,
  peopleNamed: false,
  roles: [],
};

/** Fields of a block as changed; what is absent stays as it is. */
export type BlockChange = Partial<Omit<Block, 'id' | 'propertyId'>>;
