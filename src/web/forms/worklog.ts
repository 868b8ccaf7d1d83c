import Type from 'typebox';
import type { Form } from './form.ts';

const signOutSchema = Type.Object(
  { signedOutOn: Type.String({ format: 'date' }) },
  { additionalProperties: false },
);

/** Closes a burn: last day of watch. */
export const signOutForm: Form<typeof signOutSchema> = {
  schema: signOutSchema,
  labels: { signedOutOn: 'Signed out on' },
};

const emptySchema = Type.Object({}, { additionalProperties: false });

/** A form that is only a button. */
export const buttonForm: Form<typeof emptySchema> = { schema: emptySchema, labels: {} };
