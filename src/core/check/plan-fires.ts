import {
  addDays,
  daysBetween,
  daysInMonth,
  type IsoDate,
  isoDate,
  monthOf,
  yearOf,
} from '../dates.ts';
import type { Problem } from '../problems.ts';
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

/** Burns that the fit days of a two-week span allow, floored to tenths. */
function supplyOf(view: PlanView, fitDays: readonly number[], firstDay: IsoDate): number {
  const { startsOn, endsBefore } = view.plan.horizon;
  let sum = 0;
  for (let i = 0; i < daysInPool; i++) {
    const date = addDays(firstDay, i);
    if (date >= startsOn && date < endsBefore) sum += fitShare(date, fitDays);
  }
  const { weekdayShare, usedShare } = view.operation.settings.supply;
  return Math.floor(sum * weekdayShare * usedShare * 10 + 1e-9) / 10;
}

/** Burns of a two-week span draw no more than the fit days of their prescription, all of them no more than the largest. */
export function checkFitDays(view: PlanView): Problem[] {
  const pools = new Map<number, TaskView[]>();
  for (const one of view.tasks) {
    if (one.reservedOn === null) continue;
    const pool = Math.floor(daysBetween(firstMonday, one.reservedOn) / daysInPool);
    pools.set(pool, [...(pools.get(pool) ?? []), one]);
  }
  const { fitDays } = view.operation;
  return [...pools].flatMap(([pool, burns]) => {
    const firstDay = addDays(firstMonday, pool * daysInPool);
    const supplies = new Map(
      fitDays.map((table) => [table.prescriptionKey, supplyOf(view, table.fitDays, firstDay)]),
    );
    const keys = [...new Set(burns.map((burn) => burn.block.prescriptionKey))];
    const problems = keys.flatMap((key) => {
      if (key === null) return [];
      const own = burns.filter((burn) => burn.block.prescriptionKey === key);
      return tooMany(own, supplies.get(key) ?? 0, firstDay, `of the prescription ${key}`);
    });
    const largest = Math.max(0, ...supplies.values());
    return [...problems, ...tooMany(burns, largest, firstDay, 'of all prescriptions together')];
  });
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
