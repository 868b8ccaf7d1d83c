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
