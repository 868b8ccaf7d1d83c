import Type, { type Static, type TObject } from 'typebox';
import { type Weights, weightNames, weightsDefault } from '../../core/costs.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { WhatIfChange } from '../../core/what-if.ts';
import type { Form } from './form.ts';

const closed = { additionalProperties: false } as const;
const name = (most: number) => Type.String({ minLength: 1, maxLength: most, pattern: '\\S' });
const date = Type.String({ format: 'date' });
const id = Type.Integer({ minimum: 1 });
const key = Type.String({ minLength: 1, maxLength: 80 });

const nameSchema = Type.Object({ name: name(60) }, closed);

/** A new what-if. */
export const whatIfForm: Form<typeof nameSchema> = {
  schema: nameSchema,
  labels: { name: 'Name' },
};

const dropSchema = Type.Object(
  { at: Type.Integer({ minimum: 0, maximum: 100 }), said: Type.String({ maxLength: 400 }) },
  closed,
);

/** Takes a change out: its place, and its words, so that another one that came there meanwhile stays. */
export const dropChangeForm: Form<typeof dropSchema> = {
  schema: dropSchema,
  labels: { at: 'Change', said: 'Change' },
};

const adoptSchema = Type.Object({ said: Type.String({ maxLength: 10_000 }) }, closed);

/** Adopts a what-if; with the words of its changes as they were shown, so that no others are written. */
export const adoptForm: Form<typeof adoptSchema> = {
  schema: adoptSchema,
  labels: { said: 'Changes' },
};

type Option = { key: string; name: string };

/** One input of a short form. */
export interface ChangeField {
  name: string;
  label: string;
  hint: string | null;
  type: 'number' | 'date' | 'text' | null;
  options: ((operation: Operation) => Option[]) | null;
}

/** The short form of one kind of change. */
export interface ChangeForm<S extends TObject = TObject> {
  title: string;
  /** What it is for, a sentence. */
  note: string;
  fields: ChangeField[];
  form: Form<S>;
  /** `today`: the day on which a new sequence starts. */
  changeOf(values: Static<S>, today: IsoDate): WhatIfChange;
}

const number = (field: string, label: string, hint: string | null = null): ChangeField => ({
  name: field,
  label,
  hint,
  type: 'number',
  options: null,
});
const day = (field: string, label: string): ChangeField => ({
  name: field,
  label,
  hint: null,
  type: 'date',
  options: null,
});
const pick = (
  field: string,
  label: string,
  options: (operation: Operation) => Option[],
  hint: string | null = null,
): ChangeField => ({ name: field, label, hint, type: null, options });

const crewsOf = (operation: Operation, isIn: (kind: string) => boolean): Option[] =>
  operation.crews
    .filter(({ kind }) => isIn(kind))
    .map((crew) => ({ key: String(crew.id), name: crew.name }));

const unitsOf = ({ units, properties }: Operation): Option[] =>
  units.map((unit) => {
    const place = properties.find(({ id }) => id === unit.propertyId)?.name ?? '';
    const own = `${unit.code} ${unit.name}`.trim();
    return {
      key: String(unit.id),
      name: properties.length > 1 ? `${own}, ${place}` : own,
    };
  });

function changeForm<S extends TObject>(
  head: { title: string; note: string },
  fields: ChangeField[],
  schema: S,
  changeOf: (values: Static<S>, today: IsoDate) => WhatIfChange,
): ChangeForm {
  const labels = Object.fromEntries(fields.map((field) => [field.name, field.label]));
  return { ...head, fields, form: { schema, labels }, changeOf } as unknown as ChangeForm;
}

const crewWeeksSchema = Type.Object(
  {
    crewId: id,
    isThere: Type.Union([Type.Literal('yes'), Type.Literal('no')]),
    from: date,
    until: date,
  },
  closed,
);

/** Weeks of home crews and of contract crews are one kind of change with a form each. */
function crewWeeks(title: string, note: string, isIn: (kind: string) => boolean): ChangeForm {
  return changeForm(
    { title, note },
    [
      pick('crewId', 'Crew', (operation) => crewsOf(operation, isIn)),
      pick('isThere', 'In this span it is', () => [
        { key: 'no', name: 'away' },
        { key: 'yes', name: 'there, on its workdays' },
      ]),
      day('from', 'First day'),
      day('until', 'Last day'),
    ],
    crewWeeksSchema,
    ({ crewId, isThere, from, until }) => ({
      kind: 'crew-weeks',
      crewId,
      isThere: isThere === 'yes',
      from: from as IsoDate,
      until: until as IsoDate,
    }),
  );
}

const peopleForms = {
  'crew-weeks': crewWeeks(
    'Crew weeks',
    'A home crew that is away for weeks, or is there on days off that it has now.',
    (kind) => kind !== 'contract',
  ),
  'contract-weeks': crewWeeks(
    'Contract weeks',
    'More weeks of a contract crew on site, or fewer.',
    (kind) => kind === 'contract',
  ),
  people: changeForm(
    {
      title: 'People of a crew, also for burns',
      note: 'More people get more done, and can hold a larger burn.',
    },
    [
      pick('crewId', 'Crew', (operation) => crewsOf(operation, () => true)),
      number('peopleCount', 'People'),
    ],
    Type.Object({ crewId: id, peopleCount: Type.Integer({ minimum: 1, maximum: 200 }) }, closed),
    (values) => ({ kind: 'crew-people', ...values }),
  ),
  gear: changeForm(
    { title: 'Gear', note: 'How many there are of something that limits the work.' },
    [pick('gearKey', 'Gear', ({ gear }) => gear), number('count', 'How many')],
    Type.Object({ gearKey: key, count: Type.Integer({ minimum: 0, maximum: 100 }) }, closed),
    (values) => ({ kind: 'gear', ...values }),
  ),
};

const weatherForms = {
  'fit-days': changeForm(
    {
      title: 'Fit days',
      note: 'A season with more days fit for a burn, or fewer. It is only supposed: it can be compared, not adopted.',
    },
    [
      number(
        'percent',
        'Percent of the fit days counted',
        '100 is as counted; 70 is a poor season.',
      ),
    ],
    Type.Object({ percent: Type.Number({ minimum: 0, maximum: 300 }) }, closed),
    (values) => ({ kind: 'fit-days', ...values }),
  ),
  'fit-level': changeForm(
    {
      title: 'Level of the fit days',
      note: 'How careful the count is. It changes nothing where fit days were entered by hand or no weather is loaded.',
    },
    [
      pick('level', 'As many fit days as were reached in', () => [
        { key: 'half', name: 'half of past years' },
        { key: '7-of-10', name: '7 of 10 past years' },
        { key: '9-of-10', name: '9 of 10 past years' },
      ]),
    ],
    Type.Object(
      {
        level: Type.Union([Type.Literal('half'), Type.Literal('7-of-10'), Type.Literal('9-of-10')]),
      },
      closed,
    ),
    (values) => ({ kind: 'fit-level', ...values }),
  ),
};

const landForms = {
  held: changeForm(
    {
      title: 'A unit without fire for some years',
      note: 'Holds the whole block of the unit from fire.',
    },
    [
      pick('unitId', 'Unit', unitsOf),
      number('untilYear', 'Until the burning season that starts in the year', 'Blank = not held.'),
      {
        name: 'reason',
        label: 'Why',
        hint: 'Kept with the block if adopted.',
        type: 'text',
        options: null,
      },
    ],
    Type.Object(
      {
        unitId: id,
        untilYear: Type.Union([Type.Integer({ minimum: 2000, maximum: 2200 }), Type.Null()]),
        reason: Type.String({ maxLength: 200 }),
      },
      closed,
    ),
    ({ unitId, untilYear, reason }) => ({ kind: 'held', unitId, untilYear, reason: reason.trim() }),
  ),
  sequence: changeForm(
    {
      title: 'Another sequence of work for a unit, or none',
      note: 'For the whole block of the unit, from today on and from its first step.',
    },
    [
      pick('unitId', 'Unit', unitsOf),
      pick('sequenceKey', 'Sequence', ({ sequences }) => [
        { key: '', name: 'none: no planned work' },
        ...sequences,
      ]),
    ],
    Type.Object({ unitId: id, sequenceKey: Type.String({ maxLength: 80 }) }, closed),
    ({ unitId, sequenceKey }, today) => ({
      kind: 'sequence',
      unitId,
      sequenceKey: sequenceKey === '' ? null : sequenceKey,
      startsOn: today,
    }),
  ),
};

const days = Type.Integer({ minimum: -120, maximum: 120 });

const ruleForms = {
  window: changeForm(
    {
      title: 'A seasonal window',
      note: 'The season of a treatment opens or closes so many days sooner or later. No-work dates stay as they are.',
    },
    [
      pick('treatmentKey', 'Treatment', ({ treatments }) => treatments),
      number('opensEarlierDays', 'Opens earlier by days', 'Below 0 = later.'),
      number('closesLaterDays', 'Closes later by days', 'Below 0 = earlier.'),
    ],
    Type.Object({ treatmentKey: key, opensEarlierDays: days, closesLaterDays: days }, closed),
    (values) => ({ kind: 'window', ...values }),
  ),
  weight: changeForm(
    { title: 'A weight', note: 'What the search is after: how many points something costs.' },
    [
      pick('weight', 'What', ({ settings }) =>
        Object.entries(weightNames).map(([own, said]) => ({
          key: own,
          name: `${said}: ${settings.weights[own as keyof Weights]} now`,
        })),
      ),
      number('points', 'Points'),
    ],
    Type.Object(
      {
        weight: Type.Union(Object.keys(weightsDefault).map((own) => Type.Literal(own))),
        points: Type.Number({ minimum: 0, maximum: 1_000_000 }),
      },
      closed,
    ),
    ({ weight, points }) => ({ kind: 'weight', weight: weight as keyof Weights, points }),
  ),
};

/** The short forms by the last part of their address, in the order of the page. */
export const changeForms: Readonly<Record<string, ChangeForm>> = {
  ...peopleForms,
  ...weatherForms,
  ...landForms,
  ...ruleForms,
};
