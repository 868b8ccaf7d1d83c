import { type Booking, type BookingState, bookingStates } from '../../../core/bookings.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import { unitCodes, unitIdsIn, unitsField } from './unit-codes.ts';
import {
  dayIn,
  dayOrNull,
  nameIn,
  numberIn,
  numberOrNull,
  optionsOf,
  orBlank,
  textIn,
} from './values.ts';

const stateNames: Record<BookingState, string> = {
  asked: 'asked',
  priced: 'priced',
  signed: 'signed',
  'on-site': 'on site',
  accepted: 'work accepted',
  paid: 'paid',
};

const basisNames: Record<Booking['priceBasis'], string> = {
  day: 'a day',
  acre: 'an acre',
  job: 'the whole job',
};

const dollars = { kind: 'number', least: 0, most: 100_000_000 } as const;

const fields: RecordField[] = [
  {
    key: 'crewId',
    label: 'Contract crew',
    kind: 'one-of',
    isRequired: true,
    options: ({ operation }) =>
      operation.crews
        .filter(({ kind }) => kind === 'contract')
        .map(({ id, name }) => ({ key: String(id), name })),
  },
  {
    key: 'state',
    label: 'State',
    kind: 'one-of',
    isRequired: true,
    hint: 'From signed on, its days are days on site.',
    options: () => bookingStates.map((key) => ({ key, name: stateNames[key] })),
  },
  unitsField({ isOrdered: true, hint: 'Codes in the order of the job, with commas between.' }),
  { key: 'from', label: 'From', kind: 'day', isRequired: true },
  { key: 'until', label: 'Until', kind: 'day', isRequired: true, hint: 'Last day.' },
  { key: 'bookBy', label: 'Book by', kind: 'day', hint: 'Last day to book. Blank = not known.' },
  { key: 'daysLeast', label: 'Fewest days that the crew comes for', kind: 'whole', least: 0 },
  {
    key: 'priceBasis',
    label: 'Price is for',
    kind: 'one-of',
    isRequired: true,
    heading: 'Price',
    options: optionsOf(basisNames),
  },
  { key: 'priceUsd', label: 'Price, dollars', ...dollars },
  { key: 'moveInUsd', label: 'Move-in, dollars', ...dollars },
  { key: 'note', label: 'Note', kind: 'text-lines' },
];

export const bookings: Descriptor<'booking'> = {
  noun: 'booking',
  path: 'bookings',
  one: 'booking',
  many: 'bookings',
  purpose: 'jobs of contract crews, from the first call to the last bill',
  group: 'People and gear',
  rows: ({ operation }) => operation.bookings,
  idOf: (row) => row.id,
  nameOf: (row, { operation }) => `${nameIn(operation.crews, row.crewId)} from ${row.from}`,
  columns: [
    {
      key: 'crew',
      label: 'Crew',
      text: (row, { operation }) => nameIn(operation.crews, row.crewId),
    },
    { key: 'state', label: 'State', text: (row) => stateNames[row.state] },
    { key: 'from', label: 'From', text: (row) => row.from },
    { key: 'until', label: 'Until', text: (row) => row.until },
    { key: 'units', label: 'Units', text: (row, land) => unitCodes(row.unitIds, land) },
    {
      key: 'price',
      label: 'Dollars',
      text: (row) => `${row.priceUsd} for ${basisNames[row.priceBasis]}`,
      number: (row) => row.priceUsd,
    },
  ],
  fields,
  blank: ({ operation }) => {
    const [crew, second] = operation.crews.filter(({ kind }) => kind === 'contract');
    return {
      crewId: crew && !second ? String(crew.id) : '',
      state: 'asked',
      priceBasis: 'day',
      priceUsd: crew && !second ? String(crew.costPerDayUsd) : '',
    };
  },
  valuesOf: (row, land) => ({
    crewId: String(row.crewId),
    state: row.state,
    unitIds: unitCodes(row.unitIds, land),
    from: row.from,
    until: row.until,
    bookBy: orBlank(row.bookBy),
    daysLeast: String(row.daysLeast),
    priceBasis: row.priceBasis,
    priceUsd: String(row.priceUsd),
    moveInUsd: String(row.moveInUsd),
    note: row.note,
  }),
  rowOf: (values, land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      crewId: numberIn(values, 'crewId'),
      state: textIn(values, 'state') as BookingState,
      unitIds: unitIdsIn(values, 'unitIds', land),
      from: dayIn(values, 'from'),
      until: dayIn(values, 'until'),
      priceBasis: textIn(values, 'priceBasis') as Booking['priceBasis'],
      priceUsd: numberOrNull(values, 'priceUsd') ?? 0,
      moveInUsd: numberOrNull(values, 'moveInUsd') ?? 0,
      daysLeast: numberOrNull(values, 'daysLeast') ?? 0,
      bookBy: dayOrNull(values, 'bookBy'),
      note: textIn(values, 'note'),
    },
  }),
};
