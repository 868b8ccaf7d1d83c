import { addDays, type IsoDate } from '../dates.ts';
import type { NoWorkSpan } from '../no-work.ts';
import type { Problem } from '../problems.ts';
import type { Unit } from '../units.ts';
import { openingsOf } from './plan-calendar.ts';
import { crewDaysOf, type PlanView, problem, type TaskView } from './plan-view.ts';

/** Days that a task takes: a burn the whole span in which it may be called, other work the days with people on it. */
function daysOf(view: TaskView): IsoDate[] {
  const { task } = view;
  const worked = crewDaysOf(task).map((day) => day.date);
  if (!task.isWhenFit && worked.length > 0) return [...new Set(worked)];
  const days: IsoDate[] = [];
  for (let day = task.startsOn; day <= task.lastDay; day = addDays(day, 1)) days.push(day);
  return days;
}

/** Every task lies in the horizon and ends no earlier than it starts. */
export function checkHorizon({ plan, tasks }: PlanView): Problem[] {
  const { startsOn, endsBefore } = plan.horizon;
  return tasks.flatMap(({ task, title }): Problem[] => {
    if (task.lastDay < task.startsOn)
      return [
        problem('horizon', task, `${title} ends on ${task.lastDay}, before ${task.startsOn}.`),
      ];
    if (task.startsOn >= startsOn && task.lastDay < endsBefore) return [];
    const dates = `${task.startsOn} to ${task.lastDay}`;
    const horizon = `${startsOn} to ${addDays(endsBefore, -1)}`;
    return [problem('horizon', task, `${title}, ${dates}, is outside the horizon, ${horizon}.`)];
  });
}

/** Every day of a task lies in one opening of a window of its treatment. Tasks tied to a burn have its span. */
export function checkWindows({ tasks }: PlanView): Problem[] {
  return tasks.flatMap((view): Problem[] => {
    const { task, title, treatment, property } = view;
    if (task.tiedToKey !== null) return [];
    const days = daysOf(view);
    const [first, last] = [days[0] ?? task.startsOn, days.at(-1) ?? task.lastDay];
    const openings = treatment.windows.flatMap((window) =>
      openingsOf(window, property, first, last),
    );
    if (openings.some((open) => open.first <= first && last <= open.last)) return [];
    const near = openings.map((open) => `${open.first} to ${open.last}`).join(', ') || 'none';
    return [
      problem(
        'window',
        task,
        `${title}, ${first} to ${last}, is not inside one opening of the windows of ${treatment.name} (openings that it touches: ${near}).`,
      ),
    ];
  });
}

/**
 * True when the no-work span is about this unit and treatment. Families and treatments add up; contract dates are
 * not on the land's records, so a span for some contracts is taken to hold for all.
 */
function appliesTo(span: NoWorkSpan, { property, treatment }: TaskView, unit: Unit): boolean {
  const { families, treatmentKeys, unitTags, stemInchesOver, speciesGroups, unitIds } =
    span.applies;
  if (span.state !== null && span.state !== property.state) return false;
  if (span.propertyId !== null && span.propertyId !== property.id) return false;
  if (unitIds !== undefined && !unitIds.some((id) => id === unit.id)) return false;
  const isNamed = families?.includes(treatment.family) || treatmentKeys?.includes(treatment.key);
  if ((families !== null || treatmentKeys !== null) && !isNamed) return false;
  if (!unitTags.every((tag) => unit.tags.includes(tag))) return false;
  if (
    stemInchesOver !== null &&
    (treatment.stemInchesMost === null || treatment.stemInchesMost <= stemInchesOver)
  )
    return false;
  return (
    speciesGroups.length === 0 ||
    speciesGroups.some((group) => treatment.speciesGroups.includes(group))
  );
}

/** True on the days of the years for which a rule was made; most rules hold for ever. */
function isHeldOn({ holdsFrom = null, holdsUntil = null }: NoWorkSpan, day: IsoDate): boolean {
  return !(holdsFrom !== null && day < holdsFrom) && !(holdsUntil !== null && holdsUntil < day);
}

/** No day in no-work dates that are hard, or ask-first without an approval on file for the unit and day. */
export function checkNoWork({ operation, tasks }: PlanView): Problem[] {
  return tasks.flatMap((view): Problem[] => {
    const { task, title, property } = view;
    if (task.tiedToKey !== null) return [];
    const days = daysOf(view);
    return operation.noWork.flatMap((span): Problem[] => {
      const openings = openingsOf(span, property, task.startsOn, task.lastDay);
      for (const unit of view.units.filter((one) => appliesTo(span, view, one))) {
        const barred = days.find(
          (day) =>
            openings.some((open) => open.first <= day && day <= open.last) &&
            isHeldOn(span, day) &&
            !isApproved(span, unit, day),
        );
        if (!barred) continue;
        const how = span.firmness === 'hard' ? '' : ', without an approval on file';
        return [
          problem(
            'no-work',
            task,
            `${title} falls on ${barred}, in the no-work dates "${span.name}" of unit ${unit.code}${how}.`,
          ),
        ];
      }
      return [];
    });

    function isApproved(span: NoWorkSpan, unit: Unit, day: IsoDate): boolean {
      return (
        span.firmness === 'ask-first' &&
        operation.approvals.some(
          (row) =>
            row.noWorkKey === span.key &&
            row.unitId === unit.id &&
            row.from <= day &&
            day <= row.until,
        )
      );
    }
  });
}

/**
 * A planned task keeps the dates that the user holds: by the first day, or for a burn by the day kept for it. Held days
 * that have passed hold nothing; a task whose held dates cannot be kept may be left out, and a tied one has no own dates.
 */
export function checkHeld({ operation, plan, tasks }: PlanView): Problem[] {
  return operation.heldDates.flatMap((held): Problem[] => {
    const view = tasks.find((one) => one.task.key === held.taskKey);
    if (!view || view.task.tiedToKey !== null || held.startsOn < plan.horizon.startsOn) return [];
    if (view.task.startsOn === held.startsOn || view.reservedOn === held.startsOn) return [];
    const moved = `${view.title} starts on ${view.task.startsOn}`;
    return [problem('held', view.task, `${moved}, but is held on ${held.startsOn}.`)];
  });
}

/** A task stands once in the plan: placed, left out or later; and is not planned when the work log has it as done. */
export function checkTwice({ operation, plan }: PlanView): Problem[] {
  const seen = new Map<string, string>();
  const problems: Problem[] = [];
  const lists = [
    ['planned', plan.tasks],
    ['left out', plan.leftOut],
    ['after the horizon', plan.later],
  ] as const;
  for (const [list, rows] of lists)
    for (const row of rows) {
      const other = seen.get(row.key);
      if (other)
        problems.push(
          problem('twice', row, `${row.name} (${row.key}) is ${other} and also ${list}.`),
        );
      seen.set(row.key, list);
    }
  for (const task of plan.tasks) {
    const done = operation.entries.find(
      (entry) => entry.taskKey === task.key && entry.outcome === 'done',
    );
    if (done)
      problems.push(
        problem('twice', task, `${task.name} (${task.key}) was done on ${done.doneOn} already.`),
      );
  }
  return problems;
}
