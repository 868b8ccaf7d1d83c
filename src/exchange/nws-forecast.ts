import { setTimeout as wait } from 'node:timers/promises';
import type { Outcome, Problem } from '../core/problems.ts';
import type { ForecastHour, ForecastService, HourReading } from '../core/weather/readings.ts';

/** How long and how often the service is asked; tests shorten it. */
export interface FetchPatience {
  timeoutMs: number;
  tries: number;
  /** Before the second try; twice that before the third. */
  waitMs: number;
  /** Longest wait that the service may ask for. */
  waitMsMost: number;
}

export const patienceDefault: FetchPatience = {
  timeoutMs: 15_000,
  tries: 3,
  waitMs: 2000,
  waitMsMost: 60_000,
};

const redirectsMost = 3;
const daysMost = 8;

/** A fault in words, and whether asking again may help. */
class Fault extends Error {
  readonly isWorthATry: boolean;
  readonly waitMs: number | null;
  constructor(message: string, isWorthATry: boolean, waitMs: number | null = null) {
    super(message);
    this.isWorthATry = isWorthATry;
    this.waitMs = waitMs;
  }
}

type Json = Record<string, unknown>;

function record(value: unknown, what: string): Json {
  if (typeof value === 'object' && value !== null && !Array.isArray(value)) return value as Json;
  throw new Fault(
    `The forecast service answered in another shape than documented: ${what} is missing.`,
    false,
  );
}

/** `Retry-After` in seconds (RFC 9110 section 10.2.3); its form with a date is taken as not given. */
function retryAfterMs(response: Response): number | null {
  const seconds = Number(response.headers.get('retry-after') ?? Number.NaN);
  return seconds >= 0 ? seconds * 1000 : null;
}

async function answerOf(url: URL, contact: string, signal: AbortSignal): Promise<Response> {
  let at = url;
  for (let hops = 0; hops <= redirectsMost; hops++) {
    const response = await fetch(at, {
      redirect: 'manual',
      signal,
      headers: { 'user-agent': `Seasonwright (${contact})`, accept: 'application/geo+json' },
    });
    if (response.status < 300 || response.status > 399) return response;
    const next = URL.parse(response.headers.get('location') ?? '', at);
    if (next?.origin !== url.origin)
      throw new Fault(
        'The forecast service sends on to another address: check the address in the settings.',
        false,
      );
    at = next;
  }
  throw new Fault('The forecast service sends from one address to the next without end.', false);
}

async function getOnce(url: URL, contact: string, timeoutMs: number): Promise<Json> {
  const signal = AbortSignal.timeout(timeoutMs);
  let response: Response;
  let text: string;
  try {
    response = await answerOf(url, contact, signal);
    text = await response.text();
  } catch (error) {
    if (error instanceof Fault) throw error;
    const message = signal.aborted
      ? `The forecast service did not answer within ${timeoutMs / 1000} seconds.`
      : 'The forecast service could not be reached: check the network and the address.';
    throw new Fault(message, true);
  }
  if (response.status === 429 || response.status >= 500)
    throw new Fault(
      `The forecast service is busy or broken (status ${response.status}).`,
      true,
      retryAfterMs(response),
    );
  if (!response.ok)
    throw new Fault(
      `The forecast service has no forecast for this place or refused (status ${response.status}): it covers the United States only.`,
      false,
    );
  try {
    return record(record(JSON.parse(text), 'the document')['properties'], '"properties"');
  } catch (error) {
    if (error instanceof Fault) throw error;
    throw new Fault('The answer of the forecast service is not whole JSON.', true);
  }
}

async function getPatiently(url: URL, contact: string, patience: FetchPatience): Promise<Json> {
  for (let attempt = 1; ; attempt++) {
    try {
      return await getOnce(url, contact, patience.timeoutMs);
    } catch (error) {
      if (!(error instanceof Fault) || !error.isWorthATry || attempt >= patience.tries) throw error;
      const own = patience.waitMs * 2 ** (attempt - 1);
      await wait(Math.min(error.waitMs ?? own, patience.waitMsMost), undefined, { ref: false });
    }
  }
}

const hourMs = 3_600_000;

/** Start and length in hours of an ISO 8601 interval such as `2026-11-25T12:00:00+00:00/P1DT3H`; null when it is none. */
export function intervalOf(text: string): { fromHour: number; hours: number } | null {
  const [start = '', length = ''] = text.split('/');
  const match = /^P(?:(\d+)D)?(?:T(?:(\d+)H)?(?:\d+M)?)?$/.exec(length);
  const at = Date.parse(start);
  if (!match || Number.isNaN(at)) return null;
  const hours = Number(match[1] ?? 0) * 24 + Number(match[2] ?? 0);
  return hours > 0 ? { fromHour: Math.floor(at / hourMs), hours } : null;
}

/** Turns a value with its unit code into ours (C, percent, m/s, degrees, mm); null for a unit that is not known. */
function converted(value: number, uom: string): number | null {
  switch (uom.replace(/^.*:/, '')) {
    case 'degC':
    case 'percent':
    case 'm_s-1':
    case 'degree_(angle)':
    case 'mm':
      return value;
    case 'degF':
      return (value - 32) / 1.8;
    case 'km_h-1':
      return value / 3.6;
    default:
      return null;
  }
}

/** Layers of the grid, and whether a value is the sum over its interval. Snow on the ground is not among them. */
const layers: { name: string; element: keyof HourReading; isSum: boolean }[] = [
  { name: 'temperature', element: 'temperatureC', isSum: false },
  { name: 'relativeHumidity', element: 'rhPercent', isSum: false },
  { name: 'windSpeed', element: 'windMs', isSum: false },
  { name: 'windGust', element: 'gustMs', isSum: false },
  { name: 'windDirection', element: 'windFromDegrees', isSum: false },
  { name: 'quantitativePrecipitation', element: 'rainMm', isSum: true },
];

const unknownHour = (): HourReading => ({
  temperatureC: null,
  rhPercent: null,
  windMs: null,
  gustMs: null,
  windFromDegrees: null,
  rainMm: null,
  snowCm: null,
});

function layLayer(
  layer: (typeof layers)[number],
  grid: Json,
  hours: Map<number, HourReading>,
): void {
  const own = grid[layer.name];
  if (own === undefined || own === null) return;
  const { uom, values } = record(own, `"${layer.name}"`);
  if (!Array.isArray(values))
    throw new Fault(
      `The forecast service answered in another shape than documented: the values of "${layer.name}" are missing.`,
      false,
    );
  for (const entry of values) {
    const { validTime, value } = record(entry, `a value of "${layer.name}"`);
    const interval = intervalOf(String(validTime));
    const ours = typeof value === 'number' ? converted(value, String(uom)) : null;
    if (!interval || ours === null) continue;
    for (
      let hour = interval.fromHour;
      hour < interval.fromHour + Math.min(interval.hours, daysMost * 24);
      hour++
    ) {
      const reading = hours.get(hour) ?? unknownHour();
      reading[layer.element] = layer.isSum ? ours / interval.hours : ours;
      hours.set(hour, reading);
    }
  }
}

/** Hours of the grid's layers, from the hour of `now` on, in order. */
function hoursOfGrid(grid: Json, now: Date): ForecastHour[] {
  const hours = new Map<number, HourReading>();
  for (const layer of layers) layLayer(layer, grid, hours);
  const from = Math.floor(now.getTime() / hourMs);
  return [...hours]
    .filter(([hour]) => hour >= from && hour < from + daysMost * 24)
    .sort(([a], [b]) => a - b)
    .map(([hour, reading]) => ({
      ...reading,
      at: `${new Date(hour * hourMs).toISOString().slice(0, 16)}Z`,
    }));
}

const utcSeconds = (at: number) => `${new Date(at).toISOString().slice(0, 19)}Z`;

/**
 * The forecast grid of a place from the public API of the US National Weather Service: `/points/{lat},{lon}` names the
 * grid (`forecastGridData`), whose layers hold values over ISO 8601 intervals with a unit code. Shape of grid, layers
 * and intervals as in the service's published schema; names of the unit codes from memory. Faults come as problems in
 * words; nothing is thrown.
 */
export async function fetchForecast(
  service: ForecastService,
  place: { latitude: number; longitude: number },
  now: Date,
  patience: FetchPatience = patienceDefault,
): Promise<Outcome<{ issuedAt: string; hours: ForecastHour[] }>> {
  try {
    const base = new URL(service.address);
    // The service answers with a redirect when a place has more than four decimals or zeros after them.
    const degrees = (value: number) => String(Number(value.toFixed(4)));
    const point = new URL(`/points/${degrees(place.latitude)},${degrees(place.longitude)}`, base);
    const { forecastGridData } = await getPatiently(point, service.contact, patience);
    const gridUrl = URL.parse(String(forecastGridData ?? ''), base);
    if (typeof forecastGridData !== 'string' || gridUrl?.origin !== base.origin)
      throw new Fault(
        'The forecast service answered in another shape than documented: "forecastGridData" is missing or leads elsewhere.',
        false,
      );
    const grid = await getPatiently(gridUrl, service.contact, patience);
    const hours = hoursOfGrid(grid, now);
    if (hours.length === 0)
      throw new Fault('The forecast service answered without a single hour from now on.', false);
    const issued = Date.parse(String(grid['updateTime'] ?? ''));
    return {
      ok: true,
      value: { issuedAt: utcSeconds(Number.isNaN(issued) ? now.getTime() : issued), hours },
    };
  } catch (error) {
    if (!(error instanceof Fault)) throw error;
    const problem: Problem = { code: 'forecast-fetch', message: error.message };
    return { ok: false, problems: [problem] };
  }
}
