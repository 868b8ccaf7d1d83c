import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fromDay, isoDate, toDay } from '../../src/core/dates.ts';
import { type HistoryDateChoices, readHistoryDate } from '../../src/core/history-dates.ts';

const today = isoDate('2026-11-09');
const open: HistoryDateChoices = { order: null, twoDigitYears: null };
const read = (text: string, choices: Partial<HistoryDateChoices> = {}) =>
  readHistoryDate(text, { ...open, ...choices }, today);
const said = (text: string, choices: Partial<HistoryDateChoices> = {}) => {
  const reading = read(text, choices);
  return reading.kind === 'date'
    ? `${reading.value.date} ${reading.value.precision}`
    : reading.kind;
};

// How people write dates in the United States: common practice, no source. Year first is ISO 8601.
describe('a date in a table of old work', () => {
  it.each([
    ['2019', '2019-01-01 year'],
    [' 2019 ', '2019-01-01 year'],
    ['2019-03', '2019-03-01 month'],
    ['3/2019', '2019-03-01 month'],
    ['03-2019', '2019-03-01 month'],
    ['Mar 2019', '2019-03-01 month'],
    ['MARCH 2019', '2019-03-01 month'],
    ['Sept. 2019', '2019-09-01 month'],
    ['2019 march', '2019-03-01 month'],
    ['2019-03-14', '2019-03-14 day'],
    ['2019/3/14', '2019-03-14 day'],
    ['3/14/2019', '2019-03-14 day'],
    ['14/3/2019', '2019-03-14 day'],
    ['14.3.2019', '2019-03-14 day'],
    ['3/3/2019', '2019-03-03 day'],
    ['14 March 2019', '2019-03-14 day'],
    ['March 14, 2019', '2019-03-14 day'],
    ['mar 3rd 2019', '2019-03-03 day'],
    ['29 Feb 2020', '2020-02-29 day'],
  ])('%s is %s', (text, meaning) => {
    expect(said(text)).toBe(meaning);
    expect(read(text)).toMatchObject({ value: { isDoubtful: false } });
  });

  it.each([
    ['3/4/2019', 'month-first', '2019-03-04 day'],
    ['3/4/2019', 'day-first', '2019-04-03 day'],
  ] as const)('%s is asked, and with %s it is %s', (text, order, meaning) => {
    expect(read(text)).toEqual({ kind: 'ask', about: 'order' });
    expect(said(text, { order })).toBe(meaning);
  });

  it.each([
    ['march 19', '2019-03-01 month'],
    ["'19", '2019-01-01 year'],
    ['87', '1987-01-01 year'],
    ['3/14/19', '2019-03-14 day'],
    ['14 mar 98', '1998-03-14 day'],
    ['26', '2026-01-01 year'],
    ['27', '1927-01-01 year'],
  ])('the two digits of %s are asked, and then it is %s', (text, meaning) => {
    expect(read(text)).toEqual({ kind: 'ask', about: 'two-digit-years' });
    expect(said(text, { twoDigitYears: 'latest-past' })).toBe(meaning);
  });

  it.each(['2019?', 'about 2019', 'ca. 2019', '~ 2019', 'Mar 2019?'])(
    '%s is marked doubtful',
    (text) => {
      expect(read(text)).toMatchObject({ kind: 'date', value: { isDoubtful: true } });
    },
  );

  it.each([
    ['', null],
    ['spring 2019', 2019],
    ['winter 2018-2019', null],
    ['burned', null],
    ['30 Feb 2019', 2019],
    ['13/13/2019', 2019],
    ['2019-13-01', 2019],
    ['1850', null],
    ['43538', null],
  ])('"%s" is not read; the year that can be made out: %s', (text, year) => {
    const reading = read(text, { twoDigitYears: 'latest-past' });
    expect(reading).toEqual({ kind: 'unreadable', year });
  });

  it.each(['2027', '2026-11-10', 'Dec 2026'])('%s is after today', (text) => {
    expect(read(text)).toEqual({ kind: 'future' });
  });

  it('reads every day that it is given in ISO 8601 and with the month as a word', () => {
    const months = 'Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec'.split(' ');
    fc.assert(
      fc.property(fc.integer({ min: toDay(isoDate('1900-01-01')), max: toDay(today) }), (day) => {
        const date = fromDay(day);
        const [year, month, dayOfMonth] = date.split('-');
        const word = months[Number(month) - 1];
        for (const text of [
          date,
          `${Number(dayOfMonth)} ${word} ${year}`,
          `${word} ${dayOfMonth}, ${year}`,
        ])
          expect(said(text)).toBe(`${date} day`);
      }),
      { numRuns: 100 },
    );
  });
});
