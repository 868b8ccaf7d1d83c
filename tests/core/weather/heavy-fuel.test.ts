import { describe, expect, it } from 'vitest';
import { equilibriumMoisturePercent } from '../../../src/core/weather/fine-fuel.ts';
import {
  type HeavyFuelDay,
  hundredHourPercent,
  rainHours,
  thousandHourPercent,
} from '../../../src/core/weather/heavy-fuel.ts';

const dry: HeavyFuelDay = {
  highF: 70,
  lowF: 45,
  rhHighPercent: 80,
  rhLowPercent: 30,
  rainInches: 0,
  dayLengthHours: 12,
};

/** A made-up season with rain every fifth day. */
const season = Array.from({ length: 60 }, (_, day) => ({
  ...dry,
  highF: 55 + (day % 20),
  lowF: 35 + (day % 15),
  rhLowPercent: 25 + (day % 30),
  rhHighPercent: 70 + (day % 25),
  rainInches: day % 5 === 0 ? (day % 4) * 0.3 : 0,
  dayLengthHours: 11 + day / 30,
}));

describe('heavy dead fuel moisture', () => {
  // Factors of Cohen and Deeming 1985 (from memory): 0.31563 a day and 0.30681 a week.
  it('100-hour fuel goes 31.6 percent of the way in a day', () => {
    const middle = (equilibriumMoisturePercent(70, 30) + equilibriumMoisturePercent(45, 80)) / 2;
    expect(hundredHourPercent([dry], 20)[0]).toBeCloseTo(20 + (middle - 20) * 0.31563, 3);
  });

  // The public series of section 7 of the facts sheet is not at hand: the same recurrence written a second way, with the
  // daily weights unrolled, must give the same numbers.
  it('agrees with the recurrence written another way', () => {
    const surface = (wetBase: number, wetHour: number) =>
      season.map((day) => {
        const hours = Math.min(8, day.rainInches / 0.09);
        const eq =
          (day.dayLengthHours / 24) * equilibriumMoisturePercent(day.highF, day.rhLowPercent) +
          (1 - day.dayLengthHours / 24) * equilibriumMoisturePercent(day.lowF, day.rhHighPercent);
        return eq + (hours / 24) * (wetBase + wetHour * hours - eq);
      });
    const keep = 0.87 * Math.exp(-0.24);
    const hundred = surface(41, 0.5);
    const last = hundred.length - 1;
    let unrolled = 20 * keep ** hundred.length;
    for (const [at, one] of hundred.entries()) unrolled += one * (1 - keep) * keep ** (last - at);
    expect(hundredHourPercent(season, 20)[last]).toBeCloseTo(unrolled, 9);

    const weekKeep = 0.82 * Math.exp(-0.168);
    const padded = [...Array<number>(6).fill(20), ...surface(76, 2.7)];
    const weekMean = (at: number) => padded.slice(at, at + 7).reduce((a, b) => a + b, 0) / 7;
    let weekly = 20;
    for (let at = last % 7; at <= last; at += 7)
      weekly = weekly * weekKeep + weekMean(at) * (1 - weekKeep);
    expect(thousandHourPercent(season, 20)[last]).toBeCloseTo(weekly, 9);
  });

  it('heavier fuel answers rain more slowly', () => {
    const days = [...Array<HeavyFuelDay>(30).fill(dry), { ...dry, rainInches: 0.5 }];
    const rise = (series: number[]) => (series[30] ?? 0) - (series[29] ?? 0);
    expect(rise(hundredHourPercent(days, 14))).toBeGreaterThan(rise(thousandHourPercent(days, 14)));
    expect(rise(thousandHourPercent(days, 14))).toBeGreaterThan(0);
  });

  it('takes at most 8 hours of rain a day', () => {
    expect(rainHours(0.09)).toBeCloseTo(1, 9);
    expect(rainHours(3)).toBe(8);
  });
});
