import type { Block } from '../blocks.ts';
import type { Operation } from '../operation.ts';
import type { Problem } from '../problems.ts';
import type { TaskIdentity } from '../tasks.ts';
import type { Treatment } from '../treatments.ts';
import type { Unit } from '../units.ts';
import { crewDaysOf, type PlanView, problem, type TaskView, thirdOf } from './plan-view.ts';

/** Hours that a machine works on a full crew day: 8 on site less set-up, as the rates of the library mean it. */
const machineHoursPerDay = 7;
/** Acres and tenths of a day that rounding may lose. */
const roundingAcres = 0.1;
const roundingTenths = 0.1;

/** Feet of line that a block has to make: on its outside, and neither road nor creek. */
export function feetToMake(operation: Operation, block: Block): number {
  const own = new Set(operation.units.filter((one) => one.blockId === block.id).map((u) => u.id));
  let feet = 0;
  for (const line of operation.lines) {
    const kind = operation.lineKinds.find((row) => row.key === line.kind);
    if (kind ? !kind.needsWork : line.kind === 'road' || line.kind === 'creek') continue;
    const touching = line.unitIds.filter((id) => own.has(id)).length;
    const isInside = touching > 1 && touching === line.unitIds.length;
    if (touching > 0 && !isInside) feet += line.lengthFeet;
  }
  return feet;
}

/**
 * How much one person-day, machine-hour or crew-day gets through on the unit: the newest accepted rate of its property and
 * density, else the library's; moderate where no class is noted.
 */
function paceOn({ ownRates }: Operation, { key, rate }: Treatment, unit: Unit): number {
  const accepted = ownRates.filter(
    (row) =>
      rate.basis === 'acre' &&
      row.treatmentKey === key &&
      row.propertyId === unit.propertyId &&
      row.per === rate.per &&
      row.densityClass === (unit.densityClass ?? 'moderate'),
  );
  const [own] = accepted.reverse();
  if (own) return own.amount;
  return typeof rate.amount === 'number'
    ? rate.amount
    : rate.amount[unit.densityClass ?? 'moderate'];
}

/** Person-days, machine-hours or crew-days that a task takes by its rate; a burn takes one day. */
function needOf(view: PlanView, { task, treatment, units, block, step }: TaskView): number {
  const { rate } = treatment;
  const first = units[0] as Unit;
  const acres = units.reduce((sum, unit) => sum + unit.areaAcres, 0) * step.shareOfAcres;
  const share = acres > 0 ? Math.min(1, task.areaAcres / acres) : 1;
  if (task.isWhenFit) return 1;
  const paceAt = (unit: Unit) => paceOn(view.operation, treatment, unit);
  if (rate.basis === 'fixed') return paceAt(first);
  if (rate.basis === 'point') return 1 / paceAt(first);
  if (rate.basis === 'line-foot')
    return (feetToMake(view.operation, block) * share) / paceAt(first);
  return units.reduce(
    (sum, unit) => sum + (unit.areaAcres * step.shareOfAcres * share) / paceAt(unit),
    0,
  );
}

/** Tenths of a crew day are worked in full: shares add up, come in half days, and meet the need by rate. */
export function checkWorkAmount(view: PlanView): Problem[] {
  return [
    ...view.tasks.flatMap((one) => checkTaskAmount(view, one)),
    ...view.tasks.flatMap((one) => checkAcres(view, one)),
  ];
}

function checkTaskAmount(view: PlanView, one: TaskView): Problem[] {
  const { task, title, treatment } = one;
  const { rate } = treatment;
  const days = crewDaysOf(task);
  const tenths = days.reduce((sum, day) => sum + day.tenths, 0);
  if (tenths !== task.crewDaysTenths)
    return [
      problem(
        'work-amount',
        task,
        `${title}: its crew shares add up to ${tenths / 10} crew days, but it says ${task.crewDaysTenths / 10}.`,
      ),
    ];
  if (tenths % 5 !== 0)
    return [
      problem('work-amount', task, `${title}: ${tenths / 10} crew days are no whole half days.`),
    ];
  const isByCrewDay = task.isWhenFit || rate.basis === 'fixed';
  const isByPerson = !isByCrewDay && rate.per === 'person-day';
  const isByHour = !isByCrewDay && rate.per === 'machine-hour';
  const given = days.reduce((sum, day) => {
    const people = view.operation.crews.find((crew) => crew.id === day.crewId)?.peopleCount ?? 0;
    return sum + day.tenths * (isByPerson ? people : 1);
  }, 0);
  const need = (needOf(view, one) * 10) / (isByHour ? machineHoursPerDay : 1);
  if (given >= need - roundingTenths) return [];
  const what = isByPerson ? 'person-days' : 'crew days';
  return [
    problem(
      'work-amount',
      task,
      `${title}: ${(given / 10).toFixed(1)} ${what} are planned, but ${task.areaAcres} acres need ${(need / 10).toFixed(2)} by the rate of ${treatment.name}.`,
    ),
  ];
}

/** The acres of a task and its other pieces, planned or left out, cover what is open of the step. */
function checkAcres({ plan }: PlanView, one: TaskView): Problem[] {
  const { task, title, sequence } = one;
  const isPiece = (other: TaskIdentity) =>
    other.blockId === task.blockId &&
    other.unitId === task.unitId &&
    other.stepKey === task.stepKey &&
    other.cycle === task.cycle &&
    thirdOf(other.part, sequence) === thirdOf(task.part, sequence);
  const slot = one.slots.find(
    (row) =>
      row.stepKey === task.stepKey &&
      row.cycle === task.cycle &&
      row.unitId === task.unitId &&
      row.part === thirdOf(task.part, sequence),
  );
  if (!slot || slot.state === 'answered' || slot.state === 'skipped') return [];
  // Pieces after the horizon have no acres of their own in a plan.
  if (plan.later.some(isPiece)) return [];
  const pieces = [...plan.tasks.filter(isPiece), ...plan.leftOut.filter(isPiece)];
  const acres = pieces.reduce((sum, piece) => sum + piece.areaAcres, 0);
  if (pieces[0]?.key !== task.key || acres >= slot.areaAcres - roundingAcres) return [];
  return [
    problem(
      'work-amount',
      task,
      `${title}: ${acres.toFixed(1)} acres are planned or left out, but ${slot.areaAcres.toFixed(1)} acres are open.`,
    ),
  ];
}
