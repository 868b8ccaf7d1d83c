/**
 * The scheduling problem as plain numbers, the same for a problem file and for land. Everything is an integer
 * and serialisable. A task takes at most one of its options; every limited thing (a crew in a week, gear in a
 * week, the fit days of a two-week span, two neighbours in one season) is a row with a capacity that the
 * chosen options draw on.
 */
export interface Model {
  /** Capacity of each row. */
  capacities: number[];
  tasks: ModelTask[];
  edges: ModelEdge[];
  /** Tasks of a group form a tree over the edges and are planned together (one block, one unit). */
  groupCount: number;
  /** Grid or map place of each group, for spatial ruin; any two numbers. */
  groupPlaces: [number, number][];
}

export interface ModelTask {
  group: number;
  /** Cost when no option is taken. */
  dropCost: number;
  options: ModelOption[];
  /** Index of the only option allowed (held dates), or -1. A pinned task is always placed. */
  pinned: number;
  /** Index of the option that the plan in force has; absent when it has none, or none like it is there now. */
  before?: number;
}

export interface ModelOption {
  /** First day (or week) of the option: compared with lags of predecessors. */
  from: number;
  /** Last day (or week): lags of successors count from here. */
  to: number;
  cost: number;
  /** Flattened pairs row, quantity. */
  uses: number[];
}

/** `succ` may be placed only if `pred` is. All arrays are indexed by the options of `pred`. */
export interface ModelEdge {
  pred: number;
  succ: number;
  /** Both or neither. */
  isBoth: boolean;
  /** Least and most `from` of the successor, inclusive. */
  fromLeast: number[];
  fromMost: number[];
  /** What lateness after this predecessor costs; null = nothing. */
  soft: ModelSoftLag | null;
}

/** Soft part of an edge, by the options of its predecessor. */
export interface ModelSoftLag {
  /** The successor costs `costPerUnit` for each unit of its `from` after this. */
  dueAt: number[];
  costPerUnit: number;
  /** It costs `stepCost` once when its `from` is after this; null = never. */
  stepAt: number[] | null;
  stepCost: number;
  /** What leaving the successor out costs beside this predecessor, on top of its `dropCost`; null = nothing. */
  absentCost: number[] | null;
}

/** Chosen option of each task, -1 = left out. */
export interface ModelSolution {
  choice: number[];
  cost: number;
}
