import type { Crew } from './crews.ts';
import { addDays, type IsoDate, parseIsoDate, union } from './dates.ts';
import { checkDaySpan } from './leases.ts';
import type { Problem } from './problems.ts';

export const bookingStates = ['asked', 'priced', 'signed', 'on-site', 'accepted', 'paid'] as const;
export type BookingState = (typeof bookingStates)[number];

/** A contract crew's job. From `signed` on, its days are days on site. */
export interface Booking {
  id: number;
  crewId: number;
  state: BookingState;
  /** Units in the order of the job. */
  unitIds: number[];
  from: IsoDate;
  /** Last day. */
  until: IsoDate;
  priceBasis: 'day' | 'acre' | 'job';
  priceUsd: number;
  moveInUsd: number;
  /** Fewest days that the crew comes for. */
  daysLeast: number;
  /** Last day to book by; null = not known. */
  bookBy: IsoDate | null;
  note: string;
}

/** True from the signature on: then the days of the job are days on site. */
export function isSigned(state: BookingState): boolean {
  return bookingStates.indexOf(state) >= bookingStates.indexOf('signed');
}

/** What is wrong with a booking as entered; empty = it can be stored. */
export function checkBooking(booking: Omit<Booking, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `booking-${field}`, field, message });
  const { bookBy, daysLeast } = booking;
  if (!bookingStates.includes(booking.state)) say('state', 'State: pick one from the list.');
  checkDaySpan(booking.from, booking.until, say);
  for (const [field, name, dollars] of [
    ['priceUsd', 'Price', booking.priceUsd],
    ['moveInUsd', 'Move-in', booking.moveInUsd],
  ] as const)
    if (!(dollars >= 0 && Number.isFinite(dollars))) say(field, `${name}: give dollars from 0 up.`);
  if (!(Number.isInteger(daysLeast) && daysLeast >= 0))
    say('daysLeast', 'Fewest days: give a whole number from 0 up.');
  if (bookBy !== null && !parseIsoDate(bookBy))
    say('bookBy', 'Book by: give a real day, or leave it blank.');
  return problems;
}

/**
 * Crews with the days of their signed bookings among those on site; a crew that is there all year stays as it is.
 * `enteredSpans` keeps what the user entered.
 */
export function crewsOnSite(land: { crews: Crew[]; bookings: readonly Booking[] }): Crew[] {
  return land.crews.map((crew) => {
    const { onSpans } = crew;
    const booked = land.bookings
      .filter(({ crewId, state }) => crewId === crew.id && isSigned(state))
      .map(({ from, until }) => ({ startsOn: from, endsBefore: addDays(until, 1) }));
    if (crew.kind !== 'contract' || onSpans === null || booked.length === 0) return crew;
    return { ...crew, onSpans: union([...onSpans, ...booked]), enteredSpans: onSpans };
  });
}
