import type { Descriptor } from './descriptor.ts';
import { numberIn, textIn } from './values.ts';
import { unitField } from './visits.ts';

export const photoPoints: Descriptor<'photoPoint'> = {
  noun: 'photoPoint',
  path: 'photo-points',
  one: 'photo point',
  many: 'photo points',
  purpose: 'markers from which the same picture is taken each year',
  group: 'What was seen',
  rows: ({ operation }) => operation.photoPoints,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    {
      key: 'unit',
      label: 'Unit',
      text: (row, { operation }) => operation.units.find(({ id }) => id === row.unitId)?.code ?? '',
    },
    { key: 'marker', label: 'Marker', text: (row) => row.marker },
    {
      key: 'bearing',
      label: 'Bearing, degrees',
      text: (row) => String(row.bearingDegrees),
      number: (row) => row.bearingDegrees,
    },
  ],
  fields: [
    unitField,
    { key: 'name', label: 'Name', kind: 'text', isRequired: true },
    {
      key: 'marker',
      label: 'Marker',
      kind: 'text',
      hint: 'One that does not burn, such as a steel post.',
    },
    {
      key: 'bearingDegrees',
      label: 'Bearing, degrees from true north',
      kind: 'number',
      isRequired: true,
      least: 0,
      most: 359.9,
    },
    {
      key: 'frame',
      label: 'Frame and time of year',
      kind: 'text-lines',
      hint: 'What the picture shows and where, and the weeks when it is taken: the same each year.',
    },
  ],
  blank: () => ({}),
  valuesOf: (row) => ({
    unitId: String(row.unitId),
    name: row.name,
    marker: row.marker,
    bearingDegrees: String(row.bearingDegrees),
    frame: row.frame,
  }),
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      unitId: numberIn(values, 'unitId'),
      name: textIn(values, 'name'),
      marker: textIn(values, 'marker'),
      bearingDegrees: numberIn(values, 'bearingDegrees'),
      frame: textIn(values, 'frame'),
    },
  }),
  links: (row) => [{ path: `/units/${row.unitId}/answers#photo-points`, words: 'its pictures' }],
};
