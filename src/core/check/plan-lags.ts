import type { IsoDate } from '../dates.ts';
import type { Problem } from '../problems.ts';
import type { Lag, LagLength, Step } from '../sequences.ts';
import { leastMissing, mostOverrun } from './plan-calendar.ts';
import { fireCounts, type Slot } from './plan-facts.ts';
import { feetToMake } from './plan-need.ts';
import { type PlanView, problem, rotationFor, type TaskView, thirdOf } from './plan-view.ts';

/** What a task waits for, planned or done. */
interface Forerunner {
  name: string;
  endedOn: IsoDate;
}

interface Lengths {
  least: LagLength;
  most: LagLength | null;
}

/** Least and hard most of a lag; a rotation takes its least from the block's interval and has no hard most. */
function lengthsOf(view: PlanView, task: TaskView, lag: Lag): Lengths {
  const rotation =
    lag.kind === 'rotation' ? rotationFor(view.operation, task.block, task.sequence) : null;
  if (rotation) return { least: { burningSeasons: rotation.leastSeasons }, most: null };
  return { least: lag.least, most: lag.mostIsHard ? lag.most : null };
}

const sharesGround = (a: { unitId: number | null }, b: { unitId: number | null }) =>
  a.unitId === null || b.unitId === null || a.unitId === b.unitId;

function isOfSlots(
  task: { blockId: number; unitId: number | null; stepKey: string; cycle: number; part: string },
  of: TaskView,
  stepKey: string,
  cycle: number,
): boolean {
  return (
    task.blockId === of.block.id &&
    task.stepKey === stepKey &&
    task.cycle === cycle &&
    thirdOf(task.part, of.sequence) === thirdOf(of.task.part, of.sequence) &&
    sharesGround(task, of.task)
  );
}

function slotsFor(of: TaskView, stepKey: string, cycle: number): Slot[] {
  const third = thirdOf(of.task.part, of.sequence);
  return of.slots.filter(
    (slot) =>
      slot.stepKey === stepKey &&
      slot.cycle === cycle &&
      slot.part === third &&
      sharesGround(slot, of.task),
  );
}

/** Planned tasks of a step; when the work is split in like pieces, only the piece with the same name. */
function plannedFor(view: PlanView, of: TaskView, stepKey: string, cycle: number): TaskView[] {
  const all = view.tasks.filter((one) => isOfSlots(one.task, of, stepKey, cycle));
  const same = all.filter((one) => one.task.part === of.task.part);
  return same.length > 0 ? same : all;
}

const cycleBefore = (of: TaskView, lag: Lag) =>
  lag.cycle === 'same' ? of.task.cycle : of.task.cycle - 1;

/** Least and hard most lags from planned tasks and facts to each planned task. */
export function checkLags(view: PlanView): Problem[] {
  return view.tasks.flatMap((of) => {
    if (of.task.tiedToKey !== null) return [];
    return of.step.lags.flatMap((lag) => {
      const cycle = cycleBefore(of, lag);
      const planned = plannedFor(view, of, lag.afterStepKey, cycle);
      const forerunners: Forerunner[] = planned.map((one) => ({
        name: one.title,
        endedOn: one.task.lastDay,
      }));
      if (planned.length === 0)
        for (const slot of slotsFor(of, lag.afterStepKey, cycle))
          if (slot.doneOn !== null && slot.state === 'answered')
            forerunners.push({ name: `${slot.stepKey} (done)`, endedOn: slot.doneOn });
      const lengths = lengthsOf(view, of, lag);
      const fires = lag.kind === 'rotation' ? firesBefore(view, of) : [];
      return [...forerunners, ...fires].flatMap((one) => checkLag(of, one, lengths));
    });
  });
}

function checkLag(of: TaskView, after: Forerunner, { least, most }: Lengths): Problem[] {
  const { task, title, property } = of;
  const problems: Problem[] = [];
  const from = `${title} starts on ${task.startsOn}, after ${after.name} on ${after.endedOn}`;
  const missing = leastMissing(least, after.endedOn, task.startsOn, property);
  if (missing !== null) problems.push(problem('lag-least', task, `${from}: ${missing}.`));
  const overrun = most && mostOverrun(most, after.endedOn, task.startsOn, property);
  if (overrun) problems.push(problem('lag-most', task, `${from}: ${overrun}.`));
  return problems;
}

/**
 * Fires of the work log on the block that count, before a planned burn. Not for a block in thirds: a fire on the unit does
 * not say which third it took; there the steps that the log has answered tell.
 */
function firesBefore({ operation }: PlanView, of: TaskView): Forerunner[] {
  if (of.treatment.family !== 'burn' || of.sequence.partsCount > 1) return [];
  const unitIds = new Set(of.units.map((unit) => unit.id));
  return operation.entries
    .filter((entry) => unitIds.has(entry.unitId) && fireCounts(operation, entry))
    .filter((entry) => entry.doneOn <= of.task.startsOn)
    .map((entry) => ({ name: 'a fire', endedOn: entry.doneOn }));
}

/** True when a slot asks for work that the land does not have: a line round a block of roads and creeks. */
function needsNothing(view: PlanView, of: TaskView, step: Step): boolean {
  const treatment = view.operation.treatments.find((one) => one.key === step.treatmentKeys[0]);
  return treatment?.rate.basis === 'line-foot' && feetToMake(view.operation, of.block) === 0;
}

/** A step is planned only when the steps it waits for are planned or done; `both` also the other way round. */
export function checkLinks(view: PlanView): Problem[] {
  return view.tasks.flatMap((of) => [
    ...of.step.lags.flatMap((lag) => missingBefore(view, of, lag)),
    ...missingAfter(view, of),
    ...missingBurn(view, of),
  ]);
}

/** Open slots of a step without a planned task, or with a piece left out; to a like piece only its own one counts. */
function unmet(view: PlanView, of: TaskView, step: Step, cycle: number): Slot[] {
  if (needsNothing(view, of, step)) return [];
  const planned = view.tasks.filter((one) => isOfSlots(one.task, of, step.key, cycle));
  const out = view.plan.leftOut.filter((one) => isOfSlots(one, of, step.key, cycle));
  return slotsFor(of, step.key, cycle).filter((slot) => {
    if (slot.state === 'answered' || slot.state === 'skipped') return false;
    const own = planned.filter((one) => one.task.unitId === slot.unitId);
    const isPiece = of.task.part !== '-';
    if (isPiece && own.some((one) => one.task.part === of.task.part)) return false;
    return own.length === 0 || out.some((one) => one.unitId === slot.unitId);
  });
}

function missingBefore(view: PlanView, of: TaskView, lag: Lag): Problem[] {
  const before = of.sequence.steps.find((step) => step.key === lag.afterStepKey);
  if (!before) return [];
  return unmet(view, of, before, cycleBefore(of, lag)).map((slot) =>
    problem(
      'needs',
      of.task,
      `${of.title} is planned for ${of.task.startsOn}, but ${before.name} (cycle ${slot.cycle}) that it needs is neither planned nor done.`,
    ),
  );
}

function missingAfter(view: PlanView, of: TaskView): Problem[] {
  return of.sequence.steps.flatMap((step) =>
    step.lags
      .filter((lag) => lag.link === 'both' && lag.afterStepKey === of.step.key)
      .flatMap((lag) =>
        unmet(view, of, step, lag.cycle === 'same' ? of.task.cycle : of.task.cycle + 1),
      )
      .map((slot) =>
        problem(
          'both',
          of.task,
          `${of.title} is planned for ${of.task.startsOn} without ${step.name} (cycle ${slot.cycle}): both or neither.`,
        ),
      ),
  );
}

/** A task tied to a burn needs that burn in the plan. */
function missingBurn(view: PlanView, of: TaskView): Problem[] {
  const { tiedToKey } = of.task;
  if (tiedToKey === null || view.tasks.some((one) => one.task.key === tiedToKey)) return [];
  return [
    problem('needs', of.task, `${of.title} is tied to ${tiedToKey}, which is not in the plan.`),
  ];
}
