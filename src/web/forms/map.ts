import Type from 'typebox';
import type { Form } from './form.ts';

const picturesSchema = Type.Object(
  { address: Type.String({ maxLength: 300 }), attribution: Type.String({ maxLength: 200 }) },
  { additionalProperties: false },
);

/** The server of map pictures; blank = off. */
export const picturesForm: Form<typeof picturesSchema> = {
  schema: picturesSchema,
  labels: { address: 'Address of map pictures', attribution: 'Thanks to' },
};
