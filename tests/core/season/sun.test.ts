import { Body, Observer, SearchAltitude, SearchRiseSet } from 'astronomy-engine';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addDays, daysBetween, isoDate, toDay } from '../../../src/core/dates.ts';
import { sunTimes } from '../../../src/core/season/sun.ts';

const columbia = { latitude: 38.9517, longitude: -92.3341 };
const springfield = { latitude: 39.8, longitude: -89.65 };
const centralStandardMinutes = -360;

function clockMinutes(text: string): number {
  const [hours, minutes, seconds] = text.split(':').map(Number) as [number, number, number];
  return hours * 60 + minutes + seconds / 60;
}

const secondsOff = (seconds: number) => seconds / 60;

/**
 * Central Standard Time. Computed for this project with suncalc 2.0.2 and astronomy-engine 2.1.19, which agreed within
 * 3 s; the last two columns by the short formulas of the NOAA Global Monitoring Division, good to about 2.3 min.
 */
const rows = [
  ['2024-01-01', columbia, '06:58:13 07:28:03 16:57:36 17:27:27', 9.493, '07:27:49 16:56:40'],
  ['2024-03-20', columbia, '05:45:17 06:11:52 18:21:54 18:48:32', 12.167, '06:13:28 18:21:03'],
  ['2024-04-15', columbia, '05:04:21 05:31:57 18:47:04 19:14:46', 13.252, '05:33:06 18:45:41'],
  ['2024-06-20', columbia, '04:11:50 04:44:00 19:38:11 20:10:21', 14.903, '04:43:27 19:37:40'],
  ['2024-11-05', columbia, '06:13:45 06:41:41 17:03:44 17:31:39', 10.368, '06:40:20 17:05:46'],
  ['2024-12-21', columbia, '06:54:44 07:24:44 16:50:46 17:20:46', 9.434, '07:24:12 16:50:09'],
  ['2024-01-01', springfield, '06:49:31 07:19:49 16:44:23 17:14:40', 9.409, '07:19:35 16:43:26'],
] as const;

describe('sun', () => {
  it.each(rows)('%s at %o', (date, place, times, dayLengthHours, shortFormula) => {
    const sun = sunTimes(isoDate(date), place.latitude, place.longitude);
    const [dawn, rise, set, dusk] = times.split(' ').map(clockMinutes) as number[];
    const local = (utc: number | null) => (utc ?? Number.NaN) + centralStandardMinutes;
    for (const [found, expected] of [
      [local(sun.dawnUtcMinutes), dawn],
      [local(sun.sunriseUtcMinutes), rise],
      [local(sun.sunsetUtcMinutes), set],
      [local(sun.duskUtcMinutes), dusk],
    ] as [number, number][])
      expect(Math.abs(found - expected)).toBeLessThanOrEqual(secondsOff(4));
    expect(sun.dayLengthHours).toBeCloseTo(dayLengthHours, 2);
    const [noaaRise, noaaSet] = shortFormula.split(' ').map(clockMinutes) as [number, number];
    expect(Math.abs(local(sun.sunriseUtcMinutes) - noaaRise)).toBeLessThanOrEqual(2.3);
    expect(Math.abs(local(sun.sunsetUtcMinutes) - noaaSet)).toBeLessThanOrEqual(2.3);
  });

  // Willson 1908: sunrise at Springfield, Illinois, on 1 January, "7h. 20m." Central Standard Time.
  it('the almanac of 1908 gives the same minute', () => {
    const { latitude, longitude } = springfield;
    const sun = sunTimes(isoDate('1908-01-01'), latitude, longitude);
    expect(Math.round((sun.sunriseUtcMinutes ?? 0) + centralStandardMinutes)).toBe(7 * 60 + 20);
  });

  // FAO Irrigation and Drainage Paper 56, Examples 8 and 9 (from memory): 20 S, 3 September, N = 11.7 h for the bare
  // geometry of the sun's centre. Refraction and the sun's radius add 2 x 0.833 / (15 cos lat cos decl) = 0.12 h.
  it('agrees with the day length of FAO-56 when refraction is added', () => {
    const added = (2 * 0.833) / (15 * Math.cos((20 * Math.PI) / 180) * Math.cos(0.12));
    expect(sunTimes(isoDate('2024-09-02'), -20, 0).dayLengthHours).toBeCloseTo(11.67 + added, 1);
  });

  it('agrees with a second library over the contiguous states', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 20_000 }),
        fc.integer({ min: 25, max: 49 }),
        fc.integer({ min: -124, max: -67 }),
        (days, latitude, longitude) => {
          const date = addDays(isoDate('2000-01-01'), days);
          const midnightMs = toDay(date) * 86_400_000;
          const observer = new Observer(latitude, longitude, 0);
          // Before the local midnight that opens the date, so that the next rise and set are the date's own.
          const from = new Date(midnightMs - (longitude / 15) * 3_600_000);
          const sun = sunTimes(date, latitude, longitude);
          const second = (found: { date: Date } | null) =>
            ((found?.date.getTime() ?? Number.NaN) - midnightMs) / 60_000;
          for (const [first, other] of [
            [sun.sunriseUtcMinutes, SearchRiseSet(Body.Sun, observer, 1, from, 1)],
            [sun.sunsetUtcMinutes, SearchRiseSet(Body.Sun, observer, -1, from, 1)],
            [sun.dawnUtcMinutes, SearchAltitude(Body.Sun, observer, 1, from, 1, -6)],
            [sun.duskUtcMinutes, SearchAltitude(Body.Sun, observer, -1, from, 1, -6)],
          ] as const)
            expect(Math.abs((first ?? Number.NaN) - second(other))).toBeLessThanOrEqual(
              secondsOff(10),
            );
        },
      ),
      { numRuns: 40 },
    );
  });

  it('has no rise, set or dusk where there is none', () => {
    expect(sunTimes(isoDate('2024-06-21'), 71, -156)).toEqual({
      dawnUtcMinutes: null,
      sunriseUtcMinutes: null,
      sunsetUtcMinutes: null,
      duskUtcMinutes: null,
      dayLengthHours: 24,
    });
    const winter = sunTimes(isoDate('2024-12-21'), 71, -156);
    expect(winter).toMatchObject({
      sunriseUtcMinutes: null,
      sunsetUtcMinutes: null,
      dayLengthHours: 0,
    });
    expect(winter.dawnUtcMinutes).not.toBeNull();
  });

  it('goes on from day to day across the leap day', () => {
    const rises = ['2024-02-28', '2024-02-29', '2024-03-01'].map(
      (date) => sunTimes(isoDate(date), 38, -92).sunriseUtcMinutes ?? 0,
    );
    expect(daysBetween(isoDate('2024-02-28'), isoDate('2024-03-01'))).toBe(2);
    expect((rises[0] ?? 0) - (rises[1] ?? 0)).toBeCloseTo((rises[1] ?? 0) - (rises[2] ?? 0), 0);
  });
});
