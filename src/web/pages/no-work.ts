import { type DateRange, lastDayOf } from '../../core/dates.ts';
import type { Approval, NoWorkSpan } from '../../core/no-work.ts';
import type { Operation } from '../../core/operation.ts';
import { approvalId } from '../../core/retired.ts';
import { openYear, yearOfSeason } from '../../core/season/open-words.ts';
import type { Caution, Treatment } from '../../core/treatments.ts';
import type { Unit } from '../../core/units.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { sourceWords, windowWords } from './sequences.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { cautionsFor } from './task-words.ts';
import type { FilterLink } from './year.ts';
import { type YearStrip, yearStrip } from './year-strip.ts';

export interface NoWorkQuery {
  /** State code, `all`, or empty for the states of the properties. */
  state: string;
  unit: string;
  treatment: string;
}

/** A rule as the table shows it. */
export interface RuleLine {
  name: string;
  path: string;
  /** Where the rule holds: a state, a property, or everywhere. */
  where: string;
  dates: string;
  reason: string;
  authority: string;
  firmness: string;
  isHard: boolean;
  asOf: string;
  source: string;
}

export interface NoWorkPage {
  shell: Shell;
  query: NoWorkQuery;
  rules: RuleLine[];
  states: FilterLink[];
  units: { key: string; name: string }[];
  treatments: { key: string; name: string }[];
  /** Of the unit and treatment that were picked; null before that. */
  picked: {
    title: string;
    unitPath: string;
    span: string;
    strip: YearStrip;
    rules: RuleLine[];
    approvals: { words: string; path: string }[];
  } | null;
  cautions: Caution[];
}

const firmnessNames = { hard: 'hard', 'ask-first': 'ask first' } as const;
const placesOf = { lease: 'leases', grazing: 'grazing', point: 'points' } as const;

function rulePath({ key, madeFrom }: NoWorkSpan): string {
  return madeFrom
    ? `/records/${placesOf[madeFrom.noun]}/${madeFrom.id}`
    : `/records/no-work/${encodeURIComponent(key)}`;
}

function ruleLine(operation: Operation, span: NoWorkSpan): RuleLine {
  const property = operation.properties.find((one) => one.id === span.propertyId);
  const ofRow = span.madeFrom ? `by the ${span.madeFrom.noun} on record` : '';
  return {
    name: span.name,
    path: rulePath(span),
    where: property?.name ?? span.state ?? 'everywhere',
    dates: windowWords([span]),
    reason: span.reason,
    authority: words.authorityNames[span.authority],
    firmness: firmnessNames[span.firmness],
    isHard: span.firmness === 'hard',
    asOf: span.asOf,
    source: ofRow === '' ? sourceWords(span) : ofRow,
  };
}

function stateOf(operation: Operation, span: NoWorkSpan): string | null {
  if (span.state !== null) return span.state;
  return operation.properties.find((one) => one.id === span.propertyId)?.state ?? null;
}

/** Where a rule of no state and no property holds, every filter shows it. */
function isOfState(operation: Operation, span: NoWorkSpan, states: ReadonlySet<string>): boolean {
  const state = stateOf(operation, span);
  return state === null || states.has(state);
}

/** The query as typed; unknown values stay and find nothing. */
export function noWorkQuery(raw: Record<string, string | undefined>): NoWorkQuery {
  const value = (name: string) => (raw[name] ?? '').slice(0, 80);
  return { state: value('state'), unit: value('unit'), treatment: value('treatment') };
}

function stateLinks(operation: Operation, query: NoWorkQuery, own: ReadonlySet<string>) {
  const all = [
    ...new Set(operation.noWork.flatMap((span) => stateOf(operation, span) ?? [])),
  ].toSorted();
  const link = (key: string, name: string, states: ReadonlySet<string>): FilterLink => ({
    name,
    path: `/no-work?${new URLSearchParams({ ...query, state: key })}`,
    count: operation.noWork.filter((span) => isOfState(operation, span, states)).length,
    isCurrent: query.state === key,
  });
  return [
    link('', 'states of the properties', own),
    link('all', 'all', new Set(all)),
    ...all.map((state) => link(state, state, new Set([state]))),
  ];
}

function approvalWords(operation: Operation, approval: Approval): string {
  const name = operation.noWork.find((one) => one.key === approval.noWorkKey)?.name ?? '';
  return `${name}: ${words.span(approval.from, approval.until)}, granted by ${approval.grantedBy}`;
}

function pickedOf(
  deps: Deps,
  operation: Operation,
  unit: Unit | undefined,
  treatment: Treatment | undefined,
): NoWorkPage['picked'] {
  const property = operation.properties.find((one) => one.id === unit?.propertyId);
  if (!unit || !treatment || !property) return null;
  const today = todayAt(deps, property);
  const range: DateRange = yearOfSeason(today, property.burningSeasonStart);
  const year = openYear(treatment, unit, property, operation, range);
  const keys = new Set(year.rules.map(({ key }) => key));
  return {
    title: `${treatment.name} on ${unit.code} ${unit.name}`,
    unitPath: `/units/${unit.id}`,
    span: words.span(range.startsOn, lastDayOf(range)),
    strip: yearStrip(year, range, today),
    rules: year.rules.map((span) => ruleLine(operation, span)),
    approvals: operation.approvals
      .filter((row) => row.unitId === unit.id && keys.has(row.noWorkKey))
      .map((row) => ({
        words: approvalWords(operation, row),
        path: `/records/approvals/${encodeURIComponent(approvalId(row))}`,
      })),
  };
}

/** What the page of no-work dates shows. */
export function noWorkPage(deps: Deps, query: NoWorkQuery): NoWorkPage {
  const operation = deps.operation();
  const own = new Set(operation.properties.map(({ state }) => state));
  const isAll = query.state === 'all';
  const wanted = query.state === '' ? own : new Set([query.state]);
  const unit = operation.units.find(({ id }) => String(id) === query.unit);
  const treatment = operation.treatments.find(({ key }) => key === query.treatment);
  return {
    shell: shellOf(deps, 'more', 'When may no work be done?'),
    query,
    rules: operation.noWork
      .filter((span) => isAll || isOfState(operation, span, wanted))
      .map((span) => ruleLine(operation, span)),
    states: stateLinks(operation, query, own),
    units: operation.units.map(({ id, code, name }) => ({
      key: String(id),
      name: `${code} ${name}`,
    })),
    treatments: operation.treatments.map(({ key, name }) => ({ key, name })),
    picked: pickedOf(deps, operation, unit, treatment),
    cautions: cautionsFor(operation, treatment ? [treatment.key] : []),
  };
}

/** A treatment of the unit's sequence with its strip. */
export interface TreatmentYear {
  name: string;
  path: string;
  strip: YearStrip;
}

/** The treatments named, each with its year on the unit; a key that is gone is left out. */
export function treatmentYears(
  deps: Deps,
  unit: Unit,
  treatmentKeys: Iterable<string>,
): TreatmentYear[] {
  const operation = deps.operation();
  const property = operation.properties.find((one) => one.id === unit.propertyId);
  if (!property) return [];
  const today = todayAt(deps, property);
  const range = yearOfSeason(today, property.burningSeasonStart);
  return [...new Set(treatmentKeys)].flatMap((key) => {
    const treatment = operation.treatments.find((one) => one.key === key);
    if (!treatment) return [];
    const year = openYear(treatment, unit, property, operation, range);
    return [
      {
        name: treatment.name,
        path: `/no-work?${new URLSearchParams({ unit: String(unit.id), treatment: key })}`,
        strip: yearStrip(year, range, today),
      },
    ];
  });
}
