import { describe, expect, it } from 'vitest';
import {
  dispersalFindings,
  knotFeetOf,
  ventilationCategory,
  ventilationM2s,
} from '../../../src/core/weather/smoke.ts';

describe('smoke', () => {
  // Published worked figures: 600 m and 4 m/s are 2,400 m²/s; 3000 m and 4 m/s 12,000. 1 m²/s = 6.3775 knot-feet.
  it('ventilation is mixing height times transport wind', () => {
    expect(ventilationM2s(600, 4)).toBe(2400);
    expect(ventilationM2s(3000, 4)).toBe(12_000);
    expect(knotFeetOf(1)).toBeCloseTo(6.3775, 3);
    expect(knotFeetOf(2400)).toBeCloseTo(15_306, -1);
    expect(knotFeetOf(6000)).toBeCloseTo(38_265, -1);
  });

  it('takes the category whose floor is highest, by rules that the user enters in any order', () => {
    const rules = [
      { name: 'II', leastM2s: 2000, isBurningAllowed: true, note: '' },
      { name: 'I', leastM2s: 500, isBurningAllowed: false, note: '' },
    ];
    expect(ventilationCategory(2000, rules)?.name).toBe('II');
    expect(ventilationCategory(1999, rules)?.name).toBe('I');
    expect(ventilationCategory(499, rules)).toBeNull();
    expect(ventilationCategory(9000, [])).toBeNull();
  });

  // CV11: categories of Oklahoma State University Extension E-1010, smoke section, and the worked 600 m by 4 m/s of Ferguson
  // 2001; the document gives ranges, so whose an edge is, is our choice: the higher category's.
  it.each([
    [1999, 'I'],
    [2000, 'II'],
    [2400, 'II'],
    [4000, 'III'],
    [8000, 'IV'],
    [16_001, 'V'],
  ])('CV11: %d m²/s is category %s', (m2s, name) => {
    const floors = { I: 0, II: 2000, III: 4000, IV: 8000, V: 16_001 };
    const rules = Object.entries(floors).map(([category, leastM2s]) => ({
      ...{ name: category, leastM2s, isBurningAllowed: category !== 'I', note: '' },
    }));
    expect(ventilationCategory(m2s, rules)?.name).toBe(name);
  });

  // Study guide: 1,700 to 6,500 feet, 9 to 20 mph, over 6,000 m²/s; 1,700 feet by 9 mph is only 2,085.
  it('keeps the three limits of good dispersal apart', () => {
    expect(ventilationM2s(1700 * 0.3048, 9 * 0.44704)).toBeCloseTo(2085, 0);
    expect(dispersalFindings(1700, 9).map((one) => one.isInside)).toEqual([true, true, false]);
    expect(dispersalFindings(5000, 15).map((one) => one.isInside)).toEqual([true, true, true]);
    expect(dispersalFindings(7000, 25).map((one) => one.isInside)).toEqual([false, false, true]);
  });
});
