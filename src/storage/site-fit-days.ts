import type { Database } from 'better-sqlite3';
import type { SiteFitDays } from '../core/weather/site-fit-days.ts';

/** Counts of fit days by kind of site, as kept; they can be counted again at any time, so they are no facts. */
export function siteFitDayRepository(db: Database) {
  const load = db
    .prepare<[string, string, string], string>(
      `SELECT content FROM site_fit_days JOIN station ON station.id = station_id
       WHERE name = ? AND site_key = ? AND rule = ?`,
    )
    .pluck();
  const save = db.prepare(
    `INSERT OR REPLACE INTO site_fit_days (station_id, site_key, rule, content)
     SELECT id, ?, ?, ? FROM station WHERE name = ?`,
  );
  return {
    /** Null = not counted, or counted by another rule or older readings. */
    load: (stationName: string, siteKey: string, rule: string): SiteFitDays | null => {
      const content = load.get(stationName, siteKey, rule);
      return content === undefined ? null : (JSON.parse(content) as SiteFitDays);
    },
    /** Nothing is kept for a station that is gone. */
    save: (stationName: string, siteKey: string, rule: string, counts: SiteFitDays): void => {
      save.run(siteKey, rule, JSON.stringify(counts), stationName);
    },
  };
}
