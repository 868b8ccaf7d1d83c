import type { IsoDate } from './dates.ts';

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
