import { forageNames, stemNames } from '../../../core/land-answers.ts';
import {
  type BasalArea,
  type CanopyCover,
  type Evaluation,
  type Finding,
  type ForageClipping,
  type ScorchClass,
  type StemCount,
  type VisitKind,
  visitKinds,
} from '../../../core/visits.ts';
import { visitNames } from '../../words.ts';
import type { Descriptor, RecordField, RecordLand, Values } from './descriptor.ts';
import { dayIn, listIn, numberIn, numberOrNull, optionsOf, orBlank, textIn } from './values.ts';

const unitName = ({ operation }: RecordLand, unitId: number): string => {
  const unit = operation.units.find(({ id }) => id === unitId);
  return unit ? `${unit.code} ${unit.name}`.trim() : '';
};

/** The unit of a row: picked for a new one, then fixed. */
export const unitField: RecordField = {
  key: 'unitId',
  label: 'Unit',
  kind: 'one-of',
  isRequired: true,
  isFixed: true,
  options: (land) =>
    land.operation.units.map(({ id }) => ({ key: String(id), name: unitName(land, id) })),
};

const kindField: RecordField = {
  key: 'kind',
  label: 'What was done',
  kind: 'one-of',
  isRequired: true,
  hint: 'Save once, and the form asks for the figures of it.',
  options: optionsOf(visitNames),
};
const dayField: RecordField = {
  key: 'seenOn',
  label: 'Day',
  kind: 'day',
  isRequired: true,
  isPast: true,
};
const tail: RecordField[] = [
  { key: 'seenBy', label: 'Seen by', kind: 'text', legend: null },
  { key: 'note', label: 'Note', kind: 'text-lines' },
];

const percent = (key: string, label: string, more: Partial<RecordField> = {}): RecordField => ({
  ...{ key, label, kind: 'number', least: 0, most: 100 },
  ...more,
});

/** Several numbers with commas, spaces or line ends between. */
const numbersIn = (values: Values): number[] =>
  textIn(values, 'numbers')
    .split(/[\s,;]+/)
    .filter((part) => part !== '')
    .map(Number);

const numbers = (label: string, hint: string): RecordField => ({
  key: 'numbers',
  label,
  kind: 'text-lines',
  isRequired: true,
  hint: `${hint} Commas or spaces between.`,
  fault: (_text, _land, values) =>
    numbersIn(values).every((value) => Number.isFinite(value) && value >= 0)
      ? null
      : 'write numbers of 0 or more with commas between, such as 12, 30.5, 8.',
});

const evaluationFields: RecordField[] = [
  {
    key: 'stage',
    label: 'Look',
    kind: 'one-of',
    isNeverBlank: true,
    options: optionsOf({
      first: 'first, right after the fire',
      second: 'second, after the growing season',
    }),
  },
  percent('shareBlackPercent', 'Share black, %'),
  { key: 'flameFeet', label: 'Flame length, feet', kind: 'number', least: 0, most: 100 },
  {
    key: 'scorchClass',
    label: 'Crown scorch, % of the crown',
    kind: 'one-of',
    options: optionsOf({ '0-33': '0 to 33', '34-66': '34 to 66', '67-100': '67 to 100' }),
  },
  percent('topkillUnder1Inch', 'Under 1 inch', {
    legend: 'Woody stems killed to the ground, %',
    within: 'Topkill',
  }),
  percent('topkillTo3Inches', '1 to 3 inches', { within: 'Topkill' }),
  percent('topkillOver3Inches', 'Over 3 inches', { within: 'Topkill' }),
  percent('cedarUnder1Foot', 'Under 1 foot tall', {
    legend: 'Standing cedar killed, %',
    within: 'Cedar',
  }),
  percent('cedarTo6Feet', '1 to 6 feet', { within: 'Cedar' }),
  percent('cedarOver6Feet', 'Over 6 feet', { within: 'Cedar' }),
];

const plotField = (hint: string): RecordField => ({
  key: 'plotSquareFeet',
  label: 'Size of a plot, square feet',
  kind: 'number',
  isRequired: true,
  least: 0.1,
  most: 43_560,
  hint,
});

const stationsField: RecordField = {
  key: 'stations',
  label: 'Stations',
  kind: 'whole',
  isRequired: true,
  least: 1,
  most: 100,
};

const fieldsByKind: Record<VisitKind, RecordField[]> = {
  evaluation: evaluationFields,
  forage: [
    {
      key: 'of',
      label: 'What was clipped',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf(forageNames),
    },
    plotField('A hoop of 9.6 square feet: a gram is 10 lb an acre.'),
    percent('dryPercent', 'Dry weight, % of the weight below', {
      isRequired: true,
      least: 1,
      hint: '100 = weighed dry. Else dry one bag and weigh it twice.',
    }),
    numbers('Grams by plot', 'One number a plot.'),
  ],
  'stem-count': [
    {
      key: 'of',
      label: 'What was counted',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf(stemNames),
    },
    plotField('A hundredth of an acre is 435.6 square feet: a circle of 11.8 feet.'),
    numbers('Stems by plot', 'One number a plot, 0 where there are none.'),
  ],
  'canopy-cover': [
    {
      key: 'method',
      label: 'How',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf({
        densiometer: 'densiometer: dots of open sky out of 96',
        'by-eye': 'by eye: percent covered',
      }),
    },
    numbers('Readings', 'One number a point.'),
  ],
  'basal-area': [
    {
      key: 'method',
      label: 'How',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf({
        prism: 'prism: trees counted at each point',
        stems: 'tape: diameter of every stem on the plots, inches',
      }),
    },
    { key: 'factor', label: 'Factor of the prism', kind: 'number', least: 1, most: 100 },
    {
      key: 'plotAcres',
      label: 'Acres of all plots, for a tape',
      kind: 'number',
      least: 0.001,
      most: 1000,
    },
    numbers('Trees by point, or diameters', 'One number a point, or a stem.'),
  ],
  photos: [
    {
      key: 'photoPointId',
      label: 'Photo point',
      kind: 'one-of',
      isRequired: true,
      options: ({ operation }, values) =>
        operation.photoPoints
          .filter(({ unitId }) => String(unitId) === values['unitId'])
          .map(({ id, name }) => ({ key: String(id), name })),
    },
    { key: 'photos', label: 'Pictures', kind: 'hidden' },
  ],
  'bird-count': [
    { key: 'species', label: 'Kind of bird', kind: 'text', isRequired: true },
    stationsField,
    { key: 'birds', label: 'Birds', kind: 'whole', isRequired: true, least: 0, most: 10_000 },
  ],
  'covey-count': [
    { ...stationsField, hint: 'About 1,100 yards apart; each hears 547 yards, 194 acres.' },
    { key: 'coveys', label: 'Coveys heard', kind: 'whole', isRequired: true, least: 0, most: 1000 },
  ],
};

export const isVisitKind = (text: string | undefined): text is VisitKind =>
  visitKinds.some((kind) => kind === text);

/** What a form of a kind begins with; blank fields start blank. */
const firstValues: Record<VisitKind, Values> = {
  evaluation: { stage: 'first' },
  forage: { of: 'browse', plotSquareFeet: '9.6', dryPercent: '100' },
  'stem-count': { of: 'cedar', plotSquareFeet: '435.6' },
  'canopy-cover': { method: 'densiometer' },
  'basal-area': { method: 'prism', factor: '10' },
  photos: {},
  'bird-count': { stations: '1' },
  'covey-count': { stations: '1' },
};

/** The form of a new visit of a kind to a unit, on a day. */
export function newVisitValues(unitId: number, kind: VisitKind, seenOn: string): Values {
  return { unitId: String(unitId), kind, seenOn, ...firstValues[kind] };
}

const joined = (list: readonly number[]) => list.join(', ');

function findingValues(finding: Finding): Values {
  switch (finding.kind) {
    case 'evaluation': {
      const { topkillPercent: top, cedarKillPercent: cedar } = finding;
      return {
        stage: finding.stage,
        shareBlackPercent: orBlank(finding.shareBlackPercent),
        flameFeet: orBlank(finding.flameFeet),
        scorchClass: orBlank(finding.scorchClass),
        topkillUnder1Inch: orBlank(top.under1Inch),
        topkillTo3Inches: orBlank(top.to3Inches),
        topkillOver3Inches: orBlank(top.over3Inches),
        cedarUnder1Foot: orBlank(cedar.under1Foot),
        cedarTo6Feet: orBlank(cedar.to6Feet),
        cedarOver6Feet: orBlank(cedar.over6Feet),
      };
    }
    case 'forage': {
      const { of, plotSquareFeet, dryPercent, gramsByPlot } = finding;
      const plots = { plotSquareFeet: String(plotSquareFeet), dryPercent: String(dryPercent) };
      return { of, ...plots, numbers: joined(gramsByPlot) };
    }
    case 'stem-count': {
      const { of, plotSquareFeet, stemsByPlot } = finding;
      return { of, plotSquareFeet: String(plotSquareFeet), numbers: joined(stemsByPlot) };
    }
    case 'canopy-cover':
      return { method: finding.method, numbers: joined(finding.readings) };
    case 'basal-area':
      return {
        method: finding.method,
        factor: orBlank(finding.factor),
        plotAcres: orBlank(finding.plotAcres),
        numbers: joined(finding.counts),
      };
    case 'photos':
      return { photoPointId: String(finding.photoPointId), photos: finding.photos.join(',') };
    case 'bird-count': {
      const { species, stations, birds } = finding;
      return { species, stations: String(stations), birds: String(birds) };
    }
    case 'covey-count':
      return { stations: String(finding.stations), coveys: String(finding.coveys) };
  }
}

function evaluationOf(values: Values): Evaluation {
  return {
    kind: 'evaluation',
    stage: textIn(values, 'stage') === 'second' ? 'second' : 'first',
    shareBlackPercent: numberOrNull(values, 'shareBlackPercent'),
    flameFeet: numberOrNull(values, 'flameFeet'),
    scorchClass: (textIn(values, 'scorchClass') || null) as ScorchClass | null,
    topkillPercent: {
      under1Inch: numberOrNull(values, 'topkillUnder1Inch'),
      to3Inches: numberOrNull(values, 'topkillTo3Inches'),
      over3Inches: numberOrNull(values, 'topkillOver3Inches'),
    },
    cedarKillPercent: {
      under1Foot: numberOrNull(values, 'cedarUnder1Foot'),
      to6Feet: numberOrNull(values, 'cedarTo6Feet'),
      over6Feet: numberOrNull(values, 'cedarOver6Feet'),
    },
  };
}

function findingOf(kind: VisitKind, values: Values): Finding {
  const number = (key: string) => numberIn(values, key);
  switch (kind) {
    case 'evaluation':
      return evaluationOf(values);
    case 'forage':
      return {
        kind,
        of: textIn(values, 'of') as ForageClipping['of'],
        plotSquareFeet: number('plotSquareFeet'),
        dryPercent: number('dryPercent'),
        gramsByPlot: numbersIn(values),
      };
    case 'stem-count':
      return {
        kind,
        of: textIn(values, 'of') as StemCount['of'],
        plotSquareFeet: number('plotSquareFeet'),
        stemsByPlot: numbersIn(values),
      };
    case 'canopy-cover':
      return {
        kind,
        method: textIn(values, 'method') as CanopyCover['method'],
        readings: numbersIn(values),
      };
    case 'basal-area': {
      const method = textIn(values, 'method') as BasalArea['method'];
      return {
        kind,
        method,
        factor: method === 'prism' ? numberOrNull(values, 'factor') : null,
        plotAcres: method === 'stems' ? numberOrNull(values, 'plotAcres') : null,
        counts: numbersIn(values),
      };
    }
    case 'photos':
      return { kind, photoPointId: number('photoPointId'), photos: listIn(values, 'photos') };
    case 'bird-count':
      return {
        kind,
        species: textIn(values, 'species'),
        stations: number('stations'),
        birds: number('birds'),
      };
    case 'covey-count':
      return { kind, stations: number('stations'), coveys: number('coveys') };
  }
}

/** The figures differ by kind, so it is picked first and then goes along unseen. */
function fieldsOf({ kind }: Values): RecordField[] {
  if (!isVisitKind(kind)) return [unitField, kindField, dayField, ...tail];
  return [unitField, { ...kindField, kind: 'hidden' }, dayField, ...fieldsByKind[kind], ...tail];
}

export const visits: Descriptor<'visit'> = {
  noun: 'visit',
  path: 'visits',
  one: 'visit',
  many: 'visits',
  purpose: 'what was seen and measured on units: evaluations, clippings, counts, photo points',
  group: 'What was seen',
  rows: ({ operation }) => operation.visits,
  idOf: (row) => row.id,
  nameOf: (row, land) =>
    `${visitNames[row.finding.kind]}, ${unitName(land, row.unitId)}, ${row.seenOn}`,
  columns: [
    { key: 'day', label: 'Day', text: (row) => row.seenOn },
    { key: 'unit', label: 'Unit', text: (row, land) => unitName(land, row.unitId) },
    { key: 'kind', label: 'What', text: (row) => visitNames[row.finding.kind] },
    { key: 'by', label: 'Seen by', text: (row) => row.seenBy },
    { key: 'note', label: 'Note', text: (row) => row.note },
  ],
  fields: fieldsOf({}),
  fieldsOf,
  blank: ({ today }) => ({ seenOn: today }),
  valuesOf: (row) => ({
    unitId: String(row.unitId),
    kind: row.finding.kind,
    seenOn: row.seenOn,
    ...findingValues(row.finding),
    seenBy: row.seenBy,
    note: row.note,
  }),
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      unitId: numberIn(values, 'unitId'),
      seenOn: dayIn(values, 'seenOn'),
      seenBy: textIn(values, 'seenBy'),
      finding: findingOf(values['kind'] as VisitKind, values),
      note: textIn(values, 'note'),
    },
  }),
  links: (row) => [{ path: `/units/${row.unitId}/answers`, words: 'did this land answer?' }],
};
