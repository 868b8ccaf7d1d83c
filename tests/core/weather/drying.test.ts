import { describe, expect, it } from 'vitest';
import {
  type DryingSite,
  daysToLookBack,
  dryDaysNeeded,
  exposureOf,
  isDryAfterRain,
} from '../../../src/core/weather/drying.ts';
import { loadLibrary } from '../../../src/reference/library.ts';

const rows = loadLibrary().weatherTables.dryingDays;

const southGlade: DryingSite = { aspect: 'S', slopePercent: 25, canopyPercent: 10, fuel: 'grass' };
const southLitter: DryingSite = { ...southGlade, canopyPercent: 60, fuel: 'litter' };
const northWoodland: DryingSite = {
  aspect: 'N',
  slopePercent: 25,
  canopyPercent: 70,
  fuel: 'litter',
};

describe('days that fine fuel needs after rain', () => {
  // Common practice, no source: south and west slopes and grass 1 to 2 days, north-slope litter 3 to 5.
  it.each([2, 3, 4, 10, 11, 12])('are those of practice in month %d', (month) => {
    for (const site of [southGlade, southLitter]) {
      expect(dryDaysNeeded(rows, site, month, 0.5)).toBeGreaterThanOrEqual(1);
      expect(dryDaysNeeded(rows, site, month, 0.5)).toBeLessThanOrEqual(2);
    }
    expect(dryDaysNeeded(rows, northWoodland, month, 0.5)).toBeGreaterThanOrEqual(3);
    expect(dryDaysNeeded(rows, northWoodland, month, 0.5)).toBeLessThanOrEqual(5);
  });

  it('in January a north slope may never dry', () => {
    expect(dryDaysNeeded(rows, northWoodland, 1, 0.5)).toBeGreaterThanOrEqual(10);
  });

  it('on the same days after rain a south glade is dry and a north woodland is not', () => {
    const twoDaysAfter = [0, 0, 0.5];
    expect(isDryAfterRain(rows, southGlade, 3, twoDaysAfter)).toBe(true);
    expect(isDryAfterRain(rows, northWoodland, 3, twoDaysAfter)).toBe(false);
    expect(isDryAfterRain(rows, northWoodland, 3, [0, 0, 0, 0, 0.5])).toBe(true);
  });

  it.each([
    ['too little to get through', 0.01, 0],
    ['half of the days under a tenth', 0.05, 2],
    ['the days of the table', 0.1, 4],
    ['a day more after an inch', 1, 5],
  ])('%s', (_, rainInches, days) => {
    expect(dryDaysNeeded(rows, northWoodland, 3, rainInches)).toBe(days);
  });

  it('a dense canopy over litter takes a day more', () => {
    expect(dryDaysNeeded(rows, { ...northWoodland, canopyPercent: 90 }, 3, 0.3)).toBe(5);
    expect(dryDaysNeeded(rows, { ...southGlade, canopyPercent: 90 }, 3, 0.3)).toBe(1);
  });

  it('a missing reading is unknown only as long as a wetting rain would count', () => {
    expect(isDryAfterRain(rows, southGlade, 3, [0, null, 0])).toBe(true);
    expect(isDryAfterRain(rows, southGlade, 3, [null, 0, 0])).toBeNull();
    expect(isDryAfterRain(rows, northWoodland, 3, [0, null, 0])).toBeNull();
    expect(isDryAfterRain(rows, northWoodland, 3, [0, null, 0.5])).toBe(false);
  });

  it('sorts slopes by sun', () => {
    expect(exposureOf({ aspect: 'SW', slopePercent: 20 })).toBe('sunny');
    expect(exposureOf({ aspect: 'NE', slopePercent: 20 })).toBe('shady');
    expect(exposureOf({ aspect: 'SE', slopePercent: 20 })).toBe('level');
    expect(exposureOf({ aspect: 'N', slopePercent: 5 })).toBe('level');
    expect(exposureOf({ aspect: null, slopePercent: null })).toBe('level');
  });

  it('looks back over the longest wait of the table', () => {
    expect(daysToLookBack(rows)).toBe(12);
    expect(() => dryDaysNeeded([], southGlade, 3, 0.5)).toThrow(RangeError);
  });
});
