import type { NoWorkSpan } from '../../../core/no-work.ts';
import type { Outcome } from '../../../core/problems.ts';
import type { WindowEnd } from '../../../core/seasons.ts';
import type { Family } from '../../../core/treatments.ts';
import { readWindowEnd, windowEndText } from '../../../core/window-text.ts';
import { authorityNames } from '../../words.ts';
import type { Descriptor, RecordField, RecordLand, Values } from './descriptor.ts';
import {
  keptOrder,
  keyField,
  keysField,
  ownSourceValues,
  refusal,
  sourceFields,
  sourceIn,
  sourceValues,
} from './figures.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  dayOrNull,
  familyOptions,
  firmnessNames,
  listIn,
  numberIn,
  numberOrNull,
  optionsOf,
  orBlank,
  textIn,
  textOrNull,
} from './values.ts';

const endField = {
  kind: 'text',
  isRequired: true,
  fault: (text: string) => {
    const end = readWindowEnd(text);
    return end.ok ? null : end.fault;
  },
} as const;

const whereFields: RecordField[] = [
  {
    key: 'state',
    label: 'State',
    kind: 'text',
    heading: 'Where',
    hint: 'Two letters, such as MO. Blank = in every state.',
    fault: (text) => (/^[A-Z]{2}$/.test(text) ? null : 'write two capital letters, such as MO.'),
  },
  {
    key: 'propertyId',
    label: 'Property',
    kind: 'one-of',
    hint: 'Only for a rule of one property.',
    options: ({ operation }) =>
      operation.properties.map(({ id, name }) => ({ key: String(id), name })),
  },
  unitsField({ hint: 'Codes of units of that property; blank = all that the tags allow.' }),
  keysField(
    'unitTags',
    'Tags a unit must have',
    'All of them, with commas between, such as near-roost.',
  ),
];

const whatFields: RecordField[] = [
  {
    key: 'families',
    label: 'Kinds of work',
    kind: 'many-of',
    heading: 'Which work',
    hint: 'With neither a kind nor a treatment ticked, all work is barred.',
    options: familyOptions,
  },
  {
    key: 'treatmentKeys',
    label: 'Treatments besides',
    kind: 'many-of',
    options: ({ operation }) => operation.treatments.map(({ key, name }) => ({ key, name })),
  },
  {
    key: 'stemInchesOver',
    label: 'Only for stems over, inches dbh',
    kind: 'number',
    least: 0.1,
    most: 100,
    hint: 'Blank = any size.',
  },
  keysField('speciesGroups', 'Only for these groups of species', 'Such as oak. Blank = any.'),
  { key: 'contractFrom', label: 'Only contracts signed from', kind: 'day', hint: 'Blank = any.' },
  { key: 'contractTo', label: 'Only contracts signed until', kind: 'day', hint: 'Blank = any.' },
];

const fields: RecordField[] = [
  keyField('own-den-rule'),
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'reason', label: 'Reason', kind: 'text-lines', isRequired: true },
  {
    key: 'authority',
    label: 'Authority',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(authorityNames),
  },
  {
    key: 'firmness',
    label: 'How firm',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(firmnessNames),
  },
  {
    key: 'opens',
    label: 'First day in each year',
    ...endField,
    heading: 'When',
    hint: 'Such as 04-01, leaf-out - 7, leaf-fall + 7, or later of 04-01 and green-up.',
  },
  { key: 'closes', label: 'Last day in each year', ...endField, hint: 'Written the same way.' },
  { key: 'holdsFrom', label: 'Holds from', kind: 'day', hint: 'Blank = open.' },
  { key: 'holdsUntil', label: 'Holds until', kind: 'day', hint: 'Last day. Blank = open.' },
  ...whereFields,
  ...whatFields,
  {
    key: 'asOf',
    label: 'As of',
    kind: 'text',
    isRequired: true,
    heading: 'Where it is from',
    hint: 'Year of the source, or "not dated". Look the rule up again before you lean on it.',
  },
  ...sourceFields('', 'the dates'),
];

const figureKeys = fields
  .map(({ key }) => key)
  .filter((key) => !['key', 'name', 'reason', 'Status', 'Source'].includes(key));

function endIn(values: Values, key: string): WindowEnd {
  const end = readWindowEnd(textIn(values, key));
  // Checked by the field before.
  if (!end.ok) throw new RangeError(end.fault);
  return end.value;
}

function valuesOf(row: NoWorkSpan, land: RecordLand): Values {
  const { applies } = row;
  const propertyId = orBlank(row.propertyId);
  return {
    key: row.key,
    name: row.name,
    reason: row.reason,
    authority: row.authority,
    firmness: row.firmness,
    opens: windowEndText(row.opens),
    closes: windowEndText(row.closes),
    holdsFrom: orBlank(row.holdsFrom ?? null),
    holdsUntil: orBlank(row.holdsUntil ?? null),
    state: orBlank(row.state),
    propertyId,
    unitIds: unitCodes(applies.unitIds ?? [], land, { propertyId }),
    unitTags: applies.unitTags.join(', '),
    families: (applies.families ?? []).join(', '),
    treatmentKeys: (applies.treatmentKeys ?? []).join(', '),
    stemInchesOver: orBlank(applies.stemInchesOver),
    speciesGroups: applies.speciesGroups.join(', '),
    contractFrom: orBlank(applies.contractFrom),
    contractTo: orBlank(applies.contractTo),
    asOf: row.asOf,
    ...sourceValues('', row),
  };
}

function appliesIn(
  values: Values,
  land: RecordLand,
  before: NoWorkSpan | null,
): NoWorkSpan['applies'] {
  const families = keptOrder(values, 'families', before?.applies.families ?? []) as Family[];
  const treatments = keptOrder(values, 'treatmentKeys', before?.applies.treatmentKeys ?? []);
  const unitIds = unitIdsIn(values, 'unitIds', land);
  return {
    families: families.length > 0 ? families : null,
    treatmentKeys: treatments.length > 0 ? treatments : null,
    unitTags: listIn(values, 'unitTags'),
    stemInchesOver: numberOrNull(values, 'stemInchesOver'),
    speciesGroups: listIn(values, 'speciesGroups'),
    contractFrom: dayOrNull(values, 'contractFrom'),
    contractTo: dayOrNull(values, 'contractTo'),
    ...(unitIds.length > 0 ? { unitIds } : {}),
  };
}

function rowOf(values: Values, land: RecordLand, before: NoWorkSpan | null): Outcome<NoWorkSpan> {
  for (const [from, until, name] of [
    ['holdsFrom', 'holdsUntil', 'Holds until'],
    ['contractFrom', 'contractTo', 'Only contracts signed until'],
  ] as const) {
    const [first, last] = [dayOrNull(values, from), dayOrNull(values, until)];
    if (first && last && last < first)
      return refusal(until, `${name}: the last day can not be before the first one.`);
  }
  const [holdsFrom, holdsUntil] = [dayOrNull(values, 'holdsFrom'), dayOrNull(values, 'holdsUntil')];
  return {
    ok: true,
    value: {
      key: textIn(values, 'key'),
      name: textIn(values, 'name'),
      state: textOrNull(values, 'state'),
      propertyId: textIn(values, 'propertyId') === '' ? null : numberIn(values, 'propertyId'),
      reason: textIn(values, 'reason'),
      authority: textIn(values, 'authority') as NoWorkSpan['authority'],
      firmness: textIn(values, 'firmness') as NoWorkSpan['firmness'],
      opens: endIn(values, 'opens'),
      closes: endIn(values, 'closes'),
      asOf: textIn(values, 'asOf'),
      applies: appliesIn(values, land, before),
      ...(holdsFrom ? { holdsFrom } : {}),
      ...(holdsUntil ? { holdsUntil } : {}),
      ...sourceIn('', values, before && valuesOf(before, land), figureKeys),
    },
  };
}

const madeFromPaths = { lease: 'leases', grazing: 'grazing', point: 'points' } as const;
const madeFromNames = {
  lease: 'a lease',
  grazing: 'grazing',
  point: 'a point to protect',
} as const;

export const noWork: Descriptor<'noWork'> = {
  noun: 'noWork',
  path: 'no-work',
  one: 'no-work span',
  many: 'no-work dates',
  purpose: 'spans of the year in which named work is barred, by whom, and since when',
  group: 'Reference tables',
  rows: ({ operation }) => operation.noWork,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  pathOf: ({ madeFrom }) =>
    madeFrom ? `/records/${madeFromPaths[madeFrom.noun]}/${madeFrom.id}` : null,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    {
      key: 'where',
      label: 'Where',
      text: (row, { operation }) =>
        operation.properties.find(({ id }) => id === row.propertyId)?.name ??
        row.state ??
        'everywhere',
    },
    { key: 'opens', label: 'First day', text: (row) => windowEndText(row.opens) },
    { key: 'closes', label: 'Last day', text: (row) => windowEndText(row.closes) },
    { key: 'authority', label: 'Authority', text: (row) => authorityNames[row.authority] },
    {
      key: 'from',
      label: 'Made from',
      text: ({ madeFrom }) => (madeFrom ? madeFromNames[madeFrom.noun] : 'the table'),
    },
  ],
  fields,
  blank: () => ({ ...ownSourceValues(''), authority: 'own-rule', firmness: 'ask-first' }),
  valuesOf,
  rowOf,
  sourceOf: ({ status, source }) => ({ status, source }),
  links: () => [{ path: '/records/approvals', words: 'Approvals on file' }],
};
