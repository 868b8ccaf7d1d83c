import { describe, expect, test } from 'vitest';
import type { Block } from '../../src/core/blocks.ts';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import { landModel } from '../../src/core/schedule/land-model.ts';
import { prepare } from '../../src/core/schedule/prepared.ts';
import { horizonFrom } from '../../src/core/seasons.ts';
import type { Unit } from '../../src/core/units.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { fakeOperation } from '../support/operation.ts';

const library = loadLibrary();

/** One block of two units on the sequence, in Missouri, with hands and gear for everything. */
function landOn(sequenceKey: string): Operation {
  const operation = fakeOperation();
  const block = operation.blocks[0] as Block;
  const unit = operation.units[0] as Unit;
  const line = operation.lines[0] as Operation['lines'][number];
  const skills = [...new Set(library.treatments.flatMap((row) => row.skills))];
  const gear = [...new Set(library.treatments.flatMap((row) => row.gear))];
  return {
    ...operation,
    ...library,
    fitDays: library.fitDayDefaults.map((row) => ({
      prescriptionKey: row.prescriptionKey,
      fitDays: row.monthly.flatMap((days) => [days / 2, days / 2]),
      origin: 'entered',
      label: 'default',
    })),
    blocks: [
      {
        ...block,
        sequenceKey,
        sequenceStartsOn: null,
        firstCycle: 1,
        rotation: null,
        prescriptionKey: 'hardwood-litter',
      },
    ],
    units: [unit, { ...unit, id: 2, code: 'N1b' }].map((one) => ({
      ...one,
      blockId: block.id,
      areaAcres: 40,
      tags: [],
    })),
    lines: [{ ...line, unitIds: [1] }],
    neighbours: [],
    entries: [],
    crews: operation.crews.map((crew) => ({
      ...crew,
      skills,
      kind: 'home' as const,
      peopleCount: 6,
      onSpans: null,
    })),
    gear: gear.map((key) => ({ key, name: key, count: 1, daysOff: [] })),
  };
}

describe('the scheduler takes every shipped sequence as a tree', () => {
  // From fall and from the middle of winter: a plan may be asked for on any day.
  test.each(
    library.sequences.flatMap((row) =>
      ['2026-09-10', '2027-01-20'].map((day): [string, string] => [row.key, day]),
    ),
  )('%s from %s', (key, day) => {
    const operation = landOn(key);
    // Long enough for the longest first cycle: burn, burn, thin, burn.
    const horizon = horizonFrom(isoDate(day), monthDay('07-01'), 7);
    const problem = landModel(operation, horizon, null);
    expect(() => prepare(problem.model)).not.toThrow();
    const firstCycle = problem.jobs.filter((job) => job.identity.cycle === 1);
    expect(firstCycle.length).toBeGreaterThan(0);
    for (const job of firstCycle)
      expect(
        problem.options[problem.jobs.indexOf(job)]?.length,
        `${job.identity.key} can be placed somewhere`,
      ).toBeGreaterThan(0);
  });
});
