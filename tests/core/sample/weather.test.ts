import { describe, expect, test } from 'vitest';
import { isoDate } from '../../../src/core/dates.ts';
import { sampleStation, sampleWeather } from '../../../src/core/sample/weather.ts';
import { countFitDays, dailyVerdicts } from '../../../src/core/weather/fit-days.ts';
import { missingReading } from '../../../src/core/weather/history.ts';
import { relativeHumidityPercent } from '../../../src/core/weather/humidity.ts';
import { loadLibrary } from '../../../src/reference/library.ts';

const today = isoDate('2026-11-25');
const all = sampleWeather(today);
const isWhole = (year: { year: number }) => year.year < 2026;
const weather = {
  station: all.station,
  years: all.years.filter(isWhole),
  days: all.days.filter(isWhole),
};
const clock = { standardOffsetMinutes: -360 };
const library = loadLibrary();
const prescription = library.prescriptions.find((one) => one.key === 'hardwood-litter')!;

/** Mean of a daily column by month over all years, January first. */
function byMonth(column: 'highC10' | 'lowC10' | 'rainMm10'): number[] {
  const sums = Array.from({ length: 12 }, () => ({ sum: 0, count: 0 }));
  for (const year of weather.days)
    for (const [day, value] of year[column].entries()) {
      const month = sums[new Date(Date.UTC(year.year, 0, 1 + day)).getUTCMonth()]!;
      month.sum += value / 10;
      month.count += 1;
    }
  return sums.map(({ sum, count }) => sum / count);
}

const depths = (from: number, to: number) =>
  weather.days.flatMap((year) => [...year.snowCm.slice(from, to)]);

describe('the invented weather history', () => {
  test('says that it is invented, and spans 30 years by day and 10 by hour, leap days too', () => {
    expect(weather.station).toEqual(sampleStation);
    expect(weather.station.isInvented).toBe(true);
    expect(weather.days.map((one) => one.year)).toEqual(
      Array.from({ length: 30 }, (_, at) => 1996 + at),
    );
    expect(weather.years.map((one) => one.year)).toEqual(
      Array.from({ length: 10 }, (_, at) => 2016 + at),
    );
    expect(weather.days.find((one) => one.year === 2024)?.highC10).toHaveLength(366);
    expect(weather.years.find((one) => one.year === 2024)?.windMs10).toHaveLength(8784);
    for (const { year: _, ...columns } of [...weather.days, ...weather.years])
      for (const column of Object.values(columns)) expect(column).not.toContain(missingReading);
  });

  test('holds the running year up to yesterday', () => {
    // 24 November is day 327 from 0; its local day ends at 6 h UTC of the 25th.
    const [day, hour] = [all.days.at(-1)!, all.years.at(-1)!];
    expect([day.year, hour.year]).toEqual([2026, 2026]);
    expect(day.highC10[327]).not.toBe(missingReading);
    expect([...day.highC10.slice(328)]).toEqual(Array(37).fill(missingReading));
    expect(hour.temperatureC10[328 * 24 + 5]).not.toBe(missingReading);
    expect(hour.temperatureC10[328 * 24 + 6]).toBe(missingReading);
    expect(sampleWeather(isoDate('2027-01-01')).days.at(-1)?.highC10).not.toContain(missingReading);
  });

  test('goes on in a forecast of today and the three days after it', () => {
    const { ahead } = sampleWeather(isoDate('2026-11-25'));
    expect(ahead).toHaveLength(96);
    // Midnight standard time is 6 h UTC.
    expect([ahead[0]?.at, ahead[95]?.at]).toEqual(['2026-11-25T06:00Z', '2026-11-29T05:00Z']);
    for (const hour of ahead) {
      expect(hour.rhPercent).toBeGreaterThan(0);
      expect(hour.rhPercent).toBeLessThanOrEqual(100);
      expect(hour.gustMs).toBeGreaterThanOrEqual(hour.windMs ?? 0);
    }
  });

  test('is the same for the same seed and another for another', () => {
    // Text, because comparing arrays of this length one by one takes seconds.
    expect(JSON.stringify(sampleWeather(today)) === JSON.stringify(all)).toBe(true);
    expect(sampleWeather(today, 21).days[0]?.highC10).not.toEqual(weather.days[0]?.highC10);
  });

  test('has the seasons of the southern Ozarks', () => {
    // Round limits about the monthly normals of that country; from memory, common practice, no source.
    const [high, low, rain] = [byMonth('highC10'), byMonth('lowC10'), byMonth('rainMm10')];
    expect(high[0]).toBeGreaterThan(1);
    expect(high[0]).toBeLessThan(9);
    expect(high[6]).toBeGreaterThan(29);
    expect(high[6]).toBeLessThan(35);
    expect(low[0]).toBeLessThan(0);
    for (let month = 1; month <= 6; month++) expect(high[month]).toBeGreaterThan(high[month - 1]!);
    for (let month = 8; month < 12; month++) expect(high[month]).toBeLessThan(high[month - 1]!);
    const rainMmOfYear = rain.reduce((sum, mean) => sum + mean * 30.4, 0);
    expect(rainMmOfYear).toBeGreaterThan(800);
    expect(rainMmOfYear).toBeLessThan(1300);
  });

  test('keeps every hour possible: dew point, humidity, gusts, snow', () => {
    for (const year of weather.years)
      for (let hour = 0; hour < year.windMs10.length; hour++) {
        const [t, td] = [year.temperatureC10[hour]!, year.dewPointC10[hour]!];
        if (td > t || t < -400 || t > 450 || year.gustMs10![hour]! < year.windMs10[hour]!)
          expect.fail(`${year.year}, hour ${hour}`);
        const rh = relativeHumidityPercent(t / 10, td / 10);
        if (!(rh > 3 && rh <= 100) || year.snowCm![hour]! > 80) expect.fail(`${year.year} ${hour}`);
      }
    expect(Math.max(...depths(0, 90))).toBeGreaterThan(10);
    expect(Math.max(...depths(181, 212))).toBe(0);
  });

  test('fit days come in clusters, as many as the default table by month says, about', () => {
    const days = dailyVerdicts(weather.years, clock, {
      prescription,
      block: null,
      tables: library.weatherTables,
    });
    const season = days.filter(({ date }) => /-(11|12|01|02|03)-/.test(date));
    const isFit = new Set(days.filter((day) => day.verdict === 'fit').map((day) => day.date));
    const base = season.filter(({ date }) => isFit.has(date)).length / season.length;
    let [after, both] = [0, 0];
    for (let at = 1; at < season.length; at++) {
      if (!isFit.has(season[at - 1]!.date)) continue;
      after += 1;
      if (isFit.has(season[at]!.date)) both += 1;
    }
    expect(base).toBeGreaterThan(0.1);
    expect(both / after).toBeGreaterThan(1.3 * base);
    const defaults = library.fitDayDefaults.find(
      (row) => row.prescriptionKey === prescription.key,
    )!;
    const counts = countFitDays(weather.years, clock, prescription);
    const mean = (months: number[]) =>
      counts.reduce(
        (sum, year) =>
          sum +
          months.reduce((all, m) => all + year.halfMonths[2 * m]! + year.halfMonths[2 * m + 1]!, 0),
        0,
      ) / counts.length;
    const dormant = [0, 1, 2, 10, 11];
    const entered = dormant.reduce((sum, month) => sum + defaults.monthly[month]!, 0);
    expect(mean(dormant)).toBeGreaterThan(0.7 * entered);
    expect(mean(dormant)).toBeLessThan(1.4 * entered);
    expect(counts.every((year) => year.isWholeYear && year.unknownHours === 0)).toBe(true);
  });
});
