import { addDays, firstDayIn, type IsoDate, yearOf } from './dates.ts';
import { unitsOfBlock } from './land-index.ts';
import { openTasks } from './load.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import type { Property } from './properties.ts';
import { fireStatus } from './rotation.ts';
import { burnedAndPlanned } from './rotation-needs.ts';
import { burningSeasonOf } from './seasons.ts';
import type { PlannedTask } from './tasks.ts';
import type { WorkEntry } from './worklog.ts';

/** What a plan still comes to from a day on, in figures that can stand beside those of another plan. */
export interface PlanSummary {
  /** Tasks still to do, without those that go with a burn's day: in time, and later than due. */
  onTimeCount: number;
  lateCount: number;
  leftOutCount: number;
  leftOutBurnCount: number;
  /** Burning seasons that end inside the horizon, by the year in which they start. */
  seasons: SeasonSummary[];
  /** Calendar years in which somebody works; money is that of contract crews by the day. */
  years: { year: number; crewDays: number; moneyUsd: number }[];
}

export interface SeasonSummary {
  season: number;
  /** Units overdue for fire on its last day. */
  overdueCount: number;
  /** Units whose sequence has fire, with none on record and none planned up to that day. */
  neverBurnedCount: number;
  /** Burned in it so far, and planned. */
  burnAcres: number;
}

/** The burns of a plan as entries of the log: black all over, on the last day of their span. */
function asBurned(operation: Operation, burns: readonly PlannedTask[]): WorkEntry[] {
  const unitIdsOf = ({ unitId, blockId }: PlannedTask) =>
    unitId === null ? unitsOfBlock(operation.units, blockId).map(({ id }) => id) : [unitId];
  return burns
    .flatMap((task) => unitIdsOf(task).map((unitId) => ({ task, unitId })))
    .map(({ task, unitId }, at) => ({
      id: Number.MAX_SAFE_INTEGER - at,
      unitId,
      treatmentKey: task.treatmentKey,
      taskKey: task.key,
      startedOn: null,
      doneOn: task.lastDay,
      precision: 'day',
      outcome: 'done',
      reason: '',
      areaAcres: null,
      crewDays: null,
      personHours: null,
      shareBlackPercent: null,
      fireCause: 'planned',
      signedOutOn: null,
      note: '',
    }));
}

/** Seasons of one property: how its units stand when each ends, and the acres burned in it. */
function seasonsOf(
  operation: Operation,
  burned: Operation,
  property: Property,
  burns: readonly PlannedTask[],
  today: IsoDate,
  endsBefore: IsoDate,
): SeasonSummary[] {
  const startsAt = property.burningSeasonStart;
  const acres = burnedAndPlanned(operation, property, today, burns, 0);
  const units = operation.units.filter(({ propertyId }) => propertyId === property.id);
  const seasons: SeasonSummary[] = [];
  for (let season = burningSeasonOf(today, startsAt); ; season++) {
    const nextStartsOn = firstDayIn(season + 1, startsAt);
    if (nextStartsOn > endsBefore) return seasons;
    const lastDay = addDays(nextStartsOn, -1);
    const kinds = units.map((unit) => fireStatus(burned, unit, lastDay).kind);
    const own = acres.find((one) => one.season === season);
    seasons.push({
      season,
      overdueCount: kinds.filter((kind) => kind === 'overdue').length,
      neverBurnedCount: kinds.filter((kind) => kind === 'no-fire-on-record').length,
      burnAcres: (own?.burnedAcres ?? 0) + (own?.plannedAcres ?? 0),
    });
  }
}

/** Seasons of all properties added up by the year in which they start. */
function addedUp(seasons: readonly SeasonSummary[]): SeasonSummary[] {
  const byYear = new Map<number, SeasonSummary>();
  for (const one of seasons) {
    const sum = byYear.get(one.season);
    byYear.set(one.season, {
      season: one.season,
      overdueCount: (sum?.overdueCount ?? 0) + one.overdueCount,
      neverBurnedCount: (sum?.neverBurnedCount ?? 0) + one.neverBurnedCount,
      burnAcres: (sum?.burnAcres ?? 0) + one.burnAcres,
    });
  }
  return [...byYear.values()].sort((a, b) => a.season - b.season);
}

function yearsOf(
  operation: Operation,
  tasks: readonly PlannedTask[],
  today: IsoDate,
): PlanSummary['years'] {
  const perDay = new Map(
    operation.crews
      .filter(({ kind }) => kind === 'contract')
      .map(({ id, costPerDayUsd }) => [id, costPerDayUsd]),
  );
  const byYear = new Map<number, { tenths: number; moneyUsd: number }>();
  for (const { crewId, days } of tasks.flatMap((task) => task.crewShares))
    for (const { date, tenths } of days) {
      if (date < today) continue;
      const sum = byYear.get(yearOf(date)) ?? { tenths: 0, moneyUsd: 0 };
      sum.tenths += tenths;
      sum.moneyUsd += (tenths * (perDay.get(crewId) ?? 0)) / 10;
      byYear.set(yearOf(date), sum);
    }
  return [...byYear]
    .map(([year, { tenths, moneyUsd }]) => ({ year, crewDays: tenths / 10, moneyUsd }))
    .sort((a, b) => a.year - b.year);
}

/**
 * A plan in figures from `today` on, on the operation that it is for. Burns count as done on the last day of their
 * span; what the log answered is no more to do. Crew days are those of the plan, on the days it has them.
 */
export function planSummary(
  operation: Operation,
  content: PlanContent,
  today: IsoDate,
): PlanSummary {
  const tasks = openTasks(operation, content.tasks);
  const own = tasks.filter(({ tiedToKey }) => tiedToKey === null);
  const burns = tasks.filter(({ family }) => family === 'burn');
  const entries = [...operation.entries, ...asBurned(operation, burns)];
  const burned = { ...operation, entries };
  const { endsBefore } = content.horizon;
  return {
    onTimeCount: own.filter(({ lateDays }) => lateDays === 0).length,
    lateCount: own.filter(({ lateDays }) => lateDays > 0).length,
    leftOutCount: content.leftOut.length,
    leftOutBurnCount: content.leftOut.filter(({ family }) => family === 'burn').length,
    seasons: addedUp(
      operation.properties.flatMap((property) =>
        seasonsOf(operation, burned, property, burns, today, endsBefore),
      ),
    ),
    years: yearsOf(operation, tasks, today),
  };
}
