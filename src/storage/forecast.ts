import type { Database } from 'better-sqlite3';
import {
  type Forecast,
  type ForecastHour,
  type ForecastService,
  forecastServiceDefault,
} from '../core/weather/readings.ts';

type ForecastRow = Omit<Forecast, 'hours'> & { hours: string };
type ServiceRow = Omit<ForecastService, 'isOn'> & { isOn: number };

/** The newest forecast of each station, and how to reach the service. */
export function forecastRows(db: Database) {
  const find = db.prepare<[string], ForecastRow>(
    `SELECT name AS stationName, source, issued_at AS issuedAt, taken_at AS takenAt, hours
     FROM forecast JOIN station ON station.id = station_id WHERE name = ?`,
  );
  const save = db.prepare(
    `INSERT OR REPLACE INTO forecast (station_id, source, issued_at, taken_at, hours)
     VALUES (@stationId, @source, @issuedAt, @takenAt, @hours)`,
  );
  const service = db.prepare<[], ServiceRow>(
    'SELECT is_on AS isOn, address, contact FROM forecast_service',
  );
  const saveService = db.prepare(
    `INSERT OR REPLACE INTO forecast_service (id, is_on, address, contact)
     VALUES (1, @isOn, @address, @contact)`,
  );
  return {
    forecast: (stationName: string): Forecast | null => {
      const row = find.get(stationName);
      return row ? { ...row, hours: JSON.parse(row.hours) as ForecastHour[] } : null;
    },
    // A forecast changes no plan, so the revision of the land stays.
    saveForecast: (stationId: number, { hours, ...rest }: Forecast): void => {
      save.run({ ...rest, stationId, hours: JSON.stringify(hours) });
    },
    forecastService: (): ForecastService => {
      const row = service.get();
      return row ? { ...row, isOn: row.isOn === 1 } : forecastServiceDefault;
    },
    saveForecastService: (own: ForecastService): void => {
      saveService.run({ ...own, isOn: Number(own.isOn) });
    },
  };
}
