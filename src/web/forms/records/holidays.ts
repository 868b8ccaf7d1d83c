import type { Descriptor } from './descriptor.ts';
import { dayIn, textIn } from './values.ts';

export const holidays: Descriptor<'holiday'> = {
  noun: 'holiday',
  path: 'holidays',
  one: 'holiday',
  many: 'holidays',
  purpose: 'days with no work for any crew',
  group: 'People and gear',
  rows: ({ operation }) => operation.holidays,
  idOf: (row) => row.date,
  nameOf: (row) => `${row.name} ${row.date}`.trim(),
  columns: [
    { key: 'date', label: 'Day', text: (row) => row.date },
    { key: 'name', label: 'Name', text: (row) => row.name },
  ],
  fields: [
    { key: 'date', label: 'Day', kind: 'day', isRequired: true, isFixed: true },
    { key: 'name', label: 'Name', kind: 'text' },
  ],
  blank: () => ({}),
  valuesOf: ({ date, name }) => ({ date, name }),
  rowOf: (values) => ({
    ok: true,
    value: { date: dayIn(values, 'date'), name: textIn(values, 'name') },
  }),
};
