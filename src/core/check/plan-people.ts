import type { Crew } from '../crews.ts';
import { daysBetween, type IsoDate, rangeHolds, weekday } from '../dates.ts';
import type { Problem } from '../problems.ts';
import { crewDaysOf, type PlanView, problem, type TaskView } from './plan-view.ts';

/** Tenths of one whole day. */
const wholeDay = 10;

/** Why a crew does not work on a day, in words, or null when it does. */
function offBecause(crew: Crew, date: IsoDate, holidays: ReadonlyMap<IsoDate, string>) {
  const holiday = holidays.get(date);
  if (holiday !== undefined) return `is a holiday (${holiday})`;
  if (!crew.workdays.includes(weekday(date))) return 'is no workday of the crew';
  if (crew.daysOff.some((off) => rangeHolds(off, date))) return 'is a day off of the crew';
  if (crew.onSpans !== null && !crew.onSpans.some((on) => rangeHolds(on, date)))
    return 'is outside the spans in which the crew is on site';
  return null;
}

/** Crews work on their days only, and no more than a whole one. */
export function checkCrewDays(view: PlanView): Problem[] {
  const { operation, tasks } = view;
  const holidays = new Map(operation.holidays.map((row) => [row.date, row.name]));
  const used = new Map<string, number>();
  const problems: Problem[] = [];
  for (const one of tasks) {
    const { task, title } = one;
    problems.push(...checkDaysOfTask(view, one));
    for (const { crewId, date, tenths } of crewDaysOf(task)) {
      const crew = operation.crews.find((row) => row.id === crewId);
      if (!crew) {
        problems.push(problem('crew-day', task, `${title}: there is no crew number ${crewId}.`));
        continue;
      }
      const off = offBecause(crew, date, holidays);
      if (off) problems.push(problem('crew-day', task, `${title}: ${date} ${off} (${crew.name}).`));
      const sum = (used.get(`${crewId} ${date}`) ?? 0) + tenths;
      used.set(`${crewId} ${date}`, sum);
      if (tenths <= 0 || sum > wholeDay)
        problems.push(
          problem(
            'crew-day',
            task,
            `${title}: ${crew.name} would work ${sum / 10} days on ${date}, of which this task ${tenths / 10}; more than 0 and at most 1 is possible.`,
          ),
        );
    }
  }
  return problems;
}

const mondayBefore = (date: IsoDate, other: IsoDate) =>
  daysBetween(date, other) + weekday(date) - 1;

/** Crew days lie on days of the task; those of a burn on one day, those tied to it in the week of that day. */
function checkDaysOfTask({ tasks }: PlanView, one: TaskView): Problem[] {
  const { task, title, reservedOn } = one;
  const burn = tasks.find((other) => other.task.key === task.tiedToKey);
  const week = burn?.reservedOn ?? null;
  for (const { date } of crewDaysOf(task)) {
    if (task.tiedToKey !== null) {
      const days = week === null ? -1 : mondayBefore(week, date);
      if (burn && (days < 0 || days > 6))
        return [
          problem(
            'crew-day',
            task,
            `${title}: ${date} is not in the week of ${week ?? 'no day'} kept for ${burn.title}.`,
          ),
        ];
      continue;
    }
    if (date < task.startsOn || date > task.lastDay)
      return [
        problem(
          'crew-day',
          task,
          `${title}: ${date} is not between its dates ${task.startsOn} and ${task.lastDay}.`,
        ),
      ];
    if (reservedOn !== null && date !== reservedOn)
      return [
        problem('crew-day', task, `${title}: a burn takes one day, not ${reservedOn} and ${date}.`),
      ];
  }
  return [];
}

/** Every crew of a task has the skills that its treatment asks for. */
export function checkCrewSkills({ operation, tasks }: PlanView): Problem[] {
  return tasks.flatMap(({ task, title, treatment }) => {
    const crewIds = new Set([...task.crewIds, ...task.crewShares.map((share) => share.crewId)]);
    return [...crewIds].flatMap((crewId): Problem[] => {
      const crew = operation.crews.find((one) => one.id === crewId);
      const lacks = treatment.skills.filter((skill) => !crew?.skills.includes(skill));
      if (!crew || lacks.length === 0) return [];
      return [
        problem(
          'crew-skill',
          task,
          `${title}: ${crew.name} lacks the skill ${lacks.join(' and ')} that ${treatment.name} asks for.`,
        ),
      ];
    });
  });
}

/** Enough people on every day of a task: its treatment's least, for a burn also its block's. */
export function checkCrewPeople({ operation, tasks }: PlanView): Problem[] {
  return tasks.flatMap(({ task, title, treatment, block }): Problem[] => {
    const least = task.isWhenFit
      ? Math.max(treatment.peopleLeast, block.burnPeopleLeast)
      : treatment.peopleLeast;
    const days = new Map<IsoDate, Set<number>>();
    for (const { date, crewId } of crewDaysOf(task))
      days.set(date, (days.get(date) ?? new Set()).add(crewId));
    if (days.size === 0 && task.isWhenFit) days.set(task.startsOn, new Set());
    for (const [date, crewIds] of days) {
      const people = operation.crews
        .filter((crew) => crewIds.has(crew.id))
        .reduce((sum, crew) => sum + crew.peopleCount, 0);
      if (people < least)
        return [
          problem(
            'crew-people',
            task,
            `${title}: ${people} people on ${date}, at least ${least} are needed.`,
          ),
        ];
    }
    return [];
  });
}

/** Gear that a treatment takes is there on each day of it, on days it can be had, and not more of it than there is. */
export function checkGear({ operation, tasks }: PlanView): Problem[] {
  const used = new Map<string, number>();
  return tasks.flatMap(({ task, title, treatment }) => {
    const problems: Problem[] = [];
    const taken = new Set<string>();
    for (const share of task.gearShares) {
      const gear = operation.gear.find((one) => one.key === share.gearKey);
      for (const { date, tenths } of share.days) {
        taken.add(`${share.gearKey} ${date}`);
        const sum = (used.get(`${share.gearKey} ${date}`) ?? 0) + tenths;
        used.set(`${share.gearKey} ${date}`, sum);
        const most = (gear?.count ?? 0) * wholeDay;
        if (sum > most)
          problems.push(
            problem(
              'gear-day',
              task,
              `${title}: ${gear?.name ?? share.gearKey} would be used ${sum / 10} days on ${date}, at most ${most / 10}.`,
            ),
          );
        else if (gear?.daysOff.some((off) => rangeHolds(off, date)))
          problems.push(problem('gear-day', task, `${title}: ${gear.name} is off on ${date}.`));
      }
    }
    for (const gear of operation.gear.filter((one) => treatment.gear.includes(one.key))) {
      const without = crewDaysOf(task).find((day) => !taken.has(`${gear.key} ${day.date}`));
      if (without)
        problems.push(
          problem('gear-day', task, `${title}: no ${gear.name} is kept for ${without.date}.`),
        );
    }
    return problems;
  });
}
