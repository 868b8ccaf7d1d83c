import { type FeedScope, findFeedScope } from '../core/feed-scopes.ts';
import type { LandContent } from '../core/library.ts';
import type { Problem } from '../core/problems.ts';
import type { Noun, RowId } from '../core/records.ts';
import {
  namesLand,
  ownSentences,
  restricted,
  restrictedDifferences,
  restrictedLand,
  restrictedPlan,
  restrictedProblems,
  type Sight,
  seesTask,
} from '../core/restricted.ts';
import type { Deps, ShapeChange } from '../web/deps.ts';
import { PageError } from '../web/plugins/errors.ts';
import { type CurrentSight, operationInSight } from './sight.ts';

/** What is not the person's is not there for them. */
function notThere(): PageError {
  return new PageError(404, 'There is no page at this address.');
}

/** For what concerns every property: the plan, people, gear, rules, settings. */
function needsAll(): PageError {
  return new PageError(
    403,
    'This concerns all properties, and your account is limited to some. Ask somebody who sees all of them.',
  );
}

const isProblems = (value: unknown): value is Problem[] =>
  Array.isArray(value) && value.length > 0 && value.every((one) => one?.code && one?.message);

/** Problems in an answer without the names of other people's land. */
function ownProblems<T>(answer: T, sight: Sight): T {
  if (isProblems(answer)) return restrictedProblems(answer, sight) as T;
  if (typeof answer !== 'object' || answer === null || Array.isArray(answer)) return answer;
  const lists = Object.entries(answer).filter(([, value]) => isProblems(value));
  if (lists.length === 0) return answer;
  return {
    ...answer,
    ...Object.fromEntries(
      lists.map(([name, list]) => [name, restrictedProblems(list as Problem[], sight)]),
    ),
  };
}

function ownAnswer(answer: unknown, sight: Sight): unknown {
  if (answer instanceof Promise) return answer.then((value) => ownAnswer(value, sight));
  const own = restricted(answer, sight);
  return own === undefined ? null : ownProblems(own, sight);
}

type AnyCall = (...given: unknown[]) => unknown;

/**
 * A part of Deps for people who are limited: what a call is given must be of their own land, and what it answers is
 * cut down to it. Numbers alone say nothing of land; calls that take them are looked at one by one below.
 */
function guarded<T extends object>(part: T, sight: CurrentSight): T {
  const calls = Object.entries(part).map(([name, member]): [string, unknown] => {
    if (typeof member === 'object' && member !== null) return [name, guarded(member, sight)];
    if (typeof member !== 'function') return [name, member];
    const call = (...given: unknown[]) => {
      const own = sight();
      const answer = (member as AnyCall).apply(part, given);
      return own === null ? answer : ownAnswer(answer, own);
    };
    const checked = (...given: unknown[]) => {
      const own = sight();
      if (own !== null && given.some((one) => restricted(one, own) !== one)) throw notThere();
      return call(...given);
    };
    return [name, checked];
  });
  return Object.fromEntries(calls) as T;
}

/** Tables of the land by noun, for rows that are on record. */
const tables: Partial<Record<Noun, keyof LandContent>> = {
  landowner: 'landowners',
  property: 'properties',
  unit: 'units',
  block: 'blocks',
  line: 'lines',
  point: 'points',
  lease: 'leases',
  grazing: 'grazing',
  consent: 'consents',
};

/** Guards over one row, each ending the request when the row is not the person's. */
function guards(land: () => LandContent, sight: CurrentSight) {
  const check = (isOwn: (own: Sight) => boolean) => {
    const own = sight();
    if (own !== null && !isOwn(own)) throw notThere();
  };
  const all = () => {
    if (sight() !== null) throw needsAll();
  };
  const rowOf = (noun: Noun, id: RowId) => {
    const table = tables[noun] ?? (`${noun}s` as keyof LandContent);
    const rows = land()[table] as readonly { id?: number }[] | undefined;
    return Array.isArray(rows) ? (rows.find((row) => row.id === id) ?? null) : null;
  };
  return {
    all,
    property: (id: number) => check((own) => own.properties.has(id)),
    unit: (id: number) => check((own) => own.units.has(id)),
    block: (id: number) => check((own) => own.blocks.has(id)),
    entry: (id: number) => check((own) => own.entries.has(id)),
    task: (key: string) => check((own) => seesTask(own, key)),
    /** A row that is on record: of own land, or of everybody's, which needs sight of all. */
    record: (noun: Noun, id: RowId) => {
      const own = sight();
      if (own === null) return;
      if (noun === 'landowner') throw needsAll();
      if (noun === 'property') {
        if (!own.properties.has(Number(id))) throw notThere();
        return;
      }
      const row = noun === 'approval' ? approvalAt(land(), id) : rowOf(noun, id);
      if (row === null || !namesLand(row)) throw needsAll();
      if (restricted(row, own) !== row) throw notThere();
    },
  };
}

type Guards = ReturnType<typeof guards>;

function approvalAt(land: LandContent, id: RowId) {
  const [noWorkKey, unitId, from] = String(id).split('|');
  return (
    land.approvals.find(
      (one) =>
        one.noWorkKey === noWorkKey && String(one.unitId) === unitId && one.from === (from ?? ''),
    ) ?? null
  );
}

function scopedRecords(raw: Deps['records'], at: Guards, sight: CurrentSight): Deps['records'] {
  return {
    ...raw,
    save: (noun, row, isNew, isSure) => {
      const own = sight();
      if (own !== null) {
        const placed: object = row;
        const isOwn = noun === 'property' ? !isNew : namesLand(placed) && noun !== 'noWork';
        if (!isOwn) throw needsAll();
        const id = 'id' in placed ? (placed.id as RowId) : null;
        if (!isNew && id !== null) at.record(noun, id);
      }
      return raw.save(noun, row, isNew, isSure);
    },
    retire: (noun, id, isSure) => {
      at.record(noun, id);
      return raw.retire(noun, id, isSure);
    },
    bringBack: (noun, id) => {
      at.record(noun, id);
      return raw.bringBack(noun, id);
    },
    retired: () =>
      raw.retired().filter(({ noun, id }) => {
        if (sight() === null) return true;
        try {
          at.record(noun, id);
          return true;
        } catch (error) {
          if (error instanceof PageError) return false;
          throw error;
        }
      }),
    backToDefault: (noun, key, isSure) => {
      at.all();
      return raw.backToDefault(noun, key, isSure);
    },
  };
}

function scopedLand(raw: Deps['land'], at: Guards): Deps['land'] {
  return {
    ...raw,
    updateUnit: (unitId, ...rest) => {
      at.unit(unitId);
      return raw.updateUnit(unitId, ...rest);
    },
    updateBlock: (blockId, ...rest) => {
      at.block(blockId);
      return raw.updateBlock(blockId, ...rest);
    },
    setAnchors: (propertyId, ...rest) => {
      at.property(propertyId);
      return raw.setAnchors(propertyId, ...rest);
    },
    updateCrew: (...given) => {
      at.all();
      return raw.updateCrew(...given);
    },
    setFitDays: (...given) => {
      at.all();
      return raw.setFitDays(...given);
    },
    updateSettings: (settings) => {
      at.all();
      return raw.updateSettings(settings);
    },
    holdDates: (taskKey, startsOn) => {
      at.task(taskKey);
      return raw.holdDates(taskKey, startsOn);
    },
    startOwn: (property) => {
      at.all();
      return raw.startOwn(property);
    },
    loadSample: () => {
      at.all();
      return raw.loadSample();
    },
    importUnits: (propertyId, ...rest) => {
      at.property(propertyId);
      return raw.importUnits(propertyId, ...rest);
    },
  };
}

function scopedPlans(raw: Deps['plans'], at: Guards, sight: CurrentSight): Deps['plans'] {
  const own = (plan: ReturnType<Deps['plans']['draft']>) => plan && restrictedPlan(plan, sight());
  return {
    ...raw,
    inForce: () => own(raw.inForce()),
    draft: () => own(raw.draft()),
    everInForce: () => raw.everInForce().map((plan) => restrictedPlan(plan, sight())),
    adopt: (planId) => {
      at.all();
      return raw.adopt(planId);
    },
    discard: (planId) => {
      at.all();
      raw.discard(planId);
    },
    compare: (draft, inForce) => restrictedDifferences(raw.compare(draft, inForce), sight()),
    staleBecause: () => ownSentences(raw.staleBecause(), sight()),
  };
}

function scopedPlanning(raw: Deps['planning'], at: Guards): Deps['planning'] {
  return {
    ...raw,
    start: (limits) => {
      at.all();
      return raw.start(limits);
    },
    stop: () => {
      at.all();
      raw.stop();
    },
  };
}

/** A part that concerns every property, in each of its calls. */
function forAllLand<T extends object>(part: T, at: Guards): T {
  const calls = Object.entries(part).map(([name, call]): [string, AnyCall] => [
    name,
    (...given) => {
      at.all();
      return (call as AnyCall)(...given);
    },
  ]);
  return Object.fromEntries(calls) as T;
}

/** Calls that name an entry by its number. */
function scopedWorklog(raw: Deps['worklog'], at: Guards): Deps['worklog'] {
  const ofEntry =
    <R extends unknown[], T>(call: (entryId: number, ...rest: R) => T) =>
    (entryId: number, ...rest: R): T => {
      at.entry(entryId);
      return call(entryId, ...rest);
    };
  return {
    ...raw,
    remove: ofEntry(raw.remove),
    correct: ofEntry(raw.correct),
    signOut: ofEntry(raw.signOut),
    versions: ofEntry(raw.versions),
    addReading: ofEntry(raw.addReading),
    addPhotos: ofEntry(raw.addPhotos),
    removePhoto: ofEntry(raw.removePhoto),
    photo: ofEntry(raw.photo),
  };
}

/** A split or a merge and the like of own land only. */
function guardShape(change: ShapeChange, at: Guards): void {
  switch (change.kind) {
    case 'split':
      at.unit(change.unitId);
      break;
    case 'merge':
      for (const id of [change.keepId, ...change.otherIds]) at.unit(id);
      break;
    case 'join':
      for (const id of [change.keepId, change.otherId]) at.block(id);
      break;
    case 'part':
      at.block(change.blockId);
      break;
    case 'lines':
      at.property(change.propertyId);
  }
}

function scopedShapes(raw: Deps['shapes'], at: Guards, sight: CurrentSight): Deps['shapes'] {
  return {
    preview: (change) => {
      guardShape(change, at);
      const preview = raw.preview(change);
      const own = sight();
      if (!preview.ok || own === null) return preview;
      const { land, breaks, vanishing, notes } = preview.value;
      return {
        ok: true,
        value: {
          land: restrictedLand(land, own),
          notes: ownSentences(notes, own),
          breaks: restrictedProblems(breaks, own),
          vanishing: vanishing.filter(({ name }) => !own.foreignName?.test(name)),
        },
      };
    },
    save: (change) => {
      guardShape(change, at);
      return raw.save(change);
    },
  };
}

/** Feeds of own land; a crew's feed shows work on all land. */
function seesFeed(own: Sight, { kind, id, shows }: FeedScope): boolean {
  const holds = (list: readonly number[] | null, set: ReadonlySet<number>) =>
    list !== null && list.length > 0 && list.every((one) => set.has(one));
  if (kind === 'crew') return false;
  if (kind === 'unit') return own.units.has(id);
  return holds(
    kind === 'own' ? shows.unitIds : shows.propertyIds,
    kind === 'own' ? own.units : own.properties,
  );
}

function scopedFeeds(raw: Deps['feeds'], at: Guards, sight: CurrentSight): Deps['feeds'] {
  const scopes = () => {
    const own = sight();
    return own ? raw.scopes().filter((scope) => seesFeed(own, scope)) : raw.scopes();
  };
  const isOwnName = (name: string) => sight() === null || findFeedScope(scopes(), name) !== null;
  const list = () => raw.list().filter(({ name }) => isOwnName(name));
  const link = (id: number) => {
    if (sight() !== null && !list().some((one) => one.id === id)) throw notThere();
  };
  const ownList = () =>
    raw.own
      .list()
      .filter(
        ({ id }) => sight() === null || scopes().some((one) => one.kind === 'own' && one.id === id),
      );
  return {
    ...raw,
    list,
    scopes,
    create: (name, ...rest) => {
      if (!isOwnName(name)) throw notThere();
      return raw.create(name, ...rest);
    },
    rotate: (id) => {
      link(id);
      return raw.rotate(id);
    },
    revoke: (id) => {
      link(id);
      return raw.revoke(id);
    },
    own: {
      list: ownList,
      add: (feed) => {
        at.all();
        return raw.own.add(feed);
      },
      change: (feed) => {
        at.all();
        return raw.own.change(feed);
      },
      remove: (id) => {
        at.all();
        return raw.own.remove(id);
      },
    },
  };
}

function scopedBurns(raw: Deps['burns'], at: Guards, sight: CurrentSight): Deps['burns'] {
  return {
    ...raw,
    saveSmokeRule: (rule) => {
      at.all();
      raw.saveSmokeRule(rule);
    },
    removeSmokeRule: (id) => {
      at.all();
      raw.removeSmokeRule(id);
    },
    weatherOf: (propertyId, day) => {
      at.property(propertyId);
      return raw.weatherOf(propertyId, day);
    },
    pastYears: {
      ...raw.pastYears,
      kept: (planId) => {
        const kept = raw.pastYears.kept(planId);
        const own = sight();
        if (!kept || own === null) return kept;
        const { result } = kept;
        const burns = result.burns.filter(({ key }) => seesTask(own, key));
        const weakest = result.weakest && seesTask(own, result.weakest.key) ? result.weakest : null;
        return { ...kept, result: { ...result, burns, weakest } };
      },
    },
  };
}

/**
 * What pages get: for a person who is limited to some properties every reading gives those only, and every write to others
 * ends with "not found". Nothing of the program's own (planning, feeds by token, backups) goes
 * through here. A new part of Deps is guarded by what its rows name; calls that take bare numbers are added here.
 */
export function scopedDeps(raw: Deps, land: () => LandContent, sight: CurrentSight): Deps {
  const at = guards(land, sight);
  // Neither holds rows of land.
  const { access, health, today, operation, weather, seasons, ...parts } = raw;
  const own = guarded(parts, sight);
  return {
    ...own,
    access,
    health: guarded(health, sight),
    today,
    weather,
    operation: operationInSight(operation, sight),
    plans: scopedPlans(own.plans, at, sight),
    planning: scopedPlanning(own.planning, at),
    whatIf: forAllLand(raw.whatIf, at),
    land: scopedLand(own.land, at),
    records: scopedRecords(own.records, at, sight),
    shapes: scopedShapes(raw.shapes, at, sight),
    files: {
      ...own.files,
      exportLand: (propertyId, kind) => {
        at.property(propertyId);
        return raw.files.exportLand(propertyId, kind);
      },
    },
    whole: {
      document: (hasWeather) => {
        at.all();
        return raw.whole.document(hasWeather);
      },
      take: (text) => {
        at.all();
        return raw.whole.take(text);
      },
    },
    worklog: scopedWorklog(own.worklog, at),
    fitDays: {
      ofBlock: (blockId, stationName) => {
        at.block(blockId);
        return raw.fitDays.ofBlock(blockId, stationName);
      },
      daysAt: (propertyId, ...rest) => {
        at.property(propertyId);
        return raw.fitDays.daysAt(propertyId, ...rest);
      },
    },
    seasons: {
      ...seasons,
      dailyWeather: (propertyId) => {
        at.property(propertyId);
        return seasons.dailyWeather(propertyId);
      },
      cureHistory: (propertyId) => {
        at.property(propertyId);
        return seasons.cureHistory(propertyId);
      },
    },
    burns: scopedBurns(own.burns, at, sight),
    feeds: scopedFeeds(raw.feeds, at, sight),
  };
}
