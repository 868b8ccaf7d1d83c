import { readFileSync } from 'node:fs';
import Value from 'typebox/value';
import { parseIsoDate, parseMonthDay } from '../core/dates.ts';
import type { Library } from '../core/library.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { WindowEnd } from '../core/seasons.ts';
import type { Source } from '../core/sources.ts';
import { rowSchemas, type TableFile } from './schemas.ts';
import { sequenceShapeProblems } from './sequence-shape.ts';

/** The tables as read from their files, not yet checked. */
export type RawTables = Record<TableFile, unknown>;

export const tableFiles = Object.keys(rowSchemas) as TableFile[];

const sharedFolder = new URL('../../shared/', import.meta.url);

/** A sentence on one field of one row: `shared/treatments.json: row dormant-burn: windows ...`. */
function problem(file: TableFile, row: string, field: string, message: string): Problem {
  const at = field === '' ? '' : `${field} `;
  const about = { code: 'reference-table', message: `shared/${file}: row ${row}: ${at}${message}` };
  return { ...about, ref: row, ...(field === '' ? {} : { field }) };
}

function rowName(row: unknown, index: number): string {
  if (typeof row === 'object' && row !== null) {
    const { key, prescriptionKey } = row as { key?: unknown; prescriptionKey?: unknown };
    if (typeof key === 'string') return key;
    if (typeof prescriptionKey === 'string') return prescriptionKey;
  }
  return String(index + 1);
}

/** Problems of shape, the first one a field. */
function shapeProblems(file: TableFile, table: unknown): Problem[] {
  if (!Array.isArray(table))
    return [problem(file, '-', '', 'the file must hold a list of rows in square brackets')];
  return table.flatMap((row: unknown, index) => {
    if (Value.Check(rowSchemas[file], row)) return [];
    const byField = new Map<string, string>();
    for (const error of Value.Errors(rowSchemas[file], row)) {
      if (error.keyword === 'boolean' || error.keyword === 'anyOf') continue;
      const field = error.instancePath.slice(1);
      if (error.keyword === 'additionalProperties')
        for (const name of error.params.additionalProperties)
          byField.set(field === '' ? name : `${field}/${name}`, 'is not a field of this table');
      else if (!byField.has(field)) byField.set(field, error.message);
    }
    return [...byField].map(([field, message]) =>
      problem(file, rowName(row, index), field, message),
    );
  });
}

function endProblem(end: WindowEnd): boolean {
  if ('at' in end) return parseMonthDay(end.at) === null;
  if ('anchor' in end) return false;
  return ('earlierOf' in end ? end.earlierOf : end.laterOf).some(endProblem);
}

/** Every default says where it is from; our own judgement says so and is never called published. */
function sourceProblems(file: TableFile, row: string, field: string, from: Source): Problem[] {
  const isOwn = /^our own/i.test(from.source);
  if (from.status === 'default-to-edit' && !isOwn)
    return [
      problem(
        file,
        row,
        `${field}source`,
        'must begin with "Our own judgement" for a default to edit',
      ),
    ];
  if (from.status !== 'default-to-edit' && isOwn)
    return [problem(file, row, `${field}status`, 'must be default-to-edit for our own judgement')];
  return [];
}

type Report = (file: TableFile, row: string, field: string, message: string) => void;

function checkTreatments(library: Library, report: Report): void {
  const cautions = new Set(library.cautions.map((row) => row.key));
  for (const row of library.treatments) {
    for (const key of row.cautionKeys)
      if (!cautions.has(key))
        report('treatments.json', row.key, 'cautionKeys', `names ${key}, which is no caution`);
    if (row.windows.some((window) => endProblem(window.opens) || endProblem(window.closes)))
      report('treatments.json', row.key, 'windows', 'has a month-day that does not exist');
  }
}

function checkNoWork(library: Library, report: Report): void {
  const treatments = new Set(library.treatments.map((row) => row.key));
  for (const row of library.noWork) {
    if (endProblem(row.opens) || endProblem(row.closes))
      report('no-work.json', row.key, 'opens', 'or closes has a month-day that does not exist');
    const { contractFrom, contractTo, treatmentKeys } = row.applies;
    for (const date of [contractFrom, contractTo])
      if (date !== null && parseIsoDate(date) === null)
        report('no-work.json', row.key, 'applies', `names ${date}, which is no date`);
    for (const key of treatmentKeys ?? [])
      if (!treatments.has(key))
        report(
          'no-work.json',
          row.key,
          'applies/treatmentKeys',
          `names ${key}, which is no treatment`,
        );
    if (row.firmness === 'hard' && row.authority !== 'law' && row.authority !== 'contract')
      report('no-work.json', row.key, 'firmness', 'is hard only for law and contract');
  }
}

function checkSequences(library: Library, report: Report): void {
  const treatments = new Set(library.treatments.map((row) => row.key));
  for (const row of library.sequences) {
    for (const step of row.steps)
      for (const key of step.treatmentKeys)
        if (!treatments.has(key))
          report(
            'sequences.json',
            row.key,
            'steps',
            `${step.key} names ${key}, which is no treatment`,
          );
    for (const message of sequenceShapeProblems(row, library.treatments))
      report('sequences.json', row.key, '', message);
    const { rotation } = row;
    if (
      rotation &&
      !(rotation.leastSeasons <= rotation.targetYears && rotation.targetYears <= rotation.mostYears)
    )
      report('sequences.json', row.key, 'rotation', 'must rise from least over target to most');
  }
}

function checkFireAndWeather(library: Library, report: Report): void {
  for (const { key, interval } of library.communities)
    if (
      interval &&
      !(interval.leastYears <= interval.targetYears && interval.targetYears <= interval.mostYears)
    )
      report('communities.json', key, 'interval', 'must rise from least over target to most');
  const work = library.prescriptions.filter((row) => row.use === 'work').map((row) => row.key);
  for (const { key, prescriptionKey } of library.communities)
    if (prescriptionKey !== null && !work.includes(prescriptionKey))
      report('communities.json', key, 'prescriptionKey', 'names no prescription of use work');
  const counted = library.fitDayDefaults.map((row) => row.prescriptionKey);
  for (const key of counted)
    if (!work.includes(key))
      report('fit-day-defaults.json', key, 'prescriptionKey', 'names no prescription of use work');
  for (const key of work)
    if (!counted.includes(key))
      report('prescriptions.json', key, 'key', 'has no row in fit-day-defaults.json');
}

/** Every month, shade, aspect and slope must find its correction, and every site its drying days. */
function checkFineFuel({ weatherTables }: Library, report: Report): void {
  const { fineFuelCorrections, dryingDays } = weatherTables;
  for (let month = 1; month <= 12; month++)
    for (const shade of ['exposed', 'shaded'] as const)
      for (const aspect of ['N', 'E', 'S', 'W'] as const)
        for (const slope of ['gentle', 'steep'] as const) {
          const rows = fineFuelCorrections.filter(
            (row) =>
              row.months.includes(month) &&
              row.shade === shade &&
              row.aspect === aspect &&
              (row.slope === slope || row.slope === 'any'),
          );
          const site = `month ${month}, ${shade}, ${aspect}, ${slope} slope`;
          if (rows.length !== 1)
            report('fine-fuel-corrections.json', '-', '', `${rows.length} rows for ${site}`);
        }
  for (const fuel of ['grass', 'litter'])
    for (const exposure of ['sunny', 'level', 'shady'])
      if (dryingDays.filter((row) => row.fuel === fuel && row.exposure === exposure).length !== 1)
        report('drying-days.json', '-', '', `must have one row for ${fuel}, ${exposure}`);
}

function rowsByFile(library: Library): [TableFile, (Source & { key: string })[]][] {
  const fitDays = library.fitDayDefaults.map((row) => ({ ...row, key: row.prescriptionKey }));
  return [
    ['treatments.json', library.treatments],
    ['communities.json', library.communities],
    ['sequences.json', library.sequences],
    ['no-work.json', library.noWork],
    ['cautions.json', library.cautions],
    ['prescriptions.json', library.prescriptions],
    ['line-kinds.json', library.lineKinds],
    ['burn-steps.json', library.burnSteps],
    ['state-rules.json', library.stateRules],
    ['follow-ups.json', library.followUps],
    ['instructions.json', [...library.sheetTables.instructions]],
    ['plan-elements.json', [...library.sheetTables.planElements]],
    ['burn-lists.json', [...library.sheetTables.burnLists]],
    ['fit-day-defaults.json', fitDays],
    ['fine-fuel-moisture.json', [...library.weatherTables.fineFuelMoisture]],
    ['fine-fuel-corrections.json', [...library.weatherTables.fineFuelCorrections]],
    ['drying-days.json', [...library.weatherTables.dryingDays]],
    ['leaf-out-models.json', [...library.weatherTables.leafOutModels]],
    ['fuel-models.json', [...library.weatherTables.fuelModels]],
    ['yardsticks.json', library.yardsticks],
  ];
}

function contentProblems(library: Library): Problem[] {
  const found: Problem[] = [];
  const report: Report = (...about) => found.push(problem(...about));
  for (const [file, rows] of rowsByFile(library)) {
    const seen = new Set<string>();
    for (const row of rows) {
      if (seen.has(row.key)) report(file, row.key, 'key', 'is there twice');
      seen.add(row.key);
      found.push(...sourceProblems(file, row.key, '', row));
    }
  }
  for (const row of library.treatments) {
    found.push(...sourceProblems('treatments.json', row.key, 'windowSource/', row.windowSource));
    found.push(...sourceProblems('treatments.json', row.key, 'rate/', row.rate));
  }
  checkTreatments(library, report);
  checkNoWork(library, report);
  checkSequences(library, report);
  checkFireAndWeather(library, report);
  checkFineFuel(library, report);
  return found;
}

function deepFreeze<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const part of Object.values(value)) deepFreeze(part);
  }
  return value;
}

/**
 * Checks the tables (shape, keys, sources, tree of each sequence) and freezes them. Each problem names the file,
 * the row and the field.
 */
export function libraryFrom(tables: RawTables): Outcome<Library> {
  const problems = tableFiles.flatMap((file) => shapeProblems(file, tables[file]));
  if (problems.length > 0) return { ok: false, problems };
  const library = {
    treatments: tables['treatments.json'],
    communities: tables['communities.json'],
    sequences: tables['sequences.json'],
    noWork: tables['no-work.json'],
    cautions: tables['cautions.json'],
    prescriptions: tables['prescriptions.json'],
    lineKinds: tables['line-kinds.json'],
    burnSteps: tables['burn-steps.json'],
    stateRules: tables['state-rules.json'],
    followUps: tables['follow-ups.json'],
    sheetTables: {
      instructions: tables['instructions.json'],
      planElements: tables['plan-elements.json'],
      burnLists: tables['burn-lists.json'],
    },
    fitDayDefaults: tables['fit-day-defaults.json'],
    weatherTables: {
      fineFuelMoisture: tables['fine-fuel-moisture.json'],
      fineFuelCorrections: tables['fine-fuel-corrections.json'],
      dryingDays: tables['drying-days.json'],
      leafOutModels: tables['leaf-out-models.json'],
      fuelModels: tables['fuel-models.json'],
    },
    yardsticks: tables['yardsticks.json'],
  } as Library;
  const wrong = contentProblems(library);
  return wrong.length > 0
    ? { ok: false, problems: wrong }
    : { ok: true, value: deepFreeze(library) };
}

/** The tables of a folder as they stand in its files. Throws when a file is missing or is no JSON. */
export function readTables(folder: URL = sharedFolder): RawTables {
  return Object.fromEntries(
    tableFiles.map((file): [TableFile, unknown] => {
      const text = readFileSync(new URL(file, folder), 'utf8');
      try {
        return [file, JSON.parse(text)];
      } catch (error) {
        throw new Error(`shared/${file} is no JSON: ${(error as Error).message}`);
      }
    }),
  ) as RawTables;
}

let loaded: Library | null = null;

/** The published reference tables, read and checked once. Throws with every problem when a table is wrong. */
export function loadLibrary(): Library {
  if (loaded) return loaded;
  const outcome = libraryFrom(readTables());
  if (!outcome.ok) throw new Error(outcome.problems.map((one) => one.message).join('\n'));
  loaded = outcome.value;
  return loaded;
}
