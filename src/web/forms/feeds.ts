import Type from 'typebox';
import type { Form } from './form.ts';

const feedSchema = Type.Object(
  {
    name: Type.String({ minLength: 1, maxLength: 120 }),
    label: Type.String({ minLength: 1, maxLength: 80 }),
    mayReport: Type.Optional(Type.Union([Type.Literal('yes'), Type.Literal('no')])),
  },
  { additionalProperties: false },
);

/** A new address for a feed. */
export const feedForm: Form<typeof feedSchema> = {
  schema: feedSchema,
  labels: { name: 'Feed', label: 'Whose calendar', mayReport: 'May mark tasks done' },
};
