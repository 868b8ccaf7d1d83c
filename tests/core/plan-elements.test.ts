import { expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import {
  checkPlanElement,
  type PlanElement,
  planElementMissing,
} from '../../src/core/plan-elements.ts';

const sound: PlanElement = {
  id: 1,
  blockId: 1,
  key: 'smoke',
  isWritten: true,
  signedBy: 'Tess Arden',
  signedOn: isoDate('2026-10-01'),
  expiresOn: isoDate('2027-06-30'),
};

test.each<[string, Partial<PlanElement>, string]>([
  ['sound', {}, ''],
  ['a day without a name', { signedBy: '' }, 'say who signed'],
  ['signed but not written', { isWritten: false }, 'tick it as written'],
  ['ends before it was signed', { expiresOn: isoDate('2026-09-30') }, 'before the day'],
  ['no real day', { signedOn: '2026-02-30' as PlanElement['signedOn'] }, 'give a real day'],
])('%s', (_, change, words) => {
  const problems = checkPlanElement({ ...sound, ...change }, 'Smoke');
  if (words === '') expect(problems).toEqual([]);
  else expect(problems.map(({ message }) => message).join()).toContain(`Smoke, `);
  expect(problems.map(({ message }) => message).join()).toContain(words);
});

test.each<[string, PlanElement | undefined, string]>([
  ['nothing on file', undefined, 'not written'],
  ['not ticked', { ...sound, isWritten: false, signedBy: '' }, 'not written'],
  ['nobody signed', { ...sound, signedBy: '' }, 'not signed'],
  ['run out the day before', { ...sound, expiresOn: isoDate('2026-11-08') }, 'has run out'],
  ['on its last day', { ...sound, expiresOn: isoDate('2026-11-09') }, ''],
  ['without an end', { ...sound, expiresOn: null }, ''],
])('%s', (_, element, words) => {
  expect(planElementMissing(element, isoDate('2026-11-09'))).toBe(words);
});
