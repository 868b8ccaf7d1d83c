import { describe, expect, test } from 'vitest';
import { isoDate } from '../../../src/core/dates.ts';
import { forecastAgeHours, isForecastStale } from '../../../src/core/weather/forecast-age.ts';
import { missingReading } from '../../../src/core/weather/history.ts';
import { noReading } from '../../../src/core/weather/hours.ts';
import { mergedYears } from '../../../src/core/weather/merge-years.ts';
import { hoursOfParts } from '../../../src/core/weather/typed-forecast.ts';

describe('age of a forecast', () => {
  test.each([
    ['2026-11-25T12:00:00Z', 0, false],
    ['2026-11-25T06:00:00Z', 6, false],
    ['2026-11-25T05:59:00Z', 361 / 60, true],
    ['2026-11-24T12:00:00Z', 24, true],
    // Issued by a clock that runs ahead.
    ['2026-11-25T12:05:00Z', 0, false],
  ])('issued %s', (issuedAt, hours, isStale) => {
    const now = '2026-11-25T12:00:30Z';
    expect(forecastAgeHours({ issuedAt }, now)).toBeCloseTo(hours, 9);
    expect(isForecastStale({ issuedAt }, now)).toBe(isStale);
  });
});

describe('typed parts of a day', () => {
  const date = isoDate('2026-12-31');

  test('become hours of UTC with the rain shared out; parts without an element give none', () => {
    const reading = { ...noReading, rhPercent: 40, rainMm: 3 };
    const hours = hoursOfParts(
      [
        { date, fromHour: 18, untilHour: 24, reading: { ...noReading, windMs: 2 } },
        { date, fromHour: 12, untilHour: 15, reading },
        { date, fromHour: 0, untilHour: 6, reading: noReading },
      ],
      -360,
    );
    expect(hours.map((hour) => hour.at)).toEqual([
      ...['2026-12-31T18:00Z', '2026-12-31T19:00Z', '2026-12-31T20:00Z'],
      ...['2027-01-01T00:00Z', '2027-01-01T01:00Z', '2027-01-01T02:00Z'],
      ...['2027-01-01T03:00Z', '2027-01-01T04:00Z', '2027-01-01T05:00Z'],
    ]);
    expect(hours[0]).toMatchObject({ rhPercent: 40, rainMm: 1, windMs: null });
    expect(hours[3]).toMatchObject({ rhPercent: null, rainMm: null, windMs: 2 });
  });
});

test('new readings are laid over old ones, and a gap leaves the old one', () => {
  const none = missingReading;
  const older = [{ year: 2020, windMs10: Int16Array.of(1, 2, 3), snowCm: Int16Array.of(7, 7, 7) }];
  const newer = [
    { year: 2020, windMs10: Int16Array.of(none, 5, none), snowCm: Int16Array.of(none, none, 0) },
    { year: 2021, windMs10: Int16Array.of(4, 4, 4), snowCm: Int16Array.of(0, 0, 0) },
  ];
  const [merged, added] = mergedYears(older, newer);
  expect([...merged!.windMs10]).toEqual([1, 5, 3]);
  expect([...merged!.snowCm]).toEqual([7, 7, 0]);
  expect(added).toEqual(newer[1]);
});
