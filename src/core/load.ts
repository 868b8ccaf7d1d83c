import type { Crew } from './crews.ts';
import {
  addDays,
  type DateRange,
  daysInMonth,
  fromDay,
  type IsoDate,
  mondayOfDay,
  monthOf,
  rangeHolds,
  toDay,
  weekday,
  yearOf,
} from './dates.ts';
import type { Operation } from './operation.ts';
import {
  firstDayOfPool,
  landWeeks,
  poolDays,
  poolOfDay,
  poolTenths,
} from './schedule/land-weeks.ts';
import { type PlannedTask, prescriptionKeyOf } from './tasks.ts';
import type { WorkEntry } from './worklog.ts';

/** What one task takes of a crew inside a span, in tenths of a crew day. */
export interface TaskNeed {
  task: PlannedTask;
  tenths: number;
}

/** Need against what is on hand inside a span, in tenths of a crew day. */
export interface LoadSpan {
  /** A whole week (Monday to Sunday) or month, cut to the span asked for. */
  span: DateRange;
  needTenths: number;
  onHandTenths: number;
  /** Largest need first. */
  needs: TaskNeed[];
}

/** Load of one crew by week and by month. */
export interface CrewLoad {
  crew: Crew;
  weeks: LoadSpan[];
  months: LoadSpan[];
}

/** True when the crew works on the day: a workday, no holiday, no day off, inside a contract span. */
export function isCrewOnHand(crew: Crew, date: IsoDate, holidays: ReadonlySet<IsoDate>): boolean {
  return (
    crew.workdays.includes(weekday(date)) &&
    !holidays.has(date) &&
    !crew.daysOff.some((range) => rangeHolds(range, date)) &&
    (crew.onSpans === null || crew.onSpans.some((range) => rangeHolds(range, date)))
  );
}

/** The newest entry that names each task; the newest day wins, then the newest entry. */
export function entriesByTask(entries: readonly WorkEntry[]): Map<string, WorkEntry> {
  const found = new Map<string, WorkEntry>();
  for (const entry of entries) {
    if (entry.taskKey === null) continue;
    const other = found.get(entry.taskKey);
    if (
      !other ||
      entry.doneOn > other.doneOn ||
      (entry.doneOn === other.doneOn && entry.id > other.id)
    )
      found.set(entry.taskKey, entry);
  }
  return found;
}

/** Tasks that still need people: the log has no `done` and no `not-possible` entry for them. */
export function openTasks(operation: Operation, tasks: readonly PlannedTask[]): PlannedTask[] {
  const entries = entriesByTask(operation.entries);
  return tasks.filter((task) => {
    const outcome = entries.get(task.key)?.outcome;
    return outcome !== 'done' && outcome !== 'not-possible';
  });
}

/** Weeks from Monday to Sunday that touch the range, cut to it. */
export function weeksOf(range: DateRange): DateRange[] {
  const spans: DateRange[] = [];
  for (let day = mondayOfDay(toDay(range.startsOn)); day < toDay(range.endsBefore); day += 7)
    spans.push(cut({ startsOn: fromDay(day), endsBefore: fromDay(day + 7) }, range));
  return spans;
}

/** Calendar months that touch the range, cut to it. */
export function monthsOf(range: DateRange): DateRange[] {
  const spans: DateRange[] = [];
  let first = `${range.startsOn.slice(0, 8)}01` as IsoDate;
  while (first < range.endsBefore) {
    const next = addDays(first, daysInMonth(yearOf(first), monthOf(first)));
    spans.push(cut({ startsOn: first, endsBefore: next }, range));
    first = next;
  }
  return spans;
}

function cut(span: DateRange, range: DateRange): DateRange {
  return {
    startsOn: span.startsOn > range.startsOn ? span.startsOn : range.startsOn,
    endsBefore: span.endsBefore < range.endsBefore ? span.endsBefore : range.endsBefore,
  };
}

/** Need and capacity of one crew summed over each span; spans are disjoint and in order. */
function fill(
  crew: Crew,
  spans: readonly DateRange[],
  tasks: readonly PlannedTask[],
  holidays: ReadonlySet<IsoDate>,
): LoadSpan[] {
  const loads = spans.map((span): LoadSpan => {
    let onHandTenths = 0;
    for (let date = span.startsOn; date < span.endsBefore; date = addDays(date, 1))
      if (isCrewOnHand(crew, date, holidays)) onHandTenths += 10;
    return { span, needTenths: 0, onHandTenths, needs: [] };
  });
  const spanOfDay = new Map<IsoDate, LoadSpan>();
  for (const load of loads)
    for (let date = load.span.startsOn; date < load.span.endsBefore; date = addDays(date, 1))
      spanOfDay.set(date, load);
  for (const task of tasks)
    for (const share of task.crewShares)
      if (share.crewId === crew.id)
        for (const day of share.days) {
          const load = spanOfDay.get(day.date);
          if (load) addNeed(load, task, day.tenths);
        }
  for (const load of loads)
    load.needs.sort((a, b) => b.tenths - a.tenths || (a.task.key < b.task.key ? -1 : 1));
  return loads;
}

function addNeed(load: LoadSpan, task: PlannedTask, tenths: number): void {
  load.needTenths += tenths;
  const own = load.needs.find((need) => need.task === task);
  if (own) own.tenths += tenths;
  else load.needs.push({ task, tenths });
}

/** Load of every crew over `range`, by week and by month. `tasks` are the ones that still need people. */
export function crewLoads(
  operation: Operation,
  tasks: readonly PlannedTask[],
  range: DateRange,
): CrewLoad[] {
  const holidays = new Set(operation.holidays.map((holiday) => holiday.date));
  return operation.crews.map((crew) => ({
    crew,
    weeks: fill(crew, weeksOf(range), tasks, holidays),
    months: fill(crew, monthsOf(range), tasks, holidays),
  }));
}

/** A week of all crews together: over-full when one crew is, whatever the others have free. */
export interface WeekLoad {
  span: DateRange;
  needTenths: number;
  onHandTenths: number;
  /** Sum over crews of what each lacks; 0 = every crew has enough. */
  overTenths: number;
}

/** Weeks of all crews together. */
export function allCrewsByWeek(loads: readonly CrewLoad[]): WeekLoad[] {
  return (loads[0]?.weeks ?? []).map((week, index) => {
    const rows = loads.flatMap((load) => load.weeks[index] ?? []);
    return {
      span: week.span,
      needTenths: rows.reduce((sum, row) => sum + row.needTenths, 0),
      onHandTenths: rows.reduce((sum, row) => sum + row.onHandTenths, 0),
      overTenths: rows.reduce((sum, row) => sum + overTenthsOf(row), 0),
    };
  });
}

/** Tenths of a crew day that are missing; 0 when there is enough. */
export function overTenthsOf(load: Pick<LoadSpan, 'needTenths' | 'onHandTenths'>): number {
  return Math.max(0, load.needTenths - load.onHandTenths);
}

/** Weeks with work in which least is left over, tightest first; the earlier of two alike first. */
export function tightestWeeks(weeks: readonly LoadSpan[], count: number): LoadSpan[] {
  const left = (week: LoadSpan) => week.onHandTenths - week.needTenths;
  return weeks
    .filter((week) => week.needTenths > 0)
    .sort((a, b) => left(a) - left(b) || (a.span.startsOn < b.span.startsOn ? -1 : 1))
    .slice(0, count);
}

/** Planned burns of one prescription in a two-week span against what its fit days allow. */
export interface BurnCount {
  burns: PlannedTask[];
  /** Likely burns, whole ones times ten: what is left of a burn goes on to the next span. */
  supplyTenths: number;
}

/** A two-week span of the plan with its burns; fit days of a span are pooled. */
export interface BurnSpan {
  /** The part of the two weeks inside the horizon. */
  span: DateRange;
  /** By prescription key; a block without a prescription counts only among all. */
  byPrescription: Map<string, BurnCount>;
  /** All burns against the largest supply: one burn boss holds one fire a day. */
  all: BurnCount;
}

/**
 * Expected burn days against planned burns by two-week span, counted as the scheduler counts them over the
 * horizon of the plan. Every span of the horizon is returned, in order.
 */
export function burnSpans(
  operation: Operation,
  tasks: readonly PlannedTask[],
  horizon: DateRange,
): BurnSpan[] {
  const weeks = landWeeks(operation, horizon);
  const burns = tasks.filter((task) => task.isWhenFit);
  const spans: BurnSpan[] = [];
  const lastDay = toDay(horizon.endsBefore) - 1;
  for (let pool = poolOfDay(toDay(horizon.startsOn)); firstDayOfPool(pool) <= lastDay; pool++) {
    const own = burns.filter((task) => poolOfDay(toDay(task.startsOn)) === pool);
    const byPrescription = new Map(
      operation.fitDays.map((table): [string, BurnCount] => [
        table.prescriptionKey,
        {
          burns: own.filter((task) => prescriptionKeyOf(operation, task) === table.prescriptionKey),
          supplyTenths: poolTenths(operation, weeks, table.fitDays, pool),
        },
      ]),
    );
    const supplies = [...byPrescription.values()].map((count) => count.supplyTenths);
    const firstDay = fromDay(firstDayOfPool(pool));
    spans.push({
      span: cut({ startsOn: firstDay, endsBefore: addDays(firstDay, poolDays) }, horizon),
      byPrescription,
      all: { burns: own, supplyTenths: Math.max(0, ...supplies) },
    });
  }
  return spans;
}
