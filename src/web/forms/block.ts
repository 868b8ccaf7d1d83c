import Type, { type Static } from 'typebox';
import type { Block, BlockChange } from '../../core/blocks.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Problem } from '../../core/problems.ts';
import { type BurnRotation, defaultRotationOf } from '../../core/rotation.ts';
import type { Form } from './form.ts';

const dayOrBlank = Type.Union([Type.String({ format: 'date' }), Type.Null()]);
const ticked = Type.Optional(Type.Literal('yes'));
const yearsOrBlank = Type.Union([Type.Number({ minimum: 1, maximum: 100 }), Type.Null()]);

/** Fewest people that a block may ask for: nobody burns alone. */
const peopleLeast = 2;

const blockSchema = Type.Object(
  {
    prescriptionKey: Type.String({ maxLength: 60 }),
    burnPeopleLeast: Type.Integer({ minimum: peopleLeast, maximum: 200 }),
    leastSeasons: Type.Union([Type.Integer({ minimum: 1, maximum: 100 }), Type.Null()]),
    targetYears: yearsOrBlank,
    mostYears: yearsOrBlank,
    // 0 is let in here and refused below: it would be taken for a blank.
    lateEvery: Type.Union([Type.Integer({ minimum: 0, maximum: 20 }), Type.Null()]),
    planSignedBy: Type.String({ maxLength: 80 }),
    planExpiresOn: dayOrBlank,
    consentUntil: dayOrBlank,
    noticesGivenOn: dayOrBlank,
    permitUntil: dayOrBlank,
    permitNotNeeded: ticked,
    fuelCheckedOn: dayOrBlank,
    peopleNamed: ticked,
  },
  { additionalProperties: false },
);

type BlockValues = Static<typeof blockSchema>;

/** What a burn of a block needs: its prescription, people and interval, and what is on file. */
export const blockForm = {
  schema: blockSchema,
  labels: {
    prescriptionKey: 'Prescription',
    burnPeopleLeast: 'Least people on the burn',
    leastSeasons: 'Least, burning seasons',
    targetYears: 'Target, years',
    mostYears: 'Most, years',
    lateEvery: 'Late-season burn every so many burns',
    planSignedBy: 'Burn plan signed by',
    planExpiresOn: 'Burn plan good until',
    consentUntil: 'Consent until',
    noticesGivenOn: 'Notices given on',
    permitUntil: 'Permit until',
    permitNotNeeded: 'No permit is needed here',
    fuelCheckedOn: 'Fuel checked on',
    peopleNamed: 'The burn roles are filled by named people',
  },
} satisfies Form<typeof blockSchema>;

/** Text of the form for a block as it stands; a box that is not ticked is blank. */
export function blockValues({ rotation, readiness, ...block }: Block): Record<string, string> {
  return {
    prescriptionKey: block.prescriptionKey ?? '',
    burnPeopleLeast: String(block.burnPeopleLeast),
    leastSeasons: rotation ? String(rotation.leastSeasons) : '',
    targetYears: rotation ? String(rotation.targetYears) : '',
    mostYears: rotation ? String(rotation.mostYears) : '',
    lateEvery: rotation?.lateEvery ? String(rotation.lateEvery) : '',
    planSignedBy: readiness.planSignedBy ?? '',
    planExpiresOn: readiness.planExpiresOn ?? '',
    consentUntil: readiness.consentUntil ?? '',
    noticesGivenOn: readiness.noticesGivenOn ?? '',
    permitUntil: readiness.permitUntil ?? '',
    permitNotNeeded: readiness.permitNotNeeded ? 'yes' : '',
    fuelCheckedOn: readiness.fuelCheckedOn ?? '',
    peopleNamed: readiness.peopleNamed ? 'yes' : '',
  };
}

const intervalFields = ['leastSeasons', 'targetYears', 'mostYears'] as const;

/** The three figures are all given and rise, or all blank. */
function intervalProblems(values: BlockValues): Problem[] {
  const { labels } = blockForm;
  const say = (field: (typeof intervalFields)[number], fix: string): Problem => ({
    code: 'block-interval',
    field,
    message: `${labels[field]}: ${fix}`,
  });
  if (values.lateEvery === 0)
    return [
      {
        code: 'block-late-every',
        field: 'lateEvery',
        message: `${labels.lateEvery}: write a whole number from 1 up, or leave this blank.`,
      },
    ];
  const blank = intervalFields.filter((field) => values[field] === null);
  if (blank.length === intervalFields.length && values.lateEvery !== null)
    return [
      {
        code: 'block-late-every',
        field: 'lateEvery',
        message: `${labels.lateEvery}: fill in the three figures of the interval too, or leave this blank.`,
      },
    ];
  if (blank.length > 0 && blank.length < intervalFields.length)
    return blank.map((field) =>
      say(field, 'fill this in too, or leave all three blank for the default.'),
    );
  const { leastSeasons, targetYears, mostYears } = values;
  if (leastSeasons === null || targetYears === null || mostYears === null) return [];
  const problems: Problem[] = [];
  if (targetYears < leastSeasons)
    problems.push(
      say('targetYears', `write ${leastSeasons} or more: fire may not come before the least.`),
    );
  if (mostYears < targetYears)
    problems.push(
      say('mostYears', `write ${targetYears} or more: overdue begins after the target.`),
    );
  return problems;
}

/** What the fields say together or beside the library and today, beyond what each says alone. */
export function blockProblems(
  operation: Operation,
  block: Block,
  today: IsoDate,
  values: BlockValues,
): Problem[] {
  const problems = intervalProblems(values);
  const { prescriptionKey } = values;
  const isOffered = operation.prescriptions.some(
    (one) => one.key === prescriptionKey && one.use === 'work',
  );
  if (prescriptionKey !== '' && prescriptionKey !== block.prescriptionKey && !isOffered)
    problems.push({
      code: 'unknown-prescription',
      field: 'prescriptionKey',
      message: 'Prescription: choose one of the list.',
    });
  for (const field of ['noticesGivenOn', 'fuelCheckedOn'] as const)
    if ((values[field] ?? today) > today)
      problems.push({
        code: 'in-future',
        field,
        message: `${blockForm.labels[field]}: write the day on which it was done, today or earlier.`,
      });
  return problems;
}

function rotationIn(operation: Operation, block: Block, values: BlockValues): BurnRotation | null {
  const { leastSeasons, targetYears, mostYears, lateEvery } = values;
  if (leastSeasons === null || targetYears === null || mostYears === null) return null;
  const phase =
    block.rotation?.phase ?? defaultRotationOf(operation, block)?.rotation.phase ?? 'maintenance';
  return { phase, leastSeasons, targetYears, mostYears, ...(lateEvery ? { lateEvery } : {}) };
}

/** The change that sound values of the form mean for a block. */
export function blockChangeOf(
  operation: Operation,
  block: Block,
  values: BlockValues,
): BlockChange {
  const day = (text: string | null) => text as IsoDate | null;
  return {
    prescriptionKey: values.prescriptionKey || null,
    burnPeopleLeast: values.burnPeopleLeast,
    rotation: rotationIn(operation, block, values),
    readiness: {
      planSignedBy: values.planSignedBy.trim() || null,
      planExpiresOn: day(values.planExpiresOn),
      consentUntil: day(values.consentUntil),
      noticesGivenOn: day(values.noticesGivenOn),
      permitUntil: day(values.permitUntil),
      permitNotNeeded: values.permitNotNeeded === 'yes',
      fuelCheckedOn: day(values.fuelCheckedOn),
      peopleNamed: values.peopleNamed === 'yes',
      roles: block.readiness.roles,
    },
  };
}
