import type { IsoDate, MonthDay } from './dates.ts';

/** Cattle or hay on units in a span of each year. */
export interface GrazingSpan {
  id: number;
  propertyId: number;
  unitIds: number[];
  stock: 'cattle' | 'other-stock' | 'hay';
  opens: MonthDay;
  closes: MonthDay;
  /** Years it holds for; null = open on that side. */
  from: IsoDate | null;
  until: IsoDate | null;
  /** Days without stock before a fire, so that grass carries it. */
  restDaysBeforeFire: number;
  /** Days without stock after a fire. */
  deferDaysAfterFire: number;
  note: string;
}
