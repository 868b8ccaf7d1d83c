import type { FileMode, FileTask, ProblemAnswer, ProblemFile } from '../problem-file.ts';
import type { Problem } from '../problems.ts';

/** Cost of another mode than the published one; fixed by the file format. */
const modeChangeCost = 5;

interface Placed {
  task: FileTask;
  start: number;
  mode: number;
}

/**
 * Checks an answer against the raw problem file, apart from the planner: every hard rule, and the cost
 * counted afresh. An empty list means that the answer may be used. Codes: `answer-unknown-task`,
 * `answer-half-placed`, `start-not-allowed`, `no-such-mode`, `capacity-passed`, `budget-passed`,
 * `task-without-other`, `lag-broken`, `pin-broken`, `neighbours-burned`, `cost-wrong`, `bound-above-cost`.
 */
export function checkProblemAnswer(file: ProblemFile, answer: ProblemAnswer): Problem[] {
  const shape = [...unknownTasks(file, answer), ...placeProblems(file, answer)];
  if (shape.length > 0) return shape;
  const placed = placedTasks(file, answer);
  return [
    ...capacityProblems(file, placed),
    ...budgetProblems(file, placed),
    ...lagProblems(file, placed),
    ...pinProblems(file, placed),
    ...neighbourProblems(file, placed),
    ...costProblems(file, answer, placed),
  ];
}

/** Cost of an answer by the rule of the file format. */
export function problemAnswerCost(file: ProblemFile, answer: ProblemAnswer): number {
  const placed = placedTasks(file, answer);
  let cost = 0;
  for (const task of file.tasks) {
    const place = placed.get(task.id);
    cost += place ? costOfPlace(file, place) : task.U;
  }
  return cost;
}

function costOfPlace(file: ProblemFile, { task, start, mode }: Placed): number {
  const lateWeeks = start > task.due ? start - task.due : 0;
  let cost = task.w * lateWeeks + modeOf(task, mode).cost;
  const before = file.prev[task.id];
  if (!before) return cost;
  if (before.t !== start) {
    const weeks = start > before.t ? start - before.t : before.t - start;
    cost += file.moveFix + file.moveW * (weeks < file.moveCap ? weeks : file.moveCap);
  }
  const isPinned = Object.hasOwn(file.pins, String(task.id));
  return before.m !== mode && !isPinned ? cost + modeChangeCost : cost;
}

function modeOf(task: FileTask, mode: number): FileMode {
  return task.modes[mode] ?? { use: [], cost: 0 };
}

function placedTasks(file: ProblemFile, answer: ProblemAnswer): Map<number, Placed> {
  const placed = new Map<number, Placed>();
  for (const task of file.tasks) {
    const [start, mode] = [answer.starts[task.id], answer.modes[task.id]];
    if (start !== undefined && mode !== undefined) placed.set(task.id, { task, start, mode });
  }
  return placed;
}

function unknownTasks(file: ProblemFile, answer: ProblemAnswer): Problem[] {
  const known = new Set(file.tasks.map((task) => String(task.id)));
  const named = new Set([...Object.keys(answer.starts), ...Object.keys(answer.modes)]);
  return [...named]
    .filter((id) => !known.has(id))
    .map((id) =>
      problem('answer-unknown-task', id, `The answer names task ${id}, which is not in the file.`),
    );
}

function placeProblems(file: ProblemFile, answer: ProblemAnswer): Problem[] {
  return file.tasks.flatMap((task): Problem[] => {
    const [start, mode] = [answer.starts[task.id], answer.modes[task.id]];
    const about = (code: string, message: string) => [problem(code, task.id, message)];
    if (start === undefined && mode === undefined) return [];
    if (start === undefined || mode === undefined)
      return about('answer-half-placed', `Task ${task.id} needs both a start and a mode.`);
    if (!task.starts.includes(start))
      return about(
        'start-not-allowed',
        `Task ${task.id} starts in week ${start}, which is not allowed.`,
      );
    if (task.modes[mode] === undefined)
      return about('no-such-mode', `Task ${task.id} has no mode ${mode}.`);
    return [];
  });
}

function problem(code: string, id: number | string, message: string): Problem {
  return { code, ref: String(id), message };
}

/** Use of each resource in each week. */
function weeklyUse(file: ProblemFile, placed: Map<number, Placed>): number[][] {
  const use = file.res.map((resource) => resource.cap.map(() => 0));
  for (const { task, start, mode } of placed.values()) {
    for (const [resource, quantity] of modeOf(task, mode).use) {
      for (let week = start; week < start + task.dur; week++) {
        const weeks = use[resource];
        if (weeks) weeks[week] = (weeks[week] ?? 0) + quantity;
      }
    }
  }
  return use;
}

function capacityProblems(file: ProblemFile, placed: Map<number, Placed>): Problem[] {
  return weeklyUse(file, placed).flatMap((weeks, resource) =>
    weeks.flatMap((used, week) => {
      const { name, cap } = file.res[resource]!;
      const most = cap[week] ?? 0;
      if (used <= most) return [];
      const message = `Week ${week} uses ${used} of "${name}", of which there are ${most}.`;
      return [problem('capacity-passed', `${name} ${week}`, message)];
    }),
  );
}

function budgetProblems(file: ProblemFile, placed: Map<number, Placed>): Problem[] {
  const use = weeklyUse(file, placed);
  return file.budgets.flatMap((budget, at) => {
    let used = 0;
    for (const week of new Set(budget.weeks)) used += use[budget.res]?.[week] ?? 0;
    if (used <= budget.cap) return [];
    const message = `Weeks ${budget.weeks.join(', ')} use ${used} of "${file.res[budget.res]?.name}", budget ${budget.cap}.`;
    return [problem('budget-passed', at, message)];
  });
}

function lagProblems(file: ProblemFile, placed: Map<number, Placed>): Problem[] {
  return file.prec.flatMap((line): Problem[] => {
    const [first, second] = [placed.get(line.i), placed.get(line.j)];
    if (second && !first) {
      const message = `Task ${line.j} is placed without task ${line.i}, which it needs.`;
      return [problem('task-without-other', line.j, message)];
    }
    if (first && !second && line.equiv) {
      const message = `Task ${line.i} is placed without task ${line.j}; they go together.`;
      return [problem('task-without-other', line.i, message)];
    }
    if (!first || !second) return [];
    const lag = second.start - first.start;
    if (lag >= line.min && (line.max === null || lag <= line.max)) return [];
    const most = line.max === null ? 'any later' : `${line.max}`;
    const message = `Task ${line.j} starts ${lag} weeks after task ${line.i}; allowed are ${line.min} to ${most}.`;
    return [problem('lag-broken', line.j, message)];
  });
}

function pinProblems(file: ProblemFile, placed: Map<number, Placed>): Problem[] {
  return Object.entries(file.pins).flatMap(([id, pin]) => {
    const place = placed.get(Number(id));
    if (place && place.start === pin.t && place.mode === pin.m) return [];
    const message = `Task ${id} is pinned to week ${pin.t}, mode ${pin.m}, and is not there.`;
    return [problem('pin-broken', id, message)];
  });
}

function neighbourProblems(file: ProblemFile, placed: Map<number, Placed>): Problem[] {
  const burnersOf = new Map<string, number[]>();
  for (const { task, start } of placed.values()) {
    if (task.type !== 'BURN') continue;
    const key = `${task.unit} ${file.season[start]}`;
    burnersOf.set(key, [...(burnersOf.get(key) ?? []), task.id]);
  }
  return file.adj.flatMap(([one, other]) =>
    [...new Set(file.season)].flatMap((season) => {
      const first = burnersOf.get(`${one} ${season}`);
      const second = burnersOf.get(`${other} ${season}`);
      if (!first || !second) return [];
      const message = `Units ${one} and ${other} are neighbours and both burn in season ${season} (tasks ${[...first, ...second].join(', ')}).`;
      return [problem('neighbours-burned', first[0]!, message)];
    }),
  );
}

function costProblems(
  file: ProblemFile,
  answer: ProblemAnswer,
  placed: Map<number, Placed>,
): Problem[] {
  const cost = problemAnswerCost(file, answer);
  const problems: Problem[] = [];
  if (cost !== answer.cost)
    problems.push(
      problem(
        'cost-wrong',
        'cost',
        `The answer says cost ${answer.cost}; its ${placed.size} placed tasks give ${cost}.`,
      ),
    );
  if (answer.bound !== null && answer.bound > cost)
    problems.push(
      problem('bound-above-cost', 'bound', `The bound ${answer.bound} is above the cost ${cost}.`),
    );
  return problems;
}
