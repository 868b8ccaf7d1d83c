import { addDays, type IsoDate } from './dates.ts';
import type { NoWorkSpan } from './no-work.ts';
import type { Operation } from './operation.ts';
import { openRanges } from './season/no-work.ts';
import type { Unit } from './units.ts';
import type { EntryDraft } from './work-details.ts';

/** A fact: what was done. Facts may break rules; they are never moved by the scheduler. */
export interface WorkEntry {
  id: number;
  unitId: number;
  treatmentKey: string;
  /** Task it answers; null for history. */
  taskKey: string | null;
  startedOn: IsoDate | null;
  /** Last day. With `precision` month or year: the first day of that month or year. */
  doneOn: IsoDate;
  precision: 'day' | 'month' | 'year';
  outcome: 'done' | 'partly' | 'not-possible' | 'under-way';
  /** Why not possible, or what is left. */
  reason: string;
  areaAcres: number | null;
  crewDays: number | null;
  personHours: number | null;
  /** Fires only: share of the unit that went black; null = not noted, counts as whole. */
  shareBlackPercent: number | null;
  /** Fires only: planned, wild, or a neighbour's. */
  fireCause: 'planned' | 'wild' | 'neighbour' | null;
  /** Burns only: last day of watch; null = still open. */
  signedOutOn: IsoDate | null;
  note: string;
}

/**
 * No-work dates that an entry lies inside, by the rules and approvals now on file; each rule once. Empty for work that was not
 * done, for wildfires and fires of neighbours, and where the day is not known.
 */
export function noWorkInside(
  operation: Operation,
  entry: Pick<
    WorkEntry,
    'unitId' | 'treatmentKey' | 'startedOn' | 'doneOn' | 'precision' | 'outcome' | 'fireCause'
  >,
): NoWorkSpan[] {
  const unit = operation.units.find((one) => one.id === entry.unitId);
  const property = operation.properties.find((one) => one.id === unit?.propertyId);
  const treatment = operation.treatments.find((one) => one.key === entry.treatmentKey);
  const isOwnWork = entry.fireCause === null || entry.fireCause === 'planned';
  if (!unit || !property || !treatment || !isOwnWork) return [];
  if (entry.outcome === 'not-possible' || entry.precision !== 'day') return [];
  const startsOn = entry.startedOn ?? entry.doneOn;
  if (startsOn > entry.doneOn) return [];
  const days = { startsOn, endsBefore: addDays(entry.doneOn, 1) };
  const { barred, askFirst } = openRanges(treatment, unit, property, operation, days);
  return [...new Set([...barred, ...askFirst].map(({ span }) => span))];
}

const shared = ['areaAcres', 'crewDays', 'personHours'] as const;

/** Parts of an amount by weight, to two decimals; together they are the whole. */
function partsOf(amount: number, weights: readonly number[]): number[] {
  const sum = weights.reduce((total, weight) => total + weight, 0);
  let before = 0;
  let done = 0;
  return weights.map((weight, index) => {
    done += weight;
    const upTo =
      index === weights.length - 1 ? amount : Math.round((amount * done * 100) / sum) / 100;
    const part = Math.round((upTo - before) * 100) / 100;
    before = upTo;
    return part;
  });
}

/**
 * One report on several units as one entry each: acres, crew days, person-hours, money and gear hours are shared by the acres of
 * the units; readings and times stand with the first.
 */
export function sharedByAcres(draft: EntryDraft, units: readonly Unit[]): EntryDraft[] {
  const weights = units.map((unit) => unit.areaAcres);
  const amountOf = (amount: number | null) =>
    amount === null ? units.map(() => null) : partsOf(amount, weights);
  const amounts = shared.map((field) => [field, amountOf(draft.entry[field])] as const);
  const money = amountOf(draft.detail.moneyUsd);
  const gear = draft.detail.gearHours.map(({ gearKey, hours }) => ({
    gearKey,
    parts: partsOf(hours, weights),
  }));
  return units.map((unit, index) => ({
    entry: {
      ...draft.entry,
      ...Object.fromEntries(amounts.map(([field, parts]) => [field, parts[index] ?? null])),
      unitId: unit.id,
    },
    detail: {
      ...draft.detail,
      moneyUsd: money[index] ?? null,
      gearHours: gear.flatMap(({ gearKey, parts }) => {
        const hours = parts[index] ?? 0;
        return hours > 0 ? [{ gearKey, hours }] : [];
      }),
      readings: index === 0 ? draft.detail.readings : [],
    },
  }));
}
