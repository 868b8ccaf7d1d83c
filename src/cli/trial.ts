import { checkPlan } from '../core/check/plan.ts';
import type { Operation } from '../core/operation.ts';
import type { Problem } from '../core/problems.ts';
import type { PlannedTask } from '../core/tasks.ts';
import type { OperationFile } from './operation-file.ts';

/** What a change would do to the plan in force. */
export interface Trial<T> {
  value: T;
  /** Rules that planned tasks would break and do not break now. */
  breaks: Problem[];
  /** Planned tasks whose unit or block would be gone. */
  vanishing: PlannedTask[];
}

class Undone extends Error {}

/** Problems by rule and task. Their sentences name units and dates, which a change may only rename. */
function countOf(problems: readonly Problem[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const { code, ref } of problems) {
    const key = `${code} ${ref}`;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  return counts;
}

/** Problems of rules that a task breaks more often than before. */
function newOf(problems: readonly Problem[], known: ReadonlyMap<string, number>): Problem[] {
  const now = countOf(problems);
  const isNew = ({ code, ref }: Problem) => {
    const key = `${code} ${ref}`;
    return (now.get(key) ?? 0) > (known.get(key) ?? 0);
  };
  return problems.filter(isNew);
}

/** A task is of its unit in its block: a unit that moved to another block starts new ones. */
function isGone(operation: Operation, task: PlannedTask): boolean {
  return !operation.units.some(
    (unit) => unit.blockId === task.blockId && (task.unitId === null || unit.id === task.unitId),
  );
}

/**
 * Does a change, lets the independent checker go over the plan in force, and takes the change back. The snapshot
 * that pages hold is not touched.
 */
export function tryChange<T>(file: OperationFile, change: () => T): Trial<T> {
  const { store, library } = file;
  const plan = store.plans.inForce()?.content ?? null;
  const answered = new Set(
    file
      .operation()
      .entries.filter((entry) => entry.outcome === 'done')
      .map((entry) => entry.taskKey),
  );
  const known = countOf(plan ? checkPlan(store.operation(library), plan) : []);
  let trial: Trial<T> | null = null;
  try {
    store.inOneTransaction(() => {
      const value = change();
      const after = store.operation(library);
      // What the work log answered is past breaking, and past going.
      const vanishing = (plan?.tasks ?? []).filter(
        (task) => !answered.has(task.key) && isGone(after, task),
      );
      const gone = new Set(vanishing.map((task) => task.key));
      const isOpen = ({ ref }: Problem) => !gone.has(ref ?? '') && !answered.has(ref ?? '');
      const breaks = plan ? newOf(checkPlan(after, plan), known).filter(isOpen) : [];
      trial = { value, breaks, vanishing };
      throw new Undone();
    });
  } catch (error) {
    if (!(error instanceof Undone)) throw error;
  }
  // Set before the throw that ends the transaction.
  return trial as unknown as Trial<T>;
}
