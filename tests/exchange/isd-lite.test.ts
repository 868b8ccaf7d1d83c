import { gzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { missingReading, traceRain } from '../../src/core/weather/history.ts';
import { readIsdLite } from '../../src/exchange/isd-lite.ts';

const bytes = (text: string) => new TextEncoder().encode(text);

const good = [
  '2020 01 01 00    -6   -67 10141   360    21     0 -9999 -9999',
  '2020 01 01 01   -11   -67 10146   270    31     0     0 -9999',
  '2020 02 29 23   120 -9999 -9999 -9999 -9999 -9999    -1 -9999',
  '2020 12 31 23   350   200 10141     0     0     0   254 -9999',
].join('\n');

describe('ISD-Lite', () => {
  it.each([
    ['plain', bytes(good)],
    ['with CRLF and blank lines', bytes(`${good.replaceAll('\n', '\r\n')}\r\n\r\n`)],
    ['gzip', new Uint8Array(gzipSync(good))],
  ])('%s: every value in its hour, missing stays missing', (_name, content) => {
    const { years, report, problems } = readIsdLite('722222-12345-2020.gz', content);
    expect(problems).toEqual([]);
    expect(report).toEqual({ rows: 4, rowsTaken: 4, leftOut: [] });
    expect(years).toHaveLength(1);
    const year = years[0]!;
    expect(year.year).toBe(2020);
    expect(year.temperatureC10).toHaveLength(8784);
    const at = (hour: number) => [
      year.temperatureC10[hour],
      year.dewPointC10[hour],
      year.windDirectionDegrees[hour],
      year.windMs10[hour],
      year.rainMm10[hour],
    ];
    expect(at(0)).toEqual([-6, -67, 360, 21, missingReading]);
    expect(at(1)).toEqual([-11, -67, 270, 31, 0]);
    const none = missingReading;
    expect(at((31 + 28) * 24 + 23)).toEqual([120, none, none, none, traceRain]);
    expect(at(8783)).toEqual([350, 200, 0, 0, 254]);
    expect(at(2)).toEqual([none, none, none, none, none]);
  });

  it('several years in one file come out in order', () => {
    const text = `${good}\n2019 06 01 12   200   100 10141   180    40     0     0 -9999`;
    const { years, report } = readIsdLite('hours.txt', bytes(text));
    expect(years.map((year) => [year.year, year.windMs10.length])).toEqual([
      [2019, 8760],
      [2020, 8784],
    ]);
    expect(report.rowsTaken).toBe(5);
  });

  it.each([
    ['malformed', 'not a row of weather'],
    ['malformed', '2020 01 01 02   100    50 10141   180    40     0     0'],
    ['malformed', '2020 01 01 02   10.5   50 10141   180    40     0     0 -9999'],
    ['malformed', '2020 02 30 02   100    50 10141   180    40     0     0 -9999'],
    ['malformed', '2020 13 01 02   100    50 10141   180    40     0     0 -9999'],
    ['malformed', '2020 01 01 24   100    50 10141   180    40     0     0 -9999'],
    ['malformed', '9999 01 01 02   100    50 10141   180    40     0     0 -9999'],
    ['wrong-year', '2019 01 01 02   100    50 10141   180    40     0     0 -9999'],
    ['impossible-value', '2020 01 01 02   601    50 10141   180    40     0     0 -9999'],
    ['impossible-value', '2020 01 01 02  -701  -750 10141   180    40     0     0 -9999'],
    ['impossible-value', '2020 01 01 02   100   111 10141   180    40     0     0 -9999'],
    ['impossible-value', '2020 01 01 02   100    50 10141   180  1001     0     0 -9999'],
    ['impossible-value', '2020 01 01 02   100    50 10141   180    -1     0     0 -9999'],
    ['impossible-value', '2020 01 01 02   100    50 10141   361    40     0     0 -9999'],
    ['impossible-value', '2020 01 01 02   100    50 10141   180    40     0    -2 -9999'],
    ['impossible-value', '2020 01 01 02   100    50 10141   180    40     0 32768 -9999'],
    ['duplicate', '2020 01 01 01   100    50 10141   180    40     0     0 -9999'],
  ] as const)('a bad row is left out, counted and named: %s, %s', (reason, row) => {
    const { years, report, problems } = readIsdLite('722222-12345-2020', bytes(`${good}\n${row}`));
    expect(report).toEqual({
      rows: 5,
      rowsTaken: 4,
      leftOut: [{ reason, count: 1, firstLines: [5] }],
    });
    expect(problems).toMatchObject([{ code: `weather-${reason}`, line: 5 }]);
    expect(years[0]?.temperatureC10[1]).toBe(-11);
  });

  it.each([
    ['2020 01 01 02   600   600 10141   360  1000     0    -1 -9999'],
    ['2020 01 01 02   500   510 10141   180    40     0     0 -9999'],
    ['2020 01 01 02  -700 -9999 10141     0     0     0  4000 -9999'],
  ])('values on the limits are taken: %s', (row) => {
    expect(readIsdLite('x', bytes(row)).report.leftOut).toEqual([]);
  });

  it('names the first lines of many', () => {
    const text = `${good}\n${'bad\n'.repeat(9)}`;
    const { report, problems } = readIsdLite('x', bytes(text));
    expect(report.leftOut).toEqual([
      { reason: 'malformed', count: 9, firstLines: [5, 6, 7, 8, 9] },
    ]);
    expect(problems[0]?.message).toContain('9 rows were left out');
    expect(problems[0]?.message).toContain('lines 5, 6, 7, 8, 9, ...');
  });

  it.each([
    ['empty', new Uint8Array(), 'no-weather-rows'],
    ['binary', new Uint8Array([80, 75, 3, 4, 0, 0]), 'file-not-text'],
    ['damaged gzip', new Uint8Array(gzipSync(good)).subarray(0, 40), 'file-not-readable'],
    ['too large', new Uint8Array(20_000_001), 'file-too-large'],
    ['another format', bytes('time,temperature\n2020-01-01,3'), 'no-weather-rows'],
  ])('refuses a file that is %s with a sentence', (_name, content, code) => {
    const { years, problems } = readIsdLite('x.gz', content);
    expect(years).toEqual([]);
    expect(problems[0]?.code).toBe(code);
  });

  it('reports how far it is, ending at 1', () => {
    const shares: number[] = [];
    readIsdLite('x', bytes(`${good}\n`.repeat(5000)), (share) => shares.push(share));
    expect(shares.length).toBeGreaterThan(3);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(shares[0]).toBe(0);
    expect(shares.at(-1)).toBe(1);
  });

  it('a year whose readings are all missing is named and left out', () => {
    const blank = '2019 06 01 12 -9999 -9999 -9999 -9999 -9999 -9999 -9999 -9999';
    const { years, problems } = readIsdLite('hours.txt', bytes(`${blank}\n${good}`));
    expect(years.map((year) => year.year)).toEqual([2020]);
    expect(problems).toMatchObject([{ code: 'weather-blank-year' }]);
    expect(problems[0]?.message).toContain('2019');
  });
});
