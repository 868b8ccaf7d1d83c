import { latitudeHint, longitudeHint, timeZoneFault } from '../places.ts';
import type { Descriptor } from './descriptor.ts';
import { numberIn, textIn } from './values.ts';

export const stations: Descriptor<'station'> = {
  noun: 'station',
  path: 'stations',
  one: 'weather station',
  many: 'weather stations',
  purpose: 'where weather history and forecasts are for; the nearest one counts for a property',
  group: 'Land',
  rows: (land) => land.stations,
  idOf: (row) => row.name,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    {
      key: 'latitude',
      label: 'Latitude, degrees',
      text: (row) => String(row.latitude),
      number: (row) => row.latitude,
    },
    {
      key: 'longitude',
      label: 'Longitude, degrees',
      text: (row) => String(row.longitude),
      number: (row) => row.longitude,
    },
    { key: 'timeZone', label: 'Time zone', text: (row) => row.timeZone },
    {
      key: 'isInvented',
      label: 'History',
      text: (row) => (row.isInvented ? 'made up for the sample' : 'observed'),
    },
  ],
  fields: [
    { key: 'name', label: 'Name', kind: 'text', isRequired: true, isFixed: true },
    {
      key: 'latitude',
      label: 'Latitude, degrees',
      kind: 'number',
      isRequired: true,
      least: -90,
      most: 90,
      hint: latitudeHint,
    },
    {
      key: 'longitude',
      label: 'Longitude, degrees',
      kind: 'number',
      isRequired: true,
      least: -180,
      most: 180,
      hint: longitudeHint,
    },
    {
      key: 'timeZone',
      label: 'Time zone',
      kind: 'text',
      isRequired: true,
      hint: 'Such as America/Chicago or America/Denver.',
      fault: timeZoneFault,
    },
  ],
  blank: ({ operation }) => ({ timeZone: operation.properties[0]?.timeZone ?? 'America/Chicago' }),
  valuesOf: (row) => ({
    name: row.name,
    latitude: String(row.latitude),
    longitude: String(row.longitude),
    timeZone: row.timeZone,
  }),
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      name: textIn(values, 'name'),
      latitude: numberIn(values, 'latitude'),
      longitude: numberIn(values, 'longitude'),
      timeZone: textIn(values, 'timeZone'),
      isInvented: before?.isInvented ?? false,
    },
  }),
};
