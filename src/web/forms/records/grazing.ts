import { type GrazingSpan, grazingDaysMost } from '../../../core/grazing.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  dayOrNull,
  monthDayIn,
  numberIn,
  numberOrNull,
  onlyPropertyId,
  optionsOf,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
} from './values.ts';

const stockNames: Record<GrazingSpan['stock'], string> = {
  cattle: 'cattle',
  'other-stock': 'other stock',
  hay: 'hay',
};

const days = { kind: 'whole', least: 0, most: grazingDaysMost } as const;

const fields: RecordField[] = [
  propertyField,
  unitsField({ isRequired: true }),
  {
    key: 'stock',
    label: 'Stock or hay',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(stockNames),
  },
  {
    key: 'opens',
    label: 'First day in each year',
    kind: 'month-day',
    isRequired: true,
    hint: 'Such as 04-15.',
  },
  {
    key: 'closes',
    label: 'Last day in each year',
    kind: 'month-day',
    isRequired: true,
    hint: 'Such as 10-15.',
  },
  { key: 'from', label: 'Holds from', kind: 'day', hint: 'Blank = open.' },
  { key: 'until', label: 'Holds until', kind: 'day', hint: 'Last day. Blank = open.' },
  {
    key: 'restDaysBeforeFire',
    label: 'Rest before a fire, days',
    ...days,
    hint: 'Without stock, so that grass carries the fire.',
  },
  { key: 'deferDaysAfterFire', label: 'Without stock after a fire, days', ...days },
  { key: 'note', label: 'Note', kind: 'text-lines' },
];

export const grazing: Descriptor<'grazing'> = {
  noun: 'grazing',
  path: 'grazing',
  one: 'grazing span',
  many: 'grazing spans',
  purpose: 'stock or hay on units in a part of each year, with rest before and after fire',
  group: 'Rights and dates',
  rows: ({ operation }) => operation.grazing,
  idOf: (row) => row.id,
  nameOf: (row, land) => `${stockNames[row.stock]} on ${unitCodes(row.unitIds, land)}`,
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'stock', label: 'Stock', text: (row) => stockNames[row.stock] },
    propertyColumn(),
    { key: 'units', label: 'Units', text: (row, land) => unitCodes(row.unitIds, land) },
    { key: 'opens', label: 'First day', text: (row) => row.opens },
    { key: 'closes', label: 'Last day', text: (row) => row.closes },
  ],
  fields,
  blank: (land) => ({ propertyId: onlyPropertyId(land), stock: 'cattle' }),
  valuesOf: (row, land) => {
    const propertyId = String(row.propertyId);
    return {
      propertyId,
      unitIds: unitCodes(row.unitIds, land, { propertyId }),
      stock: row.stock,
      opens: row.opens,
      closes: row.closes,
      from: orBlank(row.from),
      until: orBlank(row.until),
      restDaysBeforeFire: String(row.restDaysBeforeFire),
      deferDaysAfterFire: String(row.deferDaysAfterFire),
      note: row.note,
    };
  },
  rowOf: (values, land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      unitIds: unitIdsIn(values, 'unitIds', land),
      stock: textIn(values, 'stock') as GrazingSpan['stock'],
      opens: monthDayIn(values, 'opens'),
      closes: monthDayIn(values, 'closes'),
      from: dayOrNull(values, 'from'),
      until: dayOrNull(values, 'until'),
      restDaysBeforeFire: numberOrNull(values, 'restDaysBeforeFire') ?? 0,
      deferDaysAfterFire: numberOrNull(values, 'deferDaysAfterFire') ?? 0,
      note: textIn(values, 'note'),
    },
  }),
};
