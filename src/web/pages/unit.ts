import { chainOn } from '../../core/chain-renewal.ts';
import { type ChainStep, isTaskOfStep, nextStep, sequenceOf } from '../../core/chains.ts';
import { beforeApprovalWords } from '../../core/contracts.ts';
import { runningCures } from '../../core/cures.ts';
import type { IsoDate } from '../../core/dates.ts';
import { oncePerList } from '../../core/land-index.ts';
import type { Operation } from '../../core/operation.ts';
import {
  type BurnRotation,
  type FireStatus,
  fireStatus,
  fireStatusWords,
  rotationOf,
} from '../../core/rotation.ts';
import type { PlannedTask, TaskIdentity } from '../../core/tasks.ts';
import type { Caution, Family } from '../../core/treatments.ts';
import type { Unit } from '../../core/units.ts';
import type { NoWorkNote, WorkDetail } from '../../core/work-details.ts';
import { noWorkInside, type WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import type { ChipState } from '../words.ts';
import * as words from '../words.ts';
import { type BlockNeeds, blockNeeds } from './block-needs.ts';
import { type MapShape, mapShapes } from './map-shapes.ts';
import { type TreatmentYear, treatmentYears } from './no-work.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { cautionsFor, chipOfPlanned, logPath, sheetPath } from './task-words.ts';

/** One step of the chain as it stands. */
export interface ChainLine {
  anchor: string;
  family: Family;
  name: string;
  cycle: number;
  standing: string;
  isPast: boolean;
  isNext: boolean;
  chip: ChipState;
  /** Dates, or why there are none. */
  when: string;
  because: string[];
  taskKey: string;
  /** Where it is written into the log; offered for the next step and for those with dates. */
  logPath: string;
  isLoggable: boolean;
  /** Planned tasks of the step that have dates, for a calendar file. */
  datedKeys: string[];
  /** Printed pages of its planned tasks. */
  sheetPaths: string[];
}

/** A cycle of the chain. */
export interface CycleGroup {
  cycle: number;
  /** What is in it, for when it is folded. */
  summary: string;
  isFolded: boolean;
  lines: ChainLine[];
}

/** The short line from zero to twice the most interval, in its own 100 by 18 units. */
export interface FireMark {
  from: number;
  to: number;
  now: number;
  isOver: boolean;
  title: string;
}

export interface EntryLine {
  id: number;
  when: string;
  family: Family;
  name: string;
  chip: ChipState;
  outcome: string;
  facts: string;
  /** Work inside no-work dates: the rules, and what was said of it; blank when it was outside. */
  noWork: string;
  /** Work that began before a cost-share contract was approved; blank when none did. */
  early: string;
}

interface Option {
  key: string;
  name: string;
}

export interface UnitPage {
  shell: Shell;
  unit: Unit;
  property: string;
  landowner: string;
  community: string;
  block: BlockNeeds;
  /** True when a step to come is a burn, so that what is on file matters. */
  hasBurn: boolean;
  /** Where the drying of its felled fuel shows, and the fit days of its block; null = none. */
  curePath: string | null;
  fitDaysPath: string | null;
  fireWords: string;
  isOverdue: boolean;
  fireMark: FireMark | null;
  sequence: string;
  /** Its steps and where their figures come from. */
  sequencePath: string;
  /** The year of each treatment still to do. */
  openYears: TreatmentYear[];
  cycles: CycleGroup[];
  /** Newest first; the older ones are folded. */
  history: { recent: EntryLine[]; older: EntryLine[] };
  shapes: MapShape[];
  cautions: Caution[];
  options: {
    communities: Option[];
    sequences: Option[];
    treatments: Option[];
    tasks: Option[];
  };
  edit: FormState;
  entry: FormState;
}

const chipOf: Record<ChainStep['standing'], ChipState> = {
  done: 'done',
  'partly-done': 'confirmed',
  'under-way': 'confirmed',
  'not-possible': 'cancelled',
  skipped: 'cancelled',
  'to-do': 'tentative',
};

const outcomeChips: Record<WorkEntry['outcome'], ChipState> = {
  done: 'done',
  partly: 'confirmed',
  'under-way': 'confirmed',
  'not-possible': 'cancelled',
};

/** What is shown again after a form was refused; nothing else is kept. */
export interface UnitForms {
  edit?: FormState;
  block?: FormState;
  entry?: FormState;
}

/** Anchor of a task on its unit's page; the feeds link to it. */
function anchorOf({ stepKey, cycle, part }: TaskIdentity): string {
  return `task-${[stepKey, cycle, ...(part === '-' ? [] : [part])].join('-')}`;
}

/** Where the unit stands between its fires; null without a fire or an interval. */
export function fireMark(status: FireStatus, rotation: BurnRotation | null): FireMark | null {
  if ((status.kind !== 'within' && status.kind !== 'overdue') || !rotation) return null;
  const at = (years: number) => Math.round(Math.min(1, years / (2 * rotation.mostYears)) * 96 + 2);
  return {
    from: at(rotation.leastSeasons),
    to: at(rotation.mostYears),
    now: at(status.yearsSince),
    isOver: status.kind === 'overdue',
    title: `${fireStatusWords(status)}; interval ${words.number(rotation.leastSeasons)} to ${words.number(rotation.mostYears)} years`,
  };
}

function whenOf(
  step: ChainStep,
  placed: readonly PlannedTask[],
  plan: ReturnType<Deps['plans']['inForce']>,
): string {
  if (step.doneOn && step.standing !== 'to-do') return words.date(step.doneOn);
  if (step.standing === 'skipped') return 'a later step is done';
  const [task] = placed;
  if (task?.tiedToKey) return 'with the burn day, dated once it is called';
  if (task) {
    const last = placed.reduce((day, one) => (one.lastDay > day ? one.lastDay : day), task.lastDay);
    const dates = words.span(task.startsOn, last);
    return task.isWhenFit ? `one day when fit, ${dates}` : dates;
  }
  const leftOut = leftOutOf(step, plan);
  if (leftOut) return `left out: ${leftOut.reason}`;
  const later = plan?.content.later.find((one) => isTaskOfStep(one.key, step));
  return later ? `not in this plan: ${later.reason}` : 'not planned';
}

/** Why a step is when it is, and what another place in the plan would cost others. */
function becauseOf(
  step: ChainStep,
  task: PlannedTask | undefined,
  plan: ReturnType<Deps['plans']['inForce']>,
): string[] {
  const leftOut = task ? undefined : leftOutOf(step, plan);
  const displacing = task?.late?.displacing ?? leftOut?.why?.displacing ?? null;
  return [...(task?.because ?? []), ...(displacing === null ? [] : [displacing])];
}

const leftOutOf = (step: ChainStep, plan: ReturnType<Deps['plans']['inForce']>) =>
  plan?.content.leftOut.find((one) => isTaskOfStep(one.key, step));

function chainLines(
  deps: Deps,
  operation: Operation,
  chain: readonly ChainStep[],
  unit: Unit,
): ChainLine[] {
  const plan = deps.plans.inForce();
  const tasks = plan?.content.tasks ?? [];
  const own = chain.filter((step) => step.unitId === null || step.unitId === unit.id);
  const next = nextStep(own);
  return own.map((step) => {
    const placed = tasks.filter((task) => isTaskOfStep(task.key, step));
    const [task] = placed;
    const isOpen = step.standing !== 'done' && step.standing !== 'skipped';
    const treatment = operation.treatments.find(
      (one) => one.key === (task?.treatmentKey ?? step.treatmentKeys[0]),
    );
    return {
      anchor: anchorOf(step),
      family: treatment?.family ?? 'notice',
      name: step.name,
      cycle: step.cycle,
      standing: words.standingNames[step.standing],
      isPast: step.standing === 'done' || step.standing === 'skipped',
      isNext: step === next,
      chip: task && step.standing === 'to-do' ? chipOfPlanned(task) : chipOf[step.standing],
      when: whenOf(step, placed, plan),
      because: step.standing === 'done' ? [] : becauseOf(step, task, plan),
      taskKey: step.key,
      logPath: logPath({
        key: task?.key ?? step.key,
        unitId: step.unitId,
        treatmentKey: task?.treatmentKey ?? step.treatmentKeys[0] ?? '',
      }),
      isLoggable: isOpen && (step === next || task !== undefined),
      datedKeys: placed.filter((one) => one.tiedToKey === null).map((one) => one.key),
      sheetPaths: placed.map((one) => sheetPath(one.key)),
    };
  });
}

function cycleWords(lines: readonly ChainLine[]): string {
  const past = lines.filter((line) => line.isPast);
  if (past.length === lines.length) return `${words.count(past.length, 'step')}, over`;
  const dated = lines.filter((line) => line.datedKeys.length > 0).length;
  const steps = words.count(lines.length - past.length, 'step');
  return `${steps} to come, ${dated === 0 ? 'none planned yet' : `${dated} with dates`}`;
}

/**
 * The chain by cycle. Open are the cycle of the next step (the last one when nothing is left) and that of the first
 * step with dates: mostly the same.
 */
function cyclesOf(lines: readonly ChainLine[]): CycleGroup[] {
  const next = lines.find((line) => line.isNext) ?? lines.at(-1);
  const dated = lines.find((line) => !line.isPast && line.datedKeys.length > 0);
  return [...new Set(lines.map((line) => line.cycle))].map((cycle) => {
    const own = lines.filter((line) => line.cycle === cycle);
    return {
      cycle,
      summary: cycleWords(own),
      isFolded: cycle !== next?.cycle && cycle !== dated?.cycle,
      lines: own,
    };
  });
}

/** Facts of an entry in one line: acres, crew days, share black, reason, note. */
export function entryFacts(entry: WorkEntry): string {
  return [
    entry.areaAcres === null ? '' : words.acres(entry.areaAcres),
    entry.crewDays === null ? '' : words.count(entry.crewDays, 'crew day'),
    entry.shareBlackPercent === null ? '' : `${entry.shareBlackPercent} % black`,
    entry.fireCause === null || entry.fireCause === 'planned'
      ? ''
      : entry.fireCause === 'wild'
        ? 'wildfire'
        : "a neighbour's fire",
    entry.reason,
    entry.note,
  ]
    .filter((part) => part !== '')
    .join(' · ');
}

/** Work inside no-work dates in words: as it was noted, else by the rules of today. */
function noWorkWords(
  operation: Operation,
  entry: WorkEntry,
  note: NoWorkNote | null | undefined,
): string {
  if (note) {
    const said = [
      note.approvedBy === '' ? '' : `approved by ${note.approvedBy}`,
      note.reference,
      note.reason,
    ].filter((part) => part !== '');
    return `${words.list(note.rules)}: ${said.join(', ')}`;
  }
  const names = noWorkInside(operation, entry).map(({ name }) => name);
  return names.length === 0 ? '' : `${words.list(names)}: no approval or reason on file`;
}

/** An entry as a line; `noWork`: what was noted of work inside no-work dates; `today`: to look at contracts, too. */
export function entryLine(
  operation: Operation,
  entry: WorkEntry,
  noWork: NoWorkNote | null | undefined = null,
  today: IsoDate | null = null,
): EntryLine {
  const treatment = operation.treatments.find((one) => one.key === entry.treatmentKey);
  return {
    id: entry.id,
    when: words.entryDate(entry.doneOn, entry.precision),
    family: treatment?.family ?? 'notice',
    name: treatment?.name ?? entry.treatmentKey,
    chip: outcomeChips[entry.outcome],
    outcome: words.outcomeNames[entry.outcome],
    facts: entryFacts(entry),
    noWork: noWorkWords(operation, entry, noWork),
    early: today ? beforeApprovalWords(operation, entry, today).join(' ') : '',
  };
}

const noWorkByEntry = oncePerList(
  (details: readonly WorkDetail[]) =>
    new Map(details.map(({ entryId, noWork }) => [entryId, noWork])),
);

/** Newest first. */
export function newestFirst(entries: readonly WorkEntry[]): WorkEntry[] {
  return entries.toSorted((a, b) =>
    a.doneOn === b.doneOn ? b.id - a.id : a.doneOn < b.doneOn ? 1 : -1,
  );
}

function editValues(operation: Operation, unit: Unit): FormState {
  const block = operation.blocks.find((one) => one.id === unit.blockId);
  return {
    values: {
      code: unit.code,
      name: unit.name,
      areaAcres: String(unit.areaAcres),
      communityKey: unit.communityKey,
      densityClass: unit.densityClass ?? '',
      aspect: unit.aspect ?? '',
      tags: unit.tags.join(', '),
      sequenceKey: block?.sequenceKey ?? '',
      sequenceStartsOn: block?.sequenceStartsOn ?? '',
      firstCycle: String(block?.firstCycle ?? 1),
      heldUntilYear: block?.heldUntilYear ? String(block.heldUntilYear) : '',
      heldReason: block?.heldReason ?? '',
    },
    problems: [],
  };
}

function optionsOf(operation: Operation, chain: readonly ChainLine[]): UnitPage['options'] {
  const option = ({ key, name }: Option): Option => ({ key, name });
  return {
    communities: operation.communities.map(option),
    sequences: operation.sequences.map(option),
    treatments: operation.treatments.map(option),
    tasks: chain
      .filter((line) => !line.isPast)
      .map((line) => ({ key: line.taskKey, name: `${line.name}, cycle ${line.cycle}` })),
  };
}

/** Entries shown before the older ones are folded. */
const historyShown = 8;

/** What the page of a unit shows; `forms` are shown again as typed. Throws 404 for an unknown unit. */
export function unitPage(deps: Deps, unitId: number, forms: UnitForms = {}): UnitPage {
  const operation = deps.operation();
  const unit = operation.units.find((one) => one.id === unitId);
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  const property = operation.properties.find((one) => one.id === unit?.propertyId);
  if (!unit || !block || !property) throw new PageError(404, 'There is no unit at this address.');
  const today: IsoDate = todayAt(deps, property);
  const status = fireStatus(operation, unit, today);
  const steps = chainOn(operation, block, today);
  const chain = chainLines(deps, operation, steps, unit);
  const treatmentKeys = steps
    .filter((step) => step.standing !== 'done' && step.standing !== 'skipped')
    .flatMap((step) => step.treatmentKeys);
  const hasBurn = operation.treatments.some(
    (one) => one.family === 'burn' && treatmentKeys.includes(one.key),
  );
  const cure = runningCures(operation, block, steps).find(
    ({ unitId }) => unitId === null || unitId === unit.id,
  );
  const noWorkNotes = noWorkByEntry(deps.worklog.details());
  const history = newestFirst(operation.entries.filter((one) => one.unitId === unit.id)).map(
    (entry) => entryLine(operation, entry, noWorkNotes.get(entry.id), today),
  );
  return {
    shell: shellOf(deps, 'units', `${unit.code} ${unit.name}: what does it need next?`),
    unit,
    property: property.name,
    landowner: operation.landowners.find((one) => one.id === property.landownerId)?.name ?? '',
    community: operation.communities.find((one) => one.key === unit.communityKey)?.name ?? '',
    block: blockNeeds(operation, block, unit, today, forms.block),
    hasBurn,
    curePath: cure ? `/cure#cure-${block.id}-${cure.unitId ?? 'all'}` : null,
    fitDaysPath: block.prescriptionKey === null ? null : `/burn-days/blocks/${block.id}`,
    fireWords: fireStatusWords(status),
    isOverdue: status.kind === 'overdue',
    fireMark: fireMark(status, rotationOf(operation, block)),
    sequence: sequenceOf(operation, block)?.name ?? '',
    sequencePath: `/sequences#sequence-${block.sequenceKey ?? ''}`,
    openYears: treatmentYears(deps, unit, treatmentKeys),
    cycles: cyclesOf(chain),
    history: { recent: history.slice(0, historyShown), older: history.slice(historyShown) },
    shapes: mapShapes(operation, unit),
    cautions: cautionsFor(operation, treatmentKeys),
    options: optionsOf(operation, chain),
    edit: forms.edit ?? editValues(operation, unit),
    entry: forms.entry ?? { ...blankForm, values: { doneOn: today, outcome: 'done' } },
  };
}
