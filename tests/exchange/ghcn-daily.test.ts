import { describe, expect, it } from 'vitest';
import { missingReading, traceRain } from '../../src/core/weather/history.ts';
import { ghcnDailySteps, isGhcnDaily } from '../../src/exchange/ghcn-daily.ts';
import { readToEnd } from '../../src/exchange/weather-file.ts';

const place = { latitude: 39.3, longitude: -94.7 };
const read = (text: string) => readToEnd(ghcnDailySteps(new TextEncoder().encode(text), place));

// Shape of the by-station table of NOAA NCEI ("dates down, elements across") from memory; units of TMAX, TMIN, PRCP,
// SNWD and AWND as in the archive's readme (tenths of C, tenths of mm, mm, tenths of m/s), of WSFG from memory.
const header =
  '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","AWND","AWND_ATTRIBUTES","PRCP","PRCP_ATTRIBUTES","SNWD","SNWD_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES","WSFG","WSFG_ATTRIBUTES"';
const row = (date: string, values: string) =>
  `"TST00000001","${date}","39.3","-94.7","300.0","CITY AIRPORT, XX US",${values}`;
const good = row(
  '2020-02-29',
  '"45",",,W","254",",,W,2400","152",",,W","61",",,W","-28",",,W","180",",,W"',
);

const long = (element: string, value: string, flags = ',,W,2400', date = '20200229') =>
  `TST00000001,${date},${element},${value},${flags}`;

describe('GHCN-Daily by station', () => {
  it('every element in its day and unit; a name with a comma shifts nothing', () => {
    const { days, years, report, problems, fileId } = read(`${header}\n${good}\n`);
    expect(problems).toEqual([]);
    expect(years).toEqual([]);
    expect(fileId).toBe('TST00000001');
    expect(report).toEqual({ rows: 1, rowsTaken: 1, leftOut: [] });
    const [year] = days;
    expect(year?.highC10).toHaveLength(366);
    const at = 31 + 28;
    expect([year?.highC10[at], year?.lowC10[at]]).toEqual([61, -28]);
    expect([year?.rainMm10[at], year?.snowCm[at]]).toEqual([254, 15]);
    expect([year?.windMs10[at], year?.gustMs10[at]]).toEqual([45, 180]);
    expect(year?.highC10[at + 1]).toBe(missingReading);
  });

  it('rain with flag T is a trace; a blank is missing; a value that failed a check is left out alone', () => {
    const text = row('2020-03-01', '"",",,","0","T,,W","",",,","400",",X,W","10",",,W","",",,"');
    const [year] = read(`${header}\n${text}`).days;
    expect(year?.rainMm10[60]).toBe(traceRain);
    expect(year?.highC10[60]).toBe(missingReading);
    expect(year?.lowC10[60]).toBe(10);
    expect(year?.windMs10[60]).toBe(missingReading);
  });

  it.each([
    ['a repeated day', good, 'duplicate'],
    ['a day that is not', good.replace('2020-02-29', '2019-02-29'), 'malformed'],
    ['a shifted column', good.replace('"300.0",', ''), 'malformed'],
    [
      'low above high',
      row('2020-03-02', '"","","","","","","10",",,W","20",",,W","",""'),
      'impossible-value',
    ],
    [
      'rain below nothing',
      row('2020-03-02', '"","","-5",",,W","","","","","","","",""'),
      'impossible-value',
    ],
    [
      'another station',
      good.replace('TST00000001', 'TST00000002').replace('02-29', '03-02'),
      'wrong-station',
    ],
    ['another place', good.replace('39.3', '41.0').replace('02-29', '03-02'), 'wrong-station'],
    [
      'only failed checks',
      row('2020-03-02', '"","","","","","","400",",X,W","","","",""'),
      'failed-check',
    ],
    [
      'nothing that is read',
      row('2020-03-02', '"","","","","","","","","","","",""'),
      'no-reading',
    ],
  ])('%s is named and left out', (_name, bad, reason) => {
    const { report, problems, lines, days } = read(`${header}\n${good}\n${bad}\n`);
    expect(report).toMatchObject({
      rows: 2,
      rowsTaken: 1,
      leftOut: [{ reason, count: 1, firstLines: [3] }],
    });
    expect(problems[0]).toMatchObject({ code: `weather-${reason}`, line: 3 });
    expect(lines).toMatchObject([{ line: 3 }]);
    expect(days[0]?.highC10.filter((value) => value !== missingReading)).toHaveLength(1);
  });

  it('a year without a row between others is named', () => {
    const { problems } = read(
      [
        header,
        good,
        good.replace('2020-02-29', '2018-01-01'),
        good.replace('2020-02-29', '2016-01-01'),
      ].join('\n'),
    );
    expect(problems.map((one) => one.message).join(' ')).toContain('2017, 2019');
  });
});

describe('GHCN-Daily long form', () => {
  it('lays the elements of a day together', () => {
    const text = [
      long('TMAX', '61'),
      long('TMIN', '-28'),
      long('PRCP', '0', 'T,,W,2400'),
      long('SNWD', '51'),
    ].join('\n');
    const { days, report } = read(text);
    expect(report.rowsTaken).toBe(4);
    const [year] = days;
    expect([year?.highC10[59], year?.lowC10[59], year?.rainMm10[59], year?.snowCm[59]]).toEqual([
      61,
      -28,
      traceRain,
      5,
    ]);
  });

  it.each([
    ['a repeated element', long('TMAX', '62'), 'duplicate'],
    ['low above the high on file', long('TMIN', '90'), 'impossible-value'],
    ['a failed check', long('TMIN', '10', ',G,W,2400'), 'failed-check'],
    ['another station', long('TMIN', '10').replace('0001', '0009'), 'wrong-station'],
    ['an element that is not read', long('TSUN', '10'), 'no-reading'],
    ['words for a number', long('TMIN', 'ten'), 'malformed'],
  ])('%s is named and left out', (_name, bad, reason) => {
    const { report } = read(`${long('TMAX', '61')}\n${bad}`);
    expect(report.leftOut).toEqual([{ reason, count: 1, firstLines: [2] }]);
  });

  it('names the first hundred lines and counts all', () => {
    const many = Array.from({ length: 250 }, () => long('TMAX', '61')).join('\n');
    const { report, lines } = read(many);
    expect(report.leftOut).toMatchObject([{ reason: 'duplicate', count: 249 }]);
    expect(lines).toHaveLength(100);
  });
});

it.each([
  [header, true],
  [long('TMAX', '61'), true],
  ['2020 01 01 00 -6 -67 10141 360 21 0 -9999 -9999', false],
  ['time,temperature_f', false],
])('tells its own first line: %s', (line, isOwn) => expect(isGhcnDaily(line)).toBe(isOwn));
