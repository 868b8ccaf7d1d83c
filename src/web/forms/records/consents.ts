import type { Descriptor, RecordField } from './descriptor.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  dayIn,
  familiesIn,
  familyOptions,
  familyWords,
  isYes,
  numberIn,
  onlyPropertyId,
  propertyColumn,
  propertyField,
  textIn,
  yesOrBlank,
} from './values.ts';

const fields: RecordField[] = [
  propertyField,
  { key: 'givenBy', label: 'Given by', kind: 'text', isRequired: true },
  {
    key: 'isNeighbour',
    label: 'A neighbor gave it, for fire that crosses the boundary',
    kind: 'yes-no',
  },
  unitsField({ hint: 'None = the whole property.' }),
  {
    key: 'families',
    label: 'Kinds of work',
    kind: 'many-of',
    isRequired: true,
    options: familyOptions,
  },
  { key: 'from', label: 'From', kind: 'day', isRequired: true },
  { key: 'until', label: 'Until', kind: 'day', isRequired: true, hint: 'Last day.' },
  { key: 'note', label: 'Note', kind: 'text-lines', hint: 'Such as where the paper is.' },
];

export const consents: Descriptor<'consent'> = {
  noun: 'consent',
  path: 'consents',
  one: 'consent',
  many: 'consents',
  purpose: 'written yes of landowners and neighbors, by kind of work and with its last day',
  group: 'Rights and dates',
  rows: ({ operation }) => operation.consents,
  idOf: (row) => row.id,
  nameOf: (row) => `consent of ${row.givenBy}`,
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'givenBy', label: 'Given by', text: (row) => row.givenBy },
    propertyColumn(),
    { key: 'who', label: 'Who', text: (row) => (row.isNeighbour ? 'neighbor' : 'landowner') },
    { key: 'families', label: 'Work', text: (row) => familyWords(row.families) },
    {
      key: 'units',
      label: 'Units',
      text: (row, land) => unitCodes(row.unitIds, land) || 'whole property',
    },
    { key: 'until', label: 'Until', text: (row) => row.until },
  ],
  fields,
  blank: (land) => ({ propertyId: onlyPropertyId(land), families: 'burn', from: land.today }),
  valuesOf: (row, land) => {
    const propertyId = String(row.propertyId);
    return {
      propertyId,
      givenBy: row.givenBy,
      isNeighbour: yesOrBlank(row.isNeighbour),
      unitIds: unitCodes(row.unitIds, land, { propertyId }),
      families: row.families.join(','),
      from: row.from,
      until: row.until,
      note: row.note,
    };
  },
  rowOf: (values, land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      unitIds: unitIdsIn(values, 'unitIds', land),
      families: familiesIn(values, 'families'),
      givenBy: textIn(values, 'givenBy'),
      isNeighbour: isYes(values, 'isNeighbour'),
      from: dayIn(values, 'from'),
      until: dayIn(values, 'until'),
      note: textIn(values, 'note'),
    },
  }),
};
