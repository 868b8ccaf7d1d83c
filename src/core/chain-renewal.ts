import type { Block } from './blocks.ts';
import { chosenTreatmentOf } from './burn-papers.ts';
import { type ChainStep, chainOf, sequenceOf, treatmentOf } from './chains.ts';
import { addDays, firstDayIn, type IsoDate } from './dates.ts';
import { earliestAfter, lagCalendarOf, lagRule, latestAfter } from './lags.ts';
import type { Operation } from './operation.ts';
import type { Property } from './properties.ts';
import { rotationOf } from './rotation.ts';
import { windowOpenings } from './seasons.ts';
import type { Lag, Sequence } from './sequences.ts';

const isOpen = ({ standing }: ChainStep) =>
  standing !== 'done' && standing !== 'skipped' && standing !== 'under-way';

/** `again`, `again2`, ...: a check or a line that is too old is done again as a part with a key of its own. */
function nextAgain({ part, openPart }: ChainStep): string {
  const base = part === '-' ? 'again' : `${part}-again`;
  if (!openPart.startsWith(base)) return base;
  return `${base}${(Number(openPart.slice(base.length)) || 1) + 1}`;
}

interface Unrolled {
  operation: Operation;
  block: Block;
  property: Property;
  sequence: Sequence;
  chain: readonly ChainStep[];
}

function forerunnersOf({ chain }: Unrolled, step: ChainStep, lag: Lag): ChainStep[] {
  const cycle = lag.cycle === 'same' ? step.cycle : step.cycle - 1;
  return chain.filter(
    (one) => one.stepKey === lag.afterStepKey && one.cycle === cycle && one.part === step.part,
  );
}

/** First day that the facts before a step allow it. */
function allowedFrom(at: Unrolled, step: ChainStep, lags: readonly Lag[], today: IsoDate): IsoDate {
  const { operation, block, property } = at;
  const rotation = rotationOf(operation, block);
  const calendar = lagCalendarOf(property);
  const isBurn = treatmentOf(operation, step.treatmentKeys[0] ?? '').family === 'burn';
  const held =
    isBurn && block.heldUntilYear !== null
      ? [firstDayIn(block.heldUntilYear, property.burningSeasonStart)]
      : [];
  const days = lags.flatMap((lag) =>
    forerunnersOf(at, step, lag).flatMap(({ standing, doneOn }) =>
      standing === 'done' && doneOn !== null
        ? [earliestAfter(lagRule(lag, rotation).least, doneOn, calendar)]
        : [],
    ),
  );
  return [today, ...held, ...days].reduce((last, day) => (day > last ? day : last));
}

/** True when a window of the step opens on some day from `from` to `until`, in any way that it may be done. */
function opensBetween(at: Unrolled, step: ChainStep, from: IsoDate, until: IsoDate): boolean {
  if (from > until) return false;
  const { operation, property } = at;
  const chosen = chosenTreatmentOf(operation, step);
  const span = { startsOn: from, endsBefore: addDays(until, 1) };
  return (chosen === null ? step.treatmentKeys : [chosen]).some((key) =>
    treatmentOf(operation, key).windows.some(
      (window) => windowOpenings(window, span, property.anchors).length > 0,
    ),
  );
}

/** Keys of done checks and lines that are too old for every opening that is left to the step that needs them. */
function tooOld(at: Unrolled, today: IsoDate): Set<string> {
  const { sequence, chain } = at;
  const keys = new Set<string>();
  const calendar = lagCalendarOf(at.property);
  for (const step of chain.filter(isOpen)) {
    const lags = sequence.steps.find((one) => one.key === step.stepKey)?.lags ?? [];
    for (const lag of lags) {
      if (lag.link !== 'both' || lag.kind !== 'fixed' || !lag.mostIsHard || !lag.most) continue;
      const from = allowedFrom(at, step, lags, today);
      for (const { key, standing, doneOn } of forerunnersOf(at, step, lag))
        if (standing === 'done' && doneOn !== null)
          if (!opensBetween(at, step, from, latestAfter(lag.most, doneOn, calendar))) keys.add(key);
    }
  }
  return keys;
}

/**
 * The chain of a block as it stands on a day: a check or a line that the step after it needs both ways, and that is too
 * old for every opening left to that step (a missed window, a year waited), is to be done again.
 */
export function chainOn(
  operation: Operation,
  block: Block,
  today: IsoDate,
  cyclesAhead?: number,
): ChainStep[] {
  const chain = chainOf(operation, block, cyclesAhead);
  const sequence = sequenceOf(operation, block);
  const property = operation.properties.find((one) => one.id === block.propertyId);
  if (!sequence || !property) return chain;
  const keys = tooOld({ operation, block, property, sequence, chain }, today);
  if (keys.size === 0) return chain;
  return chain.map((step) =>
    keys.has(step.key)
      ? { ...step, standing: 'to-do', doneOn: null, openPart: nextAgain(step) }
      : step,
  );
}
