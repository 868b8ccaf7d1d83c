import {
  addDays,
  daysBetween,
  daysInMonth,
  firstDayIn,
  type IsoDate,
  isoDate,
  monthDay,
  monthOf,
  yearOf,
} from '../dates.ts';
import type { Problem } from '../problems.ts';
import { fitDaysTaken } from './plan-burn-days.ts';
import { burningSeason } from './plan-calendar.ts';
import { fireCounts } from './plan-facts.ts';
import { type PlanView, problem, type TaskView } from './plan-view.ts';

const daysInPool = 14;
/** Two-week spans are counted from this Monday, whatever day a plan is made on. */
const firstMonday = isoDate('1970-01-05');
const toleranceBurns = 0.05;

/** Fit days of one day: its half-month's figure spread evenly over the days of that half-month. */
function fitShare(date: IsoDate, fitDays: readonly number[]): number {
  const dayOfMonth = Number(date.slice(8));
  const month = monthOf(date);
  const isFirstHalf = dayOfMonth <= 15;
  const length = isFirstHalf ? 15 : daysInMonth(yearOf(date), month) - 15;
  return (fitDays[(month - 1) * 2 + (isFirstHalf ? 0 : 1)] ?? 0) / length;
}

/**
 * Whole burns that each two-week span allows: its fit days from the start of the horizon on, as burns, with what was
 * left of a burn in the span before. The rest is carried from the start of the burning season; it is less than one burn.
 */
function supplyOf(view: PlanView, fitDays: readonly number[]): Map<number, number> {
  const { startsOn, endsBefore } = view.plan.horizon;
  const { weekdayShare, usedShare } = view.operation.settings.supply;
  const { properties } = view.operation;
  const season = properties[0] ? burningSeason(startsOn, properties[0]) : yearOf(startsOn);
  const seasonStart = firstDayIn(season, properties[0]?.burningSeasonStart ?? monthDay('07-01'));
  const supply = new Map<number, number>();
  let rest = 0;
  for (let pool = poolOf(seasonStart); pool <= poolOf(endsBefore); pool++) {
    const days = Array.from({ length: daysInPool }, (_, i) =>
      addDays(firstMonday, pool * daysInPool + i),
    );
    const sum = (from: IsoDate, to: IsoDate) =>
      days
        .filter((date) => date >= from && date < to)
        .reduce((total, date) => total + fitShare(date, fitDays) * weekdayShare * usedShare, 0);
    const expected = rest + sum(startsOn, endsBefore);
    const burns = Math.floor(expected + 1e-9);
    supply.set(pool, burns);
    rest = (expected - burns + sum(isoDate('1900-01-01'), startsOn)) % 1;
  }
  return supply;
}

function poolOf(date: IsoDate): number {
  return Math.floor(daysBetween(firstMonday, date) / daysInPool);
}

/**
 * Burns of a two-week span draw no more than the fit days of their prescription, all of them no more than the largest. A
 * burn that takes more than one day draws one of each of the spans that follow.
 */
export function checkFitDays(view: PlanView): Problem[] {
  const pools = new Map<number, TaskView[]>();
  for (const one of view.tasks) {
    if (one.reservedOn === null) continue;
    const first = poolOf(one.reservedOn);
    for (let pool = first; pool < first + fitDaysTaken(view.operation, one); pool++)
      pools.set(pool, [...(pools.get(pool) ?? []), one]);
  }
  const tables = new Map(
    view.operation.fitDays.map((table) => [table.prescriptionKey, supplyOf(view, table.fitDays)]),
  );
  return [...pools].flatMap(([pool, burns]) => {
    const firstDay = addDays(firstMonday, pool * daysInPool);
    const supplyIn = (key: string) => tables.get(key)?.get(pool) ?? 0;
    const keys = [...new Set(burns.map(prescriptionOf))];
    const problems = keys.flatMap((key) => {
      if (key === null) return [];
      const own = burns.filter((burn) => prescriptionOf(burn) === key);
      return tooMany(own, supplyIn(key), firstDay, `of the prescription ${key}`);
    });
    const largest = Math.max(0, ...[...tables.keys()].map(supplyIn));
    return [...problems, ...tooMany(burns, largest, firstDay, 'of all prescriptions together')];
  });
}

/** Prescription that a burn draws fit days of: its treatment's own, else its block's. */
function prescriptionOf(burn: TaskView): string | null {
  return burn.treatment.prescriptionKey ?? burn.block.prescriptionKey;
}

function tooMany(
  burns: readonly TaskView[],
  supply: number,
  firstDay: IsoDate,
  which: string,
): Problem[] {
  const last = burns.at(-1);
  if (!last || burns.length <= supply + toleranceBurns) return [];
  const titles = burns.map((burn) => burn.title).join(', ');
  return [
    problem(
      'fit-days',
      last.task,
      `${titles}: ${burns.length} burns ${which} in the two weeks from ${firstDay}, but the likely fit days allow ${supply.toFixed(1)}.`,
    ),
  ];
}

/** Pairs of neighbouring units that may not both burn in one burning season. */
function pairsApart({ operation }: PlanView): [number, number][] {
  return operation.neighbours.flatMap((pair): [number, number][] => {
    const [a, b] = pair.unitIds.map((id) => operation.units.find((unit) => unit.id === id));
    if (!a || !b || a.blockId === b.blockId) return [];
    const property = operation.properties.find((one) => one.id === a.propertyId);
    const ofProperty =
      a.propertyId === b.propertyId && pair.sharedFeet > 0 ? property?.neighbourRule : null;
    return (pair.rule ?? ofProperty) === 'apart' ? [[a.id, b.id]] : [];
  });
}

/** Neighbours with the rule apart do not burn in one burning season, planned or in the work log. */
export function checkApart(view: PlanView): Problem[] {
  const { operation, tasks } = view;
  const burns = tasks.filter((one) => one.task.isWhenFit);
  const pairs = pairsApart(view).flatMap(([a, b]): [number, number][] => [
    [a, b],
    [b, a],
  ]);
  const seen = new Set<string>();
  return pairs.flatMap(([own, neighbour]) =>
    burns
      .filter((burn) => burn.units.some((unit) => unit.id === own))
      .flatMap((burn): Problem[] => {
        const { property, task, title } = burn;
        const season = burningSeason(task.startsOn, property);
        const other = burns.find(
          (one) =>
            one.units.some((unit) => unit.id === neighbour) &&
            burningSeason(one.task.startsOn, property) === season,
        );
        const fact = operation.entries.find(
          (entry) =>
            entry.unitId === neighbour &&
            fireCounts(operation, entry) &&
            burningSeason(entry.doneOn, property) === season,
        );
        const what = other
          ? `${other.title} on ${other.task.startsOn}`
          : fact && `the fire of ${fact.doneOn}`;
        const pairKey = [task.key, other?.task.key ?? `entry ${fact?.id}`].sort().join(' ');
        if (!what || seen.has(pairKey)) return [];
        seen.add(pairKey);
        const unit = operation.units.find((one) => one.id === neighbour);
        return [
          problem(
            'apart',
            task,
            `${title} on ${task.startsOn} is in the burning season of ${what}; its neighbour ${unit?.code ?? ''} must not burn in the same one.`,
          ),
        ];
      }),
  );
}

/** No fire on a block before 1 July of the year until which fire is held. */
export function checkFireHeld({ tasks }: PlanView): Problem[] {
  return tasks.flatMap(({ task, title, block }): Problem[] => {
    const { heldUntilYear } = block;
    if (!task.isWhenFit || heldUntilYear === null || task.startsOn >= `${heldUntilYear}-07-01`)
      return [];
    return [
      problem(
        'fire-held',
        task,
        `${title} on ${task.startsOn} is before 1 July ${heldUntilYear}: fire is held until then (${block.heldReason}).`,
      ),
    ];
  });
}
