import type { Operation } from '../../core/operation.ts';
import type { PlannedTask, TaskIdentity } from '../../core/tasks.ts';
import type { Caution } from '../../core/treatments.ts';
import type { ChipState } from '../words.ts';

/** Where a task is: "N4 Two Springs", or the block's name where it is of a whole block of several units. */
export interface PlaceWords {
  words: string;
  /** Page of the unit, or of the block's first unit. */
  path: string;
}

/** Looks places up once a page; a page may show hundreds of tasks. */
export function placeWords(operation: Operation): (task: TaskIdentity) => PlaceWords {
  const units = new Map(operation.units.map((unit) => [unit.id, unit]));
  const firstOfBlock = new Map(operation.units.toReversed().map((unit) => [unit.blockId, unit]));
  const blocks = new Map(operation.blocks.map((block) => [block.id, block]));
  const sizes = new Map<number, number>();
  for (const unit of operation.units) sizes.set(unit.blockId, (sizes.get(unit.blockId) ?? 0) + 1);
  return (task) => {
    const block = blocks.get(task.blockId);
    const unit = task.unitId === null ? firstOfBlock.get(task.blockId) : units.get(task.unitId);
    if (!unit)
      return { words: block ? `${block.code} ${block.name}` : 'land taken out', path: '/units' };
    const isWholeBlock = task.unitId === null && (sizes.get(task.blockId) ?? 0) > 1;
    const named = isWholeBlock && block ? block : unit;
    return { words: `${named.code} ${named.name}`, path: `/units/${unit.id}` };
  };
}

/** Where the work of a task is written into the log, with what is known of it filled in. */
export function logPath(task: {
  key: string;
  unitId: number | null;
  treatmentKey: string;
}): string {
  const query = new URLSearchParams({
    ...(task.unitId === null ? {} : { unit: String(task.unitId) }),
    task: task.key,
    treatment: task.treatmentKey,
  });
  return `/worklog/new?${query}`;
}

/** The printed page of a task. */
export function sheetPath(key: string): string {
  return `/sheets/${key.split('/').map(encodeURIComponent).join('/')}`;
}

/** Cautions of the treatments on a page, each once. */
export function cautionsFor(operation: Operation, treatmentKeys: Iterable<string>): Caution[] {
  const wanted = new Set(treatmentKeys);
  const keys = new Set(
    operation.treatments
      .filter((treatment) => wanted.has(treatment.key))
      .flatMap((treatment) => treatment.cautionKeys),
  );
  return operation.cautions.filter((caution) => keys.has(caution.key));
}

/** Work with dates in the plan in force is drawn solid; a burn, and what goes with its day, dashed until it is called. */
export function chipOfPlanned(task: PlannedTask): ChipState {
  return task.isWhenFit || task.tiedToKey !== null ? 'tentative' : 'confirmed';
}
