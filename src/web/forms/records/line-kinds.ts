import type { LineKindRule } from '../../../core/lines.ts';
import { type AnchorName, anchorNames } from '../../../core/seasons.ts';
import { anchorWords } from '../../words.ts';
import type { Descriptor, RecordField, Values } from './descriptor.ts';
import { keptOrder, ownSourceValues, sourceFields, sourceIn, sourceValues } from './figures.ts';
import { isYes, numberOrNull, orBlank, textIn, yesOrBlank } from './values.ts';

const fields: RecordField[] = [
  { key: 'key', label: 'Kind', kind: 'text', isRequired: true, isFixed: true },
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  {
    key: 'needsWork',
    label: 'It has to be made',
    kind: 'yes-no',
    hint: 'Not ticked: it is there without work, such as a road or a creek.',
  },
  {
    key: 'goodForDays',
    label: 'Holds from the day it was made, days',
    kind: 'whole',
    least: 1,
    most: 3660,
    hint: 'Blank = it stays good.',
  },
  {
    key: 'staleOn',
    label: 'Ends sooner on',
    kind: 'many-of',
    options: () => anchorNames.map((key) => ({ key, name: anchorWords[key] })),
  },
  ...sourceFields('', 'these figures'),
];

function valuesOf(row: LineKindRule): Values {
  return {
    key: row.key,
    name: row.name,
    needsWork: yesOrBlank(row.needsWork),
    goodForDays: orBlank(row.goodForDays),
    staleOn: row.staleOn.join(', '),
    ...sourceValues('', row),
  };
}

export const lineKindRules: Descriptor<'lineKind'> = {
  noun: 'lineKind',
  path: 'line-kinds',
  one: 'kind of line',
  many: 'kinds of lines',
  purpose: 'which lines have to be made and how long they hold',
  group: 'Reference tables',
  isFixedSet: true,
  rows: ({ operation }) => operation.lineKinds,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'needsWork', label: 'To be made', text: (row) => (row.needsWork ? 'yes' : 'no') },
    {
      key: 'goodForDays',
      label: 'Holds, days',
      text: (row) => orBlank(row.goodForDays),
      number: (row) => row.goodForDays,
    },
    {
      key: 'staleOn',
      label: 'Ends sooner on',
      text: (row) => row.staleOn.map((anchor) => anchorWords[anchor].toLowerCase()).join(', '),
    },
  ],
  fields,
  blank: () => ownSourceValues(''),
  valuesOf,
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      key: textIn(values, 'key') as LineKindRule['key'],
      name: textIn(values, 'name'),
      needsWork: isYes(values, 'needsWork'),
      goodForDays: numberOrNull(values, 'goodForDays'),
      staleOn: keptOrder(values, 'staleOn', before?.staleOn) as AnchorName[],
      ...sourceIn('', values, before && valuesOf(before), ['needsWork', 'goodForDays', 'staleOn']),
    },
  }),
  sourceOf: ({ status, source }) => ({ status, source }),
};
