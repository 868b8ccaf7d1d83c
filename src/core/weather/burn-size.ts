import type { Block } from '../blocks.ts';
import { unitsOf } from '../chains.ts';
import type { Operation } from '../operation.ts';
import { ownLightingRate } from '../own-rates.ts';
import type { Boundary } from '../units.ts';
import {
  type BurnShape,
  backingChainsHour,
  backingHours,
  flankingHours,
  lightingChainsHour,
  simpleFireEllipse,
  squareOf,
  stripHeadHours,
} from './burn-duration.ts';
import type { Prescription } from './prescriptions.ts';
import { scorchHeightFeet } from './scorch.ts';
import { type FuelModel, surfaceSpread } from './spread.ts';
import { type StandShelter, windInStand } from './wind-height.ts';

/** 1 chain = 66 feet. */
const metersPerChain = 20.1168;
const metersPerDegree = 111_320;

/** A block as a fire sees it. */
export interface BlockShape extends BurnShape {
  areaAcres: number;
  /** False = no outline on the map: a square of its acres. */
  isMapped: boolean;
}

type Ring = number[][];

function ringsOf(boundary: Boundary): Ring[] {
  return boundary.type === 'Polygon'
    ? (boundary.coordinates as Ring[])
    : (boundary.coordinates as Ring[][]).flat();
}

/**
 * Shape of a block for a wind from a direction (degrees; null = not known, the deeper of its two sides counts). The depth
 * is the extent of its outline along the wind and the width keeps its acres, so that a ragged outline is no larger.
 */
export function burnShapeOf(
  operation: Operation,
  block: Block,
  windFromDegrees: number | null,
): BlockShape {
  const units = unitsOf(operation, block);
  const areaAcres = units.reduce((sum, unit) => sum + unit.areaAcres, 0);
  const squareChains = areaAcres * 10;
  const points = units.flatMap((unit) => (unit.boundary ? ringsOf(unit.boundary).flat() : []));
  if (points.length === 0 || units.some((unit) => unit.boundary === null))
    return { ...squareOf(areaAcres), areaAcres, isMapped: false };
  const latitude = points[0]?.[1] ?? 0;
  const eastScale = metersPerDegree * Math.cos((latitude * Math.PI) / 180);
  const depthAlong = (degrees: number) => {
    const angle = (degrees * Math.PI) / 180;
    const along = points.map(
      ([east = 0, north = 0]) =>
        east * eastScale * Math.sin(angle) + north * metersPerDegree * Math.cos(angle),
    );
    return (Math.max(...along) - Math.min(...along)) / metersPerChain;
  };
  const depthChains =
    windFromDegrees === null
      ? Math.max(depthAlong(0), depthAlong(90))
      : depthAlong(windFromDegrees);
  return { areaAcres, depthChains, widthChains: squareChains / depthChains, isMapped: true };
}

/** How the lighting goes where no logged burn says better. Common practice, no source: a start to edit. */
export const lightingDefault = {
  /** Strips a chain wide, walked at a mile an hour, by two lighters: 16 acres an hour. */
  stripChains: 1,
  lighters: 2,
  /** Backing off the downwind edge before the first strip. */
  backingHours: 0.5,
} as const;

/** Acres an hour of lighting, and where the figure is from. */
export interface LightingRate {
  acresAnHour: number;
  /** Logged burns that the accepted rate is of; 0 = the default. */
  loggedBurns: number;
}

/** Rate of lighting at a property: what was learned there and accepted, else the default. */
export function lightingRateOf(
  operation: Pick<Operation, 'ownRates'>,
  propertyId: number,
): LightingRate {
  const own = ownLightingRate(operation, propertyId);
  if (own) return { acresAnHour: own.amount, loggedBurns: own.entryCount };
  const { stripChains, lighters } = lightingDefault;
  return { acresAnHour: (stripChains * lighters * lightingChainsHour) / 10, loggedBurns: 0 };
}

/** Hours of lighting and burning out, and the fit days that takes when a day gives so many hours. */
export interface BurnNeed {
  lightHours: number;
  daysNeeded: number;
}

/** A block that takes longer than a day gives needs more than one day, or has to be made smaller. */
export function burnNeedOf(
  areaAcres: number,
  rate: LightingRate,
  usableHoursADay: number,
): BurnNeed {
  const lightHours = lightingDefault.backingHours + areaAcres / rate.acresAnHour;
  return { lightHours, daysNeeded: Math.max(1, Math.ceil(lightHours / usableHoursADay - 1e-9)) };
}

/** Hours of a day that a prescription allows at most: the planner's measure, before any weather. */
export function prescriptionHours(prescription: Pick<Prescription, 'fromHour' | 'toHour'>): number {
  return prescription.toHour - prescription.fromHour + 1;
}

/** The hour a burn is sized for. */
export interface SizeConditions {
  model: FuelModel;
  fuel: 'litter' | 'grass';
  /** Wind at 10 m and air temperature over the best hours. */
  windMph: number;
  temperatureF: number;
  fineFuelPercent: number;
  slopePercent: number;
  shelter: Omit<StandShelter, 'fuelDepthFeet'>;
}

/** What a burn comes to by the published rules; a planning figure, never a limit to burn by. */
export interface BurnSize {
  headFeetMinute: number;
  backFeetMinute: number;
  headFlameFeet: number;
  backFlameFeet: number;
  inStandMph: number;
  /** Without interior lines, and with three. */
  backingHours: number;
  backingHoursThreeLines: number;
  flankingHours: number;
  stripHeadHours: number;
  scorchFeet: number;
}

/** 1 chain an hour = 1.1 feet a minute. */
const feetMinutePerChainHour = 1.1;
/** Strips between flanking fires; common practice, no source. */
const flankStripChains = 2;
/** Live grass and shrub moisture of the dormant season, percent: the values of the spread rates in the check tables. */
const liveMoisture = { herb: 60, woody: 100 } as const;

/**
 * Spread, flame, hours and scorch of a block. 10-hour fuel is taken a point moister than fine fuel and 100-hour fuel two.
 * Sources: Rothermel 1972, Albini 1976, Byram 1959, Van Wagner 1973, Anderson 1983, each from memory (see their modules).
 */
export function burnSizeOf(shape: BurnShape, conditions: SizeConditions): BurnSize {
  const { model, fuel, windMph, temperatureF, fineFuelPercent, slopePercent } = conditions;
  const inStandMph = windInStand(windMph, {
    ...conditions.shelter,
    fuelDepthFeet: model.depthFeet,
  });
  const moisture = {
    oneHour: fineFuelPercent,
    tenHour: fineFuelPercent + 1,
    hundredHour: fineFuelPercent + 2,
    ...liveMoisture,
  };
  const head = surfaceSpread(model, moisture, inStandMph, slopePercent);
  const still = surfaceSpread(model, moisture, 0);
  const back = backingChainsHour(head.backingChainsHour, fuel);
  const flank = Math.max(back, head.spreadChainsHour * simpleFireEllipse(inStandMph).flankToHead);
  const hours = (interiorLines: number) => {
    const found = backingHours(shape, back, interiorLines);
    return found.burnHours + found.lightingHours;
  };
  return {
    headFeetMinute: head.spreadChainsHour * feetMinutePerChainHour,
    backFeetMinute: back * feetMinutePerChainHour,
    headFlameFeet: head.flameLengthFeet,
    backFlameFeet: still.flameLengthFeet,
    inStandMph,
    backingHours: hours(0),
    backingHoursThreeLines: hours(3),
    flankingHours:
      flankingHours(flankStripChains, flank) +
      (shape.depthChains / flankStripChains) * (shape.widthChains / lightingChainsHour),
    stripHeadHours: stripHeadHours(
      shape,
      lightingDefault.stripChains,
      Math.max(back, head.spreadChainsHour),
    ),
    scorchFeet: scorchHeightFeet(head.intensityBtuFtS, temperatureF, inStandMph),
  };
}
