/** Weather of one hour as observed or expected; null = not known. Wind and gust at 10 m. */
export interface HourReading {
  temperatureC: number | null;
  rhPercent: number | null;
  windMs: number | null;
  gustMs: number | null;
  /** Degrees that the wind comes from; null = variable or not known. */
  windFromDegrees: number | null;
  /** Rain of the hour in millimetres; a trace is 0.1. */
  rainMm: number | null;
  snowCm: number | null;
}

/** An hour of a forecast. */
export interface ForecastHour extends HourReading {
  /** Start of the hour, UTC, `YYYY-MM-DDTHH:00Z`. */
  at: string;
}

/** What is expected at a place, as somebody said it at some time. */
export interface Forecast {
  /** Station of the weather history that it belongs to. */
  stationName: string;
  /** Who said it: a service's name, or "typed by hand". */
  source: string;
  /** UTC time at which it was issued, `YYYY-MM-DDTHH:MM:SSZ`. */
  issuedAt: string;
  /** UTC time at which it was fetched or typed. */
  takenAt: string;
  hours: ForecastHour[];
}

/** Forecast service of the host: off until the user turns it on. */
export interface ForecastService {
  isOn: boolean;
  /** Address of the service, without a path. */
  address: string;
  /** Who asks, for the service's `User-Agent`: an e-mail address or a name with a telephone number. */
  contact: string;
}

export const forecastServiceDefault: ForecastService = {
  isOn: false,
  address: 'https://api.weather.gov',
  contact: '',
};

/** Hours after which a forecast is said to be stale; common practice, no source. */
export const forecastStaleHours = 6;
