import type { Database } from 'better-sqlite3';
import type { Problem } from '../core/problems.ts';
import {
  type DailyYear,
  type FitDayCount,
  missingReading,
  type Station,
  type StationSummary,
  type WeatherYear,
} from '../core/weather/history.ts';
import type { Forecast } from '../core/weather/readings.ts';
import type { ChangeLog } from './changes.ts';
import { fromBytes, toBytes } from './columns.ts';
import { dailyRows, yearsHeld } from './daily-weather.ts';
import { forecastRows } from './forecast.ts';
import { isTimeZone } from './properties.ts';

/** What is wrong with a station as entered; empty = it can be stored. */
export function checkStation(station: Station): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `station-${field}`, field, ref: station.name, message });
  if (station.name.trim() === '') say('name', 'Name: give the station a name.');
  if (!(Math.abs(station.latitude) <= 90))
    say('latitude', 'Latitude: give degrees from -90 to 90.');
  if (!(Math.abs(station.longitude) <= 180))
    say('longitude', 'Longitude: give degrees from -180 to 180; west of Greenwich is negative.');
  if (!isTimeZone(station.timeZone))
    say('timeZone', 'Time zone: give an IANA name, such as America/Chicago.');
  return problems;
}

/** The counts of one station for one prescription, years in order. */
export interface FitDaySeries {
  station: Station;
  counts: FitDayCount[];
}

const readings = [
  'temperatureC10',
  'dewPointC10',
  'windMs10',
  'windDirectionDegrees',
  'rainMm10',
] as const satisfies readonly (keyof WeatherYear)[];
const seldomReadings = ['gustMs10', 'snowCm'] as const satisfies readonly (keyof WeatherYear)[];

type WeatherYearRow = { year: number } & Record<(typeof readings)[number], Buffer> &
  Record<(typeof seldomReadings)[number], Buffer | null>;
type StationRow = Omit<Station, 'isInvented'> & { isInvented: number };
type CountRow = Omit<FitDayCount, 'halfMonths' | 'isWholeYear'> & {
  halfMonths: string;
  isWholeYear: number;
};

function fromYear(year: WeatherYear) {
  const hours = year.temperatureC10.length;
  let observedHours = 0;
  const held = [...readings, ...seldomReadings].flatMap((name) => year[name] ?? []);
  for (let hour = 0; hour < hours; hour++)
    if (held.some((column) => column[hour] !== missingReading)) observedHours += 1;
  const columns = Object.fromEntries(
    [...readings, ...seldomReadings].map((name) => {
      const column = year[name];
      return [name, column ? toBytes(column) : null];
    }),
  );
  return { year: year.year, hours, observedHours, ...columns };
}

function toYear(row: WeatherYearRow): WeatherYear {
  return {
    year: row.year,
    temperatureC10: fromBytes(row.temperatureC10),
    dewPointC10: fromBytes(row.dewPointC10),
    windMs10: fromBytes(row.windMs10),
    windDirectionDegrees: fromBytes(row.windDirectionDegrees),
    rainMm10: fromBytes(row.rainMm10),
    ...(row.gustMs10 ? { gustMs10: fromBytes(row.gustMs10) } : {}),
    ...(row.snowCm ? { snowCm: fromBytes(row.snowCm) } : {}),
  };
}

function toCount({ year, halfMonths, unknownHours, isWholeYear }: CountRow): FitDayCount {
  const figures = JSON.parse(halfMonths) as number[];
  return { year, halfMonths: figures, unknownHours, isWholeYear: isWholeYear === 1 };
}

const stationColumns = `name, latitude, longitude, time_zone AS timeZone, is_invented AS isInvented`;

function stationRows(db: Database) {
  const summary = db.prepare<[], StationRow & Omit<StationSummary, keyof Station>>(
    `SELECT ${stationColumns}, min(seen.year) AS fromYear, max(seen.year) AS toYear, sum(seen.hours) AS hours
     FROM station JOIN (
       SELECT station_id, year, observed_hours AS hours FROM weather_year
       UNION ALL SELECT station_id, year, 0 FROM daily_year
       UNION ALL SELECT station_id, year, 0 FROM fit_day_count
     ) AS seen ON seen.station_id = station.id
     GROUP BY station.id ORDER BY name`,
  );
  const one = db.prepare<[string], StationRow>(
    `SELECT ${stationColumns} FROM station WHERE name = ?`,
  );
  const every = db.prepare<[], StationRow>(`SELECT ${stationColumns} FROM station ORDER BY name`);
  const id = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const save = db.prepare(
    `INSERT INTO station (name, latitude, longitude, time_zone, is_invented)
     VALUES (@name, @latitude, @longitude, @timeZone, @isInvented)
     ON CONFLICT (name) DO UPDATE SET latitude = excluded.latitude, longitude = excluded.longitude,
       time_zone = excluded.time_zone, is_invented = excluded.is_invented`,
  );
  return {
    /** Stations that hold at least one year, by name. */
    stations: (): StationSummary[] =>
      summary.all().map((row) => ({ ...row, isInvented: row.isInvented === 1 })),
    /** Every station, also one that holds nothing yet. */
    places: (): Station[] =>
      every.all().map((row) => ({ ...row, isInvented: row.isInvented === 1 })),
    idOf: (name: string): number => {
      const found = id.get(name);
      if (found === undefined) throw new Error(`There is no weather station named ${name}.`);
      return found;
    },
    station: (name: string): Station | null => {
      const row = one.get(name);
      return row ? { ...row, isInvented: row.isInvented === 1 } : null;
    },
    hasStation: (name: string): boolean => id.get(name) !== undefined,
    saveStation: (station: Station): void => {
      save.run({ ...station, isInvented: Number(station.isInvented) });
    },
  };
}

function yearRows(db: Database) {
  const load = db.prepare<[number, number, number], WeatherYearRow>(
    `SELECT year, temperature_c10 AS temperatureC10, dew_point_c10 AS dewPointC10, wind_ms10 AS windMs10,
       wind_direction_degrees AS windDirectionDegrees, rain_mm10 AS rainMm10, gust_ms10 AS gustMs10,
       snow_cm AS snowCm
     FROM weather_year WHERE station_id = ? AND year BETWEEN ? AND ? ORDER BY year`,
  );
  const save = db.prepare(
    `INSERT OR REPLACE INTO weather_year (station_id, year, hours, observed_hours, temperature_c10,
       dew_point_c10, wind_ms10, wind_direction_degrees, rain_mm10, gust_ms10, snow_cm)
     VALUES (@stationId, @year, @hours, @observedHours, @temperatureC10, @dewPointC10, @windMs10,
       @windDirectionDegrees, @rainMm10, @gustMs10, @snowCm)`,
  );
  return {
    load: (stationId: number, from: number, to: number) =>
      load.all(stationId, from, to).map(toYear),
    save: (stationId: number, year: WeatherYear): void => {
      save.run({ ...fromYear(year), stationId });
    },
  };
}

function fileIdRows(db: Database) {
  const of = db
    .prepare<[string, string], string | null>(
      `SELECT json_extract(file_ids, '$."' || ? || '"') FROM station WHERE name = ?`,
    )
    .pluck();
  const save = db.prepare(
    `UPDATE station SET file_ids = json_set(file_ids, '$."' || ? || '"', ?) WHERE name = ?`,
  );
  return {
    of: (stationName: string, format: string): string | null => of.get(format, stationName) ?? null,
    save: (stationName: string, format: string, id: string): void => {
      save.run(format, id, stationName);
    },
  };
}

function groupByStation(rows: readonly (StationRow & CountRow)[]): FitDaySeries[] {
  const found = new Map<string, FitDaySeries>();
  for (const row of rows) {
    const { name, latitude, longitude, timeZone } = row;
    const station = { name, latitude, longitude, timeZone, isInvented: row.isInvented === 1 };
    const series = found.get(name) ?? { station, counts: [] };
    found.set(name, series);
    series.counts.push(toCount(row));
  }
  return [...found.values()];
}

function countRows(db: Database) {
  const columns = `year, half_months AS halfMonths, unknown_hours AS unknownHours, is_whole_year AS isWholeYear`;
  const load = db.prepare<[number, string], CountRow>(
    `SELECT ${columns} FROM fit_day_count WHERE station_id = ? AND prescription_key = ? ORDER BY year`,
  );
  const series = db.prepare<[string], StationRow & CountRow>(
    `SELECT ${stationColumns}, ${columns} FROM fit_day_count JOIN station ON station.id = station_id
     WHERE prescription_key = ? ORDER BY name, year`,
  );
  const save = db.prepare(
    `INSERT OR REPLACE INTO fit_day_count
       (station_id, prescription_key, year, half_months, unknown_hours, is_whole_year)
     VALUES (@stationId, @prescriptionKey, @year, @halfMonths, @unknownHours, @isWholeYear)`,
  );
  const dropYear = db.prepare('DELETE FROM fit_day_count WHERE station_id = ? AND year = ?');
  return {
    load: (stationId: number, key: string) => load.all(stationId, key).map(toCount),
    series: (key: string): FitDaySeries[] => groupByStation(series.all(key)),
    save: (stationId: number, prescriptionKey: string, count: FitDayCount): void => {
      save.run({
        stationId,
        prescriptionKey,
        year: count.year,
        halfMonths: JSON.stringify(count.halfMonths),
        unknownHours: count.unknownHours,
        isWholeYear: Number(count.isWholeYear),
      });
    },
    dropYear: (stationId: number, year: number) => dropYear.run(stationId, year),
  };
}

/** Stations, hourly years and counts of fit days. */
export function weatherRepository(db: Database, changes: ChangeLog) {
  const stations = stationRows(db);
  const years = yearRows(db);
  const daily = dailyRows(db);
  const counts = countRows(db);
  const fileIds = fileIdRows(db);
  const { forecast, saveForecast, forecastService, saveForecastService } = forecastRows(db);
  const dropInvented = db.prepare('DELETE FROM station WHERE is_invented = 1');
  return {
    stations: stations.stations,
    places: stations.places,
    station: stations.station,
    /** Stores a station; one of the same name gets the new place and zone and keeps its years. */
    saveStation: stations.saveStation,
    /**
     * Stores whole years of readings in place of older ones. Counts of these years are dropped, since they
     * were taken from the older readings: count again and save. Throws for an unknown station.
     */
    saveYears: db.transaction((stationName: string, newYears: readonly WeatherYear[]): void => {
      const stationId = stations.idOf(stationName);
      for (const year of newYears) {
        years.save(stationId, year);
        counts.dropYear(stationId, year.year);
      }
      changes.note('weather', `Weather of ${stationName} was loaded.`);
    }).immediate,
    /** Years in order, `from` and `to` inclusive; empty for an unknown station. */
    loadYears: (stationName: string, from = 1800, to = 2200): WeatherYear[] =>
      stations.hasStation(stationName) ? years.load(stations.idOf(stationName), from, to) : [],
    /** Stores whole years of days in place of older ones. Throws for an unknown station. */
    saveDailyYears: db.transaction((stationName: string, newYears: readonly DailyYear[]): void => {
      const stationId = stations.idOf(stationName);
      for (const year of newYears) daily.save(stationId, year);
      changes.note('weather', `Weather of ${stationName} was loaded.`);
    }).immediate,
    /** Years in order, `from` and `to` inclusive; empty for an unknown station. */
    loadDailyYears: (stationName: string, from = 1800, to = 2200): DailyYear[] =>
      stations.hasStation(stationName) ? daily.load(stations.idOf(stationName), from, to) : [],
    /** What each year of a station holds. */
    yearsHeld: yearsHeld(db),
    /** Number by which the files of a format name the station; null = none is known yet. */
    fileId: fileIds.of,
    saveFileId: fileIds.save,
    /** The newest forecast of a station. */
    forecast: (stationName: string): Forecast | null => forecast(stationName),
    /** Keeps a forecast in place of the one before it. Throws for an unknown station. */
    saveForecast: (own: Forecast): void => saveForecast(stations.idOf(own.stationName), own),
    forecastService,
    saveForecastService,
    /** Stores counts of years in place of older ones. Throws for an unknown station. */
    saveFitDayCounts: db.transaction(
      (stationName: string, prescriptionKey: string, list: readonly FitDayCount[]): void => {
        const stationId = stations.idOf(stationName);
        for (const count of list) counts.save(stationId, prescriptionKey, count);
        changes.note('weather', `Fit days were counted from the weather of ${stationName}.`);
      },
    ).immediate,
    /** Counts in order of years; empty for an unknown station. */
    loadFitDayCounts: (stationName: string, prescriptionKey: string): FitDayCount[] =>
      stations.hasStation(stationName)
        ? counts.load(stations.idOf(stationName), prescriptionKey)
        : [],
    fitDaySeries: counts.series,
    dropInvented: (): void => {
      dropInvented.run();
    },
  };
}
