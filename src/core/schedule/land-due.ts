import { fromDay, type IsoDate } from '../dates.ts';
import type { LandProblem } from './land-model.ts';
import { edgesInto } from './model-edges.ts';

/** Due day of a task: from its forerunner's dates in this plan, else from facts. */
export function dueOf(
  problem: LandProblem,
  choice: readonly number[],
  task: number,
): IsoDate | null {
  for (const edge of edgesInto(problem.model.edges, task)) {
    if (!edge.soft) continue;
    const due = edge.soft.dueAt[choice[edge.pred] ?? -1];
    if (due !== undefined) return due > 900_000 ? null : fromDay(due);
  }
  return problem.dueOn[task] ?? null;
}
