import { describe, expect, it } from 'vitest';
import { ignitionPercent, ignitionPercentInAir } from '../../../src/core/weather/ignition.ts';

/** Handbook cells (NWCG PMS 437), all from memory: moisture 2 to 17 percent, in the sun and in shade. */
const cells: [number, string, string][] = [
  [
    105,
    '100 90 80 70 60 60 50 40 40 30 30 20 20 20 10 10',
    '100 90 80 70 60 50 50 40 30 30 20 20 20 10 10 10',
  ],
  [
    95,
    '100 90 80 70 60 50 50 40 30 30 30 20 20 20 10 10',
    '100 90 80 70 60 50 40 40 30 30 20 20 20 10 10 10',
  ],
  [
    85,
    '100 90 80 70 60 50 40 40 30 30 20 20 20 10 10 10',
    '100 80 70 60 60 50 40 40 30 30 20 20 20 10 10 10',
  ],
  [
    75,
    '100 80 70 60 60 50 40 40 30 30 20 20 20 10 10 10',
    '90 80 70 60 50 50 40 30 30 30 20 20 20 10 10 10',
  ],
  [
    65,
    '90 80 70 60 50 50 40 30 30 30 20 20 20 10 10 10',
    '90 80 70 60 50 40 40 30 30 20 20 20 10 10 10 10',
  ],
  [
    55,
    '90 80 70 60 50 40 40 30 30 20 20 20 10 10 10 10',
    '90 80 70 60 50 40 40 30 30 20 20 20 10 10 10 10',
  ],
  [
    45,
    '90 80 70 60 50 40 40 30 30 20 20 20 10 10 10 10',
    '90 80 60 50 50 40 30 30 30 20 20 20 10 10 10 10',
  ],
  [
    35,
    '80 70 60 50 50 40 30 30 20 20 20 10 10 10 10 10',
    '80 70 60 50 50 40 30 30 20 20 20 10 10 10 10 10',
  ],
];

describe('probability of ignition', () => {
  // Worked for this project from the equation (Schroeder 1969, from memory).
  it.each([
    [30, 5, 61.0],
    [20, 8, 36.5],
    [40, 3, 86.1],
    [25, 12, 20.3],
  ])('fuel of %d °C at %d percent', (temperatureC, moisture, percent) => {
    expect(ignitionPercent(temperatureC, moisture)).toBeCloseTo(percent, 1);
  });

  it('is within one step of ten of every table cell, and nearly always on it', () => {
    let hits = 0;
    let all = 0;
    for (const [airF, sun, shade] of cells)
      for (const [text, isShaded] of [
        [sun, false],
        [shade, true],
      ] as const)
        for (const [at, cell] of text.split(' ').map(Number).entries()) {
          const found = ignitionPercentInAir(airF, at + 2, isShaded);
          const step = Math.max(10, Math.round(found / 10) * 10);
          expect(Math.abs(step - cell)).toBeLessThanOrEqual(10);
          if (step === cell) hits += 1;
          all += 1;
        }
    expect(hits / all).toBeGreaterThan(0.94);
  });

  it('stays between 0 and 100', () => {
    expect(ignitionPercent(60, 1)).toBe(100);
    expect(ignitionPercent(0, 60)).toBe(0);
  });
});
