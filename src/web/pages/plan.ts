import { type IsoDate, lastDayOf } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Plan, PlanContent, PlanDifference } from '../../core/plans.ts';
import type { Problem } from '../../core/problems.ts';
import { sequenceGapCounts } from '../../core/sequence-gaps.ts';
import type { LeftOutTask, PlannedTask, TaskIdentity } from '../../core/tasks.ts';
import type { Caution, Family } from '../../core/treatments.ts';
import type { Deps, PlanningRun } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import type { ChipState } from '../words.ts';
import * as words from '../words.ts';
import { type Paged, paged } from './paging.ts';
import { chanceWords, type PastYearsView, weakestOf } from './past-years.ts';
import { type Shell, shellOf } from './shell.ts';
import {
  cautionsFor,
  chipOfPlanned,
  type PlaceWords,
  placeWords,
  sheetPath,
} from './task-words.ts';

/** A plan in people's terms: burns, acres, crew days and money, never points. */
export interface PlanFigures {
  madeOn: IsoDate;
  span: string;
  burnCount: number;
  burnAcres: number;
  otherAcres: number;
  crewDays: number;
  moneyUsd: number;
  lateCount: number;
  leftOutCount: number;
  leftOutBurns: number;
}

export interface NotPlannedLine {
  family: Family;
  name: string;
  place: PlaceWords;
  reason: string;
  /** What displacing those that hold its place would cost; blank where nobody does. */
  displacing: string;
  /** "20 acres · 5 crew days"; crew days only where the plan says them. */
  amount: string;
}

/** A task that is later than due, and the first thing that would have to give way. */
export interface LateLine {
  family: Family;
  chip: ChipState;
  name: string;
  place: PlaceWords;
  when: string;
  late: string;
  reason: string;
  displacing: string;
}

export interface DifferenceLine {
  name: string;
  place: PlaceWords | null;
  words: string;
}

export interface PlannedLine {
  family: Family;
  chip: ChipState;
  name: string;
  place: PlaceWords;
  when: string;
  crewDays: string;
  late: string;
  isHeld: boolean;
  holdPath: string;
  sheetPath: string;
  /** "26 of 30 years" by the past-years test; empty for other work, or before a test. */
  chance: string;
}

export interface PlanPage {
  shell: Shell;
  inForce: PlanFigures | null;
  staleBecause: string[];
  gaps: ReturnType<typeof sequenceGapCounts>;
  run: PlanningRun | null;
  /** The first plan of the sample is being made. */
  isSampleUnderWay: boolean;
  /** Part of the time budget used, 0 to 100. */
  runPercent: number;
  draft: {
    planId: number;
    figures: PlanFigures;
    differences: { name: string; lines: DifferenceLine[]; more: number }[];
  } | null;
  leftOut: NotPlannedLine[];
  /** Latest first. */
  late: LateLine[];
  later: NotPlannedLine[];
  tasks: Paged<PlannedLine>;
  /** What past years say of the plan in force; null before a test, or without burns. */
  pastYears: { isOld: boolean; weakest: PastYearsView['weakest'] } | null;
  /** That test is running now. */
  isTestUnderWay: boolean;
  hasBurns: boolean;
  cautions: Caution[];
  draftForm: FormState;
}

/** Lines of a list that may be long, shown before "and n more". */
const linesMost = 60;

function moneyOf(operation: Operation, tasks: readonly PlannedTask[]): number {
  const hired = operation.crews.filter((crew) => crew.kind === 'contract');
  const cost = new Map(hired.map((crew) => [crew.id, crew.costPerDayUsd]));
  const shares = tasks.flatMap((task) => task.crewShares);
  return shares.reduce((sum, share) => {
    const tenths = share.days.reduce((days, day) => days + day.tenths, 0);
    return sum + (tenths / 10) * (cost.get(share.crewId) ?? 0);
  }, 0);
}

function figuresOf(operation: Operation, content: PlanContent): PlanFigures {
  const { tasks, leftOut } = content;
  const burns = tasks.filter((task) => task.family === 'burn');
  const acres = (some: readonly PlannedTask[]) =>
    some.reduce((sum, task) => sum + task.areaAcres, 0);
  return {
    madeOn: content.madeOn,
    span: words.span(content.horizon.startsOn, lastDayOf(content.horizon)),
    burnCount: burns.length,
    burnAcres: acres(burns),
    otherAcres: acres(tasks.filter((task) => ['cut', 'spray', 'plant'].includes(task.family))),
    crewDays: tasks.reduce((sum, task) => sum + task.crewDaysTenths, 0) / 10,
    moneyUsd: moneyOf(operation, tasks),
    lateCount: tasks.filter((task) => task.lateDays > 0).length,
    leftOutCount: leftOut.length,
    leftOutBurns: leftOut.filter((task) => task.family === 'burn').length,
  };
}

const differenceNames: Record<PlanDifference['kind'], string> = {
  moved: 'Moved',
  'left-out': 'Left out',
  new: 'New',
};

function differenceWords(difference: PlanDifference): string {
  switch (difference.kind) {
    case 'new':
      return words.span(difference.startsOn, difference.lastDay);
    case 'moved': {
      const { from, to } = difference;
      return `from ${words.span(from.startsOn, from.lastDay)} to ${words.span(to.startsOn, to.lastDay)}`;
    }
    case 'left-out':
      return difference.reason;
  }
}

function draftOf(
  deps: Deps,
  operation: Operation,
  draft: Plan,
  inForce: Plan | null,
): NonNullable<PlanPage['draft']> {
  const place = placeWords(operation);
  const tasks = new Map<string, TaskIdentity>();
  for (const content of [inForce?.content, draft.content])
    for (const task of [...(content?.tasks ?? []), ...(content?.leftOut ?? [])])
      tasks.set(task.key, task);
  const found = deps.plans.compare(draft, inForce);
  const kinds = ['moved', 'left-out', 'new'] as const;
  return {
    planId: draft.id,
    figures: figuresOf(operation, draft.content),
    differences: kinds.map((kind) => {
      const own = found.filter((one) => one.kind === kind);
      return {
        name: `${differenceNames[kind]}: ${own.length}`,
        more: Math.max(0, own.length - linesMost),
        lines: own.slice(0, linesMost).map((one) => {
          const task = tasks.get(one.key);
          return { name: one.name, place: task ? place(task) : null, words: differenceWords(one) };
        }),
      };
    }),
  };
}

type NotPlanned = TaskIdentity & { family: Family; name: string; reason: string } & Partial<
    Pick<LeftOutTask, 'areaAcres' | 'crewDaysTenths' | 'why'>
  >;

const sentence = (text: string) =>
  text === '' ? '' : `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;

/** Tasks that start after they are due. In a plan made before reasons were kept, what each said of itself. */
function lateLines(
  place: ReturnType<typeof placeWords>,
  tasks: readonly PlannedTask[],
): LateLine[] {
  return tasks
    .filter((task) => task.lateDays > 0 && task.tiedToKey === null)
    .toSorted((a, b) => b.lateDays - a.lateDays)
    .map((task) => ({
      family: task.family,
      chip: chipOfPlanned(task),
      name: task.name,
      place: place(task),
      when: words.span(task.startsOn, task.lastDay),
      late: `${lateWords(task.lateDays)} late`,
      reason: task.late ? sentence(task.late.words) : task.because.slice(1).join(' '),
      displacing: task.late?.displacing ?? '',
    }));
}

function amountWords({ areaAcres, crewDaysTenths }: NotPlanned): string {
  return [
    areaAcres === undefined ? '' : words.acres(areaAcres),
    crewDaysTenths === undefined ? '' : words.crewDays(crewDaysTenths),
  ]
    .filter((part) => part !== '')
    .join(' · ');
}

const daysInYear = 365.2425;

/** "40 days", from a year on with the years beside: "500 days (1.4 years)". */
function lateWords(days: number): string {
  if (days <= 0) return '';
  const said = words.count(days, 'day');
  return days < daysInYear
    ? said
    : `${said} (${words.count(Number((days / daysInYear).toFixed(1)), 'year')})`;
}

/** Steps of one first day in the order of their days about the burn: the line before it, the patrol after. */
function tiedDaysOf(operation: Operation): (task: PlannedTask) => number {
  const days = new Map(
    operation.sequences.flatMap(({ key, steps }) =>
      steps.map(
        (step) => [`${key}/${step.key}`, step.tiedTo === null ? 0 : step.tiedDays] as const,
      ),
    ),
  );
  return (task) =>
    task.tiedToKey === null ? 0 : (days.get(`${task.sequenceKey}/${task.stepKey}`) ?? 0);
}

function plannedLine(
  place: PlaceWords,
  task: PlannedTask,
  isHeld: boolean,
  chance: string,
): PlannedLine {
  const dates = words.span(task.startsOn, task.lastDay);
  return {
    family: task.family,
    chip: chipOfPlanned(task),
    name: task.name,
    place,
    when: task.tiedToKey
      ? 'with the burn day, dated once it is called'
      : task.isWhenFit
        ? `one day when fit, ${dates}`
        : dates,
    crewDays: words.number(task.crewDaysTenths / 10),
    late: lateWords(task.lateDays),
    isHeld,
    chance,
    sheetPath: sheetPath(task.key),
    holdPath: task.tiedToKey ? '' : `/plan/hold?task=${encodeURIComponent(task.key)}`,
  };
}

/** What the Plan page shows; `problems` are those of a button that was refused. */
export function planPage(
  deps: Deps,
  asked: string | undefined,
  draftForm: FormState = { ...blankForm, values: { seconds: '5', seed: '1' } },
): PlanPage {
  const operation = deps.operation();
  const place = placeWords(operation);
  const inForce = deps.plans.inForce();
  const draft = deps.plans.draft();
  const run = deps.planning.run();
  const tiedDays = tiedDaysOf(operation);
  const tasks = (inForce?.content.tasks ?? []).toSorted((a, b) =>
    a.startsOn === b.startsOn ? tiedDays(a) - tiedDays(b) : a.startsOn < b.startsOn ? -1 : 1,
  );
  const list = paged(tasks, asked);
  // Also dates held since the plan was made: the button must show what it did.
  const held = new Set(operation.heldDates.map((one) => one.taskKey));
  const kept = inForce && deps.burns.pastYears.kept(inForce.id);
  const test = deps.burns.pastYears.run();
  const chances = new Map(kept?.result.burns.map((burn) => [burn.key, chanceWords(burn.chance)]));
  const notPlanned = (task: NotPlanned): NotPlannedLine => ({
    family: task.family,
    name: task.name,
    place: place(task),
    reason: sentence(task.reason),
    displacing: task.why?.displacing ?? '',
    amount: amountWords(task),
  });
  return {
    shell: shellOf(deps, 'plan', 'Does the work fit the seasons?'),
    inForce: inForce && figuresOf(operation, inForce.content),
    staleBecause: deps.plans.staleBecause(),
    gaps: sequenceGapCounts(operation),
    run,
    isSampleUnderWay: deps.planning.isSampleUnderWay(),
    runPercent: run ? Math.min(100, Math.round((run.seconds / run.secondsBudget) * 100)) : 0,
    draft: draft && draftOf(deps, operation, draft, inForce),
    leftOut: (inForce?.content.leftOut ?? []).map(notPlanned),
    late: lateLines(place, tasks),
    later: (inForce?.content.later ?? []).filter((one) => !one.isWaiting).map(notPlanned),
    tasks: {
      ...list,
      rows: list.rows.map((task) =>
        plannedLine(place(task), task, held.has(task.key), chances.get(task.key) ?? ''),
      ),
    },
    pastYears: kept
      ? { isOld: kept.isOld, weakest: weakestOf(operation, inForce, kept.result) }
      : null,
    isTestUnderWay: test?.state === 'running' && test.planId === inForce?.id,
    hasBurns: tasks.some((task) => task.isWhenFit),
    cautions: cautionsFor(
      operation,
      tasks.map((task) => task.treatmentKey),
    ),
    draftForm,
  };
}

export interface HoldPage {
  shell: Shell;
  taskKey: string;
  name: string;
  place: PlaceWords;
  when: string;
  form: FormState;
}

/** The page that holds a task's dates. Throws 404 when the task is not in the plan in force. */
export function holdPage(deps: Deps, taskKey: string, refused?: FormState): HoldPage {
  const operation = deps.operation();
  const task = deps.plans.inForce()?.content.tasks.find((one) => one.key === taskKey);
  if (!task) throw new PageError(404, 'This task is not in the plan in force.');
  const held = operation.heldDates.find((one) => one.taskKey === taskKey);
  return {
    shell: shellOf(deps, 'plan', 'Which day should it start?'),
    taskKey,
    name: task.name,
    place: placeWords(operation)(task),
    when: words.span(task.startsOn, task.lastDay),
    form: refused ?? { values: { startsOn: held?.startsOn ?? task.startsOn }, problems: [] },
  };
}

/** The form of the page with the problems of a refused button. */
export function refusedForm(form: FormState, problems: Problem[]): FormState {
  return { values: { seconds: '5', seed: '1', ...form.values }, problems };
}
