import { lagRule, lagWords } from '../../core/lags.ts';
import type { Operation } from '../../core/operation.ts';
import type { SeasonalWindow, WindowEnd } from '../../core/seasons.ts';
import type { Lag, Sequence, Step } from '../../core/sequences.ts';
import type { Source } from '../../core/sources.ts';
import type { Caution, Family, Treatment } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { type Shell, shellOf } from './shell.ts';
import { cautionsFor } from './task-words.ts';

export interface StepLine {
  family: Family;
  name: string;
  cycles: string;
  lags: string[];
  windows: string;
  windowSource: string;
  rate: string;
  rateSource: string;
  /** Where window and rate are changed; null for a treatment that is gone. */
  treatmentPath: string | null;
  note: string;
}

export interface SequenceBlock {
  key: string;
  name: string;
  purpose: string;
  source: string;
  repeat: string;
  blockCount: number;
  changePath: string;
  copyPath: string;
  steps: StepLine[];
}

export interface SequencesPage {
  shell: Shell;
  sequences: SequenceBlock[];
  cautions: Caution[];
}

/** "published: Title, 2019, p. 4", "our default, to edit". */
export function sourceWords({ status, source }: Source): string {
  return source === '' ? words.statusNames[status] : `${words.statusNames[status]}: ${source}`;
}

function endWords(end: WindowEnd): string {
  if ('at' in end) return words.monthDayWords(end.at);
  if ('anchor' in end) {
    const name = words.anchorWords[end.anchor].toLowerCase();
    if (end.plusDays === 0) return name;
    return end.plusDays > 0
      ? `${words.count(end.plusDays, 'day')} after ${name}`
      : `${words.count(-end.plusDays, 'day')} before ${name}`;
  }
  const [kind, parts] = 'earlierOf' in end ? ['earlier', end.earlierOf] : ['later', end.laterOf];
  return `the ${kind} of ${parts.map(endWords).join(' and ')}`;
}

/** "12 days after leaf fall to the earlier of 1 Apr and 7 days before leaf-out". */
export function windowWords(windows: readonly SeasonalWindow[]): string {
  if (windows.length === 0) return 'any day of the year';
  return windows
    .map(({ opens, closes }) => `${endWords(opens)} to ${endWords(closes)}`)
    .join('; or ');
}

function lagSentence(sequence: Sequence, lag: Lag): string {
  const before = sequence.steps.find((step) => step.key === lag.afterStepKey)?.name ?? '';
  const of = lag.cycle === 'previous' ? `${before} of the cycle before` : before;
  if (lag.kind === 'rotation' && !sequence.rotation)
    return `After ${of}: by the fire return interval of the natural community.`;
  const rule = lagRule(lag, sequence.rotation);
  const leastWords = lagWords(rule.least);
  const parts = [
    leastWords === 'the same day' ? 'the same day or later' : `at least ${leastWords}`,
  ];
  if (rule.target) parts.push(`wished within ${lagWords(rule.target)}`);
  if (rule.most)
    parts.push(`at most ${lagWords(rule.most)}${rule.mostIsHard ? '' : ' (later counts as late)'}`);
  const link = lag.link === 'both' ? ' Both or neither.' : '';
  return `After ${of}: ${parts.join(', ')}.${link}`;
}

const cycleWords: Record<Step['cycles'], string> = {
  first: 'first cycle only',
  later: 'from the second cycle on',
  every: 'every cycle',
};

function tiedWords(sequence: Sequence, step: Step): string[] {
  if (step.tiedTo === null) return [];
  const name = sequence.steps.find((one) => one.key === step.tiedTo)?.name ?? '';
  if (step.tiedDays === 0) return [`On the day of ${name}.`];
  const days = words.count(Math.abs(step.tiedDays), 'day');
  return [`${days} ${step.tiedDays > 0 ? 'after' : 'before'} ${name}.`];
}

const basisWords = {
  acre: 'acres',
  'line-foot': 'feet of line',
  point: 'points',
} as const;
const perWords = {
  'person-day': 'a person-day',
  'machine-hour': 'a machine-hour',
  'crew-day': 'a crew day',
} as const;

/** "6 acres a crew day", "1 crew day a job". */
function rateWords({ basis, per }: Treatment['rate'], amount: string): string {
  if (basis === 'fixed') return `${amount} crew ${amount === '1' ? 'day' : 'days'} a job`;
  return `${amount} ${basisWords[basis]} ${perWords[per]}`;
}

function stepLine(operation: Operation, sequence: Sequence, step: Step): StepLine {
  const [first, ...modes] = step.treatmentKeys.flatMap(
    (key) => operation.treatments.find((one) => one.key === key) ?? [],
  );
  const rate = first?.rate;
  const amount =
    rate && typeof rate.amount === 'object'
      ? Object.entries(rate.amount)
          .map(([density, value]) => `${density} ${words.number(value, 2)}`)
          .join(', ')
      : words.number(Number(rate?.amount ?? 0), 2);
  const modeNote = modes.length > 0 ? `Or: ${modes.map((one) => one.name).join(', ')}.` : '';
  return {
    family: first?.family ?? 'notice',
    name: step.name,
    cycles: cycleWords[step.cycles],
    lags: [...step.lags.map((lag) => lagSentence(sequence, lag)), ...tiedWords(sequence, step)],
    windows: first ? windowWords(first.windows) : '',
    windowSource: first ? sourceWords(first.windowSource) : '',
    rate: rate ? rateWords(rate, amount) : '',
    rateSource: rate ? sourceWords(rate) : '',
    treatmentPath: first ? `/records/treatments/${first.key}` : null,
    note: [modeNote, step.note].filter((part) => part !== '').join(' '),
  };
}

function repeatWords(sequence: Sequence): string {
  const after = sequence.steps.find((step) => step.key === sequence.repeat.stepKey)?.name ?? '';
  const { rotation } = sequence;
  switch (sequence.repeat.kind) {
    case 'none':
      return 'Once.';
    case 'years':
      return `Again ${words.count(sequence.repeat.years, 'year')} after ${after}.`;
    case 'rotation':
      return rotation
        ? `Again by the burn rotation: from ${words.count(rotation.leastSeasons, 'burning season')}, wished at ${words.count(rotation.targetYears, 'year')}, at most ${words.count(rotation.mostYears, 'year')}.`
        : 'Again by the fire return interval of the natural community.';
  }
}

/** What the Sequences page shows: each sequence, its steps and where every figure comes from. */
export function sequencesPage(deps: Deps): SequencesPage {
  const operation = deps.operation();
  return {
    shell: shellOf(deps, 'more', 'What follows what?'),
    sequences: operation.sequences.map((sequence) => ({
      key: sequence.key,
      name: sequence.name,
      purpose: sequence.purpose,
      source: sourceWords(sequence),
      repeat: repeatWords(sequence),
      blockCount: operation.blocks.filter((block) => block.sequenceKey === sequence.key).length,
      changePath: `/records/sequences/${sequence.key}`,
      copyPath: `/records/sequences/new?copy=${sequence.key}`,
      steps: sequence.steps.map((step) => stepLine(operation, sequence, step)),
    })),
    cautions: cautionsFor(
      operation,
      operation.sequences.flatMap((one) => one.steps.flatMap((step) => step.treatmentKeys)),
    ),
  };
}
