import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import type { Operation } from '../../src/core/operation.ts';
import { readinessOf } from '../../src/core/readiness.ts';
import { outerLines } from '../../src/core/readiness-items.ts';
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

describe('consents by row', () => {
  const yes = {
    id: 1,
    propertyId: 1,
    unitIds: [1],
    families: ['burn' as const],
    givenBy: 'Owner',
    isNeighbour: false,
    from: isoDate('2026-07-01'),
    until: isoDate('2026-12-31'),
    note: '',
  };
  const neighbour = { ...yes, id: 2, givenBy: 'Next door', isNeighbour: true };
  const noneOnBlock = (it: Operation) => (it.blocks[0]!.readiness.consentUntil = null);
  const old = { until: isoDate('2026-11-08') };

  it.each<[string, Operation['consents'], boolean, string | undefined]>([
    ['covers the unit', [yes], false, undefined],
    ['ends today', [{ ...yes, until: fakeToday }], false, undefined],
    ['is for the whole property', [{ ...yes, unitIds: [] }], false, undefined],
    ['ran out yesterday', [{ ...yes, ...old }], false, 'the landowner consent has run out'],
    [
      'begins tomorrow',
      [{ ...yes, from: isoDate('2026-11-10') }],
      false,
      'the landowner consent has run out',
    ],
    ['is for other work', [{ ...yes, families: ['spray'] }], false, 'no landowner consent on file'],
    ['is for another unit', [{ ...yes, unitIds: [2] }], false, 'no landowner consent on file'],
    [
      'is for another property',
      [{ ...yes, propertyId: 2, unitIds: [] }],
      false,
      'no landowner consent on file',
    ],
    ['is the neighbor\u2019s alone', [neighbour], false, 'no landowner consent on file'],
    ['ran out, but the block has one', [{ ...yes, ...old }], true, undefined],
    [
      'is there, the neighbor\u2019s ran out',
      [yes, { ...neighbour, ...old }],
      true,
      'the consent of the neighbor Next door is not in force',
    ],
    [
      'is there, the neighbor\u2019s was given again',
      [
        { ...neighbour, ...old },
        { ...neighbour, id: 3 },
      ],
      true,
      undefined,
    ],
    [
      'is there, a neighbor\u2019s of other units ran out',
      [{ ...neighbour, ...old, unitIds: [3] }],
      true,
      undefined,
    ],
  ])('the consent %s', (_name, consents, isOnBlock, expected) => {
    const found = missing((it) => {
      if (!isOnBlock) noneOnBlock(it);
      it.consents = consents;
    });
    expect(found['consent']).toBe(expected);
  });

  it('names the units of a block that no consent covers', () => {
    const operation = fakeOperation();
    operation.consents = [{ ...yes, unitIds: [6] }];
    const block = operation.blocks.find(({ id }) => id === 6)!;
    const items = readinessOf(operation, block, fakeToday);
    expect(items.find(({ key }) => key === 'consent')?.missing).toBe(
      'no landowner consent on file for E2',
    );
  });
});

describe('people by role', () => {
  /** Six people, the first one the boss. */
  const named = (it: Operation, own: { expiresOn?: string | null; without?: number } = {}) => {
    const expiresOn = own.expiresOn === undefined ? '2027-01-01' : own.expiresOn;
    it.people = [1, 2, 3, 4, 5, 6].map((id) => ({
      id,
      name: `Person ${id}`,
      contact: '',
      crewId: null,
      burnRoles: [],
      qualifications:
        id === 1
          ? [{ name: 'Boss', expiresOn: expiresOn === null ? null : isoDate(expiresOn) }]
          : [],
      usualDays: [],
      note: '',
    }));
    it.blocks[0]!.readiness.roles = it.people
      .filter(({ id }) => id !== own.without)
      .map(({ id }) => ({
        role: id === 1 ? ('boss' as const) : ('holder' as const),
        personId: id,
      }));
  };
  const roles = (it: Operation) => it.blocks[0]!.readiness.roles;

  it.each<[string, (it: Operation) => unknown, string | undefined]>([
    ['six people with a boss', (it) => named(it), undefined],
    ['a qualification that ends today', (it) => named(it, { expiresOn: fakeToday }), undefined],
    ['a qualification without an end', (it) => named(it, { expiresOn: null }), undefined],
    [
      'one that ran out',
      (it) => named(it, { expiresOn: '2026-11-08' }),
      'the qualification of the burn boss Person 1 has run out',
    ],
    ['no boss', (it) => named(it, { without: 1 }), 'no burn boss named'],
    ['one too few', (it) => named(it, { without: 4 }), '5 of 6 people named for the burn'],
    [
      'one with two roles counts once',
      (it) => {
        named(it, { without: 4 });
        roles(it).push({ role: 'lookout', personId: 2 });
      },
      '5 of 6 people named for the burn',
    ],
    [
      'one on call is not on the ground',
      (it) => {
        named(it, { without: 4 });
        roles(it).push({ role: 'on-call', personId: 4 });
      },
      '5 of 6 people named for the burn',
    ],
    [
      'a boss without qualification',
      (it) => {
        named(it);
        it.people[0]!.qualifications = [];
      },
      'no qualification of the burn boss Person 1 on file',
    ],
    [
      'roles go before the tick',
      (it) => {
        named(it, { without: 4 });
        it.blocks[0]!.readiness.peopleNamed = true;
      },
      '5 of 6 people named for the burn',
    ],
  ])('%s', (_name, change, expected) => {
    expect(missing(change)['people']).toBe(expected);
  });
});

describe('what mends an item', () => {
  it('is a field of the block, and for lines each open line', () => {
    const operation = fakeOperation();
    const items = readinessOf(operation, operation.blocks[0]!, fakeToday);
    const mends = Object.fromEntries(
      items.map(({ key, mends: own }) => [
        key,
        own.map((one) => `${one.noun} ${one.id} ${one.field}`),
      ]),
    );
    expect(mends).toEqual({
      plan: [],
      consent: [],
      lines: ['line 1 readyOn'],
      fuel: [],
      notices: ['block 1 noticesGivenOn'],
      people: ['block 1 peopleNamed'],
      permit: [],
    });
  });
});

// A "no" in the field is an answer: the burn is not ready and says so.
it.each([
  [
    '2026-11-01',
    'not-possible',
    '2026-10-28',
    'the check of 1 Nov 2026 was not passed (limbs bend)',
  ],
  ['2026-11-01', 'not-possible', null, 'the check of 1 Nov 2026 was not passed (limbs bend)'],
  ['2026-10-20', 'not-possible', '2026-10-28', ''],
  ['2026-11-01', 'done', null, ''],
  ['2026-03-01', 'not-possible', null, 'no fuel check this burning season'],
] as const)(
  'a check on %s that was %s, checked by hand on %s: %s',
  (doneOn, outcome, byHand, missing) => {
    const operation = fakeOperation();
    const [block] = operation.blocks;
    const [sequence] = operation.sequences;
    const burn = sequence!.steps.find(({ key }) => key === 'burn')!;
    burn.lags.push({ ...burn.lags[0]!, afterStepKey: 'cure-check' });
    block!.readiness.fuelCheckedOn = byHand === null ? null : isoDate(byHand);
    operation.entries = [fakeEntry(90, 1, 'cure-check', doneOn, { outcome, reason: 'limbs bend' })];
    const fuel = readinessOf(operation, block!, isoDate('2026-11-09')).find(
      ({ key }) => key === 'fuel',
    );
    expect(fuel?.missing).toBe(missing);
  },
);
