/**
 * Saturation vapour pressure over water in hPa, Magnus form with the constants of Alduchov and Eskridge 1996,
 * "Improved Magnus form approximation of saturation vapor pressure", J. Appl. Meteor. 35, 601-609. Below freezing
 * it still refers to water, which is how airport stations report humidity.
 */
export function saturationPressureHpa(temperatureC: number): number {
  return 6.1094 * Math.exp((17.625 * temperatureC) / (temperatureC + 243.04));
}

/** Relative humidity in per cent, 0 to 100; a dew point above the temperature (instrument error) gives 100. */
export function relativeHumidityPercent(temperatureC: number, dewPointC: number): number {
  return Math.min(
    100,
    (100 * saturationPressureHpa(dewPointC)) / saturationPressureHpa(temperatureC),
  );
}

/** Dew point in degrees C of air with a relative humidity above 0 per cent; the inverse of the same formula. */
export function dewPointOf(temperatureC: number, rhPercent: number): number {
  const gamma = Math.log(rhPercent / 100) + (17.625 * temperatureC) / (243.04 + temperatureC);
  return (243.04 * gamma) / (17.625 - gamma);
}
