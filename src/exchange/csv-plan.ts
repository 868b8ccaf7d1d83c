import type { Operation } from '../core/operation.ts';
import type { PlanContent } from '../core/plans.ts';
import { placeOfTask } from '../core/tasks.ts';
import { csvText } from './csv-text.ts';

const columns = [
  'property',
  'block',
  'units',
  'task',
  'family',
  'first_day',
  'last_day',
  'when_fit',
  'due_on',
  'acres',
  'crew_days',
  'crews',
  'held',
  'left_out_because',
  'task_key',
];

/**
 * The plan in force as comma-separated values (RFC 4180): one line a planned task in order of its first day, then
 * the tasks that were left out with the reason. Days are `YYYY-MM-DD`, both inclusive. Only the head without a plan.
 */
export function planTable(operation: Operation, plan: PlanContent | null): string {
  const propertyName = (id: number) =>
    operation.properties.find((one) => one.id === id)?.name ?? '';
  const crewNames = (ids: readonly number[]) =>
    operation.crews
      .filter((crew) => ids.includes(crew.id))
      .map((crew) => crew.name)
      .join('; ');
  const tasks = [...(plan?.tasks ?? [])].sort((a, b) => {
    const [one, other] = [`${a.startsOn} ${a.key}`, `${b.startsOn} ${b.key}`];
    return one < other ? -1 : 1;
  });
  const planned = tasks.map((task) => {
    const { block, unit } = placeOfTask(operation, task);
    const place = [propertyName(task.propertyId), block, unit];
    const days = [task.startsOn, task.lastDay, task.isWhenFit ? 'yes' : 'no', task.dueOn];
    const need = [task.areaAcres, task.crewDaysTenths / 10, crewNames(task.crewIds)];
    const end = [task.isHeld ? 'yes' : 'no', null, task.key];
    return [...place, task.name, task.family, ...days, ...need, ...end];
  });
  const leftOut = (plan?.leftOut ?? []).map((task) => {
    const { block, unit } = placeOfTask(operation, task);
    const place = [propertyName(task.propertyId), block, unit];
    const days = [null, null, null, task.dueOn];
    const end = [null, task.reason, task.key];
    return [...place, task.name, task.family, ...days, task.areaAcres, null, null, ...end];
  });
  return csvText([columns, ...planned, ...leftOut]);
}
