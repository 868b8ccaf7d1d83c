import { type DateRange, dateWords, fromDay, rangeHolds, toDay } from '../dates.ts';
import type { Operation } from '../operation.ts';
import { windowOpenings } from '../seasons.ts';
import { placeOfTask, type WhyNot } from '../tasks.ts';
import type { Standing } from './block-view.ts';
import { leftOutCost } from './evaluate.ts';
import { heldConflict } from './held-conflict.ts';
import type { LandJob } from './land-jobs.ts';
import { heldDayOf, type LandProblem } from './land-model.ts';
import { commonDays, type LandMode, landModes, openStretches } from './land-options.ts';
import { weekOfDay } from './land-weeks.ts';
import type { ModelEdge, ModelOption } from './model.ts';
import { edgesFrom, edgesInto } from './model-edges.ts';
import { whyNot, whyNotByHeldDates } from './why-not.ts';

/** What is free of each row under a choice. */
function freeRows(problem: LandProblem, choice: readonly number[]): number[] {
  const free = [...problem.model.capacities];
  problem.model.tasks.forEach((task, at) => {
    const uses = task.options[choice[at] ?? -1]?.uses ?? [];
    for (let i = 0; i < uses.length; i += 2) free[uses[i]!]! -= uses[i + 1]!;
  });
  return free;
}

/** True when the lags to placed forerunners, and from the option to placed followers, are kept. */
function lagsAllow(
  problem: LandProblem,
  choice: readonly number[],
  task: number,
  index: number,
): boolean {
  const { tasks, edges } = problem.model;
  const option = tasks[task]?.options[index] as ModelOption;
  const isAfterAll = edgesInto(edges, task).every((edge) => {
    const pred = choice[edge.pred] ?? -1;
    if (pred < 0) return true;
    return option.from >= edge.fromLeast[pred]! && option.from <= edge.fromMost[pred]!;
  });
  const isBefore = (edge: ModelEdge): boolean => {
    const follower = tasks[edge.succ]?.options[choice[edge.succ] ?? -1];
    if (!follower) return true;
    return follower.from >= edge.fromLeast[index]! && follower.from <= edge.fromMost[index]!;
  };
  return isAfterAll && edgesFrom(edges, task).every(isBefore);
}

/** First row that lacks room for an option, or -1. */
function shortRow(free: readonly number[], option: ModelOption): number {
  for (let i = 0; i < option.uses.length; i += 2)
    if (free[option.uses[i]!]! < option.uses[i + 1]!) return option.uses[i]!;
  return -1;
}

/** What a placed task waited for: what was short at the last earlier time it could have started. */
export function waitedFor(problem: LandProblem, choice: readonly number[], task: number): string[] {
  const options = problem.model.tasks[task]?.options ?? [];
  const own = options[choice[task] ?? -1];
  if (!own) return [];
  const earlier = options
    .map((option, index) => ({ option, index }))
    .filter(
      ({ option, index }) => option.from < own.from && lagsAllow(problem, choice, task, index),
    )
    .map(({ option }) => option);
  const last = earlier.reduce<ModelOption | null>(
    (latest, option) => (latest && latest.from >= option.from ? latest : option),
    null,
  );
  if (!last) return [];
  const free = freeRows(problem, choice);
  for (let i = 0; i < own.uses.length; i += 2) free[own.uses[i]!]! += own.uses[i + 1]!;
  const row = shortRow(free, last);
  return row >= 0 ? [`Not sooner: ${problem.rows.wordsOf(row)}.`] : [];
}

/**
 * Why a task is not in the plan. `isLater`: its time lies past the horizon, so nothing is missed. `isWaiting`: it waits
 * for, or goes with, another step that is not in the plan.
 */
export interface LeftOutReason {
  isLater: boolean;
  isWaiting?: true;
  words: string;
  /** What would have to give way. */
  why?: WhyNot;
}

/**
 * Why a task is not in the plan. One whose held dates cannot be kept is left out, whatever else is in its way.
 * `isLookedAt`: what would have to give way is looked for, by planning its block again.
 */
export function leftOutReason(
  standing: Standing,
  task: number,
  dropped: ReadonlySet<number>,
  isLookedAt: boolean,
): LeftOutReason {
  const { operation, problem } = standing;
  const heldDay = heldDayOf(operation, problem.weeks, problem.jobs[task]?.identity.key ?? '');
  const conflict = heldDay === null ? null : heldConflict(standing, task);
  if (heldDay !== null && conflict !== null)
    return heldReason(heldDay, conflictWords(standing, task, conflict, heldDay));
  const reason = freeReason(operation, problem, standing.choice, task, dropped);
  const why = !isLookedAt ? null : reasonLookedFor(standing, task, reason);
  // Room by weeks is none by days, where a week of the task did not work out.
  const isSaid = why !== null && !(dropped.has(task) && why.obstacle === 'room');
  const isOfCrews = why !== null && ['crew', 'booking', 'several'].includes(why.obstacle);
  const crews = isOfCrews ? crewsWords(problem, task) : '';
  const whole: LeftOutReason = isSaid
    ? { isLater: false, words: `${why.words}${crews}`, why }
    : reason;
  return heldDay === null ? whole : { ...whole, ...heldReason(heldDay, whole.words) };
}

/** What lies past the horizon may do so only because of dates held for another step of its block. */
function reasonLookedFor(standing: Standing, task: number, reason: LeftOutReason): WhyNot | null {
  if (!reason.isLater) return whyNot(standing, task, null);
  return reason.isWaiting ? null : whyNotByHeldDates(standing, task);
}

const heldReason = (heldDay: number, why: string): LeftOutReason => ({
  isLater: false,
  words: `its dates are held from ${dateWords(fromDay(heldDay))}, but ${why}; hold other dates or release them`,
});

/** Held dates of which one has to go, or the rule that one alone breaks. */
function conflictWords(
  { operation, problem }: Standing,
  task: number,
  conflict: readonly string[],
  heldDay: number,
): string {
  const job = problem.jobs[task] as LandJob;
  if (conflict.length === 1) return heldOutside(operation, problem, job, heldDay);
  const others = conflict.slice(1).map((key) => {
    const other = problem.jobs.find(({ identity }) => identity.key === key) as LandJob;
    const day = heldDayOf(operation, problem.weeks, key) ?? 0;
    return `${other.name} on ${placeOfTask(operation, other.identity).unit} (from ${dateWords(fromDay(day))})`;
  });
  return `they cannot all be kept together with those held for ${others.join(' and ')}`;
}

/** Why no placing starts on the held day. */
function heldOutside(
  operation: Operation,
  problem: LandProblem,
  job: LandJob,
  heldDay: number,
): string {
  const date = fromDay(heldDay);
  if (date >= problem.horizon.endsBefore) return 'that is after the horizon';
  const modes = landModes(operation, job);
  const open = modes.filter((mode) =>
    openStretches(operation, job, mode.treatment, problem.horizon).some((one) =>
      rangeHolds(one, date),
    ),
  );
  if (modes.length > 0 && open.length === 0) return 'its season is not open then';
  const week = weekOfDay(problem.weeks, heldDay);
  const day = { startsOn: date, endsBefore: fromDay(heldDay + 1) };
  if (open.every((mode) => commonDays(problem.weeks, mode, week, day).length === 0))
    return 'no crew that can do it works that day, or its gear is away';
  return 'it cannot start then and keep its lags, or not be over before its season closes';
}

function freeReason(
  operation: Operation,
  problem: LandProblem,
  choice: readonly number[],
  task: number,
  dropped: ReadonlySet<number>,
): LeftOutReason {
  const job = problem.jobs[task] as LandJob;
  const horizonEnd = dateWords(fromDay(toDay(problem.horizon.endsBefore) - 1));
  const carrier = burnWithout(problem, choice, task);
  if (carrier >= 0)
    return {
      isLater: true,
      isWaiting: true,
      words: `goes with ${nameOf(problem, carrier)}, which is not in the plan`,
    };
  const before = edgesInto(problem.model.edges, task).find(
    (edge) => !edge.isBoth && (choice[edge.pred] ?? -1) < 0,
  );
  if (before)
    return {
      isLater: true,
      isWaiting: true,
      words: `waits for ${nameOf(problem, before.pred)}, which is not in the plan`,
    };
  if (problem.options[task]?.length === 0)
    return noOptionReason(operation, problem, task, horizonEnd);
  const stuck = edgesInto(problem.model.edges, task).find(
    (edge) => edge.isBoth && problem.options[edge.pred]?.length === 0,
  );
  if (stuck) {
    const why = noOptionReason(operation, problem, stuck.pred, horizonEnd);
    return { ...why, words: `needs ${nameOf(problem, stuck.pred)}, and ${why.words}` };
  }
  if (leftOutCost(problem.model, choice, task) === 0)
    return { isLater: true, words: `is due after the horizon, which ends on ${horizonEnd}` };
  if (dropped.has(task))
    return {
      isLater: false,
      words: 'its weeks have enough crew days together, but not on the days that are open',
    };
  return shortage(problem, choice, task, job, horizonEnd);
}

/** The burn that a line or check is made for, when the burn is not in the plan; -1 otherwise. */
function burnWithout(problem: LandProblem, choice: readonly number[], task: number): number {
  const edge = edgesFrom(problem.model.edges, task).find(
    (one) => one.isBoth && (choice[one.succ] ?? -1) < 0,
  );
  return edge ? edge.succ : -1;
}

const nameOf = (problem: LandProblem, task: number) => problem.jobs[task]?.name ?? 'a step';

function noOptionReason(
  operation: Operation,
  problem: LandProblem,
  task: number,
  horizonEnd: string,
): LeftOutReason {
  const job = problem.jobs[task] as LandJob;
  const modes = landModes(operation, job);
  const [treatment] = job.treatments;
  if (modes.length === 0) {
    const least = Math.max(
      treatment?.peopleLeast ?? 1,
      treatment?.family === 'burn' ? job.block.burnPeopleLeast : 1,
    );
    const people = least === 1 ? 'one person' : `${least} people`;
    const skills = treatment?.skills.join(', ') || 'none';
    return {
      isLater: false,
      words: `no crew, alone or with help, has ${people} with the skills it needs (${skills})`,
    };
  }
  const open = modes.map((mode) => ({
    mode,
    stretches: openStretches(operation, job, mode.treatment, problem.horizon),
  }));
  if (open.every(({ stretches }) => stretches.length === 0))
    return hasOpening(job, problem.horizon)
      ? { isLater: false, words: 'no-work dates bar its whole season' }
      : {
          isLater: true,
          words: `its season does not open before the horizon ends on ${horizonEnd}`,
        };
  const isStaffed = open.some(({ mode, stretches }) =>
    stretches.some((one) => worksIn(problem, mode, one)),
  );
  if (!isStaffed)
    return {
      isLater: false,
      words: 'no crew that can do it works in its season, or its gear is away',
    };
  const { heldUntilYear, heldReason } = job.block;
  if (treatment?.family === 'burn' && heldUntilYear !== null)
    return { isLater: true, words: `fire is held until July ${heldUntilYear} (${heldReason})` };
  const due = problem.dueOn[task];
  return {
    isLater: !due || due >= problem.horizon.endsBefore,
    words: `no open window is left before the horizon ends on ${horizonEnd} once its lags are kept`,
  };
}

function hasOpening(job: LandJob, span: DateRange): boolean {
  return job.treatments.some((treatment) =>
    treatment.windows.some((one) => windowOpenings(one, span, job.property.anchors).length > 0),
  );
}

function worksIn({ weeks }: LandProblem, mode: LandMode, range: DateRange): boolean {
  const last = Math.min(weeks.weekCount - 1, weekOfDay(weeks, toDay(range.endsBefore) - 1));
  for (let week = weekOfDay(weeks, toDay(range.startsOn)); week <= last; week++)
    if (commonDays(weeks, mode, week, range).length > 0) return true;
  return false;
}

/** What is short in the weeks that a task could be done in; nothing is missed when only the horizon is too near. */
function shortage(
  problem: LandProblem,
  choice: readonly number[],
  task: number,
  job: LandJob,
  horizonEnd: string,
): LeftOutReason {
  const options = (problem.model.tasks[task]?.options ?? []).filter((_, index) =>
    lagsAllow(problem, choice, task, index),
  );
  if (options.length === 0)
    return {
      isLater: true,
      words: `the steps before it leave it no season before the horizon ends on ${horizonEnd}`,
    };
  const free = freeRows(problem, choice);
  const counts = new Map<string, number>();
  for (const option of options) {
    const row = shortRow(free, option);
    if (row < 0) continue;
    const subject = problem.rows.subjectWordsOf(row);
    counts.set(subject, (counts.get(subject) ?? 0) + 1);
  }
  const [most] = [...counts].sort((a, b) => b[1] - a[1]);
  if (!most)
    return {
      isLater: false,
      words: `no placing fits together with the steps that follow ${job.name}`,
    };
  return {
    isLater: false,
    words: `${most[0]} in ${most[1]} of the ${options.length} ways to place it${crewsWords(problem, task)}`,
  };
}

/** Every crew that could do a task, where there are several: the one that is full most often is not the only one. */
function crewsWords({ options }: LandProblem, task: number): string {
  const names = new Set(
    (options[task] ?? []).map(({ mode }) => mode.crews.map(({ name }) => name).join(' with ')),
  );
  return names.size > 1 ? `; crews that could do it: ${[...names].join(', ')}` : '';
}
