import { type IsoDate, type MonthDay, parseMonthDay } from './dates.ts';
import { checkDaySpan } from './leases.ts';
import type { Problem } from './problems.ts';

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

/** Most days of rest or deferral that can be entered: nearly a year. */
export const grazingDaysMost = 360;

/** What is wrong with a grazing span as entered; empty = it can be stored. */
export function checkGrazing(span: Omit<GrazingSpan, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `grazing-${field}`, field, message });
  if (span.unitIds.length === 0) say('unitIds', 'Units: pick at least one.');
  if (!parseMonthDay(span.opens))
    say('opens', 'First day in each year: give a month and day, such as 04-15.');
  if (!parseMonthDay(span.closes))
    say('closes', 'Last day in each year: give a month and day, such as 10-15.');
  for (const [field, name, days] of [
    ['restDaysBeforeFire', 'Rest before a fire', span.restDaysBeforeFire],
    ['deferDaysAfterFire', 'Rest after a fire', span.deferDaysAfterFire],
  ] as const)
    if (!(Number.isInteger(days) && days >= 0 && days <= grazingDaysMost))
      say(field, `${name}: give whole days from 0 to ${grazingDaysMost}.`);
  checkDaySpan(span.from, span.until, say);
  return problems;
}
