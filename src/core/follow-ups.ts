import type { Block } from './blocks.ts';
import { type ChainStep, chainOf, sequenceOf, unitsOf } from './chains.ts';
import { addDays, type DateRange, type IsoDate, intersect, lastDayOf } from './dates.ts';
import { earliestAfter, lagCalendarOf, latestAfter } from './lags.ts';
import { entriesOfUnits } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { Property } from './properties.ts';
import { fires } from './rotation.ts';
import { windowOpenings } from './seasons.ts';
import type { Source } from './sources.ts';
import type { Visit } from './visits.ts';
import type { WorkEntry } from './worklog.ts';

/** A look after a fire, as a row of its table. Days count from the fire; the treatment's window says when in the year. */
export interface FollowUpRule extends Source {
  key: string;
  treatmentKey: string;
  afterDaysLeast: number;
  afterDaysMost: number;
  /** True: only where the block's sequence asks for it after this fire. */
  isOnlyInSequence: boolean;
}

/** A look that a fire asks for: due in a span of days, until somebody wrote that it was done. */
export interface FollowUp {
  key: string;
  name: string;
  treatmentKey: string;
  burnedOn: IsoDate;
  /** First and last day. */
  from: IsoDate;
  until: IsoDate;
  /** `missed`: so long past that it can not be made up for. */
  state: 'to-come' | 'due' | 'late' | 'missed' | 'done';
  doneOn: IsoDate | null;
}

/** Days after its last one in which a look can still be made up for: practice judgement, no source. */
const lateDays = 30;

/** Fires older than this ask for nothing more. */
const looksBackDays = 540;

/** Finding of a visit that answers a look, by treatment. */
function answersLook(treatmentKey: string, { finding }: Visit): boolean {
  if (treatmentKey === 'burn-evaluation-1')
    return finding.kind === 'evaluation' && finding.stage === 'first';
  if (treatmentKey === 'burn-evaluation-2')
    return finding.kind === 'evaluation' && finding.stage === 'second';
  if (treatmentKey === 'after-burn-photo') return finding.kind === 'photos';
  return treatmentKey === 'forage-clipping' && finding.kind === 'forage';
}

/** Day on which a look was done after the fire, in the work log or as a visit; null = not yet. */
function doneAfter(
  operation: Operation,
  unitIds: ReadonlySet<number>,
  treatmentKey: string,
  from: IsoDate,
): IsoDate | null {
  const logged = entriesOfUnits(operation.entries, unitIds)
    .filter(
      (entry) =>
        entry.treatmentKey === treatmentKey &&
        (entry.outcome === 'done' || entry.outcome === 'not-possible'),
    )
    .map((entry) => entry.doneOn);
  const seen = operation.visits
    .filter((visit) => unitIds.has(visit.unitId) && answersLook(treatmentKey, visit))
    .map((visit) => visit.seenOn);
  return [...logged, ...seen].filter((day) => day >= from).sort()[0] ?? null;
}

/** Days after the fire that the sequence of the block asks for, if it has the look after this very burn. */
function spanOfSequence(
  operation: Operation,
  block: Block,
  property: Property,
  chain: readonly ChainStep[],
  treatmentKey: string,
  burnedOn: IsoDate,
): DateRange | null {
  const burn = chain.find(
    ({ doneOn, treatmentKeys }) =>
      doneOn === burnedOn &&
      operation.treatments.find((one) => one.key === treatmentKeys[0])?.family === 'burn',
  );
  const look = chain.find(
    ({ cycle, treatmentKeys }) => cycle === burn?.cycle && treatmentKeys.includes(treatmentKey),
  );
  const step = sequenceOf(operation, block)?.steps.find((one) => one.key === look?.stepKey);
  const lag = step?.lags.find((one) => one.cycle === 'same' && one.afterStepKey === burn?.stepKey);
  if (!burn || !step || !lag?.most) return null;
  const calendar = lagCalendarOf(property);
  return {
    startsOn: earliestAfter(lag.least, burnedOn, calendar),
    endsBefore: addDays(latestAfter(lag.most, burnedOn, calendar), 1),
  };
}

/** The first part of the span that a window of the treatment leaves; the whole span where none opens in it. */
function inWindow(
  operation: Operation,
  property: Property,
  treatmentKey: string,
  span: DateRange,
): DateRange {
  const windows = operation.treatments.find((one) => one.key === treatmentKey)?.windows ?? [];
  const open = windows
    .flatMap((window) => windowOpenings(window, span, property.anchors))
    .flatMap((opening) => intersect(opening, span) ?? [])
    .sort((a, b) => (a.startsOn < b.startsOn ? -1 : 1));
  return open[0] ?? span;
}

/** The newest fire of the block of which the day is known, not later than today. */
export function newestFire(operation: Operation, block: Block, today: IsoDate): WorkEntry | null {
  const found = unitsOf(operation, block)
    .flatMap((unit) => fires(operation, unit))
    .filter(({ precision, doneOn }) => precision === 'day' && doneOn <= today)
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : 1));
  return found.at(-1) ?? null;
}

function stateOn(today: IsoDate, from: IsoDate, until: IsoDate): FollowUp['state'] {
  if (today < from) return 'to-come';
  if (today <= until) return 'due';
  return today <= addDays(until, lateDays) ? 'late' : 'missed';
}

/**
 * Looks that the newest fire on a block asks for, whoever lit it, in order of their first day: evaluations, scorched
 * cedar, photo and forage in their season. They come from the fact alone, before any plan is made.
 */
export function followUps(
  operation: Operation,
  block: Block,
  today: IsoDate,
  chain: readonly ChainStep[] = chainOf(operation, block),
): FollowUp[] {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  const fire = newestFire(operation, block, today);
  if (!property || !fire || addDays(fire.doneOn, looksBackDays) < today) return [];
  const burnedOn = fire.doneOn;
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  return operation.followUps
    .flatMap((rule): FollowUp[] => {
      const treatment = operation.treatments.find((one) => one.key === rule.treatmentKey);
      if (!treatment) return [];
      const { key } = treatment;
      const asked = spanOfSequence(operation, block, property, chain, key, burnedOn);
      if (!asked && rule.isOnlyInSequence) return [];
      const span = asked ?? {
        startsOn: addDays(burnedOn, rule.afterDaysLeast),
        endsBefore: addDays(burnedOn, rule.afterDaysMost + 1),
      };
      const range = inWindow(operation, property, key, span);
      const until = lastDayOf(range);
      const doneOn = doneAfter(operation, unitIds, key, burnedOn);
      const state = stateOn(today, range.startsOn, until);
      return [
        {
          key: `block:${block.id}/${rule.key}/${burnedOn}`,
          name: treatment.name,
          treatmentKey: key,
          burnedOn,
          from: range.startsOn,
          until,
          state: doneOn === null ? state : 'done',
          doneOn,
        },
      ];
    })
    .sort((a, b) => (a.from < b.from ? -1 : 1));
}
