import { isoDate, toDay } from '../dates.ts';
import { type Forecast, forecastStaleHours } from './readings.ts';

function minutesOf(at: string): number {
  return (
    toDay(isoDate(at.slice(0, 10))) * 1440 +
    Number(at.slice(11, 13)) * 60 +
    Number(at.slice(14, 16))
  );
}

/** Hours since a forecast was issued, at an instant `YYYY-MM-DDTHH:MM...Z`; never negative. */
export function forecastAgeHours(forecast: Pick<Forecast, 'issuedAt'>, now: string): number {
  return Math.max(0, (minutesOf(now) - minutesOf(forecast.issuedAt)) / 60);
}

/** True when a forecast is too old to lean on. */
export function isForecastStale(forecast: Pick<Forecast, 'issuedAt'>, now: string): boolean {
  return forecastAgeHours(forecast, now) > forecastStaleHours;
}
