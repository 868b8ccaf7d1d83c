import { readLagLength } from '../../../core/lag-text.ts';
import type { Option, RecordField, Values } from './descriptor.ts';
import { keyField, sourceFields } from './figures.ts';
import { optionsOf, textIn } from './values.ts';

/** Most steps of a sequence, and waits of a step, that a form holds. */
const stepsMost = 30;
const lagsMost = 8;
const treatmentsMost = 5;

/** Name of a field of the step at a place, counted from 1. */
export const stepKey = (at: number, field: string): string => `s${at}-${field}`;
/** Name of a field of one wait of a step; both are counted from 1. */
export const lagKey = (at: number, place: number, field: string): string =>
  `s${at}-w${place}-${field}`;

export function stepCount(values: Values): number {
  const count = Number(textIn(values, 'steps'));
  return Number.isInteger(count) ? Math.min(Math.max(count, 0), stepsMost) : 0;
}

/** Places filled in without a break at the end, and one more to fill in. */
function placesOf(isFilled: (place: number) => boolean, most: number): number {
  let last = 0;
  for (let place = 1; place <= most; place++) if (isFilled(place)) last = place;
  return Math.min(last + 1, most);
}

/** Waits that a step shows: those filled in, and room for one more. */
export function lagCount(values: Values, at: number): number {
  return placesOf(
    (place) =>
      ['after', 'least', 'target', 'most'].some(
        (field) => textIn(values, lagKey(at, place, field)) !== '',
      ),
    lagsMost,
  );
}

/** Treatments that a step shows: those filled in, and room for one more mode. */
export function treatmentCount(values: Values, at: number): number {
  const isFilled = (place: number) => textIn(values, stepKey(at, `treatment${place}`)) !== '';
  return Math.max(2, placesOf(isFilled, treatmentsMost));
}

function stepOptions(values: Values, but = 0): Option[] {
  return Array.from({ length: stepCount(values) }, (_, index) => index + 1)
    .filter((at) => at !== but)
    .map((at) => ({
      key: textIn(values, stepKey(at, 'key')),
      name: textIn(values, stepKey(at, 'name')) || `Step ${at}`,
    }));
}

const cycleNames = {
  every: 'in every cycle',
  first: 'in the first cycle only',
  later: 'from the second cycle on',
};

const length = {
  kind: 'text',
  fault: (text: string) => {
    const read = readLagLength(text);
    return read.ok ? null : read.fault;
  },
} as const;

function lagFields(at: number, place: number, within: string): RecordField[] {
  const key = (field: string) => lagKey(at, place, field);
  const words = `${within}, wait ${place}`;
  const fields: RecordField[] = [
    {
      key: key('after'),
      label: 'After which step',
      kind: 'one-of',
      legend: `Wait ${place}`,
      options: (_land, values) => stepOptions(values),
    },
    {
      key: key('cycle'),
      label: 'Of which cycle',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf({ same: 'the same cycle', previous: 'the cycle before' }),
    },
    {
      key: key('kind'),
      label: 'Length',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf({ fixed: 'as written here', rotation: 'by the burn rotation' }),
    },
    {
      key: key('least'),
      label: 'Least',
      ...length,
      ...(place === 1 ? { hint: 'Such as 300 days, or 1 growing season and 300 days.' } : {}),
    },
    { key: key('target'), label: 'Wished within', ...length },
    { key: key('most'), label: 'Most', ...length },
    { key: key('hard'), label: 'Never later than the most', kind: 'yes-no' },
    {
      key: key('link'),
      label: 'Bond',
      kind: 'one-of',
      isNeverBlank: true,
      options: optionsOf({ needs: 'only if that one is done', both: 'both or neither' }),
    },
  ];
  return fields.map((field) => ({ ...field, within: words }));
}

const orderButtons = (at: number, count: number) => [
  ...(at > 1 ? [{ action: `up-${at}`, words: 'Move up' }] : []),
  ...(at < count ? [{ action: `down-${at}`, words: 'Move down' }] : []),
  ...(count > 1 ? [{ action: `remove-${at}`, words: 'Remove this step' }] : []),
  { action: `more-${at}`, words: 'Room for one more wait or treatment' },
];

function treatmentFields(values: Values, at: number): RecordField[] {
  return Array.from(
    { length: treatmentCount(values, at) },
    (_, index) =>
      ({
        key: stepKey(at, `treatment${index + 1}`),
        label: index === 0 ? 'Treatment' : `Or else ${index === 1 ? '' : index}`.trim(),
        kind: 'one-of' as const,
        isRequired: index === 0,
        options: ({ operation }) => operation.treatments.map(({ key, name }) => ({ key, name })),
      }) satisfies RecordField,
  );
}

/** What a step hangs on, for its heading: ", after Fell cedar". */
function waitWords(values: Values, at: number): string {
  const options = stepOptions(values);
  const nameOf = (key: string) => options.find((option) => option.key === key)?.name ?? [];
  const places = Array.from({ length: lagCount(values, at) }, (_, index) => index + 1).filter(
    (place) => textIn(values, lagKey(at, place, 'cycle')) !== 'previous',
  );
  const names = places.flatMap((place) => nameOf(textIn(values, lagKey(at, place, 'after'))));
  const day = [nameOf(textIn(values, stepKey(at, 'tiedTo')))].flat();
  return [
    ...(names.length > 0 ? [`, after ${[...new Set(names)].join(', ')}`] : []),
    ...(day.length > 0 ? [`, by the day of ${day.join()}`] : []),
  ].join('');
}

function stepFields(values: Values, at: number): RecordField[] {
  const key = (field: string) => stepKey(at, field);
  const name = textIn(values, key('name')) || 'new step';
  const own: RecordField[] = [
    {
      key: key('key'),
      label: 'Key',
      kind: 'hidden',
      fold: {
        key: `s${at}`,
        title: `Step ${at}: ${name}${waitWords(values, at)}`,
        buttons: orderButtons(at, stepCount(values)),
      },
    },
    { key: key('name'), label: 'Name', kind: 'text', isRequired: true, legend: '' },
    ...treatmentFields(values, at),
    {
      key: key('cycles'),
      label: 'When',
      kind: 'one-of',
      isRequired: true,
      options: optionsOf(cycleNames),
    },
    {
      key: key('share'),
      label: 'Share of the acres, percent',
      kind: 'number',
      isRequired: true,
      least: 0.1,
      most: 100,
    },
    {
      key: key('tiedTo'),
      label: 'On the day of another step',
      kind: 'one-of',
      options: (_land, now) => stepOptions(now, at),
    },
    {
      key: key('tiedDays'),
      label: 'Days from that day',
      kind: 'whole',
      least: -30,
      most: 30,
      hint: '-1 = the day before.',
    },
    { key: key('note'), label: 'Note', kind: 'text-lines' },
  ];
  const lags = Array.from({ length: lagCount(values, at) }, (_, index) =>
    lagFields(at, index + 1, name),
  );
  return [...own.map((field) => ({ ...field, within: name })), ...lags.flat()];
}

const years = { kind: 'number', least: 0.5, most: 100 } as const;

const headFields: RecordField[] = [
  keyField('my-glade'),
  { key: 'name', label: 'Name', kind: 'text', isRequired: true },
  { key: 'purpose', label: 'Purpose', kind: 'text-lines', isRequired: true },
  {
    key: 'phase',
    label: 'Phase',
    kind: 'one-of',
    isRequired: true,
    options: optionsOf({ restoration: 'restoration', maintenance: 'maintenance', none: 'none' }),
  },
  {
    key: 'partsCount',
    label: 'Parts, one a year',
    kind: 'whole',
    isRequired: true,
    least: 1,
    most: 8,
    hint: '3 = thirds: each runs the same cycle one year apart on a third of the acres.',
  },
  {
    key: 'rotationPhase',
    label: 'Interval of this sequence',
    kind: 'one-of',
    heading: 'When fire comes back',
    hint: 'None = by the natural community of each block.',
    options: optionsOf({ restoration: 'restoration', maintenance: 'maintenance' }),
  },
  { key: 'leastSeasons', label: 'Least, burning seasons', kind: 'whole', least: 1, most: 50 },
  { key: 'targetYears', label: 'Target, years', ...years },
  { key: 'mostYears', label: 'Most, years', ...years },
  {
    key: 'repeatKind',
    label: 'The next cycle comes',
    kind: 'one-of',
    isRequired: true,
    heading: 'When all of it comes again',
    options: optionsOf({
      rotation: 'by the burn rotation',
      years: 'years after a step',
      none: 'never: it is done once',
    }),
  },
  {
    key: 'repeatStep',
    label: 'Counted from the step',
    kind: 'one-of',
    isRequired: true,
    options: (_land, values) => stepOptions(values),
  },
  { key: 'repeatYears', label: 'Years between', kind: 'whole', least: 0, most: 100 },
];

/** The fields of a sequence with as many steps and waits as the form holds. */
export function sequenceFields(values: Values): RecordField[] {
  const count = stepCount(values);
  const steps = Array.from({ length: count }, (_, index) => stepFields(values, index + 1));
  return [
    ...headFields,
    {
      key: 'steps',
      label: 'Steps',
      kind: 'hidden',
      heading: 'Steps',
      fault: (text) =>
        /^[1-9]\d?$/.test(text) && Number(text) <= stepsMost
          ? null
          : `a sequence has 1 to ${stepsMost} of them.`,
    },
    ...steps.flat(),
    ...sourceFields('', 'the lags and intervals').map((field, at) =>
      at === 0
        ? { ...field, heading: 'Source', buttonsBefore: [{ action: 'add', words: 'Add a step' }] }
        : field,
    ),
  ];
}

/** The fields of one step, without its place in their names. */
function stepAt(values: Values, at: number): Values {
  const prefix = stepKey(at, '');
  return Object.fromEntries(
    Object.entries(values)
      .filter(([key]) => key.startsWith(prefix))
      .map(([key, value]) => [key.slice(prefix.length), value]),
  );
}

function withSteps(values: Values, steps: readonly Values[]): Values {
  const rest = Object.entries(values).filter(([key]) => !/^s\d+-/.test(key));
  const own = steps.flatMap((step, index) =>
    Object.entries(step).map(([field, value]) => [stepKey(index + 1, field), value]),
  );
  return { ...Object.fromEntries([...rest, ...own]), steps: String(steps.length) };
}

/** A new step has a key that none has, so that waits can name it at once. */
function newStep(steps: readonly Values[]): Values {
  const numbers = steps.map(({ key }) => Number(/^step-(\d{1,6})$/.exec(key ?? '')?.[1] ?? 0));
  const key = `step-${Math.max(steps.length, ...numbers) + 1}`;
  return { key, name: '', cycles: 'every', share: '100', tiedDays: '0' };
}

/**
 * The form after one of its buttons: `add`, `up-2`, `down-2`, `remove-2`, `more-2` with the place of a step; and the part
 * to show open. Nothing else typed is touched; an unknown button changes nothing.
 */
export function movedSteps(values: Values, action: string): { values: Values; open: string } {
  const count = stepCount(values);
  const steps = Array.from({ length: count }, (_, index) => stepAt(values, index + 1));
  const [what = '', placeText = ''] = action.split('-');
  const at = Number(placeText);
  if (what === 'add' && count < stepsMost)
    return { values: withSteps(values, [...steps, newStep(steps)]), open: `s${count + 1}` };
  const step = steps[at - 1];
  if (!step) return { values, open: '' };
  const others = steps.filter((one) => one !== step);
  const to = { up: at - 1, down: at + 1, more: at }[what];
  if (what === 'remove' && count > 1) return { values: withSteps(values, others), open: '' };
  if (to === undefined || to < 1 || to > count) return { values, open: '' };
  return { values: withSteps(values, others.toSpliced(to - 1, 0, step)), open: `s${to}` };
}

/** The waits of a step, each without its place in the names of its fields; `rest` are the other fields. */
function waitsOf(step: Values): { waits: Map<string, Values>; rest: Values } {
  const waits = new Map<string, Values>();
  const rest: Values = {};
  for (const [key, value] of Object.entries(step)) {
    const [, place, field] = /^(w\d+)-(.+)$/.exec(key) ?? [];
    if (place === undefined || field === undefined) rest[key] = value;
    else waits.set(place, { ...waits.get(place), [field]: value });
  }
  return { waits, rest };
}

/** A published step with its waits in the places that they have in the form; those the form lacks come last. */
function waitsAlongside(published: Values, step: Values): Values {
  const name = ({ after, cycle }: Values) => `${after} ${cycle}`;
  const { waits, rest } = waitsOf(published);
  const left = [...waits.values()];
  const result = { ...rest };
  const put = (place: string, wait: Values) => {
    for (const [field, value] of Object.entries(wait)) result[`${place}-${field}`] = value;
  };
  const own = waitsOf(step).waits;
  for (const [place, wait] of own) {
    const at = left.findIndex((one) => name(one) === name(wait));
    for (const same of at < 0 ? [] : left.splice(at, 1)) put(place, same);
  }
  left.forEach((wait, index) => {
    put(`w${own.size + index + 1}`, wait);
  });
  return result;
}

/**
 * The published sequence with each step and wait in the place that it has in a form, known by the key of the step and
 * by what it waits for: a step that moved is not called changed. Steps that the form lacks come last.
 */
export function stepsAlongside(published: Values, values: Values): Values {
  const stepsIn = (form: Values) =>
    Array.from({ length: stepCount(form) }, (_, index) => stepAt(form, index + 1));
  const left = stepsIn(published);
  const own = stepsIn(values).map((step) => {
    const at = left.findIndex(({ key }) => key === step['key']);
    const [same] = at < 0 ? [] : left.splice(at, 1);
    return same ? waitsAlongside(same, step) : {};
  });
  return withSteps(published, [...own, ...left]);
}
