import Type from 'typebox';
import type { Form } from './form.ts';

const draftSchema = Type.Object(
  {
    seconds: Type.Integer({ minimum: 1, maximum: 600 }),
    seed: Type.Integer({ minimum: 0, maximum: 2_147_483_647 }),
  },
  { additionalProperties: false },
);

/** Limits of a draft. */
export const draftForm: Form<typeof draftSchema> = {
  schema: draftSchema,
  labels: { seconds: 'Seconds to search', seed: 'Seed' },
};

const planSchema = Type.Object(
  { planId: Type.Integer({ minimum: 1 }) },
  { additionalProperties: false },
);

/** Names the draft that is adopted or discarded, so that another one made meanwhile is not. */
export const planForm: Form<typeof planSchema> = {
  schema: planSchema,
  labels: { planId: 'Draft' },
};

const holdSchema = Type.Object(
  {
    taskKey: Type.String({ minLength: 1, maxLength: 200 }),
    startsOn: Type.Union([Type.String({ format: 'date' }), Type.Null()]),
  },
  { additionalProperties: false },
);

/** Holds a task's first day; blank lets it go. */
export const holdForm: Form<typeof holdSchema> = {
  schema: holdSchema,
  labels: { taskKey: 'Task', startsOn: 'First day' },
};
