import { addDays, isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { Plan } from '../../src/core/plans.ts';
import type { PlannedTask } from '../../src/core/tasks.ts';
import { fakeEntry, fakeOperation } from './operation.ts';
import { fakePlan, fakeTask } from './plan.ts';

/** Steps of the invented cedar sequence with their first day as days from 1 October 2026, last day and crew days. */
const steps = [
  ['unit', 'fell', 'Fell cedar', 'cedar-felling', 'cut', 30, 12],
  ['unit', 'cure-check', 'Cure check', 'cure-check', 'monitor', 380, 0],
  ['block', 'line', 'Make the line', 'line-build', 'line', 400, 3],
  ['block', 'second-pass', 'Blow the line again', 'line-second-pass', 'line', 470, 13],
  ['block', 'burn', 'Dormant-season burn', 'dormant-burn', 'burn', 470, 13],
  ['unit', 'photo', 'Photo points', 'photo-points', 'monitor', 600, 0],
  ['unit', 'spray', 'Foliar spray', 'foliar-spray', 'spray', 640, 2],
] as const;

/** The invented operation with `count` units of their own block, seven planned tasks and two facts each. */
export function manyUnits(count: number): { operation: Operation; plan: Plan } {
  const base = fakeOperation();
  const [unit, block] = [base.units[0]!, base.blocks[1]!];
  const first = isoDate('2026-10-01');
  const ids = Array.from({ length: count }, (_, index) => index + 1);
  const tasks = ids.flatMap((id) =>
    steps.map(([place, step, name, treatmentKey, family, from, length]): PlannedTask => {
      const startsOn = addDays(first, from + (id % 40));
      const key = `${place}:${id}/cedar-woodland/${step}/1/-`;
      return {
        ...fakeTask(key, startsOn, addDays(startsOn, length), { name, treatmentKey, family }),
        propertyId: (id % 2) + 1,
        blockId: id,
        unitId: place === 'unit' ? id : null,
        isWhenFit: step === 'burn',
        tiedToKey: step === 'second-pass' ? `block:${id}/cedar-woodland/burn/1/-` : null,
      };
    }),
  );
  const operation: Operation = {
    ...base,
    units: ids.map((id) => ({
      ...unit,
      id,
      propertyId: (id % 2) + 1,
      blockId: id,
      code: `U${id}`,
      name: `Long hollow ${id}`,
      boundary: null,
    })),
    blocks: ids.map((id) => ({ ...block, id, propertyId: (id % 2) + 1, code: `U${id}` })),
    lines: [],
    neighbours: [],
    entries: ids.flatMap((id) => [
      fakeEntry(2 * id, id, 'dormant-burn', '2023-02-10'),
      fakeEntry(2 * id + 1, id, 'foliar-spray', '2026-10-20'),
    ]),
  };
  const plan = fakePlan();
  return {
    operation,
    plan: { ...plan, content: { ...plan.content, tasks, leftOut: [], later: [] } },
  };
}
