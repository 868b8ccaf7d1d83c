import { type DateRange, dateWords, daysBetween, fromDay, type IsoDate, toDay } from '../dates.ts';
import { lagWords } from '../lags.ts';
import type { Operation } from '../operation.ts';
import type { PlanContent, PlanDifference } from '../plans.ts';
import type { LaterTask, LeftOutTask, PlannedTask, TaskIdentity, WhyNot } from '../tasks.ts';
import type { Family, Treatment } from '../treatments.ts';
import { standingOf } from './block-view.ts';
import { type DayPlan, spanOfShares } from './decode.ts';
import { costOf, leftOutCost } from './evaluate.ts';
import { dueOf } from './land-due.ts';
import type { LandJob } from './land-jobs.ts';
import { costScale, type LandProblem } from './land-model.ts';
import { type LandOption, landModes } from './land-options.ts';
import { edgesInto } from './model-edges.ts';
import { type LeftOutReason, leftOutReason, waitedFor } from './reasons.ts';
import { repairByDays } from './repair.ts';
import { whyNot } from './why-not.ts';

/** How a plan was searched for; kept with it. */
export interface RunRecord {
  seed: number;
  iterations: number | null;
  seconds: number;
  version: string;
}

/**
 * The plan that a choice of placings means: tasks with days and people, what is left out and why, and what lies past
 * the horizon. Tasks that do not work out by days are planned again or left out first.
 */
export function planContent(
  operation: Operation,
  problem: LandProblem,
  chosen: readonly number[],
  run: RunRecord,
): PlanContent {
  const { choice, decoded, dropped, barred } = repairByDays(operation, problem, chosen);
  const standing = standingOf(operation, problem, choice, barred);
  const lookedAt = tasksLookedAt(problem, choice);
  const content: PlanContent = {
    ...run,
    madeOn: problem.horizon.startsOn,
    horizon: problem.horizon,
    cost: costOf(problem.model, choice) / costScale,
    bound: null,
    tasks: [],
    leftOut: [],
    later: [],
  };
  problem.jobs.forEach((job, task) => {
    const option = problem.options[task]?.[choice[task] ?? -1];
    if (option) {
      const days = decoded.plans.get(task) as DayPlan;
      const late = lookedAt.has(task) ? whyNot(standing, task, option.fromDay) : null;
      content.tasks.push(plannedTask(problem, choice, task, option, days, late));
      content.tasks.push(...tiedTasks(job, option, days));
      return;
    }
    const reason = leftOutReason(standing, task, dropped, lookedAt.has(task));
    const base = { ...job.identity, ...taskKind(job), name: job.name, areaAcres: job.areaAcres };
    const cost = leftOutCost(problem.model, choice, task) / costScale;
    if (reason.isLater) content.later.push(laterTask(job, reason));
    else
      content.leftOut.push({
        ...base,
        dueOn: dueOf(problem, choice, task),
        reason: reason.words,
        ...(reason.why ? { why: reason.why } : {}),
        ...crewDaysOf(operation, job),
        cost,
      });
  });
  content.tasks.sort((a, b) =>
    a.startsOn === b.startsOn ? (a.key < b.key ? -1 : 1) : a.startsOn < b.startsOn ? -1 : 1,
  );
  return content;
}

/** Tasks for which what stands in the way is looked for, so that the work stays bounded in a plan of much that is late. */
const lookedAtMost = 100;

/** Those left out that are missed, and those that are late: the costliest of them. */
function tasksLookedAt(problem: LandProblem, choice: readonly number[]): ReadonlySet<number> {
  const found = problem.jobs.flatMap((_, task) => {
    const option = problem.options[task]?.[choice[task] ?? -1];
    if (!option) return [{ task, cost: leftOutCost(problem.model, choice, task) }];
    const due = dueOf(problem, choice, task);
    const isLate = due !== null && option.fromDay > toDay(due);
    return isLate ? [{ task, cost: taskCost(problem, choice, task) * costScale }] : [];
  });
  found.sort((a, b) => b.cost - a.cost || a.task - b.task);
  return new Set(found.slice(0, lookedAtMost).map(({ task }) => task));
}

/** Crew days of a job by its first mode; nothing where no crew can do it. */
function crewDaysOf(operation: Operation, job: LandJob): Pick<LeftOutTask, 'crewDaysTenths'> {
  const [mode] = landModes(operation, job);
  return mode ? { crewDaysTenths: mode.tenths * mode.crews.length } : {};
}

function taskKind(job: LandJob): { treatmentKey: string; family: Family } {
  const treatment = job.treatments[0];
  return { treatmentKey: treatment?.key ?? '', family: treatment?.family ?? 'monitor' };
}

function laterTask(job: LandJob, { words, isWaiting }: LeftOutReason): LaterTask {
  const own = { ...job.identity, ...taskKind(job), name: job.name };
  return { ...own, reason: words, isWaiting: isWaiting ?? false };
}

function taskCost(problem: LandProblem, choice: readonly number[], task: number): number {
  const option = problem.model.tasks[task]?.options[choice[task] ?? -1];
  let cost = option?.cost ?? 0;
  for (const edge of edgesInto(problem.model.edges, task)) {
    if (!edge.soft || !option) continue;
    const pred = choice[edge.pred] ?? -1;
    if (pred < 0) continue;
    cost += edge.soft.costPerUnit * Math.max(0, option.from - (edge.soft.dueAt[pred] ?? 0));
    if (edge.soft.stepAt && option.from > (edge.soft.stepAt[pred] ?? 0)) cost += edge.soft.stepCost;
  }
  return cost / costScale;
}

function plannedTask(
  problem: LandProblem,
  choice: readonly number[],
  task: number,
  option: LandOption,
  days: DayPlan,
  late: WhyNot | null,
): PlannedTask {
  const job = problem.jobs[task] as LandJob;
  const { treatment } = option.mode;
  const isBurn = treatment.family === 'burn';
  const shares = [...days.crews].map(([crewId, list]) => ({ crewId, days: list }));
  const span = isBurn
    ? spanOf(option)
    : (spanOfShares(shares.flatMap((one) => one.days)) as DateRange);
  const lastDay = fromDay(toDay(span.endsBefore) - 1);
  const dueOn = dueOf(problem, choice, task);
  return {
    ...job.identity,
    name: job.name,
    treatmentKey: treatment.key,
    family: treatment.family,
    areaAcres: job.areaAcres,
    startsOn: span.startsOn,
    lastDay,
    isWhenFit: isBurn,
    tiedToKey: null,
    crewIds: shares.map((one) => one.crewId),
    crewDaysTenths: shares.flatMap((one) => one.days).reduce((sum, one) => sum + one.tenths, 0),
    crewShares: shares,
    gearShares: [...days.gear].map(([gearKey, list]) => ({ gearKey, days: list })),
    dueOn,
    lateDays: dueOn && span.startsOn > dueOn ? daysBetween(dueOn, span.startsOn) : 0,
    isHeld: problem.isHeld[task] === true,
    cost: taskCost(problem, choice, task),
    because: because(problem, choice, task, option, dueOn, late),
    ...(late ? { late } : {}),
  };
}

function spanOf(option: LandOption): DateRange {
  return { startsOn: fromDay(option.fromDay), endsBefore: fromDay(option.toDay + 1) };
}

/** Why a task is when it is, in whole sentences. */
function because(
  problem: LandProblem,
  choice: readonly number[],
  task: number,
  option: LandOption,
  dueOn: IsoDate | null,
  late: WhyNot | null,
): string[] {
  const job = problem.jobs[task] as LandJob;
  const lastOpen = fromDay(toDay(option.open.endsBefore) - 1);
  const sentences = [
    `${option.mode.treatment.name} is open from ${dateWords(option.open.startsOn)} to ${dateWords(lastOpen)} here.`,
  ];
  sentences.push(...lineGuess(job, option.mode.treatment));
  for (const link of job.links) {
    const { forerunner, rule } = link;
    const least = lagWords(rule.least);
    const gap = least === 'the same day' ? '' : `at least ${least} `;
    if ('endedOn' in forerunner) {
      sentences.push(`It comes ${gap}after ${forerunner.name} (${dateWords(forerunner.endedOn)}).`);
      continue;
    }
    const pred = problem.placeOf.get(forerunner.job) ?? -1;
    const before = problem.options[pred]?.[choice[pred] ?? -1];
    if (before)
      sentences.push(
        `It comes ${gap}after ${forerunner.job.name}, planned to be over by ${dateWords(fromDay(before.toDay))}.`,
      );
  }
  if (dueOn) sentences.push(`It is due by ${dateWords(dueOn)}.`);
  if (problem.isHeld[task]) sentences.push('Its dates are held.');
  if (late) sentences.push(`Later than due: ${late.words}.`);
  else if (!problem.isHeld[task]) sentences.push(...waitedFor(problem, choice, task));
  if (option.mode.isAlternative)
    sentences.push('It takes the place of the wished season, which did not fit as well.');
  return sentences;
}

/** Says when the length of a line is a guess; nothing for work that is not measured by line. */
function lineGuess({ guessedLineFeet }: LandJob, treatment: Treatment | undefined): string[] {
  if (guessedLineFeet === null || treatment?.rate.basis !== 'line-foot') return [];
  const feet = guessedLineFeet.toLocaleString('en-US');
  return [`No line is on record: ${feet} ft are guessed from the acres.`];
}

/** Tasks on the day of a burn: they share its span until the boss calls it. */
function tiedTasks(job: LandJob, option: LandOption, days: DayPlan): PlannedTask[] {
  const span = spanOf(option);
  return job.tied.map((tied, index): PlannedTask => {
    const share = days.tied[index] ?? { crewId: -1, days: [] };
    return {
      ...tied.identity,
      ...taskKind(tied),
      name: tied.name,
      areaAcres: tied.areaAcres,
      startsOn: span.startsOn,
      lastDay: fromDay(toDay(span.endsBefore) - 1),
      isWhenFit: false,
      tiedToKey: job.identity.key,
      crewIds: share.days.length > 0 ? [share.crewId] : [],
      crewDaysTenths: share.days.reduce((sum, one) => sum + one.tenths, 0),
      crewShares: share.days.length > 0 ? [share] : [],
      gearShares: [],
      dueOn: null,
      lateDays: 0,
      isHeld: false,
      cost: 0,
      because: [`It goes with the day of ${job.name}.`, ...lineGuess(tied, tied.treatments[0])],
    };
  });
}

type Listed = TaskIdentity & Pick<PlannedTask, 'name'>;

/** True when a task has other dates; the span of a burn only loses the days that have passed. */
function isMoved(old: PlannedTask, task: PlannedTask, madeOn: IsoDate): boolean {
  const startsOn = task.isWhenFit && old.startsOn < madeOn ? madeOn : old.startsOn;
  return startsOn !== task.startsOn || old.lastDay !== task.lastDay;
}

/** What a draft changes: new, moved with old and new dates, left out (and not left out before) with the first reason. */
export function comparePlans(draft: PlanContent, inForce: PlanContent | null): PlanDifference[] {
  const before = new Map(inForce?.tasks.map((task) => [task.key, task]) ?? []);
  const differences: PlanDifference[] = [];
  const label = (task: Listed) => task.name;
  for (const task of draft.tasks) {
    if (task.tiedToKey) continue;
    const old = before.get(task.key);
    const to = { startsOn: task.startsOn, lastDay: task.lastDay };
    if (!old) differences.push({ kind: 'new', key: task.key, name: label(task), ...to });
    else if (isMoved(old, task, draft.madeOn)) {
      const from = { startsOn: old.startsOn, lastDay: old.lastDay };
      differences.push({ kind: 'moved', key: task.key, name: label(task), from, to });
    }
  }
  const left: (LeftOutTask | LaterTask)[] = [...draft.leftOut, ...draft.later];
  const reasons = new Map(left.map((task) => [task.key, task.reason]));
  const placed = new Set(draft.tasks.map((task) => task.key));
  const leftBefore = new Set(inForce?.leftOut.map((task) => task.key) ?? []);
  for (const task of draft.leftOut)
    if (!leftBefore.has(task.key))
      differences.push({ kind: 'left-out', key: task.key, name: label(task), reason: task.reason });
  for (const task of inForce?.tasks ?? []) {
    if (task.tiedToKey || placed.has(task.key) || draft.leftOut.some((one) => one.key === task.key))
      continue;
    const reason = reasons.get(task.key) ?? 'no longer part of the sequence, or done';
    differences.push({ kind: 'left-out', key: task.key, name: label(task), reason });
  }
  return differences;
}
