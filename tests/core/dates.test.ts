import fc from 'fast-check';
import { DateTime } from 'luxon';
import { describe, expect, test } from 'vitest';
import {
  addDays,
  addYears,
  type DateRange,
  daysBetween,
  fromDay,
  intersect,
  isoDate,
  mondayOfDay,
  parseIsoDate,
  rangeHolds,
  subtract,
  toDay,
  union,
  weekday,
} from '../../src/core/dates.ts';

const days = fc.integer({ min: toDay(isoDate('1901-01-01')), max: toDay(isoDate('2199-12-31')) });
const ranges = fc.array(
  fc.tuple(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 1, max: 90 })).map(
    ([from, length]): DateRange => ({
      startsOn: fromDay(20000 + from),
      endsBefore: fromDay(20000 + from + length),
    }),
  ),
  { maxLength: 6 },
);

// Oracle: luxon, a general-purpose date library, in UTC.
describe('day arithmetic agrees with luxon', () => {
  test('day numbers, text and weekdays', () => {
    fc.assert(
      fc.property(days, (day) => {
        const other = DateTime.fromMillis(day * 86_400_000, { zone: 'utc' });
        expect(fromDay(day)).toBe(other.toISODate());
        expect(toDay(fromDay(day))).toBe(day);
        expect(weekday(fromDay(day))).toBe(other.weekday);
        expect(fromDay(mondayOfDay(day))).toBe(other.startOf('week').toISODate());
      }),
    );
  });

  test('adding days and years', () => {
    fc.assert(
      fc.property(days, fc.integer({ min: -800, max: 800 }), (day, step) => {
        const date = fromDay(day);
        const other = DateTime.fromISO(date, { zone: 'utc' });
        expect(addDays(date, step)).toBe(other.plus({ days: step }).toISODate());
        expect(addYears(date, Math.trunc(step / 100))).toBe(
          other.plus({ years: Math.trunc(step / 100) }).toISODate(),
        );
        expect(daysBetween(date, addDays(date, step))).toBe(step);
      }),
    );
  });
});

describe('parsing', () => {
  test.each([
    ['2026-02-28', true],
    ['2026-02-29', false],
    ['2024-02-29', true],
    ['1900-02-29', false],
    ['2000-02-29', true],
    ['2026-2-1', false],
    ['2026-13-01', false],
    ['2026-04-31', false],
    ['1899-12-31', false],
    ['20260401', false],
  ])('%s is a date: %s', (text, isDate) => {
    expect(parseIsoDate(text) !== null).toBe(isDate);
  });
});

describe('range algebra', () => {
  const probe = Array.from({ length: 500 }, (_, i) => fromDay(20000 + i));
  const holds = (list: readonly DateRange[], at: (typeof probe)[number]) =>
    list.some((range) => rangeHolds(range, at));

  test('union and subtract agree with sets of days', () => {
    fc.assert(
      fc.property(ranges, ranges, (a, b) => {
        const joined = union(a);
        const left = subtract(a, b);
        for (const at of probe) {
          expect(holds(joined, at)).toBe(holds(a, at));
          expect(holds(left, at)).toBe(holds(a, at) && !holds(b, at));
        }
        for (let i = 1; i < joined.length; i++)
          expect(joined[i]!.startsOn > joined[i - 1]!.endsBefore).toBe(true);
      }),
      { numRuns: 60 },
    );
  });

  test('intersect is the common days', () => {
    fc.assert(
      fc.property(ranges, ranges, (a, b) => {
        const [x, y] = [a[0], b[0]];
        if (!x || !y) return;
        const common = intersect(x, y);
        for (const at of probe)
          expect(common ? rangeHolds(common, at) : false).toBe(
            rangeHolds(x, at) && rangeHolds(y, at),
          );
      }),
      { numRuns: 60 },
    );
  });
});
