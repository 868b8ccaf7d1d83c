import { describe, expect, it } from 'vitest';
import {
  cambiumKillMinutes,
  scorchHeightFeet,
  scorchHeightMetres,
} from '../../../src/core/weather/scorch.ts';

/** Van Wagner 1973 in its first form, kilocalories a second a metre (1 kcal = 4.1868 kJ); from memory. */
function kilocalorieForm(intensityKwM: number, temperatureC: number, windMs: number): number {
  const i = intensityKwM / 4.1868;
  return (3.94 * i ** (7 / 6)) / (Math.sqrt(0.107 * i + windMs ** 3) * (60 - temperatureC));
}

describe('scorch height', () => {
  // Computed for this project from three forms of the equation, all from memory.
  it.each([
    [100, 25, 0, 2.86, 2.87],
    [250, 25, 1, 4.89, 4.92],
    [500, 25, 2, 6.55, 6.59],
    [500, 5, 2, 4.17, 4.2],
    [1000, 25, 2, 11.57, 11.64],
  ])('%d kW/m at %d °C and %d m/s', (intensity, temperatureC, windMs, metres, albini) => {
    const found = scorchHeightMetres(intensity, temperatureC, windMs);
    expect(found).toBeCloseTo(metres, 2);
    expect(found).toBeCloseTo(kilocalorieForm(intensity, temperatureC, windMs), 1);
    const feet = scorchHeightFeet(intensity / 3.4615, temperatureC * 1.8 + 32, windMs / 0.44704);
    expect(feet * 0.3048).toBeCloseTo(albini, 1);
  });

  it.each([
    [77, 14.4],
    [40, 9],
  ])('100 Btu/ft/s and 5 mph at %d °F', (temperatureF, feet) => {
    expect(scorchHeightFeet(100, temperatureF, 5)).toBeCloseTo(feet, 1);
  });

  it('is nothing without fire and without end in air of 60 °C', () => {
    expect(scorchHeightMetres(0, 20, 0)).toBe(0);
    expect(scorchHeightFeet(0, 20, 0)).toBe(0);
    expect(scorchHeightMetres(100, 60, 1)).toBe(Number.POSITIVE_INFINITY);
    expect(scorchHeightFeet(100, 140, 1)).toBe(Number.POSITIVE_INFINITY);
  });

  // Peterson and Ryan 1986, from memory.
  it.each([
    [0.5, 0.7],
    [1, 2.9],
    [1.5, 6.5],
    [2, 11.6],
  ])('bark of %s cm holds out %s minutes', (bark, minutes) => {
    expect(cambiumKillMinutes(bark)).toBeCloseTo(minutes, 1);
  });
});
