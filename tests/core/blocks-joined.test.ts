import { describe, expect, it } from 'vitest';
import {
  joinBlocks,
  partBlock,
  suggestBlocks,
  suggestionLimitsDefault,
} from '../../src/core/blocks-joined.ts';
import { drawLines, linesAround, lineWorkFeet } from '../../src/core/line-work.ts';
import type { Operation } from '../../src/core/operation.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';

const next = { unit: 101, block: 201, line: 301, entry: 401 };

function suggested(change: (operation: Operation) => void) {
  const operation = fakeOperation();
  change(operation);
  return suggestBlocks(operation, suggestionLimitsDefault).map(({ blocks, ...feet }) => [
    blocks.map((block) => block.code).join(' '),
    feet.feetApart - feet.feetTogether,
  ]);
}

describe('suggested blocks', () => {
  const cases: [string, (operation: Operation) => void, [string, number][]][] = [
    // The line between them is a road: nothing is saved, but one burn is.
    ['small neighbors in one phase', () => {}, [['N2 N1', 0]]],
    [
      'by the line that is saved twice',
      (it) => {
        it.lines[1]!.kind = 'mown';
      },
      [['N2 N1', 3600]],
    ],
    [
      'not when the pair burns apart',
      (it) => {
        it.neighbours[0]!.rule = 'apart';
      },
      [],
    ],
    [
      'not when the property burns neighbors apart',
      (it) => {
        it.properties[0]!.neighbourRule = 'apart';
      },
      [],
    ],
    [
      'not in two phases',
      (it) => {
        it.blocks[0]!.rotation = {
          phase: 'maintenance',
          leastSeasons: 3,
          targetYears: 4,
          mostYears: 5,
        };
      },
      [],
    ],
    [
      'not without fire',
      (it) => {
        it.blocks[0]!.sequenceKey = null;
        it.communities = [];
      },
      [],
    ],
    [
      'not when one is large',
      (it) => {
        it.units[1]!.areaAcres = 41;
      },
      [],
    ],
    [
      'not with a short line',
      (it) => {
        it.neighbours[0]!.sharedFeet = 900;
      },
      [],
    ],
  ];
  it.each(cases)('%s', (_name, change, expected) => expect(suggested(change)).toEqual(expected));
});

describe('blocks joined', () => {
  it('keep the sequence of the one that stays and the stricter limits of both', () => {
    const operation = fakeOperation();
    Object.assign(operation.blocks[0]!, {
      burnPeopleLeast: 6,
      burnLimits: { windFrom: ['N', 'NW', 'W'], gustMphMost: 20, canopyPercent: 60 },
    });
    Object.assign(operation.blocks[1]!, {
      burnPeopleLeast: 8,
      heldUntilYear: 2029,
      heldReason: 'seedlings',
      burnLimits: { windFrom: ['W', 'SW'], gustMphMost: null, canopyPercent: null },
    });
    operation.entries.push(
      fakeEntry(11, 2, 'dormant-burn', '2024-12-01', {
        taskKey: 'block:2/cedar-woodland/burn/1/-',
      }),
    );
    const outcome = joinBlocks(operation, 1, 2);
    const land = outcome.ok ? outcome.value.land : operation;
    expect(land.blocks.map((block) => block.id)).toEqual([1, 3, 4, 5, 6, 7]);
    expect(land.blocks[0]).toMatchObject({
      sequenceKey: 'cedar-woodland',
      firstCycle: 2,
      burnPeopleLeast: 8,
      heldUntilYear: 2029,
      heldReason: 'seedlings',
      burnLimits: { windFrom: ['W'], gustMphMost: 20 },
      readiness: { planSignedBy: null, permitNotNeeded: false },
    });
    expect(land.neighbours[0]!.rule).toBe('together');
    expect(land.entries.find((entry) => entry.id === 11)!.taskKey).toBeNull();
  });

  const refusals: [string, number, number, string][] = [
    ['a block with itself', 1, 1, 'block-unknown'],
    ['a block that is not there', 1, 99, 'block-unknown'],
    ['blocks of two properties', 1, 7, 'join-property'],
  ];
  it.each(refusals)('refuses %s', (_name, keep, other, code) => {
    const outcome = joinBlocks(fakeOperation(), keep, other);
    expect(outcome.ok ? '' : outcome.problems[0]!.code).toBe(code);
  });
});

describe('a block parted', () => {
  it('gives each unit a block of its own; the larger one keeps the block', () => {
    const operation = fakeOperation();
    operation.neighbours.push({ unitIds: [6, 7], sharedFeet: 1000, rule: 'together' });
    const outcome = partBlock(operation, 6, [], next);
    const land = outcome.ok ? outcome.value.land : operation;
    expect(
      land.units.filter((unit) => unit.code.startsWith('E')).map((unit) => unit.blockId),
    ).toEqual([201, 6]);
    expect(land.blocks.at(-1)).toMatchObject({
      id: 201,
      code: 'E1',
      sequenceKey: 'cedar-woodland',
    });
    expect(land.neighbours.at(-1)!.rule).toBeNull();
  });

  it('takes back the retired block of its code', () => {
    const operation = fakeOperation();
    const retired = { ...operation.blocks[3]!, id: 77, code: 'E1' };
    const outcome = partBlock(operation, 6, [retired], next);
    const land = outcome.ok ? outcome.value.land : operation;
    expect(land.units.find((unit) => unit.code === 'E1')!.blockId).toBe(77);
    expect(land.blocks.find((block) => block.id === 77)!.sequenceKey).toBe('old-field-spray');
  });

  it.each([
    ['one unit', 1, () => {}, 'part-one-unit'],
    ['a block that is not there', 99, () => {}, 'block-unknown'],
    [
      'a code that another block has',
      6,
      (it: Operation) => {
        it.blocks[0]!.code = 'E1';
      },
      'part-code',
    ],
  ] as const)('refuses %s', (_name, id, change, code) => {
    const operation = fakeOperation();
    change(operation);
    const outcome = partBlock(operation, id, [], next);
    expect(outcome.ok ? '' : outcome.problems[0]!.code).toBe(code);
  });
});

describe('line work', () => {
  const lines = fakeOperation().lines;
  const between = { ...lines[0]!, id: 3, name: 'Between', lengthFeet: 500, unitIds: [1, 2] };
  it.each([
    [[1], ['North line', 'Ridge road', 'Between'], 2900],
    [[2], ['Ridge road', 'Between'], 500],
    [[1, 2], ['North line'], 2400],
    [[3], [], 0],
  ])('of units %s is made of %s', (unitIds, names, feet) => {
    const all = [...lines, between];
    expect(linesAround(all, unitIds).map((line) => line.name)).toEqual(names);
    expect(lineWorkFeet({ lines: all, lineKinds: [] }, unitIds)).toBe(feet);
  });
});

describe('a kind of line', () => {
  it('needs work by the row of its kind, edited or not', () => {
    const operation = fakeOperation();
    const [blown] = operation.lineKinds;
    const ready = { ...blown!, key: 'blown' as const, needsWork: false };
    const road = { ...blown!, key: 'road' as const, needsWork: true };
    expect(lineWorkFeet({ lines: operation.lines, lineKinds: [ready, road] }, [1])).toBe(1800);
  });
});

describe('lines drawn', () => {
  it('say what is new, changed, the same, or on record as several', () => {
    const operation = fakeOperation();
    const first = drawLines(operation, 1, next);
    const kinds = (outcome: ReturnType<typeof drawLines>) =>
      Object.fromEntries(
        outcome.ok ? outcome.value.drawn.map((row) => [row.unitIds.join(' '), row.kind]) : [],
      );
    expect(kinds(first)).toMatchObject({ '1 2': 'changed', '2 3': 'new', '1': 'changed' });
    const land = first.ok ? first.value.land : operation;
    land.lines.push({ ...land.lines[0]!, id: 99, name: 'Creek' });
    expect(kinds(drawLines(land, 1, next))).toMatchObject({
      '1 2': 'same',
      '2 3': 'same',
      '1': 'several',
    });
  });

  it('need a boundary', () => {
    const outcome = drawLines(fakeOperation(), 2, next);
    expect(outcome.ok ? '' : outcome.problems[0]!.code).toBe('no-boundary');
  });
});
