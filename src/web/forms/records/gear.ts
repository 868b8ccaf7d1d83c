import { parseSpans, spansText } from '../spans.ts';
import type { Descriptor } from './descriptor.ts';
import { numberIn, textIn } from './values.ts';

export const gear: Descriptor<'gear'> = {
  noun: 'gear',
  path: 'gear',
  one: 'piece of gear',
  many: 'gear',
  purpose: 'shared things that limit what can run on one day',
  group: 'People and gear',
  rows: ({ operation }) => operation.gear,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'key', label: 'Key', text: (row) => row.key },
    {
      key: 'count',
      label: 'Count',
      text: (row) => String(row.count),
      number: (row) => row.count,
    },
  ],
  fields: [
    {
      key: 'key',
      label: 'Key',
      kind: 'text',
      isRequired: true,
      isFixed: true,
      hint: 'Treatments ask for it by this: small letters, digits and hyphens, such as burn-trailer.',
      fault: (text) =>
        /^[a-z0-9]+(-[a-z0-9]+)*$/.test(text)
          ? null
          : 'use small letters and digits with hyphens between, such as burn-trailer.',
    },
    { key: 'name', label: 'Name', kind: 'text', isRequired: true },
    { key: 'count', label: 'Count', kind: 'whole', isRequired: true, least: 0, most: 10_000 },
    {
      key: 'daysOff',
      label: 'Days not to be had',
      kind: 'spans',
      hint: 'One span a line: 2026-12-24 to 2027-01-03.',
    },
  ],
  blank: () => ({ count: '1' }),
  valuesOf: (row) => ({
    key: row.key,
    name: row.name,
    count: String(row.count),
    daysOff: spansText(row.daysOff),
  }),
  rowOf: (values) => ({
    ok: true,
    value: {
      key: textIn(values, 'key'),
      name: textIn(values, 'name'),
      count: numberIn(values, 'count'),
      daysOff: parseSpans(values['daysOff'] ?? '', 'daysOff', 'Days not to be had').ranges,
    },
  }),
};
