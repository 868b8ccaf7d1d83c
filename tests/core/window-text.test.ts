import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { monthDay } from '../../src/core/dates.ts';
import { lagLengthText, readLagLength } from '../../src/core/lag-text.ts';
import { lagWords } from '../../src/core/lags.ts';
import { anchorNames, type SeasonalWindow, type WindowEnd } from '../../src/core/seasons.ts';
import type { LagLength } from '../../src/core/sequences.ts';
import {
  readWindowEnd,
  readWindows,
  windowEndText,
  windowsText,
} from '../../src/core/window-text.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { windowWords } from '../../src/web/pages/sequences.ts';

const monthDays = fc
  .tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 28 }))
  .map((parts) => monthDay(parts.map((part) => String(part).padStart(2, '0')).join('-')));

const { end: anyEnd } = fc.letrec<{ end: WindowEnd }>((tie) => ({
  end: fc.oneof(
    { depthSize: 'small', maxDepth: 3 },
    fc.record({ at: monthDays }),
    fc.record({
      anchor: fc.constantFrom(...anchorNames),
      plusDays: fc.integer({ min: -180, max: 180 }),
    }),
    fc.record({ earlierOf: fc.tuple(tie('end'), tie('end')) }),
    fc.record({ laterOf: fc.tuple(tie('end'), tie('end')) }),
  ),
}));
const anyWindow = fc.record({ opens: anyEnd, closes: anyEnd });

describe('windows as text', () => {
  test('every window comes back from its text', () => {
    fc.assert(
      fc.property(fc.array(anyWindow, { maxLength: 4 }), (windows) => {
        expect(readWindows(windowsText(windows))).toEqual({ ok: true, value: windows });
      }),
    );
  });

  test('every end comes back from its text', () => {
    fc.assert(
      fc.property(anyEnd, (end) => {
        expect(readWindowEnd(windowEndText(end))).toEqual({ ok: true, value: end });
      }),
    );
  });

  test('what screens show of the published windows can be typed in again', () => {
    for (const { key, windows } of loadLibrary().treatments)
      for (const window of windows)
        expect([key, readWindows(windowWords([window]))]).toEqual([
          key,
          { ok: true, value: [window] },
        ]);
  });

  const at = (text: string) => ({ at: monthDay(text) });
  const cases: [string, SeasonalWindow[]][] = [
    ['11-01 to 03-31', [{ opens: at('11-01'), closes: at('03-31') }]],
    [' 1-5 To 2-29 ', [{ opens: at('01-05'), closes: at('02-29') }]],
    ['1 November to 31 Mar', [{ opens: at('11-01'), closes: at('03-31') }]],
    [
      'Leaf Fall+7 to the earlier of 04-01 and leaf-out - 7 days',
      [
        {
          opens: { anchor: 'leaf-fall', plusDays: 7 },
          closes: { earlierOf: [at('04-01'), { anchor: 'leaf-out', plusDays: -7 }] },
        },
      ],
    ],
    [
      'green-up to warm-season-start\n\n08-01 to 09-30',
      [
        {
          opens: { anchor: 'green-up', plusDays: 0 },
          closes: { anchor: 'warm-season-start', plusDays: 0 },
        },
        { opens: at('08-01'), closes: at('09-30') },
      ],
    ],
  ];
  test.each(cases)('%s', (text, windows) => {
    expect(readWindows(text)).toEqual({ ok: true, value: windows });
  });

  test.each([
    ['11-01', 'line 1: write first and last day with "to" between'],
    ['11-01 to 03-31\n13-01 to 03-31', 'line 2: the first day can not be read'],
    ['11-01 to 02-30', 'line 1: the last day can not be read'],
    ['11-01 to 03-31 or so', 'line 1: the last day can not be read'],
    ['11-01 to leaf-out - 181', 'line 1: the last day can not be read'],
    ['11-01 to earlier of 04-01', 'line 1: the last day can not be read'],
    ['spring to fall', 'line 1: the first day can not be read'],
  ])('%s is refused', (text, fault) => {
    expect(readWindows(text)).toEqual({ ok: false, fault: expect.stringContaining(fault) });
  });
});

describe('lags as text', () => {
  const lengths: fc.Arbitrary<LagLength> = fc
    .record(
      {
        growingSeasons: fc.integer({ min: 0, max: 20 }),
        burningSeasons: fc.integer({ min: 0, max: 20 }),
        years: fc.integer({ min: 0, max: 20 }),
        days: fc.integer({ min: 0, max: 7300 }),
      },
      { requiredKeys: [] },
    )
    .filter((length) => Object.keys(length).length > 0);

  test('every length comes back from its text', () => {
    fc.assert(
      fc.property(lengths, (length) => {
        expect(readLagLength(lagLengthText(length))).toEqual({ ok: true, value: length });
      }),
    );
  });

  test('the words that screens show can be typed in again', () => {
    const length = { growingSeasons: 1, days: 300 };
    expect(lagWords(length)).toBe('one growing season and 300 days');
    expect(readLagLength(lagWords(length))).toEqual({ ok: true, value: length });
  });

  test.each([
    ['', 'write such as 300 days'],
    ['soon', 'write such as 300 days'],
    ['3', 'write such as 300 days'],
    ['3 days and 4 days', 'days stand there twice'],
    ['-3 days', 'write such as 300 days'],
    ['9999 days', 'at most 7300 days'],
    ['21 growing seasons', 'at most 20 growing seasons'],
  ])('"%s" is refused', (text, fault) => {
    expect(readLagLength(text)).toEqual({ ok: false, fault: expect.stringContaining(fault) });
  });
});
