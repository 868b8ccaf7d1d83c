import { type Link, type Prepared, type SoftLink, scan, scatter } from './prepared.ts';

const none = Number.POSITIVE_INFINITY;

/** Room for the dynamic programme over one group's forest, made once and used by every call. */
export interface ForestValues {
  prepared: Prepared;
  /** Value of each option: least cost of it and all below it in the tree; Infinity = cannot be taken. */
  value: Float64Array;
  /** Least cost of leaving each task out, with all below it. */
  absent: Float64Array;
  /** Least value over the options of each task. */
  present: Float64Array;
  /** Options that may not be taken at present. */
  isBanned: Uint8Array;
  queue: Int32Array;
  reach: Float64Array;
}

export function createForestValues(prepared: Prepared): ForestValues {
  const optionCount = prepared.cost.length;
  return {
    prepared,
    value: new Float64Array(optionCount),
    absent: new Float64Array(prepared.dropCost.length),
    present: new Float64Array(prepared.dropCost.length),
    isBanned: new Uint8Array(optionCount),
    queue: new Int32Array(optionCount + 1),
    reach: new Float64Array(optionCount),
  };
}

/** Least cost of a group given what is free of each row; every option must fit by itself. */
export function forestValue(
  forest: ForestValues,
  group: number,
  free: Int32Array,
  prices: Float64Array | null,
): number {
  const { groupFirst, groupTasks, optionFirst, links, dropCost, isPinned } = forest.prepared;
  const { value, absent, present } = forest;
  const [first, end] = [groupFirst[group]!, groupFirst[group + 1]!];
  for (let at = first; at < end; at++) {
    const task = groupTasks[at]!;
    priceOptions(forest, task, free, prices);
    absent[task] = isPinned[task] ? none : dropCost[task]!;
  }
  let total = 0;
  for (let at = first; at < end; at++) {
    const task = groupTasks[at]!;
    let least = none;
    for (let o = optionFirst[task]!; o < optionFirst[task + 1]!; o++)
      if (value[o]! < least) least = value[o]!;
    present[task] = least;
    const link = links[task];
    if (link) addToParent(forest, task, link);
    else total += Math.min(least, absent[task]!);
  }
  return total;
}

/** Writes the choices behind the last `forestValue` of a group. */
export function decodeForest(forest: ForestValues, group: number, choice: Int32Array): void {
  const { groupFirst, groupTasks } = forest.prepared;
  for (let at = groupFirst[group + 1]! - 1; at >= groupFirst[group]!; at--)
    choice[groupTasks[at]!] = decodeTask(forest, groupTasks[at]!, choice);
}

/** Value of each option of a task: its cost plus prices, or Infinity where it does not fit. */
function priceOptions(
  forest: ForestValues,
  task: number,
  free: Int32Array,
  prices: Float64Array | null,
): void {
  const { optionFirst, cost, useFirst, useRow, useQuantity } = forest.prepared;
  const { value, isBanned } = forest;
  const end = optionFirst[task + 1]!;
  for (let o = optionFirst[task]!; o < end; o++) {
    let own = isBanned[o] ? none : cost[o]!;
    for (let use = useFirst[o]!; use < useFirst[o + 1]!; use++) {
      const row = useRow[use]!;
      const quantity = useQuantity[use]!;
      if (quantity > free[row]!) {
        own = none;
        break;
      }
      if (prices) own += prices[row]! * quantity;
    }
    value[o] = own;
  }
}

function addToParent(forest: ForestValues, task: number, link: Link): void {
  const without = forest.absent[task]!;
  forest.absent[link.parent]! +=
    link.isSuccessor || link.isBoth ? without : Math.min(without, presentAlone(forest, task, link));
  const spare = link.isSuccessor && !link.isBoth ? without : none;
  if (link.kind === scan) addByScan(forest, task, link, spare);
  else if (link.kind === scatter) addByScatter(forest, task, link);
  else addBySlide(forest, task, link, spare);
}

/** Sliding minimum: the limits ascend with the parent's options, so each child option enters once. */
function addBySlide(forest: ForestValues, task: number, link: Link, spare: number): void {
  const { optionFirst } = forest.prepared;
  const { value, queue } = forest;
  const { low, high } = link;
  const child = optionFirst[task]!;
  const base = optionFirst[link.parent]!;
  const end = optionFirst[link.parent + 1]!;
  let head = 0;
  let tail = 0;
  let next = 0;
  for (let o = base; o < end; o++) {
    const until = high[o - base]!;
    for (; next < until; next++) {
      const entering = value[child + next]!;
      if (entering === none) continue;
      while (tail > head && value[child + queue[tail - 1]!]! >= entering) tail--;
      queue[tail++] = next;
    }
    const since = low[o - base]!;
    while (head < tail && queue[head]! < since) head++;
    const least = head < tail ? value[child + queue[head]!]! : none;
    value[o]! += least < spare ? least : spare;
  }
}

function addByScan(forest: ForestValues, task: number, link: Link, spare: number): void {
  const { optionFirst } = forest.prepared;
  const base = optionFirst[link.parent]!;
  for (let o = base; o < optionFirst[link.parent + 1]!; o++) {
    if (forest.value[o] === none) continue;
    const found = scanChild(forest, task, link, o - base);
    const least = found < 0 ? none : pairValue(forest, link, o - base, found);
    forest.value[o]! += Math.min(least, spare + absentCost(link, o - base));
  }
}

/** What leaving the successor out costs beside option `at` of its predecessor. */
function absentCost({ soft }: Link, at: number): number {
  return soft?.absentCost ? soft.absentCost[at]! : 0;
}

/** Least value of a predecessor whose successor is left out. */
function presentAlone(forest: ForestValues, task: number, link: Link): number {
  const best = cheapestAlone(forest, task, link);
  if (best < 0) return none;
  return forest.value[best]! + absentCost(link, best - forest.prepared.optionFirst[task]!);
}

/** The child is the predecessor: each of its options reaches a span of the parent's. */
function addByScatter(forest: ForestValues, task: number, link: Link): void {
  const { optionFirst } = forest.prepared;
  const { value, reach } = forest;
  const child = optionFirst[task]!;
  const base = optionFirst[link.parent]!;
  const count = optionFirst[link.parent + 1]! - base;
  reach.fill(none, 0, count);
  for (let o = child; o < optionFirst[task + 1]!; o++) {
    if (value[o] === none) continue;
    for (let p = link.low[o - child]!; p < link.high[o - child]!; p++) {
      const pair = value[o]! + softCost(forest.prepared, link.soft, o - child, base + p);
      if (pair < reach[p]!) reach[p] = pair;
    }
  }
  for (let p = 0; p < count; p++) value[base + p]! += reach[p]!;
}

/** Value of a successor option beside its predecessor's option `at` (counted from the first). */
function pairValue(forest: ForestValues, link: Link, at: number, option: number): number {
  const soft = link.isSuccessor ? softCost(forest.prepared, link.soft, at, option) : 0;
  return forest.value[option]! + soft;
}

/** The best child option for the parent's option `at`, first among equals; -1 when there is none. */
function scanChild(forest: ForestValues, task: number, link: Link, at: number): number {
  const child = forest.prepared.optionFirst[task]!;
  let best = -1;
  let least = none;
  for (let o = child + link.low[at]!; o < child + link.high[at]!; o++) {
    const pair = pairValue(forest, link, at, o);
    if (pair < least) {
      least = pair;
      best = o;
    }
  }
  return best;
}

/** The same for `scatter`, where the spans are kept by child option. */
function scanPredecessor(forest: ForestValues, task: number, link: Link, above: number): number {
  const { optionFirst } = forest.prepared;
  const child = optionFirst[task]!;
  const at = above - optionFirst[link.parent]!;
  let best = -1;
  let least = none;
  for (let o = child; o < optionFirst[task + 1]!; o++) {
    if (at < link.low[o - child]! || at >= link.high[o - child]!) continue;
    const pair = forest.value[o]! + softCost(forest.prepared, link.soft, o - child, above);
    if (pair < least) {
      least = pair;
      best = o;
    }
  }
  return best;
}

/** Choice of a task once its parent's is known. */
function decodeTask(forest: ForestValues, task: number, choice: Int32Array): number {
  const { links, optionFirst } = forest.prepared;
  const link = links[task];
  const above = link ? choice[link.parent]! : -1;
  if (!link || (above < 0 && !link.isSuccessor && !link.isBoth))
    return (link ? presentAlone(forest, task, link) : forest.present[task]!) <= forest.absent[task]!
      ? cheapestAlone(forest, task, link ?? null)
      : -1;
  if (above < 0) return -1;
  const at = above - optionFirst[link.parent]!;
  const isScatter = link.kind === scatter;
  const best = isScatter
    ? scanPredecessor(forest, task, link, above)
    : scanChild(forest, task, link, at);
  const mayBeAbsent = link.isSuccessor && !link.isBoth;
  const isTaken =
    best >= 0 &&
    (!mayBeAbsent ||
      pairValue(forest, link, at, best) <= forest.absent[task]! + absentCost(link, at));
  return isTaken ? best : -1;
}

/** Cheapest option of a task that has no partner in the tree: a root, or a predecessor without its successor. */
function cheapestAlone(forest: ForestValues, task: number, link: Link | null): number {
  const { optionFirst } = forest.prepared;
  const first = optionFirst[task]!;
  let best = -1;
  let least = none;
  for (let o = first; o < optionFirst[task + 1]!; o++) {
    const own = forest.value[o]! + (link ? absentCost(link, o - first) : 0);
    if (own < least) {
      least = own;
      best = o;
    }
  }
  return best;
}

/** Soft cost of a predecessor option (counted from its task's first) with a successor option. */
export function softCost(
  prepared: Prepared,
  soft: SoftLink | null,
  predAt: number,
  succOption: number,
): number {
  if (!soft) return 0;
  const from = prepared.from[succOption]!;
  const late = from - soft.dueAt[predAt]!;
  const lateCost = late > 0 ? late * soft.costPerUnit : 0;
  return soft.stepAt && from > soft.stepAt[predAt]! ? lateCost + soft.stepCost : lateCost;
}
