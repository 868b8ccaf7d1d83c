import Type from 'typebox';
import type { Form } from './form.ts';
import { entryLabels, noWorkFields, sendKeyField } from './worklog.ts';

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
    people: Type.Optional(Type.Union([Type.Integer({ minimum: 1, maximum: 500 }), Type.Null()])),
    hoursEach: Type.Optional(
      Type.Union([Type.Number({ minimum: 0, maximum: 10_000 }), Type.Null()]),
    ),
    note: Type.Optional(Type.String({ maxLength: 2000 })),
    ...noWorkFields,
    sendKey: sendKeyField,
  },
  { additionalProperties: false },
);

/** What a crew lead says of a task; the button pressed is the outcome. */
export const reportForm: Form<typeof reportSchema> = {
  schema: reportSchema,
  labels: { ...entryLabels, reason: 'Reason' },
};
