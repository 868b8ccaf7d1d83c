import type { Block } from './blocks.ts';
import { chosenTreatmentOf } from './burn-papers.ts';
import { type ChainStep, sequenceOf, treatmentOf, unitsOf } from './chains.ts';
import {
  addDays,
  addYears,
  type DateRange,
  firstDayIn,
  type IsoDate,
  intersect,
  lastDayOf,
} from './dates.ts';
import { earliestAfter, lagCalendarOf, lagRule } from './lags.ts';
import type { Operation } from './operation.ts';
import { treatmentOn } from './own-rates.ts';
import type { Property } from './properties.ts';
import { workNeed } from './rates.ts';
import { lastFireThatCounts, rotationOf } from './rotation.ts';
import { lineFeetOf } from './schedule/land-jobs.ts';
import { crewSets } from './schedule/land-options.ts';
import { openRanges } from './season/no-work.ts';
import type { Lag } from './sequences.ts';
import type { Treatment } from './treatments.ts';

/** Years ahead in which an opening is looked for. */
const yearsAhead = 6;

/** When a step could be done if nothing else stood in the way: no plan, no crew that is busy, no other block. */
export interface Projected {
  treatmentKey: string;
  /** First day that windows, no-work dates and lags leave open, and the last day of that stretch. */
  startsOn: IsoDate;
  lastDay: IsoDate;
  /** Last day of the work when it starts on the first one. */
  endsOn: IsoDate;
  /** By the crew that could do it, in tenths; 0 where none can. */
  crewDaysTenths: number;
}

/** Crew days of a step by its rate, in tenths, and the calendar days that they take; zero where no crew can do it. */
export function workOf(
  operation: Operation,
  block: Block,
  treatment: Treatment,
  areaAcres: number,
): { tenths: number; calendarDays: number; costUsd: number } {
  const people = Math.max(
    treatment.peopleLeast,
    treatment.family === 'burn' ? block.burnPeopleLeast : 0,
  );
  const crew = crewSets(operation, treatment, people)[0]?.[0];
  if (!crew) return { tenths: 0, calendarDays: 1, costUsd: 0 };
  const [unit] = unitsOf(operation, block);
  const size = {
    areaAcres,
    lineFeet: treatment.rate.basis === 'line-foot' ? lineFeetOf(operation, block) : 0,
    densityClass: unit?.densityClass ?? null,
    crewPeople: crew.peopleCount,
  };
  const need = () => workNeed(treatmentOn(operation, treatment, unit), size);
  const tenths = treatment.family === 'burn' ? 10 : Math.max(5, need());
  const daysPerWeek = treatment.duration === 'spread' ? crew.spreadDaysPerWeek : 5;
  const calendarDays = Math.max(1, Math.ceil((tenths / 10) * (7 / daysPerWeek)));
  return { tenths, calendarDays, costUsd: (tenths / 10) * crew.costPerDayUsd };
}

interface Unrolled {
  operation: Operation;
  block: Block;
  property: Property;
  chain: readonly ChainStep[];
  today: IsoDate;
}

/** The last day that a lag counts from; null = the step before can not be placed; undefined = nothing to count from. */
function endBefore(at: Unrolled, step: ChainStep, lag: Lag): IsoDate | null | undefined {
  const { operation, block, chain } = at;
  const cycle = lag.cycle === 'same' ? step.cycle : step.cycle - 1;
  const before = chain.filter(
    (one) =>
      one.stepKey === lag.afterStepKey &&
      one.cycle === cycle &&
      (one.part === step.part || one.part === '-') &&
      one.standing !== 'skipped',
  );
  if (before.length === 0 && lag.cycle === 'previous') {
    const days = unitsOf(operation, block).map(
      (unit) => lastFireThatCounts(operation, unit, at.today)?.doneOn,
    );
    const last = days.filter((day) => day !== undefined).sort();
    return treatmentOf(operation, step.treatmentKeys[0] ?? '').family === 'burn'
      ? last.at(-1)
      : undefined;
  }
  const ends = before.map((one) =>
    one.standing === 'done' ? one.doneOn : (projected(at, one)?.endsOn ?? null),
  );
  if (ends.includes(null)) return null;
  return ends
    .filter((day) => day !== null)
    .sort()
    .at(-1);
}

function projected(at: Unrolled, step: ChainStep): Projected | null {
  const { operation, block, property } = at;
  const lags = sequenceOf(operation, block)?.steps.find((one) => one.key === step.stepKey)?.lags;
  const calendar = lagCalendarOf(property);
  const rotation = rotationOf(operation, block);
  const treatmentKey = chosenTreatmentOf(operation, step) ?? step.treatmentKeys[0] ?? '';
  const treatment = treatmentOf(operation, treatmentKey);
  let from = at.today;
  for (const lag of lags ?? []) {
    const end = endBefore(at, step, lag);
    if (end === null) return null;
    const earliest = end && earliestAfter(lagRule(lag, rotation).least, end, calendar);
    if (earliest && earliest > from) from = earliest;
  }
  if (treatment.family === 'burn' && block.heldUntilYear !== null) {
    const held = firstDayIn(block.heldUntilYear, property.burningSeasonStart);
    if (held > from) from = held;
  }
  const open = nextOpening(operation, block, treatmentKey, from);
  if (!open) return null;
  const work = workOf(operation, block, treatment, step.areaAcres);
  const endsOn = addDays(open.startsOn, work.calendarDays - 1);
  return {
    treatmentKey,
    startsOn: open.startsOn,
    lastDay: lastDayOf(open),
    endsOn: treatment.family === 'burn' ? open.startsOn : endsOn,
    crewDaysTenths: work.tenths,
  };
}

/**
 * When a step of a chain could be done at the soonest: every step before it that is open is unrolled the same way, by
 * windows, no-work dates, lags and rates. Null = no opening within six years. A plan may put it later: crews,
 * fit days, neighbors and share limits are not looked at.
 */
export function projectStep(
  operation: Operation,
  block: Block,
  chain: readonly ChainStep[],
  step: ChainStep,
  today: IsoDate,
): Projected | null {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  return property ? projected({ operation, block, property, chain, today }, step) : null;
}

/**
 * The next open stretch of a treatment on a block on or after `from`, at most six years ahead: a window of it, less the
 * no-work dates of all its units. It starts no sooner than `from`. Null = none opens.
 */
export function nextOpening(
  operation: Operation,
  block: Block,
  treatmentKey: string,
  from: IsoDate,
): DateRange | null {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const units = unitsOf(operation, block);
  if (!property || units.length === 0) return null;
  const treatment = treatmentOf(operation, treatmentKey);
  const range = { startsOn: from, endsBefore: addYears(from, yearsAhead) };
  const [first = [], ...others] = units.map(
    (unit) => openRanges(treatment, unit, property, operation, range).open,
  );
  const common = others.reduce<DateRange[]>(
    (left, ranges) => left.flatMap((one) => ranges.flatMap((two) => intersect(one, two) ?? [])),
    first,
  );
  const [next = null] = common.toSorted((a, b) => (a.startsOn < b.startsOn ? -1 : 1));
  return next;
}
