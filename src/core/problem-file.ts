/**
 * The neutral problem file: the scheduler's own input, weekly, integers only, capacities and uses in tenths
 * of a day. Types only, so that the planner and the independent checker share nothing else.
 */
export interface ProblemFile {
  /** Number of weeks. */
  T: number;
  /** Monday of week 0, `YYYY-MM-DD`. */
  start: string;
  units: FileUnit[];
  /** Pairs of neighbouring unit ids. */
  adj: [number, number][];
  /** Burning-season index of each week. */
  season: number[];
  nSeason: number;
  res: FileResource[];
  budgets: FileBudget[];
  tasks: FileTask[];
  prec: FilePrecedence[];
  /** Published start and mode by task id (a list or an object), or null. */
  prev: { [taskId: number]: FilePlace | null };
  /** Fixed start and mode by task id. */
  pins: { [taskId: number]: FilePlace };
  moveFix: number;
  moveW: number;
  moveCap: number;
}

export interface FileUnit {
  id: number;
  prio: number;
  acres: number;
  gx: number;
  gy: number;
}

/** Something limited each week: `cap[t]` in week t. */
export interface FileResource {
  name: string;
  cap: number[];
}

/** The use of a resource summed over `weeks` may not pass `cap`. */
export interface FileBudget {
  res: number;
  weeks: number[];
  cap: number;
}

export interface FileTask {
  id: number;
  unit: number;
  type: string;
  /** Weeks. */
  dur: number;
  /** Allowed start weeks, ascending. */
  starts: number[];
  modes: FileMode[];
  due: number;
  /** Cost a week late. */
  w: number;
  /** Cost when left out. */
  U: number;
}

/** `use` holds pairs resource index, quantity each week. */
export interface FileMode {
  use: [number, number][];
  cost: number;
}

/** `j` starts `min` to `max` weeks after `i` starts, and only if `i` is placed; `equiv`: both or neither. */
export interface FilePrecedence {
  i: number;
  j: number;
  min: number;
  max: number | null;
  equiv: boolean;
}

export interface FilePlace {
  t: number;
  m: number;
}

/** An answer to a problem file. Tasks that are left out have no entry. */
export interface ProblemAnswer {
  cost: number;
  /** Certified least cost of any plan, or null when none was computed. */
  bound: number | null;
  starts: Record<string, number>;
  modes: Record<string, number>;
  seconds: number;
}
