import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import {
  type HistoryChoices,
  type HistoryField,
  leaveOut,
  readHistory,
} from '../../src/core/history-import.ts';
import type { Operation } from '../../src/core/operation.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';

const operation: Operation = { ...fakeOperation(), entries: [] };

const cells = (own: Partial<Record<HistoryField, string>>, line = 2) => ({
  unit: 'N1',
  date: '2019-03-14',
  work: 'burn',
  share_black: '',
  cause: '',
  acres: '',
  note: '',
  line,
  part: 1,
  ...own,
});
const read = (
  rows: Partial<Record<HistoryField, string>>[],
  choices: HistoryChoices = {},
  land = operation,
) =>
  readHistory(
    rows.map((row, index) => cells(row, index + 2)),
    land,
    1,
    fakeToday,
    choices,
  );
const one = (own: Partial<Record<HistoryField, string>>, choices: HistoryChoices = {}) =>
  read([own], choices)[0]!;

describe('the meaning of a row', () => {
  it.each([
    [
      { date: 'Mar 2019', share_black: '80', work: 'Rx' },
      'N1: planned fire (dormant-season burn), some day in March 2019, 80 % black',
    ],
    [
      { work: 'BURN', share_black: '80 %' },
      'N1: fire, cause not noted (dormant-season burn), 14 March 2019, 80 % black',
    ],
    [
      { unit: ' n1 ', cause: 'Wild' },
      'N1: wildfire (dormant-season burn), 14 March 2019, share black not noted, counts as whole',
    ],
    [
      { work: 'wildfire', acres: '12 ac' },
      'N1: wildfire (dormant-season burn), 14 March 2019, share black not noted, counts as whole, 12 acres',
    ],
    [{ work: 'fell  CEDAR', acres: '1,200' }, 'N1: Fell cedar, 14 March 2019, 1200 acres'],
    [{ work: 'foliar-spray', date: '10/2018' }, 'N1: Foliar spray, some day in October 2018'],
    [
      { cause: "Neighbor's" },
      "N1: neighbor's fire (dormant-season burn), 14 March 2019, share black not noted, counts as whole",
    ],
  ])('%j', (own, meaning) => {
    expect(one(own)).toMatchObject({ state: 'clear', meaning, questions: [] });
  });

  it('makes an entry of the work log of it', () => {
    const row = one({
      date: 'Mar 2019?',
      work: 'rx',
      share_black: '80',
      note: 'SE corner unburned',
    });
    expect(row.entry).toEqual({
      unitId: 1,
      treatmentKey: 'dormant-burn',
      taskKey: null,
      startedOn: null,
      doneOn: '2019-03-01',
      precision: 'month',
      outcome: 'done',
      reason: '',
      areaAcres: null,
      crewDays: null,
      personHours: null,
      shareBlackPercent: 80,
      fireCause: 'planned',
      signedOutOn: '2019-03-01',
      note: 'SE corner unburned Date as written: Mar 2019?.',
    });
  });

  it('leaves a fire of the last 30 days open, so that somebody says that it is out', () => {
    expect(
      one({ date: '2026-11-01', work: 'rx' }, { 'burn:november': 'dormant-burn' }).entry,
    ).toMatchObject({ signedOutOn: null });
  });
});

describe('what has two readings, or none, is asked', () => {
  it.each([
    [{ unit: 'N99' }, 'unit:n99', '3', { unitId: 3 }],
    [{ unit: '' }, 'unit-of:2', '3', { unitId: 3 }],
    [
      { work: 'cut' },
      'work:cut',
      'cedar-felling',
      { treatmentKey: 'cedar-felling', fireCause: null },
    ],
    [{ work: '' }, 'work:', 'fire', { treatmentKey: 'dormant-burn' }],
    [
      { date: '3/4/2019' },
      'order',
      'day-first',
      { doneOn: '2019-04-03' },
      { 'burn:april': 'dormant-burn' },
    ],
    [
      { date: 'march 19' },
      'two-digit-years',
      'latest-past',
      { doneOn: '2019-03-01', precision: 'month' },
    ],
    [{ date: '2019' }, 'burn:year', 'dormant-burn', { doneOn: '2019-01-01', precision: 'year' }],
    [{ date: 'July 2019' }, 'burn:july', 'dormant-burn', { doneOn: '2019-07-01' }],
    [
      { date: 'spring 2019' },
      'date:spring 2019',
      'year',
      { precision: 'year', note: 'Date as written: spring 2019.' },
      { 'burn:year': 'dormant-burn' },
    ],
    [{ cause: 'lightning' }, 'cause:lightning', 'wild', { fireCause: 'wild' }],
    [{ work: 'rx', cause: 'wild' }, 'cause:rx/wild', 'planned', { fireCause: 'planned' }],
    [{ share_black: '0.8' }, 'black:0.8', 'share', { shareBlackPercent: 80 }],
    [{ share_black: '0.8' }, 'black:0.8', 'percent', { shareBlackPercent: 0.8 }],
    [
      { share_black: 'most' },
      'black:most',
      'blank',
      { shareBlackPercent: null, note: 'Share black as written: most.' },
    ],
    [{ share_black: '180' }, 'black:180', 'blank', { shareBlackPercent: null }],
    [{ acres: '-3' }, 'acres:-3', 'blank', { areaAcres: null, note: 'Acres as written: -3.' }],
  ] as [Partial<Record<HistoryField, string>>, string, string, object, HistoryChoices?][])(
    '%j asks %s, and %s settles it',
    (own, key, answer, entry, others = {}) => {
      const asked = one(own, others);
      expect(asked).toMatchObject({ state: 'unclear', entry: null });
      expect(asked.questions).toContainEqual(expect.objectContaining({ key, chosen: '' }));
      expect(one(own, { ...others, [key]: answer })).toMatchObject({ state: 'clear', entry });
      expect(one(own, { ...others, [key]: leaveOut })).toMatchObject({
        state: 'left-out',
        entry: null,
      });
      expect(one(own, { ...others, [key]: 'no such answer' })).toMatchObject({ state: 'unclear' });
    },
  );

  it('offers nothing but leaving out for a day to come and an unreadable date', () => {
    for (const date of ['2031', 'long ago'])
      expect(one({ date }).questions[0]?.options.map(({ key }) => key)).toEqual([leaveOut]);
  });

  it('keeps what is known of the black share of other work in the note', () => {
    expect(one({ work: 'fell cedar', share_black: '40' }).entry).toMatchObject({
      shareBlackPercent: null,
      note: 'Share black as written: 40.',
    });
  });

  it('asks which unit is meant where two properties have the code', () => {
    const units = [...operation.units, { ...operation.units[0]!, id: 99, propertyId: 2 }];
    const rows = readHistory([cells({})], { ...operation, units }, null, fakeToday, {});
    expect(rows[0]?.questions[0]).toMatchObject({
      key: 'unit:n1',
      options: [{ key: '1' }, { key: '99' }, { key: leaveOut }],
    });
  });
});

describe('entries that are there already', () => {
  const onFile = one({ work: 'rx' }).entry!;
  const land = { ...operation, entries: [{ ...onFile, id: 7 }] };

  it('leaves the same one out unless told otherwise', () => {
    expect(read([{}], {}, land)[0]).toMatchObject({
      state: 'left-out',
      why: 'The work log has it already (14 March 2019).',
    });
    expect(read([{}], { 'twice:2.1': 'take' }, land)[0]).toMatchObject({ state: 'clear' });
  });

  it.each([
    ['Mar 2019', 'unclear'],
    ['2019', 'unclear'],
    ['2019-03-15', 'clear'],
    ['Feb 2019', 'clear'],
  ])('%s beside 14 March 2019 is %s', (date, state) => {
    const [row] = read([{ date }], { 'burn:year': 'dormant-burn' }, land);
    expect(row).toMatchObject({ state });
  });

  it('takes several fires a year and asks about rows that may be one', () => {
    const rows = read([
      { date: 'Feb 2019' },
      { date: 'Mar 2019' },
      { date: '2019-03-14' },
      { work: 'fell cedar', date: '2019-03-14' },
    ]);
    expect(rows.map(({ state }) => state)).toEqual(['clear', 'clear', 'unclear', 'clear']);
    expect(rows[2]?.why).toBe('It may be the same as row 3 of this file.');
  });

  it('does not count an entry of another unit or day', () => {
    const other = { ...onFile, id: 8, unitId: 2, doneOn: isoDate('2019-03-14') };
    const [row] = read([{}], {}, { ...operation, entries: [other] });
    expect(row).toMatchObject({ state: 'clear' });
  });
});
