import Type from 'typebox';
import {
  callOutAnswers,
  choiceKeys,
  patrolMoments,
  unusedReasons,
} from '../../core/burn-papers.ts';
import type { Form } from './form.ts';

const by = Type.String({ minLength: 1, maxLength: 80 });
const day = Type.String({ format: 'date' });
const text = Type.Optional(Type.String({ maxLength: 300 }));
const strict = { additionalProperties: false };
const oneOf = (words: readonly string[]) => Type.Union(words.map((word) => Type.Literal(word)));
const stepKey = Type.Optional(Type.String({ maxLength: 60 }));

/** Name of the field in which it is said who was told at a step. */
export const toWhomField = (key: string): string => `toWhom-${key}`;
/** Name of the field of a step's note. */
export const noteField = (key: string): string => `note-${key}`;

const stepSchema = Type.Object(
  { by, done: stepKey, notNeeded: stepKey },
  { ...strict, patternProperties: { '^(toWhom|note)-.{1,60}$': Type.String({ maxLength: 300 }) } },
);

/** A step of the list: the button that was pressed says which, and whether it is done or not needed. */
export const stepForm: Form<typeof stepSchema> = {
  schema: stepSchema,
  labels: { by: 'Your name', done: 'Step', notNeeded: 'Step' },
};

const callSchema = Type.Object({ by, day, lightAt: text, note: text }, strict);

/** The boss calls a day. */
export const callForm: Form<typeof callSchema> = {
  schema: callSchema,
  labels: { by: 'Called by', day: 'Day', lightAt: 'First fire at', note: 'Note' },
};

const callOffSchema = Type.Object(
  { by, reason: Type.String({ minLength: 1, maxLength: 300 }) },
  strict,
);

export const callOffForm: Form<typeof callOffSchema> = {
  schema: callOffSchema,
  labels: { by: 'Your name', reason: 'Why it is off' },
};

const callOutSchema = Type.Object(
  { by, day, personId: Type.Integer({ minimum: 1 }), answer: oneOf(callOutAnswers) },
  strict,
);

/** What somebody answered who was asked to come. */
export const callOutForm: Form<typeof callOutSchema> = {
  schema: callOutSchema,
  labels: { by: 'Your name', day: 'Day', personId: 'Person', answer: 'Answer' },
};

const checkSchema = Type.Object(
  {
    by,
    isClean: Type.Union([Type.Literal('yes'), Type.Literal('no')]),
    after: Type.Optional(oneOf(['', ...patrolMoments])),
    hasSnagsOrSlash: Type.Optional(Type.Literal('yes')),
    note: text,
  },
  strict,
);

/** A look at an open burn, now. */
export const patrolForm: Form<typeof checkSchema> = {
  schema: checkSchema,
  labels: {
    by: 'Your name',
    isClean: 'What you saw',
    after: 'Weather since the fire',
    hasSnagsOrSlash: 'Snags or slash',
    note: 'Note',
  },
};

const watchEndSchema = Type.Object({ by, signedOutOn: day, reason: text }, strict);

/** The burn is out. */
export const watchEndForm: Form<typeof watchEndSchema> = {
  schema: watchEndSchema,
  labels: { by: 'Your name', signedOutOn: 'Signed out on', reason: 'Reason' },
};

const unusedSchema = Type.Object({ by, day, reason: oneOf(unusedReasons) }, strict);

/** Why a fit day was not used: one button. */
export const unusedForm: Form<typeof unusedSchema> = {
  schema: unusedSchema,
  labels: { by: 'Your name', day: 'Day', reason: 'Why' },
};

const choiceSchema = Type.Object(
  { by, choice: oneOf(choiceKeys), reason: Type.String({ minLength: 1, maxLength: 300 }) },
  strict,
);

/** What to do about a burn that can not be as planned. */
export const choiceForm: Form<typeof choiceSchema> = {
  schema: choiceSchema,
  labels: { by: 'Your name', choice: 'Choice', reason: 'Why' },
};
