import { type DateRange, fromDay, toDay } from '../dates.ts';
import type { Operation } from '../operation.ts';
import type { DayShare } from '../tasks.ts';
import type { LandJob } from './land-jobs.ts';
import { heldDayOf, type LandProblem } from './land-model.ts';
import { commonDays, type LandOption } from './land-options.ts';
import { tiedNeed } from './land-rows.ts';
import { crewDaysIn } from './land-weeks.ts';

/** Days of one placed task by crew and by gear. */
export interface DayPlan {
  crews: Map<number, DayShare[]>;
  gear: Map<string, DayShare[]>;
  /** Days of the tasks tied to a burn, in the order of `job.tied`. */
  tied: { crewId: number; days: DayShare[] }[];
}

/** Day plans by task index, and the tasks whose week did not work out by days. */
export interface Decoded {
  plans: Map<number, DayPlan>;
  failed: number[];
}

/** Free tenths of each crew and piece of gear on each day; burns also need the one boss. */
class DayBook {
  private readonly free = new Map<string, number>();
  private readonly gearCount: Map<string, number>;

  constructor(operation: Operation) {
    this.gearCount = new Map(operation.gear.map((gear) => [gear.key, gear.count]));
  }

  crewFree(crewId: number, day: number): number {
    return this.free.get(`c${crewId} ${day}`) ?? 10;
  }

  gearFree(key: string, day: number): number {
    return this.free.get(`g${key} ${day}`) ?? 10 * (this.gearCount.get(key) ?? 0);
  }

  isBurnDay(day: number): boolean {
    return this.free.has(`burn ${day}`);
  }

  take(crewIds: number[], gearKeys: string[], day: number, tenths: number): void {
    for (const id of crewIds) this.free.set(`c${id} ${day}`, this.crewFree(id, day) - tenths);
    for (const key of gearKeys) this.free.set(`g${key} ${day}`, this.gearFree(key, day) - tenths);
  }

  keepBurnDay(day: number): void {
    this.free.set(`burn ${day}`, 0);
  }

  freeFor(option: LandOption, day: number): number {
    return Math.min(
      ...option.mode.crews.map((crew) => this.crewFree(crew.id, day)),
      ...option.mode.treatment.gear.map((key) => this.gearFree(key, day)),
    );
  }
}

interface WeekItem {
  task: number;
  job: LandJob;
  option: LandOption;
  tenths: number;
  days: number[];
  isBurn: boolean;
  /** The day the work has to start on, for the first week of a task with held dates. */
  heldDay: number | null;
}

/**
 * Turns chosen weeks into days. In each week burns are placed first (one a day), then the tasks with the least room to
 * spare; a crew may share a day between tasks. A task that does not fit its week by days is named in `failed`.
 */
export function decodeDays(
  operation: Operation,
  problem: LandProblem,
  choice: readonly number[],
): Decoded {
  const book = new DayBook(operation);
  const decoded: Decoded = { plans: new Map(), failed: [] };
  const byWeek = new Map<number, WeekItem[]>();
  problem.jobs.forEach((job, task) => {
    const option = problem.options[task]?.[choice[task] ?? -1];
    if (!option) return;
    decoded.plans.set(task, { crews: new Map(), gear: new Map(), tied: [] });
    const heldDay = heldDayOf(operation, problem.weeks, job.identity.key);
    for (const { week, tenths } of option.shares) {
      const days = commonDays(problem.weeks, option.mode, week, option.open);
      const isBurn = option.mode.treatment.family === 'burn';
      const items = byWeek.get(week) ?? [];
      const isFirst = week === option.shares[0]?.week;
      items.push({ task, job, option, tenths, days, isBurn, heldDay: isFirst ? heldDay : null });
      byWeek.set(week, items);
    }
  });
  for (const week of [...byWeek.keys()].sort((a, b) => a - b)) {
    const items = byWeek.get(week) ?? [];
    items.sort((a, b) => rank(a) - rank(b) || a.task - b.task);
    for (const item of items) {
      const plan = decoded.plans.get(item.task) as DayPlan;
      const isPlaced = item.isBurn
        ? placeBurn(operation, problem, book, item, plan)
        : placeShare(book, item, plan);
      if (!isPlaced && !decoded.failed.includes(item.task)) decoded.failed.push(item.task);
    }
  }
  return decoded;
}

/** Held dates first, then burns, then by room to spare. */
function rank(item: WeekItem): number {
  if (item.heldDay !== null) return -2000;
  return item.isBurn ? -1000 + item.days.length : item.days.length * 10 - item.tenths;
}

function placeShare(book: DayBook, item: WeekItem, plan: DayPlan): boolean {
  let left = item.tenths;
  const crewIds = item.option.mode.crews.map((crew) => crew.id);
  for (const day of item.days) {
    const take = Math.min(left, book.freeFor(item.option, day));
    if (take <= 0 && day === item.heldDay) return false;
    if (take <= 0) continue;
    book.take(crewIds, item.option.mode.treatment.gear, day, take);
    addShares(plan, item.option, day, take);
    left -= take;
    if (left === 0) return true;
  }
  return false;
}

function addShares(plan: DayPlan, option: LandOption, day: number, tenths: number): void {
  const date = fromDay(day);
  for (const crew of option.mode.crews)
    plan.crews.set(crew.id, [...(plan.crews.get(crew.id) ?? []), { date, tenths }]);
  for (const key of option.mode.treatment.gear)
    plan.gear.set(key, [...(plan.gear.get(key) ?? []), { date, tenths }]);
}

function placeBurn(
  operation: Operation,
  problem: LandProblem,
  book: DayBook,
  item: WeekItem,
  plan: DayPlan,
): boolean {
  const day = item.days.find(
    (one) =>
      !book.isBurnDay(one) &&
      book.freeFor(item.option, one) >= 10 &&
      (item.heldDay === null || one === item.heldDay),
  );
  if (day === undefined) return false;
  const crewIds = item.option.mode.crews.map((crew) => crew.id);
  book.take(crewIds, item.option.mode.treatment.gear, day, item.tenths);
  book.keepBurnDay(day);
  addShares(plan, item.option, day, item.tenths);
  const week = item.option.shares[0]?.week ?? 0;
  return item.job.tied.every((tied) => {
    const need = tiedNeed(operation, tied, item.option);
    const nearest = crewDaysIn(problem.weeks, need.crewId, week, null).sort(
      (a, b) => Math.abs(a - day - tied.step.tiedDays) - Math.abs(b - day - tied.step.tiedDays),
    );
    const days: DayShare[] = [];
    let left = need.tenths;
    for (const one of nearest) {
      const take = Math.min(left, book.crewFree(need.crewId, one));
      if (take <= 0) continue;
      book.take([need.crewId], [], one, take);
      days.push({ date: fromDay(one), tenths: take });
      left -= take;
      if (left === 0) break;
    }
    plan.tied.push({ crewId: need.crewId, days: days.sort((a, b) => (a.date < b.date ? -1 : 1)) });
    return left === 0;
  });
}

/** First and last day of some shares, or null when there are none. */
export function spanOfShares(shares: readonly DayShare[]): DateRange | null {
  const dates = shares.map((share) => share.date).sort();
  const [first, last] = [dates[0], dates.at(-1)];
  return first && last ? { startsOn: first, endsBefore: fromDay(toDay(last) + 1) } : null;
}
