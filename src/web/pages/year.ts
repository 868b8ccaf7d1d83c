import {
  addDays,
  type DateRange,
  type IsoDate,
  lastDayOf,
  monthOf,
  yearOf,
} from '../../core/dates.ts';
import { allCrewsByWeek, crewLoads, openTasks } from '../../core/load.ts';
import type { Operation } from '../../core/operation.ts';
import type { Plan } from '../../core/plans.ts';
import { fireStatusWords } from '../../core/rotation.ts';
import type { Unit } from '../../core/units.ts';
import { type YearProperty, type YearRow, yearOfWork } from '../../core/year.ts';
import * as words from '../words.ts';
import { loadStrip, type MonthMark, monthMarks, type Strip, type TimeScale } from './load-strip.ts';
import {
  markDates,
  markState,
  noWorkReasons,
  taskPath,
  type YearChart,
  yearChart,
} from './year-chart.ts';

/** Months that the page shows. */
export const monthCounts = [12, 18, 24, 36] as const;
export type MonthCount = (typeof monthCounts)[number];

/** What the address asks for; everything it does not say in a usable way is the default. */
export interface YearQuery {
  /** First of the first month. */
  from: IsoDate;
  months: MonthCount;
  propertyId: number | null;
  communityKey: string | null;
}

/** A plain link of a filter, with how many units it shows. */
export interface FilterLink {
  name: string;
  path: string;
  count: number | null;
  isCurrent: boolean;
}

/** The same facts as the chart, for the table and the phone. */
export interface YearListRow {
  path: string;
  name: string;
  about: string;
  fire: string;
  isLate: boolean;
  /** Work ahead first in the list on a phone: the next three. */
  marks: { name: string; path: string; words: string; letter: string; isNext: boolean }[];
  also: string[];
}

export interface YearModel {
  query: YearQuery;
  spanWords: string;
  planWords: string;
  /** Sentences about the plan that a reader must know: stale, left out. */
  leftOutCount: number;
  filters: { name: string; links: FilterLink[] }[];
  earlierPath: string;
  laterPath: string;
  unitCount: number;
  chart: YearChart;
  phone: { width: number; strip: Strip; months: MonthMark[] };
  list: { name: string; rows: YearListRow[] }[];
  printLines: string[];
}

/** Sentence for the foot of every print of planned work. */
export const plansOnly =
  'Plans only: local law, the label, the signed burn plan and the qualified person in charge come first.';

function firstOfMonth(date: IsoDate): IsoDate {
  return `${date.slice(0, 8)}01` as IsoDate;
}

function addMonths(first: IsoDate, months: number): IsoDate {
  const index = yearOf(first) * 12 + (monthOf(first) - 1) + months;
  const year = Math.floor(index / 12);
  return `${String(year).padStart(4, '0')}-${String((index % 12) + 1).padStart(2, '0')}-01` as IsoDate;
}

/** Reads the address leniently: an unknown property or month shows the default, never an error. */
export function yearQuery(
  query: Record<string, string | undefined>,
  operation: Operation,
  today: IsoDate,
): YearQuery {
  const from = /^(19[5-9]\d|20\d\d|21[0-4]\d)-(0[1-9]|1[0-2])$/.test(query['from'] ?? '')
    ? (`${query['from']}-01` as IsoDate)
    : addMonths(firstOfMonth(today), -1);
  const months = monthCounts.find((count) => String(count) === query['months']) ?? 18;
  const property = operation.properties.find((one) => String(one.id) === query['property']);
  const community = operation.communities.find((one) => one.key === query['community']);
  return {
    from,
    months,
    propertyId: property?.id ?? null,
    communityKey: community?.key ?? null,
  };
}

/** Address of the page for a query. */
export function yearPath(query: YearQuery): string {
  const parts = [
    `from=${query.from.slice(0, 7)}`,
    `months=${query.months}`,
    ...(query.propertyId === null ? [] : [`property=${query.propertyId}`]),
    ...(query.communityKey === null ? [] : [`community=${encodeURIComponent(query.communityKey)}`]),
  ];
  return `/year?${parts.join('&')}`;
}

function isShown(unit: Unit, query: Pick<YearQuery, 'propertyId' | 'communityKey'>): boolean {
  return (
    (query.propertyId === null || unit.propertyId === query.propertyId) &&
    (query.communityKey === null || unit.communityKey === query.communityKey)
  );
}

function filtersOf(operation: Operation, query: YearQuery): YearModel['filters'] {
  const link = (name: string, change: Partial<YearQuery>, isCounted: boolean): FilterLink => {
    const next = { ...query, ...change };
    return {
      name,
      path: yearPath(next),
      count: isCounted ? operation.units.filter((unit) => isShown(unit, next)).length : null,
      isCurrent: yearPath(next) === yearPath(query),
    };
  };
  const months = monthCounts.map((count) => link(`${count} months`, { months: count }, false));
  const properties = operation.properties.map((one) =>
    link(one.name, { propertyId: one.id }, true),
  );
  const communities = operation.communities
    .map((one) => link(one.name, { communityKey: one.key }, true))
    .filter((one) => (one.count ?? 0) > 0 || one.isCurrent);
  const filters = [{ name: 'Show', links: months }];
  if (properties.length > 1)
    filters.push({
      name: 'Property',
      links: [link('All properties', { propertyId: null }, true), ...properties],
    });
  if (communities.length > 1)
    filters.push({
      name: 'Natural community',
      links: [link('All', { communityKey: null }, true), ...communities],
    });
  return filters;
}

/** Which plan the page shows, in words. */
export function planWords(plan: Plan | null): string {
  if (!plan) return 'no plan yet: only what was done is shown';
  if (plan.state === 'draft') return `draft ${plan.id}, not in force: every date is tentative`;
  const since = plan.adoptedAt
    ? ` since ${words.date(plan.adoptedAt.slice(0, 10) as IsoDate)}`
    : '';
  return `plan ${plan.id}, in force${since}`;
}

/** No-work dates in words, those of the same rules in one. */
function noWorkLines(row: YearRow): string[] {
  const datesOf = new Map<string, string[]>();
  for (const { span, spans } of row.noWork) {
    const reasons = noWorkReasons(spans);
    const dates = words.span(span.startsOn, lastDayOf(span));
    datesOf.set(reasons, [...(datesOf.get(reasons) ?? []), dates]);
  }
  return [...datesOf].map(([reasons, dates]) => `no-work dates ${words.list(dates)}: ${reasons}`);
}

function listRow(row: YearRow, today: IsoDate, isDraft: boolean): YearListRow {
  let ahead = 0;
  const marks = row.marks.map((mark) => {
    const isAhead = mark.lastDay >= today && mark.state !== 'done' && mark.state !== 'not-possible';
    const isNext = isAhead && ahead < 3;
    if (isNext) ahead += 1;
    const late = mark.lateDays > 0 ? `, ${words.count(mark.lateDays, 'day')} late` : '';
    const state = markState(mark, isDraft);
    const onTheDay = mark.onTheDay.length > 0 ? `; on its day: ${words.list(mark.onTheDay)}` : '';
    return {
      name: mark.name,
      path: taskPath(row.unit.id, mark.taskKey),
      words: `${markDates(mark)}${state === 'planned' ? '' : `, ${state}`}${late}${onTheDay}`,
      letter: words.familyLetters[mark.family],
      isNext,
    };
  });
  const also = [
    ...row.windows.map(
      (one) => `window ${one.name}: ${words.span(one.span.startsOn, lastDayOf(one.span))}`,
    ),
    ...row.cures.map(
      (one) =>
        `curing since ${words.date(addDays(one.span.startsOn, -1))}, use by ${words.date(one.useByOn)}`,
    ),
    ...noWorkLines(row),
  ];
  const community = row.community?.name ?? row.unit.communityKey;
  return {
    path: `/units/${row.unit.id}`,
    name: `${row.unit.code} ${row.unit.name}`,
    about: `${community}, ${words.acres(row.unit.areaAcres)}`,
    fire: fireStatusWords(row.fire),
    isLate: row.fire.kind === 'overdue',
    marks,
    also,
  };
}

function listOf(
  properties: readonly YearProperty[],
  today: IsoDate,
  isDraft: boolean,
): YearModel['list'] {
  return properties.map(({ property, rows }) => ({
    name: property.name,
    rows: rows.map((row) => listRow(row, today, isDraft)),
  }));
}

/** Everything the Year page shows; `plan` is the one in force, else the draft, else null. */
export function yearModel(
  operation: Operation,
  plan: Plan | null,
  query: YearQuery,
  today: IsoDate,
): YearModel {
  const end = addMonths(query.from, query.months);
  const span: DateRange = { startsOn: query.from, endsBefore: end };
  const tasks = plan?.content.tasks ?? [];
  const units = operation.units.filter((unit) => isShown(unit, query));
  const properties = yearOfWork(operation, tasks, units, today, span);
  const weeks = allCrewsByWeek(crewLoads(operation, openTasks(operation, tasks), span));
  const isDraft = plan?.state === 'draft';
  const unitIds = new Set(units.map((unit) => unit.id));
  const blockIds = new Set(units.map((unit) => unit.blockId));
  const phoneScale: TimeScale = { ...span, left: 0, width: query.months * 64 };
  const property = operation.properties.find((one) => one.id === query.propertyId);
  const names = property ? [property] : properties.map((one) => one.property);
  return {
    query,
    spanWords: `${words.monthNames[monthOf(query.from) - 1]} ${yearOf(query.from)} to ${lastMonth(end)}`,
    planWords: planWords(plan),
    leftOutCount: (plan?.content.leftOut ?? []).filter((task) =>
      task.unitId === null ? blockIds.has(task.blockId) : unitIds.has(task.unitId),
    ).length,
    filters: filtersOf(operation, query),
    earlierPath: yearPath({ ...query, from: addMonths(query.from, -query.months / 2) }),
    laterPath: yearPath({ ...query, from: addMonths(query.from, query.months / 2) }),
    unitCount: units.length,
    chart: yearChart(properties, weeks, span, today, isDraft),
    phone: {
      width: phoneScale.width,
      strip: loadStrip(weeks, phoneScale, 40),
      months: monthMarks(phoneScale),
    },
    list: listOf(properties, today, isDraft),
    printLines: [
      words.list(names.map((one) => one.name)),
      `Made ${words.date(today)}, ${planWords(plan)}`,
      plansOnly,
    ],
  };
}

function lastMonth(endsBefore: IsoDate): string {
  const last = addDays(endsBefore, -1);
  return `${words.monthNames[monthOf(last) - 1]} ${yearOf(last)}`;
}
