import type { FileTask, ProblemAnswer, ProblemFile } from '../problem-file.ts';
import type { Outcome, Problem } from '../problems.ts';
import { burnRows } from './burn-rows.ts';
import { violations } from './evaluate.ts';
import { readProblemFile } from './file-reader.ts';
import type { Model, ModelEdge, ModelOption, ModelSolution } from './model.ts';
import { unplannableGroups } from './tree-plan.ts';

/** Later than any week: a lag without a most. */
const never = 1_000_000_000;
/** Cost of another mode than the published one; fixed by the file format. */
const modeChangeCost = 5;

/**
 * Reads the text of a neutral problem file. Problems name the JSON path and the fix; besides the shape they
 * cover rules that no plan could keep: a cycle in `prec`, a unit whose tasks do not form a tree, and pins
 * that break a hard rule among themselves.
 */
export function parseProblemFile(text: string): Outcome<ProblemFile> {
  const read = readProblemFile(text);
  if (!read.ok) return read;
  const graph = graphProblems(read.value);
  if (graph.length > 0) return { ok: false, problems: graph };
  const pins = pinProblems(read.value);
  return pins.length > 0 ? { ok: false, problems: pins } : read;
}

/**
 * The model of a problem file that `parseProblemFile` accepted. Option `s * modes + m` of a task is its
 * s-th allowed start in mode m. Rows: every resource each week, then the budgets, then the burning seasons
 * of neighbours.
 */
export function modelOf(file: ProblemFile): Model {
  const groups = groupsOf(file);
  const capacities = file.res.flatMap((resource) => resource.cap);
  const budgetsOf = budgetRows(file, capacities);
  const burns = burnRows(file, capacities.length);
  for (let row = 0; row < burns.rowCount; row++) capacities.push(1);
  const taskAt = new Map(file.tasks.map((task, index) => [task.id, index]));
  const tasks = file.tasks.map((task, index) => {
    const pin = file.pins[task.id];
    return {
      group: groups.ofTask[index]!,
      dropCost: task.U,
      pinned: pin ? task.starts.indexOf(pin.t) * task.modes.length + pin.m : -1,
      options: task.starts.flatMap((start) =>
        task.modes.map(
          (_, mode): ModelOption => ({
            from: start,
            to: start + task.dur - 1,
            cost: placedCost(file, task, start, mode),
            uses: usesOf(file, task, start, mode, budgetsOf).concat(
              (burns.rowsOf[index]?.[file.season[start]!] ?? []).flatMap((row) => [row, 1]),
            ),
          }),
        ),
      ),
    };
  });
  return {
    capacities,
    tasks,
    edges: edgesOf(file, taskAt),
    groupCount: groups.count,
    groupPlaces: groups.places,
  };
}

/** The answer in the words of the file. */
export function answerOf(
  file: ProblemFile,
  solution: ModelSolution,
  seconds: number,
): ProblemAnswer {
  const starts: Record<string, number> = {};
  const modes: Record<string, number> = {};
  file.tasks.forEach((task, index) => {
    const option = solution.choice[index]!;
    if (option < 0) return;
    starts[task.id] = task.starts[Math.floor(option / task.modes.length)]!;
    modes[task.id] = option % task.modes.length;
  });
  return { cost: solution.cost, bound: null, starts, modes, seconds };
}

function placedCost(file: ProblemFile, task: FileTask, start: number, mode: number): number {
  let cost = task.w * Math.max(0, start - task.due) + task.modes[mode]!.cost;
  const prev = file.prev[task.id];
  if (!prev) return cost;
  const weeks = Math.abs(start - prev.t);
  if (weeks > 0) cost += file.moveFix + file.moveW * Math.min(file.moveCap, weeks);
  if (mode !== prev.m && !file.pins[task.id]) cost += modeChangeCost;
  return cost;
}

/** Adds the budget rows to `capacities`; for resource and week the rows they draw on. */
function budgetRows(file: ProblemFile, capacities: number[]): Map<string, number[]> {
  const rows = new Map<string, number[]>();
  for (const budget of file.budgets) {
    const row = capacities.push(budget.cap) - 1;
    for (const week of new Set(budget.weeks)) {
      const key = `${budget.res} ${week}`;
      rows.set(key, [...(rows.get(key) ?? []), row]);
    }
  }
  return rows;
}

function usesOf(
  file: ProblemFile,
  task: FileTask,
  start: number,
  mode: number,
  budgetsOf: Map<string, number[]>,
): number[] {
  const total = new Map<number, number>();
  const add = (row: number, quantity: number) => total.set(row, (total.get(row) ?? 0) + quantity);
  for (const [resource, quantity] of task.modes[mode]!.use) {
    if (quantity === 0) continue;
    for (let week = start; week < start + task.dur; week++) {
      add(resource * file.T + week, quantity);
      for (const row of budgetsOf.get(`${resource} ${week}`) ?? []) add(row, quantity);
    }
  }
  return [...total].flat();
}

/** Units that `prec` ties together are planned together. */
function groupsOf(file: ProblemFile) {
  const parent = new Map(file.units.map((unit) => [unit.id, unit.id]));
  const rootOf = (unit: number): number => {
    let at = unit;
    while (parent.get(at) !== at) at = parent.get(at)!;
    return at;
  };
  const unitOf = new Map(file.tasks.map((task) => [task.id, task.unit]));
  for (const edge of file.prec) {
    parent.set(rootOf(unitOf.get(edge.i)!), rootOf(unitOf.get(edge.j)!));
  }
  const roots = file.units.filter((unit) => rootOf(unit.id) === unit.id);
  const indexOf = new Map(roots.map((unit, index) => [unit.id, index]));
  return {
    count: roots.length,
    places: roots.map((unit): [number, number] => [unit.gx, unit.gy]),
    ofTask: file.tasks.map((task) => indexOf.get(rootOf(task.unit))!),
  };
}

/** One edge a pair of tasks: several lines for one pair narrow each other. */
function edgesOf(file: ProblemFile, taskAt: Map<number, number>): ModelEdge[] {
  const edges = new Map<string, ModelEdge>();
  for (const line of file.prec) {
    const [pred, succ] = [taskAt.get(line.i)!, taskAt.get(line.j)!];
    const starts = file.tasks[pred]!.starts.flatMap((start) =>
      file.tasks[pred]!.modes.map(() => start),
    );
    const least = starts.map((start) => start + line.min);
    const most = starts.map((start) => (line.max === null ? never : start + line.max));
    const known = edges.get(`${pred} ${succ}`);
    edges.set(`${pred} ${succ}`, {
      pred,
      succ,
      isBoth: line.equiv || (known?.isBoth ?? false),
      fromLeast: least.map((from, at) => Math.max(from, known?.fromLeast[at] ?? from)),
      fromMost: most.map((from, at) => Math.min(from, known?.fromMost[at] ?? from)),
      soft: null,
    });
  }
  return [...edges.values()];
}

/** A cycle along `prec`, or tasks of one unit that are tied by more than one path. */
function graphProblems(file: ProblemFile): Problem[] {
  const followers = new Map<number, Set<number>>();
  for (const { i, j } of file.prec) followers.set(i, (followers.get(i) ?? new Set()).add(j));
  const state = new Map<number, 'open' | 'done'>();
  const closesCycle = (task: number): boolean => {
    if (state.has(task)) return state.get(task) === 'open';
    state.set(task, 'open');
    const found = [...(followers.get(task) ?? [])].some(closesCycle);
    state.set(task, 'done');
    return found;
  };
  for (const task of followers.keys()) {
    if (!closesCycle(task)) continue;
    const message = `The lines of "prec" form a cycle through task ${task}: each task would have to wait for itself. Take one of these lines out.`;
    return [{ code: 'prec-cycle', field: 'prec', ref: String(task), message }];
  }
  return forestProblems(followers);
}

function forestProblems(followers: Map<number, Set<number>>): Problem[] {
  const parent = new Map<number, number>();
  const rootOf = (task: number): number => {
    let at = task;
    while (parent.has(at)) at = parent.get(at)!;
    return at;
  };
  const problems: Problem[] = [];
  for (const [task, after] of followers) {
    for (const follower of after) {
      const [a, b] = [rootOf(task), rootOf(follower)];
      if (a !== b) {
        parent.set(a, b);
        continue;
      }
      const message = `Tasks ${task} and ${follower} in "prec" are already tied by other lines. The tasks of a unit must form a tree: take out the line that the others imply.`;
      problems.push({ code: 'prec-not-tree', field: 'prec', ref: String(follower), message });
    }
  }
  return problems;
}

/** Pins that break a hard rule by themselves, or that need a task which can nowhere be placed. */
function pinProblems(file: ProblemFile): Problem[] {
  if (file.tasks.every((task) => !file.pins[task.id])) return [];
  const model = modelOf(file);
  const pinned = model.tasks.map((task) => task.pinned);
  const refOf = (task: number) => String(file.tasks[task]!.id);
  const clashes = violations(model, pinned).filter((found) => found.code !== 'edge-missing');
  const problems = clashes.map((found) => ({
    code: 'pins-clash',
    field: 'pins',
    ref: refOf(found.tasks[0]!),
    message: `The pinned tasks ${found.tasks.map(refOf).join(', ')} cannot all keep their pins: ${found.message} Move or remove one of these pins.`,
  }));
  if (problems.length > 0) return problems;
  return unplannableGroups(model).map((group) => {
    const held = model.tasks.flatMap((task, at) =>
      task.group === group && task.pinned >= 0 ? [refOf(at)] : [],
    );
    const message = `A task that must be done with or before the pinned task ${held.join(', ')} has no start left that keeps its lags. Move or remove the pin, or allow more starts.`;
    return { code: 'pins-clash', field: 'pins', ref: held[0]!, message };
  });
}
