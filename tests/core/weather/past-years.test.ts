import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { isoDate } from '../../../src/core/dates.ts';
import {
  type FitHours,
  isDayUsed,
  type PastBurn,
  pastDayOf,
  runPastYears,
  unknownDay,
} from '../../../src/core/weather/past-years.ts';
import { dayOf, fitOn, pastBurn, pastInput } from './past-burns.ts';

const seasons = [2001, 2002, 2003, 2004];
const historyFrom = isoDate('2001-07-01');
const historyUntil = isoDate('2005-07-01');
const fitDays = (dates: string[], hours?: number) => fitOn(historyFrom, historyUntil, dates, hours);
const run = (burns: PastBurn[], own = {}) => runPastYears(pastInput(burns, seasons, own));

describe('the past day of a day of the plan', () => {
  const plan = { seasonStart: dayOf('2026-07-01'), seasons };
  test.each([
    [0, '2026-11-25', '2001-11-25'],
    [0, '2027-03-01', '2002-03-01'],
    [3, '2026-11-25', '2004-11-25'],
    // The season after the last one is the first again, whole.
    [3, '2027-11-25', '2001-11-25'],
    [0, '2028-02-29', '2003-02-28'],
    [1, '2028-02-29', '2004-02-29'],
    [1, '2028-03-01', '2004-03-01'],
  ])('trial %i, %s is %s', (trial, planDay, pastDay) => {
    expect(pastDayOf(plan, trial, dayOf(planDay))).toBe(dayOf(pastDay));
  });
});

describe('a burn alone', () => {
  test('is done in the years that have a fit day in its window, on the first of them', () => {
    const [burn] = run([
      pastBurn(fitDays(['2002-02-10', '2002-02-20', '2003-03-31', '2004-04-01']), 4),
    ]).burns;
    expect(burn?.doneOn).toEqual(['2027-02-10', '2027-03-31', null, null]);
    expect(burn?.chance).toMatchObject({ done: 2, of: 4 });
    expect(burn?.medianOn).toBe('2027-02-10');
    expect(burn?.heldBack).toEqual({ cause: 'weather', times: 2 });
  });

  test('waits until what comes before it is done', () => {
    const late = { readyFrom: dayOf('2027-02-15') };
    const [burn] = run([
      pastBurn(fitDays(['2002-02-10', '2002-02-20', '2003-02-14']), 4, late),
    ]).burns;
    expect(burn?.doneOn.slice(0, 2)).toEqual(['2027-02-20', null]);
  });

  test('takes as many fit days as it needs', () => {
    const two = { daysNeeded: 2 };
    const [burn] = run([
      pastBurn(fitDays(['2002-02-10', '2002-03-20', '2003-02-14']), 4, two),
    ]).burns;
    expect(burn?.doneOn.slice(0, 2)).toEqual(['2027-03-20', null]);
  });

  test('is never done on a day whose weather is not known', () => {
    const [burn] = run([pastBurn(fitDays(['2002-02-10'], unknownDay), 4)]).burns;
    expect(burn?.chance.done).toBe(0);
    expect(burn?.doneOn).toEqual([null, null, null, null]);
  });

  const daily = fitDays(
    seasons.flatMap((year) =>
      Array.from({ length: 28 }, (_, day) => `${year + 1}-02-${String(day + 1).padStart(2, '0')}`),
    ),
  );
  const nobody = pastInput([], seasons).people.map((day) => ({ ...day, people: 5 }));
  const noBoss = nobody.map(() => ({ people: 9, bosses: 0 }));
  const trailer = { burnTrailer: 1 };
  test.each<[string, Partial<PastBurn>, object]>([
    ['people', {}, { people: nobody }],
    ['people', {}, { people: noBoss }],
    ['people', { gearKeys: ['burnTrailer'] }, {}],
    ['share', {}, { usedShare: 0 }],
    ['not-ready', { readyFrom: dayOf('2027-05-01') }, {}],
    ['window', { windows: [null, null, null, null] }, { gearCount: trailer }],
  ])('is held back by %s', (cause, own, input) => {
    const [burn] = run([pastBurn(daily, 4, own)], input).burns;
    expect(burn?.heldBack).toEqual({ cause, times: 4 });
  });

  test('is held back by the weather that is not known', () => {
    const lost: FitHours = { firstDay: dayOf('2001-07-01'), hours: new Uint8Array(0) };
    const [burn] = run([pastBurn(lost, 4)]).burns;
    expect(burn?.heldBack).toEqual({ cause: 'unknown', times: 4 });
  });

  test('counts the days of each stage', () => {
    const own = { readyFrom: dayOf('2027-02-11') };
    const [burn] = run([pastBurn(daily, 4, own)]).burns;
    expect(burn?.stages).toEqual({ window: 59, ready: 49, fit: 18, people: 18, used: 18 });
  });
});

describe('burns together', () => {
  const oneDay = ['2002-02-10', '2003-02-10', '2004-02-10', '2005-02-10'];
  test('one boss lights one of two places on a day; the other is held back by it', () => {
    const { burns } = run([
      pastBurn(fitDays(oneDay), 4, { key: 'a', plannedFrom: 5 }),
      pastBurn(fitDays(oneDay), 4, { key: 'b', plannedFrom: 4 }),
    ]);
    expect(burns.map((burn) => burn.chance.done)).toEqual([0, 4]);
    expect(burns[0]?.heldBack).toEqual({ cause: 'other-burns', times: 4 });
  });

  test('blocks near each other share a day when the fit hours hold both', () => {
    const near = { nearKey: 'hollow', lightHours: 1.5 };
    const both = (hours: number) =>
      run([
        pastBurn(fitDays(oneDay, hours), 4, { ...near, key: 'a' }),
        pastBurn(fitDays(oneDay, hours), 4, { ...near, key: 'b' }),
      ]).burns.map((burn) => burn.chance.done);
    // Light 1.5 h, secure 1 h, move 0.5 h, light 1.5 h.
    expect(both(5)).toEqual([4, 4]);
    expect(both(4)).toEqual([4, 0]);
  });

  test('two bosses light two places when the people and the trailers are enough', () => {
    const away = (people: number, trailers: number) =>
      run(
        ['a', 'b'].map((key) => pastBurn(fitDays(oneDay), 4, { key, gearKeys: ['trailer'] })),
        {
          people: pastInput([], seasons).people.map(() => ({ people, bosses: 2 })),
          gearCount: { trailer: trailers },
        },
      ).burns.map((burn) => burn.chance.done);
    expect(away(12, 2)).toEqual([4, 4]);
    expect(away(11, 2)).toEqual([4, 0]);
    expect(away(12, 1)).toEqual([4, 0]);
  });
});

describe('the share of fit days really used', () => {
  const days = Array.from({ length: 12_000 }, (_, index) => 11_000 + index);
  test('is kept on the whole', () => {
    const used = days.filter((day) => isDayUsed(day, 0.4, 1)).length;
    expect(used / days.length).toBeGreaterThan(0.38);
    expect(used / days.length).toBeLessThan(0.42);
  });

  test('keeps clusters: three days go together', () => {
    for (let day = 12_000; day < 12_300; day += 3)
      expect(new Set([0, 1, 2].map((more) => isDayUsed(day + more, 0.4, 1))).size).toBe(1);
  });

  test('a larger share keeps every day of a smaller one', () => {
    expect(days.every((day) => !isDayUsed(day, 0.3, 7) || isDayUsed(day, 0.5, 7))).toBe(true);
  });
});

const arbitraryDays = fc.uniqueArray(fc.integer({ min: 0, max: 4 * 365 }), { maxLength: 120 });
const fitFrom = (indexes: readonly number[]): FitHours => {
  const found = fitDays([]);
  for (const index of indexes) found.hours[index] = 5;
  return found;
};

describe('of any history', () => {
  test('the same input gives the same answer', () => {
    fc.assert(
      fc.property(arbitraryDays, fc.integer(), (days, seed) => {
        const once = () => run([pastBurn(fitFrom(days), 4)], { seed, usedShare: 0.5 });
        expect(once()).toEqual(once());
      }),
      { numRuns: 50 },
    );
  });

  test('a fitter one never lowers the count', () => {
    fc.assert(
      fc.property(arbitraryDays, arbitraryDays, (days, more) => {
        const done = (indexes: number[]) =>
          run([pastBurn(fitFrom(indexes), 4)], { usedShare: 0.6 }).burns[0]?.chance.done ?? 0;
        expect(done([...days, ...more])).toBeGreaterThanOrEqual(done(days));
      }),
      { numRuns: 100 },
    );
  });

  test('one boss never lights two places on a day', () => {
    fc.assert(
      fc.property(fc.array(arbitraryDays, { minLength: 2, maxLength: 6 }), (histories) => {
        const burns = histories.map((days, index) =>
          pastBurn(fitFrom(days), 4, { key: `burn-${index}` }),
        );
        const { burns: results } = run(burns);
        for (let trial = 0; trial < 4; trial++) {
          const days = results.flatMap((burn) => burn.doneOn[trial] ?? []);
          expect(new Set(days).size).toBe(days.length);
        }
      }),
      { numRuns: 100 },
    );
  });
});
