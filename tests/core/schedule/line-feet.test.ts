import { describe, expect, it, test } from 'vitest';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { isoDate } from '../../../src/core/dates.ts';
import type { Line } from '../../../src/core/lines.ts';
import { guessedLineFeet, lineFeetOf } from '../../../src/core/schedule/land-jobs.ts';
import { operationOf, planOf } from './land-operations.ts';

const today = isoDate('2026-11-09');

/** Block 1 with units 11 and 12 (10 acres together) and unit 21 beside it. */
function landWith(lines: Partial<Line>[]) {
  const operation = operationOf([
    { sequenceKey: 'cedar-woodland', acres: [6, 4] },
    { sequenceKey: null, acres: [30] },
  ]);
  const [line] = operation.lines;
  const [block] = operation.blocks;
  if (!line || !block) throw new Error('the land has a block with a line');
  operation.lines = lines.map((own, at) => ({ ...line, lengthFeet: 1000, ...own, id: at + 1 }));
  return { operation, block };
}

describe('feet of line that a block has to make', () => {
  const cases: [string, Partial<Line>[], number, boolean][] = [
    ['no line at all', [], 3200, true],
    ['lines of other land only', [{ unitIds: [21] }], 3200, true],
    ['a line inside the block only', [{ unitIds: [11, 12] }], 3200, true],
    ['a line to make', [{ unitIds: [11] }], 1000, false],
    ['a line to make and one inside', [{ unitIds: [11] }, { unitIds: [11, 12] }], 1000, false],
    ['a line shared with other land', [{ unitIds: [12, 21] }], 1000, false],
    ['a road', [{ unitIds: [11], kind: 'road' }], 0, false],
    ['a road and a creek', [{ kind: 'road' }, { unitIds: [12], kind: 'creek' }], 0, false],
    ['a road and a line', [{ kind: 'road' }, { unitIds: [12], kind: 'mown' }], 1000, false],
  ];
  it.each(cases)('%s', (_name, lines, feet, isGuess) => {
    const { operation, block } = landWith(lines);
    expect(lineFeetOf(operation, block)).toBe(feet);
    expect(guessedLineFeet(operation, block)).toBe(isGuess ? feet : null);
  });

  // Squares of the US public land survey: 40 acres are 1,320 ft on a side, 160 acres half a mile, 640 acres a mile
  // (Manual of Surveying Instructions; figures from memory). A fifth longer, to full hundreds.
  test.each([
    [40, 4 * 1320 * 1.2],
    [160, 4 * 2640 * 1.2],
    [640, 4 * 5280 * 1.2],
  ])('%d acres are guessed as their square, a fifth longer', (acres, feet) => {
    const operation = operationOf([{ sequenceKey: 'burn-rotation', acres: [acres] }]);
    operation.lines = [];
    const guess = guessedLineFeet(operation, operation.blocks[0]!);
    expect(guess).toBe(Math.round(feet / 100) * 100);
  });
});

describe('a plan for land without lines on record', () => {
  const land = operationOf([
    { sequenceKey: 'burn-rotation', acres: [10], block: { firstCycle: 2 } },
  ]);
  const saysGuess = (tasks: { because: string[] }[]) =>
    tasks.filter((task) =>
      task.because.includes('No line is on record: 3,200 ft are guessed from the acres.'),
    );

  it('plans the line work, says that it is a guess, and nowhere else', () => {
    const operation = { ...land, lines: [] };
    const plan = planOf(operation, today);
    expect(checkPlan(operation, plan)).toEqual([]);
    const lineTasks = plan.tasks.filter((task) => task.family === 'line');
    expect(lineTasks.map((task) => task.stepKey).sort()).toEqual(['line', 'line-again']);
    expect(saysGuess(plan.tasks)).toEqual(lineTasks);
    expect(lineTasks.every((task) => task.crewDaysTenths > 0)).toBe(true);
  });

  it('says nothing of a guess with a line on record', () =>
    expect(saysGuess(planOf(land, today).tasks)).toEqual([]));
});
