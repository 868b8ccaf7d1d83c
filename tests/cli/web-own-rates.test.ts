import { expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webPlans } from '../../src/cli/web-planning.ts';
import { webRecords } from '../../src/cli/web-records.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { fakeOwnRate } from '../support/own-rates.ts';
import { fakePlan } from '../support/plan.ts';
import { wholeOperation } from '../support/record-rows.ts';

function invented() {
  const operation = fakeOperation();
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  const draft = file.store.plans.saveDraft(fakePlan().content, file.store.revision());
  file.store.plans.adopt(draft.id, () => file.publish());
  return { file, records: webRecords(file), plans: webPlans(file) };
}

test('an accepted rate makes the plan in force stale and says so', () => {
  const { records, plans } = invented();
  expect(plans.staleBecause()).toEqual([]);
  expect(records.save('ownRate', fakeOwnRate({ id: 0 }), true, true).kind).toBe('saved');
  expect(plans.staleBecause()).toEqual(['The own rate of Fell cedar (moderate) was added.']);
  records.save(
    'ownRate',
    fakeOwnRate({ id: 0, treatmentKey: null, densityClass: null }),
    true,
    true,
  );
  expect(plans.staleBecause().join(' ')).toContain('The own rate of lighting burns was added.');
});

test('a rate for a property that is not there is refused', () => {
  const { file, records } = invented();
  expect(records.save('ownRate', fakeOwnRate({ id: 0, propertyId: 9 }), true, true).kind).toBe(
    'refused',
  );
  expect(file.operation().ownRates).toEqual([]);
});

test('a contract leaves the plan as it is, and its units are of its property', () => {
  const { file, records, plans } = invented();
  const contract = { ...wholeOperation().contracts[0]!, id: 0 };
  expect(records.save('contract', contract, true, false).kind).toBe('saved');
  expect(plans.staleBecause()).toEqual([]);
  const foreign = file.operation().units.find(({ propertyId }) => propertyId !== 1)!;
  const practice = { ...contract.practices[0]!, units: [{ unitId: foreign.id, contractAcres: 1 }] };
  const answer = records.save('contract', { ...contract, practices: [practice] }, true, false);
  expect(answer).toMatchObject({ kind: 'refused', problems: [{ field: 'p1-units' }] });
});

test('a contract keeps a unit that goes out of use, and goes with its property', () => {
  const { file, records } = invented();
  records.save('contract', { ...wholeOperation().contracts[0]!, id: 0 }, true, true);
  records.retire('unit', 1, true);
  expect(file.operation().contracts[0]!.practices[0]!.units.map(({ unitId }) => unitId)).toEqual([
    1, 3,
  ]);
  records.retire('property', 1, true);
  expect(file.operation().contracts).toEqual([]);
});
