import { expect, test } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { isoDate } from '../../../src/core/dates.ts';
import type { Operation } from '../../../src/core/operation.ts';
import { fakeOwnRate } from '../../support/own-rates.ts';
import { operationOf, planOf } from './land-operations.ts';

const today = isoDate('2026-11-09');
const fellKey = 'unit:11/cedar-woodland/fell/1/-';

const land = (ownRates: Operation['ownRates']) =>
  operationOf([{ sequenceKey: 'cedar-woodland', acres: [20, 12] }], { ownRates });

/** A person-day rate of the library; accepted acres a person-day differ from it in either direction. */
const ratesOf = (amount: number) =>
  (['scattered', 'moderate', 'dense', 'thicket'] as const).map((densityClass, at) =>
    fakeOwnRate({ id: at + 1, densityClass, per: 'person-day', amount }),
  );

/** Planner and checker each look the accepted rate up in their own way: a draft of one passes the other. */
test.each([0.4, 0.7, 1.3, 3])('a draft with %d acres a person-day passes the checker', (amount) => {
  const operation = land(ratesOf(amount));
  const plan = planOf(operation, today);
  expect(checkPlan(operation, plan)).toEqual([]);
  const pieces = plan.tasks.filter(({ treatmentKey }) => treatmentKey === 'cedar-felling');
  const people = operation.crews.find(({ id }) => id === pieces[0]?.crewIds[0])?.peopleCount ?? 0;
  for (const task of pieces)
    expect(task.crewDaysTenths).toBe(
      Math.max(5, Math.ceil((task.areaAcres / (amount * people)) * 2 - 1e-9) * 5),
    );
  expect(pieces.some(({ key }) => key.startsWith(fellKey.slice(0, -1)))).toBe(true);
});

test('a slower rate that is accepted afterwards is found in the plan in force', () => {
  const plan = planOf(land([]), today);
  expect(checkPlan(land([]), plan)).toEqual([]);
  const codes = checkPlan(land(ratesOf(0.1)), plan).map(({ code }) => code);
  expect(codes).toContain('work-amount');
  expect(checkPlan(land(ratesOf(9)), plan)).toEqual([]);
});
