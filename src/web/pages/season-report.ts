import { type IsoDate, monthOf } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Property } from '../../core/properties.ts';
import {
  type SeasonReport,
  seasonReport,
  seasonSpan,
  type TreatmentTotals,
} from '../../core/season-report.ts';
import { type PlannedFate, type PlannedTaskFate, slipsOf } from '../../core/season-slips.ts';
import { burningSeasonName, burningSeasonOf } from '../../core/seasons.ts';
import { placeOfTask } from '../../core/tasks.ts';
import type { Deps } from '../deps.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayAt, todayOf } from './shell.ts';
import { fireKindNames } from './units.ts';

export const fateNames: Record<PlannedFate, string> = {
  done: 'done',
  late: 'done late',
  partly: 'done in part',
  'not-possible': 'not possible',
  'passed-over': 'passed over',
  moved: 'moved to a later season',
  'left-out': 'left out of the plan',
  'not-done': 'its days passed without an entry',
  'to-come': 'still to come',
};

export interface SeasonQuery {
  season: number;
  /** Blank = all. */
  property: string;
}

export interface SlipLine {
  name: string;
  place: string;
  planned: string;
  became: string;
  reason: string;
}

export interface SeasonReportPage {
  shell: Shell;
  title: string;
  properties: string;
  madeOn: string;
  seasonWords: string;
  seasons: { name: string; path: string; isCurrent: boolean }[];
  filters: { name: string; path: string; isCurrent: boolean }[];
  csvPath: string;
  isEmpty: boolean;
  monthNames: string[];
  treatments: {
    letter: string;
    name: string;
    /** Acres done, and in brackets planned where that differs. */
    months: string[];
    hasAcres: boolean;
    withoutMonth: string;
    times: string;
    doneAcres: string;
    planned: string;
    done: string;
    personHours: string;
    crewDays: string;
    money: string;
    note: string;
  }[];
  hasYearOnly: boolean;
  totals: {
    months: string[];
    plannedMonths: string[];
    withoutMonth: string;
    doneAcres: string;
    planned: string;
    personHours: string;
    crewDays: string;
    money: string;
  };
  gear: { name: string; hours: string }[];
  fire: { name: string; start: string; end: string }[];
  burned: { burned: string; planned: string; target: string; least: string };
  slips: SlipLine[];
  /** False: no plan was in force, so nothing can have slipped. */
  hadPlan: boolean;
  toCome: number;
  next: { letter: string; name: string; tasks: string; acres: string; crewDays: string }[];
  nextName: string;
}

/** The property asked for, or all. Throws 404 for one that is not there. */
function scopeOf(operation: Operation, property: string): Property[] {
  if (property === '') return operation.properties;
  const found = operation.properties.filter(({ id }) => String(id) === property);
  if (found.length === 0) throw new PageError(404, 'There is no property at this address.');
  return found;
}

/** The query as typed; without a season the present one. Throws 404 for a season that is no year. */
export function seasonQuery(deps: Deps, raw: Record<string, string | undefined>): SeasonQuery {
  const property = (raw['property'] ?? '').slice(0, 12);
  const typed = raw['season'] ?? '';
  if (typed !== '' && !/^(19|20)\d\d$/.test(typed))
    throw new PageError(404, 'There is no such season. Write the year in which it starts.');
  const [first] = deps.operation().properties;
  const present = first
    ? burningSeasonOf(todayAt(deps, first), first.burningSeasonStart)
    : Number(todayOf(deps).slice(0, 4));
  return { season: typed === '' ? present : Number(typed), property };
}

/** The report of a query, with the properties it is about. */
export function reportOf(
  deps: Deps,
  { season, property }: SeasonQuery,
): { report: SeasonReport; properties: Property[]; operation: Operation } {
  const operation = deps.operation();
  const properties = scopeOf(operation, property);
  const today = todayAt(deps, properties[0]);
  const plans = deps.plans.everInForce();
  const details = deps.worklog.details();
  const report = seasonReport(operation, properties, season, plans, details, today);
  return { report, properties, operation };
}

const pathOf = (season: number, property: string, page = '/reports/season') =>
  `${page}?${new URLSearchParams({ season: String(season), ...(property === '' ? {} : { property }) })}`;

const blankOrNumber = (value: number) => (value === 0 ? '' : words.number(value));
const blankOrMoney = (value: number) => (value === 0 ? '' : words.money(value));

/** "12", "12 (20)" with 20 planned, "(20)" where nothing was done. */
function monthWords(done: number, planned: number): string {
  const brackets = planned === 0 || planned === done ? '' : `(${words.number(planned)})`;
  return [blankOrNumber(done), brackets].filter((part) => part !== '').join(' ');
}

function treatmentLine(row: TreatmentTotals): SeasonReportPage['treatments'][number] {
  return {
    letter: words.familyLetters[row.family],
    name: row.name,
    months: row.acresByMonth.map((done, at) => monthWords(done, row.plannedByMonth[at] ?? 0)),
    hasAcres: row.doneAcres + row.plannedAcres > 0,
    withoutMonth: blankOrNumber(row.acresWithoutMonth),
    times: blankOrNumber(row.entries),
    doneAcres: blankOrNumber(row.doneAcres),
    planned:
      row.plannedTasks === 0
        ? ''
        : `${words.count(row.plannedTasks, 'task')}${row.plannedAcres === 0 ? '' : `, ${words.acres(row.plannedAcres)}`}`,
    done: row.plannedTasks === 0 ? '' : `${row.doneTasks} of ${row.plannedTasks}`,
    personHours: blankOrNumber(row.personHours),
    crewDays: blankOrNumber(row.crewDays),
    money: blankOrMoney(row.moneyUsd),
    note:
      row.withoutAcres === 0
        ? ''
        : `${words.count(row.withoutAcres, 'entry', 'entries')} without acres`,
  };
}

const sumOf = (rows: readonly TreatmentTotals[], value: (row: TreatmentTotals) => number) =>
  rows.reduce((sum, row) => sum + value(row), 0);

function totalsOf({ treatments, months }: SeasonReport): SeasonReportPage['totals'] {
  const sum = (value: (row: TreatmentTotals) => number) => sumOf(treatments, value);
  const planned = sum((row) => row.plannedTasks);
  return {
    months: months.map((_, at) => blankOrNumber(sum((row) => row.acresByMonth[at] ?? 0))),
    plannedMonths: months.map((_, at) => blankOrNumber(sum((row) => row.plannedByMonth[at] ?? 0))),
    withoutMonth: blankOrNumber(sum((row) => row.acresWithoutMonth)),
    doneAcres: blankOrNumber(sum((row) => row.doneAcres)),
    planned: planned === 0 ? '' : `${sum((row) => row.doneTasks)} of ${planned} tasks`,
    personHours: blankOrNumber(sum((row) => row.personHours)),
    crewDays: blankOrNumber(sum((row) => row.crewDays)),
    money: blankOrMoney(sum((row) => row.moneyUsd)),
  };
}

/** Property, where there are several, and codes of the units. */
export function fatePlace(operation: Operation, task: PlannedTaskFate): string {
  const { unit } = placeOfTask(operation, {
    ...task,
    sequenceKey: '',
    stepKey: '',
    cycle: 0,
    part: '-',
  });
  if (operation.properties.length < 2) return unit;
  return `${unit}, ${operation.properties.find(({ id }) => id === task.propertyId)?.name ?? ''}`;
}

function became(task: PlannedTaskFate): string {
  const name = fateNames[task.fate];
  if (task.fate === 'late' && task.doneOn)
    return `${name}: ${words.date(task.doneOn)}, ${words.count(task.lateDays, 'day')} after`;
  if (task.fate === 'moved' && task.nowOn) return `${name}: from ${words.date(task.nowOn)}`;
  return name;
}

export function slipLine(operation: Operation, task: PlannedTaskFate): SlipLine {
  return {
    name: task.name,
    place: fatePlace(operation, task),
    planned:
      task.startsOn && task.lastDay ? words.span(task.startsOn, task.lastDay) : 'never planned',
    became: became(task),
    reason: task.reason,
  };
}

const acresOf = (value: number) => `${words.number(value)} acres`;
const unitsAndAcres = (units: number, acres: number) =>
  units === 0 ? 'none' : `${words.count(units, 'unit')}, ${acresOf(acres)}`;

function nextLines({ next }: SeasonReport): SeasonReportPage['next'] {
  return next.map(({ family, name, tasks, areaAcres, crewDays }) => ({
    letter: words.familyLetters[family],
    name,
    tasks: words.number(tasks),
    acres: blankOrNumber(areaAcres),
    crewDays: words.number(crewDays),
  }));
}

/** Links to the seasons around, from the first fact on; at most ten years back. */
function seasonLinks(operation: Operation, query: SeasonQuery, today: IsoDate) {
  const present = Number(today.slice(0, 4)) - (monthOf(today) < 7 ? 1 : 0);
  const years = operation.entries.map(({ doneOn }) => Number(doneOn.slice(0, 4)));
  const first = Math.max(present - 10, Math.min(present, ...years));
  const all = Array.from({ length: present - first + 1 }, (_, at) => present - at);
  if (!all.includes(query.season)) all.push(query.season);
  return all.map((season) => ({
    name: burningSeasonName(season),
    path: pathOf(season, query.property),
    isCurrent: season === query.season,
  }));
}

function titleBlock(deps: Deps, report: SeasonReport, properties: readonly Property[]) {
  const [first] = properties;
  const today = todayAt(deps, first);
  const span = first ? seasonSpan(first, report.season) : null;
  return {
    properties: properties.map(({ name }) => name).join(' · '),
    madeOn: words.date(today),
    seasonWords:
      span === null
        ? ''
        : report.isOver
          ? words.span(report.from, report.until)
          : `from ${words.date(report.from)}, up to ${words.date(report.until)}`,
  };
}

/** What the season report shows. */
export function seasonReportPage(deps: Deps, query: SeasonQuery): SeasonReportPage {
  const { report, properties, operation } = reportOf(deps, query);
  const { burned } = report;
  const title = `What was done in the season ${burningSeasonName(query.season)}?`;
  const filter = (name: string, property: string) => ({
    name,
    path: pathOf(query.season, property),
    isCurrent: query.property === property,
  });
  return {
    shell: shellOf(deps, 'more', title),
    title,
    ...titleBlock(deps, report, properties),
    seasons: seasonLinks(operation, query, todayAt(deps, properties[0])),
    filters:
      operation.properties.length < 2
        ? []
        : [
            filter('all', ''),
            ...operation.properties.map(({ id, name }) => filter(name, String(id))),
          ],
    csvPath: pathOf(query.season, query.property, '/reports/season.csv'),
    isEmpty: report.treatments.length === 0,
    monthNames: report.months.map((month) => words.monthNames[month - 1] ?? ''),
    treatments: report.treatments.map(treatmentLine),
    hasYearOnly: report.treatments.some((row) => row.acresWithoutMonth > 0),
    totals: totalsOf(report),
    gear: report.gearHours.map(({ name, hours }) => ({ name, hours: words.number(hours) })),
    fire: report.fire.map((row) => ({
      name: fireKindNames[row.kind],
      start: unitsAndAcres(row.startUnits, row.startAcres),
      end: unitsAndAcres(row.endUnits, row.endAcres),
    })),
    burned: {
      burned: acresOf(burned.burnedAcres),
      planned: acresOf(burned.plannedAcres),
      target: acresOf(burned.targetAcres),
      least: acresOf(burned.leastAcres),
    },
    slips: slipsOf(report.fates).map((task) => slipLine(operation, task)),
    hadPlan: report.plans > 0,
    toCome: report.fates.filter(({ fate }) => fate === 'to-come').length,
    next: nextLines(report),
    nextName: burningSeasonName(query.season + 1),
  };
}

type Cells = (string | number | null)[];

const round = (value: number) => Math.round(value * 100) / 100;

const tableHead = [
  ...[
    'part',
    'name',
    'place',
    'month',
    'planned_first_day',
    'planned_last_day',
    'became',
    'reason',
  ],
  ...[
    'acres',
    'tasks',
    'tasks_done',
    'units',
    'person_hours',
    'crew_days',
    'gear_hours',
    'money_usd',
  ],
];

function cells(part: string, values: Record<string, string | number | null>): Cells {
  return [part, ...tableHead.slice(1).map((column) => values[column] ?? null)];
}

function workCells(row: TreatmentTotals, months: readonly number[]): Cells[] {
  const { name } = row;
  return [
    cells('done', {
      name,
      acres: round(row.doneAcres),
      entries: row.entries,
      person_hours: round(row.personHours),
      crew_days: round(row.crewDays),
      money_usd: round(row.moneyUsd),
    }),
    ...row.acresByMonth.flatMap((acres, at) =>
      acres === 0
        ? []
        : [cells('done by month', { name, month: months[at] ?? null, acres: round(acres) })],
    ),
    ...row.plannedByMonth.flatMap((acres, at) =>
      acres === 0
        ? []
        : [cells('planned by month', { name, month: months[at] ?? null, acres: round(acres) })],
    ),
    ...(row.acresWithoutMonth === 0
      ? []
      : [cells('done, month not known', { name, acres: round(row.acresWithoutMonth) })]),
    ...(row.plannedTasks === 0
      ? []
      : [
          cells('planned', {
            name,
            acres: round(row.plannedAcres),
            tasks: row.plannedTasks,
            tasks_done: row.doneTasks,
          }),
        ]),
  ];
}

/** The same as rows of a table, one subject a row: `part` says which. Days are `YYYY-MM-DD`, months 1 to 12. */
export function seasonTable(deps: Deps, query: SeasonQuery): Cells[] {
  const { report, operation } = reportOf(deps, query);
  const { burned } = report;
  return [
    tableHead,
    ...report.treatments.flatMap((row) => workCells(row, report.months)),
    ...report.gearHours.map(({ name, hours }) => cells('gear', { name, gear_hours: round(hours) })),
    ...report.fire.flatMap((row) => {
      const name = fireKindNames[row.kind];
      return [
        cells('fire status, start', { name, units: row.startUnits, acres: round(row.startAcres) }),
        cells('fire status, end', { name, units: row.endUnits, acres: round(row.endAcres) }),
      ];
    }),
    cells('burned', { acres: round(burned.burnedAcres) }),
    cells('burns planned', { acres: round(burned.plannedAcres) }),
    cells('asked a year, target', { acres: round(burned.targetAcres) }),
    cells('asked a year, least', { acres: round(burned.leastAcres) }),
    ...slipsOf(report.fates).map((task) =>
      cells('slipped', {
        name: task.name,
        place: fatePlace(operation, task),
        planned_first_day: task.startsOn,
        planned_last_day: task.lastDay,
        became: fateNames[task.fate],
        reason: task.reason,
        acres: round(task.areaAcres),
      }),
    ),
    ...report.next.map(({ name, tasks, areaAcres, crewDays }) =>
      cells('next season', { name, tasks, acres: round(areaAcres), crew_days: round(crewDays) }),
    ),
  ];
}
