/**
 * Height to which a surface fire scorches leaves and needles, metres: Van Wagner 1973 (thirteen fires in conifers, 67 to
 * 1255 kW a metre), equation from memory. Wind in the stand. Scorch runs higher in warm air. Infinite at 60 °C.
 * Leafless oaks: crown scorch is not what harms them in the dormant season; buds and stems are.
 */
export function scorchHeightMetres(
  intensityKwM: number,
  temperatureC: number,
  windMs: number,
): number {
  if (intensityKwM <= 0) return 0;
  if (temperatureC >= 60) return Number.POSITIVE_INFINITY;
  return (
    (0.74183 * intensityKwM ** (7 / 6)) /
    (Math.sqrt(0.025574 * intensityKwM + windMs ** 3) * (60 - temperatureC))
  );
}

/** The same in feet, Btu a foot a second, °F and miles an hour in the stand (Albini 1976, from memory). */
export function scorchHeightFeet(
  intensityBtuFtS: number,
  temperatureF: number,
  windMph: number,
): number {
  if (intensityBtuFtS <= 0) return 0;
  if (temperatureF >= 140) return Number.POSITIVE_INFINITY;
  return (
    ((63 / (140 - temperatureF)) * intensityBtuFtS ** (7 / 6)) /
    Math.sqrt(intensityBtuFtS + windMph ** 3)
  );
}

/** Minutes of flame that kill the cambium under bark of a thickness: 2.9 x² (Peterson and Ryan 1986, from memory). */
export function cambiumKillMinutes(barkCm: number): number {
  return 2.9 * barkCm ** 2;
}
