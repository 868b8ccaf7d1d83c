import { describe, expect, test } from 'vitest';
import { createBounding } from '../../src/core/schedule/bounding.ts';
import { costOf, violations } from '../../src/core/schedule/evaluate.ts';
import type { Model } from '../../src/core/schedule/model.ts';
import { modelOf } from '../../src/core/schedule/problem-file.ts';
import { searchCounted } from '../../src/core/schedule/search.ts';
import { createMasterLp, loadSolver } from '../../src/solver/highs.ts';
import { type SearchProgress, startSearch } from '../../src/solver/run.ts';
import { readProblem } from '../core/schedule/problems.ts';

const model = modelOf(readProblem('small-1'));

describe('a search in a child process', () => {
  test('a counted budget gives the plan that the search gives here, whatever the slices', async () => {
    const seen: SearchProgress[] = [];
    const run = startSearch(model, { seed: 3, iterations: 3001 }, (progress) =>
      seen.push(progress),
    );
    const result = await run.result;
    const lp = createMasterLp(await loadSolver(), model.groupCount);
    const bounding = createBounding(model, 3, lp);
    while (bounding.round());
    const here = searchCounted(model, 3, 3001, bounding.hint);
    lp.dispose();
    expect(result.solution).toEqual(here.best());
    expect(result).toMatchObject({ end: 'done', iterations: 3001, bound: here.bound });
    expect(result.leftOut).toBe(result.solution.choice.filter((option) => option < 0).length);
    expect(seen[0]!.iterations).toBe(0);
    expect(seen[0]!.solution).not.toBeNull();
    const costs = seen.map((progress) => progress.cost);
    expect([...costs].sort((a, b) => b - a)).toEqual(costs);
  });

  test('a stop brings the best plan so far', async () => {
    let stopped = false;
    const run = startSearch(model, { seed: 1, seconds: 600 }, (progress) => {
      if (progress.iterations > 0 && !stopped) {
        stopped = true;
        run.stop();
        run.stop();
      }
    });
    const { end, solution, seconds } = await run.result;
    expect(end).toBe('stopped');
    expect(seconds).toBeLessThan(600);
    expect(violations(model, solution.choice)).toEqual([]);
    expect(costOf(model, solution.choice)).toBe(solution.cost);
  });

  test('a child that is killed leaves its best plan, marked as broken off', async () => {
    const run = startSearch(model, { seed: 1, seconds: 600 }, (progress) => {
      if (progress.iterations > 0) process.kill(run.processId!, 'SIGKILL');
    });
    const { end, solution } = await run.result;
    expect(end).toBe('broken');
    expect(costOf(model, solution.choice)).toBe(solution.cost);
  });

  test('a stop before the first plan is said so', async () => {
    const run = startSearch(model, { seed: 1, seconds: 600 });
    const failed = expect(run.result).rejects.toThrow(/stopped before its first plan/);
    run.stop();
    process.kill(run.processId!, 'SIGKILL');
    await failed;
  });

  test('a child that fails is told with its reason', async () => {
    const edge = { pred: 0, succ: 1, isBoth: false, fromLeast: [], fromMost: [], soft: null };
    const task = { group: 0, dropCost: 1, pinned: -1, options: [] };
    const twice: Model = {
      capacities: [],
      tasks: [task, task],
      edges: [edge, edge],
      groupCount: 1,
      groupPlaces: [[0, 0]],
    };
    const run = startSearch(twice, { seed: 1, seconds: 1 });
    await expect(run.result).rejects.toThrow(/must be a tree/);
  });
});
