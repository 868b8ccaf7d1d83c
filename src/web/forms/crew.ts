import Type from 'typebox';
import type { Form } from './form.ts';

const reportSchema = Type.Object(
  {
    outcome: Type.Union([
      Type.Literal('done'),
      Type.Literal('partly'),
      Type.Literal('not-possible'),
    ]),
    doneOn: Type.String({ format: 'date' }),
    unitId: Type.Optional(Type.Union([Type.Integer({ minimum: 1 }), Type.Null()])),
    areaAcres: Type.Union([Type.Number({ exclusiveMinimum: 0, maximum: 100_000 }), Type.Null()]),
    reason: Type.String({ maxLength: 300 }),
  },
  { additionalProperties: false },
);

/** What a crew lead says of a task; the button pressed is the outcome. */
export const reportForm: Form<typeof reportSchema> = {
  schema: reportSchema,
  labels: {
    outcome: 'How it went',
    doneOn: 'Last day',
    unitId: 'Unit',
    areaAcres: 'Acres done',
    reason: 'Reason',
  },
};
