import {
  type ContractPractice,
  type CostShareContract,
  contractName,
  officeWords,
  type PracticeUnit,
  type paymentBases,
} from '../../../core/contracts.ts';
import type { Unit } from '../../../core/units.ts';
import type { Descriptor, RecordField, RecordLand, Values } from './descriptor.ts';
import {
  dayOrNull,
  listIn,
  nameIn,
  numberIn,
  numberOrNull,
  onlyPropertyId,
  optionsOf,
  orBlank,
  propertyColumn,
  propertyField,
  textIn,
} from './values.ts';

/** Most practices that a form holds. */
const practicesMost = 20;

const basisNames: Record<(typeof paymentBases)[number], string> = {
  acre: 'an acre',
  practice: 'the whole practice',
};

/** Name of a field of the practice at a place, counted from 1. */
const practiceKey = (at: number, field: string) => `p${at}-${field}`;

function practiceCount(values: Values): number {
  const count = Number(textIn(values, 'practices'));
  return Number.isInteger(count) ? Math.min(Math.max(count, 0), practicesMost) : 0;
}

const unitsAt = ({ operation }: RecordLand, values: Values): Unit[] =>
  operation.units.filter(({ propertyId }) => String(propertyId) === textIn(values, 'propertyId'));

const unitLine = /^(.*?)(?:,\s*(\d+\.?\d*|\.\d+)(?:\s*ac(?:res)?)?)?$/i;

/** Lines of "code, acres"; a line that names no unit of the property gives its text. */
function unitLines(text: string, units: readonly Unit[]): (PracticeUnit | string)[] {
  return text
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== '')
    .map((line) => {
      const [, code = '', acres] = unitLine.exec(line) ?? [];
      const unit = units.find((one) => one.code === code.trim());
      if (!unit) return line;
      return { unitId: unit.id, contractAcres: acres === undefined ? null : Number(acres) };
    });
}

function unitsFault(text: string, land: RecordLand, values: Values): string | null {
  const wrong = unitLines(text, unitsAt(land, values)).find((one) => typeof one === 'string');
  return wrong === undefined
    ? null
    : `"${wrong}" is no unit of this property with its acres; write lines such as N4, 12.5.`;
}

function practiceFields(values: Values, at: number): RecordField[] {
  const key = (field: string) => practiceKey(at, field);
  const count = practiceCount(values);
  const name = [textIn(values, key('number')), textIn(values, key('name'))].join(' ').trim();
  const fields: RecordField[] = [
    {
      key: key('number'),
      label: 'Number',
      kind: 'text',
      isRequired: true,
      hint: 'As it stands in the contract.',
      fold: {
        key: `p${at}`,
        title: `Practice ${at}: ${name || 'new practice'}`,
        buttons: count > 1 ? [{ action: `remove-${at}`, words: 'Remove this practice' }] : [],
      },
      legend: '',
    },
    { key: key('name'), label: 'Name', kind: 'text' },
    { key: key('plannedBy'), label: 'Planned by', kind: 'day', hint: 'Last day in the contract.' },
    { key: key('paymentUsd'), label: 'Payment, dollars', kind: 'number', least: 0, most: 1e8 },
    {
      key: key('paymentBasis'),
      label: 'Payment is for',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf(basisNames),
    },
    {
      key: key('units'),
      label: 'Units',
      kind: 'text-lines',
      isRequired: true,
      legend: null,
      hint: 'One a line with the acres of the contract after a comma: N4, 12.5. Without acres those of the unit stand in.',
      fault: unitsFault,
    },
    {
      key: key('treatments'),
      label: 'Work that carries it out',
      kind: 'many-of',
      isRequired: true,
      options: ({ operation }) =>
        operation.treatments.map((one) => ({ key: one.key, name: one.name })),
    },
  ];
  return fields.map((field) => ({ ...field, within: `Practice ${at}` }));
}

const headFields: RecordField[] = [
  propertyField,
  { key: 'program', label: 'Program', kind: 'text', isRequired: true, hint: officeWords },
  { key: 'number', label: 'Contract number', kind: 'text' },
  {
    key: 'landownerId',
    label: 'Landowner',
    kind: 'one-of',
    isRequired: true,
    options: ({ operation }) =>
      operation.landowners.map(({ id, name }) => ({ key: String(id), name })),
  },
  {
    key: 'appliedOn',
    label: 'Applied on',
    kind: 'day',
    heading: 'Dates, as they stand in the contract',
    hint: 'Work from this day to the approval is shown as early.',
  },
  {
    key: 'approvedOn',
    label: 'Approved on',
    kind: 'day',
    hint: 'The day on which the last side signed. Blank = not approved yet.',
  },
  {
    key: 'firstPracticeDueOn',
    label: 'First practice due by',
    kind: 'day',
    hint: 'Some programs ask for a start within 12 months of the contract; yours may say otherwise.',
  },
  { key: 'endsOn', label: 'Ends on', kind: 'day' },
];

function fieldsOf(values: Values): RecordField[] {
  const places = Array.from({ length: practiceCount(values) }, (_, index) => index + 1);
  return [
    ...headFields,
    {
      key: 'practices',
      label: 'Practices',
      kind: 'hidden',
      heading: 'Practices',
      fault: (text) =>
        /^[1-9]\d?$/.test(text) && Number(text) <= practicesMost
          ? null
          : `a contract has 1 to ${practicesMost} of them.`,
    },
    ...places.flatMap((at) => practiceFields(values, at)),
    {
      key: 'note',
      label: 'Note',
      kind: 'text-lines',
      heading: 'Note',
      buttonsBefore: [{ action: 'add', words: 'Add a practice' }],
      hint: 'Such as the office and its phone.',
    },
  ];
}

function practiceAt(values: Values, at: number): Values {
  const prefix = practiceKey(at, '');
  return Object.fromEntries(
    Object.entries(values)
      .filter(([key]) => key.startsWith(prefix))
      .map(([key, value]) => [key.slice(prefix.length), value]),
  );
}

function withPractices(values: Values, practices: readonly Values[]): Values {
  const rest = Object.entries(values).filter(([key]) => !/^p\d+-/.test(key));
  const own = practices.flatMap((practice, index) =>
    Object.entries(practice).map(([field, value]) => [practiceKey(index + 1, field), value]),
  );
  return { ...Object.fromEntries([...rest, ...own]), practices: String(practices.length) };
}

/** The form after `add` or `remove-2`; nothing else typed is touched. */
function rearrange(values: Values, action: string): { values: Values; open: string } {
  const count = practiceCount(values);
  const practices = Array.from({ length: count }, (_, index) => practiceAt(values, index + 1));
  if (action === 'add' && count < practicesMost)
    return {
      values: withPractices(values, [...practices, { paymentBasis: 'acre' }]),
      open: `p${count + 1}`,
    };
  const at = Number(/^remove-(\d+)$/.exec(action)?.[1] ?? 0);
  if (at < 1 || at > count || count === 1) return { values, open: '' };
  return { values: withPractices(values, practices.toSpliced(at - 1, 1)), open: '' };
}

function practiceValues(practice: ContractPractice, { operation }: RecordLand): Values {
  const lines = practice.units.flatMap(({ unitId, contractAcres }) => {
    const unit = operation.units.find(({ id }) => id === unitId);
    return unit ? [contractAcres === null ? unit.code : `${unit.code}, ${contractAcres}`] : [];
  });
  return {
    number: practice.number,
    name: practice.name,
    plannedBy: orBlank(practice.plannedBy),
    paymentUsd: orBlank(practice.paymentUsd),
    paymentBasis: practice.paymentBasis,
    units: lines.join('\n'),
    treatments: practice.treatmentKeys.join(','),
  };
}

/** Units that are out of use stay with the practice they were on. */
function practiceIn(
  values: Values,
  at: number,
  land: RecordLand,
  before: CostShareContract | null,
): ContractPractice {
  const key = (field: string) => practiceKey(at, field);
  const number = textIn(values, key('number'));
  const old = before?.practices.find((one) => one.number === number)?.units ?? [];
  const hidden = old.filter(({ unitId }) => !land.operation.units.some(({ id }) => id === unitId));
  const units = unitLines(values[key('units')] ?? '', unitsAt(land, values));
  return {
    number,
    name: textIn(values, key('name')),
    treatmentKeys: listIn(values, key('treatments')),
    units: [...units.filter((one) => typeof one !== 'string'), ...hidden],
    plannedBy: dayOrNull(values, key('plannedBy')),
    paymentUsd: numberOrNull(values, key('paymentUsd')),
    paymentBasis: textIn(values, key('paymentBasis')) === 'practice' ? 'practice' : 'acre',
  };
}

export const contracts: Descriptor<'contract'> = {
  noun: 'contract',
  path: 'contracts',
  one: 'cost-share contract',
  many: 'cost-share contracts',
  purpose: 'what a program pays a share of, on which acres, and by when',
  group: 'Rights and dates',
  rows: ({ operation }) => operation.contracts,
  idOf: (row) => row.id,
  nameOf: (row) => contractName(row),
  propertyIdOf: (row) => row.propertyId,
  columns: [
    { key: 'program', label: 'Program', text: (row) => row.program },
    { key: 'number', label: 'Number', text: (row) => row.number },
    propertyColumn(),
    {
      key: 'landowner',
      label: 'Landowner',
      text: (row, { operation }) => nameIn(operation.landowners, row.landownerId),
    },
    {
      key: 'practices',
      label: 'Practices',
      text: (row) => row.practices.map(({ number }) => number).join(', '),
    },
    { key: 'approved', label: 'Approved', text: (row) => row.approvedOn ?? 'not yet' },
    { key: 'ends', label: 'Ends', text: (row) => orBlank(row.endsOn) },
  ],
  fields: fieldsOf({}),
  fieldsOf,
  rearrange,
  blank: (land) => {
    const propertyId = onlyPropertyId(land);
    const property = land.operation.properties.find(({ id }) => String(id) === propertyId);
    return {
      propertyId,
      landownerId: orBlank(property?.landownerId ?? null),
      ...rearrange({ practices: '0' }, 'add').values,
    };
  },
  valuesOf: (row, land) => ({
    propertyId: String(row.propertyId),
    program: row.program,
    number: row.number,
    landownerId: String(row.landownerId),
    appliedOn: orBlank(row.appliedOn),
    approvedOn: orBlank(row.approvedOn),
    firstPracticeDueOn: orBlank(row.firstPracticeDueOn),
    endsOn: orBlank(row.endsOn),
    note: row.note,
    ...withPractices(
      {},
      row.practices.map((practice) => practiceValues(practice, land)),
    ),
  }),
  rowOf: (values, land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      propertyId: numberIn(values, 'propertyId'),
      landownerId: numberIn(values, 'landownerId'),
      program: textIn(values, 'program'),
      number: textIn(values, 'number'),
      appliedOn: dayOrNull(values, 'appliedOn'),
      approvedOn: dayOrNull(values, 'approvedOn'),
      firstPracticeDueOn: dayOrNull(values, 'firstPracticeDueOn'),
      endsOn: dayOrNull(values, 'endsOn'),
      practices: Array.from({ length: practiceCount(values) }, (_, index) =>
        practiceIn(values, index + 1, land, before),
      ),
      note: textIn(values, 'note'),
    },
  }),
  links: (row) => [{ path: `/contracts/${row.id}`, words: 'Summary for the office' }],
};
