import type { Block } from '../blocks.ts';
import type { IsoDate } from '../dates.ts';
import type { Operation } from '../operation.ts';
import type { PlanContent } from '../plans.ts';
import type { Problem } from '../problems.ts';
import type { Property } from '../properties.ts';
import type { Sequence, Step } from '../sequences.ts';
import type { PlannedTask } from '../tasks.ts';
import type { Treatment } from '../treatments.ts';
import type { Unit } from '../units.ts';
import type { Rotation } from './plan-calendar.ts';
import { type Slot, slotsOf } from './plan-facts.ts';

/** A planned task with the rows that it names. */
export interface TaskView {
  task: PlannedTask;
  /** Name and place for sentences: `Fell cedar on N4`. */
  title: string;
  property: Property;
  block: Block;
  /** The task's unit, or all units of its block. */
  units: Unit[];
  sequence: Sequence;
  step: Step;
  treatment: Treatment;
  /** Slots of the block's sequence: what facts have answered and what is open. */
  slots: Slot[];
  /** The day kept for a burn; null for other tasks and for a burn without crew days. */
  reservedOn: IsoDate | null;
}

export interface PlanView {
  operation: Operation;
  plan: PlanContent;
  tasks: TaskView[];
}

export function problem(code: string, task: { key: string }, message: string): Problem {
  return { code, message, ref: task.key };
}

/** A task's third of its block (`-` outside thirds), whatever piece of it the task is. */
export function thirdOf(part: string, sequence: Sequence): string {
  return sequence.partsCount > 1 ? part.slice(0, 1) : '-';
}

/** Crew days of a task as single rows, in order of date. */
export function crewDaysOf(task: PlannedTask): { crewId: number; date: IsoDate; tenths: number }[] {
  return task.crewShares
    .flatMap((share) => share.days.map((day) => ({ crewId: share.crewId, ...day })))
    .sort((a, b) => (a.date < b.date ? -1 : a.date > b.date ? 1 : a.crewId - b.crewId));
}

/** Interval of a block: its own, else of its sequence's phase, else of the natural community of its largest unit. */
export function rotationFor(
  operation: Operation,
  block: Block,
  sequence: Sequence,
): Rotation | null {
  return block.rotation ?? sequence.rotation ?? communityRotation(operation, block);
}

function communityRotation(operation: Operation, block: Block): Rotation | null {
  const units = operation.units.filter((unit) => unit.blockId === block.id);
  const acres = Math.max(...units.map((unit) => unit.areaAcres));
  const largest = units.find((unit) => unit.areaAcres === acres);
  const community = operation.communities.find((one) => one.key === largest?.communityKey);
  if (!community?.interval) return null;
  const { leastYears, targetYears, mostYears } = community.interval;
  return { phase: 'maintenance', leastSeasons: leastYears, targetYears, mostYears };
}

/** The plan with every task's rows looked up; a task that names a missing row is a problem and is checked no further. */
export function viewPlan(
  operation: Operation,
  plan: PlanContent,
): { view: PlanView; problems: Problem[] } {
  const problems: Problem[] = [];
  const slotsByBlock = new Map<number, Slot[]>();
  const tasks = plan.tasks.flatMap((task): TaskView[] => {
    const found = lookUp(operation, task);
    if (typeof found === 'string') {
      problems.push(problem('unknown', task, `${task.name} (${task.key}): ${found}.`));
      return [];
    }
    const { block, sequence } = found;
    const slots = slotsByBlock.get(block.id) ?? slotsOf(operation, plan, block, sequence);
    slotsByBlock.set(block.id, slots);
    return [{ ...found, slots }];
  });
  return { view: { operation, plan, tasks }, problems };
}

function lookUp(operation: Operation, task: PlannedTask): Omit<TaskView, 'slots'> | string {
  const block = operation.blocks.find((one) => one.id === task.blockId);
  if (!block) return `the land has no block with the number ${task.blockId}`;
  const property = operation.properties.find((one) => one.id === block.propertyId);
  if (!property || property.id !== task.propertyId)
    return `block ${block.code} is not on property ${task.propertyId}`;
  const units = operation.units.filter(
    (unit) => unit.blockId === block.id && (task.unitId === null || task.unitId === unit.id),
  );
  if (units.length === 0) return `block ${block.code} has no such unit (${task.unitId ?? 'any'})`;
  const sequence = operation.sequences.find((one) => one.key === task.sequenceKey);
  if (!sequence || block.sequenceKey !== sequence.key)
    return `block ${block.code} does not run the sequence ${task.sequenceKey}`;
  const step = sequence.steps.find((one) => one.key === task.stepKey);
  if (!step) return `the sequence ${sequence.name} has no step ${task.stepKey}`;
  const treatment = operation.treatments.find((one) => one.key === task.treatmentKey);
  if (!treatment || !step.treatmentKeys.includes(treatment.key))
    return `the step ${step.name} is not done by the treatment ${task.treatmentKey}`;
  const place = task.unitId === null ? block.code : (units[0] as Unit).code;
  return {
    task,
    title: `${task.name} on ${place}`,
    property,
    block,
    units,
    sequence,
    step,
    treatment,
    reservedOn: task.isWhenFit ? (crewDaysOf(task)[0]?.date ?? null) : null,
  };
}
