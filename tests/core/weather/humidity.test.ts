import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  dewPointOf,
  relativeHumidityPercent,
  saturationPressureHpa,
} from '../../../src/core/weather/humidity.ts';

describe('humidity', () => {
  // FAO Irrigation and Drainage Paper 56, Example 3: 1.705 and 3.075 kPa. FAO-56 uses Tetens' constants, which
  // differ from these by about 0.2 %.
  it.each([
    [15.0, 17.05],
    [24.5, 30.75],
  ])('saturation pressure at %f C is near the FAO-56 worked example', (temperature, expected) => {
    expect(Math.abs(saturationPressureHpa(temperature) / expected - 1)).toBeLessThan(0.0025);
  });

  // Alduchov and Eskridge 1996, worked with the same constants outside this project.
  it.each([
    [20, 50, 9.26],
    [25, 50, 13.86],
    [30, 30, 10.54],
    [0, 80, -3.04],
  ])('%f C and %f %% give a dew point of %f C', (temperature, rh, dewPoint) => {
    expect(dewPointOf(temperature, rh)).toBeCloseTo(dewPoint, 2);
  });

  it('25 C with a dew point of 10 C is 38.8 %', () => {
    expect(relativeHumidityPercent(25, 10)).toBeCloseTo(38.8, 1);
  });

  // Rows of the public EPW weather file of Kansas City, whose humidity is in whole per cent.
  it.each([
    [-2.8, -15.0, 39],
    [-11.1, -12.8, 88],
  ])('agrees with a weather file: %f C, %f C, %d %%', (temperature, dewPoint, rh) => {
    expect(Math.abs(relativeHumidityPercent(temperature, dewPoint) - rh)).toBeLessThan(1);
  });

  // Oklahoma State University fact sheet E-1010: +20 F roughly halves it (60 F 40 % to 80 F 20 %).
  it('warming by 20 F halves it', () => {
    const dewPoint = dewPointOf((60 - 32) / 1.8, 40);
    expect(Math.abs(relativeHumidityPercent((80 - 32) / 1.8, dewPoint) - 20)).toBeLessThan(0.5);
  });

  it('saturated air and instrument error give 100 %', () => {
    expect(relativeHumidityPercent(12, 12)).toBe(100);
    expect(relativeHumidityPercent(12, 12.9)).toBe(100);
  });

  it('dew point and humidity are inverse', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -40, max: 50, noNaN: true }),
        fc.double({ min: 1, max: 100, noNaN: true }),
        (temperature, rh) => {
          const back = relativeHumidityPercent(temperature, dewPointOf(temperature, rh));
          expect(back).toBeCloseTo(rh, 6);
        },
      ),
    );
  });
});
