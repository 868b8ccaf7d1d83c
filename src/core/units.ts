import type { IsoDate } from './dates.ts';

/** Stems an acre of what has to be cut or treated; picks the rate of work. */
export const densityClasses = ['scattered', 'moderate', 'dense', 'thicket'] as const;
export type DensityClass = (typeof densityClasses)[number];

export type Aspect = 'N' | 'NE' | 'E' | 'SE' | 'S' | 'SW' | 'W' | 'NW' | 'flat';

/** GeoJSON (RFC 7946) outline, longitude before latitude, WGS 84. */
export interface Boundary {
  type: 'Polygon' | 'MultiPolygon';
  coordinates: number[][][] | number[][][][];
}

/** Mapped ground that is treated as one. */
export interface Unit {
  id: number;
  propertyId: number;
  blockId: number;
  /** Short code, unique in a property, e.g. `N4`. */
  code: string;
  name: string;
  /** Acres that work is planned by: as entered, else as measured. */
  areaAcres: number;
  /** Acres of the boundary on the ellipsoid; null without a boundary. */
  measuredAcres: number | null;
  perimeterFeet: number | null;
  communityKey: string;
  aspect: Aspect | null;
  slopePercent: number | null;
  densityClass: DensityClass | null;
  /** Facts that no-work dates ask for, e.g. `contract-land`, `near-roost`. */
  tags: string[];
  boundary: Boundary | null;
}

/** Fields of a unit's page as typed; those of the sequence belong to its block. */
export interface UnitChange {
  code?: string;
  name?: string;
  areaAcres?: number;
  communityKey?: string;
  densityClass?: string | null;
  aspect?: string | null;
  tags?: string[];
  sequenceKey?: string | null;
  sequenceStartsOn?: IsoDate | null;
  firstCycle?: number;
  heldUntilYear?: number | null;
  heldReason?: string;
}
