import type { Library } from '../core/library.ts';
import type { NoWorkSpan } from '../core/no-work.ts';
import type { Problem } from '../core/problems.ts';
import type { LibraryNoun, LibraryRows } from '../core/records.ts';
import type { Limits, Prescription } from '../core/weather/prescriptions.ts';
import { libraryFrom, type RawTables } from './library.ts';
import type { TableFile } from './schemas.ts';

const fileOf: Record<LibraryNoun, TableFile> = {
  community: 'communities.json',
  treatment: 'treatments.json',
  sequence: 'sequences.json',
  noWork: 'no-work.json',
  prescription: 'prescriptions.json',
  lineKind: 'line-kinds.json',
};

/** The row as the published table would hold it: rows of one property and the fields that only own rows have. */
function publishedSpan({
  holdsFrom: _,
  holdsUntil: __,
  madeFrom: _from,
  ...span
}: NoWorkSpan): unknown {
  const { unitIds: ___, ...applies } = span.applies;
  return { ...span, propertyId: null, applies };
}

function publishedPrescription(row: Prescription): unknown {
  const {
    gustMph: _,
    fineFuelMoisturePercent: __,
    snowInchesMost: ___,
    quietNextDay: ____,
    windHeight: _____,
    ...rest
  } = row;
  return rest;
}

function tablesOf(library: Library): RawTables {
  const { weatherTables, sheetTables } = library;
  return {
    'treatments.json': library.treatments,
    'communities.json': library.communities,
    'sequences.json': library.sequences,
    'no-work.json': library.noWork.map(publishedSpan),
    'cautions.json': library.cautions,
    'prescriptions.json': library.prescriptions.map(publishedPrescription),
    'line-kinds.json': library.lineKinds,
    'burn-steps.json': library.burnSteps,
    'state-rules.json': library.stateRules,
    'follow-ups.json': library.followUps,
    'instructions.json': sheetTables.instructions,
    'plan-elements.json': sheetTables.planElements,
    'burn-lists.json': sheetTables.burnLists,
    'fit-day-defaults.json': library.fitDayDefaults,
    'fine-fuel-moisture.json': weatherTables.fineFuelMoisture,
    'fine-fuel-corrections.json': weatherTables.fineFuelCorrections,
    'drying-days.json': weatherTables.dryingDays,
    'leaf-out-models.json': weatherTables.leafOutModels,
    'fuel-models.json': weatherTables.fuelModels,
    'yardsticks.json': library.yardsticks,
  };
}

function limitsProblems(row: Prescription): Problem[] {
  const limits: [string, string, Limits | undefined][] = [
    ['temperatureF', 'Temperature', row.temperatureF],
    ['rhPercent', 'Humidity', row.rhPercent],
    ['windMph', 'Wind', row.windMph],
    ['gustMph', 'Gusts', row.gustMph],
    ['fineFuelMoisturePercent', 'Fine fuel moisture', row.fineFuelMoisturePercent],
  ];
  return limits.flatMap(([field, name, limit]) => {
    if (!limit || limit.least === null || limit.most === null || limit.least <= limit.most)
      return [];
    const message = `${name}: the least can not be above the most.`;
    return [{ code: 'prescription', field, ref: row.key, message }];
  });
}

function rowProblems<N extends LibraryNoun>(noun: N, row: LibraryRows[N]): Problem[] {
  if (noun !== 'prescription') return [];
  const prescription = row as Prescription;
  const problems = limitsProblems(prescription);
  if (prescription.toHour < prescription.fromHour) {
    const message = 'Hours: the last hour can not be before the first one.';
    problems.push({ code: 'prescription', field: 'toHour', ref: row.key, message });
  }
  return problems;
}

/** Where the user's own rows are freer than the published tables: sources in their own words, own firmness. */
function isAskedOfOwnRows(noun: LibraryNoun, { field = '', message }: Problem): boolean {
  if (/(^|\/)(source|status)$/.test(field)) return false;
  // Fit days of a new prescription are entered or counted later; until then it has none.
  if (noun === 'prescription' && message.includes('fit-day-defaults.json')) return false;
  return !(noun === 'noWork' && field === 'firmness');
}

/**
 * What is wrong with a user's own row of a reference table: its shape, its keys, and for a sequence the tree of its
 * steps. `library` is the one with the user's rows; the row may be new or take the place of one. Each problem names
 * the field.
 */
export function ownRowProblems<N extends LibraryNoun>(
  library: Library,
  noun: N,
  row: LibraryRows[N],
): Problem[] {
  const own = rowProblems(noun, row);
  if (own.length > 0) return own;
  const file = fileOf[noun];
  // A copy: the check freezes what it is given.
  const tables = structuredClone(tablesOf(library));
  const rows = tables[file] as { key: string }[];
  const published = structuredClone(
    noun === 'noWork'
      ? publishedSpan(row as NoWorkSpan)
      : noun === 'prescription'
        ? publishedPrescription(row as Prescription)
        : row,
  ) as { key: string };
  const at = rows.findIndex((one) => one.key === row.key);
  if (at < 0) rows.push(published);
  else rows[at] = published;
  const outcome = libraryFrom(tables);
  if (outcome.ok) return [];
  const head = `shared/${file}: row ${row.key}: `;
  return outcome.problems
    .filter((problem) => problem.message.startsWith(head) && isAskedOfOwnRows(noun, problem))
    .map((problem) => ({ ...problem, message: namedSteps(sentenceOf(problem, head), row) }));
}

/** People know the steps of a sequence by their names, not their keys. */
function namedSteps(message: string, row: LibraryRows[LibraryNoun]): string {
  if (!('steps' in row)) return message;
  return message.replace(/^Step ([a-z0-9-]+):/, (whole, key: string) => {
    const step = row.steps.find((one) => one.key === key);
    return step ? `Step ${step.name}:` : whole;
  });
}

function sentenceOf({ message }: Problem, head: string): string {
  const words = message.slice(head.length);
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}
