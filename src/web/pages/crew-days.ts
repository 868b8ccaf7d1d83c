import type { Crew } from '../../core/crews.ts';
import { type DateRange, type IsoDate, lastDayOf, rangeHolds } from '../../core/dates.ts';
import {
  allCrewsByWeek,
  type BurnCount,
  type BurnSpan,
  burnSpans,
  type CrewLoad,
  crewLoads,
  type LoadSpan,
  openTasks,
  overTenthsOf,
  tightestWeeks,
} from '../../core/load.ts';
import type { Operation } from '../../core/operation.ts';
import type { Plan } from '../../core/plans.ts';
import type { PlannedTask } from '../../core/tasks.ts';
import * as words from '../words.ts';
import { loadStrip, type MonthMark, monthMarks, type Strip, type TimeScale } from './load-strip.ts';
import { type PlaceWords, placeWords } from './task-words.ts';
import { type FilterLink, planWords } from './year.ts';

export interface MonthLine {
  name: string;
  need: string;
  onHand: string;
  /** Crew days left, or what is short. */
  free: string;
  share: string;
  isOver: boolean;
}

export interface WeekLine {
  dates: string;
  words: string;
  isOver: boolean;
  tasks: { name: string; place: PlaceWords; days: string }[];
}

export interface CrewSection {
  id: number;
  name: string;
  about: string;
  strip: Strip;
  /** "No week is over-full." or how many are. */
  overWords: string;
  overWeeks: WeekLine[];
  tightest: WeekLine[];
  months: MonthLine[];
}

export interface BurnLine {
  dates: string;
  /** "1 of 1.4" by prescription, then all together. */
  counts: { words: string; isOver: boolean }[];
  burns: { name: string; place: PlaceWords }[];
}

export interface CrewDaysModel {
  planWords: string;
  /** Null without a plan. */
  spanWords: string | null;
  filters: FilterLink[];
  width: number;
  months: MonthMark[];
  crews: CrewSection[];
  burnColumns: string[];
  burnLines: BurnLine[];
  freeSpansWords: string;
  supplyWords: string;
}

const stripWidth = 1200;
const stripHeight = 56;
const tightestCount = 5;

const days = (tenths: number) => words.number(tenths / 10);

function monthLine(load: LoadSpan): MonthLine {
  const at = load.span.startsOn;
  const over = overTenthsOf(load);
  return {
    name: `${words.monthNames[Number(at.slice(5, 7)) - 1]} ${at.slice(0, 4)}`,
    need: days(load.needTenths),
    onHand: days(load.onHandTenths),
    free: over > 0 ? `${days(over)} short` : days(load.onHandTenths - load.needTenths),
    share:
      load.onHandTenths > 0 ? `${Math.round((100 * load.needTenths) / load.onHandTenths)} %` : '',
    isOver: over > 0,
  };
}

function weekLine(load: LoadSpan, place: (task: PlannedTask) => PlaceWords): WeekLine {
  const over = overTenthsOf(load);
  const left = load.onHandTenths - load.needTenths;
  return {
    dates: words.span(load.span.startsOn, lastDayOf(load.span)),
    words: `${days(load.needTenths)} of ${words.crewDays(load.onHandTenths)}, ${
      over > 0 ? `${days(over)} short` : left === 0 ? 'nothing left' : `${days(left)} left`
    }`,
    isOver: over > 0,
    tasks: load.needs.map(({ task, tenths }) => ({
      name: task.name,
      place: place(task),
      days: words.crewDays(tenths),
    })),
  };
}

function crewWords(crew: Crew, range: DateRange): string {
  const kinds = { home: 'home crew', contract: 'contract crew', help: 'help' };
  const people = crew.peopleCount === 1 ? '1 person' : `${crew.peopleCount} people`;
  const workdays = crew.workdays.map((day) => words.weekdayNames[day - 1] ?? '').join(', ');
  const spans = (crew.onSpans ?? [])
    .filter((span) => span.endsBefore > range.startsOn && span.startsOn < range.endsBefore)
    .map((span) => words.span(span.startsOn, lastDayOf(span)));
  const onSite =
    crew.onSpans === null ? '' : `, on site ${spans.length > 0 ? words.list(spans) : 'never'}`;
  return `${kinds[crew.kind]}, ${people}, works ${workdays || 'no day'}${onSite}`;
}

function crewSection(
  load: CrewLoad,
  range: DateRange,
  scale: TimeScale,
  place: (task: PlannedTask) => PlaceWords,
): CrewSection {
  const over = load.weeks.filter((week) => overTenthsOf(week) > 0);
  return {
    id: load.crew.id,
    name: load.crew.name,
    about: crewWords(load.crew, range),
    strip: loadStrip(allCrewsByWeek([load]), scale, stripHeight),
    overWords:
      over.length === 0
        ? 'No week is over-full.'
        : `${words.count(over.length, 'week')} over-full: more is planned than the crew can give.`,
    overWeeks: over.map((week) => weekLine(week, place)),
    tightest: tightestWeeks(
      load.weeks.filter((week) => overTenthsOf(week) === 0),
      tightestCount,
    ).map((week) => weekLine(week, place)),
    months: load.months.map(monthLine),
  };
}

function countWords(count: BurnCount | undefined): BurnLine['counts'][number] {
  if (!count) return { words: '', isOver: false };
  const planned = count.burns.length;
  return {
    words: `${planned} of ${days(count.supplyTenths)}`,
    isOver: planned * 10 > count.supplyTenths,
  };
}

/** Part of the horizon that still lies ahead; the whole of it where it is over. */
export function spanAhead(plan: Plan, today: IsoDate): DateRange {
  const { horizon } = plan.content;
  return rangeHolds(horizon, today) ? { ...horizon, startsOn: today } : horizon;
}

/** Two-week spans of the plan's horizon that are not over, or all of them where the horizon is. */
export function burnSpansAhead(
  operation: Operation,
  tasks: readonly PlannedTask[],
  plan: Plan,
  today: IsoDate,
): BurnSpan[] {
  const { startsOn } = spanAhead(plan, today);
  return burnSpans(operation, tasks, plan.content.horizon).filter(
    ({ span }) => span.endsBefore > startsOn,
  );
}

function burnTable(
  operation: Operation,
  tasks: readonly PlannedTask[],
  plan: Plan,
  today: IsoDate,
  place: (task: PlannedTask) => PlaceWords,
): Pick<CrewDaysModel, 'burnColumns' | 'burnLines' | 'freeSpansWords'> {
  const spans = burnSpansAhead(operation, tasks, plan, today);
  const keys = operation.fitDays.map((table) => table.prescriptionKey);
  const nameOf = (key: string) => operation.prescriptions.find((one) => one.key === key)?.name;
  const free = spans.filter((span) => span.all.burns.length === 0 && span.all.supplyTenths >= 10);
  return {
    burnColumns: [...keys.map((key) => nameOf(key) ?? key), 'All, one fire a day'],
    burnLines: spans
      .filter((span) => span.all.burns.length > 0)
      .map((span) => ({
        dates: words.span(span.span.startsOn, lastDayOf(span.span)),
        counts: [...keys.map((key) => span.byPrescription.get(key)), span.all].map(countWords),
        burns: span.all.burns.map((task) => ({ name: task.name, place: place(task) })),
      })),
    freeSpansWords:
      free.length === 0
        ? 'No other two-week span has fit days for a whole burn.'
        : `${words.count(free.length, 'other two-week span')} ${
            free.length === 1 ? 'has' : 'have'
          } fit days for at least one burn and none planned, whatever the burn seasons say.`,
  };
}

/** Shares that turn fit days into likely burns, in words. */
export function supplyWords(operation: Operation): string {
  const { weekdayShare, usedShare } = operation.settings.supply;
  return `fit days of the two weeks × ${words.number(weekdayShare, 2)} (share of days that the burn people work) × ${words.number(usedShare, 2)} (share of fit days really used), in whole burns; what is left of one goes on to the next two weeks`;
}

/** Everything the Crew days page shows; `crewText` is the crew asked for, unknown = all. */
export function crewDaysModel(
  operation: Operation,
  plan: Plan | null,
  crewText: string | undefined,
  today: IsoDate,
): CrewDaysModel {
  const chosen = operation.crews.find((crew) => String(crew.id) === crewText) ?? null;
  const filters: FilterLink[] = [
    { name: 'All crews', path: '/crew-days', count: operation.crews.length, isCurrent: !chosen },
    ...operation.crews.map((crew) => ({
      name: crew.name,
      path: `/crew-days?crew=${crew.id}`,
      count: null,
      isCurrent: crew === chosen,
    })),
  ];
  const base = {
    planWords: planWords(plan),
    filters,
    width: stripWidth,
    supplyWords: supplyWords(operation),
  };
  if (!plan) {
    const nothing = { burnColumns: [], burnLines: [], freeSpansWords: '' };
    return { ...base, ...nothing, spanWords: null, months: [], crews: [] };
  }
  const range = spanAhead(plan, today);
  const scale: TimeScale = { ...range, left: 0, width: stripWidth };
  const place = placeWords(operation);
  const tasks = openTasks(operation, plan.content.tasks);
  return {
    ...base,
    ...burnTable(operation, tasks, plan, today, place),
    spanWords: words.span(range.startsOn, lastDayOf(range)),
    months: monthMarks(scale),
    crews: crewLoads(operation, tasks, range)
      .filter((load) => !chosen || load.crew.id === chosen.id)
      .map((load) => crewSection(load, range, scale, place)),
  };
}
