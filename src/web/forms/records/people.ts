import { parseIsoDate } from '../../../core/dates.ts';
import { type BurnRole, burnRoles, type Person } from '../../../core/people.ts';
import type { Descriptor, RecordField } from './descriptor.ts';
import {
  listIn,
  nameIn,
  numberOrNull,
  orBlank,
  textIn,
  weekdayOptions,
  weekdaysIn,
} from './values.ts';

export const burnRoleNames: Record<BurnRole, string> = {
  boss: 'burn boss',
  lighter: 'lighter',
  holder: 'holder of the line',
  water: 'water and engine',
  lookout: 'lookout',
  'on-call': 'on call',
};

const lastDayPattern = /^(.*),\s*([\d-]+)$/;

const linesOf = (text: string): string[] =>
  text
    .split(/\r?\n/)
    .map((line) => line.trim())
    .filter((line) => line !== '');

/** One qualification a line, its last day after a comma. */
function qualificationsIn(text: string): Person['qualifications'] {
  return linesOf(text).map((line) => {
    const match = lastDayPattern.exec(line);
    const expiresOn = parseIsoDate(match?.[2] ?? '');
    return expiresOn
      ? { name: match?.[1]?.trim() ?? '', expiresOn }
      : { name: line, expiresOn: null };
  });
}

function qualificationsFault(text: string): string | null {
  for (const [at, line] of text.split(/\r?\n/).entries()) {
    const match = lastDayPattern.exec(line.trim());
    if (!match || (parseIsoDate(match[2] ?? '') && match[1]?.trim() !== '')) continue;
    return `line ${at + 1}: write a name, then a real last day, such as chainsaw course, 2027-03-01.`;
  }
  return null;
}

const fields: RecordField[] = [
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'contact', label: 'Contact', kind: 'text' },
  {
    key: 'crewId',
    label: 'Crew',
    kind: 'one-of',
    hint: 'Blank = helps on burns only.',
    options: ({ operation }) => operation.crews.map(({ id, name }) => ({ key: String(id), name })),
  },
  {
    key: 'burnRoles',
    label: 'Roles on a burn that the person may fill',
    kind: 'many-of',
    options: () => burnRoles.map((key) => ({ key, name: burnRoleNames[key] })),
  },
  {
    key: 'qualifications',
    label: 'Qualifications',
    kind: 'text-lines',
    hint: 'One a line, with the last day it holds after a comma: chainsaw course, 2027-03-01. Without a day it does not run out.',
    fault: qualificationsFault,
  },
  {
    key: 'usualDays',
    label: 'Days on which the person can usually come',
    kind: 'many-of',
    options: weekdayOptions,
  },
  { key: 'note', label: 'Note', kind: 'text-lines' },
];

export const people: Descriptor<'person'> = {
  noun: 'person',
  path: 'people',
  one: 'person',
  many: 'people',
  purpose: 'who can come, what they may do on a burn, and until when a qualification holds',
  group: 'People and gear',
  rows: ({ operation }) => operation.people,
  idOf: (row) => row.id,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    {
      key: 'crew',
      label: 'Crew',
      text: (row, { operation }) => nameIn(operation.crews, row.crewId),
    },
    {
      key: 'roles',
      label: 'Roles on a burn',
      text: (row) => row.burnRoles.map((role) => burnRoleNames[role]).join(', '),
    },
    {
      key: 'qualifications',
      label: 'Qualifications',
      text: (row) =>
        row.qualifications
          .map(({ name, expiresOn }) => (expiresOn ? `${name} until ${expiresOn}` : name))
          .join('; '),
    },
  ],
  fields,
  blank: () => ({ usualDays: '1,2,3,4,5' }),
  valuesOf: (row) => ({
    name: row.name,
    contact: row.contact,
    crewId: orBlank(row.crewId),
    burnRoles: row.burnRoles.join(','),
    qualifications: row.qualifications
      .map(({ name, expiresOn }) => (expiresOn ? `${name}, ${expiresOn}` : name))
      .join('\n'),
    usualDays: row.usualDays.join(','),
    note: row.note,
  }),
  rowOf: (values, _land, before) => ({
    ok: true,
    value: {
      id: before?.id ?? 0,
      name: textIn(values, 'name'),
      contact: textIn(values, 'contact'),
      crewId: numberOrNull(values, 'crewId'),
      burnRoles: listIn(values, 'burnRoles') as BurnRole[],
      qualifications: qualificationsIn(values['qualifications'] ?? ''),
      usualDays: weekdaysIn(values, 'usualDays'),
      note: textIn(values, 'note'),
    },
  }),
};
