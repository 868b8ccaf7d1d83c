import type { Problem } from '../core/problems.ts';
import type { ForecastService } from '../core/weather/readings.ts';
import { nearestOf } from '../core/weather/stations.ts';
import { hoursOfParts } from '../core/weather/typed-forecast.ts';
import { fetchForecast } from '../exchange/nws-forecast.ts';
import { isTimeZone, standardOffsetMinutes } from '../exchange/time-zone.ts';
import type { WeatherReading } from '../exchange/weather-file.ts';
import { utcSeconds } from '../storage/changes.ts';
import type { Deps, ForecastFetch, WeatherImportRun } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { importSteps, isKept, monthlyFitDays } from './weather-import.ts';

/** A slice of work stays short, so that pages are answered in between. */
const sliceMs = 15;
/** A service that was just asked is not asked again so soon. */
const fetchAgainMs = 10 * 60_000;

const utcNow = () => utcSeconds(() => new Date());

function endOf(reading: WeatherReading): Partial<WeatherImportRun> {
  const { report, problems, lines } = reading;
  const years = [...new Set([...reading.years, ...reading.days].map((one) => one.year))];
  return {
    state: isKept(reading) ? 'done' : 'failed',
    share: 1,
    rows: report.rows,
    rowsTaken: report.rowsTaken,
    years,
    leftOut: report.leftOut.map(({ reason, count }) => ({ reason, count })),
    lines,
    problems,
  };
}

/** One import at a time, in slices between the answers to pages. */
function weatherImport(
  file: OperationFile,
): Pick<Deps['weather'], 'startImport' | 'importRun' | 'stopImport'> {
  let run: WeatherImportRun | null = null;
  const startImport: Deps['weather']['startImport'] = (order) => {
    const problems: Problem[] = [];
    if (run?.state === 'running')
      problems.push({
        code: 'import-running',
        message: 'A weather file is being read already: stop it, or wait until it is done.',
      });
    if (!isTimeZone(order.station.timeZone))
      problems.push({
        code: 'time-zone',
        field: 'timeZone',
        message: 'Time zone: write a name such as America/Chicago or America/Denver.',
      });
    if (problems.length > 0) return { ok: false, problems };
    const own: WeatherImportRun = {
      state: 'running',
      stationName: order.station.name,
      fileName: order.fileName,
      share: 0,
      rows: 0,
      rowsTaken: 0,
      years: [],
      leftOut: [],
      lines: [],
      problems: [],
    };
    run = own;
    const steps = importSteps(file, order);
    const slice = (): void => {
      const until = performance.now() + sliceMs;
      while (own.state === 'running' && performance.now() < until) {
        const step = steps.next();
        if (step.done) Object.assign(own, endOf(step.value));
        else own.share = step.value;
      }
      if (own.state === 'running') setImmediate(guarded);
    };
    const guarded = (): void => {
      try {
        slice();
      } catch (error) {
        const message = error instanceof Error ? error.message : String(error);
        Object.assign(own, { state: 'failed', problems: [{ code: 'import-failed', message }] });
      }
    };
    setImmediate(guarded);
    return { ok: true, value: own };
  };
  return {
    startImport,
    importRun: () => run,
    stopImport: () => {
      if (run?.state === 'running') run.state = 'stopped';
    },
  };
}

function serviceProblems(service: ForecastService): Problem[] {
  const problems: Problem[] = [];
  const url = URL.parse(service.address);
  if (url?.protocol !== 'https:' && url?.protocol !== 'http:')
    problems.push({
      code: 'service-address',
      field: 'address',
      message: 'Address: write one that begins with https://, such as https://api.weather.gov.',
    });
  if (service.isOn && service.contact.trim() === '')
    problems.push({
      code: 'service-contact',
      field: 'contact',
      message: 'Contact: the service wants to know who asks; write an e-mail address.',
    });
  // A header holds printable ASCII (RFC 9110 section 5.5).
  if (!/^[\x20-\x7e]*$/.test(service.contact))
    problems.push({
      code: 'service-contact',
      field: 'contact',
      message: 'Contact: use plain letters without accents.',
    });
  return problems;
}

/** Fetches in the background, one a station at a time; pages see what is kept. */
function forecastFetches(
  file: OperationFile,
): Pick<Deps['weather'], 'refreshForecast' | 'forecastFetch'> {
  const { weather } = file.store;
  const fetches = new Map<string, ForecastFetch & { startedAt: number }>();
  return {
    refreshForecast: (stationName) => {
      const service = weather.forecastService();
      const place = weather.places().find((one) => one.name === stationName);
      const before = fetches.get(stationName);
      if (!service.isOn)
        return [{ code: 'service-off', message: 'The forecast service is off: turn it on first.' }];
      if (!place) return [{ code: 'no-station', message: 'Station: choose one of the list.' }];
      if (before?.state === 'running') return [];
      if (before?.state === 'done' && Date.now() - before.startedAt < fetchAgainMs) return [];
      const own: ForecastFetch & { startedAt: number } = {
        state: 'running',
        problems: [],
        startedAt: Date.now(),
      };
      fetches.set(stationName, own);
      fetchForecast(service, place, new Date())
        .then((outcome) => {
          if (!outcome.ok) {
            Object.assign(own, { state: 'failed', problems: outcome.problems });
            return;
          }
          const source = 'US National Weather Service';
          weather.saveForecast({ ...outcome.value, stationName, source, takenAt: utcNow() });
          own.state = 'done';
        })
        .catch((error: unknown) => {
          const message = error instanceof Error ? error.message : String(error);
          Object.assign(own, { state: 'failed', problems: [{ code: 'forecast-failed', message }] });
        });
      return [];
    },
    forecastFetch: (stationName) => fetches.get(stationName) ?? null,
  };
}

/** Weather history, imports and forecasts as pages see them. */
export function webWeather(file: OperationFile): Deps['weather'] {
  const { weather } = file.store;
  return {
    stations: weather.stations,
    places: weather.places,
    monthlyFitDays: (stationName, prescriptionKey) => {
      const counts = weather.loadFitDayCounts(stationName, prescriptionKey);
      return counts.length === 0 ? null : monthlyFitDays(counts);
    },
    tables: () => file.library.weatherTables,
    yearsHeld: weather.yearsHeld,
    hourlyYears: weather.loadYears,
    dailyYears: weather.loadDailyYears,
    nearestStation: (propertyId) => {
      const property = file.operation().properties.find((one) => one.id === propertyId);
      const stations = weather.stations().filter((one) => one.hours > 0);
      return property ? nearestOf(stations, property) : null;
    },
    forecast: weather.forecast,
    saveForecast: (stationName, parts) => {
      const station = weather.places().find((one) => one.name === stationName);
      if (!station)
        return [
          { code: 'no-station', field: 'station', message: 'Station: choose one of the list.' },
        ];
      const now = utcNow();
      const hours = hoursOfParts(parts, standardOffsetMinutes(station.timeZone));
      const source = 'typed by hand';
      weather.saveForecast({ stationName, source, issuedAt: now, takenAt: now, hours });
      return [];
    },
    service: weather.forecastService,
    saveService: (service) => {
      const problems = serviceProblems(service);
      if (problems.length === 0) weather.saveForecastService(service);
      return problems;
    },
    ...forecastFetches(file),
    ...weatherImport(file),
  };
}

const refreshEveryMs = 60 * 60_000;

/** While the service is on, asks it each hour for the station of each property. The answer ends the asking. */
export function keepForecastsFresh(deps: Pick<Deps, 'operation' | 'weather'>): () => void {
  const refresh = (): void => {
    if (!deps.weather.service().isOn) return;
    const names = deps
      .operation()
      .properties.map(({ id }) => deps.weather.nearestStation(id)?.name);
    for (const name of new Set(names)) if (name !== undefined) deps.weather.refreshForecast(name);
  };
  refresh();
  const timer = setInterval(refresh, refreshEveryMs).unref();
  return () => clearInterval(timer);
}
