import type { Position } from '../../../core/geometry.ts';
import type { PointKind, PointToProtect } from '../../../core/points.ts';
import type { Outcome } from '../../../core/problems.ts';
import { latitudeHint, longitudeHint } from '../places.ts';
import type { Descriptor, RecordField, RecordLand, Values } from './descriptor.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  familiesIn,
  familyOptions,
  familyWords,
  firmnessNames,
  monthDayOrNull,
  numberIn,
  numberOrNull,
  onlyPropertyId,
  optionsOf,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
  yearlySpanFields,
} from './values.ts';

const kindNames: Record<PointKind, string> = {
  den: 'den',
  roost: 'roost',
  cave: 'cave',
  grave: 'grave',
  stand: 'stand',
  cabin: 'cabin',
  water: 'water',
  gate: 'gate',
  'way-out': 'way out',
  smoke: 'place that smoke must spare',
  hazard: 'hazard',
  other: 'other',
};

const fields: RecordField[] = [
  propertyField,
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'kind', label: 'Kind', kind: 'one-of', isRequired: true, options: optionsOf(kindNames) },
  {
    key: 'latitude',
    label: 'Latitude, degrees',
    kind: 'number',
    heading: 'Where',
    least: -90,
    most: 90,
    hint: latitudeHint,
  },
  {
    key: 'longitude',
    label: 'Longitude, degrees',
    kind: 'number',
    least: -180,
    most: 180,
    hint: longitudeHint,
  },
  { key: 'bufferFeet', label: 'Buffer, feet', kind: 'number', least: 0, most: 100_000 },
  unitsField({ hint: 'Units that the rule holds for.' }),
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
    label: 'Rule in words',
    kind: 'text-lines',
    hint: 'As people say it, such as: stay outside the tape.',
  },
];

function rowOf(
  values: Values,
  land: RecordLand,
  before: PointToProtect | null,
): Outcome<PointToProtect> {
  const latitude = numberOrNull(values, 'latitude');
  const longitude = numberOrNull(values, 'longitude');
  if ((latitude === null) !== (longitude === null)) {
    const field = latitude === null ? 'latitude' : 'longitude';
    const label = latitude === null ? 'Latitude' : 'Longitude';
    const message = `${label}: fill this in too, or leave both blank where the place is not mapped.`;
    return { ok: false, problems: [{ code: 'point-half-position', field, message }] };
  }
  return {
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      name: textIn(values, 'name'),
      kind: textIn(values, 'kind') as PointKind,
      position: latitude === null ? null : ([longitude, latitude] as Position),
      unitIds: unitIdsIn(values, 'unitIds', land),
      bufferFeet: numberOrNull(values, 'bufferFeet') ?? 0,
      barsFamilies: familiesIn(values, 'barsFamilies'),
      opens: monthDayOrNull(values, 'opens'),
      closes: monthDayOrNull(values, 'closes'),
      firmness: textIn(values, 'firmness') as PointToProtect['firmness'],
      rule: textIn(values, 'rule'),
    },
  };
}

export const points: Descriptor<'point'> = {
  noun: 'point',
  path: 'points',
  one: 'point to protect',
  many: 'points to protect',
  purpose: 'dens, roosts, graves, gates and other places that work must spare or people must know',
  group: 'Land',
  rows: ({ operation }) => operation.points,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    propertyColumn(),
    { key: 'kind', label: 'Kind', text: (row) => kindNames[row.kind] },
    { key: 'units', label: 'Units', text: (row, land) => unitCodes(row.unitIds, land) },
    {
      key: 'buffer',
      label: 'Buffer, feet',
      text: (row) => String(row.bufferFeet),
      number: (row) => row.bufferFeet,
    },
    { key: 'bars', label: 'Bars', text: (row) => familyWords(row.barsFamilies) },
  ],
  fields,
  blank: (land) => ({
    propertyId: onlyPropertyId(land),
    kind: 'other',
    bufferFeet: '0',
    firmness: 'hard',
  }),
  valuesOf: (row, land) => {
    const propertyId = String(row.propertyId);
    return {
      propertyId,
      name: row.name,
      kind: row.kind,
      latitude: orBlank(row.position?.[1] ?? null),
      longitude: orBlank(row.position?.[0] ?? null),
      bufferFeet: String(row.bufferFeet),
      unitIds: unitCodes(row.unitIds, land, { propertyId }),
      barsFamilies: row.barsFamilies.join(','),
      opens: orBlank(row.opens),
      closes: orBlank(row.closes),
      firmness: row.firmness,
      rule: row.rule,
    };
  },
  rowOf,
};
