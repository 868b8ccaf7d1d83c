import { type IsoDate, isoDate, toDay } from '../../../src/core/dates.ts';
import type { FitHours, PastBurn, PastYearsInput } from '../../../src/core/weather/past-years.ts';

/** A burn of the tests: open in February and March 2027, ready at once, one day, six people. */
export function pastBurn(fit: FitHours, trials: number, own: Partial<PastBurn> = {}): PastBurn {
  const span = { from: dayOf('2027-02-01'), to: dayOf('2027-03-31') };
  return {
    key: 'burn-a',
    propertyId: 1,
    nearKey: own.key ?? 'a',
    unitIds: [1],
    areaAcres: 20,
    peopleLeast: 6,
    gearKeys: [],
    daysNeeded: 1,
    lightHours: 2,
    isOverdue: false,
    plannedFrom: span.from,
    readyFrom: span.from,
    windows: Array.from({ length: trials }, () => span),
    fit,
    ...own,
  };
}

export const dayOf = (date: string): number => toDay(isoDate(date));

/** The burning season 2026-27 with seven people and a boss on every day, all fit days used. */
export function pastInput(
  burns: PastBurn[],
  seasons: number[],
  own: Partial<PastYearsInput> = {},
): PastYearsInput {
  const from = dayOf('2026-07-01');
  const until = dayOf('2027-07-01');
  return {
    burns,
    from,
    until,
    seasonStart: from,
    seasons,
    people: Array.from({ length: until - from }, () => ({ people: 7, bosses: 1 })),
    gearCount: {},
    gearOff: {},
    usedShare: 1,
    seed: 1,
    ...own,
  };
}

/** Fit hours of past days from the dates that are fit. */
export function fitOn(
  from: IsoDate,
  until: IsoDate,
  fitDates: Iterable<string>,
  hours = 5,
): FitHours {
  const firstDay = toDay(from);
  const found: FitHours = { firstDay, hours: new Uint8Array(toDay(until) - firstDay) };
  for (const date of fitDates) found.hours[dayOf(date) - firstDay] = hours;
  return found;
}
