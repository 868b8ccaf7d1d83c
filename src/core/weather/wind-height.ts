/** Wind at 20 feet from wind at 10 m (airports): 10 m = 1.15 times 20 feet (Turner and Lawson 1978, read in a glossary). */
export function windAt20Feet(windAt10Metres: number): number {
  return windAt10Metres / 1.15;
}

/** The inverse of `windAt20Feet`. */
export function windAt10Metres(windAt20Ft: number): number {
  return windAt20Ft * 1.15;
}

/** Wind at 2 m over short grass in the open from wind at another height in metres (FAO-56 equation 47). */
export function windAt2Metres(wind: number, heightMetres: number): number {
  return (wind * 4.87) / Math.log(67.8 * heightMetres - 5.42);
}

/** Share of the 20-foot wind at midflame over open fuel of a depth in feet (Albini and Baughman 1979, from memory). */
export function openWindFactor(fuelDepthFeet: number): number {
  return 1.83 / Math.log((20 + 0.36 * fuelDepthFeet) / (0.13 * fuelDepthFeet));
}

/**
 * Share of the 20-foot wind under trees (same source, from memory): canopy height in feet, and the share of the canopy
 * that holds crowns, crown ratio times cover over 3. To be used where that share is over 0.05.
 */
export function shelteredWindFactor(canopyHeightFeet: number, crownShare: number): number {
  const log = Math.log((20 + 0.36 * canopyHeightFeet) / (0.13 * canopyHeightFeet));
  return 0.555 / (Math.sqrt(crownShare * canopyHeightFeet) * log);
}

export interface StandShelter {
  canopyPercent: number;
  isLeafOn: boolean;
  isEvergreen?: boolean;
  fuelDepthFeet: number;
}

/**
 * Share of the 20-foot wind at eye level in a stand, a default to edit after handbook table values from memory: open
 * ground (under 10 percent canopy) by fuel depth; leafless woodland 0.3 to 50 percent canopy, 0.2 above; in leaf or
 * evergreen 0.3, 0.2 from 30 and 0.1 from 60 percent. A wind meter at eye level decides.
 */
export function inStandWindFactor(stand: StandShelter): number {
  const open = openWindFactor(stand.fuelDepthFeet);
  if (stand.canopyPercent < 10) return open;
  if (stand.isLeafOn || stand.isEvergreen)
    return Math.min(open, stand.canopyPercent >= 60 ? 0.1 : stand.canopyPercent >= 30 ? 0.2 : 0.3);
  return Math.min(open, stand.canopyPercent > 50 ? 0.2 : 0.3);
}

/** Wind at eye level in a stand from wind at 10 m, in the unit given. */
export function windInStand(windAt10M: number, stand: StandShelter): number {
  return windAt20Feet(windAt10M) * inStandWindFactor(stand);
}
