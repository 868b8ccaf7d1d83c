import { daysBetween, type IsoDate, lastDayOf } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Plan } from '../../core/plans.ts';
import { fireStatusWords } from '../../core/rotation.ts';
import { sequenceGapCounts } from '../../core/sequence-gaps.ts';
import type { PlannedTask } from '../../core/tasks.ts';
import { todayLists } from '../../core/today.ts';
import type { Caution, Family } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import type { ChipState } from '../words.ts';
import * as words from '../words.ts';
import { type ThreeDays, threeDays } from './burn-check.ts';
import { type BurnsDue, burnsDueView } from './burns-due.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf, todayAt, todayOf } from './shell.ts';
import {
  cautionsFor,
  chipOfPlanned,
  logPath,
  type PlaceWords,
  placeWords,
  sheetPath,
} from './task-words.ts';

/** One line of a list of work: chip, what, where, when, and a second line. */
export interface TaskLine {
  family: Family;
  chip: ChipState;
  name: string;
  place: PlaceWords;
  when: string;
  more: string[];
  /** Where it is written into the log. */
  logPath: string;
  /** Its printed page; blank for work without one. */
  sheetPath: string;
}

interface PlainLine {
  name: string;
  path: string;
  words: string;
  isLate: boolean;
}

export interface TodayPage {
  shell: Shell;
  today: IsoDate;
  /** Null without a plan in force. */
  plan: { madeOn: IsoDate; standing: string; staleBecause: string[] } | null;
  /** The first plan of the sample is being made. */
  isSampleUnderWay: boolean;
  openBurns: { blockId: number; name: string; path: string; litOn: IsoDate; missing: string }[];
  burns: BurnsDue;
  now: TaskLine[];
  soon: TaskLine[];
  closing: TaskLine[];
  checks: TaskLine[];
  stale: TaskLine[];
  useBys: PlainLine[];
  threeDays: ThreeDays;
  overdue: PlainLine[];
  /** Days of cost-share contracts. */
  contracts: PlainLine[];
  /** Jobs of contract crews to sign. */
  bookBy: PlainLine[];
  gaps: ReturnType<typeof sequenceGapCounts>;
  noWork: { name: string; dates: string; rule: string; source: string }[];
  cautions: Caution[];
}

/** "31 tasks planned, 5 burns among them; 2 left out." */
export function planStanding(plan: Plan): string {
  const { tasks, leftOut } = plan.content;
  const burns = tasks.filter((task) => task.family === 'burn').length;
  const late = tasks.filter((task) => task.lateDays > 0).length;
  const parts = [`${words.count(tasks.length, 'task')} planned`, words.count(burns, 'burn')];
  if (late > 0) parts.push(`${late} later than due`);
  parts.push(leftOut.length > 0 ? `${leftOut.length} left out` : 'nothing left out');
  return parts.join(', ');
}

function taskWhen(task: PlannedTask): string {
  const dates = words.span(task.startsOn, task.lastDay);
  return task.isWhenFit ? `one day when fit, ${dates}` : dates;
}

function lineOf(
  operation: Operation,
  place: (task: PlannedTask) => PlaceWords,
  task: PlannedTask,
  isUnderWay: boolean,
  more: string[],
): TaskLine {
  const crews = task.crewIds.flatMap(
    (id) => operation.crews.find((crew) => crew.id === id)?.name ?? [],
  );
  const amount = [words.acres(task.areaAcres), words.crewDays(task.crewDaysTenths)];
  return {
    family: task.family,
    chip: isUnderWay ? 'confirmed' : chipOfPlanned(task),
    name: task.name,
    place: place(task),
    when: taskWhen(task),
    more: [[...amount, words.list(crews)].filter((part) => part !== '').join(' · '), ...more],
    logPath: logPath(task),
    sheetPath: sheetPath(task.key),
  };
}

function fireLines(lists: ReturnType<typeof todayLists>): PlainLine[] {
  return lists.overdue.map(({ unit, status }) => ({
    name: `${unit.code} ${unit.name}`,
    path: `/units/${unit.id}`,
    words: fireStatusWords(status),
    isLate: status.kind === 'overdue',
  }));
}

function bookingLines(
  operation: Operation,
  lists: ReturnType<typeof todayLists>,
): TodayPage['bookBy'] {
  return lists.bookBy.map(({ booking, bookBy, isLate }) => {
    const crew = operation.crews.find(({ id }) => id === booking.crewId)?.name ?? 'A crew';
    const span = words.span(booking.from, booking.until);
    return {
      name: crew,
      path: `/records/bookings/${booking.id}`,
      words: `${span}, ${booking.state}: book by ${words.date(bookBy)}`,
      isLate,
    };
  });
}

function noWorkLines(
  operation: Operation,
  lists: ReturnType<typeof todayLists>,
): TodayPage['noWork'] {
  const treatmentName = (key: string) =>
    operation.treatments.find((one) => one.key === key)?.name ?? key;
  return lists.noWork.map(({ span, range, propertyNames }) => {
    const { families, treatmentKeys, unitTags, unitIds } = span.applies;
    const kinds = families
      ? families.map((family) => words.familyNames[family])
      : (treatmentKeys?.map(treatmentName) ?? ['all work']);
    const tags = unitTags.length > 0 ? ` on units tagged ${words.list(unitTags)}` : '';
    const codes = operation.units
      .filter((unit) => unitIds?.includes(unit.id))
      .map((unit) => unit.code);
    const on = unitIds ? ` on ${words.list(codes)}` : tags;
    const what = `${words.list(kinds).toLowerCase()}${on}`;
    const firmness = span.firmness === 'hard' ? 'Bars' : 'Ask first for';
    return {
      name: span.name,
      dates: words.span(range.startsOn, lastDayOf(range)),
      rule: `${firmness} ${what}: ${span.reason}. ${words.list(propertyNames)}.`,
      source: `${words.authorityNames[span.authority]}, as of ${span.asOf}${span.madeFrom ? '' : `; ${sourceWords(span)}`}`,
    };
  });
}

/** What the Today page shows. */
export function todayPage(deps: Deps): TodayPage {
  const operation = deps.operation();
  const plan = deps.plans.inForce();
  const lists = todayLists(operation, plan?.content ?? null, (property) => todayAt(deps, property));
  const place = placeWords(operation);
  const line = (task: PlannedTask, more: string[] = []) =>
    lineOf(operation, place, task, false, more);
  const today = todayOf(deps);
  const burns = burnsDueView(deps);
  const doable = lists.doable.map((one) => ({
    ...one,
    line: one.isUnderWay ? lineOf(operation, place, one.task, true, ['under way']) : line(one.task),
  }));
  return {
    shell: shellOf(deps, 'today', 'What can be done now?'),
    today,
    plan: plan && {
      madeOn: plan.content.madeOn,
      standing: planStanding(plan),
      staleBecause: deps.plans.staleBecause(),
    },
    burns,
    openBurns: lists.openBurns.map(({ entry, unit }) => ({
      blockId: unit.blockId,
      missing: burns.watch.get(unit.blockId) ?? '',
      name: `${unit.code} ${unit.name}`,
      path: `/units/${unit.id}`,
      litOn: entry.doneOn,
    })),
    now: doable.filter((one) => one.isNow).map((one) => one.line),
    soon: doable.filter((one) => !one.isNow).map((one) => one.line),
    closing: lists.closing.map(({ task, closesOn, isPlanned }) => ({
      family: task.family,
      chip: 'tentative',
      name: task.name,
      place: place(task),
      when: `closes ${words.date(closesOn)}, ${words.fromToday(today, closesOn)}`,
      more:
        isPlanned && 'startsOn' in task ? [`planned ${taskWhen(task)}`] : ['left out of the plan'],
      logPath: logPath(task),
      sheetPath: isPlanned ? sheetPath(task.key) : '',
    })),
    checks: lists.checks
      .filter((task) => !doable.some((one) => one.task === task))
      .map((task) => line(task)),
    stale: lists.stale.map((task) =>
      line(task, [`its dates passed ${words.count(daysBetween(task.lastDay, today), 'day')} ago`]),
    ),
    useBys: lists.useBys.map(({ block, useByOn, felledOn, burn }) => ({
      name: `${block.code} ${block.name}`,
      path: `/units/${operation.units.find((unit) => unit.blockId === block.id)?.id ?? ''}`,
      words: `felled ${words.date(felledOn)}, use by ${words.date(useByOn)}; ${
        burn ? `burn planned ${words.span(burn.startsOn, burn.lastDay)}` : 'no burn planned'
      }`,
      isLate: useByOn < today || !burn || burn.lastDay > useByOn,
    })),
    overdue: fireLines(lists),
    contracts: lists.contractDays.map(({ contract, day, words: name, isLate }) => ({
      name,
      path: `/contracts/${contract.id}`,
      words: `${words.date(day)}${isLate ? ', passed: ask the office' : ''}`,
      isLate,
    })),
    bookBy: bookingLines(operation, lists),
    isSampleUnderWay: deps.planning.isSampleUnderWay(),
    gaps: sequenceGapCounts(operation),
    threeDays: threeDays(deps),
    noWork: noWorkLines(operation, lists),
    cautions: cautionsFor(
      operation,
      [...doable.map((one) => one.task), ...lists.stale].map((task) => task.treatmentKey),
    ),
  };
}
