import { type Aspect, type DensityClass, densityClasses, type Unit } from '../../../core/units.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import {
  listIn,
  numberIn,
  numberOrNull,
  onlyPropertyId,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
  textOrNull,
} from './values.ts';

const aspects: Aspect[] = ['N', 'NE', 'E', 'SE', 'S', 'SW', 'W', 'NW', 'flat'];

const fields: RecordField[] = [
  propertyField,
  { key: 'code', label: 'Code', kind: 'text', isRequired: true, hint: 'Short, such as N4.' },
  { key: 'name', label: 'Name', kind: 'text' },
  {
    key: 'areaAcres',
    label: 'Area, acres',
    kind: 'number',
    isRequired: true,
    least: 0.01,
    most: 1_000_000,
    hint: 'Work is planned by it.',
  },
  {
    key: 'communityKey',
    label: 'Natural community',
    kind: 'one-of',
    isRequired: true,
    options: ({ operation }) => operation.communities.map(({ key, name }) => ({ key, name })),
  },
  {
    key: 'blockId',
    label: 'Block',
    kind: 'one-of',
    hint: 'Units of a block burn together. Blank for a new unit = a block of its own.',
    options: ({ operation }, values) =>
      operation.blocks
        .filter(({ propertyId }) => String(propertyId) === values['propertyId'])
        .map(({ id, code, name }) => ({ key: String(id), name: `${code} ${name}` })),
  },
  {
    key: 'densityClass',
    label: 'Density',
    kind: 'one-of',
    hint: 'Stems an acre of what has to be cut or treated.',
    options: () => densityClasses.map((key) => ({ key, name: key })),
  },
  {
    key: 'aspect',
    label: 'Aspect',
    kind: 'one-of',
    options: () => aspects.map((key) => ({ key, name: key })),
  },
  { key: 'slopePercent', label: 'Slope, %', kind: 'number', least: 0, most: 300 },
  {
    key: 'tags',
    label: 'Tags',
    kind: 'text',
    hint: 'Facts that no-work dates ask for, such as near-roost, with commas between.',
  },
];

function valuesOf(row: Unit) {
  return {
    propertyId: String(row.propertyId),
    code: row.code,
    name: row.name,
    areaAcres: String(row.areaAcres),
    communityKey: row.communityKey,
    blockId: String(row.blockId),
    densityClass: orBlank(row.densityClass),
    aspect: orBlank(row.aspect),
    slopePercent: orBlank(row.slopePercent),
    tags: row.tags.join(', '),
  };
}

export const units: Descriptor<'unit'> = {
  noun: 'unit',
  path: 'units',
  one: 'unit',
  many: 'units',
  purpose: 'mapped ground that is treated as one',
  group: 'Land',
  rows: ({ operation }) => operation.units,
  idOf: (row) => row.id,
  nameOf: (row) => `${row.code} ${row.name}`.trim(),
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'code', label: 'Code', text: (row) => row.code },
    { key: 'name', label: 'Name', text: (row) => row.name },
    propertyColumn(),
    {
      key: 'community',
      label: 'Community',
      text: (row, { operation }) =>
        operation.communities.find(({ key }) => key === row.communityKey)?.name ?? row.communityKey,
    },
    {
      key: 'block',
      label: 'Block',
      text: (row, { operation }) =>
        operation.blocks.find(({ id }) => id === row.blockId)?.code ?? '',
    },
    {
      key: 'acres',
      label: 'Acres',
      text: (row) => String(row.areaAcres),
      number: (row) => row.areaAcres,
    },
  ],
  fields,
  blank: (land) => ({ propertyId: onlyPropertyId(land) }),
  valuesOf,
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      blockId: numberOrNull(values, 'blockId') ?? before?.blockId ?? 0,
      code: textIn(values, 'code'),
      name: textIn(values, 'name'),
      areaAcres: numberIn(values, 'areaAcres'),
      measuredAcres: before?.measuredAcres ?? null,
      perimeterFeet: before?.perimeterFeet ?? null,
      communityKey: textIn(values, 'communityKey'),
      aspect: textOrNull(values, 'aspect') as Aspect | null,
      slopePercent: numberOrNull(values, 'slopePercent'),
      densityClass: textOrNull(values, 'densityClass') as DensityClass | null,
      tags: listIn(values, 'tags'),
      boundary: before?.boundary ?? null,
    },
  }),
  links: (row) => [
    { path: `/units/${row.id}`, words: 'What it needs next' },
    { path: `/units/${row.id}/split`, words: 'Split it' },
  ],
  retireNote: 'Its work log is kept. A block whose last unit goes is out of use, too.',
};
