import type { Descriptor } from './descriptor.ts';
import { textIn } from './values.ts';

export const landowners: Descriptor<'landowner'> = {
  noun: 'landowner',
  path: 'landowners',
  one: 'landowner',
  many: 'landowners',
  purpose: 'whose land it is, and how to reach them',
  group: 'Land',
  rows: ({ operation }) => operation.landowners,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'contact', label: 'Contact', text: (row) => row.contact },
    {
      key: 'properties',
      label: 'Properties',
      text: (row, { operation }) =>
        operation.properties
          .filter(({ landownerId }) => landownerId === row.id)
          .map(({ name }) => name)
          .join(', '),
    },
  ],
  fields: [
    { key: 'name', label: 'Name', kind: 'text', isRequired: true },
    { key: 'contact', label: 'Contact', kind: 'text', hint: 'Phone, mail or where to find them.' },
  ],
  blank: () => ({}),
  valuesOf: ({ name, contact }) => ({ name, contact }),
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      name: textIn(values, 'name'),
      contact: textIn(values, 'contact'),
    },
  }),
};
