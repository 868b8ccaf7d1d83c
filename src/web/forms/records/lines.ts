import { type LineKind, lineKinds } from '../../../core/lines.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  dayOrNull,
  numberIn,
  numberOrNull,
  onlyPropertyId,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
} from './values.ts';

const lineKindNames: Record<LineKind, string> = {
  disked: 'disked',
  mown: 'mown',
  blown: 'blown to soil',
  road: 'road or trail',
  creek: 'creek or water',
  green: 'green strip',
  black: 'burned strip (blackline)',
};

const fields: RecordField[] = [
  propertyField,
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  {
    key: 'kind',
    label: 'Kind',
    kind: 'one-of',
    isRequired: true,
    options: ({ operation }) =>
      lineKinds.map((key) => ({
        key,
        name: operation.lineKinds.find((rule) => rule.key === key)?.name ?? lineKindNames[key],
      })),
    source: ({ operation }, values) =>
      operation.lineKinds.find(({ key }) => key === values['kind']) ?? null,
  },
  {
    key: 'lengthFeet',
    label: 'Length, feet',
    kind: 'number',
    isRequired: true,
    least: 1,
    most: 1_000_000,
  },
  { key: 'widthFeet', label: 'Width, feet', kind: 'number', least: 0.1, most: 1000 },
  unitsField({
    label: 'Units on its sides',
    hint: 'One for an outer line, two for one between units.',
  }),
  {
    key: 'readyOn',
    label: 'Made or found good on',
    kind: 'day',
    isPast: true,
    hint: 'Blank = not made.',
  },
  {
    key: 'goodUntil',
    label: 'Good until',
    kind: 'day',
    hint: 'Last day. Blank = as its kind holds; roads and creeks stay good.',
  },
];

export const lines: Descriptor<'line'> = {
  noun: 'line',
  path: 'lines',
  one: 'line',
  many: 'lines',
  purpose: 'firebreaks around and between units, how long they hold, and when they were made',
  group: 'Land',
  rows: ({ operation }) => operation.lines,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    propertyColumn(),
    { key: 'kind', label: 'Kind', text: (row) => lineKindNames[row.kind] },
    {
      key: 'length',
      label: 'Feet',
      text: (row) => String(Math.round(row.lengthFeet)),
      number: (row) => row.lengthFeet,
    },
    { key: 'units', label: 'Units', text: (row, land) => unitCodes(row.unitIds, land) },
    { key: 'readyOn', label: 'Made on', text: (row) => row.readyOn ?? '' },
  ],
  fields,
  blank: (land) => ({ propertyId: onlyPropertyId(land), kind: 'blown' }),
  valuesOf: (row, land) => {
    const propertyId = String(row.propertyId);
    return {
      propertyId,
      name: row.name,
      kind: row.kind,
      lengthFeet: String(row.lengthFeet),
      widthFeet: orBlank(row.widthFeet),
      unitIds: unitCodes(row.unitIds, land, { propertyId }),
      readyOn: orBlank(row.readyOn),
      goodUntil: orBlank(row.goodUntil),
    };
  },
  rowOf: (values, land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      name: textIn(values, 'name'),
      kind: textIn(values, 'kind') as LineKind,
      lengthFeet: numberIn(values, 'lengthFeet'),
      widthFeet: numberOrNull(values, 'widthFeet'),
      unitIds: unitIdsIn(values, 'unitIds', land),
      readyOn: dayOrNull(values, 'readyOn'),
      goodUntil: dayOrNull(values, 'goodUntil'),
      path: before?.path ?? null,
    },
  }),
  links: () => [{ path: '/land/lines', words: 'Line work of each block' }],
};
