import type { Model, ModelEdge } from './model.ts';

/** How the least cost of a child over the options that go with a parent option is found. */
export const slide = 0;
export const scan = 1;
export const scatter = 2;

/**
 * A model in flat typed arrays for the inner loops. Options that can never be taken (more than is left
 * beside the pins) are gone; the options of a task are sorted by first day. A pinned task keeps one option,
 * whose uses are taken off `free` once and for all.
 */
export interface Prepared {
  model: Model;
  /** Options of task t are `optionFirst[t]` up to `optionFirst[t + 1]`. */
  optionFirst: Int32Array;
  from: Int32Array;
  cost: Float64Array;
  /** Uses of option o are `useFirst[o]` up to `useFirst[o + 1]`. */
  useFirst: Int32Array;
  useRow: Int32Array;
  useQuantity: Int32Array;
  /** Index of the option in the model. */
  original: Int32Array;
  dropCost: Float64Array;
  isPinned: Uint8Array;
  /** Capacity of each row less the uses of pinned tasks, tightened to what the rest can fill. */
  free: Int32Array;
  /** Tasks of group g, children before parents, are `groupTasks[groupFirst[g] ..]`. */
  groupFirst: Int32Array;
  groupTasks: Int32Array;
  /** Link of each task to its parent in the tree, null for roots. */
  links: (Link | null)[];
}

/** The edge between a task and its parent in the tree, by option indices of `Prepared`. */
export interface Link {
  parent: number;
  isSuccessor: boolean;
  isBoth: boolean;
  kind: typeof slide | typeof scan | typeof scatter;
  /** The options that go together: child options by parent option, for `scatter` the other way round. */
  low: Int32Array;
  high: Int32Array;
  soft: SoftLink | null;
}

/** Soft cost, by option of the predecessor (counted from its first). */
export interface SoftLink {
  dueAt: Int32Array;
  costPerUnit: number;
  stepAt: Int32Array | null;
  stepCost: number;
  absentCost: Float64Array | null;
}

export function prepare(model: Model): Prepared {
  const free = Int32Array.from(model.capacities);
  for (const task of model.tasks)
    if (task.pinned >= 0) takeUses(free, task.options[task.pinned]!.uses);
  const uses = model.tasks.map((task) => task.options.map((option) => mergedUses(option.uses)));
  const kept = model.tasks.map((task, at) => {
    if (task.pinned >= 0) return [task.pinned];
    const fitting = [...task.options.keys()].filter((option) => fits(free, uses[at]![option]!));
    return fitting.sort((a, b) => task.options[a]!.from - task.options[b]!.from || a - b);
  });
  const order = treeOrder(model);
  const prepared: Prepared = {
    model,
    optionFirst: runningTotal(kept.map((list) => list.length)),
    ...flatOptions(model, uses, kept),
    dropCost: Float64Array.from(model.tasks, (task) => task.dropCost),
    isPinned: Uint8Array.from(model.tasks, (task) => (task.pinned >= 0 ? 1 : 0)),
    free,
    groupFirst: runningTotal(order.groups.map((tasks) => tasks.length)),
    groupTasks: Int32Array.from(order.groups.flat()),
    links: [],
  };
  tightenRows(prepared);
  prepared.links = model.tasks.map((_, task) => {
    const edge = order.edgeToParent[task];
    return edge ? linkOf(prepared, edge, task, kept) : null;
  });
  return prepared;
}

function flatOptions(model: Model, uses: number[][][], kept: number[][]) {
  const optionCount = kept.reduce((count, list) => count + list.length, 0);
  const from = new Int32Array(optionCount);
  const cost = new Float64Array(optionCount);
  const original = new Int32Array(optionCount);
  const useFirst = new Int32Array(optionCount + 1);
  const useRow: number[] = [];
  const useQuantity: number[] = [];
  let at = 0;
  model.tasks.forEach((task, taskAt) => {
    for (const index of kept[taskAt]!) {
      from[at] = task.options[index]!.from;
      cost[at] = task.options[index]!.cost;
      original[at] = index;
      const own = task.pinned >= 0 ? [] : uses[taskAt]![index]!;
      for (let use = 0; use < own.length; use += 2) {
        useRow.push(own[use]!);
        useQuantity.push(own[use + 1]!);
      }
      useFirst[++at] = useRow.length;
    }
  });
  return {
    from,
    cost,
    original,
    useFirst,
    useRow: Int32Array.from(useRow),
    useQuantity: Int32Array.from(useQuantity),
  };
}

/**
 * What is free of a row drops to a multiple of the greatest common divisor of all that draws on it: 46
 * tenths of a day for burns of 10 are 40. Plans stay the same; the bound and the prices gain.
 */
function tightenRows({ free, useRow, useQuantity }: Prepared): void {
  const divisor = new Int32Array(free.length);
  useRow.forEach((row, use) => {
    divisor[row] = commonDivisor(divisor[row]!, useQuantity[use]!);
  });
  divisor.forEach((part, row) => {
    if (part > 1 && free[row]! > 0) free[row]! -= free[row]! % part;
  });
}

function commonDivisor(a: number, b: number): number {
  let [high, low] = [a, b];
  while (low > 0) [high, low] = [low, high % low];
  return high;
}

function takeUses(free: Int32Array, uses: number[]): void {
  for (let at = 0; at < uses.length; at += 2) free[uses[at]!]! -= uses[at + 1]!;
}

function fits(free: Int32Array, uses: number[]): boolean {
  for (let at = 0; at < uses.length; at += 2) if (uses[at + 1]! > free[uses[at]!]!) return false;
  return true;
}

/** One pair a row, no zero quantities; the list itself when it is so already. */
function mergedUses(uses: number[]): number[] {
  let isPlain = true;
  for (let at = 0; at < uses.length && isPlain; at += 2) {
    if (uses[at + 1]! <= 0) isPlain = false;
    for (let other = 0; other < at; other += 2) if (uses[other] === uses[at]) isPlain = false;
  }
  if (isPlain) return uses;
  const total = new Map<number, number>();
  for (let at = 0; at < uses.length; at += 2)
    if (uses[at + 1]! > 0) total.set(uses[at]!, (total.get(uses[at]!) ?? 0) + uses[at + 1]!);
  return [...total].flat();
}

function runningTotal(counts: number[]): Int32Array {
  const total = new Int32Array(counts.length + 1);
  counts.forEach((count, at) => {
    total[at + 1] = total[at]! + count;
  });
  return total;
}

/** Tasks of each group with children before parents; the hub of a tree is its root, which keeps it flat. */
function treeOrder(model: Model) {
  const edgesAt: ModelEdge[][] = model.tasks.map(() => []);
  for (const edge of model.edges) {
    edgesAt[edge.pred]!.push(edge);
    edgesAt[edge.succ]!.push(edge);
  }
  const groups: number[][] = Array.from({ length: model.groupCount }, () => []);
  const edgeToParent: (ModelEdge | null)[] = model.tasks.map(() => null);
  const isSeen = model.tasks.map(() => false);
  const roots = model.tasks.map((_, task) => task);
  roots.sort((a, b) => edgesAt[b]!.length - edgesAt[a]!.length || a - b);
  for (const root of roots) {
    if (isSeen[root]) continue;
    isSeen[root] = true;
    const reached = [root];
    for (const task of reached) {
      for (const edge of edgesAt[task]!) {
        const other = edge.pred === task ? edge.succ : edge.pred;
        if (edge === edgeToParent[task]) continue;
        if (isSeen[other] || model.tasks[other]!.group !== model.tasks[root]!.group)
          throw new RangeError(`tasks ${task} and ${other}: a group must be a tree over its edges`);
        isSeen[other] = true;
        edgeToParent[other] = edge;
        reached.push(other);
      }
    }
    groups[model.tasks[root]!.group]!.push(...reached.reverse());
  }
  return { groups, edgeToParent };
}

function linkOf(prepared: Prepared, edge: ModelEdge, child: number, kept: number[][]): Link {
  const isSuccessor = edge.succ === child;
  const fromLeast = kept[edge.pred]!.map((option) => edge.fromLeast[option]!);
  const fromMost = kept[edge.pred]!.map((option) => edge.fromMost[option]!);
  const succFrom = [...prepared.from.slice(...optionSpan(prepared, edge.succ))];
  const isSorted = isAscending(fromLeast) && isAscending(fromMost) && !edge.soft;
  const base = { parent: isSuccessor ? edge.pred : edge.succ, isSuccessor, isBoth: edge.isBoth };
  const soft = edge.soft && softOf(edge.soft, kept[edge.pred]!);
  const succLow = fromLeast.map((least) => countBefore(succFrom, least));
  const succHigh = fromMost.map((most) => countBefore(succFrom, most + 1));
  if (isSuccessor || !isSorted) {
    const kind = isSorted ? slide : isSuccessor ? scan : scatter;
    return { ...base, kind, low: Int32Array.from(succLow), high: Int32Array.from(succHigh), soft };
  }
  const low = Int32Array.from(succFrom, (from) => countBefore(fromMost, from));
  const high = Int32Array.from(succFrom, (from) => countBefore(fromLeast, from + 1));
  return { ...base, kind: slide, low, high, soft };
}

function optionSpan(prepared: Prepared, task: number): [number, number] {
  return [prepared.optionFirst[task]!, prepared.optionFirst[task + 1]!];
}

function softOf(soft: NonNullable<ModelEdge['soft']>, kept: number[]): SoftLink {
  return {
    dueAt: Int32Array.from(kept, (option) => soft.dueAt[option]!),
    costPerUnit: soft.costPerUnit,
    stepAt: soft.stepAt && Int32Array.from(kept, (option) => soft.stepAt![option]!),
    stepCost: soft.stepCost,
    absentCost: soft.absentCost && Float64Array.from(kept, (option) => soft.absentCost![option]!),
  };
}

const isAscending = (list: number[]) =>
  list.every((value, at) => at === 0 || list[at - 1]! <= value);

/** How many entries of an ascending list are below `limit`. */
function countBefore(ascending: number[], limit: number): number {
  let [low, high] = [0, ascending.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (ascending[middle]! < limit) low = middle + 1;
    else high = middle;
  }
  return low;
}
