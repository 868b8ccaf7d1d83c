import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { runPastYears, unknownDay } from '../../src/core/weather/past-years.ts';
import { dayOf, pastBurn, pastInput } from '../core/weather/past-burns.ts';

const dataDir = process.env['OPEN_DATA_DIR'];

interface Day {
  date: string;
  highC: number;
  rhLow: number;
  windMs: number;
  rainMm: number;
}

/** Harvard Forest HF001 daily record (Boose, CC BY 4.0), 2001-02-11 to 2020-09-30; NaN = missing. */
function readDays(): Day[] {
  const file = join(dataDir ?? '', 'harvard-forest', 'hf001_daily_2001_2020.csv.gz');
  const [head = '', ...lines] = gunzipSync(readFileSync(file)).toString('utf8').trim().split('\n');
  const names = head.split(',');
  const column = (cells: string[], name: string) =>
    Number(cells[names.indexOf(name)] || Number.NaN);
  return lines.map((line) => {
    const cells = line.split(',');
    return {
      date: cells[0] ?? '',
      highC: column(cells, 'airtmax'),
      rhLow: column(cells, 'rhmin'),
      windMs: column(cells, 'wspd'),
      rainMm: column(cells, 'prec'),
    };
  });
}

/**
 * The daily rule made up for such checks: dry day, less than 2.5 mm on the two days before, lowest humidity 25 to
 * 55 %, mean wind 2 to 6.7 m/s, high 2 to 32 C. A missing reading is never fit.
 */
function fitDates(days: readonly Day[]): Set<string> {
  const fit = new Set<string>();
  days.forEach((day, index) => {
    const before =
      (days[index - 1]?.rainMm ?? Number.NaN) + (days[index - 2]?.rainMm ?? Number.NaN);
    if (
      day.rainMm < 0.25 &&
      before < 2.5 &&
      day.rhLow >= 25 &&
      day.rhLow <= 55 &&
      day.windMs >= 2 &&
      day.windMs <= 6.7 &&
      day.highC >= 2 &&
      day.highC <= 32
    )
      fit.add(day.date);
  });
  return fit;
}

/** Days of the window in a year, counted by text alone: month and day between the two ends. */
function daysInWindow(fit: Iterable<string>, year: number, from: string, to: string): string[] {
  return [...fit].filter(
    (date) => date.startsWith(`${year}-`) && date.slice(5) >= from && date.slice(5) <= to,
  );
}

describe.skipIf(!dataDir)('the past-years test on the Harvard Forest days of 2001 to 2020', () => {
  const fit = dataDir ? fitDates(readDays()) : new Set<string>();
  const firstDay = dayOf('2001-02-11');
  const hours = new Uint8Array(dayOf('2020-10-01') - firstDay);
  for (const date of fit) hours[dayOf(date) - firstDay] = 5;
  // Burning seasons from 1 July: 2001-02 to 2019-20. A fall window falls in their first year, a spring one after.
  const seasons = Array.from({ length: 19 }, (_, index) => 2001 + index);

  const windows: [string, string][] = [
    ['03-01', '03-31'],
    ['03-15', '04-05'],
    ['04-01', '04-10'],
    ['04-01', '04-15'],
    ['11-01', '11-30'],
    ['12-01', '12-10'],
  ];
  const cases = windows.flatMap(([from, to]) =>
    [1, 3, 5].map((least) => [from, to, least] as const),
  );

  it.each(cases)('%s to %s: years with at least %i fit days', (from, to, least) => {
    const isFall = from > '07-01';
    const planYear = isFall ? 2026 : 2027;
    const span = { from: dayOf(`${planYear}-${from}`), to: dayOf(`${planYear}-${to}`) };
    const burn = pastBurn({ firstDay, hours }, seasons.length, {
      windows: seasons.map(() => span),
      readyFrom: span.from,
      daysNeeded: least,
    });
    const [result] = runPastYears(pastInput([burn], seasons)).burns;
    const counts = seasons.map((season) => {
      const year = isFall ? season : season + 1;
      return daysInWindow(fit, year, from, to).sort();
    });
    // By hand: a season counts when its window holds enough fit days, and the last one needed is the day.
    const expected = counts.map((dates) => {
      const day = dates[least - 1];
      return day === undefined ? null : `${planYear}${day.slice(4)}`;
    });
    expect(result?.doneOn).toEqual(expected);
    expect(result?.chance).toMatchObject({
      done: expected.filter((day) => day !== null).length,
      of: 19,
    });
    expect(result?.stages.fit).toBeCloseTo(
      counts.reduce((sum, dates) => sum + dates.length, 0) / seasons.length,
      9,
    );
  });

  // Counted once more from the same file by a few lines of Python, outside this project.
  it.each([
    ['03-01', '03-31', 1, 16],
    ['04-01', '04-15', 1, 10],
    ['11-01', '11-30', 3, 5],
  ] as const)('%s to %s, at least %i fit days: %i of 19 years', (from, to, least, years) => {
    expect(hours).not.toContain(unknownDay);
    const counts = seasons.map((season) =>
      daysInWindow(fit, from > '07-01' ? season : season + 1, from, to),
    );
    expect(counts.filter((dates) => dates.length >= least)).toHaveLength(years);
  });
});
