import { expect, test } from 'vitest';
import { isoDate, toDay } from '../../../src/core/dates.ts';
import { dailyVerdicts, prescriptionRule } from '../../../src/core/weather/fit-days.ts';
import { fitHoursOf, wholeSeasons } from '../../../src/core/weather/fit-hours.ts';
import { missingReading, type WeatherYear } from '../../../src/core/weather/history.ts';
import { hoursOfHistory } from '../../../src/core/weather/hours.ts';
import { monthDayCount, monthDayIndex, unknownDay } from '../../../src/core/weather/past-years.ts';
import { fakeOperation } from '../../support/operation.ts';

const litter = fakeOperation().prescriptions[0]!;
const clock = { standardOffsetMinutes: -360 };

/** A year in which every third day is too wet, and the wind of June is missing. */
function year(name: number, own: Partial<WeatherYear> = {}): WeatherYear {
  const hours = name % 4 === 0 ? 8784 : 8760;
  const column = (of: (hour: number) => number) =>
    Int16Array.from({ length: hours }, (_, at) => of(at));
  return {
    year: name,
    temperatureC10: column(() => 150),
    dewPointC10: column((at) => (Math.floor(at / 24) % 3 === 0 ? 140 : 40)),
    windMs10: column((at) => (at > 151 * 24 && at < 181 * 24 ? missingReading : 40)),
    windDirectionDegrees: column(() => 180),
    rainMm10: column(() => 0),
    ...own,
  };
}

test('the hours of each day are those of the judge of days, in steps', () => {
  const years = [year(2019), year(2020)];
  const rule = prescriptionRule(litter);
  const asked = new Uint8Array(monthDayCount).fill(1);
  const newYearsDay = monthDayIndex(isoDate('2019-01-01'));
  asked[newYearsDay] = 0;
  const counting = fitHoursOf(rule, hoursOfHistory(years), clock, {
    fromYear: 2019,
    toYear: 2020,
    asked,
  });
  let steps = 0;
  let step = counting.next();
  for (; !step.done; step = counting.next()) steps += 1;
  expect(steps).toBeGreaterThan(30);
  const { firstDay, hours } = step.value;
  expect(firstDay).toBe(toDay(isoDate('2019-01-01')));
  const judged = dailyVerdicts(years, clock, rule);
  expect([...hours]).toEqual(
    judged.map(({ date, verdict, hoursInRow }) =>
      date.endsWith('01-01') || verdict === 'unknown'
        ? unknownDay
        : verdict === 'fit'
          ? hoursInRow
          : 0,
    ),
  );
  expect(new Set(hours)).toContain(unknownDay);
  expect(hours.filter((value) => value > 0 && value !== unknownDay).length).toBeGreaterThan(200);
});

test('a burning season counts when both its years have readings in every month', () => {
  const nothing = Int16Array.from({ length: 8760 }, () => missingReading);
  const columns = {
    temperatureC10: nothing,
    dewPointC10: nothing,
    windMs10: nothing,
    rainMm10: nothing,
  };
  const years = [year(2016), year(2017), year(2018, columns), year(2019), year(2020), year(2022)];
  expect(wholeSeasons(years)).toEqual([2016, 2019]);
});
