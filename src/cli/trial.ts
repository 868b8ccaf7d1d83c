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

function isGone(operation: Operation, task: PlannedTask): boolean {
  const isHere = (rows: readonly { id: number }[], id: number) => rows.some((row) => row.id === id);
  return task.unitId === null
    ? !operation.units.some((unit) => unit.blockId === task.blockId)
    : !isHere(operation.units, task.unitId);
}

/**
 * Does a change, lets the independent checker go over the plan in force, and takes the change back. The snapshot
 * that pages hold is not touched.
 */
export function tryChange<T>(file: OperationFile, change: () => T): Trial<T> {
  const { store, library } = file;
  const plan = store.plans.inForce()?.content ?? null;
  const known = new Set(plan ? checkPlan(store.operation(library), plan).map(textOf) : []);
  let trial: Trial<T> | null = null;
  try {
    store.inOneTransaction(() => {
      const value = change();
      const after = store.operation(library);
      const vanishing = (plan?.tasks ?? []).filter((task) => isGone(after, task));
      const keys = new Set(vanishing.map((task) => task.key));
      const breaks = plan
        ? checkPlan(after, plan).filter(
            (one) => !known.has(textOf(one)) && !keys.has(one.ref ?? ''),
          )
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
