import { describe, expect, it } from 'vitest';
import { poundsAcrePerGram } from '../../src/core/land-answers.ts';
import { loadLibrary } from '../../src/reference/library.ts';

const { yardsticks } = loadLibrary();
const yardstick = (key: string) => yardsticks.find((one) => one.key === key);

/** Pounds an acre of a kilogram a hectare: 0.892, the factor of conversion tables for rangeland. */
const perKilogramHectare = 0.892;
const perGramSquareMeter = poundsAcrePerGram(10.7639);

describe('yardsticks of forage', () => {
  // Shaw and Harper 2007; SEAFWA 1984 and 1982 (kg/ha); NSF repository 10494865 (g/m2).
  it.each([
    ['woody-leaf-burned-tennessee', 109, 196],
    ['woody-leaf-control-tennessee', 59, 71],
    ['forage-ouachita-pine', 172 * perKilogramHectare, 1914 * perKilogramHectare],
    ['forage-loblolly-thinned-burned', 26 * perKilogramHectare, 429 * perKilogramHectare],
    ['understory-savanna-woodland', 2.9 * perGramSquareMeter, 466.3 * perGramSquareMeter],
  ])('%s is the published range', (key, low, high) => {
    const row = yardstick(key);
    expect(row?.status).toBe('published');
    expect(Math.abs((row?.low ?? 0) - low)).toBeLessThan(1);
    expect(Math.abs((row?.high ?? 0) - high)).toBeLessThan(1);
  });

  // Common practice, no source: said so on the page.
  it.each([
    ['browse-closed-cedar', 50, 100],
    ['browse-opened-and-burned', 500, 1500],
  ])('%s is called common practice', (key, low, high) =>
    expect(yardstick(key)).toMatchObject({
      low,
      high,
      status: 'common-practice',
      unit: 'lb an acre',
    }),
  );

  it('each is a range of a measure that the program makes', () => {
    for (const { key, series, low, high } of yardsticks) {
      expect(low, key).toBeLessThan(high);
      expect(['forage-browse', 'forage-herbs', 'forage-all']).toContain(series);
    }
  });
});
