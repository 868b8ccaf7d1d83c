import Type, { type Static, type TSchema } from 'typebox';
import type { Position } from '../../core/geometry.ts';
import type { Problem } from '../../core/problems.ts';
import { mergeMost } from '../../core/unit-merge.ts';
import type { ShapeChange } from '../deps.ts';
import type { Form } from './form.ts';

/** Set by the button of the page that says what will change. */
const isSure = Type.Optional(Type.Literal('yes'));
const id = Type.Integer({ minimum: 1 });
const code = Type.Optional(Type.String({ maxLength: 20 }));
const name = Type.Optional(Type.String({ maxLength: 80 }));
const acres = Type.Optional(
  Type.Union([Type.Number({ exclusiveMinimum: 0, maximum: 1e6 }), Type.Null()]),
);
const degrees = (most: number) =>
  Type.Optional(Type.Union([Type.Number({ minimum: -most, maximum: most }), Type.Null()]));

/** Fields of as many parts as a unit may be split into. */
const partNumbers = [1, 2, 3, 4, 5, 6] as const;
type PartNumber = (typeof partNumbers)[number];
const partFields = Object.fromEntries(
  partNumbers.flatMap((number): [string, TSchema][] => [
    [`code${number}`, code],
    [`name${number}`, name],
    [`acres${number}`, acres],
  ]),
) as Record<`code${PartNumber}` | `name${PartNumber}`, typeof code> &
  Record<`acres${PartNumber}`, typeof acres>;

const splitSchema = Type.Object(
  {
    isSure,
    ...partFields,
    where: Type.Union([Type.Literal('own'), Type.Literal('together')]),
    cut: Type.Union([Type.Literal('line'), Type.Literal('text'), Type.Literal('none')]),
    fromCorner: Type.Optional(Type.String({ maxLength: 10 })),
    toCorner: Type.Optional(Type.String({ maxLength: 10 })),
    fromLongitude: degrees(180),
    fromLatitude: degrees(84),
    toLongitude: degrees(180),
    toLatitude: degrees(84),
    text: Type.Optional(Type.String({ maxLength: 200_000 })),
    isAcresConfirmed: Type.Optional(Type.Literal('yes')),
  },
  { additionalProperties: false },
);

export const splitForm = {
  schema: splitSchema,
  labels: {
    ...Object.fromEntries(
      partNumbers.flatMap((number) => [
        [`code${number}`, `Code of part ${number}`],
        [`name${number}`, `Name of part ${number}`],
        [`acres${number}`, `Acres of part ${number}`],
      ]),
    ),
    where: 'Blocks of the parts',
    cut: 'Boundaries of the parts',
    fromLongitude: 'Longitude of the first point',
    fromLatitude: 'Latitude of the first point',
    toLongitude: 'Longitude of the second point',
    toLatitude: 'Latitude of the second point',
    text: 'Boundaries as GeoJSON',
    isAcresConfirmed: 'The acres are right',
  },
} satisfies Form<typeof splitSchema>;

type SplitValues = Static<typeof splitSchema>;
type Cut = Extract<ShapeChange, { kind: 'split' }>['cut'];

/** A point by its coordinates, else by the number of a corner; null when neither is given. */
function pointOf(
  corners: readonly Position[],
  corner: string | undefined,
  longitude: number | null | undefined,
  latitude: number | null | undefined,
): Position | null {
  if (typeof longitude === 'number' && typeof latitude === 'number') return [longitude, latitude];
  return corners[Number(corner || 0) - 1] ?? null;
}

function cutOf(values: SplitValues, corners: readonly Position[]): Cut | Problem {
  if (values.cut === 'none') return { by: 'none' };
  if (values.cut === 'text') return { by: 'text', text: values.text ?? '' };
  const from = pointOf(corners, values.fromCorner, values.fromLongitude, values.fromLatitude);
  const to = pointOf(corners, values.toCorner, values.toLongitude, values.toLatitude);
  if (from && to) return { by: 'line', from, to };
  return {
    code: 'no-line',
    field: from ? 'toCorner' : 'fromCorner',
    message: `${from ? 'Second' : 'First'} point: pick a corner, or write its longitude and latitude.`,
  };
}

/** The change that sound values mean; parts are as many as have a code, name or acres. */
export function splitChange(
  unitId: number,
  values: SplitValues,
  corners: readonly Position[],
): { change: ShapeChange } | { problem: Problem } {
  const cut = cutOf(values, corners);
  if ('code' in cut) return { problem: cut };
  const parts = partNumbers
    .map((number) => ({
      code: (values[`code${number}`] ?? '').trim(),
      name: (values[`name${number}`] ?? '').trim(),
      areaAcres: values[`acres${number}`] ?? null,
    }))
    .filter((part) => part.code !== '' || part.name !== '' || part.areaAcres !== null);
  return {
    change: {
      kind: 'split',
      unitId,
      parts,
      isTogether: values.where === 'together',
      isAcresConfirmed: values.isAcresConfirmed === 'yes',
      cut,
    },
  };
}

const mergeSchema = Type.Object(
  {
    isSure,
    keepId: id,
    unitId: Type.Optional(Type.Array(id, { maxItems: mergeMost })),
    code: Type.String({ minLength: 1, maxLength: 20 }),
    name: Type.String({ maxLength: 80 }),
  },
  { additionalProperties: false },
);

export const mergeForm = {
  schema: mergeSchema,
  labels: { keepId: 'Unit', unitId: 'Neighbors', code: 'Code', name: 'Name' },
} satisfies Form<typeof mergeSchema>;

const linesSchema = Type.Object({ isSure, propertyId: id }, { additionalProperties: false });

export const linesForm = {
  schema: linesSchema,
  labels: { propertyId: 'Property' },
} satisfies Form<typeof linesSchema>;

const joinSchema = Type.Object(
  { isSure, keepId: id, otherId: id },
  { additionalProperties: false },
);

export const joinForm = {
  schema: joinSchema,
  labels: { keepId: 'Block', otherId: 'Other block' },
} satisfies Form<typeof joinSchema>;

const partSchema = Type.Object({ isSure, blockId: id }, { additionalProperties: false });

export const partForm = {
  schema: partSchema,
  labels: { blockId: 'Block' },
} satisfies Form<typeof partSchema>;
