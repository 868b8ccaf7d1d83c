import type { LandContent } from './library.ts';
import type { Problem } from './problems.ts';
import type { Unit } from './units.ts';

/** Numbers that new rows get: higher than any that was used before, of retired rows too. */
export interface NextIds {
  unit: number;
  block: number;
  line: number;
  entry: number;
}

/**
 * The land as it would be, with what changes in sentences. Rows that are not in it any more go out of use (units,
 * blocks, lines, consents) or, for entries and approvals, live on in the row they were joined to.
 */
export interface LandChange {
  land: LandContent;
  notes: string[];
}

/** A sentence about one field of a form. */
export function shapeProblem(code: string, message: string, field?: string): Problem {
  return { code, message, ...(field === undefined ? {} : { field }) };
}

/** What is wrong with the code of a unit that is to have it; `own`: units that give theirs up or keep it. */
export function unitCodeProblems(
  land: Pick<LandContent, 'units'>,
  code: string,
  own: readonly Unit[],
  field: string,
): Problem[] {
  if (code.trim() === '')
    return [shapeProblem('unit-code', 'Code: give the unit a short code, such as N4.', field)];
  const isTaken = land.units.some(
    (unit) =>
      unit.code === code &&
      unit.propertyId === own[0]?.propertyId &&
      !own.some((one) => one.id === unit.id),
  );
  const message = `Code: ${code} is the code of another unit of this property; give one of its own.`;
  return isTaken ? [shapeProblem('unit-code-taken', message, field)] : [];
}

/** "1 line", "3 lines". */
export function counted(value: number, noun: string): string {
  return `${value} ${noun}${value === 1 ? '' : 's'}`;
}

/** Rounded to hundredths, so that sums of shares stay plain figures. */
export function hundredths(value: number): number {
  return Math.round(value * 100) / 100;
}

/** The amount shared out by weights, to hundredths; the first takes what rounding leaves, so the sum is the whole. */
export function sharedOut(amount: number, weights: readonly number[]): number[] {
  const total = weights.reduce((sum, weight) => sum + weight, 0);
  const others = weights.slice(1).map((weight) => hundredths((amount * weight) / total));
  const first = amount - others.reduce((sum, share) => sum + share, 0);
  // Takes off the noise of floating point, not hundredths of the amount itself.
  return [Math.max(0, Math.round(first * 1e9) / 1e9), ...others];
}

/** A note with a sentence added at its end. */
export function noteWith(note: string, sentence: string): string {
  return note.trim() === '' ? sentence : `${note.trim()} ${sentence}`;
}
