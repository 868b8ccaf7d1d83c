import Type from 'typebox';
import type { Form } from './form.ts';

const feedSchema = Type.Object(
  {
    name: Type.String({ minLength: 1, maxLength: 120 }),
    label: Type.String({ minLength: 1, maxLength: 80 }),
  },
  { additionalProperties: false },
);

/** A new address for a feed. */
export const feedForm: Form<typeof feedSchema> = {
  schema: feedSchema,
  labels: { name: 'Feed', label: 'Whose calendar' },
};
