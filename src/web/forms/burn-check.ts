import Type from 'typebox';
import { countySwitchKinds } from '../../core/county-switches.ts';
import { goNoGoQuestions } from '../../core/go-no-go.ts';
import type { Form } from './form.ts';

const name = Type.String({ minLength: 1, maxLength: 80 });
const note = Type.Optional(Type.String({ maxLength: 500 }));

const switchSchema = Type.Object(
  {
    propertyId: Type.Integer({ minimum: 1 }),
    day: Type.String({ format: 'date' }),
    blockId: Type.Optional(Type.Union([Type.Integer({ minimum: 1 }), Type.Null()])),
    kind: Type.Union(countySwitchKinds.map((kind) => Type.Literal(kind))),
    standing: Type.Union([Type.Literal('off'), Type.Literal('on')]),
    since: Type.Union([Type.String({ format: 'date' }), Type.Null()]),
    checkedBy: name,
    note,
  },
  { additionalProperties: false },
);

/** What somebody found out about the county. */
export const switchForm: Form<typeof switchSchema> = {
  schema: switchSchema,
  labels: {
    propertyId: 'Property',
    day: 'Day',
    blockId: 'Block',
    kind: 'What was checked',
    standing: 'It is',
    since: 'Since',
    checkedBy: 'Checked by',
    note: 'Where it was read or who said it',
  },
};

const smokeSchema = Type.Object(
  {
    day: Type.String({ format: 'date' }),
    blockId: Type.Optional(Type.Union([Type.Integer({ minimum: 1 }), Type.Null()])),
    state: Type.String({ minLength: 2, maxLength: 2 }),
    name: Type.String({ minLength: 1, maxLength: 40 }),
    leastM2s: Type.Number({ minimum: 0, maximum: 1_000_000 }),
    isBurningAllowed: Type.Union([Type.Literal('yes'), Type.Literal('no')]),
    note,
  },
  { additionalProperties: false },
);

/** A smoke category of a state, as its rules draw it. */
export const smokeForm: Form<typeof smokeSchema> = {
  schema: smokeSchema,
  labels: {
    day: 'Day',
    blockId: 'Block',
    state: 'State',
    name: 'Category',
    leastM2s: 'From this ventilation up',
    isBurningAllowed: 'Burning allowed',
    note: 'Where the rule is from',
  },
};

const answer = Type.Optional(
  Type.Union([Type.Literal('yes'), Type.Literal('no'), Type.Literal('unknown'), Type.Literal('')]),
);

/** Name of the field of a question. */
export const answerField = (key: string): string => `answer-${key}`;

const goNoGoSchema = Type.Object(
  {
    blockId: Type.Integer({ minimum: 1 }),
    day: Type.String({ format: 'date' }),
    answeredBy: name,
    note,
    ...Object.fromEntries(goNoGoQuestions.map(({ key }) => [answerField(key), answer])),
  },
  { additionalProperties: false },
);

/** The list of questions before a burn is lit; blank answers are kept as blank. */
export const goNoGoForm: Form<typeof goNoGoSchema> = {
  schema: goNoGoSchema,
  labels: {
    blockId: 'Block',
    day: 'Day',
    answeredBy: 'Answered by',
    note: 'Note',
    ...Object.fromEntries(goNoGoQuestions.map(({ key, text }) => [answerField(key), text])),
  },
};
