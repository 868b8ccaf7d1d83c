import type { Limits, Prescription } from '../../../core/weather/prescriptions.ts';
import type { Descriptor, RecordField, Values } from './descriptor.ts';
import {
  keyField,
  ownSourceValues,
  refusal,
  sourceFields,
  sourceIn,
  sourceValues,
} from './figures.ts';
import { isYes, numberIn, numberOrNull, optionsOf, orBlank, textIn, yesOrBlank } from './values.ts';

const useNames: Record<Prescription['use'], string> = {
  work: 'counts fit days for the plan',
  check: 'only checks the counting',
};
const rainNames: Record<Prescription['missingRain'], string> = {
  unknown: 'unknown, so the day is not fit',
  dry: 'dry',
};
const heightNames: Record<NonNullable<Prescription['windHeight']>, string> = {
  '10-m': '10 m, as weather stations observe',
  '20-ft': '20 feet, in the open',
  'in-stand': 'eye level, inside the stand',
};

const quantities = [
  { key: 'temperatureF', name: 'Temperature', unit: '°F', least: -40, most: 130, hint: null },
  {
    key: 'rhPercent',
    name: 'Relative humidity',
    unit: 'percent',
    least: 0,
    most: 100,
    hint: 'A floor of 30 percent is advised (Missouri agency, read in the news); the signed burn plan decides.',
  },
  { key: 'windMph', name: 'Wind', unit: 'miles an hour', least: 0, most: 100, hint: null },
  { key: 'gustMph', name: 'Gusts', unit: 'miles an hour', least: 0, most: 150, hint: null },
  {
    key: 'fineFuelMoisturePercent',
    name: 'Fine dead fuel moisture',
    unit: 'percent of dry weight',
    least: 0,
    most: 100,
    hint: 'By aspect, slope, canopy and month of each block.',
  },
] as const;

type Quantity = (typeof quantities)[number]['key'];

function limitFields({ key, name, unit, least, most, hint }: (typeof quantities)[number]) {
  const number = { kind: 'number', least, most } as const;
  return [
    {
      key: `${key}Least`,
      label: `${name}, least, ${unit}`,
      legend: name,
      ...number,
      ...(hint ? { hint } : {}),
    },
    { key: `${key}Most`, label: `${name}, most, ${unit}`, ...number },
  ] satisfies RecordField[];
}

const hour = { kind: 'whole', isRequired: true } as const;

const fields: RecordField[] = [
  keyField('sand-barren'),
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'use', label: 'Use', kind: 'one-of', isRequired: true, options: optionsOf(useNames) },
  ...quantities.flatMap(limitFields).map((field, at) =>
    at === 0
      ? {
          ...field,
          heading: 'Weather',
          hint: 'Ranges to count days by. Blank = no limit. The signed burn plan of each block decides, never these.',
        }
      : field,
  ),
  {
    key: 'windHeight',
    label: 'Height that the wind limits are meant at',
    legend: null,
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(heightNames),
  },
  {
    key: 'snowInchesMost',
    label: 'Snow on the ground, most, inches',
    kind: 'number',
    least: 0,
    most: 100,
  },
  {
    key: 'fromHour',
    label: 'First hour of the day',
    ...hour,
    least: 0,
    most: 23,
    heading: 'Hours',
    hint: 'Local standard time, 0 to 23, no summer time.',
  },
  { key: 'toHour', label: 'Last hour of the day', ...hour, least: 0, most: 23 },
  { key: 'hoursInRow', label: 'Fit hours in a row, least', ...hour, least: 1, most: 24 },
  {
    key: 'dryDaysBefore',
    label: 'Days since a wetting rain, least',
    ...hour,
    least: 0,
    most: 60,
    heading: 'Rain',
    hint: '0 = no rule.',
  },
  {
    key: 'wettingRainInches',
    label: 'A wetting rain, inches a day',
    kind: 'number',
    isRequired: true,
    least: 0.01,
    most: 5,
  },
  { key: 'rainEndsRun', label: 'Rain in an hour ends the run of hours', kind: 'yes-no' },
  {
    key: 'missingRain',
    label: 'Missing rain is taken as',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(rainNames),
  },
  {
    key: 'nextGustMphMost',
    label: 'Gusts of the day after, most, miles an hour',
    kind: 'number',
    least: 0,
    most: 150,
    heading: 'The day after',
    hint: 'Between 8 and 20 h. Fill in both, or leave both blank.',
  },
  {
    key: 'nextRhPercentLeast',
    label: 'Humidity of the day after, least, percent',
    kind: 'number',
    least: 0,
    most: 100,
  },
  { key: 'note', label: 'Note', kind: 'text-lines', heading: 'Note and source' },
  ...sourceFields('', 'the ranges'),
];

const figureKeys = fields
  .map(({ key }) => key)
  .filter((key) => !['key', 'name', 'use', 'note', 'Status', 'Source'].includes(key));

function valuesOf(row: Prescription): Values {
  const limits = quantities.flatMap(({ key }) => [
    [`${key}Least`, orBlank(row[key]?.least ?? null)],
    [`${key}Most`, orBlank(row[key]?.most ?? null)],
  ]);
  return {
    key: row.key,
    name: row.name,
    use: row.use,
    ...Object.fromEntries(limits),
    windHeight: row.windHeight ?? '10-m',
    snowInchesMost: orBlank(row.snowInchesMost ?? null),
    fromHour: String(row.fromHour),
    toHour: String(row.toHour),
    hoursInRow: String(row.hoursInRow),
    dryDaysBefore: String(row.dryDaysBefore),
    wettingRainInches: String(row.wettingRainInches),
    rainEndsRun: yesOrBlank(row.rainEndsRun),
    missingRain: row.missingRain,
    nextGustMphMost: orBlank(row.quietNextDay?.gustMphMost ?? null),
    nextRhPercentLeast: orBlank(row.quietNextDay?.rhPercentLeast ?? null),
    note: row.note,
    ...sourceValues('', row),
  };
}

function limitsIn(values: Values, key: Quantity): Limits {
  return { least: numberOrNull(values, `${key}Least`), most: numberOrNull(values, `${key}Most`) };
}

/** Limits that are left out of the row when nothing is asked. */
function extraLimits(values: Values): Partial<Prescription> {
  const isAsked = ({ least, most }: Limits) => least !== null || most !== null;
  const gustMph = limitsIn(values, 'gustMph');
  const moisture = limitsIn(values, 'fineFuelMoisturePercent');
  const snow = numberOrNull(values, 'snowInchesMost');
  const gustMphMost = numberOrNull(values, 'nextGustMphMost');
  const rhPercentLeast = numberOrNull(values, 'nextRhPercentLeast');
  const windHeight = textIn(values, 'windHeight') as keyof typeof heightNames;
  return {
    ...(isAsked(gustMph) ? { gustMph } : {}),
    ...(isAsked(moisture) ? { fineFuelMoisturePercent: moisture } : {}),
    ...(snow === null ? {} : { snowInchesMost: snow }),
    ...(gustMphMost === null || rhPercentLeast === null
      ? {}
      : { quietNextDay: { gustMphMost, rhPercentLeast } }),
    ...(windHeight === '10-m' ? {} : { windHeight }),
  };
}

function refusalOf(values: Values) {
  for (const { key, name } of quantities) {
    const { least, most } = limitsIn(values, key);
    if (least !== null && most !== null && least > most)
      return refusal(`${key}Least`, `${name}: the least can not be above the most.`);
  }
  if (numberIn(values, 'toHour') < numberIn(values, 'fromHour'))
    return refusal('toHour', 'Hours: the last hour can not be before the first one.');
  const next = ['nextGustMphMost', 'nextRhPercentLeast'];
  const blank = next.filter((key) => numberOrNull(values, key) === null);
  return blank.length === 1
    ? refusal(blank[0] ?? '', 'The day after: fill in gusts and humidity, or leave both blank.')
    : null;
}

const rangeText = ({ least, most }: Limits): string => {
  if (least === null) return most === null ? 'any' : `up to ${most}`;
  return most === null ? `from ${least}` : `${least} to ${most}`;
};

export const prescriptions: Descriptor<'prescription'> = {
  noun: 'prescription',
  path: 'prescriptions',
  one: 'prescription',
  many: 'prescriptions',
  purpose:
    'ranges of weather that fit days are counted by; the signed burn plan decides on the day',
  group: 'Reference tables',
  rows: ({ operation }) => operation.prescriptions,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'temperature', label: 'Temperature, °F', text: (row) => rangeText(row.temperatureF) },
    { key: 'rh', label: 'Humidity, percent', text: (row) => rangeText(row.rhPercent) },
    { key: 'wind', label: 'Wind, miles an hour', text: (row) => rangeText(row.windMph) },
    { key: 'hours', label: 'Hours', text: (row) => `${row.fromHour} to ${row.toHour}` },
  ],
  fields,
  blank: () => ({
    ...ownSourceValues(''),
    use: 'work',
    windHeight: '10-m',
    rhPercentLeast: '30',
    fromHour: '11',
    toHour: '15',
    hoursInRow: '3',
    dryDaysBefore: '2',
    wettingRainInches: '0.1',
    rainEndsRun: 'yes',
    missingRain: 'unknown',
  }),
  valuesOf,
  rowOf: (values, _land, before) =>
    refusalOf(values) ?? {
      ok: true,
      value: {
        key: textIn(values, 'key'),
        name: textIn(values, 'name'),
        use: textIn(values, 'use') as Prescription['use'],
        temperatureF: limitsIn(values, 'temperatureF'),
        rhPercent: limitsIn(values, 'rhPercent'),
        windMph: limitsIn(values, 'windMph'),
        fromHour: numberIn(values, 'fromHour'),
        toHour: numberIn(values, 'toHour'),
        hoursInRow: numberIn(values, 'hoursInRow'),
        dryDaysBefore: numberIn(values, 'dryDaysBefore'),
        wettingRainInches: numberIn(values, 'wettingRainInches'),
        rainEndsRun: isYes(values, 'rainEndsRun'),
        missingRain: textIn(values, 'missingRain') as Prescription['missingRain'],
        ...extraLimits(values),
        note: textIn(values, 'note'),
        ...sourceIn('', values, before && valuesOf(before), figureKeys),
      },
    },
  sourceOf: ({ status, source }) => ({ status, source }),
  links: () => [{ path: '/burn-days', words: 'Burn days' }],
};
