import { expect, test } from 'vitest';
import { dailyOfHours } from '../../../src/core/weather/daily-of-hours.ts';
import { missingReading, traceRain, type WeatherYear } from '../../../src/core/weather/history.ts';

const central = { standardOffsetMinutes: -360 };

function year(): WeatherYear {
  const column = (value: number) => new Int16Array(8760).fill(value);
  return {
    year: 2021,
    temperatureC10: column(100),
    dewPointC10: column(50),
    windMs10: column(40),
    windDirectionDegrees: column(270),
    rainMm10: column(0),
    gustMs10: column(missingReading),
  };
}

/** Sets an hour of a local day (0 = 1 January). */
const at = (day: number, hour: number) => day * 24 + hour + 6;

test('high, low, rain, wind and gust of local days', () => {
  const one = year();
  one.temperatureC10[at(10, 15)] = 180;
  one.temperatureC10[at(10, 5)] = -20;
  one.rainMm10[at(10, 23)] = 30;
  one.rainMm10[at(11, 0)] = 7;
  one.rainMm10[at(12, 3)] = traceRain;
  one.gustMs10![at(10, 14)] = 110;
  const [daily] = dailyOfHours([one], central);
  const of = (day: number) =>
    (['highC10', 'lowC10', 'rainMm10', 'windMs10', 'gustMs10'] as const).map(
      (key) => daily?.[key][day],
    );
  expect(of(10)).toEqual([180, -20, 30, 40, 110]);
  expect(of(11)).toEqual([100, 100, 7, 40, missingReading]);
  expect(of(12)).toEqual([100, 100, 0, 40, missingReading]);
  expect(daily?.highC10).toHaveLength(365);
});

test('a day with fewer than 20 known hours has no high and low', () => {
  const one = year();
  for (let hour = 0; hour < 4; hour++) one.temperatureC10[at(20, hour)] = missingReading;
  for (let hour = 0; hour < 5; hour++) one.temperatureC10[at(21, hour)] = missingReading;
  const [daily] = dailyOfHours([one], central);
  expect([daily?.highC10[20], daily?.highC10[21]]).toEqual([100, missingReading]);
});
