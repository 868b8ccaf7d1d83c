import type { Outcome } from '../../../core/problems.ts';
import type { Family, Rate, Treatment } from '../../../core/treatments.ts';
import { type DensityClass, densityClasses } from '../../../core/units.ts';
import { readWindows, windowsText } from '../../../core/window-text.ts';
import { familyNames } from '../../words.ts';
import type { Descriptor, Option, RecordField, RecordLand, Values } from './descriptor.ts';
import {
  keptOrder,
  keyField,
  keysField,
  ownSourceValues,
  refusal,
  sourceFields,
  sourceIn,
  sourceValues,
} from './figures.ts';
import {
  familyOptions,
  listIn,
  numberIn,
  numberOrNull,
  optionsOf,
  orBlank,
  textIn,
  textOrNull,
} from './values.ts';

const scopeNames: Record<Treatment['scope'], string> = {
  unit: 'a unit',
  block: 'a whole block',
  property: 'a whole property',
};
const durationNames: Record<Treatment['duration'], string> = {
  spread: 'hand work spread over weeks in a row',
  'one-day': 'one day: a burn or a visit',
  run: 'one run of days',
};
const basisNames: Record<Rate['basis'], string> = {
  acre: 'acres',
  'line-foot': 'feet of line',
  point: 'points or stations',
  fixed: 'crew days a job, whatever its size',
};
const perNames: Record<Rate['per'], string> = {
  'person-day': 'a person-day',
  'machine-hour': 'a machine-hour',
  'crew-day': 'a crew day',
};
const regionNames = {
  OZ: 'Ozark highlands and borders',
  GP: 'Great Plains',
  UM: 'Upper Midwest',
  MS: 'Mid-South',
};

/** Gear on record, and what treatments ask for besides. */
function gearOptions({ operation }: RecordLand): Option[] {
  const asked = operation.treatments.flatMap(({ gear }) => gear);
  const keys = new Set([...operation.gear.map(({ key }) => key), ...asked]);
  return [...keys].map((key) => ({
    key,
    name: operation.gear.find((one) => one.key === key)?.name ?? key,
  }));
}

const amount = { kind: 'number', least: 0.001, most: 100_000 } as const;
const densityField = (density: DensityClass) => `rate-${density}`;

const rateFields: RecordField[] = [
  {
    key: 'rateBasis',
    label: 'Measured in',
    kind: 'one-of',
    isRequired: true,
    heading: 'Rate',
    options: optionsOf(basisNames),
  },
  {
    key: 'ratePer',
    label: 'Done by',
    kind: 'one-of',
    isRequired: true,
    hint: 'What gets through the amount below. No matter where the basis is crew days a job.',
    options: optionsOf(perNames),
  },
  {
    key: 'rateAmount',
    label: 'Amount',
    ...amount,
    hint: 'One figure here, or one for each density below.',
  },
  ...densityClasses.map((density, at) => ({
    key: densityField(density),
    label: `Amount, ${density} stems`,
    ...(at === 0 ? { legend: 'By density' } : {}),
    ...amount,
  })),
  ...sourceFields('rate', 'the rate').map((field, at) =>
    at === 0 ? { ...field, legend: null } : field,
  ),
];

const fields: RecordField[] = [
  keyField('brush-raking'),
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'purpose', label: 'Purpose', kind: 'text-lines', isRequired: true },
  {
    key: 'family',
    label: 'Kind of work',
    kind: 'one-of',
    isRequired: true,
    options: familyOptions,
  },
  {
    key: 'scope',
    label: 'Done on',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(scopeNames),
  },
  {
    key: 'duration',
    label: 'How it runs',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(durationNames),
  },
  {
    key: 'region',
    label: 'Region of the defaults',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf(regionNames),
  },
  {
    key: 'windows',
    label: 'Windows',
    kind: 'text-lines',
    isRequired: true,
    heading: 'Seasonal windows',
    hint: 'One window a line, such as 11-01 to 03-31, or leaf-fall + 7 to earlier of 04-01 and leaf-out - 7. Anchors: leaf-out, leaf-fall, green-up, warm-season-start; each property has its own. No-work dates are kept apart.',
    fault: (text) => {
      const windows = readWindows(text);
      return windows.ok ? null : windows.fault;
    },
  },
  ...sourceFields('window', 'the windows'),
  ...rateFields,
  {
    key: 'peopleLeast',
    label: 'People, least',
    kind: 'whole',
    isRequired: true,
    least: 1,
    most: 500,
    heading: 'People and gear',
  },
  keysField(
    'skills',
    'Skills',
    'Every crew on the job must have them, such as saw, fire, herbicide.',
  ),
  { key: 'gear', label: 'Gear', kind: 'many-of', options: gearOptions },
  { key: 'kit', label: 'Kit', kind: 'text-lines' },
  {
    key: 'stemInchesMost',
    label: 'Largest stem cut, inches dbh',
    kind: 'number',
    least: 0.1,
    most: 100,
    heading: 'What no-work dates and cautions ask',
    hint: 'Blank = no tree is cut.',
  },
  keysField('speciesGroups', 'Groups of species', 'Such as redcedar, oak, with commas between.'),
  {
    key: 'cautionKeys',
    label: 'Cautions shown with it',
    kind: 'many-of',
    hint: 'Clearing one hides the words, not the danger.',
    options: ({ operation }) => operation.cautions.map(({ key, text }) => ({ key, name: text })),
  },
  {
    key: 'prescriptionKey',
    label: 'Prescription of its own',
    kind: 'one-of',
    hint: 'Of a burn in another season; none = that of the block. The signed burn plan decides.',
    options: ({ operation }) => operation.prescriptions.map(({ key, name }) => ({ key, name })),
  },
  { key: 'regionNotes', label: 'Notes by region', kind: 'text-lines', heading: 'Notes and source' },
  ...sourceFields('', 'the treatment'),
];

/** Work that can hurt someone: it is never shown without a caution. */
const cautionedFamilies: readonly Family[] = ['burn', 'cut', 'spray'];

const windowKeys = ['windows'];
const rateKeys = ['rateBasis', 'ratePer', 'rateAmount', ...densityClasses.map(densityField)];
const figureKeys = ['peopleLeast', 'stemInchesMost', 'duration', 'scope'];

function amountValues({ amount: figure }: Rate): Values {
  if (typeof figure === 'number') return { rateAmount: String(figure) };
  return Object.fromEntries(
    densityClasses.map((density) => [densityField(density), String(figure[density])]),
  );
}

function valuesOf(row: Treatment): Values {
  return {
    key: row.key,
    name: row.name,
    purpose: row.purpose,
    family: row.family,
    scope: row.scope,
    duration: row.duration,
    region: row.region,
    windows: windowsText(row.windows),
    ...sourceValues('window', row.windowSource),
    rateBasis: row.rate.basis,
    ratePer: row.rate.per,
    rateAmount: '',
    ...Object.fromEntries(densityClasses.map((density) => [densityField(density), ''])),
    ...amountValues(row.rate),
    ...sourceValues('rate', row.rate),
    peopleLeast: String(row.peopleLeast),
    skills: row.skills.join(', '),
    gear: row.gear.join(', '),
    kit: row.kit,
    stemInchesMost: orBlank(row.stemInchesMost),
    speciesGroups: row.speciesGroups.join(', '),
    cautionKeys: row.cautionKeys.join(', '),
    prescriptionKey: orBlank(row.prescriptionKey),
    regionNotes: row.regionNotes,
    ...sourceValues('', row),
  };
}

/** One figure, or one for each density. */
function amountIn(values: Values): Outcome<Rate['amount']> {
  const one = numberOrNull(values, 'rateAmount');
  const given = densityClasses.filter((density) => textIn(values, densityField(density)) !== '');
  if (one !== null)
    return given.length === 0
      ? { ok: true, value: one }
      : refusal('rateAmount', 'Amount: give one figure or one for each density, not both.');
  const missing = densityClasses.find((density) => !given.includes(density));
  if (given.length === 0)
    return refusal('rateAmount', 'Amount: fill in one figure, or one for each density.');
  if (missing)
    return refusal(densityField(missing), `Amount, ${missing} stems: fill this in as well.`);
  const byDensity = densityClasses.map((key) => [key, numberIn(values, densityField(key))]);
  return { ok: true, value: Object.fromEntries(byDensity) as Record<DensityClass, number> };
}

function rowOf(values: Values, _land: RecordLand, before: Treatment | null): Outcome<Treatment> {
  const figure = amountIn(values);
  if (!figure.ok) return figure;
  const windows = readWindows(values['windows'] ?? '');
  if (!windows.ok) return refusal('windows', `Windows: ${windows.fault}`);
  const hadNone = before !== null && before.cautionKeys.length === 0;
  const family = textIn(values, 'family') as Family;
  if (cautionedFamilies.includes(family) && textIn(values, 'cautionKeys') === '' && !hadNone)
    return refusal(
      'cautionKeys',
      'Cautions shown with it: tick at least one for work with fire, saws or herbicide.',
    );
  const old = before && valuesOf(before);
  return {
    ok: true,
    value: {
      key: textIn(values, 'key'),
      name: textIn(values, 'name'),
      family,
      purpose: textIn(values, 'purpose'),
      region: textIn(values, 'region'),
      scope: textIn(values, 'scope') as Treatment['scope'],
      windows: windows.value,
      windowSource: sourceIn('window', values, old, windowKeys),
      rate: {
        basis: textIn(values, 'rateBasis') as Rate['basis'],
        per: textIn(values, 'ratePer') as Rate['per'],
        amount: figure.value,
        ...sourceIn('rate', values, old, rateKeys),
      },
      duration: textIn(values, 'duration') as Treatment['duration'],
      peopleLeast: numberIn(values, 'peopleLeast'),
      skills: listIn(values, 'skills'),
      gear: keptOrder(values, 'gear', before?.gear),
      prescriptionKey: textOrNull(values, 'prescriptionKey'),
      kit: textIn(values, 'kit'),
      stemInchesMost: numberOrNull(values, 'stemInchesMost'),
      speciesGroups: listIn(values, 'speciesGroups'),
      cautionKeys: keptOrder(values, 'cautionKeys', before?.cautionKeys),
      regionNotes: textIn(values, 'regionNotes'),
      ...sourceIn('', values, old, figureKeys),
    },
  };
}

export const treatments: Descriptor<'treatment'> = {
  noun: 'treatment',
  path: 'treatments',
  one: 'treatment',
  many: 'treatments',
  purpose: 'kinds of work: their seasonal windows, rates, people and gear',
  group: 'Reference tables',
  rows: ({ operation }) => operation.treatments,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'family', label: 'Kind of work', text: (row) => familyNames[row.family] },
    { key: 'windows', label: 'Windows', text: (row) => windowsText(row.windows) },
    {
      key: 'rate',
      label: 'Rate',
      text: ({ rate }) => {
        const figures =
          typeof rate.amount === 'number' ? [rate.amount] : Object.values(rate.amount);
        const per = rate.basis === 'fixed' ? '' : ` ${perNames[rate.per]}`;
        const basis = rate.basis === 'fixed' ? 'crew days a job' : basisNames[rate.basis];
        const span = [...new Set([Math.min(...figures), Math.max(...figures)])].join(' to ');
        return `${span} ${basis}${per}`;
      },
    },
  ],
  fields,
  blank: () => ({
    ...ownSourceValues('window'),
    ...ownSourceValues('rate'),
    ...ownSourceValues(''),
    scope: 'unit',
    duration: 'spread',
    region: 'OZ',
    rateBasis: 'acre',
    ratePer: 'person-day',
    peopleLeast: '2',
  }),
  valuesOf,
  rowOf,
  sourceOf: ({ status, source }) => ({ status, source }),
  links: () => [{ path: '/sequences', words: 'Sequences' }],
};
