import { expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { everyChange } from '../../src/core/change-log.ts';
import { isoDate } from '../../src/core/dates.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import { contentOf, libraryOf, storeWithLand } from '../storage/fixtures.ts';
import { fileDeps } from '../support/file-deps.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';

function invented() {
  const operation = fakeOperation();
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  return { file, deps: fileDeps(file) };
}

const halfWay = [{ code: 'half-way', message: 'Half way.' }];

test.each([
  ['a problem', () => halfWay],
  [
    'an error',
    () => {
      throw new Error('half way');
    },
  ],
])('%s half way leaves nothing, and nothing of it is read afterwards', (name, end) => {
  const { file, deps } = invented();
  const unitId = deps.operation().units[0]?.id ?? 0;
  const before = deps.operation();
  const logged = deps.changeLog.list(everyChange, 1).total;
  const work = () =>
    deps.allOrNone(() => {
      expect(deps.land.updateUnit(unitId, { name: 'Half' }, true)).toEqual([]);
      // What is read inside is what was written inside.
      expect(deps.operation().units[0]?.name).toBe('Half');
      return end();
    });
  if (name === 'a problem') expect(work()).toEqual(halfWay);
  else expect(work).toThrow('half way');
  expect(deps.operation().units).toEqual(before.units);
  expect(deps.changeLog.list(everyChange, 1).total).toBe(logged);
  expect(deps.land.updateUnit(unitId, { name: 'Whole' }, true)).toEqual([]);
  expect(deps.operation().units[0]?.name).toBe('Whole');
  file.close();
});

test('land that is replaced while what follows fails stays, with its log', () => {
  const { store, content, library } = storeWithLand();
  const [unit] = content.units;
  store.updateUnit(unit?.id ?? 0, { name: 'Kept' }, library);
  const before = store.landContent();
  const logged = store.changeLog.list(everyChange, 1);
  expect(() =>
    store.replaceLand(sampleLand(isoDate('2026-11-25')), '', () => {
      throw new Error('no weather');
    }),
  ).toThrow('no weather');
  expect(store.landContent()).toEqual(before);
  expect(store.changeLog.list(everyChange, 1)).toEqual(logged);
  // The log goes on afterwards.
  store.updateUnit(unit?.id ?? 0, { name: 'Changed' }, library);
  expect(store.changeLog.list(everyChange, 1).total).toBe(logged.total + 1);
});
