import Type, { type TObject, type TSchema } from 'typebox';
import { type Weights, weightNames, weightsDefault } from '../../core/costs.ts';
import { anchorNames } from '../../core/seasons.ts';
import { anchorWords, monthNames } from '../words.ts';
import type { Form } from './form.ts';

const number = (least: number, most: number) => Type.Number({ minimum: least, maximum: most });
const closed = { additionalProperties: false } as const;

const weightKeys = Object.keys(weightsDefault) as (keyof Weights)[];

/** One number a weight. */
export const weightsForm: Form<TObject> = {
  schema: Type.Object(
    Object.fromEntries(weightKeys.map((key) => [key, number(0, 1_000_000) as TSchema])),
    closed,
  ),
  labels: weightNames,
};

const supplySchema = Type.Object(
  {
    level: Type.Union([Type.Literal('half'), Type.Literal('7-of-10'), Type.Literal('9-of-10')]),
    weekdayPercent: number(0, 100),
    usedPercent: number(0, 100),
    seasonsAfter: Type.Integer({ minimum: 0, maximum: 4 }),
    shareBlackPercentLeast: Type.Integer({ minimum: 1, maximum: 100 }),
  },
  closed,
);

/** Fit-day supply, seasons planned, and when a fire counts. Shares are written in percent. */
export const supplyForm: Form<typeof supplySchema> = {
  schema: supplySchema,
  labels: {
    level: 'Count of past years',
    weekdayPercent: 'Share of weekdays worked, %',
    usedPercent: 'Share of fit days really used, %',
    seasonsAfter: 'Burning seasons after this one',
    shareBlackPercentLeast: 'A fire counts from this share black, %',
  },
};

const monthDay = Type.String({ minLength: 1, maxLength: 5 });
const dayOrBlank = Type.Union([Type.String({ format: 'date' }), Type.Null()]);

/** Usual month-day and this year's observed day of each anchor. */
export const anchorsForm: Form<TObject> = {
  schema: Type.Object(
    Object.fromEntries(
      anchorNames.flatMap((name): [string, TSchema][] => [
        [`usual-${name}`, monthDay],
        [`observed-${name}`, dayOrBlank],
      ]),
    ),
    closed,
  ),
  labels: Object.fromEntries(
    anchorNames.flatMap((name) => [
      [`usual-${name}`, `${anchorWords[name]}, usual`],
      [`observed-${name}`, `${anchorWords[name]}, this year`],
    ]),
  ),
};

const crewSchema = Type.Object(
  {
    name: Type.String({ minLength: 1, maxLength: 60 }),
    peopleCount: Type.Integer({ minimum: 1, maximum: 200 }),
    spreadDaysPerWeek: Type.Integer({ minimum: 1, maximum: 7 }),
    costPerDayUsd: number(0, 100_000),
    workdays: Type.Optional(Type.Array(Type.Integer({ minimum: 1, maximum: 7 }), { maxItems: 7 })),
    daysOff: Type.String({ maxLength: 4000 }),
    onSpans: Type.String({ maxLength: 4000 }),
  },
  closed,
);

/** A crew's people and days. */
export const crewForm: Form<typeof crewSchema> = {
  schema: crewSchema,
  labels: {
    name: 'Name',
    peopleCount: 'People',
    spreadDaysPerWeek: 'Days a week on one job',
    costPerDayUsd: 'Dollars a day',
    workdays: 'Workdays',
    daysOff: 'Days off',
    onSpans: 'Contract spans',
  },
};

/** Fit days of each month, `m1` to `m12`. */
export const fitDaysForm: Form<TObject> = {
  schema: Type.Object(
    Object.fromEntries(monthNames.map((_, at) => [`m${at + 1}`, number(0, 31) as TSchema])),
    closed,
  ),
  labels: Object.fromEntries(monthNames.map((name, at) => [`m${at + 1}`, `Fit days in ${name}`])),
};
