import { describe, expect, it } from 'vitest';
import { fromDay } from '../../../src/core/dates.ts';
import {
  followersOf,
  spreadOf,
  sumOfFollowers,
} from '../../../src/core/weather/fit-day-figures.ts';
import type { DayVerdict } from '../../../src/core/weather/fit-days.ts';

const words = { f: 'fit', u: 'unfit', x: 'unknown' } as const;

/** A row of days from 1 January 1970 on; a blank is a day that is not there. */
function days(row: string): DayVerdict[] {
  return [...row].flatMap((sign, day): DayVerdict[] =>
    sign === ' '
      ? []
      : [
          {
            date: fromDay(day),
            verdict: words[sign as 'f'],
            hoursInRow: 0,
            unknownHours: 0,
          },
        ],
  );
}

describe('what follows a fit day', () => {
  it.each([
    ['ffuuf', { days: 2, fit: 1 }, { days: 2, fit: 1 }],
    ['fxf', { days: 0, fit: 0 }, { days: 0, fit: 0 }],
    ['f f', { days: 0, fit: 0 }, { days: 0, fit: 0 }],
    ['ffff', { days: 3, fit: 3 }, { days: 0, fit: 0 }],
  ])('%s', (row, afterFit, afterUnfit) => {
    const found = followersOf(days(row));
    expect(sumOfFollowers(found.afterFit)).toEqual(afterFit);
    expect(sumOfFollowers(found.afterUnfit)).toEqual(afterUnfit);
  });

  it('counts by the month of the second day', () => {
    const found = followersOf(days(`${'u'.repeat(30)}ff`));
    expect(found.afterFit[1]).toEqual({ days: 1, fit: 1 });
    expect(found.afterUnfit[0]).toEqual({ days: 30, fit: 1 });
  });
});

describe('spread over years', () => {
  it('takes the 5th and the 37th of 41 years', () => {
    const years = Array.from({ length: 41 }, (_, index) => 41 - index);
    expect(spreadOf(years)).toEqual({ mean: 21, p10: 5, p90: 37 });
  });

  it('stays with the one year there is, and says nothing without', () => {
    expect(spreadOf([4])).toEqual({ mean: 4, p10: 4, p90: 4 });
    expect(spreadOf([])).toBeNull();
  });
});
