import type { Database } from 'better-sqlite3';
import { type DailyYear, missingReading, type YearHeld } from '../core/weather/history.ts';
import { fromBytes, toBytes } from './columns.ts';

const columns = ['highC10', 'lowC10', 'rainMm10', 'snowCm', 'windMs10', 'gustMs10'] as const;

type DailyRow = { year: number } & Record<(typeof columns)[number], Buffer>;

/** Readings of whole years by local day. */
export function dailyRows(db: Database) {
  const load = db.prepare<[number, number, number], DailyRow>(
    `SELECT year, high_c10 AS highC10, low_c10 AS lowC10, rain_mm10 AS rainMm10, snow_cm AS snowCm,
       wind_ms10 AS windMs10, gust_ms10 AS gustMs10
     FROM daily_year WHERE station_id = ? AND year BETWEEN ? AND ? ORDER BY year`,
  );
  const save = db.prepare(
    `INSERT OR REPLACE INTO daily_year (station_id, year, days, observed_days, high_c10, low_c10, rain_mm10,
       snow_cm, wind_ms10, gust_ms10)
     VALUES (@stationId, @year, @days, @observedDays, @highC10, @lowC10, @rainMm10, @snowCm, @windMs10, @gustMs10)`,
  );
  return {
    load: (stationId: number, from: number, to: number): DailyYear[] =>
      load.all(stationId, from, to).map(({ year, ...row }) => {
        const read = Object.fromEntries(columns.map((name) => [name, fromBytes(row[name])]));
        return { year, ...read } as unknown as DailyYear;
      }),
    save: (stationId: number, year: DailyYear): void => {
      const days = year.highC10.length;
      let observedDays = 0;
      for (let day = 0; day < days; day++)
        if (columns.some((name) => year[name][day] !== missingReading)) observedDays += 1;
      const bytes = Object.fromEntries(columns.map((name) => [name, toBytes(year[name])]));
      save.run({ ...bytes, stationId, year: year.year, days, observedDays });
    },
  };
}

/** Years of a station in order with the hours and days that have at least one reading; empty for an unknown station. */
export function yearsHeld(db: Database) {
  const list = db.prepare<[string], YearHeld>(
    `SELECT year, sum(hours) AS hours, sum(days) AS days FROM (
       SELECT station_id, year, observed_hours AS hours, 0 AS days FROM weather_year
       UNION ALL SELECT station_id, year, 0, observed_days FROM daily_year
     ) AS held JOIN station ON station.id = held.station_id
     WHERE name = ? GROUP BY year ORDER BY year`,
  );
  return (stationName: string): YearHeld[] => list.all(stationName);
}
