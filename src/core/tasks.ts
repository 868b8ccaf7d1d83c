import type { IsoDate } from './dates.ts';
import type { Family } from './treatments.ts';

export type TaskState =
  | 'planned'
  | 'confirmed'
  | 'under-way'
  | 'done'
  | 'partly-done'
  | 'not-possible'
  | 'cancelled'
  | 'after-horizon';

/** What a task is, whatever its dates: one step on one block or unit in one cycle. */
export interface TaskIdentity {
  /** `block:12/cedar-woodland/burn/2/a` : place, sequence, step, cycle, part (`-` for whole). */
  key: string;
  propertyId: number;
  blockId: number;
  /** Null when the task is of the whole block. */
  unitId: number | null;
  sequenceKey: string;
  stepKey: string;
  cycle: number;
  part: string;
}

/** Crew or gear on a day, in tenths of a day. */
export interface DayShare {
  date: IsoDate;
  tenths: number;
}

/** What may stand in the way of a task, from what is mildest to change to what is hardest. */
export type Obstacle =
  | 'room'
  | 'held-dates'
  | 'crew'
  | 'gear'
  | 'booking'
  | 'fit-days'
  | 'neighbor'
  | 'turn'
  | 'crew-away'
  | 'gear-away'
  | 'not-booked'
  | 'no-work'
  | 'season'
  | 'several'
  | 'price'
  | 'nothing';

/** Why a task is late or left out: the first single thing whose relaxing would place it, or place it sooner. */
export interface WhyNot {
  obstacle: Obstacle;
  /** What it is, in which weeks, who holds it, and when the task could start without it. Begins in lower case. */
  words: string;
  /** What displacing those that hold it would cost, as a sentence; null when nobody holds it. */
  displacing: string | null;
}

/** A task with dates and people. */
export interface PlannedTask extends TaskIdentity {
  name: string;
  treatmentKey: string;
  family: Family;
  areaAcres: number;
  /** First and last day, both inclusive. For a burn "when fit": the span in which the day will be called. */
  startsOn: IsoDate;
  lastDay: IsoDate;
  /** True for a burn: one day inside the span, on the boss's call. */
  isWhenFit: boolean;
  /** Key of the burn whose day fixes this task; such a task has the burn's span and no feed entry before the call. */
  tiedToKey: string | null;
  crewIds: number[];
  /** Sum over crews. */
  crewDaysTenths: number;
  crewShares: { crewId: number; days: DayShare[] }[];
  gearShares: { gearKey: string; days: DayShare[] }[];
  dueOn: IsoDate | null;
  lateDays: number;
  isHeld: boolean;
  /** Cost points of this task. */
  cost: number;
  /** Why it is when it is: window, predecessor, what it waited for; whole sentences. */
  because: string[];
  /** Of a late task: what would have to give way for an earlier start. Absent when nothing would help, or not looked at. */
  late?: WhyNot;
}

export interface LeftOutTask extends TaskIdentity {
  name: string;
  treatmentKey: string;
  family: Family;
  areaAcres: number;
  /** By its first mode, summed over crews; absent where no crew can do it, and in plans made before it was kept. */
  crewDaysTenths?: number;
  dueOn: IsoDate | null;
  /** First reason in words. */
  reason: string;
  /** The same as data; absent when nothing that can be relaxed would place it, and in plans made before it was kept. */
  why?: WhyNot;
  cost: number;
}

/** A step whose window lies past the horizon: shown in the chain, no cost. */
export interface LaterTask extends TaskIdentity {
  name: string;
  treatmentKey: string;
  family: Family;
  reason: string;
  /** True when it only waits for another step that is not in the plan: its own time is not the reason. */
  isWaiting: boolean;
}

/** Unit code (or codes, for a whole block) and block code of a task. */
export function placeOfTask(
  operation: {
    units: readonly { id: number; blockId: number; code: string }[];
    blocks: readonly { id: number; code: string }[];
  },
  task: TaskIdentity,
): { unit: string; block: string } {
  const codes = operation.units
    .filter((unit) =>
      task.unitId === null ? unit.blockId === task.blockId : unit.id === task.unitId,
    )
    .map((unit) => unit.code)
    .sort();
  const block = operation.blocks.find((one) => one.id === task.blockId);
  return { unit: codes.join(' + '), block: block?.code ?? '' };
}

/** Prescription that a burn draws fit days of: its treatment's own, else its block's. */
export function prescriptionKeyOf(
  operation: {
    treatments: readonly { key: string; prescriptionKey: string | null }[];
    blocks: readonly { id: number; prescriptionKey: string | null }[];
  },
  task: Pick<PlannedTask, 'treatmentKey' | 'blockId'>,
): string | null {
  const treatment = operation.treatments.find((one) => one.key === task.treatmentKey);
  const block = operation.blocks.find((one) => one.id === task.blockId);
  return treatment?.prescriptionKey ?? block?.prescriptionKey ?? null;
}
