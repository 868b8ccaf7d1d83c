import { describe, expect, it } from 'vitest';
import {
  backingChainsHour,
  backingHours,
  fireEllipse,
  flankingHours,
  simpleFireEllipse,
  squareOf,
  stripHeadHours,
} from '../../../src/core/weather/burn-duration.ts';

describe('duration of a burn', () => {
  // Worked for this project from the geometry: 40 acres = 20 by 20 chains at 2 chains an hour.
  it('40 acres back in 10 hours, with three interior lines in 2.5 and an hour of lighting', () => {
    expect(squareOf(40)).toEqual({ depthChains: 20, widthChains: 20 });
    expect(backingHours(squareOf(40), 2, 0)).toEqual({
      burnHours: 10,
      lightingHours: 0.25,
      acresHour: 4,
    });
    expect(backingHours(squareOf(40), 2, 3)).toMatchObject({ burnHours: 2.5, lightingHours: 1 });
  });

  it('20 acres of 10 by 20 chains take 6.7 hours across the short side', () => {
    const shape = { depthChains: 10, widthChains: 20 };
    expect(backingHours(shape, 1.5, 0).burnHours).toBeCloseTo(6.7, 1);
  });

  it('flanking fires close a strip from both sides; strip heads take the longer of lighting and burning in', () => {
    expect(flankingHours(4, 2)).toBe(1);
    const shape = { depthChains: 10, widthChains: 20 };
    // Ten strips: a quarter hour each to light, 0.1 to burn in.
    expect(stripHeadHours(shape, 1, 10)).toBeCloseTo(2.5, 9);
    expect(stripHeadHours(shape, 1, 2)).toBeCloseTo(5, 9);
    expect(stripHeadHours(shape, 3, 30)).toBeCloseTo(1, 9);
  });

  // USFS R8-TP 11: backing fires move 1 to 3 chains an hour.
  it('backing is no slower than the field rule, unless burns on the log say so', () => {
    expect(backingChainsHour(0.5, 'litter')).toBe(1);
    expect(backingChainsHour(0.5, 'grass')).toBe(1.5);
    expect(backingChainsHour(2.6, 'grass')).toBe(2.6);
    expect(backingChainsHour(0.5, 'litter', 0.8)).toBe(0.8);
  });

  // Anderson 1983, from memory, computed for this project; last two columns by Andrews 2018.
  it.each([
    [1, 1.21, 0.281, 0.531, 1.25, 0.25],
    [2, 1.5, 0.145, 0.38, 1.5, 0.146],
    [4, 2.46, 0.045, 0.212, 2, 0.072],
    [5, 3.19, 0.026, 0.161, 2.25, 0.055],
    [8, 7.03, 0.005, 0.072, 3, 0.029],
  ])('ellipse under %d mph', (wind, length, back, flank, simpleLength, simpleBack) => {
    const found = fireEllipse(wind);
    expect(found.lengthToWidth).toBeCloseTo(length, 1);
    expect(Math.abs(found.backToHead - back)).toBeLessThanOrEqual(0.001);
    expect(Math.abs(found.flankToHead - flank)).toBeLessThanOrEqual(0.001);
    const simple = simpleFireEllipse(wind);
    expect(simple.lengthToWidth).toBeCloseTo(simpleLength, 9);
    expect(Math.abs(simple.backToHead - simpleBack)).toBeLessThanOrEqual(0.001);
  });

  it('is a circle without wind', () => {
    expect(fireEllipse(0)).toEqual({ lengthToWidth: 1, backToHead: 1, flankToHead: 1 });
  });
});
