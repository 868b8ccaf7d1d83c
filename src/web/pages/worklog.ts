import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { PageError } from '../plugins/errors.ts';
import { familyNames } from '../words.ts';
import { type ListLine, listLine } from './burn-check.ts';
import { type Paged, paged } from './paging.ts';
import { type Shell, shellOf } from './shell.ts';
import { type EntryLine, entryLine, newestFirst } from './unit.ts';

export interface LogLine extends EntryLine {
  unitId: number;
  unit: string;
  /** A burn that nobody has signed out. */
  isOpenBurn: boolean;
}

export interface LogQuery {
  unit: string;
  family: string;
  year: string;
}

export interface WorklogPage {
  shell: Shell;
  query: LogQuery;
  list: Paged<LogLine>;
  /** Start of the address of another page of the list. */
  pagePath: string;
  units: { key: string; name: string }[];
  /** The newest lists answered before burns. */
  goNoGoLists: ListLine[];
  families: { key: string; name: string }[];
  years: { key: string; name: string }[];
}

/** One entry with a question about it: remove it, or sign the burn out. */
export interface EntryPage {
  shell: Shell;
  entry: LogLine;
  form: FormState;
}

type Query = Record<string, string | undefined>;

function lineOf(deps: Deps, entry: WorkEntry): LogLine {
  const operation = deps.operation();
  const unit = operation.units.find((one) => one.id === entry.unitId);
  const line = entryLine(operation, entry);
  return {
    ...line,
    unitId: entry.unitId,
    unit: unit ? `${unit.code} ${unit.name}` : 'land taken out',
    isOpenBurn:
      line.family === 'burn' && entry.fireCause === 'planned' && entry.signedOutOn === null,
  };
}

/** What the Work log page shows, newest entry first. */
export function worklogPage(deps: Deps, raw: Query): WorklogPage {
  const operation = deps.operation();
  const query: LogQuery = {
    unit: raw['unit'] ?? '',
    family: raw['family'] ?? '',
    year: raw['year'] ?? '',
  };
  const familyByTreatment = new Map(operation.treatments.map((one) => [one.key, one.family]));
  const found = newestFirst(operation.entries).filter(
    (entry) =>
      (query.unit === '' || String(entry.unitId) === query.unit) &&
      (query.year === '' || entry.doneOn.startsWith(query.year)) &&
      (query.family === '' || familyByTreatment.get(entry.treatmentKey) === query.family),
  );
  const list = paged(found, raw['page']);
  const years = [...new Set(operation.entries.map((entry) => entry.doneOn.slice(0, 4)))];
  const search = new URLSearchParams({ ...query }).toString();
  return {
    shell: shellOf(deps, 'worklog', 'What was done?'),
    query,
    list: { ...list, rows: list.rows.map((entry) => lineOf(deps, entry)) },
    pagePath: `/worklog?${search}&`,
    units: operation.units.map((unit) => ({
      key: String(unit.id),
      name: `${unit.code} ${unit.name}`,
    })),
    goNoGoLists: deps.burns
      .goNoGoLists()
      .slice(0, 10)
      .map((list) => listLine(operation, list)),
    families: Object.entries(familyNames).map(([key, name]) => ({ key, name })),
    years: years
      .sort()
      .reverse()
      .map((year) => ({ key: year, name: year })),
  };
}

/** The entry behind an id. Throws 404 when there is none. */
export function entryOf(deps: Deps, entryId: number): WorkEntry {
  const entry = deps.operation().entries.find((one) => one.id === entryId);
  if (!entry) throw new PageError(404, 'There is no entry at this address; it may be removed.');
  return entry;
}

/** A page about one entry. */
export function entryPage(
  deps: Deps,
  entryId: number,
  title: string,
  form: FormState = blankForm,
): EntryPage {
  return {
    shell: shellOf(deps, 'worklog', title),
    entry: lineOf(deps, entryOf(deps, entryId)),
    form,
  };
}
