import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import {
  checkWhatIfChange,
  isSupposed,
  type WhatIfChange,
  whatIfKinds,
  whatIfProblems,
  whatIfWords,
  withChanges,
} from '../../src/core/what-if.ts';
import { fakeOperation } from '../support/operation.ts';

const day = isoDate;
const tables = fakeOperation().fitDays;
const careful = tables.map((table) => ({ ...table, fitDays: table.fitDays.map(() => 1) }));
const fitDaysAt = () => careful;

/** One of each kind, each of them changing the invented operation. */
const oneOfEach: WhatIfChange[] = [
  {
    kind: 'crew-weeks',
    crewId: 1,
    isThere: false,
    from: day('2027-01-11'),
    until: day('2027-01-15'),
  },
  { kind: 'crew-people', crewId: 1, peopleCount: 7 },
  { kind: 'gear', gearKey: 'burn-trailer', count: 2 },
  { kind: 'fit-days', percent: 120 },
  { kind: 'fit-level', level: '9-of-10' },
  { kind: 'held', unitId: 6, untilYear: 2028, reason: 'oak seedlings' },
  { kind: 'sequence', unitId: 4, sequenceKey: null, startsOn: day('2026-11-09') },
  { kind: 'window', treatmentKey: 'dormant-burn', opensEarlierDays: 3, closesLaterDays: 5 },
  { kind: 'weight', weight: 'latePerWeek', points: 20 },
];

const changed = (change: WhatIfChange) => withChanges(fakeOperation(), [change], fitDaysAt);

describe('the operation as it would be', () => {
  it('there is one of each kind below', () =>
    expect(oneOfEach.map(({ kind }) => kind)).toEqual([...whatIfKinds]));

  it('a crew that is away has more days off; one that is there has fewer, and days on site', () => {
    expect(changed(oneOfEach[0]!).crews[0]?.daysOff).toEqual([
      { startsOn: '2026-12-24', endsBefore: '2027-01-04' },
      { startsOn: '2027-01-11', endsBefore: '2027-01-16' },
    ]);
    const there = { kind: 'crew-weeks', isThere: true } as const;
    const home = { ...there, crewId: 1, from: day('2026-12-28'), until: day('2027-01-01') };
    expect(changed(home).crews[0]).toMatchObject({
      daysOff: [
        { startsOn: '2026-12-24', endsBefore: '2026-12-28' },
        { startsOn: '2027-01-02', endsBefore: '2027-01-04' },
      ],
      onSpans: null,
    });
    const hired = { ...there, crewId: 2, from: day('2027-02-01'), until: day('2027-02-12') };
    expect(changed(hired).crews[1]?.onSpans).toEqual([
      { startsOn: '2026-11-16', endsBefore: '2027-02-13' },
    ]);
  });

  it('booked days of a crew stay out of those entered', () => {
    const operation = fakeOperation();
    const booked = { startsOn: day('2027-03-01'), endsBefore: day('2027-03-06') };
    const entered = operation.crews[1]!.onSpans!;
    operation.crews[1] = {
      ...operation.crews[1]!,
      onSpans: [...entered, booked],
      enteredSpans: entered,
    };
    const more: WhatIfChange = {
      kind: 'crew-weeks',
      crewId: 2,
      isThere: true,
      from: day('2027-02-01'),
      until: day('2027-02-12'),
    };
    const crew = withChanges(operation, [more], fitDaysAt).crews[1];
    expect(crew?.onSpans).toEqual([{ startsOn: '2026-11-16', endsBefore: '2027-02-13' }, booked]);
    expect(crew?.enteredSpans).toEqual([{ startsOn: '2026-11-16', endsBefore: '2027-02-13' }]);
  });

  it('people, gear and weights are what was written', () => {
    expect(changed(oneOfEach[1]!).crews[0]?.peopleCount).toBe(7);
    expect(changed(oneOfEach[2]!).gear[0]?.count).toBe(2);
    expect(changed(oneOfEach[8]!).settings.weights.latePerWeek).toBe(20);
  });

  it('fit days are a share of those counted, never more than the days there are', () => {
    const [table] = changed({ kind: 'fit-days', percent: 50 }).fitDays;
    expect(table?.fitDays).toEqual(tables[0]?.fitDays.map((days) => days / 2));
    const full = changed({ kind: 'fit-days', percent: 100_000 }).fitDays[0]?.fitDays ?? [];
    // January has 15 and 16 days, February of a common year 15 and 13.
    expect(full.slice(0, 4)).toEqual(
      tables[0]?.fitDays.slice(0, 4).map((days, half) => (days > 0 ? [15, 16, 15, 13][half] : 0)),
    );
  });

  it('another level counts the fit days anew, before a share of them is taken', () => {
    const both = [
      { kind: 'fit-days', percent: 200 },
      { kind: 'fit-level', level: '9-of-10' },
    ] as const;
    const operation = withChanges(fakeOperation(), both, fitDaysAt);
    expect(operation.settings.supply.level).toBe('9-of-10');
    expect(operation.fitDays[0]?.fitDays).toEqual(Array(24).fill(2));
  });

  it('a unit stands for its block: held, or on another sequence from a day on', () => {
    expect(changed(oneOfEach[5]!).blocks[5]).toMatchObject({
      heldUntilYear: 2028,
      heldReason: 'oak seedlings',
    });
    expect(
      changed({ kind: 'held', unitId: 5, untilYear: null, reason: '' }).blocks[4],
    ).toMatchObject({
      heldUntilYear: null,
      heldReason: '',
    });
    expect(changed(oneOfEach[6]!).blocks[3]).toMatchObject({ sequenceKey: null });
    const fire = {
      kind: 'sequence',
      unitId: 4,
      sequenceKey: 'cedar-woodland',
      startsOn: day('2026-11-09'),
    } as const;
    expect(changed(fire).blocks[3]).toMatchObject({
      sequenceKey: 'cedar-woodland',
      sequenceStartsOn: '2026-11-09',
      firstCycle: 1,
    });
  });

  it('a season is wider at both ends, at month-days, anchors and the earlier of two', () => {
    const burn = changed(oneOfEach[7]!).treatments.find(({ key }) => key === 'dormant-burn');
    expect(burn?.windows).toEqual([
      {
        opens: { anchor: 'leaf-fall', plusDays: 4 },
        closes: { earlierOf: [{ at: '04-06' }, { anchor: 'leaf-out', plusDays: -2 }] },
      },
    ]);
    const narrow = {
      kind: 'window',
      treatmentKey: 'cedar-felling',
      opensEarlierDays: -1,
      closesLaterDays: -31,
    } as const;
    const felling = changed(narrow).treatments.find(({ key }) => key === 'cedar-felling');
    expect(felling?.windows).toEqual([
      { opens: { at: '10-02' }, closes: { at: monthDay('02-28') } },
    ]);
  });

  it('leaves what it is given alone, and no change changes nothing', () => {
    const operation = fakeOperation();
    withChanges(operation, oneOfEach, fitDaysAt);
    expect(operation).toEqual(fakeOperation());
    expect(withChanges(operation, [], fitDaysAt)).toBe(operation);
  });

  it('changes of different kinds come to the same in any order', () => {
    const all = JSON.stringify(withChanges(fakeOperation(), oneOfEach, fitDaysAt));
    fc.assert(
      fc.property(
        fc.shuffledSubarray(oneOfEach, { minLength: oneOfEach.length }),
        (order) => JSON.stringify(withChanges(fakeOperation(), order, fitDaysAt)) === all,
      ),
      { numRuns: 20 },
    );
  });
});

describe('changes in words and checked', () => {
  it.each([
    [0, 'Home crew is away from 11 Jan 2027 to 15 Jan 2027'],
    [1, 'Home crew has 7 people'],
    [2, 'Burn trailer: 2 on hand'],
    [3, 'Fit days are 120 % of those counted'],
    [4, 'Fit days are counted as 9 of 10 past years reached them'],
    [
      5,
      'Unit E1 and its block have no fire until the burning season that starts in 2028: oak seedlings',
    ],
    [6, 'Unit S1 and its block have no planned work'],
    [7, 'The season of Dormant-season burn opens 3 days earlier and closes 5 days later'],
    [8, 'A task one week late counts 20 points'],
  ])('change %i: %s', (at, said) => {
    expect(whatIfWords(fakeOperation(), oneOfEach[at]!)).toBe(said);
    expect(checkWhatIfChange(fakeOperation(), [], oneOfEach[at]!, fitDaysAt)).toEqual([]);
  });

  it('only the weather can not be made a fact', () =>
    expect(oneOfEach.filter(isSupposed).map(({ kind }) => kind)).toEqual(['fit-days']));

  it.each<[string, WhatIfChange, string, string]>([
    [
      'a crew that is gone',
      { kind: 'crew-people', crewId: 9, peopleCount: 2 },
      'crewId',
      'Crew: pick',
    ],
    ['gear that is gone', { kind: 'gear', gearKey: 'x', count: 2 }, 'gearKey', 'Gear: pick'],
    [
      'a unit that is gone',
      { kind: 'held', unitId: 99, untilYear: 2028, reason: '' },
      'unitId',
      'Unit: pick',
    ],
    [
      'no fire without a reason',
      { kind: 'held', unitId: 6, untilYear: 2028, reason: '' },
      'reason',
      'Why: say',
    ],
    [
      'a treatment that is gone',
      { ...oneOfEach[7], treatmentKey: 'x' } as WhatIfChange,
      'treatmentKey',
      'Treatment: pick',
    ],
    [
      'a sequence that is gone',
      { ...oneOfEach[6], sequenceKey: 'x' } as WhatIfChange,
      'sequenceKey',
      'Sequence: pick',
    ],
    [
      'a last day before the first',
      { ...oneOfEach[0], until: day('2027-01-10') } as WhatIfChange,
      'until',
      'Last day: give',
    ],
  ])('%s is said by its field', (_, change, field, words) => {
    const [problem] = checkWhatIfChange(fakeOperation(), [], change, fitDaysAt);
    expect(problem?.field).toBe(field);
    expect(problem?.message).toContain(words);
  });

  it('a change that changes nothing is refused, also after one alike', () => {
    const same = { kind: 'crew-people', crewId: 1, peopleCount: 4 } as const;
    const codes = (before: WhatIfChange[], change: WhatIfChange) =>
      checkWhatIfChange(fakeOperation(), before, change, fitDaysAt).map(({ code }) => code);
    expect(codes([], same)).toEqual(['what-if-nothing']);
    expect(codes([oneOfEach[1]!], same)).toEqual([]);
    expect(codes([oneOfEach[2]!], oneOfEach[2]!)).toEqual(['what-if-nothing']);
    expect(codes(Array<WhatIfChange>(20).fill(oneOfEach[3]!), same)).toEqual(['what-if-full']);
  });

  it('names the changes whose row went out of use meanwhile', () => {
    const operation = { ...fakeOperation(), gear: [] };
    const problems = whatIfProblems(operation, oneOfEach);
    expect(problems).toHaveLength(1);
    expect(problems[0]?.message).toContain('Change 3 ');
    expect(whatIfProblems(fakeOperation(), oneOfEach)).toEqual([]);
  });
});
