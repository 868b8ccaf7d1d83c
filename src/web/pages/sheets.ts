import { addDays, daysBetween, type IsoDate, parseIsoDate, weekday } from '../../core/dates.ts';
import { type SheetTask, sheetsBetween, sheetTasks } from '../../core/sheets.ts';
import type { Deps } from '../deps.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { jobFigurePath } from './job-figures.ts';
import { type Sheet, sheetOf } from './sheet.ts';
import { shellOf, todayAt, todayOf } from './shell.ts';

export interface SheetPage {
  title: string;
  sheet: Sheet;
  links: { path: string; words: string }[];
}

export interface WeekSheetsPage {
  title: string;
  from: IsoDate;
  to: IsoDate;
  span: string;
  crews: { key: string; name: string; isOn: boolean }[];
  crewName: string;
  sheets: Sheet[];
  /** Tasks that one print job has no room for. */
  more: number;
  hasPlan: boolean;
  /** What was asked that can not be shown as asked. */
  problem: string;
}

/** Sheets of one print job. */
const sheetsMost = 60;
/** Days that one print job may span. */
const daysMost = 62;

function tasksOf(deps: Deps): SheetTask[] {
  return sheetTasks(deps.operation(), deps.plans.inForce()?.content ?? null, todayOf(deps));
}

/** Makes sheets of one reading of the land. */
function sheetMaker(deps: Deps): (task: SheetTask) => Sheet | null {
  const operation = deps.operation();
  const { planNote } = shellOf(deps, 'plan', '');
  return (task) => {
    const property = operation.properties.find(({ id }) => id === task.propertyId);
    return sheetOf(operation, task, todayAt(deps, property), planNote);
  };
}

/** The sheet of a task, by its key. Throws 404 where no task of the plan or the log has it. */
export function sheetPage(deps: Deps, key: string): SheetPage {
  const task = tasksOf(deps).find((one) => one.key === key);
  const sheet = task && sheetMaker(deps)(task);
  if (!task || !sheet) throw new PageError(404, 'No task of the plan in force has this sheet.');
  const [unit] = task.units;
  const figures = jobFigurePath(task.treatment?.key ?? '');
  return {
    title: `${sheet.place}: ${sheet.name}`,
    sheet,
    links: [
      ...(unit ? [{ path: `/units/${unit.id}`, words: `Unit ${unit.code}` }] : []),
      { path: '/plan', words: 'Plan' },
      { path: '/sheets', words: "The week's sheets" },
      ...(figures === null ? [] : [{ path: figures, words: 'Job figures' }]),
      ...(sheet.packetPath === '' ? [] : [{ path: sheet.packetPath, words: 'Burn packet' }]),
    ],
  };
}

/** The sheet of a task as a crew opens it by its own link. Throws 404 where it is in no plan any more. */
export function crewSheet(deps: Deps, key: string, listPath: string): SheetPage {
  const page = sheetPage(deps, key);
  return { ...page, links: [{ path: listPath, words: 'All tasks of this crew' }] };
}

interface WeekQuery {
  from: string;
  to: string;
  crew: string;
}

/** Monday to Sunday of the week of today unless other days are asked for. */
function spanOf(query: WeekQuery, today: IsoDate): { from: IsoDate; to: IsoDate; problem: string } {
  const monday = addDays(today, 1 - weekday(today));
  const from = parseIsoDate(query.from) ?? monday;
  const to = parseIsoDate(query.to) ?? addDays(from, 6);
  if (to < from)
    return {
      from,
      to: addDays(from, 6),
      problem: 'The last day was before the first one, so a week is shown.',
    };
  return daysBetween(from, to) >= daysMost
    ? {
        from,
        to: addDays(from, daysMost - 1),
        problem: `At most ${daysMost} days are shown at once.`,
      }
    : { from, to, problem: '' };
}

/** The sheets of some days as one print job, for one crew or all. */
export function weekSheetsPage(deps: Deps, query: WeekQuery): WeekSheetsPage {
  const operation = deps.operation();
  const { from, to, problem } = spanOf(query, todayOf(deps));
  const made = sheetMaker(deps);
  const crew = operation.crews.find(({ id }) => String(id) === query.crew);
  const tasks = sheetsBetween(tasksOf(deps), from, to, crew?.id ?? null);
  return {
    title: 'Sheets for the truck',
    from,
    to,
    span: words.span(from, to),
    crews: operation.crews.map(({ id, name }) => ({
      key: String(id),
      name,
      isOn: id === crew?.id,
    })),
    crewName: crew?.name ?? '',
    sheets: tasks.slice(0, sheetsMost).flatMap((task) => made(task) ?? []),
    more: Math.max(0, tasks.length - sheetsMost),
    hasPlan: deps.plans.inForce() !== null,
    problem,
  };
}
