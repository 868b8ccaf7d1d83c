import type { ProblemFile } from '../problem-file.ts';

export interface BurnRows {
  rowCount: number;
  /** Rows by task index and season; null for tasks that need none. */
  rowsOf: (number[][] | null)[];
}

/**
 * Rows of capacity 1 that keep neighbouring units from burning in one season. The pairs of burns that
 * exclude each other are covered by cliques, grown greedily, so that few rows do. Burns of one unit share a
 * node, unless their lags would let two of them fall in one season, which the file allows.
 */
export function burnRows(file: ProblemFile, firstRow: number): BurnRows {
  const nodes = burnNodes(file);
  const neighbours = nodeNeighbours(file, nodes);
  const rowsOf: BurnRows['rowsOf'] = file.tasks.map(() => null);
  let row = firstRow;
  for (const clique of cliqueCover(neighbours)) {
    for (let season = 0; season < file.nSeason; season++, row++) {
      for (const task of clique.flatMap((node) => nodes[node]!.tasks)) {
        rowsOf[task] ??= Array.from({ length: file.nSeason }, () => []);
        rowsOf[task][season]!.push(row);
      }
    }
  }
  return { rowCount: row - firstRow, rowsOf };
}

interface BurnNode {
  unit: number;
  tasks: number[];
}

function burnNodes(file: ProblemFile): BurnNode[] {
  return file.units.flatMap((unit) => {
    const burns = file.tasks.flatMap((task, index) =>
      task.type === 'BURN' && task.unit === unit.id ? [index] : [],
    );
    if (burns.length === 0) return [];
    const isApart = burns.every((a) =>
      burns.every((b) => a >= b || neverSameSeason(file, a, b) || neverSameSeason(file, b, a)),
    );
    if (isApart) return [{ unit: unit.id, tasks: burns }];
    return burns.map((task) => ({ unit: unit.id, tasks: [task] }));
  });
}

/** True when the lags from task a on to task b leave no two starts in one season. */
function neverSameSeason(file: ProblemFile, a: number, b: number): boolean {
  const lagWeeks = lagLeast(file, file.tasks[a]!.id, file.tasks[b]!.id);
  if (lagWeeks === null) return false;
  const [first, second] = [file.tasks[a]!.starts, file.tasks[b]!.starts];
  return !first.some((start) =>
    second.some((later) => later - start >= lagWeeks && file.season[start] === file.season[later]),
  );
}

/** Least weeks from a task to one that needs it, along `prec`; null when it does not. */
function lagLeast(file: ProblemFile, from: number, to: number): number | null {
  if (from === to) return 0;
  for (const line of file.prec) {
    if (line.j !== to) continue;
    const before = lagLeast(file, from, line.i);
    if (before !== null) return before + line.min;
  }
  return null;
}

function nodeNeighbours(file: ProblemFile, nodes: BurnNode[]): Set<number>[] {
  const nodesOf = new Map<number, number[]>();
  nodes.forEach((node, index) => {
    nodesOf.set(node.unit, [...(nodesOf.get(node.unit) ?? []), index]);
  });
  const neighbours = nodes.map(() => new Set<number>());
  for (const [one, other] of file.adj) {
    for (const a of nodesOf.get(one) ?? []) {
      for (const b of nodesOf.get(other) ?? []) {
        neighbours[a]!.add(b);
        neighbours[b]!.add(a);
      }
    }
  }
  return neighbours;
}

/** Cliques that together hold every pair of neighbours. */
export function cliqueCover(neighbours: readonly ReadonlySet<number>[]): number[][] {
  const covered = new Set<string>();
  const cliques: number[][] = [];
  neighbours.forEach((around, a) => {
    for (const b of [...around].sort((x, y) => x - y)) {
      if (b < a || covered.has(`${a} ${b}`)) continue;
      const clique = [a, b];
      for (const c of around)
        if (clique.every((member) => member !== c && neighbours[c]!.has(member))) clique.push(c);
      clique.sort((x, y) => x - y);
      for (const x of clique) for (const y of clique) if (x < y) covered.add(`${x} ${y}`);
      cliques.push(clique);
    }
  });
  return cliques;
}
