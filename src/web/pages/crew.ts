import { randomUUID } from 'node:crypto';
import { addDays } from '../../core/dates.ts';
import type { PublishedTask } from '../../core/publication.ts';
import type { Deps } from '../deps.ts';
import type { FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { todayAt } from './shell.ts';

/** A task as the crew's list shows it. */
export interface CrewTaskLine {
  path: string;
  summary: string;
  when: string;
  family: PublishedTask['entry']['family'];
  chip: words.ChipState;
  state: string;
}

export interface CrewPage {
  crew: string;
  open: CrewTaskLine[];
  closed: CrewTaskLine[];
}

export interface CrewTaskPage {
  crew: string;
  listPath: string;
  task: CrewTaskLine;
  description: string[];
  /** Its units where there are several, to say which one a report is about. */
  units: { key: string; name: string }[];
  isOpen: boolean;
  form: FormState;
}

/** What a crew's link opens: its name and its tasks, nothing of anybody else's. */
export interface CrewView {
  crew: string;
  tasks: PublishedTask[];
}

/** Throws 404 for an unknown token and for one that may not report, 410 for one that was withdrawn. */
export function crewView(deps: Deps, token: string): CrewView {
  const answer = deps.feeds.crew(token);
  if (answer.kind === 'unknown') throw new PageError(404, 'There is no page at this address.');
  if (answer.kind === 'revoked')
    throw new PageError(410, 'This address was withdrawn. Ask for a new one where you got it.');
  const crew = deps.operation().crews.find((one) => one.id === answer.crewId)?.name ?? '';
  return { crew, tasks: answer.tasks };
}

/** The task of this crew with the uid. Throws 404 for any other. */
export function crewTask(view: CrewView, uid: string): PublishedTask {
  const row = view.tasks.find((one) => one.uid === uid);
  if (!row) throw new PageError(404, 'This task is not among those of this crew.');
  return row;
}

function isCancelled(row: PublishedTask): boolean {
  return row.cancelledAt !== null || row.entry.status === 'cancelled';
}

/** True while something can be said of it. */
export function isOpenTask(row: PublishedTask): boolean {
  return !isCancelled(row) && row.entry.progress !== 'done';
}

function lineOf(row: PublishedTask, token: string): CrewTaskLine {
  const { entry } = row;
  const when = words.span(entry.startsOn, addDays(entry.endsBefore, -1));
  const line = {
    path: `/crew/${token}/tasks/${row.uid}`,
    summary: entry.summary,
    when,
    family: entry.family,
  };
  if (isCancelled(row)) return { ...line, chip: 'cancelled', state: 'cancelled' };
  if (entry.progress === 'done') return { ...line, chip: 'done', state: 'done' };
  return entry.status === 'tentative'
    ? { ...line, chip: 'tentative', state: 'tentative: the dates are a plan' }
    : { ...line, chip: 'confirmed', state: 'under way' };
}

/** The list behind a crew's link. */
export function crewPage(deps: Deps, token: string): CrewPage {
  const { crew, tasks } = crewView(deps, token);
  const lines = (rows: PublishedTask[]) => rows.map((row) => lineOf(row, token));
  return {
    crew,
    open: lines(tasks.filter(isOpenTask)),
    closed: lines(tasks.filter((row) => !isOpenTask(row)).reverse()),
  };
}

/** One task of the crew with the form to say how it went; without a form as typed, today is filled in. */
export function crewTaskPage(
  deps: Deps,
  token: string,
  uid: string,
  typed: FormState | null = null,
): CrewTaskPage {
  const view = crewView(deps, token);
  const row = crewTask(view, uid);
  const operation = deps.operation();
  const property = operation.properties.find((one) => one.id === row.entry.propertyId);
  const units = operation.units.filter((one) => row.entry.unitIds.includes(one.id));
  return {
    crew: view.crew,
    listPath: `/crew/${token}`,
    task: lineOf(row, token),
    description: row.entry.description,
    units: units.length > 1 ? units.map(({ id, code }) => ({ key: String(id), name: code })) : [],
    isOpen: isOpenTask(row),
    form: typed ?? {
      values: { doneOn: todayAt(deps, property), sendKey: randomUUID() },
      problems: [],
    },
  };
}
