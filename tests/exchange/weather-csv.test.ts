import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { missingReading, traceRain } from '../../src/core/weather/history.ts';
import { relativeHumidityPercent } from '../../src/core/weather/humidity.ts';
import { type CsvWeatherRules, weatherCsvSteps } from '../../src/exchange/weather-csv.ts';
import { readToEnd } from '../../src/exchange/weather-file.ts';
import { localClock } from '../../src/exchange/zone-clock.ts';

const zone = 'America/Chicago';
const local: CsvWeatherRules = { timeZone: zone, clock: 'local', windHeight: '10-m' };
const read = (text: string, rules = local) =>
  readToEnd(weatherCsvSteps(new TextEncoder().encode(text), rules));

/** Hour of the year of a UTC time. */
const hour = (at: string) =>
  (Date.parse(at) - Date.parse(`${at.slice(0, 4)}-01-01T00:00Z`)) / 3_600_000;

describe('plain CSV by the hour', () => {
  const header =
    'time,temperature_f,rh_percent,wind_mph,gust_mph,wind_from_degrees,rain_in,snow_in';

  it('turns every unit into ours and local time into UTC', () => {
    const { years, days, problems } = read(`${header}\n2026-07-01 13:00,50,40,10,20,225,0.1,2\n`);
    expect(problems).toEqual([]);
    expect(days).toEqual([]);
    const [year] = years;
    const at = hour('2026-07-01T18:00Z');
    expect(year?.temperatureC10[at]).toBe(100);
    // 10 mph = 4.4704 m/s, an inch = 25.4 mm (NIST SP 811).
    expect([year?.windMs10[at], year?.gustMs10?.[at]]).toEqual([45, 89]);
    expect([year?.rainMm10[at], year?.snowCm?.[at]]).toEqual([25, 5]);
    expect(year?.windDirectionDegrees[at]).toBe(225);
    expect(relativeHumidityPercent(10, year!.dewPointC10[at]! / 10)).toBeCloseTo(40, 0);
  });

  it.each<[string, CsvWeatherRules, string]>([
    ['2026-07-01 13:00', { ...local, clock: 'standard' }, '2026-07-01T19:00Z'],
    ['2026-07-01 13:00', { ...local, clock: 'utc' }, '2026-07-01T13:00Z'],
    ['2026-07-01T13:00-04:00', local, '2026-07-01T17:00Z'],
    ['2026-07-01T13:00:00Z', local, '2026-07-01T13:00Z'],
    // Airports report some minutes before the hour.
    ['2026-01-01 12:53', local, '2026-01-01T19:00Z'],
    ['2026-12-31 18:00', local, '2027-01-01T00:00Z'],
  ])('%s by its clock', (time, rules, utc) => {
    const { years } = read(`time,temperature_c\n${time},10`, rules);
    expect(years.map((year) => year.year)).toEqual([Number(utc.slice(0, 4))]);
    expect(years[0]?.temperatureC10[hour(utc)]).toBe(100);
  });

  it('wind at 20 feet is kept as at 10 m (times 1.15, Turner and Lawson 1978)', () => {
    const { years } = read('time,wind_ms\n2026-01-01 00:00,10', { ...local, windHeight: '20-ft' });
    expect(years[0]?.windMs10[6]).toBe(115);
  });

  it('a blank stays missing, and the year has no gusts when none are given', () => {
    const [year] = read('time,temperature_c,wind_ms,rain_mm\n2026-01-01 00:00,,3,0.01').years;
    expect(year?.temperatureC10[6]).toBe(missingReading);
    expect(year?.rainMm10[6]).toBe(traceRain);
    expect(year?.gustMs10).toBeUndefined();
  });

  it.each([
    ['humidity 140 %', '2026-03-01 12:00,50,140,5', 'impossible-value'],
    ['wind -5', '2026-03-01 12:00,50,40,-5', 'impossible-value'],
    ['150 F', '2026-03-01 12:00,150,40,5', 'impossible-value'],
    ['a shifted column', '2026-03-01 12:00,,50,40,5', 'malformed'],
    ['a word', '2026-03-01 12:00,warm,40,5', 'malformed'],
    ['29 February of a common year', '2026-02-29 12:00,50,40,5', 'malformed'],
    ['hour 24', '2026-03-01 24:00,50,40,5', 'malformed'],
    ['no value', '2026-03-01 12:00,,,', 'no-reading'],
    ['a repeated hour', '2026-01-01 00:00,50,40,5', 'duplicate'],
    // The clock of this zone went from 2 to 3 h on 8 March 2026 and from 2 to 1 h on 1 November 2026 (IANA tz database).
    ['an hour that never was', '2026-03-08 02:30,50,40,5', 'hour-never'],
    ['an hour that was twice', '2026-11-01 01:00,50,40,5', 'hour-twice'],
  ])('%s is named and left out', (_name, bad, reason) => {
    const text = `time,temperature_f,rh_percent,wind_mph\n2026-01-01 00:00,50,40,5\n${bad}\n`;
    const { report, lines, problems } = read(text);
    expect(report).toMatchObject({ rows: 2, rowsTaken: 1 });
    expect(report.leftOut).toEqual([{ reason, count: 1, firstLines: [3] }]);
    expect(lines).toMatchObject([{ code: `weather-${reason}`, line: 3 }]);
    expect(problems[0]?.message).toContain('line 3');
  });

  it('29 February of a leap year is a day', () => {
    expect(read('time,temperature_c\n2024-02-29 12:00,10').report.rowsTaken).toBe(1);
  });

  it('rows more often than hourly leave the rain of the hour unknown, never too low', () => {
    const [year] = read(
      'time,rain_mm,temperature_c\n2026-01-01 00:00,1,5\n2026-01-01 00:15,1,5',
    ).years;
    expect(year?.rainMm10[6]).toBe(missingReading);
    expect(year?.temperatureC10[6]).toBe(50);
  });

  it.each([
    ['temperature,rh', '"time"'],
    ['time,temperature', 'the unit is part of the name'],
    ['time,high_f', '"high_f"'],
    ['date,rh_percent', '"rh_percent"'],
    ['time,wind_mph,wind_ms', 'another column gives already'],
    ['time', 'no column'],
  ])('refuses the header %s in words', (header, wordsOf) => {
    const { problems, years, report } = read(`${header}\n2026-01-01 00:00,5`);
    expect(problems).toHaveLength(1);
    expect(problems[0]?.message).toContain(wordsOf);
    expect([years, report.rows]).toEqual([[], 0]);
  });
});

describe('plain CSV by the day', () => {
  it('reads days', () => {
    const [year] = read(
      'date,high_f,low_f,rain_in,snow_in,wind_mph,gust_mph\n2024-12-31,50,32,1,10,10,20',
    ).days;
    const at = 365;
    expect([year?.highC10[at], year?.lowC10[at], year?.rainMm10[at]]).toEqual([100, 0, 254]);
    expect([year?.snowCm[at], year?.windMs10[at], year?.gustMs10[at]]).toEqual([25, 45, 89]);
  });
});

describe('local clock', () => {
  it.each(['America/Chicago', 'America/Phoenix', 'Europe/London', 'Australia/Lord_Howe'])(
    'agrees with luxon through a year of half hours in %s',
    (timeZone) => {
      const instants = localClock(timeZone);
      const start = Date.UTC(2026, 0, 1);
      for (let step = 0; step < 365 * 48; step += 1) {
        const at = start + step * 1_800_000;
        const shown = at + DateTime.fromMillis(at, { zone: timeZone }).offset * 60_000;
        if (!instants(shown).includes(at)) expect.fail(new Date(at).toISOString());
        const others = instants(shown).filter((one) => one !== at);
        for (const other of others)
          expect(other + DateTime.fromMillis(other, { zone: timeZone }).offset * 60_000).toBe(
            shown,
          );
      }
    },
  );
});
