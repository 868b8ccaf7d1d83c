import type { Block } from './blocks.ts';
import { projectStep } from './burn-dates.ts';
import {
  type BurnPaper,
  burnInHand,
  type CallPaper,
  openFires,
  papersOfBurn,
  type StepPaper,
  standingCall,
} from './burn-papers.ts';
import type { BurnStepRule, StepLead } from './burn-steps.ts';
import { chainOn } from './chain-renewal.ts';
import { type ChainStep, chainOf, isTaskOfStep, unitsOf } from './chains.ts';
import type { CostShareContract } from './contracts.ts';
import {
  addDays,
  addMonths,
  daysBetween,
  firstDayIn,
  type IsoDate,
  lastDayIn,
  yearOf,
} from './dates.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import { dayWords, spanWords } from './publication.ts';
import { itemsOnFile, type ReadinessKey } from './readiness-items.ts';
import type { Source } from './sources.ts';
import type { PlannedTask } from './tasks.ts';

/**
 * `waits`: its day hangs on a day that is not called (or not planned) yet; `open`: not yet its time; `due`: now;
 * `late`: its last day passed, or what was done does not count.
 */
export type BurnStepState = 'done' | 'not-needed' | 'waits' | 'open' | 'due' | 'late';

/** A step before (or after) a burn of a block, with its days and whether it is done. */
export interface BurnStep extends Source {
  key: string;
  name: string;
  note: string;
  /** Whom to tell or ask; empty = nobody. */
  askWhom: string;
  /** A condition that the user has to answer; empty = it always holds. */
  onlyIf: string;
  countedFrom: BurnStepRule['countedFrom'];
  /** "6 to 3 months before the start of the burn's span". */
  leadWords: string;
  /** First and last day on which it is in time; null while there is no day to count from. */
  opensOn: IsoDate | null;
  dueBy: IsoDate | null;
  /** The two days in words, or the lead where there is no day yet. */
  dueWords: string;
  state: BurnStepState;
  /** Who did it and when; `paperId` null = answered by what is on file. */
  done: {
    paperId: number | null;
    on: IsoDate | null;
    at: string | null;
    by: string;
    toWhom: string;
    note: string;
  } | null;
  /** Why what was done does not count; else empty. */
  problem: string;
  isAfterFire: boolean;
  /** Item of the readiness that lacks it while it is late or its day has come; null = a reminder. */
  readiness: ReadinessKey | null;
  asOf: string;
}

/** The days that steps are counted from. */
export interface BurnDays {
  burnKey: string | null;
  /** First and last day of the span in which the burn is planned, else of its next season; null = neither. */
  span: { startsOn: IsoDate; lastDay: IsoDate } | null;
  /** True: from the plan in force. */
  isPlanned: boolean;
  /** The call that stands. */
  call: CallPaper | null;
  /** Day on which it was lit, while it is not signed out. */
  litOn: IsoDate | null;
}

/** The days of the burn that a block has in hand, as far as plan, calls and the work log tell them. */
export function knownDaysOf(
  operation: Operation,
  block: Block,
  plan: PlanContent | null,
  chain: readonly ChainStep[] = chainOf(operation, block),
): BurnDays {
  const step = burnInHand(operation, block, chain);
  const litOn = openFires(operation, block).at(-1)?.doneOn ?? null;
  const burnKey = step?.key ?? null;
  const call = standingCall(papersOfBurn(operation, block, burnKey));
  // A plan made after the day that was called plans the burn again.
  const isOver = call !== null && plan !== null && plan.madeOn > call.day && litOn === null;
  const isOwn = ({ family, blockId, key }: PlannedTask) =>
    family === 'burn' && blockId === block.id && step !== null && isTaskOfStep(key, step);
  const task = plan?.tasks.find(isOwn);
  return {
    burnKey,
    call: isOver ? null : call,
    litOn,
    span: task ? { startsOn: task.startsOn, lastDay: task.lastDay } : null,
    isPlanned: task !== undefined,
  };
}

/** The days of the burn that a block has in hand. Without a plan, or where it is left out: its next open season. */
export function burnDaysOf(
  operation: Operation,
  block: Block,
  today: IsoDate,
  plan: PlanContent | null = null,
): BurnDays {
  const chain = chainOn(operation, block, today);
  const days = knownDaysOf(operation, block, plan, chain);
  const step = burnInHand(operation, block, chain);
  if (!step || days.span) return days;
  const next = projectStep(operation, block, chain, step, today);
  return { ...days, span: next && { startsOn: next.startsOn, lastDay: next.lastDay } };
}

function backFrom(day: IsoDate, { months = 0, days = 0, hours = 0 }: StepLead): IsoDate {
  return addDays(addMonths(day, -months), -days - Math.floor(hours / 24));
}

const counted = (count: number, noun: string) => `${count} ${noun}${count === 1 ? '' : 's'}`;

function leadText({ months, days, hours }: StepLead): string {
  if (months) return counted(months, 'month');
  if (hours) return counted(hours, 'hour');
  return counted(days ?? 0, 'day');
}

const isZero = ({ months, days, hours }: StepLead) => !months && !days && !hours;

/** "6 to 3 months before the start of its span", "on the called day". */
export function leadWords(rule: BurnStepRule): string {
  const { opens, due, isAfterFire, countedFrom } = rule;
  if (isAfterFire) return 'when the burn is out';
  const from = countedFrom === 'span' ? 'the start of its span' : 'the called day';
  if (isZero(opens)) return `on ${from}`;
  const first = leadText(opens);
  if (isZero(due)) return `from ${first} before, to ${from}`;
  const last = leadText(due);
  if (first === last) return `${first} before ${from}`;
  const unit = last.slice(last.indexOf(' '));
  const isSameUnit = unit.replace(/s$/, '') === first.slice(first.indexOf(' ')).replace(/s$/, '');
  return `${isSameUnit ? first.slice(0, first.indexOf(' ')) : first} to ${last} before ${from}`;
}

/** True when the step is asked for on the property, for a burn on that day. */
function isAsked(rule: BurnStepRule, state: string, day: IsoDate | null): boolean {
  if (rule.states !== null && !rule.states.includes(state)) return false;
  if (rule.season === null || day === null) return true;
  const { opens, closes } = rule.season;
  const opensOn = firstDayIn(yearOf(day), opens);
  const closesOn = lastDayIn(yearOf(day), closes);
  return opens <= closes ? opensOn <= day && day <= closesOn : day >= opensOn || day <= closesOn;
}

const hourOf = (at: string) => Number(at.slice(0, 2)) + Number(at.slice(3, 5)) / 60;

/** Hours from what was done to the first fire, by local clocks: a night in which the clock is moved counts an hour off. */
function hoursAhead(paper: StepPaper, call: CallPaper): number | null {
  if (call.lightAt === null) return null;
  return daysBetween(paper.on, call.day) * 24 + hourOf(call.lightAt) - hourOf(paper.at);
}

/** Why a step as done does not count for the day; empty = it does. */
function notCounted(
  rule: BurnStepRule,
  paper: StepPaper,
  day: IsoDate | null,
  call: CallPaper | null,
  today: IsoDate,
): string {
  const asOf = day !== null && day > today ? day : today;
  const age = daysBetween(paper.on, rule.isAfterFire ? paper.on : asOf);
  if (age > rule.goodForDays)
    return `done ${counted(age, 'day')} before the burn, and good for ${rule.goodForDays}`;
  if (!rule.isHard || day === null) return '';
  const hours = call && rule.countedFrom === 'called-day' ? hoursAhead(paper, call) : null;
  const { opens, due } = rule;
  if (hours !== null && opens.hours && hours > opens.hours)
    return `done ${Math.round(hours)} hours ahead, too early: within ${opens.hours} hours is asked`;
  if (hours !== null && due.hours && hours < due.hours)
    return `done ${Math.round(hours)} hours ahead, too late: ${due.hours} hours are asked`;
  if (paper.on < backFrom(day, opens)) return `done too early: ${leadWords(rule)} is asked`;
  if (paper.on > backFrom(day, due)) return `done too late: ${leadWords(rule)} is asked`;
  return '';
}

interface StepContext {
  today: IsoDate;
  days: BurnDays;
  papers: readonly BurnPaper[];
  onFile: ReadonlySet<ReadinessKey>;
  /** Contracts that pay for this burn. */
  contracts: readonly CostShareContract[];
}

function doneOf(
  rule: BurnStepRule,
  { papers, onFile, days, contracts }: StepContext,
): BurnStep['done'] {
  const paper = papers.findLast((one) => one.kind === 'step' && one.stepKey === rule.key);
  if (paper?.kind === 'step') {
    const { id, on, at, by, toWhom, note } = paper;
    return { paperId: id, on, at, by, toWhom, note };
  }
  const { answeredBy } = rule;
  if (answeredBy === null) return null;
  const known = { planned: days.isPlanned, contract: contracts.every((one) => one.approvedOn) };
  const isAnswered =
    answeredBy === 'planned' || answeredBy === 'contract'
      ? known[answeredBy]
      : onFile.has(answeredBy);
  const by = answeredBy === 'planned' ? 'the plan in force' : 'what is on file';
  return isAnswered ? { paperId: null, on: null, at: null, by, toWhom: '', note: '' } : null;
}

function stepOf(rule: BurnStepRule, context: StepContext): BurnStep {
  const { today, days, papers } = context;
  const calledDay = days.litOn ?? days.call?.day ?? null;
  const spanDay = days.span?.startsOn ?? null;
  const before = rule.countedFrom === 'span' ? spanDay : calledDay;
  const day = rule.isAfterFire ? days.litOn : before;
  const opensOn = day && backFrom(day, rule.opens);
  const dueBy = day && backFrom(day, rule.due);
  const done = doneOf(rule, context);
  const paper = papers.find((one): one is StepPaper => one.id === done?.paperId);
  const problem = paper?.isNeeded ? notCounted(rule, paper, day, days.call, today) : '';
  const byDate = (): BurnStepState => {
    if (opensOn === null || dueBy === null) return 'waits';
    // What follows the fire has no last day: it is due from the fire on.
    if (rule.isAfterFire) return 'due';
    if (today > dueBy) return 'late';
    return today < opensOn ? 'open' : 'due';
  };
  const answered: BurnStepState = paper && !paper.isNeeded ? 'not-needed' : 'done';
  const isTooLate =
    problem !== '' && rule.isHard && paper !== undefined && dueBy !== null && paper.on > dueBy;
  return {
    key: rule.key,
    name: rule.name,
    note: rule.note,
    askWhom: rule.toWhom,
    onlyIf: rule.onlyIf,
    countedFrom: rule.countedFrom,
    leadWords: leadWords(rule),
    opensOn,
    dueBy: rule.isAfterFire ? null : dueBy,
    dueWords: dueWordsOf(rule, opensOn, dueBy),
    state: done && problem === '' ? answered : isTooLate ? 'late' : byDate(),
    done,
    problem,
    isAfterFire: rule.isAfterFire,
    readiness: rule.readiness,
    asOf: rule.asOf,
    status: rule.status,
    source: rule.source,
  };
}

function dueWordsOf(rule: BurnStepRule, opensOn: IsoDate | null, dueBy: IsoDate | null): string {
  if (opensOn === null || dueBy === null || rule.isAfterFire) return leadWords(rule);
  return opensOn === dueBy ? dayWords(dueBy) : spanWords(opensOn, dueBy);
}

/** Contracts with a practice that pays for fire on a unit of the block. */
function contractsOfBurn(operation: Operation, block: Block): CostShareContract[] {
  if (operation.contracts.length === 0) return [];
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  const isFire = (key: string) =>
    operation.treatments.some((one) => one.key === key && one.family === 'burn');
  return operation.contracts.filter(({ practices }) =>
    practices.some(
      ({ units, treatmentKeys }) =>
        treatmentKeys.some(isFire) && units.some(({ unitId }) => unitIds.has(unitId)),
    ),
  );
}

/**
 * Steps before the burn that a block has in hand, in the order of their table, each with its days and its state. Days
 * before the span are counted from the plan (`plan` null: from the next season that is open); those before the
 * called day have no date until the boss calls. Local law and the signed plan come first: this list is no law.
 */
export function burnSteps(
  operation: Operation,
  block: Block,
  today: IsoDate,
  plan: PlanContent | null = null,
): BurnStep[] {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  if (!property) return [];
  const days = burnDaysOf(operation, block, today, plan);
  const context: StepContext = {
    today,
    days,
    papers: papersOfBurn(operation, block, days.burnKey),
    contracts: contractsOfBurn(operation, block),
    onFile: new Set(
      itemsOnFile(operation, block, today)
        .filter((item) => item.isOnFile)
        .map((item) => item.key),
    ),
  };
  const burnDay = days.litOn ?? days.call?.day ?? days.span?.startsOn ?? null;
  return operation.burnSteps
    .filter((rule) => isAsked(rule, property.state, burnDay))
    .filter((rule) => rule.answeredBy !== 'contract' || context.contracts.length > 0)
    .map((rule) => stepOf(rule, context));
}

/** Steps that a burn lacks now: their last day passed or is today, and nothing that counts was done. */
export function stepsLacking(steps: readonly BurnStep[], today: IsoDate): BurnStep[] {
  return steps.filter(
    ({ state, dueBy, isAfterFire }) =>
      !isAfterFire && (state === 'late' || (state === 'due' && dueBy !== null && dueBy <= today)),
  );
}
