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

const ids = Type.Optional(Type.Array(Type.Integer({ minimum: 1 }), { maxItems: 1000 }));

const ownFeedSchema = Type.Object(
  {
    title: Type.String({ minLength: 1, maxLength: 80 }),
    treatmentKeys: Type.Optional(Type.Array(Type.String({ maxLength: 60 }), { maxItems: 200 })),
    crewIds: ids,
    unitIds: ids,
  },
  { additionalProperties: false },
);

/** A feed of one's own. */
export const ownFeedForm: Form<typeof ownFeedSchema> = {
  schema: ownFeedSchema,
  labels: { title: 'Name', treatmentKeys: 'Treatments', crewIds: 'Crews', unitIds: 'Units' },
};
