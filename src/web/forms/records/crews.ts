import type { Crew } from '../../../core/crews.ts';
import { parseSpans, spansText } from '../spans.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import {
  isYes,
  listIn,
  numberIn,
  numberOrNull,
  optionsOf,
  textIn,
  weekdayOptions,
  weekdaysIn,
  yesOrBlank,
} from './values.ts';

const kindNames: Record<Crew['kind'], string> = {
  home: 'home crew',
  contract: 'contract crew',
  help: 'help on burns and busy days',
};

const fields: RecordField[] = [
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'kind', label: 'Kind', kind: 'one-of', isRequired: true, options: optionsOf(kindNames) },
  { key: 'peopleCount', label: 'People', kind: 'whole', isRequired: true, least: 1, most: 500 },
  {
    key: 'skills',
    label: 'Skills',
    kind: 'text',
    hint: 'Such as saw, fire, herbicide, with commas between; treatments ask for them.',
  },
  {
    key: 'workdays',
    label: 'Workdays',
    kind: 'many-of',
    isRequired: true,
    options: weekdayOptions,
  },
  {
    key: 'spreadDaysPerWeek',
    label: 'Days a week on one job',
    kind: 'number',
    isRequired: true,
    least: 0,
    most: 7,
    hint: 'So that a burn day still fits beside it.',
  },
  { key: 'costPerDayUsd', label: 'Dollars a day', kind: 'number', least: 0, most: 1_000_000 },
  {
    key: 'daysOff',
    label: 'Days off',
    kind: 'spans',
    heading: 'When it is there',
    hint: 'One span a line: 2026-12-24 to 2027-01-03.',
  },
  {
    key: 'isAllYear',
    label: 'There all year',
    kind: 'yes-no',
    hint: 'Not ticked: only on the days below and those of signed bookings.',
  },
  { key: 'onSpans', label: 'Days on site', kind: 'spans', hint: 'One span a line.' },
];

const spansIn = (text: string | undefined) => parseSpans(text ?? '', '', '').ranges;

export const crews: Descriptor<'crew'> = {
  noun: 'crew',
  path: 'crews',
  one: 'crew',
  many: 'crews',
  purpose: 'people who work as one: how many, their skills, their days',
  group: 'People and gear',
  rows: ({ operation }) => operation.crews,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'kind', label: 'Kind', text: (row) => kindNames[row.kind] },
    {
      key: 'people',
      label: 'People',
      text: (row) => String(row.peopleCount),
      number: (row) => row.peopleCount,
    },
    { key: 'skills', label: 'Skills', text: (row) => row.skills.join(', ') },
    {
      key: 'cost',
      label: 'Dollars a day',
      text: (row) => String(row.costPerDayUsd),
      number: (row) => row.costPerDayUsd,
    },
  ],
  fields,
  blank: () => ({
    kind: 'home',
    workdays: '1,2,3,4,5',
    spreadDaysPerWeek: '4',
    costPerDayUsd: '0',
    isAllYear: 'yes',
  }),
  valuesOf: (row) => {
    // Days of signed bookings are shown with the bookings, not as entered ones.
    const entered = row.enteredSpans ?? row.onSpans;
    return {
      name: row.name,
      kind: row.kind,
      peopleCount: String(row.peopleCount),
      skills: row.skills.join(', '),
      workdays: row.workdays.join(','),
      spreadDaysPerWeek: String(row.spreadDaysPerWeek),
      costPerDayUsd: String(row.costPerDayUsd),
      daysOff: spansText(row.daysOff),
      isAllYear: yesOrBlank(entered === null),
      onSpans: spansText(entered ?? []),
    };
  },
  rowOf: (values, _land, before) => {
    const onSpans = spansIn(values['onSpans']);
    if (isYes(values, 'isAllYear') && onSpans.length > 0) {
      const message = 'Days on site: leave them blank, or take the tick from There all year.';
      return { ok: false, problems: [{ code: 'crew-onSpans', field: 'onSpans', message }] };
    }
    return {
      ok: true,
      value: {
        id: before?.id ?? 0,
        name: textIn(values, 'name'),
        kind: textIn(values, 'kind') as Crew['kind'],
        peopleCount: numberIn(values, 'peopleCount'),
        skills: listIn(values, 'skills'),
        workdays: weekdaysIn(values, 'workdays'),
        daysOff: spansIn(values['daysOff']),
        onSpans: isYes(values, 'isAllYear') ? null : onSpans,
        costPerDayUsd: numberOrNull(values, 'costPerDayUsd') ?? 0,
        spreadDaysPerWeek: numberIn(values, 'spreadDaysPerWeek'),
      },
    };
  },
};
