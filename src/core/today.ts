import type { Block } from './blocks.ts';
import { type Booking, isSigned } from './bookings.ts';
import { type ChainStep, chainOf, treatmentOf } from './chains.ts';
import { type ContractDeadline, contractDeadlines } from './contracts.ts';
import { runningCures } from './cures.ts';
import { addDays, type DateRange, type IsoDate, lastDayOf, rangeHolds } from './dates.ts';
import { burnKeys } from './land-index.ts';
import type { NoWorkSpan } from './no-work.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import type { Property } from './properties.ts';
import { type FireStatus, fireStatus } from './rotation.ts';
import { noWorkOpenings } from './season/no-work.ts';
import { type SeasonalWindow, windowOpenings } from './seasons.ts';
import type { LeftOutTask, PlannedTask } from './tasks.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/** Work that can start, or is in its span, now. */
export interface DoableTask {
  task: PlannedTask;
  /** Its dates hold today; otherwise it starts within the look-ahead. */
  isNow: boolean;
  isUnderWay: boolean;
}

/** A window that shuts soon over work that is still open. */
export interface ClosingWindow {
  task: PlannedTask | LeftOutTask;
  closesOn: IsoDate;
  /** False when the plan left the work out. */
  isPlanned: boolean;
}

export interface OverdueUnit {
  unit: Unit;
  /** Overdue, or no fire on record, which is sorted after. */
  status: FireStatus;
}

/** Felled fuel whose last useful burn day comes near. */
export interface UseBy {
  block: Block;
  useByOn: IsoDate;
  felledOn: IsoDate;
  /** The burn that would use it, if planned. */
  burn: PlannedTask | null;
}

export interface NoWorkNow {
  span: NoWorkSpan;
  range: DateRange;
  propertyNames: string[];
}

/** Everything the Today page says, worked out; each list sorted as it is shown. */
export interface TodayLists {
  openBurns: { entry: WorkEntry; unit: Unit }[];
  doable: DoableTask[];
  closing: ClosingWindow[];
  overdue: OverdueUnit[];
  checks: PlannedTask[];
  useBys: UseBy[];
  stale: PlannedTask[];
  noWork: NoWorkNow[];
  /** Days of cost-share contracts whose work is open, that come near or were missed. */
  contractDays: (ContractDeadline & { isLate: boolean })[];
  /** Jobs of contract crews that are not signed, whose last day to book comes near or has passed. */
  bookBy: { booking: Booking; bookBy: IsoDate; isLate: boolean }[];
}

/** Days that Today looks ahead: starts, window ends, checks and use-bys. Practice judgement, no source. */
export const lookAheadDays = {
  starts: 14,
  closing: 30,
  checks: 60,
  useBy: 180,
  bookBy: 60,
  contract: 120,
} as const;

interface Context {
  operation: Operation;
  plan: PlanContent | null;
  todayAt: (property: Property) => IsoDate;
  steps: Map<string, ChainStep>;
  /** Tasks that an entry of the log names as done: also the rest of a step, or one that is done again. */
  doneKeys: ReadonlySet<string | null>;
}

const propertyOf = (operation: Operation, propertyId: number): Property => {
  const property = operation.properties.find((one) => one.id === propertyId);
  if (!property) throw new RangeError(`no property ${propertyId}`);
  return property;
};

function todayOf(context: Context, propertyId: number): IsoDate {
  return context.todayAt(propertyOf(context.operation, propertyId));
}

function isAnswered(context: Context, taskKey: string): boolean {
  if (context.doneKeys.has(taskKey)) return true;
  const standing = context.steps.get(taskKey)?.standing;
  return standing !== undefined && standing !== 'to-do' && standing !== 'under-way';
}

/** Planned tasks that no fact has answered yet; without those of land that is gone. */
function openTasks(context: Context): PlannedTask[] {
  const blockIds = new Set(context.operation.blocks.map((block) => block.id));
  return (context.plan?.tasks ?? []).filter(
    (task) => blockIds.has(task.blockId) && !isAnswered(context, task.key),
  );
}

const byStart = (a: PlannedTask, b: PlannedTask) =>
  a.startsOn === b.startsOn ? (a.lastDay < b.lastDay ? -1 : 1) : a.startsOn < b.startsOn ? -1 : 1;

function doableTasks(context: Context, open: readonly PlannedTask[]): DoableTask[] {
  return open
    .filter((task) => task.tiedToKey === null)
    .flatMap((task): DoableTask[] => {
      const today = todayOf(context, task.propertyId);
      const isUnderWay = context.steps.get(task.key)?.standing === 'under-way';
      const isNow = task.startsOn <= today && today <= task.lastDay;
      const startsSoon =
        task.startsOn > today && task.startsOn <= addDays(today, lookAheadDays.starts);
      return isNow || startsSoon ? [{ task, isNow, isUnderWay }] : [];
    })
    .sort((a, b) =>
      a.isNow === b.isNow ? byStart(a.task, b.task) : Number(b.isNow) - Number(a.isNow),
    );
}

function closesSoon(
  windows: readonly SeasonalWindow[],
  property: Property,
  today: IsoDate,
): IsoDate | null {
  const now = { startsOn: today, endsBefore: addDays(today, 1) };
  const last = windows
    .flatMap((window) => windowOpenings(window, now, property.anchors))
    .map(lastDayOf)
    .reduce<IsoDate | null>((latest, day) => (latest && latest > day ? latest : day), null);
  return last !== null && last <= addDays(today, lookAheadDays.closing) ? last : null;
}

function closingWindows(context: Context, open: readonly PlannedTask[]): ClosingWindow[] {
  const { operation } = context;
  const blockIds = new Set(operation.blocks.map((block) => block.id));
  const leftOut = (context.plan?.leftOut ?? []).filter(
    (task) => blockIds.has(task.blockId) && !isAnswered(context, task.key),
  );
  const found = [...open.filter((task) => task.tiedToKey === null), ...leftOut].flatMap((task) => {
    const property = propertyOf(operation, task.propertyId);
    const today = context.todayAt(property);
    const closesOn = closesSoon(treatmentOf(operation, task.treatmentKey).windows, property, today);
    const isPlanned = 'startsOn' in task;
    if (closesOn === null || (isPlanned && task.startsOn > closesOn)) return [];
    return [{ task, closesOn, isPlanned }];
  });
  return found.sort((a, b) => (a.closesOn < b.closesOn ? -1 : 1));
}

function overdueUnits(context: Context): OverdueUnit[] {
  const found = context.operation.units.flatMap((unit): OverdueUnit[] => {
    const status = fireStatus(context.operation, unit, todayOf(context, unit.propertyId));
    return status.kind === 'overdue' || status.kind === 'no-fire-on-record'
      ? [{ unit, status }]
      : [];
  });
  const over = (one: OverdueUnit) =>
    one.status.kind === 'overdue' ? one.status.yearsOver : Number.NEGATIVE_INFINITY;
  return found.sort((a, b) => over(b) - over(a) || (a.unit.code < b.unit.code ? -1 : 1));
}

/** True for a step that looks after felled fuel: it comes after a cut in the same cycle. */
function followsCut(operation: Operation, task: PlannedTask): boolean {
  const steps = operation.sequences.find((one) => one.key === task.sequenceKey)?.steps ?? [];
  const lags = steps.find((step) => step.key === task.stepKey)?.lags ?? [];
  return lags.some((lag) => {
    const before = steps.find((step) => step.key === lag.afterStepKey);
    const key = before?.treatmentKeys[0];
    return lag.cycle === 'same' && key && treatmentOf(operation, key).family === 'cut';
  });
}

/** Cure checks that come up: monitoring tasks after a cut. */
function checksComing(context: Context, open: readonly PlannedTask[]): PlannedTask[] {
  return open
    .filter((task) => {
      const today = todayOf(context, task.propertyId);
      return (
        task.family === 'monitor' &&
        task.tiedToKey === null &&
        task.lastDay >= today &&
        task.startsOn <= addDays(today, lookAheadDays.checks) &&
        followsCut(context.operation, task)
      );
    })
    .sort(byStart);
}

/** The use-by of the felled fuel in a block whose burn has not been done, if one is running. */
function blockUseBy(operation: Operation, plan: PlanContent | null, block: Block): UseBy | null {
  const [cure] = runningCures(operation, block, chainOf(operation, block));
  if (!cure) return null;
  const burn = plan?.tasks.find((task) => task.key === cure.burnKey) ?? null;
  return { block, felledOn: cure.felledOn, useByOn: cure.useByOn, burn };
}

/** The use-bys of felled fuel that come up, soonest first. */
export function useBysAhead(
  operation: Operation,
  plan: PlanContent | null,
  todayAt: (property: Property) => IsoDate,
): UseBy[] {
  const lastDay = ({ propertyId }: Block) =>
    addDays(todayAt(propertyOf(operation, propertyId)), lookAheadDays.useBy);
  return operation.blocks
    .map((block) => blockUseBy(operation, plan, block))
    .filter((one) => one !== null)
    .filter((one) => one.useByOn <= lastDay(one.block))
    .sort((a, b) => (a.useByOn < b.useByOn ? -1 : 1));
}

function noWorkNow(context: Context): NoWorkNow[] {
  return context.operation.noWork.flatMap((span): NoWorkNow[] => {
    const held = context.operation.properties.flatMap((property) => {
      const isItsRule = span.propertyId === null || span.propertyId === property.id;
      const isItsState = span.state === null || span.state === property.state;
      const today = context.todayAt(property);
      const now = { startsOn: today, endsBefore: addDays(today, 1) };
      const range = noWorkOpenings(span, now, property.anchors).find((one) =>
        rangeHolds(one, today),
      );
      return isItsRule && isItsState && range ? [{ property, range }] : [];
    });
    const first = held[0];
    if (!first) return [];
    return [{ span, range: first.range, propertyNames: held.map((one) => one.property.name) }];
  });
}

/** The day of the first unit's property; of the first one where a job names no unit. */
function bookingsToSign(context: Context): TodayLists['bookBy'] {
  const { operation } = context;
  return operation.bookings
    .flatMap((booking) => {
      const { bookBy, state, unitIds } = booking;
      const unit = operation.units.find(({ id }) => id === unitIds[0]);
      const propertyId = unit?.propertyId ?? operation.properties[0]?.id;
      if (bookBy === null || isSigned(state) || propertyId === undefined) return [];
      const today = todayOf(context, propertyId);
      if (booking.until < today || bookBy > addDays(today, lookAheadDays.bookBy)) return [];
      return [{ booking, bookBy, isLate: bookBy < today }];
    })
    .sort((a, b) => (a.bookBy < b.bookBy ? -1 : 1));
}

function contractDays({ operation, todayAt }: Context): TodayLists['contractDays'] {
  return operation.properties
    .flatMap((property) => {
      const today = todayAt(property);
      const own = operation.contracts.filter(({ propertyId }) => propertyId === property.id);
      return contractDeadlines(operation, own, today)
        .filter(({ day }) => day <= addDays(today, lookAheadDays.contract))
        .map((one) => ({ ...one, isLate: one.day < today }));
    })
    .sort((a, b) => (a.day < b.day ? -1 : 1));
}

/**
 * What can be done now, what closes, what waits and what has to be asked about. `todayAt` gives the civil date
 * at a property (its own zone). Nothing here decides: a burn stays the burn boss's call.
 */
export function todayLists(
  operation: Operation,
  plan: PlanContent | null,
  todayAt: (property: Property) => IsoDate,
): TodayLists {
  const chains = operation.blocks.map((block) => ({ block, chain: chainOf(operation, block) }));
  const steps = new Map(chains.flatMap(({ chain }) => chain.map((step) => [step.key, step])));
  const doneKeys = new Set(
    operation.entries.filter(({ outcome }) => outcome === 'done').map(({ taskKey }) => taskKey),
  );
  const context: Context = { operation, plan, todayAt, steps, doneKeys };
  const open = openTasks(context);
  const unitById = new Map(operation.units.map((unit) => [unit.id, unit]));
  return {
    openBurns: operation.entries.flatMap((entry) => {
      const unit = unitById.get(entry.unitId);
      const isBurn = burnKeys(operation.treatments).has(entry.treatmentKey);
      const isLit = entry.outcome !== 'not-possible' && entry.fireCause === 'planned';
      return unit && isBurn && isLit && entry.signedOutOn === null ? [{ entry, unit }] : [];
    }),
    doable: doableTasks(context, open),
    closing: closingWindows(context, open),
    overdue: overdueUnits(context),
    checks: checksComing(context, open),
    useBys: useBysAhead(operation, plan, todayAt),
    stale: open
      .filter((task) => task.tiedToKey === null)
      .filter((task) => task.lastDay < todayOf(context, task.propertyId))
      .sort(byStart),
    noWork: noWorkNow(context),
    bookBy: bookingsToSign(context),
    contractDays: contractDays(context),
  };
}
