import { type IsoDate, type MonthDay, parseIsoDate, parseMonthDay } from './dates.ts';
import type { Problem } from './problems.ts';
import type { Family } from './treatments.ts';

/** Somebody else's right on the land. Kept apart from law: its dates are an agreement. */
export interface Lease {
  id: number;
  propertyId: number;
  holder: string;
  contact: string;
  use: 'hunting' | 'grazing' | 'farming' | 'other';
  /** Units it covers; empty = the whole property. */
  unitIds: number[];
  from: IsoDate;
  /** Last day; null = open. */
  until: IsoDate | null;
  /** Families of work that it bars, in each year from `opens` to `closes` (both included); none = a note only. */
  barsFamilies: Family[];
  opens: MonthDay | null;
  closes: MonthDay | null;
  firmness: 'hard' | 'ask-first';
  /** What was agreed, e.g. "after 10 am", "call first". */
  rule: string;
}

/** What is wrong with the yearly span of a row that bars work: both ends or neither, and both real days. */
export function checkYearlySpan(
  row: { opens: MonthDay | null; closes: MonthDay | null },
  say: (field: string, message: string) => void,
): void {
  const { opens, closes } = row;
  for (const [field, name, at] of [
    ['opens', 'First day', opens],
    ['closes', 'Last day', closes],
  ] as const)
    if (at !== null && !parseMonthDay(at))
      say(field, `${name} in each year: give a month and day, such as 04-01.`);
  if ((opens === null) !== (closes === null))
    say(
      opens === null ? 'opens' : 'closes',
      'First and last day in each year: give both, or leave both blank for all year.',
    );
}

/** What is wrong with a span of days of which the last may be open. */
export function checkDaySpan(
  from: IsoDate | null,
  until: IsoDate | null,
  say: (field: string, message: string) => void,
): void {
  const isReal = (date: IsoDate | null) => date === null || parseIsoDate(date) !== null;
  if (!isReal(from)) say('from', 'From: give a real day, such as 2026-07-01.');
  if (!isReal(until)) say('until', 'Until: give a real day, such as 2027-06-30.');
  else if (isReal(from) && from !== null && until !== null && until < from)
    say('until', 'Until: the last day can not be before the first one.');
}

/** What is wrong with a lease as entered; empty = it can be stored. */
export function checkLease(lease: Omit<Lease, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `lease-${field}`, field, ref: lease.holder, message });
  if (lease.holder.trim() === '') say('holder', 'Holder: say who holds the lease.');
  checkDaySpan(lease.from, lease.until, say);
  checkYearlySpan(lease, say);
  return problems;
}
