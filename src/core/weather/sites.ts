import type { Block, BurnLimits } from '../blocks.ts';
import type { MonthDay } from '../dates.ts';
import type { Operation } from '../operation.ts';
import type { Unit } from '../units.ts';
import { type DryingSite, exposureOf } from './drying.ts';
import type { BlockConditions } from './fit-days.ts';
import type { Prescription } from './prescriptions.ts';

/** Canopy and fuel that a unit is taken to have until its block says more. */
export interface GroundCover {
  canopyPercent: number;
  fuel: DryingSite['fuel'];
}

/**
 * Ground by natural community: our own judgement, a default to edit (the canopy on the block's form). Communities of one's
 * own count as open litter.
 */
const coverByCommunity: Record<string, GroundCover> = {
  'oak-savanna': { canopyPercent: 30, fuel: 'litter' },
  'oak-woodland': { canopyPercent: 65, fuel: 'litter' },
  glade: { canopyPercent: 10, fuel: 'grass' },
  'tallgrass-prairie': { canopyPercent: 0, fuel: 'grass' },
  'shortleaf-pine-woodland': { canopyPercent: 60, fuel: 'litter' },
  'oak-barrens': { canopyPercent: 20, fuel: 'grass' },
  'upland-oak-forest': { canopyPercent: 85, fuel: 'litter' },
  'mesic-forest': { canopyPercent: 90, fuel: 'litter' },
  'old-field': { canopyPercent: 10, fuel: 'grass' },
  'native-grass-planting': { canopyPercent: 0, fuel: 'grass' },
  'herbaceous-wetland': { canopyPercent: 0, fuel: 'grass' },
  'bottomland-forest': { canopyPercent: 90, fuel: 'litter' },
};
const coverOfOthers: GroundCover = { canopyPercent: 30, fuel: 'litter' };

export function groundCoverOf(communityKey: string): GroundCover {
  return coverByCommunity[communityKey] ?? coverOfOthers;
}

/** Ground of one unit of a block; the block's own canopy goes before the community's. */
export function siteOfUnit(block: Block, unit: Unit): DryingSite {
  const { canopyPercent, fuel } = groundCoverOf(unit.communityKey);
  return {
    aspect: unit.aspect === 'flat' ? null : unit.aspect,
    slopePercent: unit.slopePercent,
    canopyPercent: block.burnLimits.canopyPercent ?? canopyPercent,
    fuel,
  };
}

/** Larger = slower to dry: litter after grass, north after level after south, under a dense canopy last. */
function slownessOf(site: DryingSite): number {
  const exposure = { sunny: 0, level: 1, shady: 2 }[exposureOf(site)];
  return (site.fuel === 'litter' ? 10 : 0) + exposure * 2 + (site.canopyPercent >= 80 ? 1 : 0);
}

/** The unit of a block that dries last; all of a block must be dry before it is lit. Null = a block without units. */
export function slowestUnit(operation: Operation, block: Block): Unit | null {
  const units = operation.units.filter((unit) => unit.blockId === block.id);
  return units.reduce<Unit | null>((slowest, unit) => {
    const isSlower =
      slowest === null ||
      slownessOf(siteOfUnit(block, unit)) > slownessOf(siteOfUnit(block, slowest));
    return isSlower ? unit : slowest;
  }, null);
}

/** What a block adds to its prescription when days are judged for it; null = a block without units. */
export function blockConditions(operation: Operation, block: Block): BlockConditions | null {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const unit = slowestUnit(operation, block);
  if (!property || !unit) return null;
  return {
    limits: block.burnLimits,
    site: siteOfUnit(block, unit),
    leafOut: property.anchors.usual['leaf-out'],
    leafFall: property.anchors.usual['leaf-fall'],
    latitude: property.latitude,
    longitude: property.longitude,
  };
}

/**
 * The same conditions with everything that cannot change a verdict made alike, so that blocks on like ground share one count:
 * aspect and slope only as far as drying or fine fuel asks for them, canopy by the steps that matter, the place to a quarter
 * of a degree (one minute of daylight).
 */
export function siteClassOf(
  prescription: Prescription,
  conditions: BlockConditions,
): BlockConditions {
  const { site } = conditions;
  const asksFineFuel = prescription.fineFuelMoisturePercent !== undefined;
  const asksInStand = prescription.windHeight === 'in-stand';
  const asksLeaves = asksFineFuel || asksInStand;
  const quarter = (degrees: number) => Math.round(degrees * 4) / 4;
  const noLeaves = { leafOut: '04-15' as MonthDay, leafFall: '11-01' as MonthDay };
  const ground: DryingSite = asksFineFuel
    ? { ...site, slopePercent: stepOfSlope(site.slopePercent) }
    : plainGround(site);
  const { windFrom, gustMphMost } = conditions.limits;
  const limits: BurnLimits = {
    windFrom: windFrom === null || windFrom.length === 8 ? null : [...windFrom].sort(),
    gustMphMost,
    canopyPercent: null,
  };
  return {
    limits,
    site: {
      ...ground,
      canopyPercent: asksInStand ? site.canopyPercent : stepOfCanopy(site.canopyPercent),
    },
    leafOut: asksLeaves ? conditions.leafOut : noLeaves.leafOut,
    leafFall: asksLeaves ? conditions.leafFall : noLeaves.leafFall,
    latitude: quarter(conditions.latitude),
    longitude: quarter(conditions.longitude),
  };
}

/** Below 50 percent no shade, from 80 percent on slower to dry. */
function stepOfCanopy(percent: number): number {
  return percent >= 80 ? 80 : percent >= 50 ? 50 : 0;
}

/** Level under 10 percent, steep over 30 percent. */
function stepOfSlope(percent: number | null): number {
  return (percent ?? 0) > 30 ? 40 : (percent ?? 0) >= 10 ? 20 : 0;
}

function plainGround(site: DryingSite): DryingSite {
  const aspect = ({ sunny: 'S', level: null, shady: 'N' } as const)[exposureOf(site)];
  return { ...site, aspect, slopePercent: aspect === null ? 0 : 20 };
}

/** A text that is the same for blocks that share one count. */
export function siteKeyOf(prescription: Prescription, conditions: BlockConditions): string {
  const { limits, site, leafOut, leafFall, latitude, longitude } = siteClassOf(
    prescription,
    conditions,
  );
  return [
    prescription.key,
    site.fuel,
    `${site.aspect ?? 'level'}${site.slopePercent}`,
    `canopy${site.canopyPercent}`,
    `from${limits.windFrom?.join('-') ?? 'any'}`,
    `gust${limits.gustMphMost ?? 'any'}`,
    `${leafOut}..${leafFall}`,
    `${latitude},${longitude}`,
  ].join(' ');
}
