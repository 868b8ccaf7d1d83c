import type { Block } from './blocks.ts';
import { chainOf, unitsOf } from './chains.ts';
import { type Situation, situationOf } from './choices.ts';
import { addDays, type IsoDate } from './dates.ts';
import { type FollowUp, followUps } from './follow-ups.ts';
import type { Operation } from './operation.ts';
import { type BurnDays, type BurnStep, burnSteps, knownDaysOf } from './papers.ts';
import { type Watch, watchOf } from './patrol.ts';
import type { PlanContent } from './plans.ts';
import type { Property } from './properties.ts';

/** What the burn of a block asks for now. */
export interface BurnDue {
  block: Block;
  days: BurnDays;
  watch: Watch | null;
  /** Steps that are late, or whose last day comes near, the first one first. */
  steps: BurnStep[];
  /** Looks after the last fire that are due or late. */
  looks: FollowUp[];
  situation: Situation;
}

/** Days ahead that steps are shown for, and of the burn itself. Practice judgement, no source. */
const stepsAheadDays = 30;
const burnAheadDays = 120;

const byDay = (a: BurnStep, b: BurnStep) => ((a.dueBy ?? '') < (b.dueBy ?? '') ? -1 : 1);

/** Steps to take now for a burn that is called, or planned to start within four months. */
function stepsNow(
  operation: Operation,
  block: Block,
  days: BurnDays,
  today: IsoDate,
  plan: PlanContent | null,
): BurnStep[] {
  const { call, span, isPlanned, litOn } = days;
  const isNear = isPlanned && span !== null && span.startsOn <= addDays(today, burnAheadDays);
  if (!call && !isNear && litOn === null) return [];
  const until = addDays(today, stepsAheadDays);
  return burnSteps(operation, block, today, plan)
    .filter(({ isAfterFire }) => litOn === null || isAfterFire)
    .filter(
      ({ state, dueBy }) =>
        state === 'late' || (state === 'due' && (dueBy === null || dueBy <= until)),
    )
    .sort(byDay);
}

/** What burns ask for now, block by block; blocks whose burn asks for nothing are left out. */
export function burnsDue(
  operation: Operation,
  plan: PlanContent | null,
  todayAt: (property: Property) => IsoDate,
): BurnDue[] {
  return operation.blocks.flatMap((block): BurnDue[] => {
    const property = operation.properties.find((one) => one.id === block.propertyId);
    if (!property || unitsOf(operation, block).length === 0) return [];
    const today = todayAt(property);
    const chain = chainOf(operation, block);
    const days = knownDaysOf(operation, block, plan, chain);
    const steps = stepsNow(operation, block, days, today, plan);
    const looks = followUps(operation, block, today, chain).filter(
      ({ state }) => state === 'due' || state === 'late',
    );
    const watch = watchOf(operation, block);
    const situation = situationOf(operation, block, plan, today, chain);
    const isQuiet =
      steps.length + looks.length === 0 && watch === null && situation.kind === 'none';
    return isQuiet ? [] : [{ block, days, watch, steps, looks, situation }];
  });
}
