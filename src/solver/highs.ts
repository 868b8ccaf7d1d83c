/** The only importer of HiGHS, a solver of linear and mixed-integer programmes (MIT), compiled to WebAssembly. */
import highsLoader, { type Highs, type Model } from 'highs';
import type { MasterLp } from '../core/schedule/master.ts';
import type { Programme } from '../core/schedule/whole-model.ts';

export type Solver = Highs;

/** Loads the solver; about a tenth of a second. */
export function loadSolver(): Promise<Solver> {
  // The package's types name its default export for CommonJS; the module itself is the loader.
  return (highsLoader as unknown as () => Promise<Solver>)();
}

/** The master programme of `createMaster` in one model that is kept; `dispose` frees it. */
export function createMasterLp(solver: Solver, groupCount: number): MasterLp & { dispose(): void } {
  const { infinity } = solver;
  const ones = new Float64Array(groupCount).fill(1);
  const model = solver.createModel({
    numCols: 0,
    numRows: groupCount,
    colCost: [],
    colLower: [],
    colUpper: [],
    rowLower: ones,
    rowUpper: ones,
    matrix: {
      format: 'csc',
      numRows: groupCount,
      numCols: 0,
      starts: [0],
      indices: [],
      values: [],
    },
  });
  model.options.set({ output_flag: false, solver: 'simplex', presolve: 'off' });
  let rowCount = 0;
  return {
    addPlan(group, cost, rows, quantities) {
      const indices = [group, ...rows.map((row) => groupCount + row)];
      model.addCol(cost, 0, infinity, { indices, values: [1, ...quantities] });
    },
    addRow(capacity, plans, quantities) {
      model.addRow(-infinity, capacity, { indices: plans, values: quantities });
      return rowCount++;
    },
    solve() {
      run(model);
      const { colValue, rowDual } = model.getSolution();
      // A limit from above has a price of 0 or less in a search for the least cost.
      return { shares: colValue, prices: rowDual.slice(groupCount).map((dual) => -dual) };
    },
    dispose: () => model.dispose(),
  };
}

/** A run after a batch of added rows can fail on the basis kept; without it the run goes through. */
function run(model: Model): void {
  try {
    model.run();
  } catch {
    model.clearSolver();
    model.run();
  }
}

export interface WholeLimits {
  seconds: number;
  /** A plan that costs so much less at most is not worth looking for. */
  gapLeast: number;
}

/** What is found on the way; both figures are of the programme, values by column. */
export interface WholeNews {
  values?: Float64Array;
  bound?: number;
}

/**
 * Solves a whole programme by branch and cut, from `start` if it is not null, until the optimum is proven or the
 * time is up. Blocks the process; `onNews` is called from inside. Gives true when the optimum is proven.
 */
export function solveWhole(
  solver: Solver,
  programme: Programme,
  start: Float64Array | null,
  limits: WholeLimits,
  onNews: (news: WholeNews) => void,
): boolean {
  const { constants } = solver;
  if (programme.columns.length === 0) {
    onNews({ values: new Float64Array(0), bound: programme.offset });
    return true;
  }
  const model = solver.createModel(dataOf(solver, programme));
  try {
    model.options.set({
      output_flag: false,
      time_limit: limits.seconds,
      mip_rel_gap: 0,
      mip_abs_gap: limits.gapLeast,
    });
    if (start) {
      const indices = Array.from(start, (_, column) => column);
      model.setSolution({ indices, values: start });
    }
    const tellBound = (bound: number | undefined): undefined => {
      if (bound !== undefined && Number.isFinite(bound)) onNews({ bound });
    };
    model.run({
      [constants.callbackType.mipImprovingSolution]: ({ data }): undefined => {
        if (data.mip_solution) onNews({ values: data.mip_solution });
      },
      [constants.callbackType.mipLogging]: ({ data }) => tellBound(data.mip_dual_bound),
    });
    const isProven = model.getModelStatus() === constants.modelStatus.optimal;
    if (isProven) {
      onNews({ values: model.getSolution().colValue });
      tellBound(model.info.get('mip_dual_bound') as number);
    }
    return isProven;
  } finally {
    model.dispose();
  }
}

function dataOf({ infinity }: Solver, { offset, columns, rows }: Programme) {
  const finite = (limit: number) =>
    Number.isFinite(limit) ? limit : limit > 0 ? infinity : -infinity;
  const starts = [0];
  for (const row of rows) starts.push(starts.at(-1)! + row.columns.length);
  return {
    offset,
    numCols: columns.length,
    numRows: rows.length,
    colCost: columns.map(({ cost }) => cost),
    colLower: columns.map(() => 0),
    colUpper: columns.map(({ most }) => finite(most)),
    rowLower: rows.map(({ least }) => finite(least)),
    rowUpper: rows.map(({ most }) => finite(most)),
    integrality: columns.map(({ isWhole }) => (isWhole ? 1 : 0) as 0 | 1),
    matrix: {
      format: 'csr' as const,
      numRows: rows.length,
      numCols: columns.length,
      starts,
      indices: rows.flatMap((row) => row.columns),
      values: rows.flatMap((row) => row.factors),
    },
  };
}
