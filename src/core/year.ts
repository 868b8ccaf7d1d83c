import type { Block } from './blocks.ts';
import { type ChainStep, chainOf, sequenceOf } from './chains.ts';
import type { Community } from './communities.ts';
import { addDays, type DateRange, type IsoDate, intersect } from './dates.ts';
import { lagCalendarOf, lagRule, useByOf } from './lags.ts';
import { entriesByTask } from './load.ts';
import type { NoWorkSpan } from './no-work.ts';
import type { Operation } from './operation.ts';
import type { Property } from './properties.ts';
import { type BurnRotation, type FireStatus, fireStatus, rotationOf } from './rotation.ts';
import { openRanges } from './season/no-work.ts';
import { windowOpenings } from './seasons.ts';
import type { Lag } from './sequences.ts';
import type { PlannedTask } from './tasks.ts';
import type { Family, Treatment } from './treatments.ts';
import type { Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/**
 * How a piece of work stands on the calendar. `when-fit`: a burn inside its span, on the boss's call.
 * `dated`: other planned work.
 */
export type MarkState = 'when-fit' | 'dated' | 'under-way' | 'done' | 'partly' | 'not-possible';

/** A piece of work on a unit's row: a planned task, or a fact of the work log. Both days inclusive. */
export interface YearMark {
  taskKey: string | null;
  name: string;
  treatmentKey: string;
  family: Family;
  startsOn: IsoDate;
  lastDay: IsoDate;
  state: MarkState;
  /** Of a fact whose day is not known: the date is the first of that month or year. */
  precision: WorkEntry['precision'];
  lateDays: number;
  isHeld: boolean;
  /** Names of tasks that fall on the day of this burn and have no dates before the call. */
  onTheDay: string[];
}

/** The opening of a seasonal window in which the next planned work of the row lies. */
export interface YearWindow {
  name: string;
  family: Family;
  span: DateRange;
}

/** Days on which some planned work of the row is barred, joined where they meet. */
export interface YearNoWork {
  span: DateRange;
  spans: NoWorkSpan[];
}

/** Felled fuel drying for a burn. */
export interface YearCure {
  /** From the last day of felling to the planned burn, or to the use-by where no burn is planned. */
  span: DateRange;
  /** Last day on which the fuel is still worth a burn. */
  useByOn: IsoDate;
  hasBurn: boolean;
}

/** One unit along the calendar. */
export interface YearRow {
  unit: Unit;
  block: Block;
  community: Community | null;
  fire: FireStatus;
  rotation: BurnRotation | null;
  /** In order of the first day. */
  marks: YearMark[];
  windows: YearWindow[];
  noWork: YearNoWork[];
  cures: YearCure[];
}

export interface YearProperty {
  property: Property;
  rows: YearRow[];
}

interface Context {
  operation: Operation;
  today: IsoDate;
  span: DateRange;
  treatments: Map<string, Treatment>;
  tasksOfUnit: Map<number, PlannedTask[]>;
  tasksOfBlock: Map<number, PlannedTask[]>;
  tasksByKey: Map<string, PlannedTask>;
  tiedNames: Map<string, string[]>;
  entriesOfUnit: Map<number, WorkEntry[]>;
  answers: Map<string, WorkEntry>;
  chains: Map<number, ChainStep[]>;
}

function group<K, V>(rows: readonly V[], keyOf: (row: V) => K | null): Map<K, V[]> {
  const groups = new Map<K, V[]>();
  for (const row of rows) {
    const key = keyOf(row);
    if (key === null) continue;
    const own = groups.get(key);
    if (own) own.push(row);
    else groups.set(key, [row]);
  }
  return groups;
}

/**
 * The calendar of the given units over `span`, grouped by property, units by code. `tasks` are those of the plan
 * shown. Everything returned touches `span`; nothing is cut to it.
 */
export function yearOfWork(
  operation: Operation,
  tasks: readonly PlannedTask[],
  units: readonly Unit[],
  today: IsoDate,
  span: DateRange,
): YearProperty[] {
  const tied = group(tasks, (task) => task.tiedToKey);
  const context: Context = {
    operation,
    today,
    span,
    treatments: new Map(operation.treatments.map((treatment) => [treatment.key, treatment])),
    tasksOfUnit: group(tasks, (task) => task.unitId),
    tasksOfBlock: group(tasks, (task) => (task.unitId === null ? task.blockId : null)),
    tasksByKey: new Map(tasks.map((task) => [task.key, task])),
    tiedNames: new Map([...tied].map(([key, rows]) => [key, rows.map((row) => row.name)])),
    entriesOfUnit: group(operation.entries, (entry) => entry.unitId),
    answers: entriesByTask(operation.entries),
    chains: new Map(),
  };
  const blocks = new Map(operation.blocks.map((block) => [block.id, block]));
  const inOrder = [...units].sort((a, b) => a.code.localeCompare(b.code, 'en', { numeric: true }));
  return operation.properties.flatMap((property) => {
    const rows = inOrder.flatMap((unit) => {
      const block = blocks.get(unit.blockId);
      return unit.propertyId === property.id && block
        ? [rowOf(context, property, unit, block)]
        : [];
    });
    return rows.length > 0 ? [{ property, rows }] : [];
  });
}

function rowOf(context: Context, property: Property, unit: Unit, block: Block): YearRow {
  const { operation, today, span } = context;
  const tasks = [
    ...(context.tasksOfUnit.get(unit.id) ?? []),
    ...(context.tasksOfBlock.get(block.id) ?? []),
  ].filter((task) => task.tiedToKey === null && !isClosed(context, task));
  tasks.sort((a, b) => (a.startsOn < b.startsOn ? -1 : a.startsOn > b.startsOn ? 1 : 0));
  const touching = tasks.filter((task) => task.startsOn < span.endsBefore);
  return {
    unit,
    block,
    community: operation.communities.find((one) => one.key === unit.communityKey) ?? null,
    fire: fireStatus(operation, unit, today),
    rotation: rotationOf(operation, block),
    marks: marksOf(context, unit, tasks),
    windows: windowsOf(context, property, touching),
    noWork: noWorkOf(context, property, unit, touching),
    cures: curesOf(context, property, unit, block),
  };
}

/** Done work is shown by its entry, at its true dates. */
function isClosed(context: Context, task: PlannedTask): boolean {
  return context.answers.get(task.key)?.outcome === 'done';
}

function stateOf(task: PlannedTask, answer: WorkEntry | undefined): MarkState {
  if (answer?.outcome === 'under-way' || answer?.outcome === 'not-possible') return answer.outcome;
  return task.isWhenFit ? 'when-fit' : 'dated';
}

function marksOf(context: Context, unit: Unit, tasks: readonly PlannedTask[]): YearMark[] {
  const planned = tasks.map((task): YearMark => {
    const { key: taskKey, name, treatmentKey, family, startsOn, lastDay, lateDays, isHeld } = task;
    const state = stateOf(task, context.answers.get(task.key));
    const onTheDay = context.tiedNames.get(task.key) ?? [];
    const precision = 'day';
    return {
      ...{ taskKey, name, treatmentKey, family, startsOn, lastDay, state },
      ...{ precision, lateDays, isHeld, onTheDay },
    };
  });
  const shown = new Set(tasks.map((task) => task.key));
  const facts = (context.entriesOfUnit.get(unit.id) ?? []).flatMap((entry): YearMark[] => {
    const isOnTask = entry.outcome === 'under-way' || entry.outcome === 'not-possible';
    if (isOnTask && entry.taskKey !== null && shown.has(entry.taskKey)) return [];
    const treatment = context.treatments.get(entry.treatmentKey);
    if (!treatment) return [];
    return [
      {
        taskKey: entry.taskKey,
        name: treatment.name,
        treatmentKey: treatment.key,
        family: treatment.family,
        startsOn: entry.startedOn ?? entry.doneOn,
        lastDay: entry.doneOn,
        state: entry.outcome,
        precision: entry.precision,
        lateDays: 0,
        isHeld: false,
        onTheDay: [],
      },
    ];
  });
  return [...planned, ...facts]
    .filter(
      (mark) => mark.startsOn < context.span.endsBefore && mark.lastDay >= context.span.startsOn,
    )
    .sort((a, b) => (a.startsOn < b.startsOn ? -1 : a.startsOn > b.startsOn ? 1 : 0));
}

/** Windows of the next planned field work and of the next planned burn of the row. */
function windowsOf(
  context: Context,
  property: Property,
  tasks: readonly PlannedTask[],
): YearWindow[] {
  const ahead = tasks.filter(
    (task) =>
      task.lastDay >= context.today && task.family !== 'monitor' && task.family !== 'notice',
  );
  const chosen = new Set([ahead[0], ahead.find((task) => task.family === 'burn')]);
  return [...chosen].flatMap((task) => {
    const treatment = task && context.treatments.get(task.treatmentKey);
    if (!treatment) return [];
    const firstDay = { startsOn: task.startsOn, endsBefore: addDays(task.startsOn, 1) };
    return treatment.windows
      .flatMap((window) => windowOpenings(window, firstDay, property.anchors))
      .filter((span) => intersect(span, context.span) !== null)
      .map((span) => ({ name: treatment.name, family: treatment.family, span }));
  });
}

/** No-work dates that bar the planned treatments of the row, less what an approval on file lifts. */
function noWorkOf(
  context: Context,
  property: Property,
  unit: Unit,
  tasks: readonly PlannedTask[],
): YearNoWork[] {
  const { operation, span } = context;
  // A year more on both sides, so that the dates come whole and not cut to the page.
  const around = {
    startsOn: addDays(span.startsOn, -366),
    endsBefore: addDays(span.endsBefore, 366),
  };
  const barred = [...new Set(tasks.map((task) => task.treatmentKey))]
    .flatMap((key) => context.treatments.get(key) ?? [])
    .flatMap((treatment) => {
      const { barred, askFirst } = openRanges(treatment, unit, property, operation, around);
      return [...barred, ...askFirst];
    })
    .sort((a, b) => (a.range.startsOn < b.range.startsOn ? -1 : 1));
  const joined: YearNoWork[] = [];
  for (const { range, span: rule } of barred) {
    const last = joined.at(-1);
    if (!last || range.startsOn > last.span.endsBefore) {
      joined.push({ span: range, spans: [rule] });
      continue;
    }
    if (range.endsBefore > last.span.endsBefore)
      last.span = { ...last.span, endsBefore: range.endsBefore };
    if (!last.spans.includes(rule)) last.spans.push(rule);
  }
  return joined.filter((one) => intersect(one.span, span) !== null);
}

/** A lag that is a cure: from felling to a burn, with a most after which the fuel is past use. */
function isCure(context: Context, step: ChainStep, lag: Lag, felling: ChainStep): boolean {
  const familyOf = (one: ChainStep) => context.treatments.get(one.treatmentKeys[0] ?? '')?.family;
  return (
    lag.kind === 'fixed' &&
    lag.most !== null &&
    familyOf(step) === 'burn' &&
    familyOf(felling) === 'cut'
  );
}

function curesOf(context: Context, property: Property, unit: Unit, block: Block): YearCure[] {
  const sequence = sequenceOf(context.operation, block);
  if (!sequence?.steps.some((step) => step.lags.some((lag) => lag.most))) return [];
  const chain = context.chains.get(block.id) ?? chainOf(context.operation, block);
  context.chains.set(block.id, chain);
  return chain.flatMap((burn) => {
    if (burn.standing === 'done' || burn.standing === 'skipped') return [];
    const step = sequence.steps.find((one) => one.key === burn.stepKey);
    return (step?.lags ?? []).flatMap((lag) =>
      chain
        .filter((one) => one.stepKey === lag.afterStepKey && one.part === burn.part)
        .filter((one) => one.cycle === (lag.cycle === 'same' ? burn.cycle : burn.cycle - 1))
        .filter((one) => one.unitId === null || one.unitId === unit.id)
        .filter((felling) => isCure(context, burn, lag, felling))
        .flatMap((felling) => cureOf(context, property, block, burn, lag, felling) ?? []),
    );
  });
}

function cureOf(
  context: Context,
  property: Property,
  block: Block,
  burn: ChainStep,
  lag: Lag,
  felling: ChainStep,
): YearCure | null {
  const felledOn = felling.doneOn ?? context.tasksByKey.get(felling.key)?.lastDay;
  const most = lagRule(lag, rotationOf(context.operation, block)).most;
  if (!felledOn || !most) return null;
  const windows = burn.treatmentKeys.flatMap((key) => context.treatments.get(key)?.windows ?? []);
  const useByOn = useByOf(most, felledOn, lagCalendarOf(property), windows);
  const planned = context.tasksByKey.get(burn.key);
  const endsBefore = planned ? planned.startsOn : addDays(useByOn, 1);
  const startsOn = addDays(felledOn, 1);
  const whole = { startsOn, endsBefore: useByOn > endsBefore ? addDays(useByOn, 1) : endsBefore };
  if (startsOn >= endsBefore || !intersect(whole, context.span)) return null;
  return { span: { startsOn, endsBefore }, useByOn, hasBurn: planned !== undefined };
}
