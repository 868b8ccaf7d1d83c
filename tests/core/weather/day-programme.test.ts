import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dayProgramme } from '../../../src/core/weather/day-programme.ts';

const hours = { setUp: 1.5, secure: 1, move: 0.5 };
const block = (key: string, lightHours: number, fitFrom = 11, fitUntil = 16) => ({
  key,
  lightHours,
  fitFrom,
  fitUntil,
});

describe('the programme of a day', () => {
  test('the next block is lit after the one before is secured; the set-up is shared', () => {
    const { stops, left } = dayProgramme([block('a', 1.5), block('b', 1.5)], hours, 7, 18);
    expect(stops).toEqual([
      { key: 'a', setUpFrom: 9.5, lightFrom: 11, lightUntil: 12.5, secureUntil: 13.5 },
      { key: 'b', setUpFrom: null, lightFrom: 14, lightUntil: 15.5, secureUntil: 16.5 },
    ]);
    expect(left).toEqual([]);
  });

  test.each([
    [
      'longer than its fit hours',
      [block('a', 6)],
      7,
      18,
      'its fit hours are shorter than its lighting',
    ],
    [
      'too late after the first',
      [block('x', 2), block('a', 2)],
      7,
      18,
      'its fit hours end before it could be lit after the others',
    ],
    ['not secured before dark', [block('a', 4)], 7, 15.9, 'it would not be secured before dark'],
  ])('%s: it is left with the reason', (_name, blocks, from, until, reason) => {
    const { left } = dayProgramme(blocks, hours, from, until);
    expect(left).toEqual([{ key: 'a', reason }]);
  });

  test('set-up waits for daylight', () => {
    const [stop] = dayProgramme([block('a', 1, 7, 12)], hours, 7, 18).stops;
    expect(stop).toMatchObject({ setUpFrom: 7, lightFrom: 8.5 });
  });

  test('never two fires at a time, each inside its hours and the daylight', () => {
    const arbitrary = fc.record({
      lightHours: fc.double({ min: 0.5, max: 4, noNaN: true }),
      fitFrom: fc.integer({ min: 6, max: 14 }),
      fitUntil: fc.integer({ min: 15, max: 20 }),
    });
    fc.assert(
      fc.property(fc.array(arbitrary, { maxLength: 6 }), (rows) => {
        const blocks = rows.map((row, index) => ({ key: String(index), ...row }));
        const { stops, left } = dayProgramme(blocks, hours, 7, 18);
        expect(stops.length + left.length).toBe(blocks.length);
        stops.forEach((stop, index) => {
          const own = blocks.find((one) => one.key === stop.key);
          const next = stops[index + 1];
          expect(stop.lightFrom).toBeGreaterThanOrEqual(own?.fitFrom ?? 99);
          expect(stop.lightUntil).toBeLessThanOrEqual((own?.fitUntil ?? 0) + 1e-6);
          expect(stop.secureUntil).toBeLessThanOrEqual(18 + 1e-6);
          if (next) expect(next.lightFrom).toBeGreaterThanOrEqual(stop.secureUntil);
        });
      }),
    );
  });
});
