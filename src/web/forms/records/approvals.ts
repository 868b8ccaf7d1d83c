import { approvalId } from '../../../core/retired.ts';
import type { Descriptor, RecordField, RecordLand } from './descriptor.ts';
import { dayIn, numberIn, textIn } from './values.ts';

const unitWords = ({ operation }: RecordLand, unitId: number): string => {
  const unit = operation.units.find(({ id }) => id === unitId);
  return unit ? `${unit.code} ${unit.name}`.trim() : '';
};

const spanWords = ({ operation }: RecordLand, wanted: string): string =>
  operation.noWork.find(({ key }) => key === wanted)?.name ?? wanted;

const fields: RecordField[] = [
  {
    key: 'noWorkKey',
    label: 'No-work date',
    kind: 'one-of',
    isRequired: true,
    isFixed: true,
    hint: 'Only those that can be lifted by asking.',
    options: ({ operation }, values) =>
      operation.noWork
        .filter(({ key, firmness }) => firmness === 'ask-first' || key === values['noWorkKey'])
        .map(({ key, name }) => ({ key, name })),
  },
  {
    key: 'unitId',
    label: 'Unit',
    kind: 'one-of',
    isRequired: true,
    isFixed: true,
    options: (land) =>
      land.operation.units.map(({ id }) => ({ key: String(id), name: unitWords(land, id) })),
  },
  { key: 'from', label: 'From', kind: 'day', isRequired: true, isFixed: true },
  { key: 'until', label: 'Until', kind: 'day', isRequired: true, hint: 'Last day.' },
  { key: 'grantedBy', label: 'Granted by', kind: 'text', isRequired: true },
];

export const approvals: Descriptor<'approval'> = {
  noun: 'approval',
  path: 'approvals',
  one: 'approval',
  many: 'approvals',
  purpose: 'what was asked and allowed: lifts an ask-first no-work date for a unit',
  group: 'Rights and dates',
  rows: ({ operation }) => operation.approvals,
  idOf: approvalId,
  nameOf: (row, land) => `${spanWords(land, row.noWorkKey)} for ${unitWords(land, row.unitId)}`,
  columns: [
    { key: 'what', label: 'No-work date', text: (row, land) => spanWords(land, row.noWorkKey) },
    { key: 'unit', label: 'Unit', text: (row, land) => unitWords(land, row.unitId) },
    { key: 'from', label: 'From', text: (row) => row.from },
    { key: 'until', label: 'Until', text: (row) => row.until },
    { key: 'grantedBy', label: 'Granted by', text: (row) => row.grantedBy },
  ],
  fields,
  blank: () => ({}),
  valuesOf: (row) => ({
    noWorkKey: row.noWorkKey,
    unitId: String(row.unitId),
    from: row.from,
    until: row.until,
    grantedBy: row.grantedBy,
  }),
  rowOf: (values) => ({
    ok: true,
    value: {
      noWorkKey: textIn(values, 'noWorkKey'),
      unitId: numberIn(values, 'unitId'),
      from: dayIn(values, 'from'),
      until: dayIn(values, 'until'),
      grantedBy: textIn(values, 'grantedBy'),
    },
  }),
};
