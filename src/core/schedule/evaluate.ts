import type { Model, ModelEdge } from './model.ts';
import { edgesInto } from './model-edges.ts';

/** A hard rule of the model that a choice breaks. `tasks` are the tasks that take part. */
export interface Violation {
  code: 'row-overused' | 'edge-missing' | 'edge-lag' | 'pin-broken' | 'no-such-option';
  message: string;
  tasks: number[];
  row?: number;
}

/** Cost of a choice, recomputed from the model: options taken, tasks left out, soft lags. */
export function costOf(model: Model, choice: readonly number[]): number {
  return costOfTasks(model, choice, [...model.tasks.keys()]);
}

/** The part of the cost that some tasks have, with what their lateness after forerunners costs. */
export function costOfTasks(
  model: Model,
  choice: readonly number[],
  tasks: readonly number[],
): number {
  let cost = 0;
  for (const at of tasks) {
    const option = model.tasks[at]!.options[choice[at]!];
    if (option) cost += option.cost;
    else cost += leftOutCost(model, choice, at);
    for (const edge of edgesInto(model.edges, at)) cost += softCost(model, edge, choice);
  }
  return cost;
}

/** What leaving a task out costs beside the forerunners that are placed. */
export function leftOutCost(model: Model, choice: readonly number[], task: number): number {
  let cost = model.tasks[task]!.dropCost;
  for (const edge of edgesInto(model.edges, task))
    cost += edge.soft?.absentCost?.[choice[edge.pred]!] ?? 0;
  return cost;
}

function softCost(model: Model, edge: ModelEdge, choice: readonly number[]): number {
  const pred = choice[edge.pred]!;
  const succ = model.tasks[edge.succ]!.options[choice[edge.succ]!];
  if (!edge.soft || pred < 0 || !succ) return 0;
  const { dueAt, costPerUnit, stepAt, stepCost } = edge.soft;
  const late = Math.max(0, succ.from - dueAt[pred]!);
  return late * costPerUnit + (stepAt && succ.from > stepAt[pred]! ? stepCost : 0);
}

/** Every hard rule of the model that a choice breaks; empty for a plan that may be used. */
export function violations(model: Model, choice: readonly number[]): Violation[] {
  return [
    ...choiceViolations(model, choice),
    ...rowViolations(model, choice),
    ...model.edges.flatMap((edge) => edgeViolations(model, edge, choice)),
  ];
}

function choiceViolations(model: Model, choice: readonly number[]): Violation[] {
  return model.tasks.flatMap((task, at): Violation[] => {
    const option = choice[at]!;
    if (option < -1 || option >= task.options.length || !Number.isInteger(option))
      return [{ code: 'no-such-option', message: `There is no option ${option}.`, tasks: [at] }];
    if (task.pinned < 0 || task.pinned === option) return [];
    return [{ code: 'pin-broken', message: 'A pinned task was moved.', tasks: [at] }];
  });
}

function rowViolations(model: Model, choice: readonly number[]): Violation[] {
  const used = new Map<number, { quantity: number; tasks: Set<number> }>();
  model.tasks.forEach((task, at) => {
    const uses = task.options[choice[at]!]?.uses ?? [];
    for (let use = 0; use < uses.length; use += 2) {
      const entry = used.get(uses[use]!) ?? { quantity: 0, tasks: new Set<number>() };
      entry.quantity += uses[use + 1]!;
      entry.tasks.add(at);
      used.set(uses[use]!, entry);
    }
  });
  return [...used].flatMap(([row, { quantity, tasks }]): Violation[] => {
    const capacity = model.capacities[row]!;
    if (quantity <= capacity) return [];
    const message = `they need ${quantity} of something of which there are ${capacity}.`;
    return [{ code: 'row-overused', message, tasks: [...tasks], row }];
  });
}

function edgeViolations(model: Model, edge: ModelEdge, choice: readonly number[]): Violation[] {
  const [pred, succ] = [choice[edge.pred]!, choice[edge.succ]!];
  const tasks = [edge.pred, edge.succ];
  if (pred < 0 || succ < 0) {
    if (succ < 0 && (pred < 0 || !edge.isBoth)) return [];
    return [{ code: 'edge-missing', message: 'one is placed without the other.', tasks }];
  }
  const from = model.tasks[edge.succ]!.options[succ]!.from;
  if (from >= edge.fromLeast[pred]! && from <= edge.fromMost[pred]!) return [];
  return [{ code: 'edge-lag', message: 'the lag between them does not hold.', tasks }];
}
