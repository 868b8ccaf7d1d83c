import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { checkProblemAnswer } from '../../../src/core/check/problem-file.ts';
import { costOf, violations } from '../../../src/core/schedule/evaluate.ts';
import { answerOf, modelOf } from '../../../src/core/schedule/problem-file.ts';
import { createRandom, exponential } from '../../../src/core/schedule/random.ts';
import { createSearch, searchCounted } from '../../../src/core/schedule/search.ts';
import { readProblem } from './problems.ts';
import { bruteForce, modelArbitrary } from './random-models.ts';

test('any plan keeps every rule and costs what is recounted; the bound is below; the best is found', () => {
  fc.assert(
    fc.property(modelArbitrary(3, 2), fc.nat(), (model, seed) => {
      const search = searchCounted(model, seed, 1600);
      const best = search.best();
      expect(violations(model, best.choice)).toEqual([]);
      expect(costOf(model, best.choice)).toBe(best.cost);
      expect(search.bound).not.toBeNull();
      const least = bruteForce(
        model,
        (choice) => violations(model, choice).length === 0,
        (choice) => costOf(model, choice),
      );
      expect(search.bound).toBeLessThanOrEqual(least);
      expect(best.cost).toBe(least);
    }),
    { seed: 20270906, numRuns: 40 },
  );
});

describe('medium-1', () => {
  const file = readProblem('medium-1');
  const model = modelOf(file);

  test('the first plan is there at once and keeps every rule', () => {
    const search = createSearch(model, 1);
    expect(search.iterations).toBe(0);
    expect(violations(model, search.best().choice)).toEqual([]);
  });

  test('one seed and count give one plan; the plan is better than the first and passes the checker', () => {
    const first = createSearch(model, 1).cost;
    const [one, two, other] = [7, 7, 8].map((seed) => searchCounted(model, seed, 4000).best());
    expect(two).toEqual(one);
    expect(other!.choice).not.toEqual(one!.choice);
    expect(one!.cost).toBeLessThan(first * 0.8);
    expect(checkProblemAnswer(file, answerOf(file, one!, 0))).toEqual([]);
  });
});

test('nothing to plan costs nothing', () => {
  const model = { capacities: [], tasks: [], edges: [], groupCount: 0, groupPlaces: [] };
  const search = searchCounted(model, 1, 16);
  expect(search.best()).toEqual({ choice: [], cost: 0 });
});

describe('random numbers', () => {
  test('are spread evenly below a limit and repeat for a seed', () => {
    const [one, same] = [createRandom(5), createRandom(5)];
    const counts = [0, 0, 0, 0, 0];
    for (let draw = 0; draw < 50_000; draw++) {
      const value = one.below(5);
      expect(same.below(5)).toBe(value);
      counts[value]!++;
    }
    // Standard deviation of each count is about 89: five of them are 450.
    for (const count of counts) expect(Math.abs(count - 10_000)).toBeLessThan(450);
  });

  test('follow the exponential law closely: mean 1, the shares above 1, 2 and 4 as e^-x', () => {
    const random = createRandom(5);
    const drawn = Array.from({ length: 100_000 }, () => exponential(random));
    const mean = drawn.reduce((sum, value) => sum + value, 0) / drawn.length;
    expect(Math.abs(mean - 1)).toBeLessThan(0.05);
    for (const limit of [1, 2, 4]) {
      const share = drawn.filter((value) => value > limit).length / drawn.length;
      expect(Math.abs(share - Math.exp(-limit))).toBeLessThan(0.03);
    }
  });
});
