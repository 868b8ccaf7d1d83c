import Type, { type Static } from 'typebox';
import { daysBetween, type IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Problem } from '../../core/problems.ts';
import {
  checkDetail,
  type DetailFacts,
  type EntryDraft,
  type NoWorkNote,
  noDetail,
  readingLines,
  readingsOf,
} from '../../core/work-details.ts';
import { noWorkInside, type WorkEntry } from '../../core/worklog.ts';
import { authorityNames, list, span } from '../words.ts';
import type { Form } from './form.ts';

const text = (most: number) => Type.Optional(Type.String({ maxLength: most }));
const day = Type.String({ format: 'date' });
const orBlank = <T extends Parameters<typeof Type.Union>[0][number]>(type: T) =>
  Type.Optional(Type.Union([type, Type.Null()]));
const amount = (most: number) => orBlank(Type.Number({ minimum: 0, maximum: most }));

const outcome = Type.Union([
  Type.Literal('done'),
  Type.Literal('partly'),
  Type.Literal('not-possible'),
  Type.Literal('under-way'),
]);

/** What a form says of work inside no-work dates; asked only when the work is inside some. */
export const noWorkFields = {
  noWorkApprovedBy: text(120),
  noWorkReference: text(120),
  noWorkReason: text(300),
};

/** Random text of a form that a phone may send twice. */
export const sendKeyField = Type.Optional(
  Type.String({ maxLength: 64, pattern: '^[0-9A-Za-z-]*$' }),
);

const gearPrefix = 'gear-';

const entrySchema = Type.Object(
  {
    unitId: Type.Integer({ minimum: 1 }),
    wholeBlock: Type.Optional(Type.Literal('yes')),
    treatmentKey: Type.String({ minLength: 1, maxLength: 60 }),
    taskKey: text(200),
    outcome,
    doneOn: day,
    startedOn: orBlank(day),
    areaAcres: amount(100_000),
    people: orBlank(Type.Integer({ minimum: 1, maximum: 500 })),
    hoursEach: amount(10_000),
    personHours: amount(100_000),
    crewDays: amount(10_000),
    moneyUsd: amount(10_000_000),
    startedAt: text(5),
    endedAt: text(5),
    shareBlackPercent: orBlank(Type.Integer({ minimum: 0, maximum: 100 })),
    fireCause: Type.Optional(
      Type.Union([Type.Literal('planned'), Type.Literal('wild'), Type.Literal('neighbour')]),
    ),
    signedOutOn: orBlank(day),
    readings: text(20_000),
    reason: text(300),
    note: text(2000),
    ...noWorkFields,
    sendKey: sendKeyField,
  },
  {
    additionalProperties: false,
    patternProperties: { [`^${gearPrefix}.{1,60}$`]: { type: 'string', maxLength: 12 } },
  },
);

export const entryLabels = {
  unitId: 'Unit',
  wholeBlock: 'All units of the block',
  treatmentKey: 'Treatment',
  taskKey: 'Planned task',
  outcome: 'How it went',
  doneOn: 'Last day',
  startedOn: 'First day',
  areaAcres: 'Acres done',
  people: 'People',
  hoursEach: 'Hours each',
  personHours: 'Person-hours',
  crewDays: 'Crew days',
  moneyUsd: 'Money spent, $',
  startedAt: 'Began at',
  endedAt: 'Ended at',
  shareBlackPercent: 'Share black, %',
  fireCause: 'Cause of the fire',
  signedOutOn: 'Signed out on',
  readings: 'Readings',
  reason: 'Reason, or what is left',
  note: 'Note',
  noWorkApprovedBy: 'Approved by',
  noWorkReference: 'Number or date of the approval',
  noWorkReason: 'Why it was done all the same',
};

/** An entry of the work log, written or corrected. */
export const logForm: Form<typeof entrySchema> = { schema: entrySchema, labels: entryLabels };

export type EntryValues = Static<typeof entrySchema>;

const dateOf = (value: string | null | undefined) => (value ?? null) as IsoDate | null;
const timeOf = (value: string | undefined) => {
  const typed = (value ?? '').trim();
  return typed === '' ? null : typed.length === 4 ? `0${typed}` : typed;
};

function gearHoursOf(
  operation: Operation,
  values: object,
): { gearHours: DetailFacts['gearHours']; problems: Problem[] } {
  const problems: Problem[] = [];
  const gearHours = Object.entries(values).flatMap(([field, typed]) => {
    if (!field.startsWith(gearPrefix) || String(typed).trim() === '') return [];
    const gearKey = field.slice(gearPrefix.length);
    const gear = operation.gear.find((one) => one.key === gearKey);
    const hours = Number(typed);
    if (gear && hours > 0 && hours <= 10_000) return [{ gearKey, hours }];
    if (gear && hours === 0) return [];
    const message = `${gear?.name ?? 'Gear'}: write its hours as a number, such as 6.5, or leave it blank.`;
    problems.push({ code: 'gear-hours', field, message });
    return [];
  });
  return { gearHours, problems };
}

function personHoursOf(values: EntryValues): { hours: number | null; problems: Problem[] } {
  const { people = null, hoursEach = null, personHours = null } = values;
  const say = (field: string, message: string) => ({
    hours: personHours,
    problems: [{ code: `hours-${field}`, field, message }],
  });
  if (people === null && hoursEach === null) return { hours: personHours, problems: [] };
  if (people === null) return say('people', 'People: write how many worked these hours.');
  if (hoursEach === null) return say('hoursEach', 'Hours each: write how long each worked.');
  const hours = Math.round(people * hoursEach * 100) / 100;
  if (personHours !== null && personHours !== hours)
    return say(
      'personHours',
      `Person-hours: ${people} people by ${hoursEach} hours are ${hours}. Leave one of the two blank.`,
    );
  return { hours, problems: [] };
}

/** The entry that a form describes, and what can not be read in it. */
export function draftOf(
  operation: Operation,
  values: EntryValues,
): { draft: EntryDraft; problems: Problem[] } {
  const treatment = operation.treatments.find((one) => one.key === values.treatmentKey);
  const isFire = treatment?.family === 'burn' && values.outcome !== 'not-possible';
  const gear = gearHoursOf(operation, values);
  const hours = personHoursOf(values);
  const read = readingsOf(values.readings ?? '');
  const entry: EntryDraft['entry'] = {
    unitId: values.unitId,
    treatmentKey: values.treatmentKey,
    taskKey: values.taskKey || null,
    startedOn: dateOf(values.startedOn),
    doneOn: values.doneOn as IsoDate,
    precision: 'day',
    outcome: values.outcome,
    reason: (values.reason ?? '').trim(),
    areaAcres: values.areaAcres ?? null,
    crewDays: values.crewDays ?? null,
    personHours: hours.hours,
    shareBlackPercent: isFire ? (values.shareBlackPercent ?? null) : null,
    fireCause: isFire ? (values.fireCause ?? 'planned') : null,
    signedOutOn: isFire ? dateOf(values.signedOutOn) : null,
    note: values.note ?? '',
  };
  const detail: DetailFacts = {
    ...noDetail,
    moneyUsd: values.moneyUsd ?? null,
    gearHours: gear.gearHours,
    startedAt: timeOf(values.startedAt),
    endedAt: timeOf(values.endedAt),
    readings: read.readings,
  };
  return {
    draft: { entry, detail },
    problems: [...gear.problems, ...hours.problems, ...read.problems, ...checkDetail(detail)],
  };
}

/** What the fields of an entry say together, beyond what each says alone. */
export function entryProblems(
  operation: Operation,
  entry: Omit<WorkEntry, 'id'>,
  today: IsoDate,
): Problem[] {
  const problems: Problem[] = [];
  const say = (code: string, field: string, message: string) =>
    problems.push({ code, field, message });
  const { outcome, areaAcres, doneOn, startedOn, signedOutOn } = entry;
  const unit = operation.units.find((one) => one.id === entry.unitId);
  if (!unit) say('unknown-unit', 'unitId', 'Unit: choose one of the list.');
  if (!operation.treatments.some((one) => one.key === entry.treatmentKey))
    say('unknown-treatment', 'treatmentKey', 'Treatment: choose one of the list.');
  if (outcome === 'not-possible' && entry.reason.trim() === '')
    say('no-reason', 'reason', 'Reason: say in a few words why it was not possible.');
  if (outcome === 'partly' && !areaAcres)
    say(
      'no-acres',
      'areaAcres',
      'Acres done: write how many acres are done; the rest stays planned.',
    );
  if (signedOutOn !== null && signedOutOn < doneOn)
    say(
      'signed-out-early',
      'signedOutOn',
      'Signed out on: write the day of the burn or a later one.',
    );
  if (startedOn !== null && startedOn > doneOn)
    say('begins-late', 'startedOn', 'First day: write the last day or an earlier one.');
  if (startedOn !== null && daysBetween(startedOn, doneOn) > 366)
    say('begins-early', 'startedOn', 'First day: write a day within a year before the last day.');
  if (doneOn > today && outcome !== 'under-way')
    say(
      'in-future',
      'doneOn',
      'Last day: the work log holds what was done; write today or an earlier day.',
    );
  return problems;
}

interface NoWorkTyped {
  noWorkApprovedBy?: string | undefined;
  noWorkReference?: string | undefined;
  noWorkReason?: string | undefined;
}

/**
 * Work inside no-work dates is asked about: an approval, or a reason, which is kept with the entry. Facts are never refused for
 * good: with either it is saved.
 */
export function noWorkAnswer(
  operation: Operation,
  entries: readonly Omit<WorkEntry, 'id'>[],
  typed: NoWorkTyped,
): { note: NoWorkNote | null; problems: Problem[] } {
  const spans = [...new Set(entries.flatMap((entry) => noWorkInside(operation, entry)))];
  if (spans.length === 0) return { note: null, problems: [] };
  const note: NoWorkNote = {
    rules: spans.map((one) => one.name),
    approvedBy: (typed.noWorkApprovedBy ?? '').trim(),
    reference: (typed.noWorkReference ?? '').trim(),
    reason: (typed.noWorkReason ?? '').trim(),
  };
  if (note.approvedBy !== '' || note.reason !== '') return { note, problems: [] };
  const rules = spans.map((one) => {
    const firmness = one.firmness === 'hard' ? 'barred' : 'ask first';
    return `${one.name} (${authorityNames[one.authority]}, ${firmness})`;
  });
  const [first] = entries;
  const when = first ? span(first.startedOn ?? first.doneOn, first.doneOn) : '';
  const message = `${when} lies inside no-work dates: ${list(rules)}. Write who approved it, or why it was done all the same; it is kept with the entry.`;
  return { note, problems: [{ code: 'no-work', field: 'noWorkApprovedBy', message }] };
}

const textOf = (value: number | string | null | undefined) => String(value ?? '');

/** An entry as the values of its form. */
export function entryValues(entry: WorkEntry, detail: DetailFacts): Record<string, string> {
  return {
    unitId: textOf(entry.unitId),
    treatmentKey: entry.treatmentKey,
    taskKey: textOf(entry.taskKey),
    outcome: entry.outcome,
    doneOn: entry.doneOn,
    startedOn: textOf(entry.startedOn),
    areaAcres: textOf(entry.areaAcres),
    personHours: textOf(entry.personHours),
    crewDays: textOf(entry.crewDays),
    moneyUsd: textOf(detail.moneyUsd),
    startedAt: textOf(detail.startedAt),
    endedAt: textOf(detail.endedAt),
    shareBlackPercent: textOf(entry.shareBlackPercent),
    fireCause: textOf(entry.fireCause ?? 'planned'),
    signedOutOn: textOf(entry.signedOutOn),
    readings: readingLines(detail.readings),
    reason: entry.reason,
    note: entry.note,
    noWorkApprovedBy: textOf(detail.noWork?.approvedBy),
    noWorkReference: textOf(detail.noWork?.reference),
    noWorkReason: textOf(detail.noWork?.reason),
    ...Object.fromEntries(
      detail.gearHours.map(({ gearKey, hours }) => [`${gearPrefix}${gearKey}`, textOf(hours)]),
    ),
  };
}

const number = orBlank(Type.Number());
const readingSchema = Type.Object(
  {
    at: Type.String({ minLength: 4, maxLength: 5 }),
    tempF: number,
    rhPercent: number,
    windMph: number,
    gustMph: number,
    windFromDegrees: number,
    note: text(300),
  },
  { additionalProperties: false },
);

/** Weather read at a fire. */
export const readingForm: Form<typeof readingSchema> = {
  schema: readingSchema,
  labels: {
    at: 'Time',
    tempF: 'Temperature, F',
    rhPercent: 'Humidity, %',
    windMph: 'Wind, miles an hour',
    gustMph: 'Gusts, miles an hour',
    windFromDegrees: 'Wind from, degrees',
    note: 'Note',
  },
};

const signOutSchema = Type.Object(
  { signedOutOn: day, reason: text(300) },
  { additionalProperties: false },
);

/** Closes a burn: last day of watch. */
export const signOutForm: Form<typeof signOutSchema> = {
  schema: signOutSchema,
  labels: { signedOutOn: 'Signed out on', reason: 'Reason' },
};

const emptySchema = Type.Object({}, { additionalProperties: false });

/** A form that is only a button. */
export const buttonForm: Form<typeof emptySchema> = { schema: emptySchema, labels: {} };
