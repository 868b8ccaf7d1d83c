import { type ChainStep, chainOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Plan } from '../../core/plans.ts';
import { type FireStatus, fireStatus, fireStatusWords } from '../../core/rotation.ts';
import { type SequenceGap, sequenceGap } from '../../core/sequence-gaps.ts';
import type { PlannedTask } from '../../core/tasks.ts';
import type { Family } from '../../core/treatments.ts';
import type { Unit } from '../../core/units.ts';
import type { Deps } from '../deps.ts';
import type { ChipState } from '../words.ts';
import * as words from '../words.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { chipOfPlanned } from './task-words.ts';

export const unitSorts = ['code', 'name', 'acres', 'fire', 'next'] as const;
export type UnitSort = (typeof unitSorts)[number];

export const fireKinds = ['overdue', 'no-fire-on-record', 'within', 'held', 'not-planned'] as const;

export const fireKindNames: Record<FireStatus['kind'], string> = {
  overdue: 'overdue for fire',
  'no-fire-on-record': 'no fire on record',
  within: 'within the interval',
  held: 'fire held',
  'not-planned': 'no fire planned',
};

const gapNames: { key: SequenceGap; name: string }[] = [
  { key: 'no-sequence', name: 'none yet' },
  { key: 'no-burn', name: 'without a burn' },
];

/** What the list is narrowed to; empty text = all. */
export interface UnitQuery {
  property: string;
  community: string;
  status: string;
  /** What is lacking of a sequence of work. */
  work: string;
  q: string;
  sort: UnitSort;
}

export interface UnitRow {
  id: number;
  code: string;
  name: string;
  property: string;
  community: string;
  areaAcres: number;
  fireWords: string;
  isOverdue: boolean;
  next: { family: Family; chip: ChipState; name: string; when: string } | null;
}

interface FilterLink {
  name: string;
  count: number;
  path: string;
  isOn: boolean;
}

export interface UnitsPage {
  shell: Shell;
  query: UnitQuery;
  rows: UnitRow[];
  totalAcres: number;
  unitCount: number;
  filters: { name: string; links: FilterLink[] }[];
  sorts: Record<UnitSort, string>;
}

interface Candidate {
  unit: Unit;
  status: FireStatus;
  gap: SequenceGap | null;
  next: PlannedTask | null;
}

/** The query as typed, with unknown values left out. */
export function unitQuery(raw: Record<string, string | undefined>): UnitQuery {
  const sort = unitSorts.find((one) => one === raw['sort']) ?? 'code';
  const value = (name: string) => (raw[name] ?? '').slice(0, 80);
  return {
    property: value('property'),
    community: value('community'),
    status: value('status'),
    work: value('work'),
    q: value('q').trim(),
    sort,
  };
}

function pathWith(query: UnitQuery, change: Partial<UnitQuery>): string {
  const wanted = { ...query, ...change };
  const parts = Object.entries(wanted).filter(
    ([name, value]) => value !== '' && !(name === 'sort' && value === 'code'),
  );
  const search = new URLSearchParams(parts).toString();
  return search === '' ? '/units' : `/units?${search}`;
}

/** Keys of tasks that a fact has answered. */
export function answeredKeys(operation: Operation): Set<string> {
  const isAnswered = (step: ChainStep) => !['to-do', 'under-way'].includes(step.standing);
  return new Set(
    operation.blocks.flatMap((block) =>
      chainOf(operation, block)
        .filter(isAnswered)
        .map((step) => step.key),
    ),
  );
}

/** The next planned task by unit: earliest first day among those no fact has answered. */
function nextTasks(operation: Operation, plan: Plan | null): Map<number, PlannedTask> {
  const answered = answeredKeys(operation);
  const next = new Map<number, PlannedTask>();
  const unitsByBlock = new Map<number, Unit[]>();
  for (const unit of operation.units)
    unitsByBlock.set(unit.blockId, [...(unitsByBlock.get(unit.blockId) ?? []), unit]);
  for (const task of plan?.content.tasks ?? []) {
    if (answered.has(task.key) || task.tiedToKey !== null) continue;
    for (const unit of unitsByBlock.get(task.blockId) ?? []) {
      if (task.unitId !== null && task.unitId !== unit.id) continue;
      const before = next.get(unit.id);
      if (!before || task.startsOn < before.startsOn) next.set(unit.id, task);
    }
  }
  return next;
}

function matches(one: Candidate, query: UnitQuery): boolean {
  const { unit } = one;
  const wanted = query.q.toLowerCase();
  return (
    (query.property === '' || String(unit.propertyId) === query.property) &&
    (query.community === '' || unit.communityKey === query.community) &&
    (query.status === '' || one.status.kind === query.status) &&
    (query.work === '' || one.gap === query.work) &&
    (wanted === '' ||
      `${unit.code} ${unit.name} ${unit.tags.join(' ')}`.toLowerCase().includes(wanted))
  );
}

function fireOrder(status: FireStatus): number {
  if (status.kind === 'overdue') return -1000 - status.yearsOver;
  if (status.kind === 'no-fire-on-record') return -1000;
  return status.kind === 'within' ? -status.yearsSince : 0;
}

const byText = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true });
const farDate = '9999-12-31' as IsoDate;

const orders: Record<UnitSort, (a: Candidate, b: Candidate) => number> = {
  code: (a, b) => byText(a.unit.code, b.unit.code),
  name: (a, b) => byText(a.unit.name, b.unit.name),
  acres: (a, b) => b.unit.areaAcres - a.unit.areaAcres,
  fire: (a, b) => fireOrder(a.status) - fireOrder(b.status),
  next: (a, b) =>
    byText(a.next?.startsOn ?? farDate, b.next?.startsOn ?? farDate) ||
    byText(a.unit.code, b.unit.code),
};

/** Filter links of one kind; each count is what the link would show with the other filters kept. */
function filterLinks(
  candidates: readonly Candidate[],
  query: UnitQuery,
  field: 'property' | 'community' | 'status' | 'work',
  options: readonly { key: string; name: string }[],
): FilterLink[] {
  const link = (key: string, name: string): FilterLink => ({
    name,
    count: candidates.filter((one) => matches(one, { ...query, [field]: key })).length,
    path: pathWith(query, { [field]: key }),
    isOn: query[field] === key,
  });
  const links = options.map((option) => link(option.key, option.name));
  return [link('', 'all'), ...links.filter((one) => one.count > 0 || one.isOn)];
}

function rowOf(operation: Operation, one: Candidate): UnitRow {
  const { unit, status, next } = one;
  return {
    id: unit.id,
    code: unit.code,
    name: unit.name,
    property: operation.properties.find((row) => row.id === unit.propertyId)?.name ?? '',
    community:
      operation.communities.find((row) => row.key === unit.communityKey)?.name ?? unit.communityKey,
    areaAcres: unit.areaAcres,
    fireWords: fireStatusWords(status),
    isOverdue: status.kind === 'overdue',
    next: next && {
      family: next.family,
      chip: chipOfPlanned(next),
      name: next.name,
      when: words.span(next.startsOn, next.lastDay),
    },
  };
}

/** What the Units page shows. */
export function unitsPage(deps: Deps, query: UnitQuery): UnitsPage {
  const operation = deps.operation();
  const next = nextTasks(operation, deps.plans.inForce());
  const todays = new Map(
    operation.properties.map((property) => [property.id, todayAt(deps, property)]),
  );
  const candidates = operation.units.map((unit): Candidate => {
    const today = todays.get(unit.propertyId) ?? todayAt(deps, undefined);
    return {
      unit,
      status: fireStatus(operation, unit, today),
      gap: sequenceGap(operation, unit),
      next: next.get(unit.id) ?? null,
    };
  });
  const found = candidates.filter((one) => matches(one, query)).sort(orders[query.sort]);
  const communities = operation.communities.map(({ key, name }) => ({ key, name }));
  const properties = operation.properties.map(({ id, name }) => ({ key: String(id), name }));
  const statuses = fireKinds.map((key) => ({ key, name: fireKindNames[key] }));
  return {
    shell: shellOf(deps, 'units', 'What does each unit need next?'),
    query,
    rows: found.map((one) => rowOf(operation, one)),
    totalAcres: found.reduce((sum, one) => sum + one.unit.areaAcres, 0),
    unitCount: operation.units.length,
    filters: [
      { name: 'Property', links: filterLinks(candidates, query, 'property', properties) },
      { name: 'Community', links: filterLinks(candidates, query, 'community', communities) },
      { name: 'Fire', links: filterLinks(candidates, query, 'status', statuses) },
      { name: 'Sequence of work', links: filterLinks(candidates, query, 'work', gapNames) },
    ],
    sorts: Object.fromEntries(unitSorts.map((sort) => [sort, pathWith(query, { sort })])) as Record<
      UnitSort,
      string
    >,
  };
}
