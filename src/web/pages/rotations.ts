import type { Block } from '../../core/blocks.ts';
import { sequenceOf, unitsOf } from '../../core/chains.ts';
import type { IsoDate } from '../../core/dates.ts';
import type { Operation } from '../../core/operation.ts';
import type { Property } from '../../core/properties.ts';
import {
  type BurnRotation,
  defaultRotationOf,
  type FireStatus,
  fireStatus,
  fireStatusWords,
  rotationOf,
} from '../../core/rotation.ts';
import { burnedAndPlanned, hasLateMode, needByCommunity } from '../../core/rotation-needs.ts';
import { burningSeasonName } from '../../core/seasons.ts';
import type { PlannedTask } from '../../core/tasks.ts';
import type { Deps } from '../deps.ts';
import * as words from '../words.ts';
import { type Paged, paged } from './paging.ts';
import { sourceWords } from './sequences.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { answeredKeys, fireKindNames, fireKinds } from './units.ts';
import type { FilterLink } from './year.ts';

export const rotationSorts = ['block', 'acres', 'interval', 'fire'] as const;
export type RotationSort = (typeof rotationSorts)[number];

export interface RotationQuery {
  property: string;
  status: string;
  q: string;
  sort: RotationSort;
}

export interface RotationRow {
  name: string;
  path: string;
  property: string;
  areaAcres: number;
  /** "2 to 4 years, target 3", or that no fire is planned. */
  interval: string;
  from: string;
  fromPath: string;
  source: string;
  lastFire: string;
  status: string;
  isOverdue: boolean;
  late: string;
  parts: string;
}

export interface PropertyNeed {
  property: string;
  communities: { name: string; areaAcres: number; target: string; least: string }[];
  total: { areaAcres: number; target: string; least: string };
  seasons: { name: string; burned: string; planned: string }[];
}

export interface RotationsPage {
  shell: Shell;
  query: RotationQuery;
  rows: Paged<RotationRow>;
  blockCount: number;
  filters: { name: string; links: FilterLink[] }[];
  sorts: Record<RotationSort, string>;
  /** Address of the list as it is narrowed, for its pages. */
  pagePath: string;
  needs: PropertyNeed[];
}

interface Candidate {
  block: Block;
  unitPath: string;
  areaAcres: number;
  rotation: BurnRotation | null;
  /** Of the unit that stands worst. */
  status: FireStatus;
  statusWords: string;
}

/** The query as typed, with an unknown order left out. */
export function rotationQuery(raw: Record<string, string | undefined>): RotationQuery {
  const value = (name: string) => (raw[name] ?? '').slice(0, 80);
  return {
    property: value('property'),
    status: value('status'),
    q: value('q').trim(),
    sort: rotationSorts.find((one) => one === raw['sort']) ?? 'block',
  };
}

function pathWith(query: RotationQuery, change: Partial<RotationQuery>): string {
  const parts = Object.entries({ ...query, ...change }).filter(
    ([name, value]) => value !== '' && !(name === 'sort' && value === 'block'),
  );
  const search = new URLSearchParams(parts).toString();
  return search === '' ? '/rotations' : `/rotations?${search}`;
}

/** Most pressing first: overdue by years, no fire on record, then by years since. */
function pressing(status: FireStatus): number {
  if (status.kind === 'overdue') return -1000 - status.yearsOver;
  if (status.kind === 'no-fire-on-record') return -1000;
  if (status.kind === 'within') return -status.yearsSince;
  return status.kind === 'held' ? 0 : 1;
}

function candidateOf(operation: Operation, block: Block, today: IsoDate): Candidate | null {
  const units = unitsOf(operation, block);
  const standings = units
    .map((unit) => ({ unit, status: fireStatus(operation, unit, today) }))
    .sort((a, b) => pressing(a.status) - pressing(b.status));
  const [worst] = standings;
  if (!worst) return null;
  const said = new Set(standings.map(({ status }) => fireStatusWords(status)));
  const prefix = said.size > 1 ? `${worst.unit.code}: ` : '';
  return {
    block,
    unitPath: `/units/${worst.unit.id}`,
    areaAcres: units.reduce((sum, unit) => sum + unit.areaAcres, 0),
    rotation: rotationOf(operation, block),
    status: worst.status,
    statusWords: `${prefix}${fireStatusWords(worst.status)}`,
  };
}

const byText = (a: string, b: string) => a.localeCompare(b, 'en', { numeric: true });
const orders: Record<RotationSort, (a: Candidate, b: Candidate) => number> = {
  block: (a, b) => byText(a.block.code, b.block.code),
  acres: (a, b) => b.areaAcres - a.areaAcres,
  interval: (a, b) => (a.rotation?.targetYears ?? 1000) - (b.rotation?.targetYears ?? 1000),
  fire: (a, b) => pressing(a.status) - pressing(b.status),
};

function matches({ block, status }: Candidate, query: RotationQuery): boolean {
  return (
    (query.property === '' || String(block.propertyId) === query.property) &&
    (query.status === '' || status.kind === query.status) &&
    `${block.code} ${block.name}`.toLowerCase().includes(query.q.toLowerCase())
  );
}

function filterLinks(
  candidates: readonly Candidate[],
  query: RotationQuery,
  field: 'property' | 'status',
  options: readonly { key: string; name: string }[],
): FilterLink[] {
  const link = (key: string, name: string): FilterLink => ({
    name,
    count: candidates.filter((one) => matches(one, { ...query, [field]: key })).length,
    path: pathWith(query, { [field]: key }),
    isCurrent: query[field] === key,
  });
  const links = options.map(({ key, name }) => link(key, name));
  return [link('', 'all'), ...links.filter((one) => one.count !== 0 || one.isCurrent)];
}

/** Where the interval in use comes from: the block's own, its sequence, or its natural community. */
function fromOf(
  operation: Operation,
  block: Block,
): Pick<RotationRow, 'from' | 'fromPath' | 'source'> {
  if (block.rotation)
    return {
      from: "the block's own",
      fromPath: `/records/blocks/${block.id}`,
      source: words.statusNames['default-to-edit'],
    };
  const found = defaultRotationOf(operation, block);
  if (!found) return { from: '', fromPath: '', source: '' };
  const { from } = found;
  const isSequence = 'steps' in from;
  return {
    from: `${isSequence ? 'sequence' : 'natural community'} ${from.name}`,
    fromPath: `/records/${isSequence ? 'sequences' : 'communities'}/${from.key}`,
    source: sourceWords(from),
  };
}

const ordinals = ['', '', 'second ', 'third ', 'fourth ', 'fifth '] as const;

function lateWords(operation: Operation, { block, rotation }: Candidate): string {
  const every = rotation?.lateEvery ?? null;
  if (every === null) return 'not asked';
  const said = `every ${ordinals[every] ?? `${every}th `}burn`;
  return hasLateMode(operation, block) ? said : `${said}, but its sequence has no late-season burn`;
}

function rowOf(operation: Operation, one: Candidate): RotationRow {
  const { block, rotation, status } = one;
  const parts = sequenceOf(operation, block)?.partsCount ?? 1;
  const lastFireOn = 'lastFireOn' in status ? status.lastFireOn : null;
  const number = words.number;
  return {
    name: `${block.code} ${block.name}`.trim(),
    path: one.unitPath,
    property: operation.properties.find(({ id }) => id === block.propertyId)?.name ?? '',
    areaAcres: one.areaAcres,
    interval: rotation
      ? `${number(rotation.leastSeasons)} to ${number(rotation.mostYears)} years, target ${number(rotation.targetYears)}`
      : 'no fire planned',
    ...fromOf(operation, block),
    lastFire: lastFireOn ? words.date(lastFireOn) : 'none on record',
    status: one.statusWords,
    isOverdue: status.kind === 'overdue',
    late: rotation ? lateWords(operation, one) : '',
    parts:
      parts === 1 ? 'whole' : parts === 3 ? 'thirds, one a year' : `${parts} parts, one a year`,
  };
}

/** Burning seasons that are over, shown beside what the intervals ask. */
const seasonsBefore = 5;

function needOf(
  operation: Operation,
  property: Property,
  today: IsoDate,
  planned: readonly PlannedTask[],
): PropertyNeed {
  const needs = needByCommunity(operation, property);
  const sum = (of: (need: (typeof needs)[number]) => number) =>
    needs.reduce((acres, need) => acres + of(need), 0);
  const number = words.number;
  return {
    property: property.name,
    communities: needs.map(({ name, areaAcres, targetAcresAYear, leastAcresAYear }) => ({
      name,
      areaAcres,
      target: number(targetAcresAYear),
      least: number(leastAcresAYear),
    })),
    total: {
      areaAcres: sum((need) => need.areaAcres),
      target: number(sum((need) => need.targetAcresAYear)),
      least: number(sum((need) => need.leastAcresAYear)),
    },
    seasons: burnedAndPlanned(operation, property, today, planned, seasonsBefore).map(
      ({ season, burnedAcres, plannedAcres }, at) => ({
        name: burningSeasonName(season),
        burned: at <= seasonsBefore ? number(burnedAcres) : '',
        planned: at >= seasonsBefore ? number(plannedAcres) : '',
      }),
    ),
  };
}

/** What the Rotations page shows. */
export function rotationsPage(
  deps: Deps,
  query: RotationQuery,
  asked: string | undefined,
): RotationsPage {
  const operation = deps.operation();
  const { properties } = operation;
  const todays = new Map(properties.map((one) => [one.id, todayAt(deps, one)]));
  const candidates = operation.blocks.flatMap(
    (block) =>
      candidateOf(operation, block, todays.get(block.propertyId) ?? todayAt(deps, undefined)) ?? [],
  );
  const found = candidates.filter((one) => matches(one, query)).sort(orders[query.sort]);
  const page = paged(found, asked);
  const answered = answeredKeys(operation);
  const planned = (deps.plans.inForce()?.content.tasks ?? []).filter(
    ({ key }) => !answered.has(key),
  );
  const path = pathWith(query, {});
  const named = properties.map(({ id, name }) => ({ key: String(id), name }));
  const statuses = fireKinds.map((key) => ({ key, name: fireKindNames[key] }));
  return {
    shell: shellOf(deps, 'units', 'How often does each block burn?'),
    query,
    rows: { ...page, rows: page.rows.map((one) => rowOf(operation, one)) },
    blockCount: candidates.length,
    filters: [
      { name: 'Property', links: filterLinks(candidates, query, 'property', named) },
      { name: 'Fire', links: filterLinks(candidates, query, 'status', statuses) },
    ],
    sorts: Object.fromEntries(
      rotationSorts.map((sort) => [sort, pathWith(query, { sort })]),
    ) as Record<RotationSort, string>,
    pagePath: `${path}${path.includes('?') ? '&' : '?'}`,
    needs: properties.map((one) => needOf(operation, one, todays.get(one.id) as IsoDate, planned)),
  };
}
