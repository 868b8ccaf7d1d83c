import { chainOf, isTaskOfStep, unitsOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import { oncePerList } from '../../core/land-index.ts';
import type { Operation } from '../../core/operation.ts';
import type { Caution } from '../../core/treatments.ts';
import type { Unit } from '../../core/units.ts';
import { type ReadingFinding, readingAgainst } from '../../core/weather/reading-check.ts';
import {
  type DetailFacts,
  type EntryVersion,
  noDetail,
  photosMost,
  type WorkDetail,
} from '../../core/work-details.ts';
import type { WorkEntry } from '../../core/worklog.ts';
import type { Deps } from '../deps.ts';
import { blankForm, type FormState } from '../forms/form.ts';
import { entryLabels, entryValues } from '../forms/worklog.ts';
import { PageError } from '../plugins/errors.ts';
import * as words from '../words.ts';
import { type ListLine, listLine } from './burn-check.ts';
import { type Paged, paged } from './paging.ts';
import { type Shell, shellOf, todayAt, todayOf } from './shell.ts';
import { cautionsFor } from './task-words.ts';
import { type EntryLine, entryLine, newestFirst } from './unit.ts';

export interface LogLine extends EntryLine {
  unitId: number;
  unit: string;
  /** A burn that nobody has signed out. */
  isOpenBurn: boolean;
  photoCount: number;
}

export interface LogQuery {
  property: string;
  unit: string;
  family: string;
  treatment: string;
  outcome: string;
  year: string;
  from: string;
  until: string;
  text: string;
}

interface Option {
  key: string;
  name: string;
}

export interface WorklogPage {
  shell: Shell;
  query: LogQuery;
  list: Paged<LogLine>;
  /** Start of the address of another page of the list, and that of the table. */
  pagePath: string;
  tablePath: string;
  /** The newest lists answered before burns. */
  goNoGoLists: ListLine[];
  options: {
    properties: Option[];
    units: Option[];
    families: Option[];
    treatments: Option[];
    outcomes: Option[];
    years: Option[];
  };
}

/** One entry with a question about it: remove it, or sign the burn out. */
export interface EntryPage {
  shell: Shell;
  entry: LogLine;
  form: FormState;
}

type Query = Record<string, string | undefined>;

const option = ({ key, name }: Option): Option => ({ key, name });
const outcomeOptions = Object.entries(words.outcomeNames).map(([key, name]) => ({ key, name }));

const detailsByEntry = oncePerList(
  (details: readonly WorkDetail[]) => new Map(details.map((detail) => [detail.entryId, detail])),
);
const logNewestFirst = oncePerList(newestFirst);
const yearsLogged = oncePerList((entries: readonly WorkEntry[]) =>
  [...new Set(entries.map(({ doneOn }) => doneOn.slice(0, 4)))].sort().reverse(),
);

interface LogContext {
  operation: Operation;
  units: Map<number, Unit>;
  details: Map<number, WorkDetail>;
  today: IsoDate;
}

function contextOf(deps: Deps): LogContext {
  const operation = deps.operation();
  return {
    operation,
    units: new Map(operation.units.map((unit) => [unit.id, unit])),
    details: detailsByEntry(deps.worklog.details()),
    today: todayOf(deps),
  };
}

/** Hours and money in one line, after the facts of the entry. */
function amountWords(entry: WorkEntry, detail: WorkDetail | undefined): string[] {
  const parts = [];
  if (entry.personHours !== null) parts.push(words.count(entry.personHours, 'person-hour'));
  if (detail?.moneyUsd) parts.push(words.money(detail.moneyUsd));
  return parts;
}

function lineOf({ operation, units, details, today }: LogContext, entry: WorkEntry): LogLine {
  const unit = units.get(entry.unitId);
  const detail = details.get(entry.id);
  const line = entryLine(operation, entry, detail?.noWork, today);
  return {
    ...line,
    facts: [...amountWords(entry, detail), line.facts].filter((part) => part !== '').join(' · '),
    unitId: entry.unitId,
    unit: unit ? `${unit.code} ${unit.name}` : 'land taken out',
    isOpenBurn:
      line.family === 'burn' && entry.fireCause === 'planned' && entry.signedOutOn === null,
    photoCount: detail?.photos.length ?? 0,
  };
}

/** What the address asks the list for; what is not there is blank. */
export function logQuery(raw: Query): LogQuery {
  const asked = (name: string) => raw[name] ?? '';
  return {
    property: asked('property'),
    unit: asked('unit'),
    family: asked('family'),
    treatment: asked('treatment'),
    outcome: asked('outcome'),
    year: asked('year'),
    from: asked('from'),
    until: asked('until'),
    text: asked('text'),
  };
}

/** Entries that the query asks for, newest first. */
export function entriesAsked(deps: Deps, query: LogQuery): WorkEntry[] {
  const operation = deps.operation();
  const details = detailsByEntry(deps.worklog.details());
  const units = new Map(operation.units.map((unit) => [unit.id, unit]));
  const treatments = new Map(operation.treatments.map((one) => [one.key, one]));
  const wanted = query.text.trim().toLowerCase();
  const holds = (text: string | undefined) => text?.toLowerCase().includes(wanted) ?? false;
  const namedUnits = new Set(
    operation.units.filter(({ code, name }) => holds(`${code} ${name}`)).map(({ id }) => id),
  );
  const namedWork = new Set(
    operation.treatments.filter(({ name }) => holds(name)).map(({ key }) => key),
  );
  const isWritten = (entry: WorkEntry) => {
    const noWork = details.get(entry.id)?.noWork;
    return (
      namedUnits.has(entry.unitId) ||
      namedWork.has(entry.treatmentKey) ||
      [entry.note, entry.reason, noWork?.reason, noWork?.approvedBy, noWork?.reference].some(holds)
    );
  };
  const is = (asked: string, value: string | undefined) => asked === '' || asked === value;
  return logNewestFirst(operation.entries).filter(
    (entry) =>
      is(query.unit, String(entry.unitId)) &&
      is(query.property, String(units.get(entry.unitId)?.propertyId)) &&
      is(query.outcome, entry.outcome) &&
      is(query.treatment, entry.treatmentKey) &&
      is(query.family, treatments.get(entry.treatmentKey)?.family) &&
      entry.doneOn.startsWith(query.year) &&
      (query.from === '' || entry.doneOn >= query.from) &&
      (query.until === '' || entry.doneOn <= query.until) &&
      (wanted === '' || isWritten(entry)),
  );
}

/** What the Work log page shows, newest entry first. */
export function worklogPage(deps: Deps, raw: Query): WorklogPage {
  const operation = deps.operation();
  const query = logQuery(raw);
  const list = paged(entriesAsked(deps, query), raw['page']);
  const asked = Object.entries(query).filter(([, value]) => value !== '');
  const search = new URLSearchParams(asked).toString();
  const context = contextOf(deps);
  return {
    shell: shellOf(deps, 'worklog', 'What was done?'),
    query,
    list: { ...list, rows: list.rows.map((entry) => lineOf(context, entry)) },
    pagePath: `/worklog?${search}${search === '' ? '' : '&'}`,
    tablePath: `/worklog.csv${search === '' ? '' : '?'}${search}`,
    goNoGoLists: deps.burns
      .goNoGoLists()
      .slice(0, 10)
      .map((one) => listLine(operation, one)),
    options: {
      properties: operation.properties.map(({ id, name }) => ({ key: String(id), name })),
      units: unitOptions(operation),
      families: Object.entries(words.familyNames).map(([key, name]) => ({ key, name })),
      treatments: operation.treatments.map(option),
      outcomes: outcomeOptions,
      years: yearsLogged(operation.entries).map((year) => ({ key: year, name: year })),
    },
  };
}

function unitOptions(operation: Operation): Option[] {
  return operation.units.map(({ id, code, name }) => ({
    key: String(id),
    name: `${code} ${name}`,
  }));
}

/** The entry behind an id. Throws 404 when there is none. */
export function entryOf(deps: Deps, entryId: number): WorkEntry {
  const entry = deps.operation().entries.find((one) => one.id === entryId);
  if (!entry) throw new PageError(404, 'There is no entry at this address; it may be removed.');
  return entry;
}

/** What stands beside an entry; nothing but blanks where nothing does. */
export function detailOf(deps: Deps, entryId: number): WorkDetail {
  const found = detailsByEntry(deps.worklog.details()).get(entryId);
  return found ?? { entryId, ...noDetail, photos: [], captions: [] };
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
    entry: lineOf(contextOf(deps), entryOf(deps, entryId)),
    form,
  };
}

/** The form of an entry, new or corrected. */
export interface EntryFormPage {
  shell: Shell;
  action: string;
  /** Null for a new entry. */
  entryId: number | null;
  form: FormState;
  /** What it is about, where that is known: unit and treatment; they can be changed under More. */
  subject: string;
  /** Codes of the units of its block, when there are several. */
  blockUnits: string;
  unitAcres: string;
  isBurn: boolean;
  cautions: Caution[];
  options: {
    units: Option[];
    treatments: Option[];
    tasks: Option[];
    outcomes: Option[];
    gear: Option[];
  };
}

function taskOptions(operation: Operation, unit: Unit | undefined): Option[] {
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  if (!unit || !block) return [];
  return chainOf(operation, block)
    .filter((step) => step.unitId === null || step.unitId === unit.id)
    .filter((step) => step.standing !== 'done' && step.standing !== 'skipped')
    .map((step) => ({ key: step.key, name: `${step.name}, cycle ${step.cycle}` }));
}

function formPage(
  deps: Deps,
  shell: Shell,
  page: Pick<EntryFormPage, 'action' | 'entryId' | 'form'>,
): EntryFormPage {
  const operation = deps.operation();
  const { values } = page.form;
  const unit = operation.units.find((one) => String(one.id) === values['unitId']);
  const treatment = operation.treatments.find((one) => one.key === values['treatmentKey']);
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  const together = block ? unitsOf(operation, block).map(({ code }) => code) : [];
  const tasks = taskOptions(operation, unit);
  const taskKey = values['taskKey'] ?? '';
  // The key of a rest or a piece is not among the steps, and must not be lost by the form.
  if (taskKey !== '' && !tasks.some(({ key }) => key === taskKey))
    tasks.unshift({ key: taskKey, name: 'the one it was opened for' });
  return {
    shell,
    ...page,
    subject: unit && treatment ? `${treatment.name}, ${unit.code} ${unit.name}` : '',
    blockUnits: together.length > 1 ? words.list(together) : '',
    unitAcres: unit ? words.acres(unit.areaAcres) : '',
    isBurn: treatment ? treatment.family === 'burn' : true,
    cautions: treatment ? cautionsFor(operation, [treatment.key]) : [],
    options: {
      units: unitOptions(operation),
      treatments: operation.treatments.map(option),
      tasks,
      outcomes: outcomeOptions,
      gear: operation.gear.map(option),
    },
  };
}

/** Fields that the address of a new entry fills in: unit, treatment and task; today; acres of the task. */
export function newEntryValues(deps: Deps, raw: Query): Record<string, string> {
  const operation = deps.operation();
  const taskKey = raw['task'] ?? '';
  const content = deps.plans.inForce()?.content;
  const task = [...(content?.tasks ?? []), ...(content?.leftOut ?? [])].find(
    (one) => one.key === taskKey,
  );
  const [, place, placeId] = /^(unit|block):(\d+)\//.exec(taskKey) ?? [];
  const asked = raw['unit'] ?? (place === 'unit' ? placeId : undefined);
  const unit = operation.units.find((one) =>
    asked === undefined
      ? place === 'block' && String(one.blockId) === placeId
      : String(one.id) === asked,
  );
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  const step = block && chainOf(operation, block).find((one) => isTaskOfStep(taskKey, one));
  const property = operation.properties.find((one) => one.id === unit?.propertyId);
  const isWholeBlock =
    place === 'block' && raw['unit'] === undefined && block && unitsOf(operation, block).length > 1;
  const treatmentKey = raw['treatment'] ?? task?.treatmentKey ?? step?.treatmentKeys[0] ?? '';
  const acres = task?.areaAcres ?? step?.areaAcres;
  return {
    unitId: unit ? String(unit.id) : '',
    treatmentKey: operation.treatments.some(({ key }) => key === treatmentKey) ? treatmentKey : '',
    taskKey: unit ? taskKey : '',
    outcome: 'done',
    doneOn: todayAt(deps, property ?? operation.properties[0]),
    areaAcres: acres === undefined ? '' : String(Math.round(acres * 10) / 10),
    ...(isWholeBlock ? { wholeBlock: 'yes' } : {}),
  };
}

/** The form of a new entry, as typed or filled in from the address. */
export function newEntryPage(deps: Deps, form: FormState): EntryFormPage {
  const shell = shellOf(deps, 'worklog', 'What was done?');
  return formPage(deps, shell, { action: '/worklog/new', entryId: null, form });
}

/** The form that corrects an entry; without a form as typed, the entry as it is. Throws 404 when there is none. */
export function correctPage(
  deps: Deps,
  entryId: number,
  typed: FormState | null = null,
): EntryFormPage {
  const entry = entryOf(deps, entryId);
  const values = entryValues(entry, detailOf(deps, entryId));
  const form = typed ? { ...typed, stored: values } : { values, problems: [] };
  const shell = shellOf(deps, 'worklog', 'What was it really?');
  return formPage(deps, shell, { action: `/worklog/${entryId}/correct`, entryId, form });
}

/** A reading in words, with what the prescription limits beside it. */
export interface ReadingLine {
  at: string;
  cells: { name: string; words: string; state: ReadingFinding['state'] | null }[];
  note: string;
}

export interface VersionLine {
  /** "Corrected 26 Oct 2026, 14:03 UTC by Alex". */
  when: string;
  /** "Acres done: was 12, then 14". */
  changes: string[];
}

export interface EntryShowPage extends EntryPage {
  isNew: boolean;
  facts: { name: string; value: string }[];
  isBurn: boolean;
  prescription: string;
  readings: ReadingLine[];
  reading: FormState;
  photos: { path: string; removePath: string; caption: string }[];
  photoForm: FormState;
  photosLeft: number;
  versions: VersionLine[];
}

const elementNames: Record<ReadingFinding['element'], string> = {
  temperature: 'Temperature',
  humidity: 'Humidity',
  wind: 'Wind',
  gust: 'Gusts',
  'wind-direction': 'Wind from',
};
const elementUnits: Record<ReadingFinding['element'], string> = {
  temperature: 'F',
  humidity: '%',
  wind: 'mph',
  gust: 'mph',
  'wind-direction': 'degrees',
};

function limitWords({ element, limits, windFrom }: ReadingFinding): string {
  if (windFrom) return windFrom.length === 0 ? 'no sector' : words.list(windFrom);
  const unit = elementUnits[element];
  const { least, most } = limits;
  if (least !== null && most !== null) return `${least} to ${most} ${unit}`;
  return least === null ? `at most ${most} ${unit}` : `at least ${least} ${unit}`;
}

function findingWords(finding: ReadingFinding): string {
  const { element, state, value } = finding;
  const read = value === null ? 'not read' : `${words.number(value)} ${elementUnits[element]}`;
  if (state === 'no-limit') return read;
  return state === 'not-read'
    ? `not read; limit ${limitWords(finding)}`
    : `${read}, ${state} ${limitWords(finding)}`;
}

function readingLines(operation: Operation, entry: WorkEntry, detail: WorkDetail) {
  const unit = operation.units.find((one) => one.id === entry.unitId);
  const block = operation.blocks.find((one) => one.id === unit?.blockId);
  const prescription = operation.prescriptions.find((one) => one.key === block?.prescriptionKey);
  const plain = { least: null, most: null };
  const lines = detail.readings.map((reading): ReadingLine => {
    const findings =
      block && prescription
        ? readingAgainst(prescription, block.burnLimits, reading)
        : readingAgainst(
            // Without a prescription there is no limit to hold a reading against.
            { temperatureF: plain, rhPercent: plain, windMph: plain },
            { windFrom: null, gustMphMost: null },
            reading,
          );
    return {
      at: reading.at,
      cells: findings.map((finding) => ({
        name: elementNames[finding.element],
        words: findingWords(finding),
        state: finding.state,
      })),
      note: reading.note,
    };
  });
  return { lines, prescription: prescription?.name ?? '' };
}

function factsOf(operation: Operation, entry: WorkEntry, detail: WorkDetail, noWork: string) {
  const gearName = (key: string) => operation.gear.find((one) => one.key === key)?.name ?? key;
  const gear = detail.gearHours.map(
    ({ gearKey, hours }) => `${gearName(gearKey)} ${words.number(hours, 2)} h`,
  );
  const causes = { planned: 'planned burn', wild: 'wildfire', neighbour: "a neighbor's fire" };
  const facts: [string, string | null][] = [
    ['First day', entry.startedOn && words.date(entry.startedOn)],
    ['Began at', detail.startedAt],
    ['Ended at', detail.endedAt],
    ['Acres done', entry.areaAcres === null ? null : words.acres(entry.areaAcres)],
    ['Person-hours', entry.personHours === null ? null : words.number(entry.personHours, 2)],
    ['Crew days', entry.crewDays === null ? null : words.number(entry.crewDays, 2)],
    ['Money spent', detail.moneyUsd === null ? null : `$${words.number(detail.moneyUsd, 2)}`],
    ['Gear hours', gear.join(', ')],
    ['Share black', entry.shareBlackPercent === null ? null : `${entry.shareBlackPercent} %`],
    ['Cause of the fire', entry.fireCause && causes[entry.fireCause]],
    ['Signed out on', entry.signedOutOn && words.date(entry.signedOutOn)],
    ['Reason, or what is left', entry.reason],
    ['Note', entry.note],
    ['Inside no-work dates', noWork],
  ];
  return facts.flatMap(([name, value]) => (value ? [{ name, value }] : []));
}

/** A value of the form as people say it; names in place of keys. */
function saidOf(operation: Operation, field: string, value: string | undefined): string {
  if (!value) return 'blank';
  const unit = operation.units.find((one) => field === 'unitId' && String(one.id) === value);
  const treatment = operation.treatments.find(
    (one) => field === 'treatmentKey' && one.key === value,
  );
  const outcome = field === 'outcome' ? words.outcomeNames[value as WorkEntry['outcome']] : null;
  return unit?.code ?? treatment?.name ?? outcome ?? value;
}

function versionLines(
  operation: Operation,
  versions: readonly EntryVersion[],
  entry: WorkEntry,
  detail: DetailFacts,
): VersionLine[] {
  let after = entryValues(entry, detail);
  return versions.map((version) => {
    const before = entryValues(version.entry, version.detail);
    const fields = [...new Set([...Object.keys(before), ...Object.keys(after)])];
    const changes = fields
      .filter((field) => (before[field] ?? '') !== (after[field] ?? ''))
      .map((field) => {
        const name =
          (entryLabels as Record<string, string>)[field] ?? field.replace(/^gear-/, 'Gear hours, ');
        return `${name}: was ${saidOf(operation, field, before[field])}, then ${saidOf(operation, field, after[field])}`;
      });
    after = before;
    const who = version.correctedBy === null ? '' : ` by ${version.correctedBy}`;
    return { when: `Corrected ${words.instant(version.correctedAt)}${who}`, changes };
  });
}

/** Forms on the page of an entry that are shown again as typed. */
export interface EntryForms {
  reading?: FormState;
  photo?: FormState;
}

/** Local time of day of an instant in a zone, `HH:MM`. */
function timeIn(timeZone: string, instant: string): string {
  return new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
  }).format(new Date(instant));
}

/** What the page of an entry shows. Throws 404 when there is none. */
export function entryShowPage(
  deps: Deps,
  entryId: number,
  forms: EntryForms = {},
  isNew = false,
): EntryShowPage {
  const operation = deps.operation();
  const entry = entryOf(deps, entryId);
  const detail = detailOf(deps, entryId);
  const context = contextOf(deps);
  const line = lineOf(context, entry);
  const unit = context.units.get(entry.unitId);
  const zone = operation.properties.find((one) => one.id === unit?.propertyId)?.timeZone ?? 'UTC';
  const readings = readingLines(operation, entry, detail);
  return {
    shell: shellOf(deps, 'worklog', `${line.name}, ${line.unit}, ${line.when}`),
    entry: line,
    form: blankForm,
    isNew,
    facts: factsOf(operation, entry, detail, line.noWork),
    isBurn: line.family === 'burn' && entry.outcome !== 'not-possible',
    prescription: readings.prescription,
    readings: readings.lines,
    reading: forms.reading ?? {
      values: { at: timeIn(zone, deps.burns.now()) },
      problems: [],
    },
    photos: detail.photos.map((name, index) => ({
      path: `/worklog/${entryId}/photos/${name}`,
      removePath: `/worklog/${entryId}/photos/${name}/remove`,
      caption: detail.captions?.[index] || `Photo ${index + 1} of this entry`,
    })),
    photoForm: forms.photo ?? blankForm,
    photosLeft: Math.max(0, photosMost - detail.photos.length),
    versions: versionLines(operation, deps.worklog.versions(entryId), entry, detail),
  };
}
