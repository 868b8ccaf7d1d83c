import type { DateRange } from '../core/dates.ts';
import type { Operation } from '../core/operation.ts';
import type { PlanContent } from '../core/plans.ts';
import type { Problem } from '../core/problems.ts';
import { type PlanningProgress, type PlanRun, startPlanRun } from '../solver/planning.ts';
import type { SearchLimits } from '../solver/run.ts';
import { programVersion } from './version.ts';

/** Why there is nothing to plan yet; empty = the search can start. */
export function nothingToPlan(operation: Operation): Problem[] {
  if (operation.properties.length === 0)
    return [
      { code: 'no-property', message: 'There is no property yet: add one, or load the sample.' },
    ];
  if (operation.units.length === 0)
    return [{ code: 'no-units', message: 'There are no units yet: import them under Land.' }];
  const known = new Set(operation.sequences.map((sequence) => sequence.key));
  if (!operation.blocks.some((block) => block.sequenceKey !== null && known.has(block.sequenceKey)))
    return [
      {
        code: 'no-sequences',
        message: 'No unit has a sequence of work yet: give one to each unit on its page.',
      },
    ];
  return [];
}

/** Searches for a plan in a process of its own, which turns it into days and has it checked by independent code. */
export function startPlanning(
  operation: Operation,
  horizon: DateRange,
  inForce: PlanContent | null,
  limits: SearchLimits,
  onProgress: (progress: PlanningProgress) => void = () => {},
): PlanRun {
  const problems = nothingToPlan(operation);
  if (problems.length > 0)
    return {
      result: Promise.resolve({ ok: false, problems }),
      stop: () => {},
      processId: undefined,
    };
  const order = { operation, horizon, inForce, limits, version: programVersion };
  return startPlanRun(order, onProgress);
}
