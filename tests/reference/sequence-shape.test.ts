import { describe, expect, it } from 'vitest';
import type { Lag, Sequence, Step } from '../../src/core/sequences.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { sequenceShapeProblems } from '../../src/reference/sequence-shape.ts';

const library = loadLibrary();

const lagAfter = (afterStepKey: string): Lag => ({
  ...{ afterStepKey, cycle: 'same', kind: 'fixed', least: { days: 1 } },
  ...{ target: null, most: null, mostIsHard: false, link: 'needs' },
});

/** A burn of its own that waits for some steps, and checks in between. */
function sequenceOf(links: Record<string, string[]>): Sequence {
  const steps = Object.entries(links).map(
    ([key, after]): Step => ({
      ...{ key, name: `The ${key}`, treatmentKeys: ['dormant-burn'], cycles: 'every' },
      ...{ lags: after.map(lagAfter), tiedTo: null, tiedDays: 0, shareOfAcres: 1, note: '' },
    }),
  );
  const source = { status: 'default-to-edit' as const, source: 'Our own judgement.' };
  return {
    ...{ key: 'own', name: 'Own', purpose: 'test', phase: 'none', rotation: null, partsCount: 1 },
    ...{ repeat: { kind: 'none', stepKey: 'burn', years: 0 }, steps, ...source },
  };
}

describe('links that are no tree are named by their steps', () => {
  const head = 'steps: the links of cycle 1 must form one tree; ';
  it.each<[string, Record<string, string[]>, string[]]>([
    ['a tree', { fell: [], burn: ['fell', 'check'], check: [] }, []],
    [
      'two that wait for each other',
      { fell: ['burn'], burn: ['fell'] },
      [`${head}The fell and The burn hang on each other in a ring; take one of these links out`],
    ],
    [
      'three in a ring, one beside it',
      { fell: ['burn'], check: ['fell'], burn: ['check'], photo: ['burn'] },
      [
        `${head}The check, The fell and The burn hang on each other in a ring; take one of these links out`,
      ],
    ],
    [
      'one that waits for itself',
      { burn: ['burn'] },
      [`${head}The burn waits for itself; take that out`],
    ],
    [
      'one that nothing ties',
      { fell: [], burn: ['fell'], photo: [] },
      [`${head}The photo hangs on none of the other steps; give a wait or a day to tie them`],
    ],
    [
      'two that only each other tie',
      { fell: [], check: ['fell'], burn: ['line', 'walk'], line: [], walk: [] },
      [
        `${head}The fell and The check hang on none of the other steps; give a wait or a day to tie them`,
      ],
    ],
  ])('%s', (_name, links, expected) => {
    expect(sequenceShapeProblems(sequenceOf(links), library.treatments)).toEqual(expected);
  });
});
