import { describe, expect, it } from 'vitest';
import type { Block } from '../../src/core/blocks.ts';
import { type ChainStep, chainOf, isTaskOfStep, nextStep } from '../../src/core/chains.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { fakeEntry } from '../support/operation.ts';
import { type BlockSketch, operationOf } from './schedule/land-operations.ts';

const twoUnits: BlockSketch = { sequenceKey: 'cedar-woodland', acres: [20, 12] };

function chain(sketch: BlockSketch, entries: WorkEntry[], cyclesAhead = 1): ChainStep[] {
  const operation = operationOf([sketch], { entries });
  return chainOf(operation, operation.blocks[0] as Block, cyclesAhead);
}

/** Standings of a chain by the end of the key: `fell/1`, with the unit where the step is one of several. */
function standings(steps: ChainStep[]): Record<string, string> {
  return Object.fromEntries(
    steps
      .filter((step) => step.standing !== 'to-do')
      .map((step) => [
        `${step.unitId ?? 'block'} ${step.stepKey} ${step.cycle}${step.part}`,
        step.standing,
      ]),
  );
}

const fell = (id: number, unitId: number, own: Partial<WorkEntry> = {}) =>
  fakeEntry(id, unitId, 'cedar-felling', '2026-02-10', own);
const burn = (id: number, unitId: number, on: string, own: Partial<WorkEntry> = {}) =>
  fakeEntry(id, unitId, 'dormant-burn', on, own);

describe('chain of a block', () => {
  it('has unit steps for each unit and block steps once', () => {
    const steps = chain(twoUnits, [], 0);
    expect(steps.filter((step) => step.stepKey === 'fell').map((step) => step.key)).toEqual([
      'unit:11/cedar-woodland/fell/1/-',
      'unit:12/cedar-woodland/fell/1/-',
    ]);
    const burns = steps.filter((step) => step.stepKey === 'burn');
    expect(burns.map((step) => [step.key, step.areaAcres])).toEqual([
      ['block:1/cedar-woodland/burn/1/-', 32],
    ]);
  });

  it('keeps the steps of the first cycle out of the later ones', () => {
    const steps = chain(twoUnits, [], 1).filter((step) => step.cycle === 2);
    expect(steps.some((step) => step.stepKey === 'fell')).toBe(false);
    expect(steps.some((step) => step.stepKey === 'fuel-check')).toBe(true);
  });

  it('is as long as before when work outside the sequence is logged, however much', () => {
    const outside = Array.from({ length: 30 }, (_, at) =>
      fakeEntry(at + 1, 11, 'strip-disking', '2026-02-10'),
    );
    expect(chain(twoUnits, outside)).toEqual(chain(twoUnits, []));
  });

  it('has three parts of a third each where a sequence is in thirds', () => {
    const burns = chain({ sequenceKey: 'prairie-thirds', acres: [60] }, [], 0).filter(
      (step) => step.stepKey === 'burn',
    );
    expect(burns.map((step) => [step.part, step.areaAcres])).toEqual([
      ['a', 20],
      ['b', 20],
      ['c', 20],
    ]);
  });

  it.each<[string, WorkEntry[], Record<string, string>]>([
    ['nothing', [], {}],
    ['felled on one unit', [fell(1, 11)], { '11 fell 1-': 'done' }],
    [
      'felled in part',
      [fell(1, 11, { outcome: 'partly', areaAcres: 8 })],
      { '11 fell 1-': 'partly-done' },
    ],
    [
      'all acres in two parts',
      [
        fell(1, 11, { outcome: 'partly', areaAcres: 8 }),
        fell(2, 11, { outcome: 'partly', areaAcres: 12 }),
      ],
      { '11 fell 1-': 'done' },
    ],
    ['not possible', [fell(1, 11, { outcome: 'not-possible' })], { '11 fell 1-': 'not-possible' }],
    ['under way', [fell(1, 11, { outcome: 'under-way' })], { '11 fell 1-': 'under-way' }],
    ['a fire that left the unit green', [burn(1, 11, '2026-03-02', { shareBlackPercent: 20 })], {}],
    [
      'a burn answers its step and makes what comes before it pointless',
      [burn(1, 11, '2026-03-02')],
      {
        '11 fell 1-': 'skipped',
        '12 fell 1-': 'skipped',
        'block cure-check 1-': 'skipped',
        'block line 1-': 'skipped',
        'block line-again 1-': 'skipped',
        'block burn 1-': 'done',
      },
    ],
  ])('facts: %s', (_, entries, expected) => {
    expect(standings(chain(twoUnits, entries, 0))).toEqual(expected);
  });

  it('counts two units burned together as one burn', () => {
    const entries = [burn(1, 11, '2026-03-02'), burn(2, 12, '2026-03-02')];
    const burns = chain(twoUnits, entries).filter((step) => step.stepKey === 'burn');
    expect(burns.map((step) => step.standing)).toEqual(['done', 'to-do']);
  });

  it('takes facts from the day the sequence starts only', () => {
    const sketch = { ...twoUnits, block: { sequenceStartsOn: isoDate('2026-02-11') } };
    expect(standings(chain(sketch, [fell(1, 11)], 0))).toEqual({});
    sketch.block.sequenceStartsOn = isoDate('2026-02-10');
    expect(standings(chain(sketch, [fell(1, 11)], 0))).toEqual({ '11 fell 1-': 'done' });
  });

  it('goes on as many cycles as asked after the last one that a fact belongs to', () => {
    const last = (steps: ChainStep[]) => Math.max(...steps.map((step) => step.cycle));
    expect(last(chain(twoUnits, [], 2))).toBe(3);
    expect(last(chain(twoUnits, [burn(1, 11, '2024-03-02'), burn(2, 11, '2026-03-02')], 2))).toBe(
      4,
    );
  });

  it('is empty without a sequence, with one that was removed, and without units', () => {
    expect(chain({ sequenceKey: null, acres: [20] }, [])).toEqual([]);
    expect(chain({ sequenceKey: 'gone', acres: [20] }, [])).toEqual([]);
    expect(chain({ sequenceKey: 'cedar-woodland', acres: [] }, [])).toEqual([]);
  });

  it('names the first open step as the next one', () => {
    expect(nextStep(chain(twoUnits, [fell(1, 11)]))?.key).toBe('unit:12/cedar-woodland/fell/1/-');
    expect(nextStep([])).toBeNull();
  });
});

describe('rest and pieces of a step', () => {
  const key = 'unit:11/cedar-woodland/fell/1';
  const partly = (id: number, taskKey: string | null, areaAcres: number | null) =>
    fell(id, 11, { outcome: 'partly', taskKey, areaAcres });
  const first = (entries: WorkEntry[]) => {
    const step = chain(twoUnits, entries, 0)[0] as ChainStep;
    return [step.standing, step.areaAcres, step.openPart];
  };

  it.each<[string, WorkEntry[], (string | number)[]]>([
    ['untouched', [], ['to-do', 20, '-']],
    ['the rest is the next part', [partly(1, `${key}/-`, 8)], ['partly-done', 12, 'rest']],
    [
      'the rest of the rest',
      [partly(1, `${key}/-`, 8), partly(2, `${key}/rest`, 5)],
      ['partly-done', 7, 'rest2'],
    ],
    ['acres not noted', [partly(1, `${key}/-`, null)], ['partly-done', 20, 'rest']],
    [
      'a piece done takes its acres off',
      [fell(1, 11, { taskKey: `${key}/a`, areaAcres: 10 })],
      ['partly-done', 10, 'rest'],
    ],
    [
      'both pieces done',
      [
        fell(1, 11, { taskKey: `${key}/a`, areaAcres: 10 }),
        fell(2, 11, { taskKey: `${key}/b`, areaAcres: 10 }),
      ],
      ['done', 20, 'rest'],
    ],
    [
      'the rest done ends the step, acres noted or not',
      [partly(1, `${key}/-`, 8), fell(2, 11, { taskKey: `${key}/rest` })],
      ['done', 12, 'rest'],
    ],
  ])('%s', (_, entries, expected) => {
    const [standing, acres, part] = first(entries);
    if (expected[0] === 'done') expect(standing).toBe('done');
    else expect([standing, acres, part]).toEqual(expected);
  });

  it('adds no cycle for a piece', () => {
    const entries = [fell(1, 11, { taskKey: `${key}/a`, areaAcres: 10 })];
    expect(Math.max(...chain(twoUnits, entries, 0).map((step) => step.cycle))).toBe(1);
  });

  it.each([
    ['unit:11/s/fell/1/-', 'unit:11/s/fell/1/-', '-', true],
    ['unit:11/s/fell/1/b', 'unit:11/s/fell/1/-', '-', true],
    ['unit:11/s/fell/1/rest2', 'unit:11/s/fell/1/-', '-', true],
    ['unit:11/s/fell/2/-', 'unit:11/s/fell/1/-', '-', false],
    ['unit:12/s/fell/1/-', 'unit:11/s/fell/1/-', '-', false],
    ['block:1/s/disk/1/a-2', 'block:1/s/disk/1/a', 'a', true],
    ['block:1/s/disk/1/a-rest', 'block:1/s/disk/1/a', 'a', true],
    ['block:1/s/disk/1/b', 'block:1/s/disk/1/a', 'a', false],
  ])('%s is of %s: part %s, %s', (task, step, part, expected) => {
    expect(isTaskOfStep(task, { key: step, part })).toBe(expected);
  });
});
