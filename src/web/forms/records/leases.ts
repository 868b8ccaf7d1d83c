import type { Lease } from '../../../core/leases.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  dayIn,
  dayOrNull,
  familiesIn,
  familyOptions,
  familyWords,
  firmnessNames,
  monthDayOrNull,
  numberIn,
  onlyPropertyId,
  optionsOf,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
  yearlySpanFields,
} from './values.ts';

const useNames: Record<Lease['use'], string> = {
  hunting: 'hunting',
  grazing: 'grazing',
  farming: 'farming',
  other: 'other',
};

const fields: RecordField[] = [
  propertyField,
  { key: 'holder', label: 'Holder', kind: 'text', isRequired: true },
  { key: 'contact', label: 'Contact', kind: 'text' },
  { key: 'use', label: 'Use', kind: 'one-of', isRequired: true, options: optionsOf(useNames) },
  unitsField({ hint: 'None = the whole property.' }),
  { key: 'from', label: 'From', kind: 'day', isRequired: true },
  { key: 'until', label: 'Until', kind: 'day', hint: 'Last day. Blank = open.' },
  {
    key: 'barsFamilies',
    label: 'Work that it bars',
    kind: 'many-of',
    heading: 'Rule',
    hint: 'None = a note only.',
    options: familyOptions,
  },
  ...yearlySpanFields,
  {
    key: 'firmness',
    label: 'How firm',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(firmnessNames),
  },
  {
    key: 'rule',
    label: 'What was agreed',
    kind: 'text-lines',
    hint: 'Such as: after 10 am; call first.',
  },
];

export const leases: Descriptor<'lease'> = {
  noun: 'lease',
  path: 'leases',
  one: 'lease',
  many: 'leases',
  purpose: 'rights of others on the land, with the work they bar; agreements, kept apart from law',
  group: 'Rights and dates',
  rows: ({ operation }) => operation.leases,
  idOf: (row) => row.id,
  nameOf: (row) => `${useNames[row.use]}, ${row.holder}`,
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'holder', label: 'Holder', text: (row) => row.holder },
    propertyColumn(),
    { key: 'use', label: 'Use', text: (row) => useNames[row.use] },
    { key: 'from', label: 'From', text: (row) => row.from },
    { key: 'until', label: 'Until', text: (row) => row.until ?? 'open' },
    { key: 'bars', label: 'Bars', text: (row) => familyWords(row.barsFamilies) },
  ],
  fields,
  blank: (land) => ({ propertyId: onlyPropertyId(land), use: 'hunting', firmness: 'ask-first' }),
  valuesOf: (row, land) => {
    const propertyId = String(row.propertyId);
    return {
      propertyId,
      holder: row.holder,
      contact: row.contact,
      use: row.use,
      unitIds: unitCodes(row.unitIds, land, { propertyId }),
      from: row.from,
      until: orBlank(row.until),
      barsFamilies: row.barsFamilies.join(','),
      opens: orBlank(row.opens),
      closes: orBlank(row.closes),
      firmness: row.firmness,
      rule: row.rule,
    };
  },
  rowOf: (values, land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      holder: textIn(values, 'holder'),
      contact: textIn(values, 'contact'),
      use: textIn(values, 'use') as Lease['use'],
      unitIds: unitIdsIn(values, 'unitIds', land),
      from: dayIn(values, 'from'),
      until: dayOrNull(values, 'until'),
      barsFamilies: familiesIn(values, 'barsFamilies'),
      opens: monthDayOrNull(values, 'opens'),
      closes: monthDayOrNull(values, 'closes'),
      firmness: textIn(values, 'firmness') as Lease['firmness'],
      rule: textIn(values, 'rule'),
    },
  }),
};
