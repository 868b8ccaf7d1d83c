import { addDays, addYears, type IsoDate, lastDayOf, monthDay } from '../../core/dates.ts';
import { landEntries } from '../../core/land-entries.ts';
import { type CalendarEntry, calendarEntries } from '../../core/publication.ts';
import { burningSeasonName, burningSeasonOf, burningSeasonStart } from '../../core/seasons.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { shellOf, todayOf } from './shell.ts';

export interface PrintEntry {
  letter: string;
  summary: string;
  when: string;
  isTentative: boolean;
}

export interface PrintWeek {
  /** First day, "5 Jul". */
  starts: string;
  entries: PrintEntry[];
  /** Longer work that began in an earlier week and goes on. */
  goesOn: number;
}

/** One sheet: three months in weeks. */
export interface PrintQuarter {
  title: string;
  weeks: PrintWeek[];
  noWork: { when: string; summary: string }[];
}

export interface PrintYearPage {
  title: string;
  paper: 'a4' | 'letter';
  properties: string;
  madeOn: string;
  plan: string;
  quarters: PrintQuarter[];
}

interface Span {
  startsOn: IsoDate;
  endsBefore: IsoDate;
}

const touches = (entry: Span, span: Span) =>
  entry.startsOn < span.endsBefore && span.startsOn < entry.endsBefore;

function printEntry(entry: CalendarEntry): PrintEntry {
  return {
    letter: words.familyLetters[entry.family],
    summary: entry.summary,
    when: words.span(entry.startsOn, lastDayOf(entry)),
    isTentative: entry.status === 'tentative',
  };
}

/** Each piece of work stands in its first week of the sheet; after that it is only counted. */
function quarterOf(span: Span, work: CalendarEntry[], noWork: CalendarEntry[]): PrintQuarter {
  const weeks: PrintWeek[] = [];
  for (let day = span.startsOn; day < span.endsBefore; day = addDays(day, 7)) {
    const next = addDays(day, 7);
    const week = { startsOn: day, endsBefore: next < span.endsBefore ? next : span.endsBefore };
    const isFirstOfSheet = day === span.startsOn;
    const own = work.filter((entry) => touches(entry, week));
    const begins = own.filter((entry) => isFirstOfSheet || entry.startsOn >= day);
    weeks.push({
      starts: words.dayMonth(day),
      entries: begins.map(printEntry),
      goesOn: own.length - begins.length,
    });
  }
  return {
    title: words.span(span.startsOn, lastDayOf(span)),
    weeks,
    noWork: onceEach(noWork.filter((entry) => touches(entry, span))),
  };
}

/** A rule of a state holds on several properties, often on the same days: it is said once. */
function onceEach(entries: CalendarEntry[]): PrintQuarter['noWork'] {
  const lines = entries.map((entry) => ({
    when: words.span(entry.startsOn, lastDayOf(entry)),
    summary: entry.summary,
  }));
  return [...new Map(lines.map((line) => [`${line.summary} ${line.when}`, line])).values()];
}

/** The burning season that holds today on four sheets: planned work, deadlines and no-work dates. */
export function printYearPage(deps: Deps, paper: string | undefined): PrintYearPage {
  const operation = deps.operation();
  const plan = deps.plans.inForce()?.content ?? null;
  const today = todayOf(deps);
  const startsAt = operation.properties[0]?.burningSeasonStart ?? monthDay('07-01');
  const start = burningSeasonStart(today, startsAt);
  const land = landEntries(operation, plan, today);
  const work = [
    ...calendarEntries(operation, plan, today).filter((entry) => entry.status !== 'cancelled'),
    ...land.filter((entry) => entry.kind === 'deadline'),
  ].sort((a, b) => (a.startsOn < b.startsOn ? -1 : a.startsOn > b.startsOn ? 1 : 0));
  const noWork = land.filter((entry) => entry.kind === 'no-work');
  const shell = shellOf(deps, 'feeds', '');
  // Sheets of 13 weeks; the last one takes what is left of the year.
  const starts = [0, 91, 182, 273].map((days) => addDays(start, days));
  return {
    title: `Work of the season ${burningSeasonName(burningSeasonOf(today, startsAt))}`,
    paper: paper === 'a4' ? 'a4' : 'letter',
    properties: shell.propertyNote,
    madeOn: words.date(today),
    plan: shell.planNote === '' ? 'no plan in force' : shell.planNote,
    quarters: starts.map((startsOn, at) =>
      quarterOf({ startsOn, endsBefore: starts[at + 1] ?? addYears(start, 1) }, work, noWork),
    ),
  };
}
