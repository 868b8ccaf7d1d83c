import type { Block } from './blocks.ts';
import { type Weights, weightNames } from './costs.ts';
import type { Crew, Gear } from './crews.ts';
import {
  addDays,
  type DateRange,
  dateWords,
  daysInMonth,
  firstDayIn,
  type IsoDate,
  type MonthDay,
  parseIsoDate,
  subtract,
  union,
} from './dates.ts';
import type { Operation, Settings } from './operation.ts';
import type { PlanSummary } from './plan-summary.ts';
import type { PlanContent } from './plans.ts';
import type { Problem } from './problems.ts';
import type { SeasonalWindow, WindowEnd } from './seasons.ts';
import type { Source } from './sources.ts';
import type { Treatment } from './treatments.ts';
import type { FitDayTable, SupplyLevel } from './weather/supply.ts';

/** One thing that would be otherwise. Days are civil, `until` is the last one; a unit stands for its block. */
export type WhatIfChange =
  | { kind: 'crew-weeks'; crewId: number; isThere: boolean; from: IsoDate; until: IsoDate }
  | { kind: 'crew-people'; crewId: number; peopleCount: number }
  | { kind: 'gear'; gearKey: string; count: number }
  | { kind: 'fit-days'; percent: number }
  | { kind: 'fit-level'; level: SupplyLevel }
  | { kind: 'held'; unitId: number; untilYear: number | null; reason: string }
  | { kind: 'sequence'; unitId: number; sequenceKey: string | null; startsOn: IsoDate }
  | { kind: 'window'; treatmentKey: string; opensEarlierDays: number; closesLaterDays: number }
  | { kind: 'weight'; weight: keyof Weights; points: number };

export const whatIfKinds = [
  'crew-weeks',
  'crew-people',
  'gear',
  'fit-days',
  'fit-level',
  'held',
  'sequence',
  'window',
  'weight',
] as const satisfies readonly WhatIfChange['kind'][];

/** Most changes of one what-if: more than a person can tell apart. */
export const whatIfChangesMost = 20;

/** A named list of changes and, once it was searched, the plan found with them. Nothing of the land hangs on it. */
export interface WhatIf {
  id: number;
  name: string;
  changes: WhatIfChange[];
  /** Null = not searched yet, or changed since. */
  solved: { at: string; summary: PlanSummary } | null;
}

/** The plan of a what-if, and the revision of the operation that it was searched from. */
export interface WhatIfPlan {
  content: PlanContent;
  madeFrom: number;
}

/** A row as it would be by a change. */
export type ChangedRow =
  | { noun: 'crew'; row: Crew }
  | { noun: 'gear'; row: Gear }
  | { noun: 'block'; row: Block }
  | { noun: 'treatment'; row: Treatment }
  | { noun: 'settings'; row: Settings; fitDays: FitDayTable[] }
  | { noun: 'fitDays'; fitDays: FitDayTable[] };

/** Fit days at another level of past years: the tables are counted from the weather, which the operation does not hold. */
export type FitDaysAt = (level: SupplyLevel) => FitDayTable[];

/** A change that can not become a fact: nobody orders the weather. */
export function isSupposed({ kind }: WhatIfChange): boolean {
  return kind === 'fit-days';
}

/** A crew that is there in a span, or is not. Days of signed bookings stand in `onSpans` beside those entered. */
function crewIn(crew: Crew, span: DateRange, isThere: boolean): Crew {
  if (!isThere) return { ...crew, daysOff: union([...crew.daysOff, span]) };
  const { onSpans, enteredSpans } = crew;
  return {
    ...crew,
    daysOff: subtract(crew.daysOff, [span]),
    onSpans: onSpans && union([...onSpans, span]),
    ...(enteredSpans ? { enteredSpans: union([...enteredSpans, span]) } : {}),
  };
}

/** A month-day so many days on; 29 February does not stand in a window. */
function movedMonthDay(at: MonthDay, days: number): MonthDay {
  return addDays(firstDayIn(2023, at), days).slice(5) as MonthDay;
}

function movedEnd(end: WindowEnd, days: number): WindowEnd {
  if ('at' in end) return { at: movedMonthDay(end.at, days) };
  if ('anchor' in end) return { ...end, plusDays: end.plusDays + days };
  const both = (ends: [WindowEnd, WindowEnd]): [WindowEnd, WindowEnd] => [
    movedEnd(ends[0], days),
    movedEnd(ends[1], days),
  ];
  return 'earlierOf' in end ? { earlierOf: both(end.earlierOf) } : { laterOf: both(end.laterOf) };
}

function movedWindows(
  windows: readonly SeasonalWindow[],
  change: Extract<WhatIfChange, { kind: 'window' }>,
): SeasonalWindow[] {
  return windows.map(({ opens, closes }) => ({
    opens: movedEnd(opens, -change.opensEarlierDays),
    closes: movedEnd(closes, change.closesLaterDays),
  }));
}

/** Days of a half-month, 0 to 23, in a year without 29 February. */
function daysOfHalf(half: number): number {
  return half % 2 === 0 ? 15 : daysInMonth(2023, Math.floor(half / 2) + 1) - 15;
}

function scaledFitDays(tables: readonly FitDayTable[], percent: number): FitDayTable[] {
  return tables.map((table) => ({
    ...table,
    fitDays: table.fitDays.map((days, half) => Math.min((days * percent) / 100, daysOfHalf(half))),
    label: `${table.label}, supposed ${percent} % of it`,
  }));
}

function blockOf(operation: Operation, unitId: number): Block | null {
  const unit = operation.units.find(({ id }) => id === unitId);
  return operation.blocks.find(({ id }) => id === unit?.blockId) ?? null;
}

function changedBlock(
  block: Block,
  change: Extract<WhatIfChange, { kind: 'held' | 'sequence' }>,
): Block {
  if (change.kind === 'held')
    return {
      ...block,
      heldUntilYear: change.untilYear,
      heldReason: change.untilYear === null ? '' : change.reason,
    };
  return {
    ...block,
    sequenceKey: change.sequenceKey,
    ...(change.sequenceKey === null ? {} : { sequenceStartsOn: change.startsOn, firstCycle: 1 }),
  };
}

/** Of a season that was moved: its source says so no more. */
const ownJudgement: Source = {
  status: 'default-to-edit',
  source: 'Our own judgement, changed here.',
};

/** The row that a change is of, as it would be; null when it is not on record any more. */
export function changedRow(
  operation: Operation,
  change: WhatIfChange,
  fitDaysAt: FitDaysAt,
): ChangedRow | null {
  const { settings } = operation;
  switch (change.kind) {
    case 'crew-weeks':
    case 'crew-people': {
      const crew = operation.crews.find(({ id }) => id === change.crewId);
      if (!crew) return null;
      if (change.kind === 'crew-people')
        return { noun: 'crew', row: { ...crew, peopleCount: change.peopleCount } };
      const span = { startsOn: change.from, endsBefore: addDays(change.until, 1) };
      return { noun: 'crew', row: crewIn(crew, span, change.isThere) };
    }
    case 'gear': {
      const gear = operation.gear.find(({ key }) => key === change.gearKey);
      return gear ? { noun: 'gear', row: { ...gear, count: change.count } } : null;
    }
    case 'fit-days':
      return { noun: 'fitDays', fitDays: scaledFitDays(operation.fitDays, change.percent) };
    case 'fit-level': {
      const supply = { ...settings.supply, level: change.level };
      const fitDays = fitDaysAt(change.level);
      return { noun: 'settings', row: { ...settings, supply }, fitDays };
    }
    case 'held':
    case 'sequence': {
      const block = blockOf(operation, change.unitId);
      return block && { noun: 'block', row: changedBlock(block, change) };
    }
    case 'window': {
      const treatment = operation.treatments.find(({ key }) => key === change.treatmentKey);
      const windows = treatment && movedWindows(treatment.windows, change);
      return windows
        ? { noun: 'treatment', row: { ...treatment, windows, windowSource: ownJudgement } }
        : null;
    }
    case 'weight': {
      const weights = { ...settings.weights, [change.weight]: change.points };
      return {
        noun: 'settings',
        row: { ...settings, weights },
        fitDays: operation.fitDays,
      };
    }
  }
}

function laidOver(operation: Operation, changed: ChangedRow): Operation {
  switch (changed.noun) {
    case 'crew': {
      const { row } = changed;
      return {
        ...operation,
        crews: operation.crews.map((one) => (one.id === row.id ? row : one)),
      };
    }
    case 'gear': {
      const { row } = changed;
      return {
        ...operation,
        gear: operation.gear.map((one) => (one.key === row.key ? row : one)),
      };
    }
    case 'block': {
      const { row } = changed;
      return {
        ...operation,
        blocks: operation.blocks.map((one) => (one.id === row.id ? row : one)),
      };
    }
    case 'treatment': {
      const { row } = changed;
      return {
        ...operation,
        treatments: operation.treatments.map((one) => (one.key === row.key ? row : one)),
      };
    }
    case 'settings':
      return { ...operation, settings: changed.row, fitDays: changed.fitDays };
    case 'fitDays':
      return { ...operation, fitDays: changed.fitDays };
  }
}

/** A level first: it counts the fit days anew, and a share of them would be lost by it. */
function inOrder(changes: readonly WhatIfChange[]): WhatIfChange[] {
  const isLevel = ({ kind }: WhatIfChange) => kind === 'fit-level';
  return [...changes.filter(isLevel), ...changes.filter((change) => !isLevel(change))];
}

/** The operation as it would be. Changes of rows that are gone change nothing: ask `whatIfProblems` first. */
export function withChanges(
  operation: Operation,
  changes: readonly WhatIfChange[],
  fitDaysAt: FitDaysAt,
): Operation {
  return inOrder(changes).reduce((changed, change) => {
    const row = changedRow(changed, change, fitDaysAt);
    return row ? laidOver(changed, row) : changed;
  }, operation);
}

const levelWords: Record<SupplyLevel, string> = {
  half: 'half of past years',
  '7-of-10': '7 of 10 past years',
  '9-of-10': '9 of 10 past years',
};

function movedWords({
  opensEarlierDays: earlier,
  closesLaterDays: later,
}: Extract<WhatIfChange, { kind: 'window' }>): string {
  const days = (count: number) => (count === 1 ? '1 day' : `${count} days`);
  const parts = [
    earlier === 0 ? '' : `opens ${days(Math.abs(earlier))} ${earlier > 0 ? 'earlier' : 'later'}`,
    later === 0 ? '' : `closes ${days(Math.abs(later))} ${later > 0 ? 'later' : 'earlier'}`,
  ];
  return parts.filter((part) => part !== '').join(' and ');
}

/** A change in words: "Saw crew is there from 4 Jan 2027 to 15 Jan 2027". No full stop. */
export function whatIfWords(operation: Operation, change: WhatIfChange): string {
  const crew = (id: number) => operation.crews.find((one) => one.id === id)?.name ?? 'A crew';
  const unit = (id: number) =>
    `Unit ${operation.units.find((one) => one.id === id)?.code ?? '(gone)'}`;
  const nameOf = (rows: readonly { key: string; name: string }[], key: string) =>
    rows.find((row) => row.key === key)?.name ?? key;
  switch (change.kind) {
    case 'crew-weeks':
      return `${crew(change.crewId)} is ${change.isThere ? 'there' : 'away'} from ${dateWords(change.from)} to ${dateWords(change.until)}`;
    case 'crew-people':
      return `${crew(change.crewId)} has ${change.peopleCount === 1 ? '1 person' : `${change.peopleCount} people`}`;
    case 'gear':
      return `${nameOf(operation.gear, change.gearKey)}: ${change.count} on hand`;
    case 'fit-days':
      return `Fit days are ${change.percent} % of those counted`;
    case 'fit-level':
      return `Fit days are counted as ${levelWords[change.level]} reached them`;
    case 'held':
      return change.untilYear === null
        ? `${unit(change.unitId)} and its block are not held from fire`
        : `${unit(change.unitId)} and its block have no fire until the burning season that starts in ${change.untilYear}: ${change.reason}`;
    case 'sequence':
      return change.sequenceKey === null
        ? `${unit(change.unitId)} and its block have no planned work`
        : `${unit(change.unitId)} and its block follow ${nameOf(operation.sequences, change.sequenceKey)} from ${dateWords(change.startsOn)}`;
    case 'window':
      return `The season of ${nameOf(operation.treatments, change.treatmentKey)} ${movedWords(change)}`;
    case 'weight':
      return `${weightNames[change.weight]} counts ${change.points} points`;
  }
}

function spanProblems(change: Extract<WhatIfChange, { kind: 'crew-weeks' }>): Problem[] {
  const { from, until } = change;
  if (!parseIsoDate(from))
    return [{ code: 'what-if-from', field: 'from', message: 'First day: give a real day.' }];
  if (!parseIsoDate(until) || until < from) {
    const message = 'Last day: give a real day, not before the first one.';
    return [{ code: 'what-if-until', field: 'until', message }];
  }
  return [];
}

function rowProblems(operation: Operation, change: WhatIfChange): Problem[] {
  const say = (field: string, message: string): Problem[] => [
    { code: `what-if-${field}`, field, message },
  ];
  const isMissing = changedRow(operation, change, () => operation.fitDays) === null;
  if (isMissing && 'crewId' in change) return say('crewId', 'Crew: pick one from the list.');
  if (isMissing && 'gearKey' in change) return say('gearKey', 'Gear: pick one from the list.');
  if (isMissing && 'unitId' in change) return say('unitId', 'Unit: pick one from the list.');
  if (isMissing) return say('treatmentKey', 'Treatment: pick one from the list.');
  if (change.kind === 'held' && change.untilYear !== null && change.reason === '')
    return say('reason', 'Why: say why fire is held, such as oak seedlings.');
  const isSequenceGone =
    change.kind === 'sequence' &&
    change.sequenceKey !== null &&
    !operation.sequences.some(({ key }) => key === change.sequenceKey);
  return isSequenceGone ? say('sequenceKey', 'Sequence: pick one from the list.') : [];
}

/** What a change touches, to see whether it does anything. */
function touched({ crews, gear, blocks, treatments, settings, fitDays }: Operation): string {
  return JSON.stringify([
    crews,
    gear,
    blocks,
    treatments.map(({ windows }) => windows),
    settings,
    fitDays.map((table) => table.fitDays),
  ]);
}

/**
 * What is wrong with one more change after those that are there: a row that is not on record, days that are none, or
 * a change that changes nothing.
 */
export function checkWhatIfChange(
  operation: Operation,
  before: readonly WhatIfChange[],
  change: WhatIfChange,
  fitDaysAt: FitDaysAt,
): Problem[] {
  if (before.length >= whatIfChangesMost) {
    const message = `${whatIfChangesMost} changes are the most: take one out, or make another what-if.`;
    return [{ code: 'what-if-full', message }];
  }
  const problems = change.kind === 'crew-weeks' ? spanProblems(change) : [];
  if (problems.length === 0) problems.push(...rowProblems(operation, change));
  if (problems.length > 0) return problems;
  const now = touched(withChanges(operation, before, fitDaysAt));
  if (touched(withChanges(operation, [...before, change], fitDaysAt)) !== now) return [];
  const message = `It is so already, so nothing would change: ${whatIfWords(operation, change)}.`;
  return [{ code: 'what-if-nothing', message }];
}

/** Changes that can not be laid over the operation any more, each with what to do. */
export function whatIfProblems(operation: Operation, changes: readonly WhatIfChange[]): Problem[] {
  return changes.flatMap((change, at) =>
    rowProblems(operation, change).map(({ code }) => ({
      code,
      message: `Change ${at + 1} is of something that is not on record any more: take it out of the what-if.`,
    })),
  );
}
