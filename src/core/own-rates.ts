import { dateWords, type IsoDate, parseIsoDate } from './dates.ts';
import type { Operation } from './operation.ts';
import type { Problem } from './problems.ts';
import type { Rate, Treatment } from './treatments.ts';
import { type DensityClass, densityClasses, type Unit } from './units.ts';

/**
 * A rate that was learned from a property's own log and accepted: from then on the plan uses it on that property in
 * place of the rate of the library.
 */
export interface OwnRate {
  id: number;
  propertyId: number;
  /** Null = the lighting of burns. */
  treatmentKey: string | null;
  /** Of the unit; "moderate" stands for one that is not noted, too. Null for the lighting of burns. */
  densityClass: DensityClass | null;
  /** What the treatment's rate was measured by when it was accepted; with another measure the row does not count. */
  per: Rate['per'] | 'lighting-hour';
  /** Acres for each of them. */
  amount: number;
  /** Acres a crew day over all entries, and of the slowest and quickest one; acres an hour for lighting. */
  mean: number;
  lowest: number;
  highest: number;
  entryCount: number;
  acceptedOn: IsoDate;
}

/** What is wrong with an own rate; empty = it can be stored. */
export function checkOwnRate(rate: Omit<OwnRate, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `ownRate-${field}`, field, message });
  for (const field of ['amount', 'mean', 'lowest', 'highest'] as const)
    if (!(rate[field] > 0 && Number.isFinite(rate[field])))
      say(field, 'Own rate: acres have to be more than zero.');
  if (rate.densityClass !== null && !densityClasses.includes(rate.densityClass))
    say('densityClass', 'Own rate: pick a density class.');
  if (!parseIsoDate(rate.acceptedOn)) say('acceptedOn', 'Own rate: give the day of acceptance.');
  return problems;
}

type Place = Pick<Unit, 'propertyId' | 'densityClass'>;

/** The accepted rate for a treatment on a unit; null = the library's counts. A later one takes the place of an earlier. */
export function ownRateOn(
  operation: Pick<Operation, 'ownRates'>,
  treatment: Pick<Treatment, 'key' | 'rate'>,
  place: Place,
): OwnRate | null {
  const { basis, per } = treatment.rate;
  if (basis !== 'acre') return null;
  const densityClass = place.densityClass ?? 'moderate';
  return (
    operation.ownRates.findLast(
      (row) =>
        row.propertyId === place.propertyId &&
        row.treatmentKey === treatment.key &&
        row.densityClass === densityClass &&
        row.per === per,
    ) ?? null
  );
}

/** "own rate of 4 entries, accepted 3 Mar 2027". */
export function ownRateWords({ entryCount, acceptedOn }: OwnRate): string {
  return `own rate of ${entryCount} entries, accepted ${dateWords(acceptedOn)}`;
}

/**
 * The treatment as it goes on a unit: with the property's own rate where one was accepted. All that works out crew days
 * asks here first. Without a unit the library's rate counts.
 */
export function treatmentOn<T extends Pick<Treatment, 'key' | 'rate'>>(
  operation: Pick<Operation, 'ownRates'>,
  treatment: T,
  place: Place | undefined,
): T {
  const own = place ? ownRateOn(operation, treatment, place) : null;
  if (!own) return treatment;
  const source = ownRateWords(own);
  return {
    ...treatment,
    rate: { ...treatment.rate, amount: own.amount, status: 'default-to-edit', source },
  };
}

/** The accepted rate of lighting on a property, acres an hour; null = none. */
export function ownLightingRate(
  operation: Pick<Operation, 'ownRates'>,
  propertyId: number,
): OwnRate | null {
  return (
    operation.ownRates.findLast(
      (row) => row.propertyId === propertyId && row.per === 'lighting-hour',
    ) ?? null
  );
}
