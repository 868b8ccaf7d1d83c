import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { todayLists } from '../../src/core/today.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan, fakeTask } from '../support/plan.ts';

const lists = (today = fakeToday, operation = fakeOperation(), plan = fakePlan()) =>
  todayLists(operation, plan.content, () => today);

const names = (tasks: { key: string }[]) =>
  tasks.map((task) => task.key.split('/').slice(0, 3).join('/'));

describe('what can be done now', () => {
  it('lists work in its dates first, then what starts within 14 days', () => {
    const { doable } = lists();
    expect(names(doable.map((one) => one.task))).toEqual([
      'unit:4/old-field-spray/spray',
      'unit:2/cedar-woodland/cure-check',
    ]);
    expect(doable.map((one) => [one.isNow, one.isUnderWay])).toEqual([
      [true, true],
      [false, false],
    ]);
  });

  // The felling starts 30 Nov: day 14 from 16 Nov, day 15 from 15 Nov. It is in its dates up to 18 Dec.
  it.each([
    ['2026-11-15', false],
    ['2026-11-16', true],
    ['2026-12-18', true],
    ['2026-12-19', false],
  ])('on %s the felling of late November shows: %s', (today, isShown) => {
    const keys = names(lists(isoDate(today)).doable.map((one) => one.task));
    expect(keys.includes('unit:5/cedar-woodland/fell')).toBe(isShown);
  });

  it('never lists a task tied to a burn day, which has no dates before the call', () => {
    const { doable } = lists(isoDate('2027-01-15'));
    expect(names(doable.map((one) => one.task))).toEqual(['block:1/cedar-woodland/burn']);
  });

  it('lets go of a task that an entry has answered', () => {
    const operation = fakeOperation();
    operation.entries.push(fakeEntry(20, 2, 'cure-check', '2026-11-08'));
    expect(names(lists(fakeToday, operation).doable.map((one) => one.task))).toEqual([
      'unit:4/old-field-spray/spray',
    ]);
  });

  it('lets go of tasks of land that is gone', () => {
    const operation = fakeOperation();
    operation.blocks = operation.blocks.filter((block) => block.id !== 4);
    operation.units = operation.units.filter((unit) => unit.id !== 4);
    operation.entries = operation.entries.filter((entry) => entry.unitId !== 4);
    expect(names(lists(fakeToday, operation).doable.map((one) => one.task))).toEqual([
      'unit:2/cedar-woodland/cure-check',
    ]);
  });
});

describe('windows that close', () => {
  // The spray window closes 25 Nov: 30 days before is 26 Oct.
  it.each([
    ['2026-10-25', []],
    ['2026-10-26', ['2026-11-25']],
    ['2026-11-25', ['2026-11-25']],
    ['2026-11-26', []],
  ])('on %s', (today, closes) => {
    const { closing } = lists(isoDate(today));
    const spray = closing.filter((one) => one.task.treatmentKey === 'foliar-spray');
    expect(spray.map((one) => one.closesOn)).toEqual(closes);
  });

  it('names work that the plan left out while its window is still open', () => {
    const { closing } = lists(isoDate('2027-03-20'));
    // Leaf-out 12 Apr less 7 days is 5 Apr; 1 Apr is earlier.
    expect(closing.find((one) => !one.isPlanned)).toMatchObject({
      closesOn: '2027-04-01',
      task: { key: 'block:7/cedar-woodland/burn/2/-' },
    });
  });

  it('leaves out work that is planned for a later opening', () => {
    const plan = fakePlan();
    plan.content.tasks = [
      fakeTask('unit:4/old-field-spray/spray/1/-', '2027-10-20', '2027-10-22', {
        treatmentKey: 'foliar-spray',
        family: 'spray',
      }),
    ];
    plan.content.leftOut = [];
    expect(lists(fakeToday, fakeOperation(), plan).closing).toEqual([]);
  });
});

describe('the fire record', () => {
  it('puts overdue units first and no fire on record after them', () => {
    expect(lists().overdue.map((one) => [one.unit.code, one.status.kind])).toEqual([
      ['N1', 'overdue'],
      ['E2', 'no-fire-on-record'],
      ['N2', 'no-fire-on-record'],
    ]);
  });

  it('keeps a burn open until it is signed out', () => {
    const operation = fakeOperation();
    expect(lists(fakeToday, operation).openBurns.map((one) => one.unit.code)).toEqual(['E1']);
    for (const entry of operation.entries) entry.signedOutOn = fakeToday;
    expect(lists(fakeToday, operation).openBurns).toEqual([]);
  });

  it('does not ask to sign out a fire that nobody here lit', () => {
    const operation = fakeOperation();
    for (const entry of operation.entries) entry.fireCause = 'wild';
    expect(lists(fakeToday, operation).openBurns).toEqual([]);
  });
});

describe('felled fuel', () => {
  it('names its use-by: the end of the burn season before the third leaf-out after felling', () => {
    // Felled 12 Dec 2024; leaf-outs 12 Apr 2025, 2026 and 2027; burn season to the earlier of 1 Apr and 5 Apr.
    expect(lists().useBys).toMatchObject([
      { block: { code: 'N2' }, felledOn: '2024-12-12', useByOn: '2027-04-01' },
    ]);
    expect(lists().useBys[0]?.burn?.key).toBe('block:2/cedar-woodland/burn/1/-');
  });

  // 180 days before 1 Apr 2027 is 3 Oct 2026.
  it.each([
    ['2026-10-02', 0],
    ['2026-10-03', 1],
  ])('on %s: %d', (today, count) => expect(lists(isoDate(today)).useBys).toHaveLength(count));

  it('is no longer named once it is burned', () => {
    const operation = fakeOperation();
    operation.entries.push(fakeEntry(20, 2, 'dormant-burn', '2026-11-08'));
    expect(lists(fakeToday, operation).useBys).toEqual([]);
  });

  it('brings its check up', () => {
    expect(names(lists().checks)).toEqual(['unit:2/cedar-woodland/cure-check']);
    expect(lists(isoDate('2026-09-16')).checks).toEqual([]);
    expect(lists(isoDate('2026-11-17')).checks).toEqual([]);
  });
});

describe('the rest', () => {
  it('asks about planned work whose dates passed without an entry', () => {
    expect(names(lists().stale)).toEqual(['block:1/cedar-woodland/line']);
    expect(lists(isoDate('2026-11-04')).stale).toEqual([]);
  });

  it.each([
    ['2026-10-31', 0],
    ['2026-11-01', 1],
    ['2026-11-24', 1],
    ['2026-11-25', 0],
  ])('no-work dates in force on %s: %d', (today, count) => {
    const { noWork } = lists(isoDate(today));
    expect(noWork).toHaveLength(count);
    if (count > 0) expect(noWork[0]?.propertyNames).toEqual(['Fernhill Ridge']);
  });

  it('takes today in each property, not once for all', () => {
    const { noWork } = todayLists(fakeOperation(), null, (property) =>
      isoDate(property.id === 1 ? '2026-10-31' : '2026-11-01'),
    );
    expect(noWork).toEqual([]);
  });

  it('says nothing of plans without a plan', () => {
    const found = todayLists(fakeOperation(), null, () => fakeToday);
    expect([found.doable, found.closing, found.stale, found.checks]).toEqual([[], [], [], []]);
    expect(found.overdue).toHaveLength(3);
  });
});

describe('jobs to book', () => {
  const job = {
    id: 1,
    crewId: 2,
    state: 'asked' as const,
    unitIds: [1],
    from: isoDate('2027-03-01'),
    until: isoDate('2027-03-05'),
    priceBasis: 'day' as const,
    priceUsd: 0,
    moveInUsd: 0,
    daysLeast: 0,
    bookBy: isoDate('2026-12-01'),
    note: '',
  };
  // 60 days ahead: 1 December shows from 2 October on.
  it.each([
    ['2026-10-01', job, []],
    ['2026-10-02', job, [false]],
    ['2026-12-01', job, [false]],
    ['2026-12-02', job, [true]],
    ['2027-03-06', job, []],
    ['2026-11-09', { ...job, state: 'signed' as const }, []],
    ['2026-11-09', { ...job, bookBy: null }, []],
    ['2026-11-09', { ...job, unitIds: [] }, [false]],
  ])('on %s', (today, booking, expected) => {
    const operation = { ...fakeOperation(), bookings: [booking] };
    expect(lists(isoDate(today), operation).bookBy.map(({ isLate }) => isLate)).toEqual(expected);
  });
});
