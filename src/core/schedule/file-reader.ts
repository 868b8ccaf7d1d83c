import { parseIsoDate } from '../dates.ts';
import type { ProblemFile } from '../problem-file.ts';
import type { Outcome, Problem } from '../problems.ts';

/** After so many problems a file is plainly of another kind; more would only hide the first. */
const problemsMost = 20;

type Json = Record<string, unknown>;

/** Checks the shape of a problem file and every number that points at something else in it. */
export function readProblemFile(text: string): Outcome<ProblemFile> {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    const reason = error instanceof Error ? error.message : 'it cannot be read';
    const message = `The file is not JSON (${reason}). Give the problem file as one JSON object.`;
    return { ok: false, problems: [{ code: 'not-json', message }] };
  }
  if (!isObject(value)) {
    const message =
      'The file must hold one JSON object with the keys of a problem file ("T", "units", "tasks" and so on).';
    return { ok: false, problems: [{ code: 'not-an-object', message }] };
  }
  const problems: Problem[] = [];
  const report: Report = (code, field, message) => {
    if (problems.length < problemsMost) problems.push({ code, field, message });
  };
  readCalendar(value, report);
  readUnits(value, report);
  if (problems.length === 0) readResources(value, report);
  if (problems.length === 0) readTasks(value, report);
  if (problems.length === 0) readPlaces(value, report);
  if (problems.length > 0) return { ok: false, problems };
  return { ok: true, value: value as unknown as ProblemFile };
}

type Report = (code: string, field: string, message: string) => void;

const isObject = (value: unknown): value is Json =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

const show = (value: unknown) => JSON.stringify(value)?.slice(0, 40) ?? 'nothing';

/** True when `holder[key]` is an integer between the limits; else reports under `path`. */
function isInteger(
  holder: Json,
  key: string,
  path: string,
  report: Report,
  least = 0,
  most = 1_000_000_000,
): boolean {
  const value = holder[key];
  if (Number.isSafeInteger(value) && (value as number) >= least && (value as number) <= most)
    return true;
  if (value === undefined) missing(path, report, 'a whole number');
  else {
    const code = Number.isSafeInteger(value) ? 'out-of-range' : 'not-an-integer';
    const message = `"${path}" is ${show(value)}; it must be a whole number from ${least} to ${most}.`;
    report(code, path, message);
  }
  return false;
}

function missing(path: string, report: Report, what: string): void {
  report('missing-key', path, `The key "${path}" is missing. Add it; it must hold ${what}.`);
}

/** The list under a key, or an empty one after reporting. */
function listAt(holder: Json, key: string, path: string, report: Report): unknown[] {
  const value = holder[key];
  if (Array.isArray(value)) return value;
  if (value === undefined) missing(path, report, 'a list');
  else report('not-a-list', path, `"${path}" is ${show(value)}; it must be a list.`);
  return [];
}

/** The objects of a list; entries of another kind are reported. */
function objectsAt(holder: Json, key: string, report: Report): [Json, string][] {
  return listAt(holder, key, key, report).flatMap((entry, at): [Json, string][] => {
    const path = `${key}[${at}]`;
    if (isObject(entry)) return [[entry, path]];
    report('not-an-object', path, `"${path}" is ${show(entry)}; it must be an object.`);
    return [];
  });
}

/** Reports list entries that are not whole numbers between the limits. */
function areIntegers(list: unknown[], path: string, report: Report, least: number, most: number) {
  list.forEach((value, at) => {
    isInteger({ value } as Json, 'value', `${path}[${at}]`, report, least, most);
  });
}

function readCalendar(file: Json, report: Report): void {
  isInteger(file, 'T', 'T', report, 1, 2000);
  isInteger(file, 'nSeason', 'nSeason', report, 1, 2000);
  for (const key of ['moveFix', 'moveW', 'moveCap']) isInteger(file, key, key, report);
  if (file['start'] === undefined) missing('start', report, 'the Monday of week 0');
  else if (typeof file['start'] !== 'string' || parseIsoDate(file['start']) === null)
    report(
      'not-a-date',
      'start',
      `"start" is ${show(file['start'])}; it must be a date as YYYY-MM-DD, the Monday of week 0.`,
    );
  const season = listAt(file, 'season', 'season', report);
  areIntegers(season, 'season', report, 0, Number(file['nSeason'] ?? 1) - 1);
  isAsLongAsT(season, 'season', file, report);
}

function isAsLongAsT(list: unknown[], path: string, file: Json, report: Report): void {
  if (!Number.isSafeInteger(file['T']) || list.length === file['T']) return;
  const message = `"${path}" has ${list.length} entries; it needs one for each of the ${file['T']} weeks.`;
  report('wrong-length', path, message);
}

function readUnits(file: Json, report: Report): void {
  const ids = new Set<unknown>();
  for (const [unit, path] of objectsAt(file, 'units', report)) {
    if (isInteger(unit, 'id', `${path}.id`, report)) isNew(ids, unit['id'], `${path}.id`, report);
    for (const key of ['gx', 'gy'])
      if (!Number.isFinite(unit[key]))
        report('not-a-number', `${path}.${key}`, `"${path}.${key}" must be a number.`);
  }
  listAt(file, 'adj', 'adj', report).forEach((pair, at) => {
    const path = `adj[${at}]`;
    if (!Array.isArray(pair) || pair.length !== 2 || pair[0] === pair[1])
      report('not-a-pair', path, `"${path}" is ${show(pair)}; it must be two unit ids.`);
    else for (const id of pair) isKnown(ids, id, path, 'unit', report);
  });
}

function isNew(ids: Set<unknown>, id: unknown, path: string, report: Report): void {
  if (ids.has(id)) report('same-id', path, `"${path}" is ${show(id)}, which is taken already.`);
  ids.add(id);
}

function isKnown(ids: Set<unknown>, id: unknown, path: string, what: string, report: Report) {
  if (ids.has(id)) return true;
  const message = `"${path}" names ${what} ${show(id)}, which is not in the file.`;
  report(`unknown-${what}`, path, message);
  return false;
}

function readResources(file: Json, report: Report): void {
  const resources = objectsAt(file, 'res', report);
  for (const [resource, path] of resources) {
    const caps = listAt(resource, 'cap', `${path}.cap`, report);
    areIntegers(caps, `${path}.cap`, report, 0, 1_000_000_000);
    isAsLongAsT(caps, `${path}.cap`, file, report);
  }
  const ids = new Set<unknown>(resources.map((_, at) => at));
  for (const [budget, path] of objectsAt(file, 'budgets', report)) {
    isKnown(ids, budget['res'], `${path}.res`, 'resource', report);
    isInteger(budget, 'cap', `${path}.cap`, report);
    const weeks = listAt(budget, 'weeks', `${path}.weeks`, report);
    areIntegers(weeks, `${path}.weeks`, report, 0, Number(file['T']) - 1);
  }
}

function readTasks(file: Json, report: Report): void {
  const units = new Set<unknown>((file['units'] as Json[]).map((unit) => unit['id']));
  const ids = new Set<unknown>();
  for (const [task, path] of objectsAt(file, 'tasks', report)) {
    if (isInteger(task, 'id', `${path}.id`, report)) isNew(ids, task['id'], `${path}.id`, report);
    isKnown(units, task['unit'], `${path}.unit`, 'unit', report);
    if (typeof task['type'] !== 'string')
      report('not-text', `${path}.type`, `"${path}.type" must be text such as "BURN".`);
    for (const key of ['due', 'w', 'U']) isInteger(task, key, `${path}.${key}`, report);
    if (isInteger(task, 'dur', `${path}.dur`, report, 1)) {
      const starts = listAt(task, 'starts', `${path}.starts`, report);
      const last = Number(file['T']) - Number(task['dur']);
      areIntegers(starts, `${path}.starts`, report, 0, last);
      if (new Set(starts).size < starts.length)
        report('same-start', `${path}.starts`, `"${path}.starts" names a week twice.`);
    }
    readModes(file, task, path, report);
  }
  for (const [line, path] of objectsAt(file, 'prec', report)) {
    const known = ['i', 'j'].map((key) =>
      isKnown(ids, line[key], `${path}.${key}`, 'task', report),
    );
    if (known.every(Boolean) && line['i'] === line['j'])
      report('prec-cycle', path, `"${path}" ties task ${line['i']} to itself. Take it out.`);
    isInteger(line, 'min', `${path}.min`, report, -1_000_000);
    if (line['max'] !== null) isInteger(line, 'max', `${path}.max`, report, -1_000_000);
    if (typeof line['equiv'] !== 'boolean')
      report('not-true-false', `${path}.equiv`, `"${path}.equiv" must be true or false.`);
  }
}

function readModes(file: Json, task: Json, path: string, report: Report): void {
  const resources = new Set<unknown>((file['res'] as Json[]).map((_, at) => at));
  const modes = listAt(task, 'modes', `${path}.modes`, report);
  if (modes.length === 0 && Array.isArray(task['modes']))
    report('no-mode', `${path}.modes`, `"${path}.modes" is empty; a task needs at least one mode.`);
  modes.forEach((mode, at) => {
    const modePath = `${path}.modes[${at}]`;
    if (!isObject(mode)) {
      report('not-an-object', modePath, `"${modePath}" must be an object with "use" and "cost".`);
      return;
    }
    isInteger(mode, 'cost', `${modePath}.cost`, report);
    listAt(mode, 'use', `${modePath}.use`, report).forEach((use, useAt) => {
      const usePath = `${modePath}.use[${useAt}]`;
      if (!Array.isArray(use) || use.length !== 2)
        report('not-a-pair', usePath, `"${usePath}" must be a pair: resource, quantity.`);
      else {
        isKnown(resources, use[0], usePath, 'resource', report);
        areIntegers([use[1]], usePath, report, 0, 1_000_000_000);
      }
    });
  });
}

/** `prev` and `pins`: start and mode by task id. */
function readPlaces(file: Json, report: Report): void {
  const tasks = new Map((file['tasks'] as Json[]).map((task) => [String(task['id']), task]));
  for (const key of ['prev', 'pins']) {
    const places = file[key];
    if (typeof places !== 'object' || places === null) {
      if (places === undefined) missing(key, report, 'a start and mode for each task id');
      else report('not-an-object', key, `"${key}" must give a start and mode by task id.`);
      continue;
    }
    for (const [id, place] of Object.entries(places)) {
      if (place === null && key === 'prev') continue;
      const path = `${key}.${id}`;
      const task = tasks.get(id);
      if (!task)
        report('unknown-task', path, `"${path}" names task ${id}, which is not in the file.`);
      else if (!isObject(place))
        report('not-an-object', path, `"${path}" must be an object with "t" and "m".`);
      else readPlace(task, place, key, path, report);
    }
  }
}

function readPlace(task: Json, place: Json, key: string, path: string, report: Report): void {
  const modeLast = (task['modes'] as unknown[]).length - 1;
  const isRead =
    isInteger(place, 't', `${path}.t`, report, -2000) &&
    isInteger(place, 'm', `${path}.m`, report, 0, key === 'pins' ? modeLast : 1000);
  if (!isRead || key === 'prev' || (task['starts'] as unknown[]).includes(place['t'])) return;
  const message = `"${path}.t" is ${place['t']}, which is not among the allowed starts of task ${task['id']}. Move the pin or allow that start.`;
  report('pin-not-allowed', `${path}.t`, message);
}
