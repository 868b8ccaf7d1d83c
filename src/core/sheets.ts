import { addDays, type IsoDate, lastDayOf } from './dates.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import { type CalendarEntry, calendarEntries } from './publication.ts';
import type { PlannedTask } from './tasks.ts';
import type { Family, Treatment } from './treatments.ts';
import type { Unit } from './units.ts';

/** `called`: its day was named by the boss; the others say how far the work is. */
export type SheetStanding = 'planned' | 'called' | 'under-way' | 'done' | 'cancelled';

/** A task as its printed sheet needs it: from the plan in force, from the log, or a burn that is called. */
export interface SheetTask {
  key: string;
  name: string;
  family: Family;
  treatment: Treatment | null;
  propertyId: number;
  blockId: number;
  units: Unit[];
  crewIds: number[];
  areaAcres: number;
  standing: SheetStanding;
  /** First and last day, both inclusive; null = no day is planned. */
  startsOn: IsoDate | null;
  lastDay: IsoDate | null;
  /** One day of the span, on the boss's call. */
  isWhenFit: boolean;
  /** Its day is that of a burn that is not called yet. */
  isTied: boolean;
  /** Null for work that is not, or no more, in the plan in force. */
  planned: PlannedTask | null;
}

function standingOf(entry: CalendarEntry | undefined): SheetStanding {
  if (!entry) return 'planned';
  if (entry.status === 'cancelled') return 'cancelled';
  if (entry.progress === 'done') return 'done';
  if (entry.progress === 'under-way') return 'under-way';
  return entry.status === 'confirmed' ? 'called' : 'planned';
}

function sheetTask(
  operation: Operation,
  key: string,
  planned: PlannedTask | null,
  entry: CalendarEntry | undefined,
): SheetTask | null {
  const unitIds = entry?.unitIds ?? [];
  const units = operation.units.filter((unit) => {
    if (!planned) return unitIds.includes(unit.id);
    return planned.unitId === null ? unit.blockId === planned.blockId : unit.id === planned.unitId;
  });
  const [first] = units;
  if (!first) return null;
  const treatmentKey = entry?.treatmentKey ?? planned?.treatmentKey;
  const treatment = operation.treatments.find((row) => row.key === treatmentKey) ?? null;
  const standing = standingOf(entry);
  const isOpen = standing === 'planned';
  return {
    key,
    name: treatment?.name ?? planned?.name ?? entry?.summary ?? '',
    family: treatment?.family ?? planned?.family ?? 'monitor',
    treatment,
    propertyId: first.propertyId,
    blockId: first.blockId,
    units,
    crewIds: planned?.crewIds ?? entry?.crewIds ?? [],
    areaAcres: planned?.areaAcres ?? units.reduce((sum, unit) => sum + unit.areaAcres, 0),
    standing,
    startsOn: entry?.startsOn ?? planned?.startsOn ?? null,
    lastDay: (entry && lastDayOf(entry)) ?? planned?.lastDay ?? null,
    isWhenFit: isOpen && (planned?.isWhenFit ?? false),
    isTied: !entry && (planned?.tiedToKey ?? null) !== null,
    planned,
  };
}

/**
 * Every task that can have a sheet, by first day: those of the plan in force and those that the log or a call of the boss
 * answers. `today` as in `calendarEntries`.
 */
export function sheetTasks(
  operation: Operation,
  plan: PlanContent | null,
  today: IsoDate,
): SheetTask[] {
  const entries = new Map(
    calendarEntries(operation, plan, today)
      .filter(({ kind }) => kind === 'task')
      .map((entry) => [entry.taskKey, entry]),
  );
  const planned = new Map((plan?.tasks ?? []).map((task) => [task.key, task]));
  return [...new Set([...planned.keys(), ...entries.keys()])]
    .flatMap((key) => sheetTask(operation, key, planned.get(key) ?? null, entries.get(key)) ?? [])
    .sort((a, b) => {
      const [one, other] = [a.startsOn ?? '', b.startsOn ?? ''];
      return one === other ? (a.key < b.key ? -1 : 1) : one < other ? -1 : 1;
    });
}

/** Sheets of a span of days, both ends included, for one crew or all (null): work that is still to be done. */
export function sheetsBetween(
  tasks: readonly SheetTask[],
  from: IsoDate,
  to: IsoDate,
  crewId: number | null,
): SheetTask[] {
  return tasks.filter(
    ({ standing, startsOn, lastDay, crewIds }) =>
      standing !== 'done' &&
      standing !== 'cancelled' &&
      startsOn !== null &&
      lastDay !== null &&
      startsOn < addDays(to, 1) &&
      from <= lastDay &&
      (crewId === null || crewIds.includes(crewId)),
  );
}

/**
 * The sheet of a block on which no burn is planned: its units with a treatment, and no day. For a packet that is made ahead
 * of the plan.
 */
export function blockSheet(
  operation: Operation,
  blockId: number,
  treatment: Treatment | null,
): SheetTask | null {
  const units = operation.units.filter((unit) => unit.blockId === blockId);
  const [first] = units;
  if (!first) return null;
  return {
    key: '',
    name: treatment?.name ?? 'Burn',
    family: 'burn',
    treatment,
    propertyId: first.propertyId,
    blockId,
    units,
    crewIds: [],
    areaAcres: units.reduce((sum, unit) => sum + unit.areaAcres, 0),
    standing: 'planned',
    startsOn: null,
    lastDay: null,
    isWhenFit: false,
    isTied: false,
    planned: null,
  };
}
