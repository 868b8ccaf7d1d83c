import type { Operation } from '../core/operation.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type {
  ChangeAnswer,
  LandRows,
  LibraryNoun,
  LibraryRows,
  Noun,
  RecordRows,
  RowId,
} from '../core/records.ts';
import { isLandSpanKey } from '../core/season/land-spans.ts';
import type { PlannedTask } from '../core/tasks.ts';
import { ownRowProblems } from '../reference/own-rows.ts';
import { isLibraryNoun, libraryKinds } from '../storage/record-store.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { tryChange } from './trial.ts';

/** A planned task whose land would be gone, in words. */
export function leavesPlan(operation: Operation, task: PlannedTask): Problem {
  const unit = operation.units.find(({ id }) => id === task.unitId);
  const block = operation.blocks.find(({ id }) => id === task.blockId);
  const place = unit?.code ?? block?.code ?? 'land out of use';
  const message = `${task.name} on ${place}, planned from ${task.startsOn} to ${task.lastDay}, would leave the plan.`;
  return { code: 'task-leaves', ref: task.key, message };
}

/**
 * Makes a change and publishes. Unless `isSure`, it is tried first: a change that breaks planned tasks of the plan in
 * force, or takes their land out of use, is not made but answered with them.
 */
export function changeAnswer(
  file: OperationFile,
  isSure: boolean,
  change: () => Outcome<RowId>,
): ChangeAnswer {
  if (!isSure) {
    const operation = file.operation();
    const { value, breaks, vanishing } = tryChange(file, change);
    const problems = [...vanishing.map((task) => leavesPlan(operation, task)), ...breaks];
    if (value.ok && problems.length > 0) return { kind: 'breaks', problems };
  }
  const outcome = change();
  if (!outcome.ok) return { kind: 'refused', problems: outcome.problems };
  file.publish();
  return { kind: 'saved', id: outcome.value };
}

function noWorkProblems(file: OperationFile, row: RecordRows['noWork']): Problem[] {
  const problems: Problem[] = [];
  const { properties } = file.operation();
  if (row.propertyId !== null && !properties.some(({ id }) => id === row.propertyId)) {
    const message = 'Property: pick one from the list, or leave it blank.';
    problems.push({ code: 'noWork-propertyId', field: 'propertyId', message });
  }
  if (isLandSpanKey(row.key)) {
    const message = `Key: ${row.key} is made from a row of that kind; change that row, or give another key.`;
    problems.push({ code: 'noWork-key', field: 'key', message });
  }
  return problems;
}

function saveLibrary<N extends LibraryNoun>(
  file: OperationFile,
  noun: N,
  row: LibraryRows[N],
  isNew: boolean,
): Outcome<RowId> {
  const { store, library } = file;
  const source = row.source.trim() === '' ? 'Our own judgement, entered here.' : row.source;
  const whole = { ...row, source };
  const problems = [
    ...(noun === 'noWork' ? noWorkProblems(file, whole as unknown as RecordRows['noWork']) : []),
    ...ownRowProblems(store.libraryWithOwnRows(library), noun, whole),
  ];
  if (problems.length > 0) return { ok: false, problems };
  return store.records.saveLibraryRow(noun, whole, isNew, library);
}

function save(file: OperationFile, noun: Noun, row: RecordRows[Noun], isNew: boolean) {
  if (isLibraryNoun(noun)) return saveLibrary(file, noun, row as LibraryRows[typeof noun], isNew);
  const isNoWorkKey = (key: string) => file.operation().noWork.some((span) => span.key === key);
  return file.store.records.saveRow(
    noun,
    row as LandRows[typeof noun],
    isNew,
    file.library,
    isNoWorkKey,
  );
}

/** Drops the user's row in place of a published one; a row of the user's own has nothing to go back to. */
function backToDefault(file: OperationFile, noun: LibraryNoun, key: string): Outcome<RowId> {
  const { store, library } = file;
  const kind = libraryKinds[noun];
  const rows: { key: string }[] = library[kind];
  if (!rows.some((row) => row.key === key)) {
    const message = 'This row is your own, not a published one: take it out of use instead.';
    return { ok: false, problems: [{ code: 'row-not-published', ref: key, message }] };
  }
  store.removeOverride(kind, key);
  return { ok: true, value: key };
}

/** Rows of the land and of the reference tables as pages change them. */
export function webRecords(file: OperationFile): Deps['records'] {
  const { store, library } = file;
  return {
    save: (noun, row, isNew, isSure) =>
      changeAnswer(file, isSure, () => save(file, noun, row, isNew)),
    retire: (noun, id, isSure) =>
      changeAnswer(file, isSure, () => store.records.retire(noun, id, library)),
    bringBack: (noun, id) => {
      const problems = store.records.bringBack(noun, id, library);
      if (problems.length === 0) file.publish();
      return problems;
    },
    retired: () => store.records.retired(library),
    published: (noun, key) => {
      const rows: { key: string }[] = library[libraryKinds[noun]];
      const row = rows.find((one) => one.key === key) ?? null;
      return row as RecordRows[typeof noun] | null;
    },
    backToDefault: (noun, key, isSure) =>
      changeAnswer(file, isSure, () => backToDefault(file, noun, key)),
  };
}
