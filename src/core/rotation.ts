import type { Block } from './blocks.ts';
import { sequenceOf, unitsOf } from './chains.ts';
import type { Community } from './communities.ts';
import {
  addDays,
  addYears,
  daysBetween,
  firstDayIn,
  type IsoDate,
  type MonthDay,
  monthDay,
} from './dates.ts';
import { blocksById, burnKeys, entriesOfUnits, oncePerOperation } from './land-index.ts';
import type { Operation } from './operation.ts';
import { burningSeasonOf } from './seasons.ts';
import type { Sequence } from './sequences.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/** Repeat of fire. `leastSeasons` counts burning seasons, the others are years from the last fire that counts. */
export interface BurnRotation {
  phase: 'restoration' | 'maintenance';
  leastSeasons: number;
  targetYears: number;
  mostYears: number;
  /** Every so many burns, the block is wished to burn late in the growing season; null or absent = never asked. */
  lateEvery?: number | null;
}

/** Share of the unit that must have gone black for a fire to count. SEMANTICS-decided default, editable. */
export const shareBlackPercentLeastDefault = 60;

export type FireStatus =
  | { kind: 'no-fire-on-record' }
  | { kind: 'held'; untilYear: number; reason: string; lastFireOn: IsoDate | null }
  | { kind: 'not-planned'; lastFireOn: IsoDate | null }
  | {
      kind: 'within' | 'overdue';
      lastFireOn: IsoDate;
      yearsSince: number;
      yearsOver: number;
      overdueOn: IsoDate;
    };

/** Last day that is still inside the most interval; a block is overdue for fire from the day after. */
export function overdueAfter(lastFireOn: IsoDate, mostYears: number): IsoDate {
  return addYears(lastFireOn, mostYears);
}

/** Natural community of the largest unit of a block: what its defaults go by. Null for one that is not in the library. */
export function communityOf(operation: Operation, block: Block): Community | null {
  const [largest] = unitsOf(operation, block).sort((a, b) => b.areaAcres - a.areaAcres);
  return operation.communities.find((row) => row.key === largest?.communityKey) ?? null;
}

/**
 * Interval of a block that has none of its own, with the row it is from: its sequence's phase, else its natural
 * community. Null where fire is not planned.
 */
export function defaultRotationOf(
  operation: Operation,
  block: Block,
): { rotation: BurnRotation; from: Sequence | Community } | null {
  const sequence = sequenceOf(operation, block);
  if (sequence?.rotation) return { rotation: sequence.rotation, from: sequence };
  const community = communityOf(operation, block);
  if (!community?.interval) return null;
  const { leastYears, targetYears, mostYears } = community.interval;
  const phase = sequence?.phase === 'restoration' ? 'restoration' : 'maintenance';
  return {
    rotation: { phase, leastSeasons: leastYears, targetYears, mostYears },
    from: community,
  };
}

/** Interval of a block: its own, else its default. Null where fire is not planned. */
export function rotationOf(operation: Operation, block: Block): BurnRotation | null {
  return block.rotation ?? defaultRotationOf(operation, block)?.rotation ?? null;
}

/** Fires on a unit, whoever lit them, oldest first. Blacklines, piles and single trees are other work. */
export const fires = oncePerOperation((operation, unit: Unit): readonly WorkEntry[] => {
  const burns = burnKeys(operation.treatments);
  return entriesOfUnits(operation.entries, [unit.id])
    .filter((entry) => entry.outcome === 'done' || entry.outcome === 'partly')
    .filter(
      (entry) =>
        burns.has(entry.treatmentKey) ||
        entry.fireCause === 'wild' ||
        entry.fireCause === 'neighbour',
    )
    .sort((a, b) => (a.doneOn === b.doneOn ? a.id - b.id : a.doneOn < b.doneOn ? -1 : 1));
});

/**
 * The newest fire up to and on `asOf` that blackened at least the share in Settings; an unknown share counts as
 * whole. Null when there is none on record.
 */
export function lastFireThatCounts(
  operation: Operation,
  unit: Unit,
  asOf: IsoDate,
): WorkEntry | null {
  const least = operation.settings.shareBlackPercentLeast;
  const counted = fires(operation, unit).filter(
    (entry) =>
      entry.doneOn <= asOf &&
      (entry.shareBlackPercent === null || entry.shareBlackPercent >= least),
  );
  return counted.at(-1) ?? null;
}

const daysInYear = 365.2425;
const tenth = (value: number) => Math.round(value * 10) / 10;

/**
 * How a unit stands with fire on `today`. Overdue is by date (later than the last fire that counts plus the most
 * interval); the years are rounded to tenths. A block that is held is not overdue; no fire on record is its
 * own state, sorted with overdue.
 */
export function fireStatus(operation: Operation, unit: Unit, today: IsoDate): FireStatus {
  const last = lastFireThatCounts(operation, unit, today);
  const lastFireOn = last ? last.doneOn : null;
  const block = blocksById(operation.blocks).get(unit.blockId);
  const rotation = block ? rotationOf(operation, block) : null;
  if (!block || !rotation) return { kind: 'not-planned', lastFireOn };
  const seasonStart = seasonStartOf(operation, unit);
  if (block.heldUntilYear !== null && today < firstDayIn(block.heldUntilYear, seasonStart))
    return { kind: 'held', untilYear: block.heldUntilYear, reason: block.heldReason, lastFireOn };
  if (lastFireOn === null) return { kind: 'no-fire-on-record' };
  const lastDay = overdueAfter(lastFireOn, rotation.mostYears);
  const isOverdue = today > lastDay;
  const yearsSince = tenth(daysBetween(lastFireOn, today) / daysInYear);
  return {
    kind: isOverdue ? 'overdue' : 'within',
    lastFireOn,
    yearsSince,
    yearsOver: isOverdue ? Math.max(0, tenth(yearsSince - rotation.mostYears)) : 0,
    overdueOn: addDays(lastDay, 1),
  };
}

function seasonStartOf(operation: Operation, unit: Unit): MonthDay {
  const property = operation.properties.find((row) => row.id === unit.propertyId);
  return property ? property.burningSeasonStart : monthDay('07-01');
}

/** "3.4 yr since fire, 0.4 over", "no fire on record", "no fire until July 2028: oak recruitment". */
export function fireStatusWords(status: FireStatus): string {
  if (status.kind === 'no-fire-on-record') return 'no fire on record';
  if (status.kind === 'not-planned') return 'no fire planned';
  if (status.kind === 'held')
    return `no fire until July ${status.untilYear}${status.reason ? `: ${status.reason}` : ''}`;
  const since = `${status.yearsSince.toFixed(1)} yr since fire`;
  if (status.kind === 'within') return since;
  return status.yearsOver > 0
    ? `${since}, ${status.yearsOver.toFixed(1)} over`
    : `${since}, just over`;
}

/**
 * The first burning season in which a place may burn again (burned in season S, next from S + least), and the
 * year in which that season ends: the year that tables of intervals call the first due year.
 */
export function nextBurnWindowSeasons(
  lastFireOn: IsoDate,
  leastSeasons: number,
  burningSeasonStart: MonthDay,
): { firstSeason: number; firstYear: number } {
  const firstSeason = burningSeasonOf(lastFireOn, burningSeasonStart) + leastSeasons;
  return { firstSeason, firstYear: burningSeasonStart === '01-01' ? firstSeason : firstSeason + 1 };
}
