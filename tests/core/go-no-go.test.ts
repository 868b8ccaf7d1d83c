import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type GoNoGoAnswer,
  goNoGoGroups,
  goNoGoQuestions,
  goNoGoStops,
} from '../../src/core/go-no-go.ts';

const allYes = Object.fromEntries(
  goNoGoQuestions.map(({ key }): [string, GoNoGoAnswer] => [key, 'yes']),
);

describe('the go/no-go list', () => {
  test('asks twenty questions in four groups, each with a key of its own', () => {
    expect(goNoGoGroups.map((group) => [group.name, group.questions.length])).toEqual([
      ['Papers', 4],
      ['Weather', 6],
      ['Ground', 3],
      ['People', 7],
    ]);
    expect(new Set(goNoGoQuestions.map(({ key }) => key)).size).toBe(20);
    expect(goNoGoQuestions.every(({ text }) => text.endsWith('?'))).toBe(true);
  });

  test('nothing answered stops at every question', () => {
    expect(goNoGoStops({})).toHaveLength(20);
  });

  test('only yes to everything leaves no stop; any other answer, or a missing one, is a stop', () => {
    expect(goNoGoStops(allYes)).toEqual([]);
    fc.assert(
      fc.property(
        fc.constantFrom(...goNoGoQuestions.map(({ key }) => key)),
        fc.constantFrom<(GoNoGoAnswer | undefined)[]>('no', 'unknown', undefined),
        (key, answer) => {
          const { [key]: _, ...rest } = allYes;
          const answers = answer === undefined ? rest : { ...allYes, [key]: answer };
          expect(goNoGoStops(answers).map((one) => one.key)).toEqual([key]);
        },
      ),
    );
  });
});
