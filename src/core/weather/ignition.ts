/**
 * Probability that a firebrand lights fine fuel, percent, by Schroeder 1969 as in Andrews 1986, from memory: say "about".
 * Temperature of the fuel itself in degrees C; moisture in percent of dry weight.
 */
export function ignitionPercent(fuelTemperatureC: number, fineFuelPercent: number): number {
  const t = fuelTemperatureC;
  const m = fineFuelPercent / 100;
  const heat =
    144.5 - 0.266 * t - 0.00058 * t * t - t * m + 18.54 * (1 - Math.exp(-15.1 * m)) + 640 * m;
  const x = Math.max(0, (400 - heat) / 10);
  return 100 * Math.min(1, (0.000048 * x ** 4.3) / 50);
}

/** The same from air temperature: fuel is 25 °F warmer in the sun and 11 °F in shade, fitted to the table by memory. */
export function ignitionPercentInAir(
  airTemperatureF: number,
  fineFuelPercent: number,
  isShaded: boolean,
): number {
  const fuelF = airTemperatureF + (isShaded ? 11 : 25);
  return ignitionPercent((fuelF - 32) / 1.8, fineFuelPercent);
}
