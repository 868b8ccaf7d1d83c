/** Lengths in chains (66 feet), spread in chains an hour, times in hours. 10 square chains are an acre. */
export interface BurnShape {
  /** Along the wind. */
  depthChains: number;
  /** Across the wind. */
  widthChains: number;
}

/** Shape of a square of an area; for blocks without a map. */
export function squareOf(acres: number): BurnShape {
  const side = Math.sqrt(acres * 10);
  return { depthChains: side, widthChains: side };
}

/** Walking with a torch: 1 mile an hour = 80 chains. */
export const lightingChainsHour = 80;

/**
 * Backing-fire spread to plan with: the computed rate without wind, but not under the field rule of 1 chain an hour in
 * litter (USFS R8-TP 11: 1 to 3) and 1.5 in grass (default to edit). Logged burns of the property come first.
 */
export function backingChainsHour(
  computedChainsHour: number,
  fuel: 'litter' | 'grass',
  loggedChainsHour: number | null = null,
): number {
  if (loggedChainsHour !== null) return loggedChainsHour;
  return Math.max(computedChainsHour, fuel === 'grass' ? 1.5 : 1);
}

/** Hours of a backing fire over a shape cut by interior lines, each lit by one person after the other. */
export function backingHours(
  shape: BurnShape,
  spreadChainsHour: number,
  interiorLines: number,
): { burnHours: number; lightingHours: number; acresHour: number } {
  const strips = interiorLines + 1;
  return {
    burnHours: shape.depthChains / (strips * spreadChainsHour),
    lightingHours: (strips * shape.widthChains) / lightingChainsHour,
    acresHour: (shape.widthChains * spreadChainsHour * strips) / 10,
  };
}

/** Hours for flanking fires from parallel lines to close the strips between them, all lit at once. */
export function flankingHours(stripWidthChains: number, flankChainsHour: number): number {
  return stripWidthChains / (2 * flankChainsHour);
}

/** Hours of strip-head firing: each strip takes the longer of lighting it and its burning in. */
export function stripHeadHours(
  shape: BurnShape,
  stripWidthChains: number,
  headChainsHour: number,
): number {
  const strips = Math.ceil(shape.depthChains / stripWidthChains);
  const lighting = shape.widthChains / lightingChainsHour;
  return strips * Math.max(lighting, stripWidthChains / headChainsHour);
}

export interface FireEllipse {
  lengthToWidth: number;
  backToHead: number;
  flankToHead: number;
}

/**
 * Shape of a fire from a point under a midflame wind, miles an hour: Anderson 1983 (INT-RP-305), from memory. Above about
 * 4 mph use the spread without wind for the backing fire, not the ratio.
 */
export function fireEllipse(midflameMph: number): FireEllipse {
  const z = Math.max(
    1,
    0.936 * Math.exp(0.2566 * midflameMph) + 0.461 * Math.exp(-0.1548 * midflameMph) - 0.397,
  );
  return ellipseOf(z);
}

/** The same with the length to width of Andrews 2018 (RMRS-GTR-371): 1 + 0.25 times the wind, from memory. */
export function simpleFireEllipse(midflameMph: number): FireEllipse {
  return ellipseOf(1 + 0.25 * midflameMph);
}

function ellipseOf(lengthToWidth: number): FireEllipse {
  const eccentricity = Math.sqrt(lengthToWidth ** 2 - 1) / lengthToWidth;
  const backToHead = (1 - eccentricity) / (1 + eccentricity);
  return { lengthToWidth, backToHead, flankToHead: (1 + backToHead) / (2 * lengthToWidth) };
}
