import type { ModelEdge } from './model.ts';
import type { Prepared } from './prepared.ts';

/** A linear programme in sparse rows, `least <= sum of factor x column <= most`; columns are 0 or more. */
export interface Programme {
  /** Added to the sum of the costs. */
  offset: number;
  columns: { cost: number; most: number; isWhole: boolean }[];
  rows: ProgrammeRow[];
}

export interface ProgrammeRow {
  least: number;
  most: number;
  columns: number[];
  factors: number[];
}

const none = Number.POSITIVE_INFINITY;
/** Rows that only make the relaxation tighter are written for at most so many days due. */
const tightRowsMost = 12;

/**
 * The whole problem as one mixed-integer programme: column o is 1 when option o of `Prepared` is taken. Lags
 * are rows a breakpoint (what starts by a day needs a forerunner early enough), which is tighter than one row
 * a pair; soft lags get a column of their own. Its optimum is the cheapest plan there is.
 */
export function wholeModel(prepared: Prepared): Programme {
  const { cost, dropCost, isPinned, model } = prepared;
  const programme: Programme = { offset: 0, columns: [], rows: [] };
  for (const own of cost) programme.columns.push({ cost: own, most: 1, isWhole: true });
  model.tasks.forEach((_, task) => {
    const own = optionsOf(prepared, task);
    if (!isPinned[task]) {
      programme.offset += dropCost[task]!;
      for (const option of own) programme.columns[option]!.cost -= dropCost[task]!;
    }
    if (own.length > 0) addRow(programme, isPinned[task] ? 1 : -none, 1, [[own, () => 1]]);
  });
  addCapacities(prepared, programme);
  for (const edge of model.edges) {
    addLags(prepared, programme, edge);
    if (edge.soft) addSoftLag(prepared, programme, edge);
  }
  return programme;
}

/** The plan that a solution of the programme stands for: option of the model by task, -1 = left out. */
export function choiceOf(prepared: Prepared, values: ArrayLike<number>): number[] {
  return prepared.model.tasks.map((_, task) => {
    const taken = optionsOf(prepared, task).find((option) => values[option]! > 0.5);
    return taken === undefined ? -1 : prepared.original[taken]!;
  });
}

/** Values of the columns of options for a plan (option of the model by task); soft lags are left to the solver. */
export function startOf(prepared: Prepared, choice: readonly number[]): Float64Array {
  const values = new Float64Array(prepared.cost.length);
  choice.forEach((original, task) => {
    const taken = optionsOf(prepared, task).find((at) => prepared.original[at] === original);
    if (taken !== undefined) values[taken] = 1;
  });
  return values;
}

function optionsOf({ optionFirst }: Prepared, task: number): number[] {
  const [first, end] = [optionFirst[task]!, optionFirst[task + 1]!];
  return Array.from({ length: end - first }, (_, at) => first + at);
}

type Part = [columns: readonly number[], factorOf: (column: number) => number];

/** Adds a row of parts; a column that stands in two of them gets the sum. */
function addRow(programme: Programme, least: number, most: number, parts: Part[]): void {
  const factors = new Map<number, number>();
  for (const [columns, factorOf] of parts)
    for (const column of columns)
      factors.set(column, (factors.get(column) ?? 0) + factorOf(column));
  for (const [column, factor] of factors) if (factor === 0) factors.delete(column);
  if (factors.size === 0) return;
  programme.rows.push({
    least,
    most,
    columns: [...factors.keys()],
    factors: [...factors.values()],
  });
}

function addCapacities(prepared: Prepared, programme: Programme): void {
  const { useFirst, useRow, useQuantity, free } = prepared;
  const rows = new Map<number, ProgrammeRow>();
  for (let option = 0; option < prepared.cost.length; option++)
    for (let use = useFirst[option]!; use < useFirst[option + 1]!; use++) {
      const at = useRow[use]!;
      const row = rows.get(at) ?? { least: -none, most: free[at]!, columns: [], factors: [] };
      rows.set(at, row);
      row.columns.push(option);
      row.factors.push(useQuantity[use]!);
    }
  programme.rows.push(...rows.values());
}

/** The edge by options of `Prepared`: its two lists, and the figures of the predecessor's. */
function edgeOf(prepared: Prepared, edge: ModelEdge) {
  const original = (option: number) => prepared.original[option]!;
  return {
    preds: optionsOf(prepared, edge.pred),
    succs: optionsOf(prepared, edge.succ),
    from: (option: number) => prepared.from[option]!,
    least: (pred: number) => edge.fromLeast[original(pred)]!,
    most: (pred: number) => edge.fromMost[original(pred)]!,
    original,
  };
}

/** What starts by a day needs a predecessor that allows it by then; the same from the other end. */
function addLags(prepared: Prepared, programme: Programme, edge: ModelEdge): void {
  const { preds, succs, from, least, most } = edgeOf(prepared, edge);
  if (edge.isBoth)
    addRow(programme, 0, 0, [
      [preds, () => 1],
      [succs, () => -1],
    ]);
  const days = [...new Set(succs.map(from))].sort((a, b) => a - b);
  const say = (late: readonly number[], allowing: readonly number[]) =>
    addRow(programme, -none, 0, [
      [late, () => 1],
      [allowing, () => -1],
    ]);
  // Of the days with the same predecessors behind them, the row of the widest says it all.
  let before = -1;
  for (const day of days.toReversed()) {
    const allowing = preds.filter((pred) => least(pred) <= day);
    if (allowing.length === before) continue;
    before = allowing.length;
    say(
      succs.filter((succ) => from(succ) <= day),
      allowing,
    );
  }
  before = preds.length;
  for (const day of days) {
    const allowing = preds.filter((pred) => most(pred) >= day);
    if (allowing.length === before) continue;
    before = allowing.length;
    say(
      succs.filter((succ) => from(succ) >= day),
      allowing,
    );
  }
}

function addColumn(programme: Programme, cost: number, most: number): number {
  return programme.columns.push({ cost, most, isWhole: false }) - 1;
}

function addSoftLag(prepared: Prepared, programme: Programme, edge: ModelEdge): void {
  const { preds, succs, from, original } = edgeOf(prepared, edge);
  const { dueAt, costPerUnit, stepAt, stepCost, absentCost } = edge.soft!;
  if (costPerUnit > 0) {
    const late = addColumn(programme, costPerUnit, none);
    const due = (pred: number) => dueAt[original(pred)]!;
    addRow(programme, -none, 0, [
      [succs, from],
      [preds, (pred) => -due(pred)],
      [[late], () => -1],
    ]);
    for (const day of spread(preds.map(due)))
      addRow(programme, -none, 0, [
        [succs.filter((succ) => from(succ) > day), (succ) => from(succ) - day],
        [preds.filter((pred) => due(pred) > day), (pred) => day - due(pred)],
        [[late], () => -1],
      ]);
  }
  if (stepAt && stepCost > 0) {
    const isLate = addColumn(programme, stepCost, 1);
    const step = (pred: number) => stepAt[original(pred)]!;
    for (const day of new Set(preds.map(step)))
      addRow(programme, -none, 0, [
        [succs.filter((succ) => from(succ) > day), () => 1],
        [preds.filter((pred) => step(pred) > day), () => -1],
        [[isLate], () => -1],
      ]);
  }
  if (absentCost) addAbsence(programme, preds, succs, (pred) => absentCost[original(pred)]!);
}

/** A predecessor without its successor costs what `costOf` says. */
function addAbsence(
  programme: Programme,
  preds: readonly number[],
  succs: readonly number[],
  costOf: (pred: number) => number,
): void {
  const most = Math.max(0, ...preds.map(costOf));
  if (most === 0) return;
  const absence = addColumn(programme, 1, none);
  addRow(programme, -none, 0, [
    [preds, costOf],
    [succs, () => -most],
    [[absence], () => -1],
  ]);
  for (const cost of spread(preds.map(costOf).filter((one) => one > 0)))
    addRow(programme, -none, 0, [
      [preds.filter((pred) => costOf(pred) >= cost), () => cost],
      [succs, () => -cost],
      [[absence], () => -1],
    ]);
}

/** The distinct numbers, or some of them evenly when there are many. */
function spread(numbers: readonly number[]): number[] {
  const distinct = [...new Set(numbers)].sort((a, b) => a - b);
  const each = Math.ceil(distinct.length / tightRowsMost);
  return distinct.filter((_, at) => at % Math.max(1, each) === 0);
}
