import { getTimes } from 'suncalc';
import { type IsoDate, toDay } from '../dates.ts';

/**
 * Minutes after 00:00 UTC of the date asked for. West of Greenwich the evening of a date is often over 1440; far east
 * the morning is below 0. Null = the sun does not come to that height on the day (high latitudes).
 */
export interface SunTimes {
  /** Begin of civil twilight: sun 6 degrees below the horizon. */
  dawnUtcMinutes: number | null;
  sunriseUtcMinutes: number | null;
  sunsetUtcMinutes: number | null;
  /** End of civil twilight. */
  duskUtcMinutes: number | null;
  /** Sunrise to sunset; 24 where the sun does not set, 0 where it does not rise. */
  dayLengthHours: number;
}

/**
 * Sunrise, sunset, civil twilight and day length of a date at a place, longitude east positive (United States
 * negative). Library suncalc 2 (after Meeus, Astronomical Algorithms); the tests hold it against a second library.
 * Sunrise is the upper edge on a flat horizon with usual refraction (centre 50' below); hills and trees are not in it.
 */
export function sunTimes(date: IsoDate, latitude: number, longitude: number): SunTimes {
  const midnightMs = toDay(date) * 86_400_000;
  // The library takes the solar noon nearest to the instant given: local noon of the date.
  const noonMs = midnightMs + (12 - longitude / 15) * 3_600_000;
  const times = getTimes(new Date(noonMs), latitude, longitude);
  const minutes = (at: Date | null) => (at === null ? null : (at.getTime() - midnightMs) / 60_000);
  const sunriseUtcMinutes = minutes(times.sunrise);
  const sunsetUtcMinutes = minutes(times.sunset);
  return {
    dawnUtcMinutes: minutes(times.dawn),
    sunriseUtcMinutes,
    sunsetUtcMinutes,
    duskUtcMinutes: minutes(times.dusk),
    dayLengthHours:
      sunriseUtcMinutes === null || sunsetUtcMinutes === null
        ? times.alwaysUp
          ? 24
          : 0
        : (sunsetUtcMinutes - sunriseUtcMinutes) / 60,
  };
}
