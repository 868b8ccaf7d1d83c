import type { ChoiceKey } from '../../core/burn-papers.ts';
import { openFires } from '../../core/burn-papers.ts';
import { type ChoiceTrial, choicesOf, situationOf } from '../../core/choices.ts';
import type { IsoDate } from '../../core/dates.ts';
import { type BurnDays, knownDaysOf } from '../../core/papers.ts';
import type { Caution } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import * as words from '../words.ts';
import { blockAt, nameOf } from './burn.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { cautionsFor } from './task-words.ts';

export interface ChoiceSection {
  key: ChoiceTrial['key'];
  name: string;
  /** What it is, in a sentence. */
  what: string;
  /** What it does: next burn, interval, work. */
  lines: { name: string; words: string; isLate: boolean }[];
  whyNot: string;
  canTake: boolean;
}

export interface ChoicesPage {
  shell: Shell;
  id: number;
  name: string;
  situation: string;
  isWrong: boolean;
  isLit: boolean;
  sections: ChoiceSection[];
  options: { key: string; name: string }[];
  form: FormState;
  cautions: Caution[];
}

const whatWords: Record<ChoiceTrial['key'], string> = {
  'as-it-stands': 'The burn is planned as before, at the next opening of its season.',
  'late-season':
    'The burn of this cycle is planned late in the growing season instead. Grass and live fuel carry it differently, days are hot, and fuel has to have grown back; it may not carry then either.',
  wait: 'No fire of this block before the next burning season. Sprouts and cedar grow on meanwhile, and felled fuel ages.',
  're-treat':
    'What grew back is felled again; the slash has to cure before the burn, and the checks and the line come again.',
  mulch:
    'Too thick to fell by hand: it is mulched, and a growing season of ground cover grows back before the burn. Deep chips smolder.',
};

/** Days past an interval; from a year on in years, as intervals are told. */
function daysPast(days: number, interval: string): string {
  const much = days < 365 ? words.count(days, 'day') : `${words.number(days / 365.25)} years`;
  return `${much} past its ${interval} interval`;
}

function linesOf(trial: ChoiceTrial, today: IsoDate, planned: BurnDays): ChoiceSection['lines'] {
  const { work, burn, yearsSince, lateDays, overDays, isPastUseBy } = trial;
  const line = (name: string, text: string, isLate = false) => ({ name, words: text, isLate });
  const lateness =
    overDays > 0
      ? daysPast(overDays, 'longest')
      : lateDays > 0
        ? daysPast(lateDays, 'target')
        : 'inside its interval';
  const { isPlanned, span } = planned;
  const inPlan =
    isPlanned && span
      ? `one day when fit, ${words.span(span.startsOn, span.lastDay)}`
      : 'no date in the plan in force';
  return [
    ...(trial.key === 'as-it-stands' ? [line('In the plan', inPlan)] : []),
    ...(work
      ? [
          line(
            'Work before',
            `${work.name}, ${words.crewDays(work.crewDaysTenths)}${work.costUsd > 0 ? `, about ${words.money(work.costUsd)}` : ''}, from ${words.date(work.startsOn)} at the soonest`,
          ),
        ]
      : [line('Work before', 'none more than planned')]),
    burn
      ? line(
          'Next burn',
          `${burn.name}, ${words.span(burn.startsOn, burn.lastDay)} at the soonest, ${words.fromToday(today, burn.startsOn)}`,
        )
      : line('Next burn', 'no opening within six years', true),
    yearsSince === null
      ? line('Since the last fire', 'no fire on record', true)
      : line(
          'Since the last fire',
          `${words.number(yearsSince)} years then, ${lateness}`,
          overDays > 0,
        ),
    ...(isPastUseBy
      ? [line('Felled fuel', 'past its use-by then: needles are gone, less of it burns', true)]
      : []),
  ];
}

/** The choices for a burn that can not be as planned, each tried. Throws 404 for an unknown block. */
export function choicesPage(deps: Deps, blockId: number, form?: FormState): ChoicesPage {
  const { block, property } = blockAt(deps, blockId);
  const operation = deps.operation();
  const today = todayAt(deps, property);
  const plan = deps.plans.inForce()?.content ?? null;
  const situation = situationOf(operation, block, plan, today);
  const trials = choicesOf(operation, block, today);
  const name = block.name === block.code ? block.code : `${block.code} ${block.name}`.trim();
  const planned = knownDaysOf(operation, block, plan);
  const open = trials.filter((trial) => trial.key !== 'as-it-stands' && trial.whyNot === '');
  const keys = trials.flatMap((trial) =>
    trial.key === 'mulch' || trial.key === 're-treat' ? ['cedar-felling', 'cedar-mulching'] : [],
  );
  return {
    shell: shellOf(deps, 'burn-days', `${name}: what if it can not be burned as planned?`),
    id: block.id,
    name,
    situation: situation.words,
    isWrong: situation.kind !== 'none',
    isLit: openFires(operation, block).length > 0,
    sections: trials.map((trial) => ({
      key: trial.key,
      name: trial.name,
      what: whatWords[trial.key],
      lines: trial.whyNot === '' ? linesOf(trial, today, planned) : [],
      whyNot: trial.whyNot,
      canTake: open.includes(trial),
    })),
    options: open.map((trial) => ({ key: trial.key, name: trial.name })),
    form: form ?? {
      ...blankForm,
      values: { by: nameOf(deps, block), reason: situation.kind === 'none' ? '' : situation.words },
    },
    cautions: cautionsFor(operation, ['dormant-burn', ...new Set(keys)]),
  };
}

/** True when the choice can be taken for the block now. */
export function canTake(deps: Deps, blockId: number, choice: ChoiceKey): boolean {
  const { block, property } = blockAt(deps, blockId);
  const trials = choicesOf(deps.operation(), block, todayAt(deps, property));
  return trials.some((trial) => trial.key === choice && trial.whyNot === '');
}
