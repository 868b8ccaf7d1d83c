import { describe, expect, it } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import {
  earliestAfter,
  type LagCalendar,
  lagRule,
  lagWords,
  latestAfter,
  useByOf,
} from '../../src/core/lags.ts';
import type { SeasonalWindow } from '../../src/core/seasons.ts';
import type { Lag, LagLength } from '../../src/core/sequences.ts';

/** Leaf-out 12 April, in 2028 observed on 2 April; growing season to 1 October; burning season from 1 July. */
const calendar: LagCalendar = {
  anchors: {
    usual: {
      'leaf-out': monthDay('04-12'),
      'leaf-fall': monthDay('11-05'),
      'green-up': monthDay('03-20'),
      'warm-season-start': monthDay('05-01'),
    },
    byYear: [{ anchor: 'leaf-out', year: 2028, date: isoDate('2028-04-02'), how: 'observed' }],
  },
  growingSeasonEnd: monthDay('10-01'),
  burningSeasonStart: monthDay('07-01'),
};

/** Cases worked out by hand from the project's own definitions of lags, seasons and cure; no outside source. */
const leastCases: [string, LagLength, string, string][] = [
  ['no length is the same day', {}, '2027-01-15', '2027-01-15'],
  ['0 days is the same day', { days: 0 }, '2027-01-15', '2027-01-15'],
  ['days run over New Year', { days: 20 }, '2026-12-20', '2027-01-09'],
  ['years keep the date', { years: 2 }, '2026-03-05', '2028-03-05'],
  ['29 February becomes the 28th', { years: 1 }, '2028-02-29', '2029-02-28'],
  [
    'ended before leaf-out: this growing season counts',
    { growingSeasons: 1 },
    '2027-04-11',
    '2027-10-01',
  ],
  [
    'ended on leaf-out: only the next one counts',
    { growingSeasons: 1 },
    '2027-04-12',
    '2028-10-01',
  ],
  [
    'the leaf-out of a year overrides the usual one',
    { growingSeasons: 1 },
    '2028-04-05',
    '2029-10-01',
  ],
  ['two growing seasons', { growingSeasons: 2 }, '2026-12-20', '2028-10-01'],
  ['next burning season starts on 1 July', { burningSeasons: 1 }, '2027-03-05', '2027-07-01'],
  ['30 June is still the old season', { burningSeasons: 1 }, '2027-06-30', '2027-07-01'],
  ['1 July is the new one', { burningSeasons: 1 }, '2027-07-01', '2028-07-01'],
  ['two burning seasons over New Year', { burningSeasons: 2 }, '2026-11-20', '2028-07-01'],
  ['cure: the growing season binds', { growingSeasons: 1, days: 300 }, '2026-11-20', '2027-10-01'],
  ['cure: the days bind', { growingSeasons: 1, days: 300 }, '2027-03-20', '2028-01-14'],
];

const mostCases: [string, LagLength, string, string][] = [
  ['days', { days: 200 }, '2026-10-15', '2027-05-03'],
  ['years', { years: 3 }, '2027-03-05', '2030-03-05'],
  [
    'three growing seasons: the day before the third leaf-out',
    { growingSeasons: 3 },
    '2026-12-20',
    '2029-04-11',
  ],
  [
    'three growing seasons from a day after leaf-out',
    { growingSeasons: 3 },
    '2027-05-20',
    '2030-04-11',
  ],
  ['an observed leaf-out moves the last day', { growingSeasons: 2 }, '2026-12-20', '2028-04-01'],
  ['same burning season', { burningSeasons: 0 }, '2027-02-01', '2027-06-30'],
  ['to the end of the next burning season', { burningSeasons: 1 }, '2027-02-01', '2028-06-30'],
  ['the tighter part counts', { days: 400, years: 1 }, '2027-02-01', '2028-02-01'],
];

describe('lags, from last day to first day', () => {
  it.each(leastCases)('least: %s', (_, length, endedOn, expected) => {
    expect(earliestAfter(length, isoDate(endedOn), calendar)).toBe(expected);
  });

  it.each(mostCases)('most: %s', (_, length, endedOn, expected) => {
    expect(latestAfter(length, isoDate(endedOn), calendar)).toBe(expected);
  });

  // SEMANTICS 7: use-by is the end of the burn season before the third leaf-out (12 April 2029 here).
  const dormant: SeasonalWindow = {
    opens: { anchor: 'leaf-fall', plusDays: 7 },
    closes: { earlierOf: [{ at: monthDay('04-01') }, { anchor: 'leaf-out', plusDays: -7 }] },
  };
  const lateSeason: SeasonalWindow = {
    opens: { at: monthDay('08-15') },
    closes: { at: monthDay('10-15') },
  };
  it.each<[string, SeasonalWindow[], string]>([
    ['the dormant burn season ends on 1 April', [dormant], '2029-04-01'],
    ['the late season before it ends in October', [lateSeason], '2028-10-15'],
    ['of two modes the later end', [lateSeason, dormant], '2029-04-01'],
    [
      'a window that is still open then',
      [{ opens: { at: monthDay('03-01') }, closes: { at: monthDay('05-31') } }],
      '2029-04-11',
    ],
    ['no window at all', [], '2029-04-11'],
  ])('use-by: %s', (_, windows, expected) => {
    const most = { growingSeasons: 3 };
    expect(useByOf(most, isoDate('2026-12-20'), calendar, windows)).toBe(expected);
  });

  it('refuses a most lag without any length', () => {
    expect(() => latestAfter({}, isoDate('2027-01-01'), calendar)).toThrow(RangeError);
  });

  const rotationLag: Lag = {
    afterStepKey: 'burn',
    cycle: 'previous',
    kind: 'rotation',
    least: { burningSeasons: 9 },
    target: null,
    most: null,
    mostIsHard: false,
    link: 'needs',
  };

  it('takes the lengths of a rotation from the interval of the block, with a soft most', () => {
    const interval = {
      phase: 'maintenance',
      leastSeasons: 2,
      targetYears: 3,
      mostYears: 4,
    } as const;
    expect(lagRule(rotationLag, interval)).toEqual({
      least: { burningSeasons: 2 },
      target: { years: 3 },
      most: { years: 4 },
      mostIsHard: false,
    });
  });

  it('keeps the lengths of a fixed lag, and those of a rotation without an interval', () => {
    const fixed: Lag = { ...rotationLag, kind: 'fixed' };
    const interval = {
      phase: 'maintenance',
      leastSeasons: 2,
      targetYears: 3,
      mostYears: 4,
    } as const;
    expect(lagRule(fixed, interval).least).toEqual({ burningSeasons: 9 });
    expect(lagRule(rotationLag, null).least).toEqual({ burningSeasons: 9 });
  });

  it.each<[LagLength, string]>([
    [{}, 'the same day'],
    [{ days: 0 }, 'the same day'],
    [{ days: 1 }, 'one day'],
    [{ growingSeasons: 1, days: 300 }, 'one growing season and 300 days'],
    [{ burningSeasons: 2 }, '2 burning seasons'],
    [{ years: 1 }, 'one year'],
  ])('in words: %j', (length, words) => {
    expect(lagWords(length)).toBe(words);
  });
});
