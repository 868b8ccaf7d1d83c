import type { Block } from '../../core/blocks.ts';
import {
  type BurnPaper,
  burnInHand,
  type CallOutAnswer,
  type CallPaper,
  openFires,
  papersOfBurn,
  type UnusedReason,
  unusedReasons,
} from '../../core/burn-papers.ts';
import { callOutDays, callOutOf } from '../../core/call-out.ts';
import { unitsOf } from '../../core/chains.ts';
import { situationOf } from '../../core/choices.ts';
import { addDays, type IsoDate, parseIsoDate } from '../../core/dates.ts';
import { type FollowUp, followUps } from '../../core/follow-ups.ts';
import { type BurnDays, type BurnStep, burnDaysOf, burnSteps } from '../../core/papers.ts';
import { signOutRule, type Watch, watchOf } from '../../core/patrol.ts';
import type { Property } from '../../core/properties.ts';
import { readinessOf } from '../../core/readiness.ts';
import { rulesOfState, type StateRule } from '../../core/state-rules.ts';
import type { Caution } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import { noteField, toWhomField } from '../forms/burn.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type SwitchLine, switchLines } from './burn-check.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { cautionsFor } from './task-words.ts';

export interface StepLine {
  key: string;
  name: string;
  /** Where it stands, in words. */
  standing: string;
  isDone: boolean;
  isLate: boolean;
  /** More lines: note, condition, why it does not count. */
  more: string[];
  source: string;
  askWhom: string;
  /** A word of somebody that can be taken back. */
  paperId: number | null;
  /** Answered by a row of the land: no button. */
  isOnFile: boolean;
}

export interface CheckLine {
  id: number;
  when: string;
  words: string;
  isClean: boolean;
}

export interface BurnForms {
  steps?: FormState;
  call?: FormState;
  callOff?: FormState;
  callOut?: FormState;
  check?: FormState;
  watchEnd?: FormState;
  unused?: FormState;
}

export interface BurnPage {
  shell: Shell;
  id: number;
  name: string;
  units: { path: string; name: string }[];
  today: IsoDate;
  /** What stands: planned, called, lit. */
  standing: string;
  isLit: boolean;
  call: { words: string; isPast: boolean } | null;
  /** Days that may be called now. */
  callDays: { key: string; name: string }[];
  missing: string[];
  watch: { words: string; checks: CheckLine[]; missing: string[]; rule: string } | null;
  steps: StepLine[];
  /** "9 of 13 done". */
  stepCount: string;
  afterSteps: StepLine[];
  callOut: {
    day: IsoDate;
    days: { name: string; path: string; isCurrent: boolean }[];
    standing: string;
    rows: CallOutLine[];
  } | null;
  unused: { lines: string[]; reasons: { key: UnusedReason; name: string }[] };
  followUps: { name: string; when: string; isLate: boolean }[];
  /** Sentence of what went wrong; empty = nothing did. */
  situation: string;
  rules: { name: string; text: string; source: string }[];
  county: { place: string; lines: SwitchLine[] };
  cautions: Caution[];
  forms: Required<BurnForms>;
  toWhomField: typeof toWhomField;
  noteField: typeof noteField;
}

export interface CallOutLine {
  personId: number;
  name: string;
  more: string;
  answer: CallOutAnswer | null;
}

export const unusedReasonNames: Record<UnusedReason, string> = {
  people: 'Too few people',
  landowner: 'The landowner',
  smoke: 'Smoke',
  gear: 'Gear',
  ban: 'Ban or red flag',
  unsure: 'Not sure of it',
};

/** Time of day at a place, `HH:MM`, from a UTC instant. */
export function clockAt(timeZone: string, instant: string): string {
  return new Intl.DateTimeFormat('en-GB', { timeZone, hour: '2-digit', minute: '2-digit' }).format(
    new Date(instant),
  );
}

const blockName = ({ code, name }: Block) => (name === code ? code : `${code} ${name}`.trim());

/** The block of an address and its property. Throws 404 where there is none. */
export function blockAt(deps: Deps, blockId: number): { block: Block; property: Property } {
  const { blocks, properties } = deps.operation();
  const block = blocks.find((one) => one.id === blockId);
  const property = properties.find((one) => one.id === block?.propertyId);
  if (!block || !property) throw new PageError(404, 'There is no block at this address.');
  return { block, property };
}

function stampWords({ on, at, by, toWhom, note }: NonNullable<BurnStep['done']>): string {
  const when = on === null ? '' : `${words.date(on)}${at === null ? '' : `, ${at}`}, `;
  const told = toWhom === '' ? '' : `, to ${toWhom}`;
  return `${when}by ${by}${told}${note === '' ? '' : `: ${note}`}`;
}

function standingWords(step: BurnStep): string {
  const { state, done, dueWords, dueBy } = step;
  if (state === 'done' && done)
    return done.paperId === null ? `answered by ${done.by}` : `done ${stampWords(done)}`;
  if (state === 'not-needed' && done) return `not needed here, ${stampWords(done)}`;
  if (state === 'late') return dueBy === null ? 'late' : `late: last day ${words.date(dueBy)}`;
  if (state === 'due') return dueBy === null ? 'now' : `now, by ${words.date(dueBy)}`;
  return dueWords;
}

const asOfWords = (asOf: string) => (asOf === 'not dated' ? asOf : `as of ${asOf}`);

function stepLine(step: BurnStep): StepLine {
  const isDone = step.state === 'done' || step.state === 'not-needed';
  return {
    key: step.key,
    name: step.name,
    standing: standingWords(step),
    isDone,
    isLate: step.state === 'late',
    more: [
      step.onlyIf === '' ? '' : `Only if ${step.onlyIf}.`,
      step.note,
      step.problem === '' ? '' : `What was noted does not count: ${step.problem}.`,
    ].filter((part) => part !== ''),
    source: `${step.leadWords}; ${words.statusNames[step.status]}, ${asOfWords(step.asOf)}: ${step.source}`,
    askWhom: step.askWhom,
    paperId: step.done?.paperId ?? null,
    isOnFile: step.state === 'done' && step.done?.paperId === null,
  };
}

function standingOf(days: BurnDays, today: IsoDate): string {
  const { litOn, call, span, isPlanned } = days;
  if (litOn !== null) return `Lit ${words.date(litOn)} and not signed out.`;
  if (call && call.day >= today) return `Called for ${words.date(call.day)}.`;
  if (call)
    return `Called for ${words.date(call.day)}, and the work log has no fire: write what became of it.`;
  if (!span) return 'No burn of this block is in sight.';
  const when = words.span(span.startsOn, span.lastDay);
  return isPlanned
    ? `Planned for one day when fit, ${when}. Nobody called a day.`
    : `Not in the plan; its next open season is ${when} at the soonest.`;
}

function watchView(watch: Watch): NonNullable<BurnPage['watch']> {
  const after = {
    'dry-windy-afternoon': 'after a dry windy afternoon',
    'soaking-rain': 'after a soaking rain',
  };
  const days = watch.cleanDays.length;
  return {
    words: `${words.count(watch.checks.length, 'check')} since ${words.date(watch.litOn)}, clean on ${words.count(days, 'day')} in a row.${watch.isLong ? ' Snags or slash: the watch is longer.' : ''}`,
    checks: watch.checks.map((check) => ({
      id: check.id,
      when: `${words.date(check.on)}, ${check.at}`,
      words: [
        check.isClean ? 'clean' : 'smoke or heat seen',
        check.after === null ? '' : after[check.after],
        check.hasSnagsOrSlash ? 'snags or slash' : '',
        `by ${check.by}`,
        check.note,
      ]
        .filter((part) => part !== '')
        .join(', '),
      isClean: check.isClean,
    })),
    missing: watch.missing,
    rule: `Clean checks on ${signOutRule.cleanDaysLeast} different days, one after the next dry windy afternoon or a soaking rain; with snags or slash one on day ${signOutRule.longWatchDays} or later. Common practice, no source.`,
  };
}

const answerWords: Record<CallOutAnswer, string> = { yes: 'yes', no: 'no', late: 'late' };

function callOutView(
  deps: Deps,
  block: Block,
  days: BurnDays,
  today: IsoDate,
  asked: IsoDate | null,
): BurnPage['callOut'] {
  const open = callOutDays(days, today);
  const day = open.find((one) => one === asked) ?? open[0];
  if (day === undefined) return null;
  const list = callOutOf(deps.operation(), block, days.burnKey, day);
  return {
    day,
    days: open.map((one) => ({
      name: words.fromToday(today, one),
      path: `/burns/${block.id}?day=${one}#call-out`,
      isCurrent: one === day,
    })),
    standing: `${list.comingCount} of ${list.neededCount} people needed on the ground said that they come.`,
    rows: list.rows.map(({ person, roles, isNamed, isUsualDay, answer }) => ({
      personId: person.id,
      name: person.name,
      more: [
        isNamed ? words.list(roles) : `may be ${words.list(roles)}`,
        isUsualDay ? 'a usual day' : 'not a usual day',
        person.contact,
        answer === null ? 'not asked yet' : `said ${answerWords[answer]}`,
      ]
        .filter((part) => part !== '')
        .join(' · '),
      answer,
    })),
  };
}

function followUpLine({
  name,
  from,
  until,
  state,
  doneOn,
}: FollowUp): BurnPage['followUps'][number] {
  const when =
    doneOn === null
      ? `${state === 'late' || state === 'missed' ? `${state}: ` : ''}${words.span(from, until)}`
      : `done ${words.date(doneOn)}`;
  return { name, when, isLate: state === 'late' };
}

function ruleLine(rule: StateRule): BurnPage['rules'][number] {
  const where = rule.onlyWhere === '' ? '' : ` Only in ${rule.onlyWhere}.`;
  return {
    name: rule.name,
    text: `${rule.text}${where} Check with ${rule.checkWith}.`,
    source: `${asOfWords(rule.asOf)}; ${rule.source}`,
  };
}

/** Who is at the form: who is signed in, else who wrote last of this block. */
export function nameOf(deps: Deps, block: Block): string {
  const last = deps.operation().papers.findLast((paper) => paper.blockId === block.id);
  return deps.access.current()?.name ?? last?.by ?? '';
}

function formsOf(deps: Deps, block: Block, today: IsoDate, forms: BurnForms): Required<BurnForms> {
  const by = nameOf(deps, block);
  const blank = (values: Record<string, string> = {}): FormState => ({
    ...blankForm,
    values: { by, ...values },
  });
  return {
    steps: forms.steps ?? blank(),
    call: forms.call ?? blank({ day: today }),
    callOff: forms.callOff ?? blank(),
    callOut: forms.callOut ?? blank(),
    check: forms.check ?? blank({ isClean: 'yes', after: '' }),
    watchEnd: forms.watchEnd ?? blank({ signedOutOn: today }),
    unused: forms.unused ?? blank({ day: addDays(today, -1) }),
  };
}

/** One place for a burn of a block: what stands, steps, call, people, checks after the fire. Throws 404 without one. */
export function burnPage(
  deps: Deps,
  blockId: number,
  query: { day?: string | undefined } = {},
  forms: BurnForms = {},
): BurnPage {
  const { block, property } = blockAt(deps, blockId);
  const operation = deps.operation();
  const today = todayAt(deps, property);
  const plan = deps.plans.inForce()?.content ?? null;
  const days = burnDaysOf(operation, block, today, plan);
  const steps = burnSteps(operation, block, today, plan);
  const before = steps.filter((one) => !one.isAfterFire).map(stepLine);
  const watch = watchOf(operation, block);
  const { call, litOn } = days;
  const situation = situationOf(operation, block, plan, today);
  const step = burnInHand(operation, block);
  return {
    shell: shellOf(deps, 'burn-days', `${blockName(block)}: what does the burn need?`),
    id: block.id,
    name: blockName(block),
    units: unitsOf(operation, block).map(({ id, code, name }) => ({
      path: `/units/${id}`,
      name: `${code} ${name}`.trim(),
    })),
    today,
    standing: standingOf(days, today),
    isLit: litOn !== null,
    call: litOn === null && call ? callView(call, today) : null,
    callDays: [today, addDays(today, 1)].map((day, at) => ({
      key: day,
      name: `${at === 0 ? 'today' : 'tomorrow'}, ${words.dayMonth(day)}`,
    })),
    missing: readinessOf(operation, block, today)
      .filter((item) => !item.isOnFile)
      .map((item) => `${item.name}: ${item.missing}`),
    watch: watch && watchView(watch),
    steps: before,
    stepCount: `${before.filter((one) => one.isDone).length} of ${before.length} done`,
    afterSteps: litOn === null ? [] : steps.filter((one) => one.isAfterFire).map(stepLine),
    callOut: callOutView(deps, block, days, today, parseIsoDate(query.day ?? '')),
    unused: {
      lines: unusedLines(papersOfBurn(operation, block, step?.key ?? null)),
      reasons: unusedReasons.map((key) => ({ key, name: unusedReasonNames[key] })),
    },
    followUps: followUps(operation, block, today).map(followUpLine),
    situation: situation.kind === 'none' ? '' : situation.words,
    rules: rulesOfState(operation.stateRules, property.state).map(ruleLine),
    county: {
      place: `${property.county} County, ${property.state}`,
      lines: switchLines(deps, property),
    },
    cautions: cautionsFor(operation, step?.treatmentKeys ?? []),
    forms: formsOf(deps, block, today, forms),
    toWhomField,
    noteField,
  };
}

function callView(call: CallPaper, today: IsoDate): NonNullable<BurnPage['call']> {
  const fire = call.lightAt === null ? '' : `, first fire at ${call.lightAt}`;
  return {
    words: `Called for ${words.date(call.day)}${fire}, by ${call.by} on ${words.date(call.on)} at ${call.at}.`,
    isPast: call.day < today,
  };
}

function unusedLines(papers: readonly BurnPaper[]): string[] {
  return papers
    .flatMap((paper) =>
      paper.kind === 'fit-day-not-used'
        ? [
            `${words.date(paper.day)}: ${unusedReasonNames[paper.reason].toLowerCase()}, by ${paper.by}`,
          ]
        : [],
    )
    .reverse();
}

/** Entries of the fire that a sign-out closes. */
export function openEntryIds(deps: Deps, block: Block): number[] {
  return openFires(deps.operation(), block).map(({ id }) => id);
}
