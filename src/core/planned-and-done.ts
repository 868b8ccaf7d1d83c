import { type DateRange, type IsoDate, monthOf, rangeHolds } from './dates.ts';
import type { Operation } from './operation.ts';
import type { Plan } from './plans.ts';
import { seasonSpan, treatedAcres } from './season-report.ts';
import type { PlannedTask } from './tasks.ts';
import type { Family } from './treatments.ts';

/** Work of a month, planned or done. */
export interface Work {
  acres: number;
  crewDays: number;
}

/** One month of one treatment: as first planned, as the plan has it now, and as the log has it. */
export interface MonthOfWork {
  first: Work;
  planned: Work;
  done: Work;
}

export interface TreatmentOfSeason {
  treatmentKey: string;
  name: string;
  family: Family;
  /** In the order of `months`. */
  months: MonthOfWork[];
  /** Done in the season, but nobody noted the month. */
  withoutMonth: Work;
}

export interface PlannedAndDone {
  /** 1 to 12, from the first month of the season on. */
  months: number[];
  treatments: TreatmentOfSeason[];
  /** Entries done in part without acres: they add crew days only. */
  withoutAcres: number;
}

const noWork = (): Work => ({ acres: 0, crewDays: 0 });

/** Months of a burning season in order; the start is the same day on all properties, or the first one's leads. */
function monthsFrom(startMonth: number): number[] {
  return Array.from({ length: 12 }, (_, at) => ((startMonth - 1 + at) % 12) + 1);
}

/** Days of a task with their part of it: its crew days, or its first day where it has none. */
function sharesOf(task: PlannedTask): { date: IsoDate; share: number; crewDays: number }[] {
  const days = task.crewShares.flatMap((crew) => crew.days);
  const tenths = days.reduce((sum, day) => sum + day.tenths, 0);
  if (tenths === 0) return [{ date: task.startsOn, share: 1, crewDays: 0 }];
  return days.map((day) => ({
    date: day.date,
    share: day.tenths / tenths,
    crewDays: day.tenths / 10,
  }));
}

/** Each task as the first plan that had it, and as the newest one does, where it is not dropped since without being done. */
function versionsOf(
  operation: Operation,
  adopted: readonly Plan[],
): { first: PlannedTask[]; now: PlannedTask[] } {
  const answered = new Set(
    operation.entries.filter(({ outcome }) => outcome !== 'not-possible').map((one) => one.taskKey),
  );
  const first = new Map<string, PlannedTask>();
  const last = new Map<string, { task: PlannedTask; planAt: number }>();
  adopted.forEach(({ content }, planAt) => {
    for (const task of content.tasks) {
      if (!first.has(task.key)) first.set(task.key, task);
      last.set(task.key, { task, planAt });
    }
  });
  const now = [...last.values()].filter(
    ({ task, planAt }) => planAt === adopted.length - 1 || answered.has(task.key),
  );
  return { first: [...first.values()], now: now.map(({ task }) => task) };
}

/**
 * Planned against done in one burning season, by treatment and month. `adopted`: every plan that was in force, oldest first.
 * Work that goes over several months is shared out by its crew days; a fire counts with the acres that burned.
 */
export function plannedAndDone(
  operation: Operation,
  adopted: readonly Plan[],
  season: number,
): PlannedAndDone {
  const spans = new Map<number, DateRange>(
    operation.properties.map((property) => [property.id, seasonSpan(property, season)]),
  );
  const startMonth = Number(operation.properties[0]?.burningSeasonStart.slice(0, 2) ?? 7);
  const months = monthsFrom(startMonth);
  const byKey = new Map<string, TreatmentOfSeason>();
  const rowOf = (treatmentKey: string): TreatmentOfSeason => {
    const known = byKey.get(treatmentKey);
    if (known) return known;
    const treatment = operation.treatments.find(({ key }) => key === treatmentKey);
    const row: TreatmentOfSeason = {
      treatmentKey,
      name: treatment?.name ?? treatmentKey,
      family: treatment?.family ?? 'notice',
      months: months.map(() => ({ first: noWork(), planned: noWork(), done: noWork() })),
      withoutMonth: noWork(),
    };
    byKey.set(treatmentKey, row);
    return row;
  };
  const add = (work: Work | undefined, acres: number, crewDays: number) => {
    if (!work) return;
    work.acres += acres;
    work.crewDays += crewDays;
  };
  const isIn = (propertyId: number, date: IsoDate) => {
    const span = spans.get(propertyId);
    return span !== undefined && rangeHolds(span, date);
  };
  const addPlan = (tasks: readonly PlannedTask[], which: 'first' | 'planned') => {
    for (const task of tasks)
      for (const { date, share, crewDays } of sharesOf(task)) {
        if (!isIn(task.propertyId, date)) continue;
        const at = months.indexOf(monthOf(date));
        add(rowOf(task.treatmentKey).months[at]?.[which], task.areaAcres * share, crewDays);
      }
  };
  const versions = versionsOf(operation, adopted);
  addPlan(versions.first, 'first');
  addPlan(versions.now, 'planned');
  const withoutAcres = addDone(operation, isIn, (entry, acres, crewDays) => {
    const row = rowOf(entry.treatmentKey);
    const month = row.months[months.indexOf(monthOf(entry.doneOn))];
    add(entry.precision === 'year' ? row.withoutMonth : month?.done, acres, crewDays);
  });
  return { months, treatments: inOrder(operation, byKey), withoutAcres };
}

/** Adds every entry of the season that is work of the planner's; gives how many have no acres. */
function addDone(
  operation: Operation,
  isIn: (propertyId: number, date: IsoDate) => boolean,
  add: (entry: Operation['entries'][number], acres: number, crewDays: number) => void,
): number {
  const units = new Map(operation.units.map((unit) => [unit.id, unit]));
  let withoutAcres = 0;
  for (const entry of operation.entries) {
    const unit = units.get(entry.unitId);
    const isOwn = entry.fireCause === null || entry.fireCause === 'planned';
    const isDone = entry.outcome === 'done' || entry.outcome === 'partly';
    if (!unit || !isOwn || !isDone || !isIn(unit.propertyId, entry.doneOn)) continue;
    const acres = treatedAcres(entry, unit);
    if (acres === null) withoutAcres += 1;
    add(entry, acres ?? 0, entry.crewDays ?? 0);
  }
  return withoutAcres;
}

/** In the order of the library; treatments that are gone come last. */
function inOrder(
  operation: Operation,
  byKey: ReadonlyMap<string, TreatmentOfSeason>,
): TreatmentOfSeason[] {
  const keys = operation.treatments.map(({ key }) => key);
  const placeOf = ({ treatmentKey }: TreatmentOfSeason) => {
    const at = keys.indexOf(treatmentKey);
    return at < 0 ? keys.length : at;
  };
  return [...byKey.values()].sort((a, b) => placeOf(a) - placeOf(b));
}

/** Sum of a list of work. */
export function workSum(list: readonly Work[]): Work {
  return list.reduce(
    (sum, one) => ({ acres: sum.acres + one.acres, crewDays: sum.crewDays + one.crewDays }),
    noWork(),
  );
}
