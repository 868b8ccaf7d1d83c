import { expect, test } from 'vitest';
import { isoDate, toDay } from '../../../src/core/dates.ts';
import { cureDaysBetween, cureWeatherOf } from '../../../src/core/weather/cure-days.ts';
import { missingReading, type WeatherYear } from '../../../src/core/weather/history.ts';

const central = { standardOffsetMinutes: -360 };

/** 15 C all year, dew point as given, dry. */
function year(which: number, dewPointC10: number): WeatherYear {
  const hours = which % 4 === 0 ? 8784 : 8760;
  const column = (value: number) => new Int16Array(hours).fill(value);
  return {
    year: which,
    temperatureC10: column(150),
    dewPointC10: column(dewPointC10),
    windMs10: column(40),
    windDirectionDegrees: column(270),
    rainMm10: column(0),
  };
}

test('a day has the mean of its hours and its rain; one with too few hours is not known', () => {
  const one = year(2021, 150);
  one.temperatureC10[10 * 24 + 6] = 390;
  one.dewPointC10[10 * 24 + 6] = missingReading;
  one.rainMm10[10 * 24 + 20] = 254;
  for (let hour = 0; hour < 5; hour++) one.temperatureC10[20 * 24 + 6 + hour] = missingReading;
  const { byDay } = cureWeatherOf([one], central);
  const first = toDay(isoDate('2021-01-01'));
  expect(byDay.get(first + 10)).toEqual({
    rhMeanPercent: 100,
    temperatureMeanF: 60.8,
    rainInches: 1,
  });
  expect(byDay.get(first + 20)).toMatchObject({ rhMeanPercent: null, temperatureMeanF: null });
});

test('where no day is held the mean of past years stands in, and the observed days are counted', () => {
  const weather = cureWeatherOf([year(2019, 150), year(2021, 150)], central);
  const { days, observedDays } = cureDaysBetween(
    weather,
    isoDate('2021-12-20'),
    isoDate('2022-01-09'),
  );
  expect(days).toHaveLength(20);
  // The last evening of 2021 is already in the next UTC year, which is not held: too few hours.
  expect(observedDays).toBe(10);
  expect(days[15]).toEqual({ rhMeanPercent: 100, temperatureMeanF: 59, rainInches: 0 });
});
