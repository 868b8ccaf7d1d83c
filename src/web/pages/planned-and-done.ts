import {
  type MonthOfWork,
  type PlannedAndDone,
  plannedAndDone,
  type Work,
  workSum,
} from '../../core/planned-and-done.ts';
import { burningSeasonName, burningSeasonOf } from '../../core/seasons.ts';
import type { Family } from '../../core/treatments.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayOf } from './shell.ts';

/** Three bars of a month, in whole pixels. */
export interface MonthBars {
  name: string;
  x: number;
  bars: {
    kind: 'first' | 'planned' | 'done';
    x: number;
    y: number;
    height: number;
    title: string;
  }[];
}

export interface PlannedAndDonePage {
  shell: Shell;
  seasons: { name: string; path: string; isCurrent: boolean }[];
  seasonName: string;
  csvPath: string;
  months: string[];
  rows: {
    name: string;
    family: Family;
    /** By month: planned and done acres; both blank where there is nothing. */
    cells: { planned: string; done: string }[];
    /** First planned, planned now, done. */
    acres: string;
    /** The same in crew days. */
    crewDays: string;
  }[];
  chart: { width: number; height: number; months: MonthBars[]; most: string };
  withoutMonth: string;
  withoutAcres: string;
  /** Nothing was planned and nothing done. */
  isEmpty: boolean;
  hasFirst: boolean;
}

const chartHeight = 120;
const barWidth = 20;
const monthWidth = 3 * barWidth + 20;

const sumOf = (months: readonly MonthOfWork[], which: keyof MonthOfWork): Work =>
  workSum(months.map((month) => month[which]));

const said = (work: Work) =>
  `${words.number(work.acres)} acres, ${words.number(work.crewDays)} crew days`;

const kindNames = { first: 'first planned', planned: 'planned now', done: 'done' } as const;
const kinds = ['first', 'planned', 'done'] as const;

function chartOf(found: PlannedAndDone): PlannedAndDonePage['chart'] {
  const totals = found.months.map((month, at) => ({
    name: words.monthNames[month - 1] ?? '',
    ...(Object.fromEntries(
      kinds.map((kind) => [
        kind,
        workSum(found.treatments.map((row) => row.months[at]?.[kind] ?? { acres: 0, crewDays: 0 })),
      ]),
    ) as unknown as MonthOfWork),
  }));
  const most = Math.max(0.5, ...totals.flatMap((one) => kinds.map((kind) => one[kind].crewDays)));
  return {
    width: found.months.length * monthWidth,
    height: chartHeight,
    most: `${words.number(most)} crew days`,
    months: totals.map((total, at) => ({
      name: total.name,
      x: at * monthWidth,
      bars: kinds.flatMap((kind, place) => {
        const height = Math.round((total[kind].crewDays / most) * chartHeight);
        const x = at * monthWidth + 6 + place * barWidth;
        const title = `${total.name}, ${kindNames[kind]}: ${said(total[kind])}`;
        return height > 0 ? [{ kind, x, y: chartHeight - height, height, title }] : [];
      }),
    })),
  };
}

const acresOrBlank = ({ acres, crewDays }: Work) =>
  acres === 0 && crewDays === 0 ? '' : words.number(acres, 0);

function rowOf(row: PlannedAndDone['treatments'][number]): PlannedAndDonePage['rows'][number] {
  const [first, planned, done] = kinds.map((kind) => sumOf(row.months, kind)) as [Work, Work, Work];
  const all = workSum([done, row.withoutMonth]);
  return {
    name: row.name,
    family: row.family,
    cells: row.months.map((month) => ({
      planned: acresOrBlank(month.planned),
      done: acresOrBlank(month.done),
    })),
    acres: [first, planned, all].map(({ acres }) => words.number(acres, 0)).join(' / '),
    crewDays: [first, planned, all].map((one) => words.number(one.crewDays)).join(' / '),
  };
}

/** The season asked for, else the present one. */
function seasonIn(deps: Deps, asked: string | undefined): { season: number; now: number } {
  const start = deps.operation().properties[0]?.burningSeasonStart;
  const today = todayOf(deps);
  const now = start ? burningSeasonOf(today, start) : Number(today.slice(0, 4));
  return { season: /^[12]\d{3}$/.test(asked ?? '') ? Number(asked) : now, now };
}

/** Seasons that a link leads to: the last five with entries, the present one and the planned ones. */
function seasonsOf(deps: Deps, now: number): number[] {
  const { entries, properties, settings } = deps.operation();
  const start = properties[0]?.burningSeasonStart;
  const logged = start ? entries.map(({ doneOn }) => burningSeasonOf(doneOn, start)) : [];
  const past = [...new Set(logged)].filter((season) => season < now && season > now - 6);
  const ahead = Array.from({ length: settings.seasonsAfter + 1 }, (_, at) => now + at);
  return [...past.sort((a, b) => a - b), ...ahead];
}

/** What the page of planned against done shows for a season. */
export function plannedAndDonePage(deps: Deps, asked: string | undefined): PlannedAndDonePage {
  const { season, now } = seasonIn(deps, asked);
  const found = plannedAndDone(deps.operation(), deps.plans.everInForce(), season);
  const months = found.months.map((month) => words.monthNames[month - 1] ?? '');
  const undated = workSum(found.treatments.map(({ withoutMonth }) => withoutMonth));
  const firsts = workSum(found.treatments.map((row) => sumOf(row.months, 'first')));
  return {
    shell: shellOf(deps, 'more', 'Was done what was planned?'),
    seasons: seasonsOf(deps, now).map((one) => ({
      name: burningSeasonName(one),
      path: `/planned-and-done?season=${one}`,
      isCurrent: one === season,
    })),
    seasonName: burningSeasonName(season),
    csvPath: `/planned-and-done.csv?season=${season}`,
    months,
    rows: found.treatments.map(rowOf),
    chart: chartOf(found),
    withoutMonth:
      undated.acres + undated.crewDays > 0 ? `Known to the year only: ${said(undated)}.` : '',
    withoutAcres:
      found.withoutAcres > 0
        ? `${words.count(found.withoutAcres, 'entry', 'entries')} done in part without acres: only crew days count.`
        : '',
    isEmpty: found.treatments.length === 0,
    hasFirst: firsts.acres + firsts.crewDays > 0,
  };
}

const columns = [
  'season',
  'month',
  'treatment',
  'first_planned_acres',
  'first_planned_crew_days',
  'planned_acres',
  'planned_crew_days',
  'done_acres',
  'done_crew_days',
];

/** The same as rows: one a month and treatment that holds anything. */
export function plannedAndDoneTable(
  deps: Deps,
  asked: string | undefined,
): (string | number | null)[][] {
  const { season } = seasonIn(deps, asked);
  const found = plannedAndDone(deps.operation(), deps.plans.everInForce(), season);
  const cents = (value: number) => Math.round(value * 100) / 100;
  const figures = ({ first, planned, done }: MonthOfWork) =>
    [first, planned, done].flatMap(({ acres, crewDays }) => [cents(acres), cents(crewDays)]);
  const none = { acres: 0, crewDays: 0 };
  const rows = found.treatments.flatMap((row) => {
    const dated = row.months.map((month, at) => ({ name: found.months[at] ?? null, month }));
    const undated = { name: null, month: { first: none, planned: none, done: row.withoutMonth } };
    return [...dated, undated]
      .filter(({ month }) => figures(month).some((value) => value !== 0))
      .map(({ name, month }) => [burningSeasonName(season), name, row.name, ...figures(month)]);
  });
  return [columns, ...rows];
}
