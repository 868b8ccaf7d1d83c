import type { Block, WindSector } from '../../../core/blocks.ts';
import { windSectors } from '../../../core/blocks.ts';
import { type BurnRole, burnRoles } from '../../../core/people.ts';
import type { Outcome, Problem } from '../../../core/problems.ts';
import { type BurnRotation, defaultRotationOf } from '../../../core/rotation.ts';
import type { Descriptor, RecordField, RecordLand, Values } from './descriptor.ts';
import { burnRoleNames } from './people.ts';
import {
  dayOrNull,
  isYes,
  listIn,
  numberIn,
  numberOrNull,
  onlyPropertyId,
  optionsOf,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
  textOrNull,
  yesOrBlank,
} from './values.ts';

/** Fewest people that a block may ask for: nobody burns alone. */
const peopleLeast = 2;
const years = { least: 1, most: 100 } as const;

/** People who may fill a role, and who fills it now. */
function roleField(role: BurnRole): RecordField {
  const key = `role-${role}`;
  return {
    key,
    label: `Filled by: ${burnRoleNames[role]}`,
    kind: 'many-of',
    options: ({ operation }, values) =>
      operation.people
        .filter(
          (one) => one.burnRoles.includes(role) || listIn(values, key).includes(String(one.id)),
        )
        .map(({ id, name }) => ({ key: String(id), name })),
  };
}

const workFields: RecordField[] = [
  propertyField,
  { key: 'code', label: 'Code', kind: 'text', isRequired: true, hint: 'Short, such as E.' },
  { key: 'name', label: 'Name', kind: 'text' },
  {
    key: 'sequenceKey',
    label: 'Sequence of work',
    kind: 'one-of',
    hint: 'Blank = nothing is planned.',
    options: ({ operation }) => operation.sequences.map(({ key, name }) => ({ key, name })),
  },
  {
    key: 'sequenceStartsOn',
    label: 'Sequence counts from',
    kind: 'day',
    hint: 'Work logged before this day counts only for the rotation.',
  },
  {
    key: 'firstCycle',
    label: 'Cycle it starts in',
    kind: 'whole',
    isRequired: true,
    least: 1,
    most: 100,
    hint: '1 runs the steps of the first cycle; 2 and more skip them.',
  },
  {
    key: 'leastSeasons',
    label: 'Least, burning seasons',
    kind: 'whole',
    heading: 'Its own fire interval',
    hint: 'All three blank = by its sequence, else by its natural community.',
    ...years,
  },
  { key: 'targetYears', label: 'Target, years', kind: 'number', ...years },
  { key: 'mostYears', label: 'Most, years', kind: 'number', ...years },
  {
    key: 'lateEvery',
    label: 'Late-season burn every so many burns',
    kind: 'whole',
    least: 1,
    most: 20,
    hint: '3 = each third burn late in the growing season where the plan can; blank = not asked.',
  },
  {
    key: 'phase',
    label: 'Phase of its own interval',
    kind: 'one-of',
    options: optionsOf({ restoration: 'restoration', maintenance: 'maintenance' }),
  },
  { key: 'heldUntilYear', label: 'No fire before July of', kind: 'whole', least: 1900, most: 2200 },
  { key: 'heldReason', label: 'Why fire is held', kind: 'text' },
];

const burnFields: RecordField[] = [
  {
    key: 'prescriptionKey',
    label: 'Prescription',
    kind: 'one-of',
    heading: 'What a burn needs',
    options: ({ operation }, values) =>
      operation.prescriptions
        .filter(({ key, use }) => use === 'work' || key === values['prescriptionKey'])
        .map(({ key, name }) => ({ key, name })),
    source: ({ operation }, values) =>
      operation.prescriptions.find(({ key }) => key === values['prescriptionKey']) ?? null,
  },
  {
    key: 'burnPeopleLeast',
    label: 'Least people on the burn',
    kind: 'whole',
    isRequired: true,
    least: peopleLeast,
    most: 200,
  },
  {
    key: 'windFrom',
    label: 'Wind may come from',
    kind: 'many-of',
    hint: 'None ticked = any. From the signed burn plan; narrower than the prescription, never wider.',
    options: () => windSectors.map((key) => ({ key, name: key })),
  },
  { key: 'gustMphMost', label: 'Gusts at most, mph at 33 ft', kind: 'number', least: 0, most: 100 },
  {
    key: 'canopyPercent',
    label: 'Canopy over the fine fuel, %',
    kind: 'number',
    least: 0,
    most: 100,
    hint: 'Blank = by natural community.',
  },
  {
    key: 'planSignedBy',
    label: 'Burn plan signed by',
    kind: 'text',
    heading: 'On file: papers and people, never leave to light',
  },
  { key: 'planExpiresOn', label: 'Burn plan good until', kind: 'day' },
  {
    key: 'consentUntil',
    label: 'Consent until',
    kind: 'day',
    hint: 'A consent on record counts without this.',
  },
  { key: 'noticesGivenOn', label: 'Notices given on', kind: 'day', isPast: true },
  { key: 'permitUntil', label: 'Permit until', kind: 'day' },
  { key: 'permitNotNeeded', label: 'No permit is needed here', kind: 'yes-no' },
  { key: 'fuelCheckedOn', label: 'Fuel checked on', kind: 'day', isPast: true },
  {
    key: 'peopleNamed',
    label: 'The burn roles are filled by people not on record here',
    kind: 'yes-no',
    hint: 'Once people are ticked below, they count in place of this.',
  },
  ...burnRoles.map(roleField),
];

function valuesOf(row: Block): Values {
  const { rotation, readiness, burnLimits } = row;
  const roles = burnRoles.map((role) => [
    `role-${role}`,
    readiness.roles
      .filter((fill) => fill.role === role)
      .map(({ personId }) => personId)
      .join(','),
  ]);
  return {
    propertyId: String(row.propertyId),
    code: row.code,
    name: row.name,
    sequenceKey: orBlank(row.sequenceKey),
    sequenceStartsOn: orBlank(row.sequenceStartsOn),
    firstCycle: String(row.firstCycle),
    leastSeasons: orBlank(rotation?.leastSeasons ?? null),
    targetYears: orBlank(rotation?.targetYears ?? null),
    mostYears: orBlank(rotation?.mostYears ?? null),
    lateEvery: orBlank(rotation?.lateEvery ?? null),
    phase: orBlank(rotation?.phase ?? null),
    heldUntilYear: orBlank(row.heldUntilYear),
    heldReason: row.heldReason,
    prescriptionKey: orBlank(row.prescriptionKey),
    burnPeopleLeast: String(row.burnPeopleLeast),
    windFrom: (burnLimits.windFrom ?? []).join(','),
    gustMphMost: orBlank(burnLimits.gustMphMost),
    canopyPercent: orBlank(burnLimits.canopyPercent),
    planSignedBy: orBlank(readiness.planSignedBy),
    planExpiresOn: orBlank(readiness.planExpiresOn),
    consentUntil: orBlank(readiness.consentUntil),
    noticesGivenOn: orBlank(readiness.noticesGivenOn),
    permitUntil: orBlank(readiness.permitUntil),
    permitNotNeeded: yesOrBlank(readiness.permitNotNeeded),
    fuelCheckedOn: orBlank(readiness.fuelCheckedOn),
    peopleNamed: yesOrBlank(readiness.peopleNamed),
    ...Object.fromEntries(roles),
  };
}

const intervalLabels = {
  leastSeasons: 'Least, burning seasons',
  targetYears: 'Target, years',
  mostYears: 'Most, years',
} as const;

/** The three figures are all given and rise, or all blank. */
function intervalProblems(values: Values): Problem[] {
  const say = (field: keyof typeof intervalLabels, fix: string): Problem => ({
    code: 'block-interval',
    field,
    message: `${intervalLabels[field]}: ${fix}`,
  });
  const keys = Object.keys(intervalLabels) as (keyof typeof intervalLabels)[];
  const blank = keys.filter((key) => textIn(values, key) === '');
  if (blank.length === keys.length)
    return textIn(values, 'lateEvery') === ''
      ? []
      : [
          {
            code: 'block-late-every',
            field: 'lateEvery',
            message:
              'Late-season burn every so many burns: fill in the three figures of the interval too, or leave this blank.',
          },
        ];
  if (blank.length > 0)
    return blank.map((key) =>
      say(key, 'fill this in too, or leave all three blank for the default.'),
    );
  const [least, target, most] = keys.map((key) => numberIn(values, key)) as [
    number,
    number,
    number,
  ];
  return [
    ...(target < least
      ? [say('targetYears', `write ${least} or more: fire may not come before the least.`)]
      : []),
    ...(most < target
      ? [say('mostYears', `write ${target} or more: overdue begins after the target.`)]
      : []),
  ];
}

function rotationIn(values: Values, land: RecordLand, before: Block | null): BurnRotation | null {
  const leastSeasons = numberOrNull(values, 'leastSeasons');
  const targetYears = numberOrNull(values, 'targetYears');
  const mostYears = numberOrNull(values, 'mostYears');
  if (leastSeasons === null || targetYears === null || mostYears === null) return null;
  const byDefault = before ? defaultRotationOf(land.operation, before)?.rotation.phase : null;
  const typed = textOrNull(values, 'phase') as BurnRotation['phase'] | null;
  const lateEvery = numberOrNull(values, 'lateEvery');
  return {
    phase: typed ?? byDefault ?? 'maintenance',
    leastSeasons,
    targetYears,
    mostYears,
    ...(lateEvery === null ? {} : { lateEvery }),
  };
}

function readinessIn(values: Values): Block['readiness'] {
  return {
    planSignedBy: textOrNull(values, 'planSignedBy'),
    planExpiresOn: dayOrNull(values, 'planExpiresOn'),
    consentUntil: dayOrNull(values, 'consentUntil'),
    noticesGivenOn: dayOrNull(values, 'noticesGivenOn'),
    permitUntil: dayOrNull(values, 'permitUntil'),
    permitNotNeeded: isYes(values, 'permitNotNeeded'),
    fuelCheckedOn: dayOrNull(values, 'fuelCheckedOn'),
    peopleNamed: isYes(values, 'peopleNamed'),
    roles: burnRoles.flatMap((role) =>
      listIn(values, `role-${role}`).map((id) => ({ role, personId: Number(id) })),
    ),
  };
}

function rowOf(values: Values, land: RecordLand, before: Block | null): Outcome<Block> {
  const problems = intervalProblems(values);
  if (problems.length > 0) return { ok: false, problems };
  const windFrom = listIn(values, 'windFrom') as WindSector[];
  return {
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      code: textIn(values, 'code'),
      name: textIn(values, 'name'),
      sequenceKey: textOrNull(values, 'sequenceKey'),
      sequenceStartsOn: dayOrNull(values, 'sequenceStartsOn'),
      firstCycle: numberIn(values, 'firstCycle'),
      rotation: rotationIn(values, land, before),
      heldUntilYear: numberOrNull(values, 'heldUntilYear'),
      heldReason: textIn(values, 'heldReason'),
      prescriptionKey: textOrNull(values, 'prescriptionKey'),
      burnPeopleLeast: numberIn(values, 'burnPeopleLeast'),
      readiness: readinessIn(values),
      burnLimits: {
        windFrom: windFrom.length > 0 ? windFrom : null,
        gustMphMost: numberOrNull(values, 'gustMphMost'),
        canopyPercent: numberOrNull(values, 'canopyPercent'),
      },
    },
  };
}

export const blocks: Descriptor<'block'> = {
  noun: 'block',
  path: 'blocks',
  one: 'block',
  many: 'blocks',
  purpose: 'units lit together: sequence, fire interval, limits of the burn plan, papers on file',
  group: 'Land',
  rows: ({ operation }) => operation.blocks,
  idOf: (row) => row.id,
  nameOf: (row) => `${row.code} ${row.name}`.trim(),
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'code', label: 'Code', text: (row) => row.code },
    { key: 'name', label: 'Name', text: (row) => row.name },
    propertyColumn(),
    {
      key: 'units',
      label: 'Units',
      text: (row, { operation }) =>
        operation.units
          .filter(({ blockId }) => blockId === row.id)
          .map(({ code }) => code)
          .join(', '),
    },
    {
      key: 'sequence',
      label: 'Sequence',
      text: (row, { operation }) =>
        operation.sequences.find(({ key }) => key === row.sequenceKey)?.name ?? '',
    },
    { key: 'held', label: 'Fire held until', text: (row) => orBlank(row.heldUntilYear) },
  ],
  fields: [...workFields, ...burnFields],
  blank: (land) => ({
    propertyId: onlyPropertyId(land),
    firstCycle: '1',
    burnPeopleLeast: '6',
  }),
  valuesOf,
  rowOf,
  links: (row) => [
    { path: `/burn-check?block=${row.id}`, words: 'What a day allows here' },
    { path: '/land/blocks', words: 'Units worth one burn' },
  ],
  retireNote: 'Its units go out of use with it; move them to another block first to keep them.',
};
