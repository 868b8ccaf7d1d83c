import Type from 'typebox';
import type { Form } from './form.ts';

const text = (most: number) => Type.String({ minLength: 1, maxLength: most });

const propertySchema = Type.Object(
  {
    landownerName: text(120),
    name: text(120),
    state: text(40),
    county: text(80),
    timeZone: text(60),
    latitude: Type.Number({ minimum: -90, maximum: 90 }),
    longitude: Type.Number({ minimum: -180, maximum: 180 }),
  },
  { additionalProperties: false },
);

/** The first property of one's own land. */
export const propertyForm: Form<typeof propertySchema> = {
  schema: propertySchema,
  labels: {
    landownerName: 'Landowner',
    name: 'Property',
    state: 'State',
    county: 'County',
    timeZone: 'Time zone',
    latitude: 'Latitude',
    longitude: 'Longitude',
  },
};
