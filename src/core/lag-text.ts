import type { LagLength } from './sequences.ts';

/** A length as it was read, or what to mend in it: the rest of a sentence. */
export type ReadLength = { ok: true; value: LagLength } | { ok: false; fault: string };

const units = [
  ['growingSeasons', 'growing season', 20],
  ['burningSeasons', 'burning season', 20],
  ['years', 'year', 20],
  ['days', 'day', 7300],
] as const;

/** "1 growing season and 300 days"; "0 days" is the same day. */
export function lagLengthText(length: LagLength): string {
  const parts = units.flatMap(([field, word]) => {
    const count = length[field];
    return count === undefined ? [] : [`${count} ${word}${count === 1 ? '' : 's'}`];
  });
  return parts.join(' and ');
}

/** A length as typed: counts of days, years, growing and burning seasons with "and" between, each once. */
export function readLagLength(text: string): ReadLength {
  const fault = 'write such as 300 days, 2 years, or 1 growing season and 300 days.';
  const value: LagLength = {};
  const parts = text
    .trim()
    .toLowerCase()
    .replaceAll(/\s+/g, ' ')
    .split(/ and |, ?/);
  for (const part of parts) {
    const match = /^(\d+|one) (growing season|burning season|year|day)s?$/.exec(part);
    const unit = units.find(([, word]) => word === match?.[2]);
    if (!match || !unit) return { ok: false, fault };
    const [field, word, most] = unit;
    const count = match[1] === 'one' ? 1 : Number(match[1]);
    if (value[field] !== undefined)
      return { ok: false, fault: `${word}s stand there twice; ${fault}` };
    if (count > most) return { ok: false, fault: `write at most ${most} ${word}s.` };
    value[field] = count;
  }
  return { ok: true, value };
}
