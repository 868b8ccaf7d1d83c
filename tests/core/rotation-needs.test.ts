import { describe, expect, it } from 'vitest';
import type { Block } from '../../src/core/blocks.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { Property } from '../../src/core/properties.ts';
import { acresAYear } from '../../src/core/rates.ts';
import { burnedAndPlanned, hasLateMode, needByCommunity } from '../../src/core/rotation-needs.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { fakeTask } from '../support/plan.ts';

describe('acres that an interval asks', () => {
  // Missouri fire needs report (The Nature Conservancy and Missouri Prescribed Fire Council, 2025), worked example:
  // 1,000 acres at a mean interval of 5 years burn with an annual probability of 0.2, so 200 acres a year.
  it('1,000 acres every 5 years ask 200 acres a year', () => expect(acresAYear(1000, 5)).toBe(200));

  it('adds up by natural community, by target and by most; what has no interval is left out', () => {
    const operation = fakeOperation();
    const rotation = {
      phase: 'maintenance' as const,
      leastSeasons: 2,
      targetYears: 4,
      mostYears: 8,
    };
    operation.communities = operation.communities.map((one) => ({ ...one, interval: null }));
    operation.blocks = operation.blocks.map((block) => ({
      ...block,
      sequenceKey: null,
      rotation: block.id === 1 || block.id === 6 ? rotation : null,
    }));
    const needs = needByCommunity(operation, { id: 1 });
    const acres = (blockId: number) =>
      operation.units
        .filter((unit) => unit.blockId === blockId)
        .reduce((sum, unit) => sum + unit.areaAcres, 0);
    const sum = (of: (need: (typeof needs)[number]) => number) =>
      needs.reduce((all, need) => all + of(need), 0);
    expect(sum((need) => need.areaAcres)).toBeCloseTo(acres(1) + acres(6), 9);
    expect(sum((need) => need.targetAcresAYear)).toBeCloseTo((acres(1) + acres(6)) / 4, 9);
    expect(sum((need) => need.leastAcresAYear)).toBeCloseTo((acres(1) + acres(6)) / 8, 9);
    expect(needs.find(({ key }) => key === 'oak-savanna')?.targetAcresAYear).toBeCloseTo(5.5, 9);
    expect(needByCommunity(operation, { id: 2 })).toEqual([]);
  });
});

describe('acres burned and planned by season', () => {
  const today = isoDate('2026-11-09');
  const seasonsOf = (operation: Operation, tasks: Parameters<typeof burnedAndPlanned>[3] = []) =>
    burnedAndPlanned(operation, operation.properties[0] as Property, today, tasks, 2);
  const land = (entries: Operation['entries']): Operation => ({ ...fakeOperation(), entries });

  it.each<[string, Operation['entries'], number[]]>([
    ['nothing', [], [0, 0, 0]],
    [
      'the last day and the first of two seasons',
      [
        fakeEntry(1, 1, 'dormant-burn', '2026-06-30'),
        fakeEntry(2, 1, 'dormant-burn', '2026-07-01'),
      ],
      [0, 22, 22],
    ],
    [
      'acres noted go before the unit, a share black before whole',
      [
        fakeEntry(1, 1, 'dormant-burn', '2025-03-01', { areaAcres: 7 }),
        fakeEntry(2, 1, 'dormant-burn', '2026-03-01', { areaAcres: null, shareBlackPercent: 50 }),
      ],
      [7, 11, 0],
    ],
    [
      'a wildfire counts, cutting and another property do not',
      [
        fakeEntry(1, 1, 'dormant-burn', '2026-03-01', { fireCause: 'wild', areaAcres: 5 }),
        fakeEntry(2, 1, 'cedar-felling', '2026-03-01', { areaAcres: 9 }),
        fakeEntry(3, 8, 'dormant-burn', '2026-03-01', { areaAcres: 9 }),
      ],
      [0, 5, 0],
    ],
    ['older than the seasons shown', [fakeEntry(1, 1, 'dormant-burn', '2020-03-01')], [0, 0, 0]],
  ])('%s', (_name, entries, expected) => {
    const seasons = seasonsOf(land(entries));
    expect(seasons.map(({ season }) => season)).toEqual([2024, 2025, 2026]);
    expect(seasons.map(({ burnedAcres }) => burnedAcres)).toEqual(expected);
  });

  it('puts planned burns in the present and coming seasons', () => {
    const burn = { family: 'burn' as const, areaAcres: 20 };
    const tasks = [
      fakeTask('block:1/cedar-woodland/burn/2/-', '2027-02-01', '2027-02-14', burn),
      fakeTask('block:2/cedar-woodland/burn/1/-', '2027-11-01', '2027-11-14', burn),
      fakeTask('block:7/cedar-woodland/burn/1/-', '2027-11-01', '2027-11-14', burn),
      fakeTask('block:2/cedar-woodland/line/1/-', '2027-11-01', '2027-11-02', { family: 'line' }),
    ];
    const seasons = seasonsOf(land([]), tasks);
    expect(seasons.map(({ plannedAcres }) => plannedAcres)).toEqual([0, 0, 20, 20]);
  });
});

it('tells a sequence with a late-season burn from one without', () => {
  const operation = fakeOperation();
  const block = operation.blocks[0] as Block;
  const [sequence] = operation.sequences;
  const withKeys = (treatmentKeys: string[]): Operation => ({
    ...operation,
    sequences: [{ ...sequence!, key: 'x', steps: [{ ...sequence!.steps[0]!, treatmentKeys }] }],
  });
  const own = { ...block, sequenceKey: 'x' };
  expect(hasLateMode(withKeys(['dormant-burn', 'other']), own)).toBe(true);
  expect(hasLateMode(withKeys(['dormant-burn']), own)).toBe(false);
  expect(hasLateMode(withKeys(['cedar-felling', 'dormant-burn']), own)).toBe(false);
  expect(hasLateMode(operation, { ...block, sequenceKey: null })).toBe(false);
});
