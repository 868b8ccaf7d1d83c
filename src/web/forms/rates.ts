import Type from 'typebox';
import { densityClasses } from '../../core/units.ts';
import type { Form } from './form.ts';

const rateSchema = Type.Object(
  {
    propertyId: Type.Integer({ minimum: 1 }),
    /** Blank = the lighting of burns. */
    treatmentKey: Type.Union([Type.String({ minLength: 1, maxLength: 80 }), Type.Null()]),
    densityClass: Type.Union([...densityClasses.map((one) => Type.Literal(one)), Type.Null()]),
    action: Type.Union([Type.Literal('accept'), Type.Literal('back')]),
    isSure: Type.Optional(Type.Literal('yes')),
  },
  { additionalProperties: false },
);

/** Accepts a learned rate, or goes back to the rate of the library. */
export const rateForm: Form<typeof rateSchema> = {
  schema: rateSchema,
  labels: { propertyId: 'Property', treatmentKey: 'Treatment', densityClass: 'Density' },
};

const shareSchema = Type.Object(
  { action: Type.Union([Type.Literal('accept'), Type.Literal('back')]) },
  { additionalProperties: false },
);

/** Accepts the learned share of fit days, or goes back to the default. */
export const shareForm: Form<typeof shareSchema> = { schema: shareSchema, labels: {} };
