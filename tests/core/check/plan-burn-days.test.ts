import { expect, test } from 'vitest';
import { fitDaysTaken } from '../../../src/core/check/plan-burn-days.ts';
import type { TaskView } from '../../../src/core/check/plan-view.ts';
import { burnNeedOf, lightingRateOf } from '../../../src/core/weather/burn-size.ts';
import { fakeOwnRate } from '../../support/own-rates.ts';
import { keys, litterPrescription, smallOperation, validPlan } from './plan-operation.ts';

/** Hand-worked: half an hour of backing and 16 acres an hour over a day of five hours. */
test.each<[number, number]>([
  [10, 1],
  [72, 1],
  [73, 2],
  [152, 2],
  [153, 3],
])('%d acres take %d fit days, as the planner has it too', (areaAcres, days) => {
  const operation = { ...smallOperation(), prescriptions: [litterPrescription] };
  const task = { ...validPlan().tasks.find(({ key }) => key === keys.burn1), areaAcres };
  const burn = {
    task,
    block: operation.blocks[0],
    property: operation.properties[0],
    treatment: operation.treatments.find(({ family }) => family === 'burn'),
  } as unknown as TaskView;
  expect(fitDaysTaken(operation, burn)).toBe(days);
  expect(burnNeedOf(areaAcres, lightingRateOf(operation, 1), 5).daysNeeded).toBe(days);
});

test('an accepted rate says how fast a property is lit, on both sides', () => {
  const operation = { ...smallOperation(), prescriptions: [litterPrescription] };
  const treatment = operation.treatments.find(({ family }) => family === 'burn');
  const lighting = { treatmentKey: null, densityClass: null, per: 'lighting-hour' } as const;
  operation.ownRates = [fakeOwnRate({ ...lighting, amount: 8 })];
  const burn = {
    task: { areaAcres: 60 },
    block: operation.blocks[0],
    property: operation.properties[0],
    treatment,
  } as unknown as TaskView;
  expect(lightingRateOf(operation, 1).acresAnHour).toBeCloseTo(8, 9);
  expect(fitDaysTaken(operation, burn)).toBe(2);
});
