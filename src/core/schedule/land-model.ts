import {
  addDays,
  addYears,
  type DateRange,
  firstDayIn,
  fromDay,
  type IsoDate,
  toDay,
} from '../dates.ts';
import { earliestAfter, type LagRule, lagCalendarOf, latestAfter } from '../lags.ts';
import type { Operation } from '../operation.ts';
import type { PlanContent } from '../plans.ts';
import type { PlannedTask } from '../tasks.ts';
import { type JobLink, type LandJob, landJobs, takesTurns } from './land-jobs.ts';
import {
  commonDays,
  firstClose,
  type LandMode,
  type LandOption,
  landModes,
  landOptions,
  openStretches,
  pieceCount,
} from './land-options.ts';
import { LandRows } from './land-rows.ts';
import { type LandWeeks, landWeeks, poolOfDay, weekOfDay } from './land-weeks.ts';
import type { Model, ModelEdge, ModelTask } from './model.ts';

/** Costs in a model are whole tenths of a point. */
export const costScale = 10;
/** Stands for "no limit" among day numbers. */
const noLimit = 1_000_000;

/** The model of an operation with what each of its numbers stands for. */
export interface LandProblem {
  model: Model;
  weeks: LandWeeks;
  rows: LandRows;
  horizon: DateRange;
  /** One a model task. */
  jobs: LandJob[];
  /** Place of each in the list. */
  placeOf: ReadonlyMap<LandJob, number>;
  options: LandOption[][];
  /** Due day of each task as far as facts fix it; null = by its forerunner, or none. */
  dueOn: (IsoDate | null)[];
  /** Jobs that are worth something only with the burn they are made for. */
  linesForBurns: ReadonlySet<LandJob>;
  /** Tasks whose dates are held and could be kept. */
  isHeld: boolean[];
  /** The plan whose dates are moved as little as its weight asks. */
  inForce: PlanContent | null;
}

/** Jobs too large for any window cut into pieces by acres; links follow. */
function cutIntoPieces(
  operation: Operation,
  weeks: LandWeeks,
  jobs: LandJob[],
  horizon: DateRange,
): LandJob[] {
  const counts = new Map(
    jobs.map((job) => [job, pieceCount(operation, weeks, job, landModes(operation, job), horizon)]),
  );
  levelCounts(jobs, counts);
  const pieces = new Map<LandJob, LandJob[]>();
  for (const job of jobs) {
    const count = counts.get(job) ?? 1;
    pieces.set(
      job,
      count === 1 ? [job] : Array.from({ length: count }, (_, i) => pieceOf(job, i, count)),
    );
  }
  for (const own of pieces.values())
    own.forEach((job, index) => {
      job.links = job.links.flatMap((link): JobLink[] => {
        const { forerunner } = link;
        if (!('job' in forerunner)) return [link];
        const all = pieces.get(forerunner.job) ?? [forerunner.job];
        // Like pieces follow each other on the same ground.
        const before = all.length === own.length ? all.slice(index, index + 1) : all;
        return before.map((piece) => ({ ...link, forerunner: { job: piece } }));
      });
    });
  return [...pieces.values()].flat();
}

/** Jobs on one unit that wait for each other are cut into the same number of pieces, so that pieces follow pieces. */
function levelCounts(jobs: readonly LandJob[], counts: Map<LandJob, number>): void {
  let isLevel = false;
  while (!isLevel) {
    isLevel = true;
    for (const job of jobs)
      for (const { forerunner } of job.links) {
        if (!('job' in forerunner) || job.identity.unitId === null) continue;
        if (forerunner.job.identity.unitId !== job.identity.unitId) continue;
        const most = Math.max(counts.get(job) ?? 1, counts.get(forerunner.job) ?? 1);
        for (const one of [job, forerunner.job]) {
          if (counts.get(one) === most) continue;
          counts.set(one, most);
          isLevel = false;
        }
      }
  }
}

function pieceOf(job: LandJob, index: number, count: number): LandJob {
  const letter = String.fromCharCode(97 + index);
  const part = job.identity.part === '-' ? letter : `${job.identity.part}-${index + 1}`;
  const { key } = job.identity;
  return {
    ...job,
    identity: { ...job.identity, part, key: key.slice(0, key.lastIndexOf('/') + 1) + part },
    areaAcres: Math.round((job.areaAcres / count) * 100) / 100,
    lineFeet: job.lineFeet / count,
    piecesCount: count,
    links: [...job.links],
  };
}

/** Jobs in an order in which each comes after all that it waits for. */
function forerunnersFirst(jobs: readonly LandJob[]): LandJob[] {
  const ordered = new Set<LandJob>();
  const add = (job: LandJob): void => {
    if (ordered.has(job)) return;
    for (const { forerunner } of job.links) if ('job' in forerunner) add(forerunner.job);
    ordered.add(job);
  };
  for (const job of jobs) add(job);
  return [...ordered];
}

interface Pricing {
  latePerDay: number;
  dropCost: number;
}

function pricingOf(operation: Operation, job: LandJob): Pricing {
  const { weights } = operation.settings;
  const isBurn = job.treatments[0]?.family === 'burn';
  const isLight = ['monitor', 'notice'].includes(job.treatments[0]?.family ?? '');
  const perWeek = job.isOverdueForFire ? weights.overdueBurnLatePerWeek : weights.latePerWeek;
  const base = isBurn ? weights.burnLeftOut : weights.taskLeftOut * (isLight ? 0.25 : 1);
  return {
    latePerDay: Math.round((perWeek * costScale) / 7),
    dropCost: Math.round(
      (base + weights.leftOutPerAcre * job.areaAcres * (isLight ? 0 : 1)) * costScale,
    ),
  };
}

/** What a placing costs whatever the other tasks do: money, another mode, a move against the plan in force. */
function ownCost(
  operation: Operation,
  weeks: LandWeeks,
  option: LandOption,
  before: PlannedTask | undefined,
): number {
  const { weights } = operation.settings;
  const dollars = option.mode.crews
    .filter((crew) => crew.kind === 'contract')
    .reduce((sum, crew) => sum + (crew.costPerDayUsd * option.mode.tenths) / 10, 0);
  let points = dollars * weights.pointsPerDollar;
  if (option.mode.isAlternative) points += weights.otherMode;
  if (before) {
    const moved = weeksMoved(weeks, toDay(before.startsOn), option);
    if (moved > 0)
      points += weights.moved + weights.movedPerWeek * Math.min(moved, weights.movedWeeksMost);
  }
  return Math.round(points * costScale);
}

/** Weeks between the old start and a placing; a burn stays where it is anywhere in its two-week span. */
function weeksMoved(weeks: LandWeeks, oldStartDay: number, option: LandOption): number {
  if (option.mode.treatment.family === 'burn')
    return 2 * Math.abs(poolOfDay(option.fromDay) - poolOfDay(oldStartDay));
  return Math.abs(weekOfDay(weeks, option.fromDay) - weekOfDay(weeks, oldStartDay));
}

/** Index of the placing that is most like the one of the plan in force: same treatment and crews, days shared out alike. */
function placingBefore(
  weeks: LandWeeks,
  options: readonly LandOption[],
  before: PlannedTask | undefined,
): number {
  if (!before) return -1;
  const drawn = new Map<number, number>();
  for (const { date, tenths } of before.crewShares[0]?.days ?? []) {
    const week = weekOfDay(weeks, toDay(date));
    drawn.set(week, (drawn.get(week) ?? 0) + tenths);
  }
  const crewIds = before.crewIds.join();
  let nearest = -1;
  let least = Number.POSITIVE_INFINITY;
  options.forEach(({ mode, shares }, index) => {
    if (mode.treatment.key !== before.treatmentKey) return;
    if (mode.crews.map(({ id }) => id).join() !== crewIds) return;
    let apart = [...drawn.values()].reduce((sum, tenths) => sum + tenths, 0);
    for (const { week, tenths } of shares) {
      const own = drawn.get(week) ?? 0;
      apart += Math.abs(tenths - own) - own;
    }
    if (apart < least) {
      least = apart;
      nearest = index;
    }
  });
  return nearest;
}

/** Limits that facts set on a job: earliest and latest day, due day, and the day after which the fuel is stale. */
interface FactLimits {
  from: number;
  to: number;
  dueOn: IsoDate | null;
  staleFrom: number | null;
}

function factLimits(job: LandJob, stretches: DateRange[], horizon: DateRange): FactLimits {
  const calendar = lagCalendarOf(job.property);
  const limits: FactLimits = {
    from: toDay(horizon.startsOn),
    to: noLimit,
    dueOn: null,
    staleFrom: null,
  };
  const { heldUntilYear } = job.block;
  if (heldUntilYear !== null && job.treatments[0]?.family === 'burn')
    limits.from = Math.max(
      limits.from,
      toDay(firstDayIn(heldUntilYear, job.property.burningSeasonStart)),
    );
  const waitsForJobs = job.links.some((link) => 'job' in link.forerunner && !link.isBoth);
  for (const link of job.links) {
    if ('job' in link.forerunner) continue;
    const { endedOn } = link.forerunner;
    limits.from = Math.max(limits.from, toDay(earliestAfter(link.rule.least, endedOn, calendar)));
    if (link.rule.most) {
      const latest = toDay(latestAfter(link.rule.most, endedOn, calendar));
      if (link.rule.mostIsHard) limits.to = Math.min(limits.to, latest);
      else if (link.rule.most.growingSeasons) limits.staleFrom = latest;
    }
    const due = dueInTurn(job, dueAfter(link.rule, endedOn, calendar, stretches));
    if (due && (!limits.dueOn || due > limits.dueOn)) limits.dueOn = due;
  }
  if (!limits.dueOn && !waitsForJobs)
    limits.dueOn = dueInTurn(job, firstClose(stretches, fromDay(limits.from)));
  return limits;
}

/** In the first cycle of a sequence in thirds part b is due a year after part a, c two years. */
function dueInTurn(job: LandJob, due: IsoDate | null): IsoDate | null {
  if (!due || !takesTurns(job) || job.identity.cycle > job.block.firstCycle) return due;
  return addYears(due, job.identity.part.charCodeAt(0) - 97);
}

/**
 * Due day after a forerunner: its end plus a target in years or days; a target in growing or burning seasons means
 * the close of the first open stretch from then on. Without a target, the close of the first stretch it may start in.
 */
function dueAfter(
  rule: LagRule,
  endedOn: IsoDate,
  calendar: ReturnType<typeof lagCalendarOf>,
  stretches: readonly DateRange[],
): IsoDate | null {
  if (!rule.target) return firstClose(stretches, earliestAfter(rule.least, endedOn, calendar));
  const target = earliestAfter(rule.target, endedOn, calendar);
  const inSeasons = rule.target.growingSeasons || rule.target.burningSeasons;
  return inSeasons ? firstClose(stretches, target) : target;
}

/** Cost of leaving out a task whose dates are held, in points: more than all that keeping it may displace. */
const heldLeftOut = 100_000;

/** The held first day of a task, or null. Held days that have passed hold nothing: the task is planned again. */
export function heldDayOf(operation: Operation, weeks: LandWeeks, key: string): number | null {
  const held = operation.heldDates.find((row) => row.taskKey === key);
  return held && toDay(held.startsOn) >= weeks.fromDay ? toDay(held.startsOn) : null;
}

/** The placings that start on the held day; a burn keeps its two-week span, with its day kept on the held one. */
function heldOptions(
  operation: Operation,
  problem: LandProblem,
  job: LandJob,
  modes: LandMode[],
  all: LandOption[],
  day: number,
): LandOption[] {
  const { weeks, horizon } = problem;
  const week = weekOfDay(weeks, day);
  const from = { startsOn: fromDay(day), endsBefore: horizon.endsBefore };
  if (job.treatments[0]?.family !== 'burn')
    return day > weeks.toDay
      ? []
      : landOptions(operation, weeks, job, modes, from).filter((option) => option.fromDay === day);
  return all.filter(
    (option) =>
      option.shares[0]?.week === week &&
      commonDays(weeks, option.mode, week, option.open).includes(day),
  );
}

/**
 * The scheduling model of an operation from `horizon.startsOn` on. `inForce` is the plan whose dates are moved as
 * little as its weight asks. Windows, no-work dates, days off, contract spans and held dates are in the options;
 * crews, gear, fit days and neighbours that must stay apart are rows; lags are edges.
 */
export function landModel(
  operation: Operation,
  horizon: DateRange,
  inForce: PlanContent | null,
): LandProblem {
  const weeks = landWeeks(operation, horizon);
  const { jobs: whole, groupCount } = landJobs(operation, horizon);
  const jobs = forerunnersFirst(cutIntoPieces(operation, weeks, whole, horizon));
  const rows = new LandRows(operation, weeks);
  const before = new Map(inForce?.tasks.map((task) => [task.key, task]) ?? []);
  const problem: LandProblem = {
    model: {
      capacities: [],
      tasks: [],
      edges: [],
      groupCount,
      groupPlaces: Array.from({ length: groupCount }, (): [number, number] => [0, 0]),
    },
    weeks,
    rows,
    horizon,
    jobs,
    placeOf: new Map(jobs.map((job, index) => [job, index])),
    options: [],
    dueOn: [],
    linesForBurns: linesForBurns(jobs),
    isHeld: jobs.map(() => false),
    inForce,
  };
  const stretches = jobs.map((job) => stretchesOf(operation, job, horizon));
  jobs.forEach((job, index) => {
    problem.model.groupPlaces[job.group] = placeOf(job);
    addTask(operation, problem, job, stretches[index] as DateRange[], before.get(job.identity.key));
  });
  for (const [succ, job] of jobs.entries()) addEdges(operation, problem, job, succ, stretches);
  keepHeld(operation, problem);
  leaveForLater(problem);
  for (const [task, job] of jobs.entries())
    problem.options[task]?.forEach((option, index) => {
      const own = problem.model.tasks[task]?.options[index];
      if (own) own.uses = rows.usesOf(job, option);
    });
  problem.model.capacities = rows.capacities;
  return problem;
}

/** What is due only after the horizon gives way to all else: placing it costs the least that counts. */
function leaveForLater({ model }: LandProblem): void {
  const isForOther = new Set(model.edges.filter((edge) => edge.isBoth).map((edge) => edge.pred));
  const isMissed = new Set(
    model.edges
      .filter(({ soft }) => soft?.absentCost?.some((cost) => cost > 0))
      .map((edge) => edge.succ),
  );
  model.tasks.forEach((task, at) => {
    if (task.dropCost > 0 || isForOther.has(at) || isMissed.has(at)) return;
    for (const option of task.options) option.cost += 1;
  });
}

/**
 * Held dates are kept by their price and not pinned: dates that contradict each other or the lags then end as a task
 * left out with its reason, never as no plan at all.
 */
function keepHeld(operation: Operation, problem: LandProblem): void {
  problem.model.tasks.forEach((task, at) => {
    const key = problem.jobs[at]?.identity.key ?? '';
    if (task.options.length === 0 || heldDayOf(operation, problem.weeks, key) === null) return;
    task.dropCost += heldLeftOut * costScale;
    problem.isHeld[at] = true;
  });
}

function stretchesOf(operation: Operation, job: LandJob, horizon: DateRange): DateRange[] {
  const span = { startsOn: horizon.startsOn, endsBefore: addDays(horizon.endsBefore, 400) };
  const first = job.treatments[0];
  return first ? openStretches(operation, job, first, span) : [];
}

/** Rough place of a job on the map, in hundredths of a degree, for picking neighbours in the search. */
function placeOf(job: LandJob): [number, number] {
  const ring = job.units[0]?.boundary?.coordinates[0];
  let at: unknown = ring;
  while (Array.isArray(at) && Array.isArray(at[0])) at = at[0];
  const [x, y] = Array.isArray(at)
    ? (at as number[])
    : [job.property.longitude, job.property.latitude];
  return [Math.round((x ?? 0) * 1000), Math.round((y ?? 0) * 1000)];
}

function addTask(
  operation: Operation,
  problem: LandProblem,
  job: LandJob,
  stretches: DateRange[],
  before: PlannedTask | undefined,
): void {
  const { weeks, rows, horizon, model } = problem;
  const modes = landModes(operation, job);
  const all = landOptions(operation, weeks, job, modes, horizon);
  const heldDay = heldDayOf(operation, weeks, job.identity.key);
  const limits = factLimits(job, stretches, horizon);
  const pricing = pricingOf(operation, job);
  const from = Math.max(limits.from, earliestByForerunners(problem, job));
  const asked = heldDay === null ? all : heldOptions(operation, problem, job, modes, all, heldDay);
  const options = asked.filter(
    (option) =>
      option.fromDay >= from &&
      option.latestStartDay <= limits.to &&
      !rows.isBarredByFacts(job, option),
  );
  // A job that waits for others gets its lateness from the edge, counted from where they end.
  const isDueByEdge = job.links.some((link) => 'job' in link.forerunner && !link.isBoth);
  const due = limits.dueOn && toDay(limits.dueOn);
  const countFrom = due === null ? noLimit : Math.max(due, toDay(horizon.startsOn));
  const horizonEnd = toDay(horizon.endsBefore);
  const isBothOnly = !isDueByEdge && problem.linesForBurns.has(job);
  const isDueInside = due === null || due < horizonEnd;
  const task: ModelTask = {
    group: job.group,
    dropCost:
      isBothOnly || isDueByEdge || !isDueInside || options.length === 0
        ? 0
        : pricing.dropCost +
          pricing.latePerDay * Math.max(0, horizonEnd - Math.min(countFrom, horizonEnd)),
    pinned: -1,
    options: options.map((option) => ({
      from: option.fromDay,
      to: option.toDay,
      cost:
        ownCost(operation, weeks, option, before) +
        (isBothOnly || isDueByEdge
          ? 0
          : pricing.latePerDay * Math.max(0, option.fromDay - countFrom)) +
        (limits.staleFrom !== null && option.fromDay > limits.staleFrom
          ? operation.settings.weights.pastUseBy * costScale
          : 0),
      uses: [],
    })),
  };
  const placed = placingBefore(weeks, options, before);
  if (placed >= 0) task.before = placed;
  for (const option of options) rows.noteOpenDays(option);
  model.tasks.push(task);
  problem.options.push(options);
  problem.dueOn.push(isBothOnly ? null : limits.dueOn);
}

/** First day that the soonest placings of all forerunners allow; past the horizon when one has no placing. */
function earliestByForerunners(problem: LandProblem, job: LandJob): number {
  const calendar = lagCalendarOf(job.property);
  let earliest = 0;
  for (const { forerunner, rule } of job.links) {
    if (!('job' in forerunner)) continue;
    const options = problem.options[problem.placeOf.get(forerunner.job) ?? -1] ?? [];
    if (options.length === 0) return noLimit;
    const end = Math.min(...options.map((option) => option.toDay));
    earliest = Math.max(earliest, toDay(earliestAfter(rule.least, fromDay(end), calendar)));
  }
  return earliest;
}

/** A line is made for its burn: alone it is worth nothing, and it is late only if the burn is. */
function linesForBurns(jobs: readonly LandJob[]): Set<LandJob> {
  const both = jobs.flatMap(({ links }) => links.filter((link) => link.isBoth));
  return new Set(both.flatMap(({ forerunner }) => ('job' in forerunner ? forerunner.job : [])));
}

function addEdges(
  operation: Operation,
  problem: LandProblem,
  job: LandJob,
  succ: number,
  stretches: DateRange[][],
): void {
  const pricing = pricingOf(operation, job);
  const calendar = lagCalendarOf(job.property);
  const own = stretches[succ] as DateRange[];
  const today = toDay(problem.horizon.startsOn);
  const factDue = problem.dueOn[succ];
  let hasSoft = false;
  for (const link of job.links) {
    if (!('job' in link.forerunner)) continue;
    const pred = problem.placeOf.get(link.forerunner.job);
    if (pred === undefined) continue;
    const { rule } = link;
    const options = problem.options[pred] ?? [];
    const ends = options.map((option) => fromDay(option.toDay));
    // A most lag counts from the soonest end to the latest start that the weeks leave open.
    const soonestEnds = options.map((option) => fromDay(option.soonestEndDay));
    const slackDays = Math.max(
      0,
      ...(problem.options[succ] ?? []).map((option) => option.latestStartDay - option.fromDay),
    );
    const edge: ModelEdge = {
      pred,
      succ,
      isBoth: link.isBoth,
      fromLeast: ends.map((end) => toDay(earliestAfter(rule.least, end, calendar))),
      fromMost: soonestEnds.map((end) =>
        rule.most && rule.mostIsHard
          ? toDay(latestAfter(rule.most, end, calendar)) - slackDays
          : noLimit,
      ),
      soft: null,
    };
    if (!link.isBoth && !hasSoft) {
      hasSoft = true;
      const isUseBy = rule.most && !rule.mostIsHard && rule.most.growingSeasons;
      const dueAt = ends.map((end) => {
        const due = dueAfter(rule, end, calendar, own);
        return Math.max(due ? toDay(due) : noLimit, factDue ? toDay(factDue) : 0, today);
      });
      const isForOther = problem.linesForBurns.has(job);
      edge.soft = {
        dueAt,
        costPerUnit: pricing.latePerDay,
        stepAt:
          isUseBy && rule.most
            ? ends.map((end) => toDay(latestAfter(rule.most ?? {}, end, calendar)))
            : null,
        stepCost: isUseBy ? operation.settings.weights.pastUseBy * costScale : 0,
        absentCost: isForOther
          ? null
          : absentCosts(dueAt, pricing, toDay(problem.horizon.endsBefore)),
      };
    }
    problem.model.edges.push(edge);
  }
}

/**
 * Leaving a follower out costs only beside a forerunner that is in the plan, and only when it then falls due inside
 * the horizon: a burn that is put off does not leave the next one missing.
 */
function absentCosts(dueAt: readonly number[], pricing: Pricing, horizonEnd: number): number[] {
  return dueAt.map((due) =>
    due < horizonEnd ? pricing.dropCost + pricing.latePerDay * (horizonEnd - due) : 0,
  );
}
