import type { SignedIn } from './accounts.ts';
import { type Weights, weightsDefault } from './costs.ts';
import type { LandContent } from './library.ts';
import type { Operation } from './operation.ts';
import type { Plan, PlanContent, PlanDifference } from './plans.ts';
import type { Problem } from './problems.ts';
import type { WhyNot } from './tasks.ts';

/** The part of the land, rows out of use included, that says what belongs to which property. */
type Land = Pick<LandContent, 'landowners' | 'properties' | 'units' | 'blocks' | 'entries'> &
  Partial<Pick<LandContent, 'points' | 'lines'>>;

/** What a person who is limited to some properties may see. */
export interface Sight {
  isLandowner: boolean;
  properties: ReadonlySet<number>;
  landowners: ReadonlySet<number>;
  units: ReadonlySet<number>;
  blocks: ReadonlySet<number>;
  entries: ReadonlySet<number>;
  /** Finds a name of land that the person may not see; null = there is none. */
  foreignName: RegExp | null;
}

const escaped = (text: string) => text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');

/** Names of land that is not the person's, as whole words; what own land is called as well says nothing. */
function foreignNames(land: Land, isOwn: (propertyId: number) => boolean): RegExp | null {
  const own = new Set<string>();
  const foreign = new Set<string>();
  const note = (propertyId: number, ...names: string[]) => {
    for (const name of names) (isOwn(propertyId) ? own : foreign).add(name);
  };
  for (const { id, name, landownerId } of land.properties)
    note(id, name, land.landowners.find((owner) => owner.id === landownerId)?.name ?? '');
  for (const { propertyId, code, name } of [...land.units, ...land.blocks])
    note(propertyId, code, name);
  for (const { propertyId, name } of [...(land.points ?? []), ...(land.lines ?? [])])
    note(propertyId, name);
  const names = [...foreign].filter((name) => name.length > 1 && !own.has(name));
  if (names.length === 0) return null;
  // Longer names first, so that a name inside another one does not end the search early.
  names.sort((a, b) => b.length - a.length);
  return new RegExp(
    `(?<![\\p{L}\\p{N}])(?:${names.map(escaped).join('|')})(?![\\p{L}\\p{N}])`,
    'u',
  );
}

/** What a person sees of the land; null = everything. */
export function sightOf(land: Land, person: SignedIn | null): Sight | null {
  if (person === null || person.propertyIds === null) return null;
  const properties = new Set(person.propertyIds);
  const ids = (rows: readonly { id: number; propertyId: number }[]) =>
    new Set(rows.filter((row) => properties.has(row.propertyId)).map(({ id }) => id));
  const units = ids(land.units);
  return {
    isLandowner: person.role === 'landowner',
    properties,
    landowners: new Set(
      land.properties.filter(({ id }) => properties.has(id)).map(({ landownerId }) => landownerId),
    ),
    units,
    blocks: ids(land.blocks),
    entries: new Set(land.entries.filter(({ unitId }) => units.has(unitId)).map(({ id }) => id)),
    foreignName: foreignNames(land, (id) => properties.has(id)),
  };
}

type Row = Record<string, unknown>;

/** Fields that say what a row is about, by the set that they are looked up in. */
const oneOf: Readonly<Record<string, keyof Sight>> = {
  propertyId: 'properties',
  landownerId: 'landowners',
  unitId: 'units',
  blockId: 'blocks',
  entryId: 'entries',
};
const someOf: Readonly<Record<string, keyof Sight>> = {
  propertyIds: 'properties',
  unitIds: 'units',
  blockIds: 'blocks',
};

/** Courses and outlines name nothing, and are long. */
const shapes = new Set(['boundary', 'path', 'position']);

const holds = (sight: Sight, set: keyof Sight, id: unknown) =>
  (sight[set] as ReadonlySet<unknown>).has(id);

/** True when a task key, such as `unit:3/...`, is of land that the person sees, or of none. */
export function seesTask(sight: Sight, key: string): boolean {
  const [, kind, id] = /^(unit|block):(\d+)\//.exec(key) ?? [];
  if (kind === undefined) return true;
  return holds(sight, kind === 'unit' ? 'units' : 'blocks', Number(id));
}

/** Series of readings, bytes and maps hold no rows. */
function isPlain(value: unknown): boolean {
  if (typeof value !== 'object' || value === null) return false;
  const prototype: unknown = Object.getPrototypeOf(value);
  return prototype === Object.prototype || prototype === null;
}

function seenRow(row: Row, sight: Sight): Row | undefined {
  let own = row;
  const set = (field: string, value: unknown) => {
    if (own === row) own = { ...row };
    own[field] = value;
  };
  let isPlaced = false;
  for (const [field, value] of Object.entries(row)) {
    if (value === null || value === undefined || shapes.has(field)) continue;
    const one = oneOf[field];
    const some = someOf[field];
    if (one !== undefined) {
      isPlaced = true;
      if (!holds(sight, one, value)) return undefined;
    } else if (some !== undefined && Array.isArray(value)) {
      const left = value.filter((id) => holds(sight, some, id));
      if (left.length === value.length) continue;
      // An empty list would mean all of the land.
      if (left.length === 0) return undefined;
      set(field, left);
    } else if (typeof value === 'object') {
      const seen = restricted(value, sight);
      if (seen === undefined) return undefined;
      if (seen !== value) set(field, seen);
    }
  }
  const { taskKey } = row;
  if (!isPlaced && typeof taskKey === 'string' && !seesTask(sight, taskKey)) return undefined;
  return own;
}

/**
 * Rows as a person may see them: a row says by the names of its fields (`propertyId`, `unitIds`, ...) what land it is
 * about, and goes when that is somebody else's; one that names no land is everybody's. What is
 * inside rows is looked at alike, so that a new kind of row needs nothing here. `undefined` = nothing is left.
 */
export function restricted<T>(value: T, sight: Sight): T | undefined {
  if (Array.isArray(value)) {
    if (typeof value[0] !== 'object') return value;
    const left = value.flatMap((one: unknown) => {
      const seen = restricted(one, sight);
      return seen === undefined ? [] : [seen];
    });
    const isSame = left.length === value.length && left.every((one, at) => one === value[at]);
    return isSame ? value : (left as T);
  }
  if (!isPlain(value)) return value;
  return seenRow(value as Row, sight) as T | undefined;
}

/** True when a row says, by one of its own fields, what land it is about. */
export function namesLand(row: object): boolean {
  return Object.entries(row).some(([field, value]) =>
    Array.isArray(value)
      ? someOf[field] !== undefined && value.length > 0
      : oneOf[field] !== undefined && value !== null,
  );
}

/** A list as the person may see it. */
export function restrictedList<T>(rows: readonly T[], sight: Sight | null): T[] {
  return sight ? (restricted([...rows], sight) ?? []) : [...rows];
}

/** Land, people and facts as a person may see them. */
export function restrictedLand<L extends LandContent>(land: L, sight: Sight | null): L {
  if (!sight) return land;
  const rest = Object.fromEntries(
    Object.entries(land)
      .filter(([field]) => !['neighbours', 'landowners', 'properties', 'settings'].includes(field))
      .map(([field, value]) => [field, restricted(value, sight)]),
  );
  const own: L = {
    ...land,
    ...rest,
    landowners: land.landowners.filter(({ id }) => sight.landowners.has(id)),
    properties: land.properties.filter(({ id }) => sight.properties.has(id)),
    neighbours: land.neighbours.filter(({ unitIds }) => unitIds.every((id) => sight.units.has(id))),
  };
  return sight.isLandowner ? withoutPeople(own) : own;
}

/** The operation as a person may see it. */
export function restrictedTo(operation: Operation, sight: Sight | null): Operation {
  return restrictedLand(operation, sight);
}

const onFile = 'on file';

/** A landowner's view: no other people, no gear, no costs, no weights. Own land, its facts and its rules stay. */
function withoutPeople<L extends LandContent>(land: L): L {
  const weights: Weights = weightsDefault;
  return {
    ...land,
    people: [],
    bookings: [],
    gear: [],
    planElements: [],
    crews: land.crews.map((crew) => ({ ...crew, peopleCount: 1, costPerDayUsd: 0, daysOff: [] })),
    blocks: land.blocks.map((block) => {
      const { readiness } = block;
      const { roles, planSignedBy, peopleNamed } = readiness;
      return {
        ...block,
        readiness: {
          ...readiness,
          roles: [],
          peopleNamed: peopleNamed || roles.length > 0,
          planSignedBy: planSignedBy === null ? null : onFile,
        },
      };
    }),
    consents: land.consents.map((consent) =>
      consent.isNeighbour ? { ...consent, givenBy: 'a neighbor', note: '' } : consent,
    ),
    settings: { ...land.settings, weights },
  };
}

/** Said in place of a reason that names somebody else's land. */
const otherLand = 'other work comes first';

/** Sentences without those that name somebody else's land. */
export function ownSentences(sentences: readonly string[], sight: Sight | null): string[] {
  const name = sight?.foreignName;
  return name ? sentences.filter((text) => !name.test(text)) : [...sentences];
}

function ownReason(reason: string, sight: Sight): string {
  return sight.foreignName?.test(reason) ? otherLand : reason;
}

const worthLess = 'it costs more than leaving it out counts for';

/** What stands in the way of own work, less what names somebody else's land; a landowner sees no costs. */
function ownWhy(why: WhyNot, sight: Sight): WhyNot {
  const isCost = sight.isLandowner && why.obstacle === 'price';
  const [displacing] = why.displacing === null ? [] : ownSentences([why.displacing], sight);
  return {
    ...why,
    words: isCost ? worthLess : ownReason(why.words, sight),
    displacing: sight.isLandowner ? null : (displacing ?? null),
  };
}

function restrictedContent(content: PlanContent, sight: Sight): PlanContent {
  const tasks = restrictedList(content.tasks, sight).map((task) => ({
    ...task,
    because: ownSentences(task.because, sight),
    ...(task.late ? { late: ownWhy(task.late, sight) } : {}),
    ...(sight.isLandowner ? { cost: 0 } : {}),
  }));
  const leftOut = restrictedList(content.leftOut, sight).map((task) => ({
    ...task,
    reason:
      sight.isLandowner && task.why?.obstacle === 'price'
        ? worthLess
        : ownReason(task.reason, sight),
    ...(task.why ? { why: ownWhy(task.why, sight) } : {}),
    ...(sight.isLandowner ? { cost: 0 } : {}),
  }));
  const later = restrictedList(content.later, sight).map((task) => ({
    ...task,
    reason: ownReason(task.reason, sight),
  }));
  const cost = [...tasks, ...leftOut].reduce((sum, task) => sum + task.cost, 0);
  return { ...content, cost, bound: null, tasks, leftOut, later };
}

/** A plan as a person may see it: own tasks, their cost, and no bound, which is one of all land. */
export function restrictedPlan(plan: Plan, sight: Sight | null): Plan {
  return sight ? { ...plan, content: restrictedContent(plan.content, sight) } : plan;
}

/** Differences of own tasks. */
export function restrictedDifferences(
  differences: readonly PlanDifference[],
  sight: Sight | null,
): PlanDifference[] {
  if (!sight) return [...differences];
  return differences
    .filter(({ key }) => seesTask(sight, key))
    .map((one) =>
      one.kind === 'left-out' ? { ...one, reason: ownReason(one.reason, sight) } : one,
    );
}

/** What a change would do to land that the person does not see is said without its names. */
export function restrictedProblems(problems: readonly Problem[], sight: Sight | null): Problem[] {
  if (!sight) return [...problems];
  return problems.map((problem) => {
    const { ref, message } = problem;
    const isForeign =
      sight.foreignName?.test(`${ref ?? ''} ${message}`) ||
      (ref !== undefined && !seesTask(sight, ref));
    if (!isForeign) return problem;
    return {
      code: problem.code,
      message: 'Planned work on land that you do not see would break a rule.',
    };
  });
}
