import type { WorkEntry } from './worklog.ts';

type Cause = NonNullable<WorkEntry['fireCause']>;

/** Words that mean a fire, with the cause where the word says it. Anything else is asked about. */
export const fireWords: Readonly<Record<string, Cause | null>> = {
  burn: null,
  burned: null,
  burnt: null,
  burning: null,
  fire: null,
  rx: 'planned',
  'rx burn': 'planned',
  'rx fire': 'planned',
  'prescribed burn': 'planned',
  'prescribed fire': 'planned',
  'planned burn': 'planned',
  'planned fire': 'planned',
  'controlled burn': 'planned',
  wildfire: 'wild',
  'wild fire': 'wild',
};

/** Words of the column `cause`. */
export const causeWords: Readonly<Record<string, Cause>> = {
  planned: 'planned',
  prescribed: 'planned',
  rx: 'planned',
  wild: 'wild',
  wildfire: 'wild',
  'wild fire': 'wild',
  neighbor: 'neighbour',
  neighbour: 'neighbour',
  "neighbor's": 'neighbour',
  "neighbour's": 'neighbour',
};

export const causeNames: Readonly<Record<Cause, string>> = {
  planned: 'planned fire',
  wild: 'wildfire',
  neighbour: "neighbor's fire",
};

/** A cell in small letters with single blanks, so that mixed case is no difference. */
export function plainWord(cell: string): string {
  return cell.trim().toLowerCase().replace(/\s+/g, ' ').replaceAll('’', "'");
}

/** `number` is what the cell says; `doubt` has two readings (0.8: a share or per cent); null = not readable. */
export function readShareBlack(cell: string): { number: number } | { doubt: number } | null {
  const match = /^(\d{1,3}(?:\.\d+)?)\s*(%|percent|per cent)?$/.exec(plainWord(cell));
  if (!match) return null;
  const value = Number(match[1]);
  if (value > 100) return null;
  return match[2] === undefined && value > 0 && value <= 1 ? { doubt: value } : { number: value };
}

/** Acres above zero, thousands with or without commas; null = not readable. */
export function readAcres(cell: string): number | null {
  const match = /^(\d{1,3}(?:,\d{3})+|\d+)(\.\d+)?(?:\s*(?:ac|acres?))?$/.exec(plainWord(cell));
  if (!match) return null;
  const value = Number(`${match[1]!.replaceAll(',', '')}${match[2] ?? ''}`);
  return value > 0 ? value : null;
}
