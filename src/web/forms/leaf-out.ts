import Type from 'typebox';
import type { Form } from './form.ts';

const observedSchema = Type.Object(
  { observedOn: Type.String({ format: 'date' }), model: Type.String({ maxLength: 60 }) },
  { additionalProperties: false },
);

/** The day on which leaf-out was seen at a property. */
export const leafOutObservedForm: Form<typeof observedSchema> = {
  schema: observedSchema,
  labels: { observedOn: 'Leaf-out observed on', model: 'Model' },
};

const takeSchema = Type.Object(
  { model: Type.String({ maxLength: 60 }) },
  { additionalProperties: false },
);

/** Take the computed date over, or drop the year's own date again. */
export const leafOutTakeForm: Form<typeof takeSchema> = {
  schema: takeSchema,
  labels: { model: 'Model' },
};
