import Type, { type TObject, type TSchema } from 'typebox';
import { fromDay, type IsoDate, toDay } from '../../core/dates.ts';
import type { HourReading } from '../../core/weather/readings.ts';
import type { ForecastPart } from '../../core/weather/typed-forecast.ts';
import type { Form } from './form.ts';

const closed = { additionalProperties: false } as const;

/** Parts of a day for a typed forecast: hours of standard time. */
export const forecastParts = [
  { fromHour: 0, untilHour: 6 },
  { fromHour: 6, untilHour: 9 },
  { fromHour: 9, untilHour: 12 },
  { fromHour: 12, untilHour: 15 },
  { fromHour: 15, untilHour: 18 },
  { fromHour: 18, untilHour: 24 },
] as const;
export const forecastDayCount = 3;

/** Fields of a part, with their limits and the factor or shift to our units. */
export const forecastFields = [
  { key: 'temperature', label: 'Temp., F', least: -60, most: 130 },
  { key: 'rh', label: 'Humidity, %', least: 0, most: 100 },
  { key: 'wind', label: 'Wind, mph', least: 0, most: 150 },
  { key: 'gust', label: 'Gusts, mph', least: 0, most: 200 },
  { key: 'from', label: 'From, degrees', least: 0, most: 360 },
  { key: 'rain', label: 'Rain, inches', least: 0, most: 20 },
] as const;

type FieldKey = (typeof forecastFields)[number]['key'];

/** Name of a field: day 0 to 2, first hour of its part, element. */
export function forecastFieldName(day: number, fromHour: number, key: FieldKey): string {
  return `d${day}-h${fromHour}-${key}`;
}

function forecastSchema(): { schema: TObject; labels: Record<string, string> } {
  const fields: Record<string, TSchema> = {
    station: Type.String({ minLength: 1, maxLength: 120 }),
    firstDay: Type.String({ format: 'date' }),
  };
  const labels: Record<string, string> = { station: 'Station', firstDay: 'First day' };
  for (let day = 0; day < forecastDayCount; day++)
    for (const { fromHour, untilHour } of forecastParts)
      for (const { key, label, least, most } of forecastFields) {
        const name = forecastFieldName(day, fromHour, key);
        fields[name] = Type.Optional(
          Type.Union([Type.Number({ minimum: least, maximum: most }), Type.Null()]),
        );
        labels[name] = `Day ${day + 1}, ${fromHour} to ${untilHour} h, ${label}`;
      }
  return { schema: Type.Object(fields, closed), labels };
}

/** A forecast typed by hand; a blank is unknown. */
export const forecastForm: Form<TObject> = forecastSchema();

const milesPerHour = 0.44704;

/** The parts of a sound form. */
export function partsOfForm(values: Record<string, unknown>): ForecastPart[] {
  const first = toDay(String(values['firstDay']) as IsoDate);
  return Array.from({ length: forecastDayCount }, (_, day) =>
    forecastParts.map(({ fromHour, untilHour }): ForecastPart => {
      const at = (key: FieldKey, toOurs: (value: number) => number): number | null => {
        const value = values[forecastFieldName(day, fromHour, key)];
        return typeof value === 'number' ? toOurs(value) : null;
      };
      const reading: HourReading = {
        temperatureC: at('temperature', (value) => (value - 32) / 1.8),
        rhPercent: at('rh', (value) => value),
        windMs: at('wind', (value) => value * milesPerHour),
        gustMs: at('gust', (value) => value * milesPerHour),
        windFromDegrees: at('from', (value) => value),
        rainMm: at('rain', (value) => value * 25.4),
        snowCm: null,
      };
      return { date: fromDay(first + day), fromHour, untilHour, reading };
    }),
  ).flat();
}

const serviceSchema = Type.Object(
  {
    isOn: Type.Optional(Type.Literal('yes')),
    address: Type.String({ minLength: 1, maxLength: 200 }),
    contact: Type.String({ maxLength: 120 }),
  },
  closed,
);

/** The forecast service of the host. */
export const serviceForm: Form<typeof serviceSchema> = {
  schema: serviceSchema,
  labels: { isOn: 'Ask the service', address: 'Address', contact: 'Contact' },
};

const stationSchema = Type.Object(
  { station: Type.String({ minLength: 1, maxLength: 120 }) },
  closed,
);

/** One station, named by a button. */
export const stationForm: Form<typeof stationSchema> = {
  schema: stationSchema,
  labels: { station: 'Station' },
};
