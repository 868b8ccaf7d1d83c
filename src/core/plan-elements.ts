import { type IsoDate, parseIsoDate } from './dates.ts';
import type { Problem } from './problems.ts';

/** That an element of a block's burn plan is written and signed, as entered by somebody who has seen it. */
export interface PlanElement {
  id: number;
  blockId: number;
  /** Key of the table of elements. */
  key: string;
  isWritten: boolean;
  signedBy: string;
  signedOn: IsoDate | null;
  /** Last day; null = it does not run out by itself. */
  expiresOn: IsoDate | null;
}

/** What is wrong with an element as entered; `name` is how people call it. Empty = it can be stored. */
export function checkPlanElement(element: Omit<PlanElement, 'id'>, name: string): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({
      code: `element-${field}`,
      field: `${field}-${element.key}`,
      ref: element.key,
      message: `${name}, ${message}`,
    });
  const { signedBy, signedOn, expiresOn, isWritten } = element;
  if (signedBy.length > 80) say('signedBy', 'signed by: write at most 80 characters.');
  if (signedOn !== null && !parseIsoDate(signedOn))
    say('signedOn', 'signed on: give a real day, such as 2027-03-04.');
  if (expiresOn !== null && !parseIsoDate(expiresOn))
    say('expiresOn', 'good until: give a real day, such as 2027-06-30.');
  if (signedOn !== null && signedBy.trim() === '')
    say('signedBy', 'signed by: say who signed, or take the day out.');
  if (signedOn !== null && expiresOn !== null && expiresOn < signedOn)
    say('expiresOn', 'good until: this is before the day on which it was signed.');
  if (!isWritten && signedBy.trim() !== '')
    say('isWritten', 'tick it as written, or take the name out.');
  return problems;
}

/** What is missing of an element on a day, in words; empty when it is written, signed and not run out. */
export function planElementMissing(element: PlanElement | undefined, today: IsoDate): string {
  if (!element?.isWritten) return 'not written';
  if (element.signedBy.trim() === '') return 'not signed';
  return element.expiresOn !== null && element.expiresOn < today ? 'has run out' : '';
}
