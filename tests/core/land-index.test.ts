import { expect, test } from 'vitest';
import {
  blocksById,
  entriesOfUnits,
  linesOfUnits,
  oncePerList,
  unitsOfBlock,
} from '../../src/core/land-index.ts';
import { fakeOperation } from '../support/operation.ts';

const { units, blocks, entries, lines } = fakeOperation();
const ids = (rows: readonly { id: number }[]) => rows.map(({ id }) => id);

test('the index finds what going through the whole list finds', () => {
  for (const block of blocks) {
    const own = units.filter((unit) => unit.blockId === block.id);
    expect(ids(unitsOfBlock(units, block.id)).sort()).toEqual(ids(own).sort());
    expect(blocksById(blocks).get(block.id)).toBe(block);
    const unitIds = ids(own);
    const facts = entries.filter((entry) => unitIds.includes(entry.unitId));
    expect(ids(entriesOfUnits(entries, unitIds)).sort()).toEqual(ids(facts).sort());
    const around = lines.filter((line) => line.unitIds.some((id) => unitIds.includes(id)));
    expect(linesOfUnits(lines, unitIds)).toEqual(around);
  }
  expect(unitsOfBlock(units, -1)).toEqual([]);
  expect(linesOfUnits(lines, [-1])).toEqual([]);
});

test('work on a list is done once, and again for a list that grew', () => {
  let times = 0;
  const count = oncePerList((rows: readonly number[]) => {
    times += 1;
    return rows.length;
  });
  const rows = [1, 2];
  expect([count(rows), count(rows), times]).toEqual([2, 2, 1]);
  rows.push(3);
  expect([count(rows), times]).toEqual([3, 2]);
  expect([count([1, 2]), times]).toEqual([2, 3]);
});
