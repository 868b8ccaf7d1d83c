import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import { outerLines, readinessOf } from '../../src/core/readiness.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';

/** Block 1 with everything on file, then changed. */
function missing(change: (operation: Operation) => void): Record<string, string> {
  const operation = fakeOperation();
  const block = operation.blocks[0]!;
  block.readiness = {
    planSignedBy: 'R. Hale',
    planExpiresOn: isoDate('2027-06-30'),
    consentUntil: isoDate('2027-06-30'),
    noticesGivenOn: isoDate('2026-11-01'),
    permitUntil: isoDate('2026-12-31'),
    permitNotNeeded: false,
    fuelCheckedOn: isoDate('2026-10-28'),
    peopleNamed: true,
    roles: [],
  };
  operation.lines[0]!.readyOn = isoDate('2026-11-02');
  change(operation);
  const items = readinessOf(operation, block, fakeToday).filter((item) => !item.isOnFile);
  return Object.fromEntries(items.map((item) => [item.key, item.missing]));
}

describe('readiness', () => {
  it('misses nothing when all is on file', () => expect(missing(() => {})).toEqual({}));

  const cases: [string, (operation: Operation) => void, Record<string, string>][] = [
    [
      'no plan',
      (it) => (it.blocks[0]!.readiness.planSignedBy = null),
      { plan: 'no signed burn plan on file' },
    ],
    [
      'a plan that ran out yesterday',
      (it) => (it.blocks[0]!.readiness.planExpiresOn = isoDate('2026-11-08')),
      { plan: 'the signed burn plan has run out' },
    ],
    ['a plan that runs out today', (it) => (it.blocks[0]!.readiness.planExpiresOn = fakeToday), {}],
    ['a plan without an end', (it) => (it.blocks[0]!.readiness.planExpiresOn = null), {}],
    [
      'no consent',
      (it) => (it.blocks[0]!.readiness.consentUntil = null),
      { consent: 'no landowner consent on file' },
    ],
    [
      'old consent',
      (it) => (it.blocks[0]!.readiness.consentUntil = isoDate('2026-11-08')),
      { consent: 'the landowner consent has run out' },
    ],
    [
      'a line not made',
      (it) => (it.lines[0]!.readyOn = null),
      { lines: 'lines not made or no longer good (North line)' },
    ],
    [
      'a line to be made tomorrow',
      (it) => (it.lines[0]!.readyOn = isoDate('2026-11-10')),
      { lines: 'lines not made or no longer good (North line)' },
    ],
    [
      'a line that is no longer good',
      (it) => (it.lines[0]!.goodUntil = isoDate('2026-11-08')),
      { lines: 'lines not made or no longer good (North line)' },
    ],
    [
      'a line not made, but line work logged this season',
      (it) => {
        it.lines[0]!.readyOn = null;
        it.entries.push(fakeEntry(91, 1, 'line-build', '2026-11-03'));
      },
      {},
    ],
    [
      'line work logged last season',
      (it) => {
        it.lines[0]!.readyOn = null;
        it.entries.push(fakeEntry(91, 1, 'line-build', '2026-06-30'));
      },
      { lines: 'lines not made or no longer good (North line)' },
    ],
    [
      'a line found bad after it was made',
      (it) => {
        it.lines[0]!.goodUntil = isoDate('2026-11-08');
        it.entries.push(fakeEntry(91, 1, 'line-build', '2026-11-03'));
      },
      { lines: 'lines not made or no longer good (North line)' },
    ],
    [
      'no fuel check on file, but one logged this season',
      (it) => {
        it.blocks[0]!.readiness.fuelCheckedOn = null;
        const burn = it.sequences[0]!.steps.find((step) => step.key === 'burn')!;
        const line = burn.lags.find((lag) => lag.afterStepKey === 'line')!;
        burn.lags.push({ ...line, afterStepKey: 'cure-check' });
        it.entries.push(fakeEntry(91, 1, 'cure-check', '2026-11-03'));
      },
      {},
    ],
    ['no line at all', (it) => (it.lines = []), { lines: 'no outer line on file' }],
    [
      'a fuel check of last season',
      (it) => (it.blocks[0]!.readiness.fuelCheckedOn = isoDate('2026-06-30')),
      { fuel: 'no fuel check this burning season' },
    ],
    [
      'a fuel check on the first day of the season',
      (it) => (it.blocks[0]!.readiness.fuelCheckedOn = isoDate('2026-07-01')),
      {},
    ],
    [
      'no notices',
      (it) => (it.blocks[0]!.readiness.noticesGivenOn = null),
      { notices: 'no notices given this burning season' },
    ],
    [
      'nobody named',
      (it) => (it.blocks[0]!.readiness.peopleNamed = false),
      { people: 'burn roles not filled by named people' },
    ],
    [
      'no permit',
      (it) => (it.blocks[0]!.readiness.permitUntil = null),
      { permit: 'no permit on file' },
    ],
    [
      'no permit where none is needed',
      (it) => Object.assign(it.blocks[0]!.readiness, { permitUntil: null, permitNotNeeded: true }),
      {},
    ],
  ];
  it.each(cases)('%s', (_name, change, expected) => expect(missing(change)).toEqual(expected));
});

describe('outer lines', () => {
  it('leaves out a line between two units that are lit together', () => {
    const operation = fakeOperation();
    const inner = { ...operation.lines[0]!, id: 3, name: 'Inner', unitIds: [6, 7] };
    const outer = { ...operation.lines[0]!, id: 4, name: 'Outer', unitIds: [5, 6] };
    operation.lines.push(inner, outer);
    const block = operation.blocks.find((one) => one.id === 6)!;
    expect(outerLines(operation, block).map((line) => line.name)).toEqual(['Outer']);
  });
});
