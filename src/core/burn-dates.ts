import type { Block } from './blocks.ts';
import { type ChainStep, sequenceOf, treatmentOf, unitsOf } from './chains.ts';
import { addYears, type DateRange, type IsoDate, intersect } from './dates.ts';
import { earliestAfter, lagCalendarOf, lagRule } from './lags.ts';
import type { Operation } from './operation.ts';
import { rotationOf } from './rotation.ts';
import { openRanges } from './season/no-work.ts';

/** Years ahead in which an opening is looked for. */
const yearsAhead = 6;

/**
 * First day that the lags of a step allow, by the steps before it that are done; steps before it that are still to be
 * done are left out, and say so by `waitsFor`. Null = nothing holds it back.
 */
export function earliestOf(
  operation: Operation,
  block: Block,
  chain: readonly ChainStep[],
  step: ChainStep,
): { earliest: IsoDate | null; waitsFor: ChainStep[] } {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const lags = sequenceOf(operation, block)?.steps.find((one) => one.key === step.stepKey)?.lags;
  if (!property || !lags) return { earliest: null, waitsFor: [] };
  const calendar = lagCalendarOf(property);
  const rotation = rotationOf(operation, block);
  let earliest: IsoDate | null = null;
  const waitsFor: ChainStep[] = [];
  for (const lag of lags) {
    const cycle = lag.cycle === 'same' ? step.cycle : step.cycle - 1;
    for (const before of chain) {
      if (before.stepKey !== lag.afterStepKey || before.cycle !== cycle) continue;
      if (before.part !== step.part && before.part !== '-') continue;
      if (before.standing === 'done' && before.doneOn !== null) {
        const day = earliestAfter(lagRule(lag, rotation).least, before.doneOn, calendar);
        if (earliest === null || day > earliest) earliest = day;
      } else if (before.standing !== 'skipped') waitsFor.push(before);
    }
  }
  return { earliest, waitsFor };
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
