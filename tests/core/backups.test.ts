import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type BackupTime, backupsToKeep } from '../../src/core/backups.ts';
import { addDays, fromDay, type IsoDate, isoDate } from '../../src/core/dates.ts';

const at = (date: string, time = '120000'): BackupTime => ({ date: isoDate(date), time });
const dates = (kept: BackupTime[]) => kept.map(({ date }) => date as string);
const daily = (last: string, count: number) =>
  Array.from({ length: count }, (_, back) => at(addDays(isoDate(last), -back)));

// Counted by hand on a calendar: 25 November 2026 is a Wednesday.
test.each([
  ['none', [], []],
  ['the newest of a day', [at('2026-11-25', '080000'), at('2026-11-25')], ['2026-11-25']],
  [
    'daily for 60 days: 7 days, the Sundays of 3 weeks before (one among the 7), the ends of months',
    daily('2026-11-25', 60),
    [
      ...['2026-11-25', '2026-11-24', '2026-11-23', '2026-11-22', '2026-11-21', '2026-11-20'],
      ...['2026-11-19', '2026-11-15', '2026-11-08', '2026-10-31', '2026-09-30'],
    ],
  ],
  [
    'a machine that stood still keeps what it has',
    [at('2026-11-25'), at('2024-03-01'), at('2021-07-09')],
    ['2026-11-25', '2024-03-01', '2021-07-09'],
  ],
])('keeps %s', (_name, backups, expected) => {
  expect(dates(backupsToKeep(backups))).toEqual(expected);
});

test('two years of daily backups leave twelve months', () => {
  const kept = dates(backupsToKeep(daily('2026-12-31', 730)));
  expect(new Set(kept.map((date) => date.slice(0, 7))).size).toBe(12);
  expect(kept.at(-1)).toBe('2026-01-31');
});

test('the newest is always kept, never more than 23, and thinning again changes nothing', () => {
  const backup = fc.record({
    date: fc.integer({ min: 20000, max: 21500 }).map((day): IsoDate => fromDay(day)),
    time: fc.integer({ min: 100000, max: 235959 }).map(String),
  });
  fc.assert(
    fc.property(fc.array(backup, { minLength: 1, maxLength: 80 }), (backups) => {
      const kept = backupsToKeep(backups);
      const newest = backups
        .map(({ date, time }) => `${date}${time}`)
        .sort()
        .at(-1);
      expect(`${kept[0]?.date}${kept[0]?.time}`).toBe(newest);
      expect(kept.length).toBeLessThanOrEqual(7 + 4 + 12);
      expect(backupsToKeep(kept)).toEqual(kept);
    }),
    { numRuns: 200 },
  );
});
