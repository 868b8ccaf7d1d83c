import { describe, expect, it } from 'vitest';
import { fromDay, isoDate } from '../../../src/core/dates.ts';
import { type LandJob, lineFeetOf } from '../../../src/core/schedule/land-jobs.ts';
import type { LandProblem } from '../../../src/core/schedule/land-model.ts';
import { burningSeasonOf } from '../../../src/core/seasons.ts';
import { fakeEntry } from '../../support/operation.ts';
import { modelOf, operationOf } from './land-operations.ts';

const today = isoDate('2026-11-09');
const cedar = { sequenceKey: 'cedar-woodland', acres: [20, 12] };
const rotation = {
  sequenceKey: 'burn-rotation',
  acres: [20],
  block: {
    firstCycle: 2,
    rotation: { phase: 'maintenance' as const, leastSeasons: 2, targetYears: 3, mostYears: 4 },
  },
};
const start = operationOf([]).properties[0]?.burningSeasonStart ?? ('' as never);

function job(problem: LandProblem, key: string): LandJob {
  const found = problem.jobs.find((one) => one.identity.key === key);
  if (!found)
    throw new Error(`no job ${key}: ${problem.jobs.map((one) => one.identity.key).join(' ')}`);
  return found;
}

const optionsOf = (problem: LandProblem, key: string) =>
  problem.options[problem.jobs.indexOf(job(problem, key))] ?? [];
const seasonsOf = (problem: LandProblem, key: string) => [
  ...new Set(optionsOf(problem, key).map((one) => burningSeasonOf(fromDay(one.fromDay), start))),
];

describe('jobs of a block', () => {
  it('are one a unit for unit steps, and one burn with what is tied to its day', () => {
    const problem = modelOf(operationOf([cedar]), today);
    expect(problem.jobs.filter((one) => one.step.key === 'fell')).toHaveLength(2);
    const burn = job(problem, 'block:1/cedar-woodland/burn/1/-');
    expect(burn.areaAcres).toBe(32);
    expect(burn.tied.map((one) => one.step.key).sort()).toEqual([
      'evaluation-1',
      'line-again',
      'patrol',
    ]);
  });

  it('are the rest, under a key of its own, when a part is done', () => {
    const own = { outcome: 'partly' as const, areaAcres: 5 };
    const entries = [fakeEntry(1, 11, 'cedar-felling', '2026-10-20', own)];
    const problem = modelOf(operationOf([cedar], { entries }), today);
    expect(job(problem, 'unit:11/cedar-woodland/fell/1/rest').areaAcres).toBe(15);
  });

  it('are planned again when they were not possible', () => {
    const own = { outcome: 'not-possible' as const };
    const entries = [fakeEntry(1, 11, 'cedar-felling', '2026-10-20', own)];
    const problem = modelOf(operationOf([cedar], { entries }), today);
    expect(job(problem, 'unit:11/cedar-woodland/fell/1/-').areaAcres).toBe(20);
  });

  it('are planned no more while under way, and what follows counts from the day of the entry', () => {
    const own = { outcome: 'under-way' as const };
    const entries = [fakeEntry(1, 11, 'cedar-felling', '2026-10-20', own)];
    const problem = modelOf(operationOf([{ ...cedar, acres: [20] }], { entries }), today);
    expect(problem.jobs.some((one) => one.step.key === 'fell')).toBe(false);
    const { links } = job(problem, 'block:1/cedar-woodland/burn/1/-');
    expect(
      links.flatMap((link) => ('endedOn' in link.forerunner ? [link.forerunner.endedOn] : [])),
    ).toEqual(['2026-10-20']);
  });

  it('have no line to make between two units of the block, on roads and on creeks', () => {
    const operation = operationOf([cedar]);
    const [line] = operation.lines;
    const [block] = operation.blocks;
    if (!line || !block) throw new Error('the block has a line');
    operation.lines = [
      { ...line, id: 1, lengthFeet: 1000, unitIds: [11] },
      { ...line, id: 2, lengthFeet: 700, unitIds: [11, 12] },
      { ...line, id: 3, lengthFeet: 500, unitIds: [12], kind: 'road' },
      { ...line, id: 4, lengthFeet: 300, unitIds: [12, 99] },
    ];
    expect(lineFeetOf(operation, block)).toBe(1300);
    operation.lines = [{ ...line, id: 3, kind: 'road' }];
    const problem = modelOf(operation, today);
    expect(problem.jobs.some((one) => one.step.key === 'line')).toBe(false);
  });
});

describe('tasks tied to a burn that was done', () => {
  const patrolKey = 'block:1/burn-rotation/patrol/2/-';
  const burned = (doneOn: string) => {
    const entries = [fakeEntry(1, 11, 'dormant-burn', doneOn, { shareBlackPercent: 90 })];
    return modelOf(operationOf([rotation], { entries }), today);
  };

  it('become tasks of their own: patrol the day after', () => {
    const patrol = job(burned('2026-11-08'), patrolKey);
    expect(patrol.links).toHaveLength(1);
    expect(fromDay(optionsOf(burned('2026-11-08'), patrolKey)[0]?.fromDay ?? 0)).toBe('2026-11-09');
  });

  it('are of no use two weeks later, and the line before it is none either', () => {
    expect(burned('2026-10-20').jobs.some((one) => one.identity.key === patrolKey)).toBe(false);
    expect(
      burned('2026-11-08').jobs.some(
        (one) => one.step.key === 'line-again' && one.identity.cycle === 2,
      ),
    ).toBe(false);
  });
});

describe('burning seasons of a burn', () => {
  const burnKey = 'block:1/burn-rotation/burn/2/-';
  const seasons = (doneOn: string | null, own = {}) => {
    const entries = doneOn ? [fakeEntry(1, 11, 'dormant-burn', doneOn, own)] : [];
    const block = { ...rotation.block, sequenceStartsOn: isoDate('2026-07-01') };
    return seasonsOf(modelOf(operationOf([{ ...rotation, block }], { entries }), today), burnKey);
  };

  it.each<[string, string | null, object, number[]]>([
    ['no fire on record', null, {}, [2026, 2027, 2028]],
    ['least two seasons after spring 2026 (season 2025)', '2026-03-20', {}, [2027, 2028]],
    ['30 June is the old season', '2025-06-30', {}, [2026, 2027, 2028]],
    [
      'a fire that left most green does not count',
      '2026-03-20',
      { shareBlackPercent: 59 },
      [2026, 2027, 2028],
    ],
    ['60 percent counts', '2026-03-20', { shareBlackPercent: 60 }, [2027, 2028]],
    ['a wild fire counts', '2026-03-20', { fireCause: 'wild' }, [2027, 2028]],
  ])('%s', (_, doneOn, own, expected) => {
    expect(seasons(doneOn, own)).toEqual(expected);
  });

  it('start with July of the year until which fire is held', () => {
    const block = { ...rotation.block, heldUntilYear: 2028, heldReason: 'oak recruitment' };
    expect(seasonsOf(modelOf(operationOf([{ ...rotation, block }]), today), burnKey)).toEqual([
      2028,
    ]);
  });

  const two = (rule: 'apart' | 'together' | null, doneOn: string | null, own = {}) => {
    const block = { ...rotation.block, sequenceStartsOn: isoDate('2027-01-01') };
    const operation = operationOf([{ ...rotation, block }, rotation]);
    operation.neighbours = [{ unitIds: [11, 21], sharedFeet: 900, rule }];
    if (doneOn) operation.entries = [fakeEntry(1, 21, 'dormant-burn', doneOn, own)];
    return operation;
  };

  it.each<[string, 'apart' | 'together' | null, string | null, object, number[]]>([
    ['a neighbour apart that burned this season bars it', 'apart', '2026-10-01', {}, [2027, 2028]],
    [
      'so does a wild fire there',
      'apart',
      '2026-10-01',
      { fireCause: 'wild', treatmentKey: 'wildfire' },
      [2027, 2028],
    ],
    [
      'and a fire that was recorded in part',
      'apart',
      '2026-10-01',
      { outcome: 'partly' },
      [2027, 2028],
    ],
    [
      'one that left most green does not',
      'apart',
      '2026-10-01',
      { shareBlackPercent: 20 },
      [2026, 2027, 2028],
    ],
    ['last season does not', 'apart', '2026-03-01', {}, [2026, 2027, 2028]],
    ['together bars nothing', 'together', '2026-10-01', {}, [2026, 2027, 2028]],
    ['no matter is the rule of the property', null, '2026-10-01', {}, [2026, 2027, 2028]],
  ])('%s', (_, rule, doneOn, own, expected) => {
    expect(seasonsOf(modelOf(two(rule, doneOn, own), today), burnKey)).toEqual(expected);
  });
});

describe('a sequence in thirds', () => {
  it('burns no other part in a season in which one has burned', () => {
    const entries = [fakeEntry(1, 11, 'dormant-burn', '2026-08-20')];
    const operation = operationOf(
      [
        {
          sequenceKey: 'prairie-thirds',
          acres: [60],
          block: { sequenceStartsOn: isoDate('2026-07-01') },
        },
      ],
      { entries },
    );
    const problem = modelOf(operation, today);
    expect(seasonsOf(problem, 'block:1/prairie-thirds/burn/1/b')).toEqual([2027, 2028]);
  });

  it('has its parts due one year after another in the first cycle', () => {
    const problem = modelOf(
      operationOf([{ sequenceKey: 'quail-field-thirds', acres: [60] }]),
      today,
    );
    const dues = ['a', 'b', 'c'].map(
      (part) =>
        problem.dueOn[
          problem.jobs.indexOf(job(problem, `unit:11/quail-field-thirds/disk/1/${part}`))
        ],
    );
    expect(dues).toEqual(['2027-03-30', '2028-03-30', '2029-03-30']);
  });
});
