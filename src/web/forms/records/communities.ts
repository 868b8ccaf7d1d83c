import type { Community } from '../../../core/communities.ts';
import type { Outcome } from '../../../core/problems.ts';
import type { Descriptor, RecordField, Values } from './descriptor.ts';
import {
  keyField,
  ownSourceValues,
  refusal,
  risingFault,
  sourceFields,
  sourceIn,
  sourceValues,
} from './figures.ts';
import { numberIn, numberOrNull, orBlank, textIn, textOrNull } from './values.ts';

const years = { kind: 'number', least: 0.5, most: 500 } as const;
const yearKeys = ['leastYears', 'targetYears', 'mostYears'] as const;

const fields: RecordField[] = [
  keyField('sand-barren'),
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  {
    key: 'leastYears',
    label: 'Least between fires, years',
    ...years,
    heading: 'Fire return interval',
    hint: 'Leave all three blank where no fire is planned.',
  },
  { key: 'targetYears', label: 'Target between fires, years', ...years },
  { key: 'mostYears', label: 'Most between fires, years', ...years },
  {
    key: 'prescriptionKey',
    label: 'Prescription of new units',
    kind: 'one-of',
    hint: 'What the block of a new unit starts with; its signed burn plan decides.',
    options: ({ operation }) =>
      operation.prescriptions
        .filter(({ use }) => use === 'work')
        .map(({ key, name }) => ({ key, name })),
  },
  ...sourceFields('', 'the interval'),
];

function intervalIn(values: Values): Outcome<Community['interval']> {
  const given = yearKeys.filter((key) => numberOrNull(values, key) !== null);
  if (given.length === 0) return { ok: true, value: null };
  const missing = yearKeys.find((key) => !given.includes(key));
  if (missing)
    return refusal(missing, 'Fire return interval: fill in all three years, or leave them blank.');
  const [leastYears, targetYears, mostYears] = yearKeys.map((key) => numberIn(values, key)) as [
    number,
    number,
    number,
  ];
  const fault = risingFault(leastYears, targetYears, mostYears);
  if (fault) return refusal('targetYears', `Fire return interval: ${fault}`);
  return { ok: true, value: { leastYears, targetYears, mostYears } };
}

function valuesOf(row: Community): Values {
  return {
    key: row.key,
    name: row.name,
    leastYears: orBlank(row.interval?.leastYears ?? null),
    targetYears: orBlank(row.interval?.targetYears ?? null),
    mostYears: orBlank(row.interval?.mostYears ?? null),
    prescriptionKey: orBlank(row.prescriptionKey),
    ...sourceValues('', row),
  };
}

export const communities: Descriptor<'community'> = {
  noun: 'community',
  path: 'communities',
  one: 'natural community',
  many: 'natural communities',
  purpose: 'how often fire comes back to each kind of ground',
  group: 'Reference tables',
  rows: ({ operation }) => operation.communities,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    ...yearKeys.map((key, at) => ({
      key,
      label: `${['Least', 'Target', 'Most'][at]}, years`,
      text: (row: Community) => orBlank(row.interval?.[key] ?? null),
      number: (row: Community) => row.interval?.[key] ?? null,
    })),
    {
      key: 'units',
      label: 'Units',
      text: (row, { operation }) =>
        String(operation.units.filter((unit) => unit.communityKey === row.key).length),
    },
  ],
  fields,
  blank: () => ownSourceValues(''),
  valuesOf,
  rowOf: (values, _land, before) => {
    const interval = intervalIn(values);
    if (!interval.ok) return interval;
    const old = before && valuesOf(before);
    return {
      ok: true,
      value: {
        key: textIn(values, 'key'),
        name: textIn(values, 'name'),
        interval: interval.value,
        prescriptionKey: textOrNull(values, 'prescriptionKey'),
        ...sourceIn('', values, old, yearKeys),
      },
    };
  },
  sourceOf: ({ status, source }) => ({ status, source }),
};
