import type { Block } from './blocks.ts';
import { type CallPaper, papersOfBurn, standingCall } from './burn-papers.ts';
import { type ChainStep, chainOf, isTaskOfStep } from './chains.ts';
import { addDays, daysBetween, type IsoDate, monthOf, yearOf } from './dates.ts';
import { earliestAfter, lagCalendarOf, lagRule, lagWords } from './lags.ts';
import { oncePerOperation } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import type { Property } from './properties.ts';
import { rotationOf } from './rotation.ts';
import type { Lag, Step } from './sequences.ts';
import type { PlannedTask, TaskIdentity } from './tasks.ts';
import type { Family, Treatment } from './treatments.ts';
import type { Boundary, Unit } from './units.ts';
import type { WorkEntry } from './worklog.ts';

/** What an entry stands for; which feeds show it hangs on this. */
export type EntryKind = 'task' | 'deadline' | 'no-work' | 'outlook';

/** What a reader of a feed can see of a task; any change of it raises SEQUENCE. */
export interface CalendarEntry {
  /** Task key; stands for the task in the store, never in the feed. */
  taskKey: string;
  kind: EntryKind;
  propertyId: number;
  unitIds: number[];
  crewIds: number[];
  family: Family;
  /** Null for what is no task. */
  treatmentKey: string | null;
  startsOn: IsoDate;
  /** Day after the last one, as DTEND wants it. */
  endsBefore: IsoDate;
  status: 'tentative' | 'confirmed' | 'cancelled';
  /** How far the work is; a cancelled entry keeps what it was. */
  progress: 'to-do' | 'under-way' | 'done';
  /** True for windows, "when fit" spans, notices and cancelled entries: free time. */
  isFreeTime: boolean;
  summary: string;
  /** Lines of the description. */
  description: string[];
  categories: string[];
  place: { latitude: number; longitude: number; words: string } | null;
  /** Path of the task page under the server's address, e.g. `/units/12#task-...`. */
  path: string;
  /** Tasks that wait for this one, with the least lag in days; lag 0 = same day. */
  followedBy: { taskKey: string; lagDaysLeast: number }[];
}

/** Stored identity of a task in the feeds: for life, whatever happens to its dates. */
export interface PublishedTask {
  taskKey: string;
  uid: string;
  sequence: number;
  /** UTC instant of the last visible change, `YYYY-MM-DDTHH:MM:SSZ`. */
  revisedAt: string;
  createdAt: string;
  entry: CalendarEntry;
  /** Set when the task left the plan: the entry stays as a cancelled tombstone. */
  cancelledAt: string | null;
}

/** Fixed list: a comma inside a category is split by some readers, so there is none. */
export const familyCategories: Record<Family, string> = {
  burn: 'Burn',
  cut: 'Cut',
  line: 'Line and soil',
  spray: 'Spray',
  plant: 'Plant',
  monitor: 'Monitor',
  notice: 'Notice',
};

const callWords = 'This calendar can be hours late: the call comes by phone or text.';
export const burnCallWords =
  'A burn day is firm only when the burn boss calls it. This calendar can be hours late: the call comes by phone or text.';
const calledWords =
  'A called day can be called off until the first fire. This calendar can be hours late: the word comes by phone or text.';
export const planOnlyWords =
  'Plan only: local law, the label, the signed burn plan and the qualified person in charge come first.';

/** What the facts about one task come to. */
interface Standing {
  outcome: WorkEntry['outcome'];
  startedOn: IsoDate;
  doneOn: IsoDate;
  precision: WorkEntry['precision'];
  reasons: string[];
  areaAcres: number | null;
  crewDays: number | null;
  isSignedOut: boolean;
  treatmentKey: string | null;
}

/** A task with its land, looked up once. */
interface Subject {
  identity: TaskIdentity;
  property: Property;
  block: Block;
  units: Unit[];
  treatment: Treatment | null;
  family: Family;
  /** Treatment in words. */
  name: string;
  step: Step | null;
  planned: PlannedTask | null;
  /** The entry as it was published before, if it was. */
  before: CalendarEntry | null;
  standing: Standing | null;
  /** The plan gives a new try, or the rest, of what the facts say. */
  isPlannedAgain: boolean;
  crewIds: number[];
  /** The boss's call of this burn. */
  call: CallPaper | null;
}

/** What every entry is made from. */
interface Context {
  operation: Operation;
  plan: PlanContent | null;
  /** Facts dated later are typing errors or called too early. */
  latestDay: IsoDate;
  chains: Map<number, ChainStep[]>;
  factsByKey: Map<string, WorkEntry[]>;
  before: Map<string, CalendarEntry>;
  /** Days that the boss called, by block. */
  calls: Map<number, CallPaper[]>;
}

/** A subject that has dates. */
type Dated = Subject & { startsOn: IsoDate; lastDay: IsoDate };

/**
 * The entries of every task that a calendar can show: planned tasks of the plan in force and facts that answer
 * a task. Pure and free of words that depend on the day, so the same facts give the same entries.
 * A fact dated later than the day after `today` is not taken: a burn is called on the day before or the day itself.
 * Facts of any age are given, so that a store does not take an old done task for one that left the plan.
 * `published` are the stored rows: a task under way or done that left the plan keeps its crews and days from there.
 */
export function calendarEntries(
  operation: Operation,
  plan: PlanContent | null,
  today: IsoDate,
  published: readonly PublishedTask[] = [],
): CalendarEntry[] {
  if (published.length > 0) return entriesBeside(operation, plan, today, published);
  return [...entriesUnpublished(operation, plan)(today)];
}

/** Worked out once a snapshot, plan and day: several pages ask. */
const entriesUnpublished = oncePerOperation((operation: Operation, plan: PlanContent | null) => {
  const kept = new Map<IsoDate, CalendarEntry[]>();
  return (today: IsoDate): CalendarEntry[] => {
    const entries = kept.get(today) ?? entriesBeside(operation, plan, today, []);
    kept.set(today, entries);
    return entries;
  };
});

function entriesBeside(
  operation: Operation,
  plan: PlanContent | null,
  today: IsoDate,
  published: readonly PublishedTask[],
): CalendarEntry[] {
  const context = contextOf(operation, plan, addDays(today, 1), published);
  const plannedByKey = new Map((plan?.tasks ?? []).map((task) => [task.key, task]));
  const keys = new Set([
    ...plannedByKey.keys(),
    ...context.factsByKey.keys(),
    ...context.before.keys(),
  ]);
  const dated = [...keys].flatMap((key): Dated[] => {
    const subject = subjectOf(context, key, plannedByKey.get(key) ?? null);
    const days = subject && daysOf(context, subject);
    return days ? [{ ...subject, ...days }] : [];
  });
  const byBlock = new Map<number, Dated[]>();
  for (const subject of dated) {
    const others = byBlock.get(subject.block.id);
    if (others) others.push(subject);
    else byBlock.set(subject.block.id, [subject]);
  }
  return dated.map((subject) => entryOf(context, subject, byBlock.get(subject.block.id) ?? []));
}

function contextOf(
  operation: Operation,
  plan: PlanContent | null,
  latestDay: IsoDate,
  published: readonly PublishedTask[],
): Context {
  const factsByKey = new Map<string, WorkEntry[]>();
  for (const fact of operation.entries) {
    if (fact.taskKey === null || (fact.startedOn ?? fact.doneOn) > latestDay) continue;
    const list = factsByKey.get(fact.taskKey);
    if (list) list.push(fact);
    else factsByKey.set(fact.taskKey, [fact]);
  }
  return {
    operation,
    plan,
    latestDay,
    chains: new Map(operation.blocks.map((block) => [block.id, chainOf(operation, block)])),
    factsByKey,
    before: new Map(published.map((row) => [row.taskKey, row.entry])),
    calls: new Map(
      operation.blocks.map((block) => [block.id, callsOf(operation, block, plan, latestDay)]),
    ),
  };
}

/** Calls that stand: neither called off, nor of a day before the plan was made, nor called too early. */
function callsOf(
  operation: Operation,
  block: Block,
  plan: PlanContent | null,
  latestDay: IsoDate,
): CallPaper[] {
  const own = operation.papers.filter((paper) => paper.blockId === block.id);
  const keys = new Set(own.map((paper) => paper.burnKey));
  return [...keys].flatMap((key) => {
    const call = standingCall(papersOfBurn(operation, block, key));
    const isOver = call !== null && plan !== null && plan.madeOn > call.day;
    return call && !isOver && call.day <= latestDay ? [call] : [];
  });
}

function callOf(context: Context, { blockId, key }: TaskIdentity): CallPaper | null {
  const calls = context.calls.get(blockId) ?? [];
  const isOf = ({ burnKey }: CallPaper) =>
    burnKey !== null &&
    isTaskOfStep(key, { key: burnKey, part: burnKey.slice(burnKey.lastIndexOf('/') + 1) });
  return calls.find(isOf) ?? null;
}

/** Facts that name the task; else the fact that the chain of its block takes as the answer. */
function standingOf(context: Context, identity: TaskIdentity): Standing | null {
  const facts = context.factsByKey.get(identity.key);
  if (facts) return standingOfFacts(facts);
  const step = context.chains.get(identity.blockId)?.find((row) => row.key === identity.key);
  const outcome = step && outcomeByStanding[step.standing];
  if (!outcome || !step.doneOn || step.doneOn > context.latestDay) return null;
  return {
    outcome,
    startedOn: step.doneOn,
    doneOn: step.doneOn,
    precision: 'day',
    reasons: [],
    areaAcres: null,
    crewDays: null,
    isSignedOut: true,
    treatmentKey: null,
  };
}

const outcomeByStanding: Record<ChainStep['standing'], WorkEntry['outcome'] | null> = {
  done: 'done',
  'partly-done': 'partly',
  'under-way': 'under-way',
  'not-possible': 'not-possible',
  skipped: null,
  'to-do': null,
};

/** Newest fact of each unit decides; a block is done when all its reported units are done or not possible. */
function standingOfFacts(facts: readonly WorkEntry[]): Standing {
  const sorted = [...facts].sort((a, b) => daysBetween(b.doneOn, a.doneOn) || a.id - b.id);
  const newest = [...new Map(sorted.map((fact) => [fact.unitId, fact])).values()];
  const outcomes = newest.map((fact) => fact.outcome);
  const inOrder = ['under-way', 'partly', 'done', 'not-possible'] as const;
  const last = sorted.at(-1)!;
  const startedOn = sorted.map((fact) => fact.startedOn ?? fact.doneOn).sort()[0]!;
  return {
    outcome: inOrder.find((outcome) => outcomes.includes(outcome))!,
    startedOn: startedOn < last.doneOn ? startedOn : last.doneOn,
    doneOn: last.doneOn,
    precision: last.precision,
    reasons: [...new Set(newest.map((fact) => fact.reason.trim()).filter((text) => text !== ''))],
    areaAcres: sumKnown(facts.map((fact) => fact.areaAcres)),
    crewDays: sumKnown(facts.map((fact) => fact.crewDays)),
    isSignedOut: newest.every((fact) => fact.signedOutOn !== null),
    treatmentKey: last.treatmentKey,
  };
}

function sumKnown(values: readonly (number | null)[]): number | null {
  const known = values.filter((value) => value !== null);
  return known.length === 0 ? null : known.reduce((total, value) => total + value, 0);
}

const keyPattern = /^(block|unit):(\d+)\/([^/]+)\/([^/]+)\/(\d+)\/([^/]+)$/;

/** What a task key stands for; null when its land is gone. */
function identityOf(operation: Operation, key: string): TaskIdentity | null {
  const match = keyPattern.exec(key);
  if (!match) return null;
  const id = Number(match[2]);
  const unit = match[1] === 'unit' ? operation.units.find((row) => row.id === id) : undefined;
  const blockId = match[1] === 'unit' ? unit?.blockId : id;
  const block = operation.blocks.find((row) => row.id === blockId);
  if (!block) return null;
  return {
    key,
    propertyId: block.propertyId,
    blockId: block.id,
    unitId: unit?.id ?? null,
    sequenceKey: match[3]!,
    stepKey: match[4]!,
    cycle: Number(match[5]),
    part: match[6]!,
  };
}

/** Null when there is neither a plan nor a fact for the key, or its land is gone. */
function subjectOf(context: Context, key: string, planned: PlannedTask | null): Subject | null {
  const { operation } = context;
  const identity = planned ?? identityOf(operation, key);
  const standing = identity && standingOf(context, identity);
  if (!identity || (!planned && !standing)) return null;
  const property = operation.properties.find((row) => row.id === identity.propertyId);
  const block = operation.blocks.find((row) => row.id === identity.blockId);
  if (!property || !block) return null;
  const sequence = operation.sequences.find((row) => row.key === identity.sequenceKey);
  const step = sequence?.steps.find((row) => row.key === identity.stepKey) ?? null;
  const isPlannedAgain =
    !!planned && !!standing && isAgain(planned, standing, context.plan!.madeOn);
  const treatmentKey =
    (isPlannedAgain ? null : standing?.treatmentKey) ??
    planned?.treatmentKey ??
    step?.treatmentKeys[0];
  const treatment = operation.treatments.find((row) => row.key === treatmentKey) ?? null;
  const before = context.before.get(key) ?? null;
  return {
    identity,
    property,
    block,
    units: operation.units.filter((row) =>
      identity.unitId === null ? row.blockId === block.id : row.id === identity.unitId,
    ),
    treatment,
    family: treatment?.family ?? planned?.family ?? before?.family ?? 'monitor',
    name: treatment?.name ?? planned?.name ?? step?.name ?? 'Work',
    step,
    planned,
    before,
    standing,
    isPlannedAgain,
    crewIds: planned?.crewIds ?? before?.crewIds ?? [],
    call: planned?.isWhenFit ? callOf(context, identity) : null,
  };
}

/**
 * Work that is partly done keeps its planned days for the rest. Work found not possible is on again when a plan
 * made on or after that day gives it later days.
 */
function isAgain(planned: PlannedTask, standing: Standing, madeOn: IsoDate): boolean {
  if (standing.outcome === 'partly') return planned.lastDay > standing.doneOn;
  return (
    standing.outcome === 'not-possible' &&
    planned.startsOn > standing.doneOn &&
    madeOn >= standing.doneOn
  );
}

/** Facts first; then the call of the burn that a tied task hangs on; then the plan. Null before that call. */
function daysOf(
  context: Context,
  subject: Subject,
): { startsOn: IsoDate; lastDay: IsoDate } | null {
  const { planned, standing, before, step, family } = subject;
  if (standing && !subject.isPlannedAgain) {
    const { startedOn, doneOn } = standing;
    const goesOn = standing.outcome === 'under-way' && family !== 'burn';
    const endsOn = planned?.lastDay ?? (before ? addDays(before.endsBefore, -1) : doneOn);
    return { startsOn: startedOn, lastDay: goesOn && endsOn > doneOn ? endsOn : doneOn };
  }
  if (!planned) return null;
  if (planned.tiedToKey !== null) {
    const identity = identityOf(context.operation, planned.tiedToKey);
    const burn = identity && standingOf(context, identity);
    const offset = step?.tiedDays ?? 0;
    const called = burn ? null : identity && callOf(context, identity);
    if (!called && (!burn || burn.outcome === 'not-possible')) return null;
    const from = burn ? (offset < 0 ? burn.startedOn : burn.doneOn) : called?.day;
    const day = from && addDays(from, offset);
    return day ? { startsOn: day, lastDay: day } : null;
  }
  if (subject.call) return { startsOn: subject.call.day, lastDay: subject.call.day };
  const restFrom = standing ? addDays(standing.doneOn, 1) : planned.startsOn;
  const startsOn = planned.startsOn > restFrom ? planned.startsOn : restFrom;
  return { startsOn, lastDay: planned.lastDay };
}

/** Dates are a plan only. */
function isPlan(subject: Subject): boolean {
  return !subject.standing || subject.isPlannedAgain;
}

/** Planned or under way: it still takes part in the order of work. */
function isToDo(subject: Subject): boolean {
  return isPlan(subject) || subject.standing?.outcome === 'under-way';
}

function statusOf(subject: Subject): CalendarEntry['status'] {
  if (isPlan(subject)) return subject.call ? 'confirmed' : 'tentative';
  return subject.standing?.outcome === 'not-possible' ? 'cancelled' : 'confirmed';
}

function progressOf(subject: Subject): CalendarEntry['progress'] {
  if (isPlan(subject)) return 'to-do';
  return subject.standing?.outcome === 'under-way' ? 'under-way' : 'done';
}

/** Only days that a crew gives to work are busy time: not "when fit" spans, notices and facts of the past. */
function isFreeTime(subject: Subject): boolean {
  if (subject.family === 'notice' || !isToDo(subject)) return true;
  return isPlan(subject) && !!subject.planned?.isWhenFit && !subject.call;
}

function entryOf(context: Context, subject: Dated, others: readonly Dated[]): CalendarEntry {
  const { identity } = subject;
  return {
    taskKey: identity.key,
    kind: 'task',
    propertyId: identity.propertyId,
    unitIds: subject.units.map((unit) => unit.id),
    crewIds: [...subject.crewIds],
    family: subject.family,
    treatmentKey: subject.treatment?.key ?? null,
    startsOn: subject.startsOn,
    endsBefore: addDays(subject.lastDay, 1),
    status: statusOf(subject),
    progress: progressOf(subject),
    isFreeTime: isFreeTime(subject),
    summary: summaryOf(subject),
    description: [
      ...standingLines(subject),
      ...(isPlan(subject) ? planLines(subject) : []),
      ...crewLines(context.operation, subject),
      ...amountLines(subject),
      ...(isToDo(subject) ? orderLines(context, subject, others) : []),
      ...(isToDo(subject) ? cautionLines(context.operation, subject) : []),
      planOnlyWords,
    ],
    categories: [familyCategories[subject.family]],
    place: placeOf(subject),
    path: pathOf(subject),
    followedBy: isToDo(subject) ? followersOf(context.operation, subject, others) : [],
  };
}

function placeWords(subject: Subject): string {
  const unit = subject.identity.unitId === null ? null : (subject.units[0] ?? null);
  const { code, name } = unit ?? subject.block;
  return name === '' || name === code ? code : `${code} ${name}`;
}

/** "Dormant-season burn" -> "dormant-season burn"; names that open with an acronym stay. */
function inSentence(name: string): string {
  return /^\p{Lu}\p{Ll}/u.test(name) ? name.charAt(0).toLowerCase() + name.slice(1) : name;
}

function workWords(subject: Subject): string {
  const part = subject.identity.part === '-' ? '' : `, part ${subject.identity.part}`;
  return `${inSentence(subject.name)}${part}`;
}

function summaryOf(subject: Subject): string {
  const { standing } = subject;
  const what = `${placeWords(subject)}: ${workWords(subject)}`;
  if (!standing || subject.isPlannedAgain) {
    if (subject.call) return `${what} (called)`;
    if (subject.planned?.isWhenFit) return `${what} (when fit)`;
    return standing?.outcome === 'partly' ? `${what}, the rest` : what;
  }
  if (standing.outcome === 'under-way') return `${what}, under way`;
  if (standing.outcome === 'not-possible') return what;
  const verb = standing.outcome === 'partly' ? 'Partly done' : 'Done';
  return `${verb} ${factDay(standing, false)}: ${what}`;
}

function standingLines(subject: Subject): string[] {
  const { standing } = subject;
  if (!standing) return [];
  const reason = standing.reasons.map((text) => ` ${sentence(text)}`).join('');
  const on = factDay(standing, true);
  const isBurn = subject.family === 'burn';
  switch (standing.outcome) {
    case 'under-way':
      return [
        `Under way since ${dayWords(standing.startedOn)}.${reason}`,
        isBurn ? burnCallWords : callWords,
      ];
    case 'partly':
      return [
        `Partly done ${on}.${reason}`,
        ...(subject.isPlannedAgain ? [] : ['The rest is planned as a task of its own.']),
      ];
    case 'not-possible':
      return [`Not possible (${on}).${reason}${subject.isPlannedAgain ? ' Planned again.' : ''}`];
    case 'done':
      return [
        `Done ${on}.${reason}`,
        ...(isBurn && !standing.isSignedOut
          ? ['The burn stays open, with patrol, until it is signed out.']
          : []),
      ];
  }
}

function planLines(subject: Dated): string[] {
  const { call } = subject;
  if (call) {
    const lit = call.lightAt === null ? '' : `, first fire at ${call.lightAt}`;
    return [`Called for ${dayWords(call.day)}${lit}, by ${call.by}.`, calledWords];
  }
  const span = spanWords(subject.startsOn, subject.lastDay);
  return subject.planned?.isWhenFit
    ? [`When fit: one day, ${span}.`, burnCallWords]
    : [`Planned ${span}.`, callWords];
}

function crewLines(operation: Operation, subject: Subject): string[] {
  const names = operation.crews
    .filter((crew) => subject.crewIds.includes(crew.id))
    .map((crew) => crew.name);
  return names.length > 0 ? [`Crew: ${names.join('; ')}.`] : [];
}

function amountLines(subject: Subject): string[] {
  const { planned, standing } = subject;
  const isPlanned = isToDo(subject) && planned;
  const acres = isPlanned ? planned.areaAcres : standing?.areaAcres;
  const crewDays = isPlanned ? planned.crewDaysTenths / 10 : standing?.crewDays;
  const parts = [
    acres ? counted(Math.round(acres * 10) / 10, 'acre') : null,
    crewDays ? counted(Math.round(crewDays * 10) / 10, 'crew day') : null,
  ].filter((part) => part !== null);
  return parts.length > 0 ? [`${parts.join(', ')}.`] : [];
}

/** One line a predecessor: the earliest day and why. */
function orderLines(context: Context, subject: Dated, others: readonly Dated[]): string[] {
  const chain = context.chains.get(subject.block.id) ?? [];
  return (subject.step?.lags ?? []).flatMap((lag) => {
    const toDo = others.filter(isToDo);
    const waiting = predecessorsOf(subject, lag, toDo, (other) => other.identity);
    const done = predecessorsOf(subject, lag, chain, (step) => step).filter(
      (step) => step.standing === 'done' && step.doneOn !== null,
    );
    const ends = [
      ...waiting.map((other) => ({
        work: workWords(other),
        on: other.lastDay,
        how: 'planned to end',
      })),
      ...done.map((step) => ({ work: inSentence(step.name), on: step.doneOn!, how: 'done' })),
    ];
    if (ends.length === 0) return [];
    const last = ends.reduce((a, b) => (b.on > a.on ? b : a));
    const { least } = lagRule(lag, rotationOf(context.operation, subject.block));
    const earliest = earliestAfter(least, last.on, lagCalendarOf(subject.property));
    const wait = earliest === last.on ? 'not before the end of' : `${lagWords(least)} after`;
    return [
      `Earliest ${dayWords(earliest)}: ${wait} ${last.work} (${last.how} ${dayWords(last.on)}).`,
    ];
  });
}

function cautionLines(operation: Operation, subject: Subject): string[] {
  const { treatment, planned } = subject;
  const gearKeys = planned
    ? [...new Set(planned.gearShares.map((share) => share.gearKey))]
    : (treatment?.gear ?? []);
  const gear = operation.gear.filter((row) => gearKeys.includes(row.key)).map((row) => row.name);
  const kit = treatment?.kit.trim() ?? '';
  const cautions = operation.cautions.filter((row) => treatment?.cautionKeys.includes(row.key));
  const first = [...new Set(cautions.map((row) => row.deferTo.trim().replace(/\.$/, '')))];
  return [
    ...(gear.length > 0 ? [`Gear: ${gear.join('; ')}.`] : []),
    ...(kit === '' ? [] : [sentence(`Kit: ${kit}`)]),
    ...(cautions.length > 0
      ? [
          `Cautions: ${cautions.map((row) => sentence(row.text)).join(' ')} First comes: ${first.join('; ')}.`,
        ]
      : []),
  ];
}

/** The tasks or steps that a lag of `subject` counts from: those of the same part, else of all parts. */
function predecessorsOf<T>(
  subject: Subject,
  lag: Lag,
  others: readonly T[],
  identityOfOne: (one: T) => TaskIdentity,
): T[] {
  const { key, sequenceKey, unitId, part, cycle } = subject.identity;
  const found = others.filter((one) => {
    const other = identityOfOne(one);
    return (
      other.key !== key &&
      other.sequenceKey === sequenceKey &&
      other.stepKey === lag.afterStepKey &&
      other.cycle === (lag.cycle === 'same' ? cycle : cycle - 1) &&
      (other.unitId === null || unitId === null || other.unitId === unitId)
    );
  });
  const samePart = found.filter((one) => identityOfOne(one).part === part);
  return samePart.length > 0 ? samePart : found;
}

/**
 * Planned tasks that wait for this one. Left out where the dates already contradict the lag (a fact ran late),
 * so that a relation in the feed is never broken by the dates beside it.
 */
function followersOf(
  operation: Operation,
  subject: Dated,
  others: readonly Dated[],
): CalendarEntry['followedBy'] {
  const toDo = others.filter(isToDo);
  const rotation = rotationOf(operation, subject.block);
  const calendar = lagCalendarOf(subject.property);
  return toDo.flatMap((other) => {
    const lagDays = (other.step?.lags ?? [])
      .filter((lag) => predecessorsOf(other, lag, toDo, (one) => one.identity).includes(subject))
      .map((lag) => earliestAfter(lagRule(lag, rotation).least, subject.lastDay, calendar))
      .map((earliest) => daysBetween(subject.lastDay, earliest));
    const lagDaysLeast = Math.max(...lagDays);
    return lagDays.length > 0 && addDays(subject.lastDay, lagDaysLeast) <= other.startsOn
      ? [{ taskKey: other.identity.key, lagDaysLeast }]
      : [];
  });
}

/** Middle of the bounding boxes of the units, else the property's place. */
function placeOf(subject: Subject): CalendarEntry['place'] {
  const { property } = subject;
  const middles = subject.units.flatMap((unit) => (unit.boundary ? [middleOf(unit.boundary)] : []));
  const mean = (values: number[], otherwise: number) =>
    values.length === 0
      ? otherwise
      : Math.round((values.reduce((sum, value) => sum + value, 0) / values.length) * 1e6) / 1e6;
  return {
    latitude: mean(
      middles.map((middle) => middle.latitude),
      property.latitude,
    ),
    longitude: mean(
      middles.map((middle) => middle.longitude),
      property.longitude,
    ),
    words: `${placeWords(subject)}, ${property.name}`,
  };
}

function middleOf(boundary: Boundary): { latitude: number; longitude: number } {
  const depth = boundary.type === 'Polygon' ? 1 : 2;
  const positions = (boundary.coordinates as unknown[]).flat(depth) as number[][];
  const middle = (values: number[]) =>
    (values.reduce((a, b) => Math.min(a, b)) + values.reduce((a, b) => Math.max(a, b))) / 2;
  return {
    latitude: middle(positions.map((position) => position[1]!)),
    longitude: middle(positions.map((position) => position[0]!)),
  };
}

function pathOf(subject: Subject): string {
  const { stepKey, cycle, part } = subject.identity;
  const anchor = slug([stepKey, cycle, part === '-' ? '' : part].join(' '));
  const unit = subject.units[0];
  return unit ? `/units/${unit.id}#task-${anchor}` : '/units';
}

const monthNames = 'Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec'.split(' ');

function dayAndMonth(date: IsoDate): string {
  return `${Number(date.slice(8, 10))} ${monthNames[monthOf(date) - 1]}`;
}

/** "4 Mar 2027". */
export function dayWords(date: IsoDate): string {
  return `${dayAndMonth(date)} ${yearOf(date)}`;
}

/** "4 Mar 2027", "4 to 9 Mar 2027", "28 Mar to 3 Apr 2027" or with both years. */
export function spanWords(startsOn: IsoDate, lastDay: IsoDate): string {
  if (startsOn === lastDay) return dayWords(startsOn);
  if (yearOf(startsOn) !== yearOf(lastDay)) return `${dayWords(startsOn)} to ${dayWords(lastDay)}`;
  const first =
    monthOf(startsOn) === monthOf(lastDay) ? Number(startsOn.slice(8, 10)) : dayAndMonth(startsOn);
  return `${first} to ${dayWords(lastDay)}`;
}

function factDay(standing: Standing, withYear: boolean): string {
  const { doneOn, precision } = standing;
  if (precision === 'year') return `in ${yearOf(doneOn)}`;
  if (precision === 'month') return `in ${monthNames[monthOf(doneOn) - 1]} ${yearOf(doneOn)}`;
  return withYear ? dayWords(doneOn) : dayAndMonth(doneOn);
}

function counted(count: number, noun: string): string {
  return `${count} ${noun}${count === 1 ? '' : 's'}`;
}

export function sentence(text: string): string {
  const trimmed = text.trim();
  return /[.!?]$/.test(trimmed) ? trimmed : `${trimmed}.`;
}

/** Lower-case ASCII letters, digits and single hyphens, at most 48 characters. */
export function slug(text: string): string {
  return text
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 48)
    .replace(/^-+|-+$/g, '');
}
