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

const textOf = ({ code, ref, message }: Problem) => [code, ref, message].join(' ');

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
  const known = new Set(plan ? checkPlan(store.operation(library), plan).map(textOf) : []);
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
      const breaks = plan
        ? checkPlan(after, plan).filter((one) => !known.has(textOf(one)) && isOpen(one))
        : [];
      trial = { value, breaks, vanishing };
      throw new Undone();
    });
  } catch (error) {
    if (!(error instanceof Undone)) throw error;
  }
  // Set before the throw that ends the transaction.
  return trial as unknown as Trial<T>;
}
