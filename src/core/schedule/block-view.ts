import type { Operation } from '../operation.ts';
import type { LandJob } from './land-jobs.ts';
import { type LandProblem, landModel } from './land-model.ts';
import type { LandOption } from './land-options.ts';
import type { RowSubject } from './land-rows.ts';
import type { Model } from './model.ts';
import { prepare } from './prepared.ts';
import { createTreePlanner } from './tree-plan.ts';

/** What a placed task draws on one row. */
interface Draw {
  task: number;
  quantity: number;
}

/** A plan under question: the model it was made from, what is placed, and who draws on what. */
export interface Standing {
  operation: Operation;
  problem: LandProblem;
  choice: readonly number[];
  /** Names of all rows of the model. */
  rowNames: ReadonlySet<string>;
  /** Draws by name of the row. */
  draws: ReadonlyMap<string, readonly Draw[]>;
  /** Placings that do not work out by days, by key of their task. */
  barred: ReadonlyMap<string, ReadonlySet<string>>;
}

/** A placing by what it is, so that it is known again in another model. */
function markOf({ mode, shares, fromDay, toDay }: LandOption): string {
  const crews = mode.crews.map(({ id }) => id).join('+');
  return `${mode.treatment.key} ${crews} ${fromDay} ${toDay} ${shares[0]?.week}`;
}

/** `barred`: placings that do not work out by days, as "task option". */
export function standingOf(
  operation: Operation,
  problem: LandProblem,
  choice: readonly number[],
  barred: ReadonlySet<string>,
): Standing {
  const draws = new Map<string, Draw[]>();
  problem.model.tasks.forEach((model, task) => {
    const uses = model.options[choice[task] ?? -1]?.uses ?? [];
    for (let at = 0; at < uses.length; at += 2) {
      const name = problem.rows.names[uses[at]!]!;
      const list = draws.get(name) ?? [];
      list.push({ task, quantity: uses[at + 1]! });
      draws.set(name, list);
    }
  });
  const marks = new Map<string, Set<string>>();
  for (const text of barred) {
    const [task = -1, index = -1] = text.split(' ').map(Number);
    const key = problem.jobs[task]?.identity.key ?? '';
    const option = problem.options[task]?.[index];
    if (option) marks.set(key, (marks.get(key) ?? new Set()).add(markOf(option)));
  }
  const rowNames = new Set(problem.rows.names);
  return { operation, problem, choice, rowNames, draws, barred: marks };
}

/** Tasks of the tree that a task is planned with, itself among them. */
export function treeOf({ problem }: Standing, task: number): number[] {
  const group = problem.model.tasks[task]?.group;
  return problem.jobs.flatMap((_, at) => (problem.model.tasks[at]?.group === group ? [at] : []));
}

/** The model of one block alone, on the operation as it is or as it would be. */
export function viewOf({ problem }: Standing, operation: Operation, blockId: number): LandProblem {
  const blocks = operation.blocks.map((block) =>
    block.id === blockId ? block : { ...block, sequenceKey: null },
  );
  return landModel({ ...operation, blocks }, problem.horizon, problem.inForce);
}

/** A task put where it is not in the plan, as a job with its placing. */
export type Placed = readonly [LandJob, LandOption];

/** What is free of each row of a view once all tasks of the plan but `without`, and all of `also`, have drawn. */
export function freeIn(
  standing: Standing,
  { rows }: LandProblem,
  without: ReadonlySet<number>,
  also: readonly Placed[] = [],
): number[] {
  const free = [...rows.capacities];
  rows.names.forEach((name, row) => {
    for (const { task, quantity } of drawsOn(standing, rows, row, name))
      if (!without.has(task)) free[row]! -= quantity;
  });
  for (const [job, option] of also) {
    const uses = rows.usesOf(job, option);
    for (let at = 0; at < uses.length; at += 2)
      if (uses[at]! < free.length) free[uses[at]!]! -= uses[at + 1]!;
  }
  return free;
}

/** Who draws on a row of a view. A part of a week that only the view knows is looked up task by task. */
function drawsOn(
  { problem, choice, rowNames, draws }: Standing,
  rows: LandProblem['rows'],
  row: number,
  name: string,
): readonly Draw[] {
  const subject = rows.subjects[row];
  if (draws.has(name) || subject?.kind !== 'crew' || rowNames.has(name))
    return draws.get(name) ?? [];
  const week = `crew ${subject.crewId} ${subject.week}`;
  return (draws.get(week) ?? []).flatMap(({ task }) => {
    const option = problem.options[task]?.[choice[task] ?? -1];
    if (!option) return [];
    const uses = rows.usesOf(problem.jobs[task] as LandJob, option);
    for (let at = 0; at < uses.length; at += 2)
      if (uses[at] === row) return [{ task, quantity: uses[at + 1]! }];
    return [];
  });
}

/** Tasks of the plan that draw on a row of a view, but for `without`. */
export function holdersOf(
  standing: Standing,
  { rows }: LandProblem,
  row: number,
  without: ReadonlySet<number>,
): number[] {
  return drawsOn(standing, rows, row, rows.names[row] ?? '')
    .map(({ task }) => task)
    .filter((task) => !without.has(task));
}

/** The cheapest plan of a tree in a view. */
export interface Trial {
  view: LandProblem;
  /** Tasks of the tree, by their place in the view. */
  tasks: number[];
  /** Option by task of the view; tasks of other trees stay out. */
  choice: number[];
  /** Rows of which it takes more than is free, with the quantity that is lacking. */
  short: { row: number; quantity: number }[];
  /** First day of the asked task; null when it is not placed. */
  startDay: number | null;
}

/** Stands for "as much as one likes" of a row. */
const plenty = 100_000;
/** Outweighs all that a tree can cost. */
const outweighing = 1e9;

export interface TrialWish {
  /** Rows of which there shall be as much as one likes. */
  isFreed?: (subject: RowSubject, capacity: number, row: number) => boolean;
  /** The task is placed whatever it costs. */
  isForced?: boolean;
}

/** Tasks of a view that stand for a task of the plan: the same, or the pieces of its step when it is cut otherwise. */
function standsFor(view: LandProblem, key: string): number[] {
  const same = view.jobs.findIndex((job) => job.identity.key === key);
  if (same >= 0) return [same];
  const step = key.slice(0, key.lastIndexOf('/') + 1);
  return view.jobs.flatMap((job, at) => (job.identity.key.startsWith(step) ? [at] : []));
}

/** Plans the tree of a task anew, exactly, in what is free. Null when the view does not know the task. */
export function planTree(
  standing: Standing,
  view: LandProblem,
  free: readonly number[],
  key: string,
  { isFreed = () => false, isForced = false }: TrialWish = {},
): Trial | null {
  const own = standsFor(view, key);
  const group = view.model.tasks[own[0] ?? -1]?.group;
  if (group === undefined) return null;
  const freed = free.map((_, row) =>
    isFreed(view.rows.subjects[row] as RowSubject, view.rows.capacities[row] ?? 0, row),
  );
  const capacities = free.map((left, row) => Math.max(0, left) + (freed[row] ? plenty : 0));
  // Of two ways to take what is short, the one that takes less: a tenth of a point for a tenth of a day.
  const prices = Float64Array.from(free, (left, row) =>
    freed[row] ? 1 - Math.max(0, left) / Math.max(1, view.rows.capacities[row] ?? 1) : 0,
  );
  const model = treeModel(standing, view, group, capacities, isForced ? own : []);
  const prepared = prepare(model);
  const planned = new Int32Array(model.tasks.length).fill(-1);
  createTreePlanner(prepared).plan(group, prepared.free, prices, planned);
  const choice = Array.from(planned, (option) =>
    option < 0 ? -1 : (prepared.original[option] ?? -1),
  );
  const starts = own.map((task) => model.tasks[task]?.options[choice[task] ?? -1]?.from ?? null);
  return {
    view,
    tasks: model.tasks.flatMap((task, at) => (task.group === group ? [at] : [])),
    choice,
    short: shortOf(model, choice, free),
    startDay: starts.reduce<number | null>(
      (first, day) => (first === null || day === null ? null : Math.min(first, day)),
      Number.POSITIVE_INFINITY,
    ),
  };
}

/** The model of a view with one tree only, without placings that do not work out by days. Option numbers stay. */
function treeModel(
  { barred }: Standing,
  view: LandProblem,
  group: number,
  capacities: number[],
  forced: readonly number[],
): Model {
  const impossible = capacities.length;
  return {
    ...view.model,
    capacities: [...capacities, 0],
    tasks: view.model.tasks.map((task, at) => {
      if (task.group !== group) return { ...task, options: [], pinned: -1 };
      const marks = barred.get(view.jobs[at]?.identity.key ?? '');
      const dropCost = task.dropCost + (forced.includes(at) ? outweighing : 0);
      if (!marks) return { ...task, dropCost };
      const options = task.options.map((option, index) =>
        marks.has(markOf(view.options[at]?.[index] as LandOption))
          ? { ...option, uses: [impossible, 1] }
          : option,
      );
      return { ...task, dropCost, options };
    }),
    edges: view.model.edges.filter(({ succ }) => view.model.tasks[succ]?.group === group),
  };
}

function shortOf(model: Model, choice: readonly number[], free: readonly number[]) {
  const left = new Map<number, number>();
  model.tasks.forEach((task, at) => {
    const uses = task.options[choice[at] ?? -1]?.uses ?? [];
    for (let i = 0; i < uses.length; i += 2) {
      const row = uses[i]!;
      left.set(row, (left.get(row) ?? Math.max(0, free[row]!)) - uses[i + 1]!);
    }
  });
  return [...left]
    .filter(([, quantity]) => quantity < 0)
    .map(([row, quantity]) => ({ row, quantity: -quantity }));
}

/** The placings of a trial. */
export function placedIn({ view, choice }: Trial): Placed[] {
  return view.jobs.flatMap((job, at): Placed[] => {
    const option = view.options[at]?.[choice[at] ?? -1];
    return option ? [[job, option]] : [];
  });
}
