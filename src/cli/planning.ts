import { checkPlan } from '../core/check/plan.ts';
import type { DateRange } from '../core/dates.ts';
import type { Operation } from '../core/operation.ts';
import type { PlanContent } from '../core/plans.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import { costScale, landModel } from '../core/schedule/land-model.ts';
import { planContent } from '../core/schedule/plan.ts';
import { type SearchLimits, type SearchProgress, startSearch } from '../solver/run.ts';
import { programVersion } from './version.ts';

/** A search for a plan under way. */
export interface Planning {
  /** The checked plan, or what is wrong; nothing is saved here. */
  result: Promise<Outcome<PlanContent>>;
  /** Ends the search with the best plan so far. */
  stop(): void;
}

/** Best cost in points and tasks left out so far. */
export interface PlanningProgress {
  seconds: number;
  cost: number | null;
  leftOutCount: number | null;
}

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

/** Searches for a plan in a child process, turns it into days and has it checked by independent code. */
export function startPlanning(
  operation: Operation,
  horizon: DateRange,
  inForce: PlanContent | null,
  limits: SearchLimits,
  onProgress: (progress: PlanningProgress) => void = () => {},
): Planning {
  const problems = nothingToPlan(operation);
  if (problems.length > 0)
    return { result: Promise.resolve({ ok: false, problems }), stop: () => {} };
  const problem = landModel(operation, horizon, inForce);
  const report = ({ seconds, cost, leftOut }: SearchProgress) =>
    onProgress({ seconds, cost: cost / costScale, leftOutCount: leftOut });
  const search = startSearch(problem.model, limits, report);
  const result = search.result.then((found): Outcome<PlanContent> => {
    const run = {
      seed: limits.seed,
      iterations: 'iterations' in limits ? limits.iterations : null,
      seconds: found.seconds,
      version: programVersion,
    };
    const bound = found.bound === null ? null : found.bound / costScale;
    const content = { ...planContent(operation, problem, found.solution.choice, run), bound };
    const wrong = checkPlan(operation, content);
    return wrong.length > 0 ? { ok: false, problems: wrong } : { ok: true, value: content };
  });
  return { result, stop: search.stop };
}
