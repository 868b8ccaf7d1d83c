import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import {
  burnNeedOf,
  burnShapeOf,
  burnSizeOf,
  lightingRateOf,
  type SizeConditions,
} from '../../../src/core/weather/burn-size.ts';
import { scorchHeightFeet } from '../../../src/core/weather/scorch.ts';
import type { FuelModel } from '../../../src/core/weather/spread.ts';
import { fakeOperation } from '../../support/operation.ts';
import { fakeOwnRate } from '../../support/own-rates.ts';

const models: FuelModel[] = JSON.parse(
  readFileSync(new URL('../../../shared/fuel-models.json', import.meta.url), 'utf8'),
);
const litter = models.find((one) => one.key === 'model-9-hardwood-litter') as FuelModel;

const winter: SizeConditions = {
  model: litter,
  fuel: 'litter',
  windMph: 10,
  temperatureF: 50,
  fineFuelPercent: 8,
  slopePercent: 0,
  shelter: { canopyPercent: 60, isLeafOn: false },
};

describe('the shape of a block', () => {
  const operation = fakeOperation();
  const block = operation.blocks[0]!;
  const unit = operation.units.find((one) => one.blockId === block.id)!;

  // A square of the test land: 0.005 degrees of longitude by 0.004 of latitude at 37.2 north, worked by hand with
  // 111,320 m a degree: 443 m east to west = 22.0 chains, 445 m north to south = 22.1 chains.
  test.each([
    ['north', 0, 22.13],
    ['south', 180, 22.13],
    ['west', 270, 22.04],
    ['not known: the deeper side', null, 22.13],
  ])('wind from the %s', (_name, degrees, depth) => {
    const shape = burnShapeOf(operation, block, degrees);
    expect(shape.isMapped).toBe(true);
    expect(shape.depthChains).toBeCloseTo(depth, 1);
    expect((shape.depthChains * shape.widthChains) / 10).toBeCloseTo(unit.areaAcres, 6);
  });

  test('a wind across the corner goes over the diagonal', () => {
    expect(burnShapeOf(operation, block, 45).depthChains).toBeGreaterThan(30);
  });

  test('without an outline it is a square of its acres', () => {
    const plain = {
      ...operation,
      units: operation.units.map((one) => ({ ...one, boundary: null })),
    };
    const shape = burnShapeOf(plain, block, 0);
    expect([shape.isMapped, shape.depthChains]).toEqual([false, shape.widthChains]);
  });
});

describe('the size of a burn', () => {
  const square = { depthChains: 20, widthChains: 20 };
  // 40 acres square, backing at 1 chain an hour (the field rule of litter): 20 h and a quarter of lighting; with three
  // interior lines 5 h and one hour of lighting. Worked by hand from the geometry.
  test('hours of a backing fire', () => {
    const size = burnSizeOf(square, winter);
    expect(size.backFeetMinute).toBeCloseTo(1.1, 6);
    expect(size.backingHours).toBeCloseTo(20.25, 6);
    expect(size.backingHoursThreeLines).toBeCloseTo(6, 6);
  });

  test('a warmer day scorches higher, by the ratio of Van Wagner', () => {
    const cold = burnSizeOf(square, winter).scorchFeet;
    const warm = burnSizeOf(square, { ...winter, temperatureF: 95 }).scorchFeet;
    expect(warm / cold).toBeCloseTo((140 - 50) / (140 - 95), 6);
    expect(scorchHeightFeet(0, 50, 2)).toBe(0);
  });

  test('more wind: faster, longer flames, fewer hours of strips', () => {
    const calm = burnSizeOf(square, { ...winter, windMph: 5 });
    const windy = burnSizeOf(square, { ...winter, windMph: 15 });
    expect(windy.headFeetMinute).toBeGreaterThan(calm.headFeetMinute);
    expect(windy.headFlameFeet).toBeGreaterThan(calm.headFlameFeet);
    expect(windy.stripHeadHours).toBeLessThan(calm.stripHeadHours);
    expect(windy.backingHours).toBe(calm.backingHours);
  });
});

describe('hours and days to plan by', () => {
  const rate = { acresAnHour: 16, loggedBurns: 0 };
  test.each([
    [24, 5, 2, 1],
    [72, 5, 5, 1],
    [73, 5, 5.0625, 2],
    [200, 5, 13, 3],
  ])('%d acres, %d hours a day: %d hours, %d days', (acres, usable, hours, days) => {
    expect(burnNeedOf(acres, rate, usable)).toEqual({ lightHours: hours, daysNeeded: days });
  });

  test('a rate that the property learned and accepted comes before the default', () => {
    const own = fakeOwnRate({ treatmentKey: null, densityClass: null, per: 'lighting-hour' });
    expect(lightingRateOf({ ownRates: [] }, 1)).toEqual({ acresAnHour: 16, loggedBurns: 0 });
    const ownRates = [
      { ...own, amount: 12 },
      { ...own, id: 2, amount: 10, entryCount: 4 },
    ];
    expect(lightingRateOf({ ownRates }, 1)).toEqual({ acresAnHour: 10, loggedBurns: 4 });
    expect(lightingRateOf({ ownRates }, 2).loggedBurns).toBe(0);
  });
});
