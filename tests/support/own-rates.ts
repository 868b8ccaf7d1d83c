import { isoDate } from '../../src/core/dates.ts';
import type { OwnRate } from '../../src/core/own-rates.ts';

/** An accepted rate of felling on property 1, invented. */
export function fakeOwnRate(own: Partial<OwnRate> = {}): OwnRate {
  return {
    id: 1,
    propertyId: 1,
    treatmentKey: 'cedar-felling',
    densityClass: 'moderate',
    per: 'crew-day',
    amount: 2,
    mean: 2,
    lowest: 1.5,
    highest: 2.6,
    entryCount: 3,
    acceptedOn: isoDate('2026-10-05'),
    ...own,
  };
}
