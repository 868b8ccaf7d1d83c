import highsLoader from 'highs';
import type { FileTask, ProblemFile } from '../../../src/core/problem-file.ts';

/** The part of HiGHS that is used here; under `nodenext` its default export has no call signature. */
type LoadHighs = () => Promise<{
  solve(text: string, options: Record<string, number>): { Status: string; ObjectiveValue: number };
}>;

interface Column {
  name: string;
  task: FileTask;
  start: number;
  mode: number;
  cost: number;
}

/**
 * Least cost of a problem file by HiGHS on the weekly model with one 0/1 variable an option, built from the
 * raw file apart from the planner. Lags are disaggregated: "started by week t" of the later task is at most
 * "started by t less the lag" of the earlier one.
 */
export async function provenOptimum(file: ProblemFile): Promise<number> {
  const highs = await (highsLoader as unknown as LoadHighs)();
  const solution = highs.solve(lpText(file), { mip_rel_gap: 0, mip_abs_gap: 0.5, time_limit: 60 });
  if (solution.Status !== 'Optimal') throw new Error(`HiGHS ended with ${solution.Status}`);
  const dropAll = file.tasks.reduce((sum, task) => sum + task.U, 0);
  return Math.round(solution.ObjectiveValue + dropAll);
}

function lpText(file: ProblemFile): string {
  const columns = columnsOf(file);
  const rows: string[] = [];
  const add = (terms: [number, Column[]][], sense: string, limit: number) => {
    const text = terms.flatMap(([factor, list]) =>
      list.map((column) => `${factor < 0 ? '-' : '+'} ${Math.abs(factor)} ${column.name}`),
    );
    if (text.length > 0) rows.push(` r${rows.length}: ${text.join('\n ')} ${sense} ${limit}`);
  };
  const of = (id: number) => columns.filter((column) => column.task.id === id);
  for (const task of file.tasks) {
    const pin = file.pins[task.id];
    add([[1, of(task.id)]], '<=', 1);
    if (pin) add([[1, of(task.id).filter((c) => c.start === pin.t && c.mode === pin.m)]], '=', 1);
  }
  addLags(file, of, add);
  addCapacities(file, columns, add);
  addNeighbours(file, columns, add);
  const objective = columns.map(({ cost, task, name }) => {
    const gain = cost - task.U;
    return `${gain < 0 ? '-' : '+'} ${Math.abs(gain)} ${name}`;
  });
  const names = columns.map((column) => column.name).join('\n ');
  return `Minimize\n obj: ${objective.join('\n ')}\nSubject To\n${rows.join('\n')}\nBinary\n ${names}\nEnd\n`;
}

type Add = (terms: [number, Column[]][], sense: string, limit: number) => void;

function columnsOf(file: ProblemFile): Column[] {
  return file.tasks.flatMap((task) =>
    task.starts.flatMap((start) =>
      task.modes.map((own, mode) => {
        const prev = file.prev[task.id];
        const moved = prev ? Math.abs(prev.t - start) : 0;
        const move = moved === 0 ? 0 : file.moveFix + file.moveW * Math.min(file.moveCap, moved);
        const other = prev && prev.m !== mode && !file.pins[task.id] ? 5 : 0;
        const cost = task.w * Math.max(0, start - task.due) + own.cost + move + other;
        return { name: `x${task.id}_${start}_${mode}`, task, start, mode, cost };
      }),
    ),
  );
}

function addLags(file: ProblemFile, of: (id: number) => Column[], add: Add): void {
  for (const { i, j, min, max, equiv } of file.prec) {
    const [before, after] = [of(i), of(j)];
    if (equiv)
      add(
        [
          [1, before],
          [-1, after],
        ],
        '=',
        0,
      );
    const weeks = [...new Set(after.map((column) => column.start))].sort((a, b) => a - b);
    weeks.forEach((week, at) => {
      const early = before.filter((column) => column.start <= week - min);
      const next = weeks[at + 1];
      const sameAsNext =
        next !== undefined && before.filter((c) => c.start <= next - min).length === early.length;
      if (!sameAsNext)
        add(
          [
            [1, after.filter((c) => c.start <= week)],
            [-1, early],
          ],
          '<=',
          0,
        );
      if (max === null) return;
      const late = before.filter((column) => column.start >= week - max);
      add(
        [
          [1, after.filter((c) => c.start >= week)],
          [-1, late],
        ],
        '<=',
        0,
      );
    });
  }
}

function addCapacities(file: ProblemFile, columns: Column[], add: Add): void {
  const draw = (column: Column, resource: number, weeks: ReadonlySet<number>): number => {
    let total = 0;
    for (const [used, quantity] of column.task.modes[column.mode]!.use)
      for (let week = column.start; week < column.start + column.task.dur; week++)
        if (used === resource && weeks.has(week)) total += quantity;
    return total;
  };
  const addRow = (resource: number, weeks: number[], cap: number) => {
    const inWeeks = new Set(weeks);
    const byQuantity = new Map<number, Column[]>();
    for (const column of columns) {
      const quantity = draw(column, resource, inWeeks);
      if (quantity > 0) byQuantity.set(quantity, [...(byQuantity.get(quantity) ?? []), column]);
    }
    const gcd = [...byQuantity.keys()].reduce((a, b) => {
      let [x, y] = [a, b];
      while (y) [x, y] = [y, x % y];
      return x;
    }, 0);
    if (gcd > 0)
      add(
        [...byQuantity].map(([q, list]) => [q / gcd, list]),
        '<=',
        Math.floor(cap / gcd),
      );
  };
  file.res.forEach((resource, index) => {
    for (const [week, cap] of resource.cap.entries()) addRow(index, [week], cap);
  });
  for (const budget of file.budgets) addRow(budget.res, budget.weeks, budget.cap);
}

/** One row for every maximal clique of neighbours and season (Bron and Kerbosch 1973, without pivot). */
function addNeighbours(file: ProblemFile, columns: Column[], add: Add): void {
  const around = new Map(file.units.map((unit) => [unit.id, new Set<number>()]));
  for (const [a, b] of file.adj) {
    around.get(a)!.add(b);
    around.get(b)!.add(a);
  }
  const grow = (clique: number[], open: number[], closed: number[]): number[][] => {
    if (open.length === 0) return closed.length === 0 && clique.length > 1 ? [clique] : [];
    const found: number[][] = [];
    const done = [...closed];
    for (const [at, unit] of open.entries()) {
      const near = around.get(unit)!;
      found.push(
        ...grow(
          [...clique, unit],
          open.slice(at + 1).filter((other) => near.has(other)),
          done.filter((other) => near.has(other)),
        ),
      );
      done.push(unit);
    }
    return found;
  };
  for (const clique of grow(
    [],
    file.units.map((unit) => unit.id),
    [],
  )) {
    for (let season = 0; season < file.nSeason; season++) {
      const burns = columns.filter(
        ({ task, start }) =>
          task.type === 'BURN' && clique.includes(task.unit) && file.season[start] === season,
      );
      add([[1, burns]], '<=', 1);
    }
  }
}
