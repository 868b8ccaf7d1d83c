import { lagLengthText, readLagLength } from '../../../core/lag-text.ts';
import type { Outcome, Problem } from '../../../core/problems.ts';
import type { Lag, LagLength, Sequence, Step } from '../../../core/sequences.ts';
import type { Descriptor, RecordLand, Values } from './descriptor.ts';
import { ownSourceValues, risingFault, sourceIn, sourceValues } from './figures.ts';
import {
  lagCount,
  lagKey,
  movedSteps,
  sequenceFields,
  stepCount,
  stepKey,
  stepsAlongside,
  treatmentCount,
} from './sequence-fields.ts';
import { isYes, numberIn, numberOrNull, orBlank, textIn, yesOrBlank } from './values.ts';

const rotationKeys = ['leastSeasons', 'targetYears', 'mostYears'] as const;

function lagValues(prefix: string, lag: Lag): Values {
  const length = (one: LagLength | null) => (one ? lagLengthText(one) : '');
  return {
    [`${prefix}after`]: lag.afterStepKey,
    [`${prefix}cycle`]: lag.cycle,
    [`${prefix}kind`]: lag.kind,
    [`${prefix}least`]: length(lag.least),
    [`${prefix}target`]: length(lag.target),
    [`${prefix}most`]: length(lag.most),
    [`${prefix}hard`]: yesOrBlank(lag.mostIsHard),
    [`${prefix}link`]: lag.link,
  };
}

function stepValues(step: Step, at: number): Values {
  const key = (field: string) => stepKey(at, field);
  const treatments = step.treatmentKeys.map((one, place) => [key(`treatment${place + 1}`), one]);
  return {
    [key('key')]: step.key,
    [key('name')]: step.name,
    ...Object.fromEntries(treatments),
    [key('cycles')]: step.cycles,
    [key('share')]: String(Number((step.shareOfAcres * 100).toFixed(6))),
    [key('tiedTo')]: orBlank(step.tiedTo),
    [key('tiedDays')]: String(step.tiedDays),
    [key('note')]: step.note,
    ...Object.assign(
      {},
      ...step.lags.map((lag, place) => lagValues(lagKey(at, place + 1, ''), lag)),
    ),
  };
}

function valuesOf(row: Sequence): Values {
  return {
    key: row.key,
    name: row.name,
    purpose: row.purpose,
    phase: row.phase,
    partsCount: String(row.partsCount),
    rotationPhase: orBlank(row.rotation?.phase ?? null),
    leastSeasons: orBlank(row.rotation?.leastSeasons ?? null),
    targetYears: orBlank(row.rotation?.targetYears ?? null),
    mostYears: orBlank(row.rotation?.mostYears ?? null),
    repeatKind: row.repeat.kind,
    repeatStep: row.repeat.stepKey,
    repeatYears: String(row.repeat.years),
    steps: String(row.steps.length),
    ...Object.assign({}, ...row.steps.map((step, at) => stepValues(step, at + 1))),
    ...sourceValues('', row),
  };
}

/** Collects what is wrong, so that all of it is said at once. */
type Say = (field: string, message: string) => void;

const lengthIn = (values: Values, key: string): LagLength | null => {
  const length = readLagLength(textIn(values, key));
  return length.ok ? length.value : null;
};

function lagIn(values: Values, at: number, place: number, stepName: string, say: Say): Lag[] {
  const key = (field: string) => lagKey(at, place, field);
  const text = (field: string) => textIn(values, key(field));
  const within = `${stepName}, wait ${place}`;
  if (text('after') === '') {
    if (['least', 'target', 'most'].some((field) => text(field) !== ''))
      say(key('after'), `${within}: pick the step that it waits for, or clear the lengths.`);
    return [];
  }
  const least = lengthIn(values, key('least'));
  const most = lengthIn(values, key('most'));
  if (!least) say(key('least'), `${within}, Least: fill this in; 0 days is the same day.`);
  if (!most && isYes(values, key('hard')))
    say(key('most'), `${within}, Most: fill this in, or clear the box below it.`);
  return [
    {
      afterStepKey: text('after'),
      cycle: (text('cycle') || 'same') as Lag['cycle'],
      kind: (text('kind') || 'fixed') as Lag['kind'],
      least: least ?? {},
      target: lengthIn(values, key('target')),
      most,
      mostIsHard: isYes(values, key('hard')),
      link: (text('link') || 'needs') as Lag['link'],
    },
  ];
}

function stepIn(values: Values, at: number, say: Say): Step {
  const key = (field: string) => stepKey(at, field);
  const name = textIn(values, key('name'));
  const places = Array.from({ length: treatmentCount(values, at) }, (_, place) => place + 1);
  const treatmentKeys = places
    .map((place) => textIn(values, key(`treatment${place}`)))
    .filter((one) => one !== '');
  if (new Set(treatmentKeys).size < treatmentKeys.length)
    say(key('treatment2'), `${name}: the same treatment stands there twice.`);
  const lags = Array.from({ length: lagCount(values, at) }, (_, place) =>
    lagIn(values, at, place + 1, name, say),
  ).flat();
  const tiedTo = textIn(values, key('tiedTo')) || null;
  if (tiedTo !== null && lags.length > 0)
    say(
      key('tiedTo'),
      `${name}: a step on the day of another one has no waits of its own; take one of both out.`,
    );
  return {
    key: textIn(values, key('key')),
    name,
    treatmentKeys,
    cycles: textIn(values, key('cycles')) as Step['cycles'],
    lags,
    tiedTo,
    tiedDays: numberOrNull(values, key('tiedDays')) ?? 0,
    shareOfAcres: Number((numberIn(values, key('share')) / 100).toFixed(8)),
    note: textIn(values, key('note')),
  };
}

function rotationIn(values: Values, say: Say): Sequence['rotation'] {
  const phase = textIn(values, 'rotationPhase');
  const missing = rotationKeys.find((key) => numberOrNull(values, key) === null);
  if (phase === '') {
    if (rotationKeys.some((key) => numberOrNull(values, key) !== null))
      say('rotationPhase', 'Interval of this sequence: pick the phase, or clear its figures.');
    return null;
  }
  if (missing) say(missing, 'Interval of this sequence: fill in all three figures.');
  const [leastSeasons, targetYears, mostYears] = rotationKeys.map((key) =>
    numberIn(values, key),
  ) as [number, number, number];
  const fault = missing ? null : risingFault(leastSeasons, targetYears, mostYears);
  if (fault) say('targetYears', `Interval of this sequence: ${fault}`);
  return { phase: phase as 'restoration' | 'maintenance', leastSeasons, targetYears, mostYears };
}

/** All but names, notes and the source itself. */
function figureKeys(values: Values, old: Values): string[] {
  const keys = [...new Set([...Object.keys(values), ...Object.keys(old)])];
  return keys.filter((key) => !/(^|-)(name|note|purpose|Status|Source)$/.test(key));
}

function rowOf(values: Values, _land: RecordLand, before: Sequence | null): Outcome<Sequence> {
  const problems: Problem[] = [];
  const say: Say = (field, message) => problems.push({ code: 'sequence', field, message });
  const steps = Array.from({ length: stepCount(values) }, (_, at) => stepIn(values, at + 1, say));
  if (steps.length === 0) say('steps', 'Steps: add at least one.');
  const rotation = rotationIn(values, say);
  const repeatKind = textIn(values, 'repeatKind') as Sequence['repeat']['kind'];
  const years = numberOrNull(values, 'repeatYears') ?? 0;
  if (repeatKind === 'years' && years < 1)
    say('repeatYears', 'Years between: write 1 or more, since it repeats by years.');
  if (problems.length > 0) return { ok: false, problems };
  const old = before && valuesOf(before);
  return {
    ok: true,
    value: {
      key: textIn(values, 'key'),
      name: textIn(values, 'name'),
      purpose: textIn(values, 'purpose'),
      phase: textIn(values, 'phase') as Sequence['phase'],
      rotation,
      partsCount: numberIn(values, 'partsCount'),
      repeat: { kind: repeatKind, stepKey: textIn(values, 'repeatStep'), years },
      steps,
      ...sourceIn('', values, old, old ? figureKeys(values, old) : []),
    },
  };
}

export const sequences: Descriptor<'sequence'> = {
  noun: 'sequence',
  path: 'sequences',
  one: 'sequence',
  many: 'sequences',
  purpose: 'a block’s ordered treatments, what each waits for, and when all of it comes again',
  group: 'Reference tables',
  rows: ({ operation }) => operation.sequences,
  idOf: (row) => row.key,
  nameOf: (row) => row.name,
  columns: [
    { key: 'name', label: 'Name', text: (row) => row.name },
    { key: 'phase', label: 'Phase', text: (row) => row.phase },
    {
      key: 'steps',
      label: 'Steps',
      text: (row) => String(row.steps.length),
      number: (row) => row.steps.length,
    },
    {
      key: 'blocks',
      label: 'Blocks',
      text: (row, { operation }) =>
        String(operation.blocks.filter(({ sequenceKey }) => sequenceKey === row.key).length),
    },
  ],
  fields: sequenceFields({}),
  fieldsOf: sequenceFields,
  rearrange: movedSteps,
  alongside: stepsAlongside,
  blank: () => ({
    ...ownSourceValues(''),
    ...{ phase: 'none', partsCount: '1', repeatKind: 'none', repeatStep: 'step-1' },
    ...movedSteps({ steps: '0' }, 'add').values,
  }),
  valuesOf,
  rowOf,
  sourceOf: ({ status, source }) => ({ status, source }),
  links: (row) => [
    { path: `/sequences#sequence-${row.key}`, words: 'What follows what' },
    { path: `/records/sequences/new?copy=${row.key}`, words: 'Copy as my own' },
  ],
};
