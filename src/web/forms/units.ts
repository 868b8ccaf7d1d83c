import Type from 'typebox';
import type { Form } from './form.ts';
import { entryLabels, noWorkFields } from './worklog.ts';

const text = (most: number) => Type.String({ maxLength: most });
const shortText = (most: number) => Type.String({ minLength: 1, maxLength: most });
const day = Type.String({ format: 'date' });
const blank = Type.Null();

const unitSchema = Type.Object(
  {
    code: shortText(12),
    name: shortText(80),
    areaAcres: Type.Number({ minimum: 0.1, maximum: 100_000 }),
    communityKey: shortText(60),
    densityClass: text(20),
    aspect: text(8),
    tags: text(400),
    sequenceKey: text(60),
    sequenceStartsOn: Type.Union([day, blank]),
    firstCycle: Type.Integer({ minimum: 1, maximum: 100 }),
    heldUntilYear: Type.Union([Type.Integer({ minimum: 1900, maximum: 2200 }), blank]),
    heldReason: text(200),
  },
  { additionalProperties: false },
);

/** The unit and what of its block is edited with it. */
export const unitForm: Form<typeof unitSchema> = {
  schema: unitSchema,
  labels: {
    code: 'Code',
    name: 'Name',
    areaAcres: 'Acres',
    communityKey: 'Natural community',
    densityClass: 'Density',
    aspect: 'Aspect',
    tags: 'Tags',
    sequenceKey: 'Sequence',
    sequenceStartsOn: 'Sequence starts on',
    firstCycle: 'Starts in',
    heldUntilYear: 'No fire before 1 July of',
    heldReason: 'Why no fire',
  },
};

const entrySchema = Type.Object(
  {
    taskKey: text(200),
    treatmentKey: shortText(60),
    doneOn: day,
    outcome: Type.Union([
      Type.Literal('done'),
      Type.Literal('partly'),
      Type.Literal('not-possible'),
      Type.Literal('under-way'),
    ]),
    areaAcres: Type.Union([Type.Number({ minimum: 0, maximum: 100_000 }), blank]),
    crewDays: Type.Union([Type.Number({ minimum: 0, maximum: 10_000 }), blank]),
    shareBlackPercent: Type.Union([Type.Integer({ minimum: 0, maximum: 100 }), blank]),
    signedOutOn: Type.Union([day, blank]),
    reason: text(300),
    note: text(2000),
    ...noWorkFields,
  },
  { additionalProperties: false },
);

/** An entry of the work log. */
export const entryForm: Form<typeof entrySchema> = {
  schema: entrySchema,
  labels: entryLabels,
};
