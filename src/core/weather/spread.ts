import type { Source } from '../sources.ts';

/** Surface fuel of a standard description; loads in tons an acre, surface to volume in 1/ft. */
export interface FuelModel extends Source {
  key: string;
  name: string;
  oneHourTonsAcre: number;
  tenHourTonsAcre: number;
  hundredHourTonsAcre: number;
  herbTonsAcre: number;
  woodyTonsAcre: number;
  oneHourSurface: number;
  herbSurface: number;
  woodySurface: number;
  depthFeet: number;
  moistureOfExtinctionPercent: number;
  heatBtuLb: number;
  /** Cured grass counts as dead fuel. */
  isDynamic: boolean;
}

/** Moisture of each size of fuel, percent of dry weight. */
export interface FuelMoisture {
  oneHour: number;
  tenHour: number;
  hundredHour: number;
  herb: number;
  woody: number;
}

export interface SurfaceSpread {
  /** Heading spread, chains an hour (66 feet). */
  spreadChainsHour: number;
  /** Without wind and slope, the usual estimate of a backing fire. Below the field rule for litter. */
  backingChainsHour: number;
  flameLengthFeet: number;
  /** Fireline intensity, Btu a foot a second. */
  intensityBtuFtS: number;
}

interface Particle {
  isLive: boolean;
  loadLbFt2: number;
  surface: number;
  /** Fraction of dry weight. */
  moisture: number;
}

interface Category {
  particles: (Particle & { share: number; bin: number })[];
  /** Share of the category in the surface of all fuel. */
  share: number;
  surface: number;
  netLoad: number;
  moisture: number;
}

const lbFt2PerTonAcre = 2000 / 43_560;
const mineralShare = 0.0555;
const particleDensity = 32;

function particlesOf(model: FuelModel, moisture: FuelMoisture): Particle[] {
  const cured = model.isDynamic
    ? Math.min(1, Math.max(0, 1.333 - (1.11 * moisture.herb) / 100))
    : 0;
  const one = (isLive: boolean, tons: number, surface: number, percent: number): Particle => ({
    isLive,
    loadLbFt2: tons * lbFt2PerTonAcre,
    surface,
    moisture: percent / 100,
  });
  return [
    one(false, model.oneHourTonsAcre, model.oneHourSurface, moisture.oneHour),
    one(false, model.tenHourTonsAcre, 109, moisture.tenHour),
    one(false, model.hundredHourTonsAcre, 30, moisture.hundredHour),
    one(false, model.herbTonsAcre * cured, model.herbSurface, moisture.oneHour),
    one(true, model.herbTonsAcre * (1 - cured), model.herbSurface, moisture.herb),
    one(true, model.woodyTonsAcre, model.woodySurface, moisture.woody),
  ].filter((particle) => particle.loadLbFt2 > 0);
}

/** Size class of a particle for the net load: 0 is finest, 5 takes no part. */
function sizeBin(surface: number): number {
  const bin = [1200, 192, 96, 48, 16].findIndex((least) => surface >= least);
  return bin === -1 ? 5 : bin;
}

function categoryOf(particles: Particle[], wholeArea: number): Category {
  const area = (one: Particle) => (one.surface * one.loadLbFt2) / particleDensity;
  const ownArea = particles.reduce((sum, one) => sum + area(one), 0);
  const weighed = particles.map((one) => ({
    ...one,
    share: area(one) / ownArea,
    bin: sizeBin(one.surface),
  }));
  const mean = (value: (one: (typeof weighed)[number]) => number) =>
    weighed.reduce((sum, one) => sum + value(one), 0);
  const binShare = (bin: number) =>
    bin === 5 ? 0 : mean((one) => (one.bin === bin ? one.share : 0));
  return {
    particles: weighed,
    share: wholeArea === 0 ? 0 : ownArea / wholeArea,
    surface: mean((one) => one.share * one.surface),
    netLoad: mean((one) => binShare(one.bin) * one.loadLbFt2 * (1 - mineralShare)),
    moisture: mean((one) => one.share * one.moisture),
  };
}

/** Share of the heat that is left at a moisture against the moisture of extinction. */
function moistureDamping(moisture: number, extinction: number): number {
  const r = Math.min(1, moisture / extinction);
  return Math.max(0, 1 - 2.59 * r + 5.11 * r ** 2 - 3.52 * r ** 3);
}

/** Moisture of extinction of live fuel, fraction, from the fine dead fuel beside it (Albini 1976). */
function liveExtinction(dead: Category, live: Category, deadExtinction: number): number {
  let deadHeat = 0;
  let deadWater = 0;
  for (const one of dead.particles) {
    const heat = one.loadLbFt2 * Math.exp(-138 / one.surface);
    deadHeat += heat;
    deadWater += heat * one.moisture;
  }
  const liveHeat = live.particles.reduce(
    (sum, one) => sum + one.loadLbFt2 * Math.exp(-500 / one.surface),
    0,
  );
  const ratio = deadHeat / liveHeat;
  const found = 2.9 * ratio * (1 - deadWater / deadHeat / deadExtinction) - 0.226;
  return Math.max(deadExtinction, found);
}

/** Heat needed to light a cubic foot of the fuel bed. */
function heatSink(categories: Category[], bulkDensity: number): number {
  let sum = 0;
  for (const { share, particles } of categories)
    for (const one of particles)
      sum += share * one.share * Math.exp(-138 / one.surface) * (250 + 1116 * one.moisture);
  return bulkDensity * sum;
}

/** What wind and slope add to the spread, as factors on the spread without them. */
function pushFactors(
  surface: number,
  packing: number,
  relativePacking: number,
  windFtMin: number,
  slopePercent: number,
): number {
  const b = 0.02526 * surface ** 0.54;
  const c = 7.47 * Math.exp(-0.133 * surface ** 0.55);
  const e = 0.715 * Math.exp(-3.59e-4 * surface);
  const wind = windFtMin <= 0 ? 0 : c * windFtMin ** b * relativePacking ** -e;
  return wind + 5.275 * packing ** -0.3 * (slopePercent / 100) ** 2;
}

/** Flame length in feet from fireline intensity in Btu a foot a second: 0.45 I^0.46 (Byram 1959, from memory). */
export function flameLengthFeet(intensityBtuFtS: number): number {
  return 0.45 * intensityBtuFtS ** 0.46;
}

/** Flame length in metres from kilowatts a metre: 0.0775 I^0.46 (Byram 1959, from memory). */
export function flameLengthMetres(intensityKwM: number): number {
  return 0.0775 * intensityKwM ** 0.46;
}

/** Intensity that goes with a flame length: the inverse of `flameLengthFeet`. */
export function intensityOfFlame(flameFeet: number): number {
  return (flameFeet / 0.45) ** (1 / 0.46);
}

/**
 * Surface fire spread by Rothermel 1972 (INT-115) with the changes of Albini 1976 (INT-30), as collected by Andrews 2018
 * (RMRS-GTR-371). Equations and fuel models from memory; the tests hold them against eight spread rates of Anderson 1982,
 * themselves from memory. Wind at midflame height, miles an hour, along the slope. No limit on wind, as Andrews and
 * others 2013 advise. A planning figure: the burn plan and the crew on the ground decide.
 */
export function surfaceSpread(
  model: FuelModel,
  moisture: FuelMoisture,
  midflameMph: number,
  slopePercent = 0,
): SurfaceSpread {
  const all = particlesOf(model, moisture);
  const wholeArea = all.reduce(
    (sum, one) => sum + (one.surface * one.loadLbFt2) / particleDensity,
    0,
  );
  const dead = categoryOf(
    all.filter((one) => !one.isLive),
    wholeArea,
  );
  const live = categoryOf(
    all.filter((one) => one.isLive),
    wholeArea,
  );
  const surface = dead.share * dead.surface + live.share * live.surface;
  const bulkDensity = all.reduce((sum, one) => sum + one.loadLbFt2, 0) / model.depthFeet;
  const packing = bulkDensity / particleDensity;
  const relativePacking = packing / (3.348 * surface ** -0.8189);
  const a = 133 * surface ** -0.7913;
  const fastest = surface ** 1.5 / (495 + 0.0594 * surface ** 1.5);
  const reaction = fastest * relativePacking ** a * Math.exp(a * (1 - relativePacking));
  const deadExtinction = model.moistureOfExtinctionPercent / 100;
  const liveHeat =
    live.particles.length === 0
      ? 0
      : live.netLoad * moistureDamping(live.moisture, liveExtinction(dead, live, deadExtinction));
  const burning = dead.netLoad * moistureDamping(dead.moisture, deadExtinction) + liveHeat;
  const mineralDamping = 0.174 * 0.01 ** -0.19;
  const reactionIntensity = reaction * burning * model.heatBtuLb * mineralDamping;
  const propagating =
    Math.exp((0.792 + 0.681 * surface ** 0.5) * (packing + 0.1)) / (192 + 0.2595 * surface);
  const stillFtMin = (reactionIntensity * propagating) / heatSink([dead, live], bulkDensity);
  const push = pushFactors(surface, packing, relativePacking, midflameMph * 88, slopePercent);
  const spreadFtMin = stillFtMin * (1 + push);
  const intensityBtuFtS = (reactionIntensity * (384 / surface) * spreadFtMin) / 60;
  return {
    spreadChainsHour: spreadFtMin / 1.1,
    backingChainsHour: stillFtMin / 1.1,
    flameLengthFeet: flameLengthFeet(intensityBtuFtS),
    intensityBtuFtS,
  };
}
