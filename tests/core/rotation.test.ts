import { describe, expect, test } from 'vitest';
import type { Block } from '../../src/core/blocks.ts';
import { isoDate, monthDay, yearOf } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import {
  fireStatus,
  fireStatusWords,
  fires,
  lastFireThatCounts,
  nextBurnWindowSeasons,
  overdueAfter,
  rotationOf,
} from '../../src/core/rotation.ts';
import type { Unit } from '../../src/core/units.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fakeOperation } from '../support/operation.ts';

const july = monthDay('07-01');
const three = { phase: 'restoration', leastSeasons: 2, targetYears: 2, mostYears: 3 } as const;

const fire = (doneOn: string, own: Partial<WorkEntry> = {}): WorkEntry => ({
  id: 1,
  unitId: 1,
  treatmentKey: 'dormant-burn',
  taskKey: null,
  startedOn: null,
  doneOn: isoDate(doneOn),
  precision: 'day',
  outcome: 'done',
  reason: '',
  areaAcres: null,
  crewDays: null,
  personHours: null,
  shareBlackPercent: null,
  fireCause: 'planned',
  signedOutOn: null,
  note: '',
  ...own,
});

/** Unit 1 in block 1 with the given entries and a three-year interval. */
function land(
  entries: WorkEntry[],
  block: Partial<Block> = {},
): { operation: Operation; unit: Unit; block: Block } {
  const operation = fakeOperation();
  operation.entries = entries.map((entry, index) => ({ ...entry, id: index + 1 }));
  const own = Object.assign(operation.blocks[0] as Block, { rotation: three, ...block });
  return { operation, unit: operation.units[0] as Unit, block: own };
}

// Missouri fire-needs report 2025, management intervals by community; due years derived from a burn on 15 March 2022.
describe('due years of the shipped communities after a burn on 2022-03-15', () => {
  test.each<[string, number, number]>([
    ['tallgrass-prairie', 2023, 2025],
    ['glade', 2024, 2027],
    ['oak-woodland', 2025, 2029],
    ['upland-oak-forest', 2027, 2032],
  ])('%s: %i to %i', (key, first, last) => {
    const burned = isoDate('2022-03-15');
    const interval = loadLibrary().communities.find((row) => row.key === key)?.interval;
    expect(nextBurnWindowSeasons(burned, interval?.leastYears ?? 0, july).firstYear).toBe(first);
    expect(yearOf(overdueAfter(burned, interval?.mostYears ?? 0))).toBe(last);
  });

  test('a fall burn belongs to the season that ends in the next year', () => {
    expect(nextBurnWindowSeasons(isoDate('2022-10-15'), 2, july)).toEqual({
      firstSeason: 2024,
      firstYear: 2025,
    });
  });

  test('seasons that are calendar years', () => {
    expect(nextBurnWindowSeasons(isoDate('2022-10-15'), 2, monthDay('01-01'))).toEqual({
      firstSeason: 2024,
      firstYear: 2024,
    });
  });
});

describe('interval of a block', () => {
  test('its own before the sequence, the sequence before the natural community', () => {
    const { operation, block } = land([]);
    expect(rotationOf(operation, block)).toEqual(three);
    block.rotation = null;
    const sequence = operation.sequences.find((row) => row.key === block.sequenceKey);
    expect(rotationOf(operation, block)).toEqual(sequence?.rotation);
    block.sequenceKey = null;
    const interval = operation.communities.find((row) => row.key === 'oak-savanna')?.interval;
    expect(rotationOf(operation, block)).toEqual({
      phase: 'maintenance',
      leastSeasons: interval?.leastYears,
      targetYears: interval?.targetYears,
      mostYears: interval?.mostYears,
    });
  });

  test('the community of the largest unit counts; none means that fire is not planned', () => {
    const { operation, block, unit } = land([], { rotation: null, sequenceKey: null });
    operation.units.push({
      ...unit,
      id: 99,
      code: 'A0',
      areaAcres: unit.areaAcres + 1,
      communityKey: 'glade',
    });
    const glade = operation.communities.find((row) => row.key === 'glade')?.interval;
    expect(rotationOf(operation, block)?.mostYears).toBe(glade?.mostYears);
    operation.units.push({
      ...unit,
      id: 98,
      code: 'A1',
      areaAcres: 500,
      communityKey: 'old-field',
    });
    expect(rotationOf(operation, block)).toBeNull();
  });
});

describe('which fires count', () => {
  test.each<[string, Partial<WorkEntry>, boolean]>([
    ['whole', { shareBlackPercent: 100 }, true],
    ['at the least share', { shareBlackPercent: 60 }, true],
    ['under the least share', { shareBlackPercent: 59 }, false],
    ['share not noted', {}, true],
    [
      'a wild one, whatever it is logged as',
      { treatmentKey: 'cedar-felling', fireCause: 'wild' },
      true,
    ],
    ["a neighbour's", { fireCause: 'neighbour' }, true],
    ['no fire at all', { treatmentKey: 'cedar-felling', fireCause: null }, false],
    ['not possible', { outcome: 'not-possible' }, false],
    ['still under way', { outcome: 'under-way' }, false],
    ['on another unit', { unitId: 2 }, false],
    ['after the day that is asked about', { doneOn: isoDate('2026-01-02') }, false],
    ['on the day that is asked about', { doneOn: isoDate('2026-01-01') }, true],
  ])('%s', (_name, own, counts) => {
    const { operation, unit } = land([fire('2024-02-10', own)]);
    expect(lastFireThatCounts(operation, unit, isoDate('2026-01-01')) !== null).toBe(counts);
  });

  test('the newest that counts is found behind a small one', () => {
    const { operation, unit } = land([
      fire('2025-03-01', { shareBlackPercent: 20 }),
      fire('2023-03-01'),
      fire('2021-03-01'),
    ]);
    expect(fires(operation, unit).map((entry) => entry.doneOn)).toEqual([
      '2021-03-01',
      '2023-03-01',
      '2025-03-01',
    ]);
    expect(lastFireThatCounts(operation, unit, isoDate('2026-01-01'))?.doneOn).toBe('2023-03-01');
  });
});

describe('how a unit stands with fire', () => {
  test.each<[string, string, string, string]>([
    ['within', '2023-06-15', '2025-06-15', '2.0 yr since fire'],
    ['the last day inside', '2023-06-15', '2026-06-15', '3.0 yr since fire'],
    ['the day after', '2023-06-15', '2026-06-16', '3.0 yr since fire, just over'],
    ['over', '2023-06-15', '2026-11-10', '3.4 yr since fire, 0.4 over'],
    ['29 February ends on the 28th', '2024-02-29', '2027-03-01', '3.0 yr since fire, just over'],
  ])('%s', (_name, last, today, words) => {
    const { operation, unit } = land([fire(last)]);
    const status = fireStatus(operation, unit, isoDate(today));
    expect(fireStatusWords(status)).toBe(words);
    expect(status.kind).toBe(words.includes('over') ? 'overdue' : 'within');
  });

  test('overdue starts on the day after the most interval', () => {
    const { operation, unit } = land([fire('2023-06-15')]);
    expect(fireStatus(operation, unit, isoDate('2024-01-01'))).toMatchObject({
      kind: 'within',
      overdueOn: '2026-06-16',
      yearsOver: 0,
    });
  });

  test('no fire on record is its own state', () => {
    const { operation, unit } = land([fire('2024-02-10', { shareBlackPercent: 10 })]);
    const status = fireStatus(operation, unit, isoDate('2026-01-01'));
    expect(status).toEqual({ kind: 'no-fire-on-record' });
    expect(fireStatusWords(status)).toBe('no fire on record');
  });

  test('held until July of a year: not overdue before, overdue from then on', () => {
    const { operation, unit } = land([fire('2018-03-01')], {
      heldUntilYear: 2030,
      heldReason: 'oak recruitment',
    });
    const held = fireStatus(operation, unit, isoDate('2030-06-30'));
    expect(held).toEqual({
      kind: 'held',
      untilYear: 2030,
      reason: 'oak recruitment',
      lastFireOn: '2018-03-01',
    });
    expect(fireStatusWords(held)).toBe('no fire until July 2030: oak recruitment');
    expect(fireStatus(operation, unit, isoDate('2030-07-01')).kind).toBe('overdue');
  });

  test('no interval: no fire planned', () => {
    const { operation, unit } = land([], { rotation: null, sequenceKey: null });
    unit.communityKey = 'old-field';
    const status = fireStatus(operation, unit, isoDate('2026-01-01'));
    expect(status).toEqual({ kind: 'not-planned', lastFireOn: null });
    expect(fireStatusWords(status)).toBe('no fire planned');
  });
});
