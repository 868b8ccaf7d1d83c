import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Prescription } from '../../src/core/weather/prescriptions.ts';
import { readingAgainst } from '../../src/core/weather/reading-check.ts';
import {
  checkDetail,
  checkReading,
  type FireReading,
  noDetail,
  readingLines,
  readingsOf,
} from '../../src/core/work-details.ts';

const reading: FireReading = {
  at: '14:10',
  tempF: 62,
  rhPercent: 35,
  windMph: 6,
  gustMph: 10,
  windFromDegrees: 225,
  note: 'all quiet, smoke up',
};

describe('a reading', () => {
  it.each<[string, Partial<FireReading>, string[]]>([
    ['whole', {}, []],
    ['wind alone', { tempF: null, rhPercent: null, gustMph: null, note: '' }, []],
    ['no time', { at: '' }, ['at']],
    ['no such time', { at: '24:00' }, ['at']],
    ['too dry to be', { rhPercent: -1 }, ['rhPercent']],
    ['too moist to be', { rhPercent: 101 }, ['rhPercent']],
    ['no number', { tempF: Number.NaN }, ['tempF']],
    ['gusts below the wind', { gustMph: 4 }, ['gustMph']],
    ['off the compass', { windFromDegrees: 361 }, ['windFromDegrees']],
  ])('%s', (_name, change, fields) => {
    expect(checkReading({ ...reading, ...change }).map(({ field }) => field)).toEqual(fields);
  });

  it('with nothing in it is none', () => {
    const blank = { tempF: null, rhPercent: null, windMph: null, gustMph: null };
    expect(checkReading({ ...reading, ...blank, windFromDegrees: null, note: '' })).toHaveLength(1);
  });
});

describe('readings as lines', () => {
  it('are read as people write them, and put in order', () => {
    const { readings, problems } = readingsOf(
      '15:00, 64 F, 33 %, 7 mph\r\n\r\n9:30,55,48,,,,first fire, east line\n14:10, 62, 35, 6, 10, 225',
    );
    expect(problems).toEqual([]);
    expect(
      readings.map((one) => [one.at, one.tempF, one.rhPercent, one.windMph, one.note]),
    ).toEqual([
      ['09:30', 55, 48, null, 'first fire, east line'],
      ['14:10', 62, 35, 6, ''],
      ['15:00', 64, 33, 7, ''],
    ]);
  });

  it('name the line that can not be read', () => {
    const { problems } = readingsOf('14:10, 62\n14:20, warm');
    expect(problems).toMatchObject([{ field: 'readings', line: 2 }]);
    expect(problems[0]?.message).toMatch(/^Readings, line 2: Temperature: write a number/);
  });

  it('come back as they were', () => {
    const number = (most: number) => fc.option(fc.integer({ min: 0, max: most }), { nil: null });
    const one = fc.record({
      at: fc.constantFrom('00:00', '09:05', '14:10', '23:59'),
      tempF: fc.integer({ min: -60, max: 150 }),
      rhPercent: number(100),
      windMph: fc.constant(null),
      gustMph: number(200),
      windFromDegrees: number(360),
      note: fc.constantFrom('', 'quiet', 'spot fire, out at once'),
    });
    fc.assert(
      fc.property(fc.array(one, { maxLength: 12 }), (readings) => {
        const again = readingsOf(readingLines(readings));
        expect(again.problems).toEqual([]);
        expect(readingLines(again.readings)).toBe(readingLines(readings));
        expect(again.readings).toHaveLength(readings.length);
      }),
    );
  });
});

describe('details', () => {
  it.each([
    ['nothing', {}, []],
    ['money below nothing', { moneyUsd: -1 }, ['moneyUsd']],
    ['a time in words', { startedAt: 'noon' }, ['startedAt']],
    ['gear without hours', { gearHours: [{ gearKey: 'trailer', hours: 0 }] }, ['gear']],
    ['a wrong reading', { readings: [{ ...reading, at: '7' }] }, ['readings']],
  ])('%s', (_name, change, fields) => {
    expect(checkDetail({ ...noDetail, ...change }).map(({ field }) => field)).toEqual(fields);
  });
});

describe('a reading beside the prescription', () => {
  const rule: Pick<Prescription, 'temperatureF' | 'rhPercent' | 'windMph' | 'gustMph'> = {
    temperatureF: { least: 40, most: 75 },
    rhPercent: { least: 30, most: 55 },
    windMph: { least: 3, most: 12 },
    gustMph: { least: null, most: 18 },
  };
  const states = (
    change: Partial<FireReading>,
    block: Parameters<typeof readingAgainst>[1] = { windFrom: null, gustMphMost: null },
  ) => readingAgainst(rule, block, { ...reading, ...change }).map(({ state }) => state);

  it.each<[string, string[], string[]]>([
    ['all inside', states({}), ['inside', 'inside', 'inside', 'inside', 'no-limit']],
    [
      'on the limits',
      states({ tempF: 75, rhPercent: 30, windMph: 12, gustMph: 18 }),
      ['inside', 'inside', 'inside', 'inside', 'no-limit'],
    ],
    [
      'past each',
      states({ tempF: 76, rhPercent: 29, windMph: 2, gustMph: 19 }),
      ['outside', 'outside', 'outside', 'outside', 'no-limit'],
    ],
    [
      'not read is not inside',
      states({ rhPercent: null, gustMph: null }),
      ['inside', 'not-read', 'inside', 'not-read', 'no-limit'],
    ],
    [
      'the block is narrower',
      states({ gustMph: 16 }, { windFrom: ['SW'], gustMphMost: 15 }),
      ['inside', 'inside', 'inside', 'outside', 'inside'],
    ],
    [
      'the block is never wider',
      states({ gustMph: 20 }, { windFrom: null, gustMphMost: 30 }),
      ['inside', 'inside', 'inside', 'outside', 'no-limit'],
    ],
    // N is 337.5 to 22.5 degrees, as fit days count it.
    [
      'round the compass',
      states({ windFromDegrees: 350 }, { windFrom: ['N'], gustMphMost: null }),
      ['inside', 'inside', 'inside', 'inside', 'inside'],
    ],
    [
      'from elsewhere',
      states({ windFromDegrees: 90 }, { windFrom: ['N'], gustMphMost: null }),
      ['inside', 'inside', 'inside', 'inside', 'outside'],
    ],
    [
      'direction not read',
      states({ windFromDegrees: null }, { windFrom: ['N'], gustMphMost: null }),
      ['inside', 'inside', 'inside', 'inside', 'not-read'],
    ],
  ])('%s', (_name, found, wanted) => expect(found).toEqual(wanted));
});
