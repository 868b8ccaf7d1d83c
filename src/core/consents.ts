import type { IsoDate } from './dates.ts';
import { checkDaySpan } from './leases.ts';
import type { Problem } from './problems.ts';
import type { Family } from './treatments.ts';

/** A written yes: of the landowner by kind of work, or of a neighbour for a fire that crosses the boundary. */
export interface Consent {
  id: number;
  propertyId: number;
  /** Units it covers; empty = the whole property. */
  unitIds: number[];
  families: Family[];
  givenBy: string;
  isNeighbour: boolean;
  from: IsoDate;
  /** Last day. */
  until: IsoDate;
  note: string;
}

/** What is wrong with a consent as entered; empty = it can be stored. */
export function checkConsent(consent: Omit<Consent, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `consent-${field}`, field, ref: consent.givenBy, message });
  if (consent.givenBy.trim() === '') say('givenBy', 'Given by: say who gave it.');
  if (consent.families.length === 0)
    say('families', 'Kinds of work: pick at least one that it allows.');
  checkDaySpan(consent.from, consent.until, say);
  return problems;
}

function isInForce({ from, until }: Consent, today: IsoDate): boolean {
  return from <= today && today <= until;
}

function coversUnit(consent: Consent, unitId: number): boolean {
  return consent.unitIds.length === 0 || consent.unitIds.includes(unitId);
}

/**
 * What is missing of the consents to burn units of one property, in words; empty when it is there. The landowner's
 * must cover every unit today, by one row or several, or by the last day on the block itself (`blockUntil`). A
 * neighbor's counts only once one is on file: then it may not have run out.
 */
export function burnConsentMissing(
  consents: readonly Consent[],
  units: readonly { id: number; code: string; propertyId: number }[],
  blockUntil: IsoDate | null,
  today: IsoDate,
): string {
  const toBurn = consents.filter(
    ({ families, propertyId }) =>
      families.includes('burn') && units.some((unit) => unit.propertyId === propertyId),
  );
  const neighbours = toBurn.filter(
    (consent) => consent.isNeighbour && units.some(({ id }) => coversUnit(consent, id)),
  );
  const lapsed = neighbours.find(
    ({ givenBy }) =>
      !neighbours.some((other) => other.givenBy === givenBy && isInForce(other, today)),
  );
  const own = toBurn.filter(({ isNeighbour }) => !isNeighbour);
  const isCovered = (unitId: number, rows: readonly Consent[]) =>
    rows.some((consent) => coversUnit(consent, unitId));
  const inForce = own.filter((consent) => isInForce(consent, today));
  const open =
    blockUntil !== null && blockUntil >= today
      ? []
      : units.filter(({ id }) => !isCovered(id, inForce));
  if (open.length > 0) {
    if (blockUntil !== null && own.length === 0) return 'the landowner consent has run out';
    if (open.every(({ id }) => isCovered(id, own))) return 'the landowner consent has run out';
    const codes = open.map(({ code }) => code).join(', ');
    const where = open.length < units.length ? ` for ${codes}` : '';
    return `no landowner consent on file${where}`;
  }
  return lapsed ? `the consent of the neighbor ${lapsed.givenBy} is not in force` : '';
}
