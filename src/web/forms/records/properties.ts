import type { NeighbourRule, Property } from '../../../core/properties.ts';
import { type AnchorName, anchorNames } from '../../../core/seasons.ts';
import type { Source } from '../../../core/sources.ts';
import { anchorWords } from '../../words.ts';
import { latitudeHint, longitudeHint, stateNames, timeZoneFault } from '../places.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import { monthDayIn, nameIn, numberIn, optionsOf, textIn } from './values.ts';

const neighbourNames: Record<NeighbourRule, string> = {
  'no-matter': 'makes no difference',
  together: 'same season is better',
  apart: 'not in the same season, so that creatures can move over',
};

/** Starting days of a new property: our own judgement, to be set to what is seen there. */
const anchorDefaults: Record<AnchorName, string> = {
  'leaf-out': '04-12',
  'leaf-fall': '11-05',
  'green-up': '03-20',
  'warm-season-start': '05-01',
};

const ours: Source = { status: 'default-to-edit', source: '' };

const anchorFields: RecordField[] = anchorNames.map((anchor, at) => ({
  key: `usual-${anchor}`,
  label: `${anchorWords[anchor]}, usual`,
  kind: 'month-day',
  isRequired: true,
  hint: `Month and day; starts at ${anchorDefaults[anchor]}.`,
  source: () => ours,
  ...(at === 0 ? { heading: 'Days of spring and fall that windows hang on' } : {}),
}));

const fields: RecordField[] = [
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  {
    key: 'landownerId',
    label: 'Landowner',
    kind: 'one-of',
    isRequired: true,
    options: ({ operation }) =>
      operation.landowners.map(({ id, name }) => ({ key: String(id), name })),
  },
  {
    key: 'state',
    label: 'State',
    kind: 'one-of',
    isRequired: true,
    hint: 'Picks the no-work dates.',
    options: optionsOf(stateNames),
  },
  { key: 'county', label: 'County', kind: 'text' },
  {
    key: 'timeZone',
    label: 'Time zone',
    kind: 'text',
    isRequired: true,
    hint: 'Such as America/Chicago or America/Denver.',
    fault: timeZoneFault,
  },
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
    key: 'neighbourRule',
    label: 'Fire on neighboring units',
    kind: 'one-of',
    isRequired: true,
    heading: 'Seasons and neighbors',
    hint: 'What a burn in one season means for the units beside it.',
    options: optionsOf(neighbourNames),
    source: () => ours,
  },
  {
    key: 'burningSeasonStart',
    label: 'Burning season begins',
    kind: 'month-day',
    isRequired: true,
    hint: 'Month and day; starts at 07-01.',
    source: () => ours,
  },
  {
    key: 'growingSeasonEnd',
    label: 'Growing season ends',
    kind: 'month-day',
    isRequired: true,
    hint: 'Month and day; starts at 10-01.',
    source: () => ours,
  },
  ...anchorFields,
];

const usualValues = (usual: Record<AnchorName, string>) =>
  Object.fromEntries(anchorNames.map((anchor) => [`usual-${anchor}`, usual[anchor]]));

function valuesOf(row: Property) {
  return {
    name: row.name,
    landownerId: String(row.landownerId),
    state: row.state,
    county: row.county,
    timeZone: row.timeZone,
    latitude: String(row.latitude),
    longitude: String(row.longitude),
    neighbourRule: row.neighbourRule,
    burningSeasonStart: row.burningSeasonStart as string,
    growingSeasonEnd: row.growingSeasonEnd as string,
    ...usualValues(row.anchors.usual),
  };
}

export const properties: Descriptor<'property'> = {
  noun: 'property',
  path: 'properties',
  one: 'property',
  many: 'properties',
  purpose: 'pieces of land, each with its place, its seasons and its rule for neighbors',
  group: 'Land',
  rows: ({ operation }) => operation.properties,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    {
      key: 'landowner',
      label: 'Landowner',
      text: (row, { operation }) => nameIn(operation.landowners, row.landownerId),
    },
    { key: 'place', label: 'County and state', text: (row) => `${row.county}, ${row.state}` },
    { key: 'timeZone', label: 'Time zone', text: (row) => row.timeZone },
  ],
  fields,
  blank: ({ operation }) => {
    const [owner, second] = operation.landowners;
    return {
      landownerId: owner && !second ? String(owner.id) : '',
      timeZone: operation.properties[0]?.timeZone ?? 'America/Chicago',
      neighbourRule: 'no-matter',
      burningSeasonStart: '07-01',
      growingSeasonEnd: '10-01',
      ...usualValues(anchorDefaults),
    };
  },
  valuesOf,
  rowOf: (values, { operation }, before) => {
    const usual = anchorNames.map((anchor) => [anchor, monthDayIn(values, `usual-${anchor}`)]);
    return {
      ok: true,
      value: {
        id: before?.id ?? 0,
        landownerId: numberIn(values, 'landownerId'),
        name: textIn(values, 'name'),
        state: textIn(values, 'state'),
        county: textIn(values, 'county'),
        timeZone: textIn(values, 'timeZone'),
        latitude: numberIn(values, 'latitude'),
        longitude: numberIn(values, 'longitude'),
        burningSeasonStart: monthDayIn(values, 'burningSeasonStart'),
        growingSeasonEnd: monthDayIn(values, 'growingSeasonEnd'),
        anchors: {
          usual: Object.fromEntries(usual) as Property['anchors']['usual'],
          byYear: before?.anchors.byYear ?? [],
        },
        neighbourRule: textIn(values, 'neighbourRule') as NeighbourRule,
        // What is added to the sample is part of it: nothing of one's own is mixed in.
        isSample: before?.isSample ?? operation.properties.some(({ isSample }) => isSample),
      },
    };
  },
  links: (row) => [
    { path: `/settings#anchors-${row.id}`, words: 'What was seen this year' },
    { path: '/leaf-out', words: 'Leaf-out from the temperatures so far' },
    { path: `/units?property=${row.id}`, words: 'Its units' },
  ],
  retireNote: 'Its units, blocks, lines and all that hangs on them go out of use with it.',
};
