import { describe, expect, it } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { parseSpans, spansText } from '../../src/web/forms/spans.ts';
import { windowWords } from '../../src/web/pages/sequences.ts';
import * as words from '../../src/web/words.ts';
import { fakeOperation } from '../support/operation.ts';

describe('dates in words', () => {
  it.each([
    ['2027-03-04', '2027-03-04', '4 Mar 2027'],
    ['2027-03-04', '2027-03-18', '4 to 18 Mar 2027'],
    ['2027-02-28', '2027-03-03', '28 Feb to 3 Mar 2027'],
    ['2026-12-28', '2027-01-03', '28 Dec 2026 to 3 Jan 2027'],
    ['2026-03-04', '2027-03-04', '4 Mar 2026 to 4 Mar 2027'],
  ])('%s to %s', (first, last, expected) =>
    expect(words.span(isoDate(first), isoDate(last))).toBe(expected),
  );

  it.each([
    ['2027-03-04', 'today'],
    ['2027-03-05', 'in 1 day'],
    ['2027-03-02', '2 days ago'],
  ])('%s seen from 4 March', (at, expected) =>
    expect(words.fromToday(isoDate('2027-03-04'), isoDate(at))).toBe(expected),
  );

  it('tell an entry to its precision', () => {
    expect(words.entryDate(isoDate('2024-01-01'), 'month')).toBe('Jan 2024');
    expect(words.entryDate(isoDate('2024-01-01'), 'year')).toBe('2024');
  });
});

describe('amounts in words', () => {
  it.each([
    [words.acres(1), '1 acre'],
    [words.acres(1234.56), '1,234.6 acres'],
    [words.crewDays(25), '2.5 crew days'],
    [words.crewDays(10), '1 crew day'],
    [words.money(20_300), '$20,300'],
    [words.list(['a', 'b', 'c']), 'a, b and c'],
    [words.list(['a']), 'a'],
    [words.list([]), ''],
  ])('%s', (said, expected) => expect(said).toBe(expected));
});

describe('windows in words', () => {
  it('name anchors and the earlier of two ends', () => {
    const burn = fakeOperation().treatments.find((one) => one.key === 'dormant-burn')!;
    expect(windowWords(burn.windows)).toBe(
      '7 days after leaf fall to the earlier of 1 Apr and 7 days before leaf-out',
    );
    expect(windowWords([])).toBe('any day of the year');
  });
});

describe('spans as people write them', () => {
  it('come back as they were written', () => {
    const text = '2026-12-24 to 2027-01-03\n2027-02-01';
    const { ranges, problems } = parseSpans(`${text}\r\n\n`, 'daysOff', 'Days off');
    expect(problems).toEqual([]);
    expect(ranges[0]).toEqual({ startsOn: '2026-12-24', endsBefore: '2027-01-04' });
    expect(spansText(ranges)).toBe(text);
  });
});
