import { describe, expect, test } from 'vitest';
import { dewPointOf, relativeHumidityPercent } from '../../../src/core/weather/humidity.ts';
import {
  humidityAfterWarming,
  roughFineFuelPercent,
  spotStudy,
  spottedPercent,
} from '../../../src/core/weather/thumb-rules.ts';

const celsius = (degreesF: number) => (degreesF - 32) / 1.8;

/** CV12: Oklahoma State University Extension E-1010, fire weather; the second step is derived from the first. */
describe('CV12: the rule of halves', () => {
  test.each([
    [80, 20],
    [100, 10],
  ])('60 °F and 40 %% warmed to %d °F are %d %%', (toF, percent) => {
    expect(humidityAfterWarming(40, toF - 60)).toBe(percent);
    // The same air by the Magnus form that the program counts with.
    const dewPoint = dewPointOf(celsius(60), 40);
    const exact = relativeHumidityPercent(celsius(toF), dewPoint);
    expect(Math.abs(exact - percent)).toBeLessThanOrEqual(1.2);
  });

  test('air is never wetter than wet', () => expect(humidityAfterWarming(80, -20)).toBe(100));
});

/** CV13: Weir 2007, RMRS-P-47, pages 69 to 72. */
test('CV13: spot fires of 99 burns', () => {
  expect((100 * spotStudy.spotted) / spotStudy.burns).toBeCloseTo(21.2, 1);
  expect([24.9, 25, 39.9, 40, 70].map(spottedPercent)).toEqual([100, 41.3, 41.3, 3.8, 3.8]);
});

/** CV14: Texas prescribed burn handbook, table as reproduced (secondary copy). */
test('CV14: fine fuel moisture about humidity over five', () =>
  expect(roughFineFuelPercent(62)).toBe(12.4));
