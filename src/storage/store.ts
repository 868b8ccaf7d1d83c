import type { Database } from 'better-sqlite3';
import type { BlockChange } from '../core/blocks.ts';
import type { Crew, CrewChange } from '../core/crews.ts';
import type { IsoDate, MonthDay } from '../core/dates.ts';
import { isNameOf } from '../core/feed-scopes.ts';
import type { LandChange } from '../core/land-change.ts';
import type { LandFileChanges } from '../core/land-file-changes.ts';
import type { LandContent, Library } from '../core/library.ts';
import type { Operation } from '../core/operation.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { Landowner, Property } from '../core/properties.ts';
import { activeLand, activeLibrary } from '../core/retired.ts';
import type { AnchorName, Anchors } from '../core/seasons.ts';
import type { UnitChange } from '../core/units.ts';
import type { SupplyLevel } from '../core/weather/supply.ts';
import { accountStore } from './accounts.ts';
import { landRowProblems } from './all-rows.ts';
import { changeLogStore } from './change-log.ts';
import { checkCrew } from './crews.ts';
import { openDatabase } from './database.ts';
import { fitDayTables } from './fit-days.ts';
import { operationOf, type Repositories, readLand, replaceLand, repositories } from './land.ts';
import { changeLand, type MakeChange } from './land-change.ts';
import { type PrescriptionOf, takeLandFile } from './land-file.ts';
import {
  type ImportedLine,
  type ImportedNeighbours,
  type ImportedUnit,
  importUnits,
} from './land-import.ts';
import { photoFolder, photosFolder } from './photos.ts';
import { checkAnchorYear, checkProperty } from './properties.ts';
import { recordStore } from './record-store.ts';
import { type RowLog, rowLog, type Writer } from './row-log.ts';
import { updateBlock, updateUnit } from './unit-changes.ts';
import { replaceFrom } from './whole-database.ts';
import { worklog } from './worklog.ts';

export type Store = ReturnType<typeof openStore>;

const unknownProperty: Problem = {
  code: 'property-unknown',
  message: 'This property is not on record any more.',
};

function setAnchorUsual(all: Repositories, propertyId: number, anchor: AnchorName, usual: string) {
  const property = all.properties.find(propertyId);
  if (!property) return [unknownProperty];
  const anchors: Anchors = {
    ...property.anchors,
    usual: { ...property.anchors.usual, [anchor]: usual as MonthDay },
  };
  const problems = checkProperty({ ...property, anchors });
  if (problems.length > 0) return problems;
  all.properties.setAnchorUsual(property, anchors.usual);
  all.changes.note('land', `The usual ${anchor} of ${property.name} was changed.`);
  return [];
}

function setAnchorYear(
  all: Repositories,
  propertyId: number,
  anchor: AnchorName,
  value: { year: number; date: IsoDate | null; how: 'observed' | 'computed' },
): Problem[] {
  const property = all.properties.find(propertyId);
  if (!property) return [unknownProperty];
  const { year, date, how } = value;
  if (date === null) all.properties.dropAnchorYear(propertyId, anchor, year);
  else {
    const problems = checkAnchorYear(year, date);
    if (problems.length > 0) return problems;
    all.properties.setAnchorYear(propertyId, { anchor, year, date, how });
  }
  all.changes.note('land', `The ${anchor} of ${property.name} in ${year} was changed.`);
  return [];
}

function updateCrew(all: Repositories, crewId: number, change: CrewChange): Problem[] {
  const before = all.crews.find(crewId);
  if (!before) return [{ code: 'crew-unknown', message: 'This crew is not on record any more.' }];
  const after: Crew = { ...before, ...change };
  const problems = checkCrew(after);
  if (problems.length > 0) return problems;
  all.crews.update(after);
  all.changes.note('people', `${after.name} was changed.`);
  return [];
}

function addProperty(all: Repositories, property: Omit<Property, 'id'>): Outcome<number> {
  const problems = checkProperty(property);
  if (!all.properties.landowners().some(({ id }) => id === property.landownerId))
    problems.push({ code: 'landowner-unknown', message: 'Landowner: pick one from the list.' });
  if (problems.length > 0) return { ok: false, problems };
  const id = all.properties.insert(property);
  all.changes.note('land', `${property.name} was added.`);
  return { ok: true, value: id };
}

function addLandowner(all: Repositories, owner: Omit<Landowner, 'id'>): Outcome<number> {
  if (owner.name.trim() === '') {
    const message = 'Landowner: give a name.';
    const problem = { code: 'landowner-name', field: 'landownerName', message };
    return { ok: false, problems: [problem] };
  }
  const id = all.properties.insertLandowner(owner);
  all.changes.note('land', `${owner.name} was added.`);
  return { ok: true, value: id };
}

/** Plans put in force and drafts discarded are said in the log; the plans themselves are kept whole. */
function loggedPlans<P extends Pick<Repositories['plans'], 'adopt' | 'discard'>>(
  db: Database,
  plans: P,
  log: RowLog,
) {
  const adopt: P['adopt'] = (id, publish) =>
    db
      .transaction(() => {
        const outcome = plans.adopt(id, publish);
        if (outcome.ok) log.say(`Plan ${id} was put in force.`);
        return outcome;
      })
      .immediate();
  const discard: P['discard'] = db.transaction((id: number) => {
    plans.discard(id);
    log.say(`The draft ${id} was discarded.`);
  }).immediate;
  return { ...plans, adopt, discard };
}

/** Feed addresses made, replaced and ended are said in the log; their secrets are nowhere in it. */
function loggedFeeds(db: Database, feeds: Repositories['feeds'], log: RowLog) {
  const labelOf = (id: number) => feeds.list().find((link) => link.id === id)?.label ?? '';
  return {
    ...feeds,
    create: db.transaction((name: string, label: string, mayReport = false) => {
      log.say(`A feed address was made for ${label} (${name}).`);
      return feeds.create(name, label, mayReport);
    }).immediate,
    rotate: db.transaction((id: number) => {
      const outcome = feeds.rotate(id);
      if (outcome.ok) log.say(`The feed address of ${labelOf(id)} was replaced.`);
      return outcome;
    }).immediate,
    revoke: db.transaction((id: number): Problem[] => {
      const problems = feeds.revoke(id);
      if (problems.length === 0) log.say(`The feed address of ${labelOf(id)} was ended.`);
      return problems;
    }).immediate,
  };
}

/** Feeds of one's own; the addresses of one that is removed end with it. */
function ownFeeds(db: Database, all: Repositories) {
  const { clear: _clear, ...rest } = all.ownFeeds;
  const remove = (id: number): Problem[] => {
    const problems = all.ownFeeds.remove(id);
    if (problems.length > 0) return problems;
    for (const link of all.feeds.list())
      if (isNameOf(link.name, { kind: 'own', id })) all.feeds.revoke(link.id);
    return [];
  };
  return { ...rest, remove: db.transaction(remove).immediate };
}

/** Fit days of the land in use; at a level of past years other than its own where one is given. */
function tablesOf(
  all: Repositories,
  { properties, settings }: Pick<LandContent, 'properties' | 'settings'>,
  laidOver: Library,
  level = settings.supply.level,
) {
  return fitDayTables(laidOver, {
    property: properties[0] ?? null,
    level,
    entered: all.fitDays.entered(),
    seriesOf: (key) =>
      all.weather
        .fitDaySeries(key)
        .filter(({ station }) => !all.retired.has('station', station.name)),
  });
}

/** Reads and writes of the land; each write is one transaction, with problems nothing is written. */
function landStore(db: Database, all: Repositories, log: RowLog) {
  const own = (library: Library): Library => all.library.laidOver(library);
  const operation = (library: Library): Operation => {
    const retired = all.retired.list();
    const content = activeLand(readLand(all), retired);
    const laidOver = activeLibrary(own(library), retired);
    return operationOf(content, laidOver, tablesOf(all, content, laidOver));
  };
  return {
    landContent: db.transaction((): LandContent => readLand(all)),
    operation: db.transaction(operation),
    /** Fit days of an operation as another level of past years would count them. */
    fitDaysAt: db.transaction((now: Operation, library: Library, level: SupplyLevel) =>
      tablesOf(all, now, activeLibrary(own(library), all.retired.list()), level),
    ),
    /** `where` says where what was there before is kept; `andThen` belongs to the same write. */
    replaceLand: db.transaction(
      (content: LandContent, where = '', andThen: () => void = () => {}): void =>
        log.replacing(`Everything was replaced. ${where}`.trim(), () => {
          replaceLand(all, content);
          andThen();
        }),
    ).immediate,
    importUnits: db.transaction(
      (
        propertyId: number,
        units: readonly ImportedUnit[],
        lines: readonly ImportedLine[],
        neighbours: readonly ImportedNeighbours[],
      ) => importUnits(all, propertyId, units, lines, neighbours),
    ).immediate,
    takeLandFile: db.transaction(
      (
        propertyId: number,
        changes: LandFileChanges,
        neighbours: readonly ImportedNeighbours[] | null,
        prescriptionOf: PrescriptionOf,
      ) => takeLandFile(all, propertyId, changes, neighbours, prescriptionOf),
    ).immediate,
    updateUnit: db.transaction((unitId: number, change: UnitChange, library: Library) =>
      updateUnit(all, unitId, change, own(library)),
    ).immediate,
    updateBlock: db.transaction((blockId: number, change: BlockChange, library: Library) =>
      updateBlock(all, blockId, change, own(library)),
    ).immediate,
    setAnchorUsual: db.transaction((propertyId: number, anchor: AnchorName, usual: string) =>
      setAnchorUsual(all, propertyId, anchor, usual),
    ).immediate,
    setAnchorYear: db.transaction(
      (propertyId: number, anchor: AnchorName, value: Parameters<typeof setAnchorYear>[3]) =>
        setAnchorYear(all, propertyId, anchor, value),
    ).immediate,
    updateCrew: db.transaction((crewId: number, change: CrewChange) =>
      updateCrew(all, crewId, change),
    ).immediate,
    addProperty: db.transaction((property: Omit<Property, 'id'>) => addProperty(all, property))
      .immediate,
    addLandowner: db.transaction((owner: Omit<Landowner, 'id'>) => addLandowner(all, owner))
      .immediate,
    /** Splits, merges and the like: several rows at once, made from the land as it is at that moment. */
    changeLand: <T extends LandChange>(what: string, make: MakeChange<T>) =>
      db.transaction(() => changeLand(db, all, what, make)).immediate(),
    setFitDays: all.fitDays.setFitDays,
    saveSettings: all.settings.save,
    holdDates: all.heldDates.hold,
  };
}

/**
 * The one database of an operation, opened and up to date. `now` gives the clock for the stamps of rows; dates
 * of work come in as civil dates. `writer` says who is at work, for the log of changes. Throws what `openDatabase` throws. Every write is one transaction; several
 * can be put into one with `inOneTransaction`.
 */
export function openStore(path: string, now: () => Date, writer: Writer = () => null) {
  const db = openDatabase(path);
  const log = rowLog(db, now, writer);
  const all = repositories(db, now);
  const { clear: _plans, ...plans } = all.plans;
  const { clear: _whatIfs, ...whatIfs } = all.whatIfs;
  const { clear: _burns, ...burns } = all.burns;
  const { dropInvented: _stations, ...weather } = all.weather;
  return {
    ...landStore(db, all, log),
    records: recordStore(db, all),
    accounts: accountStore(db, now),
    /** The published tables with the user's rows laid over them. */
    libraryWithOwnRows: all.library.laidOver,
    saveOverride: all.library.saveOverride,
    removeOverride: all.library.removeOverride,
    overrides: all.library.overrides,
    /** Rises with each committed write of land, facts, plans or weather. */
    revision: all.changes.revision,
    papers: { add: all.papers.add, takeBack: all.papers.takeBack },
    worklog: worklog({
      db,
      entries: all.entries,
      details: all.details,
      changes: all.changes,
      now,
      findUnit: all.units.find,
      libraryWithOwnRows: all.library.laidOver,
    }),
    /** Null for a database in memory. */
    photos: path === ':memory:' ? null : photoFolder(photosFolder(path), now),
    plans: loggedPlans(db, plans, log),
    whatIfs,
    /** What changed since a revision, as sentences. */
    changesSince: all.changes.since,
    published: all.publication.published,
    syncPublished: all.publication.syncPublished,
    feeds: loggedFeeds(db, all.feeds, log),
    ownFeeds: ownFeeds(db, all),
    weather,
    burns,
    siteFitDays: all.siteFitDays,
    /** Puts the rows of a whole database at `path` in the place of all that is here; `what` is said in the log. */
    replaceWhole: (from: string, what: string): void =>
      replaceFrom(db, from, (work) => db.transaction(() => log.replacing(what, work)).immediate()),
    changeLog: changeLogStore(db, now, all.changes),
    /** What the forms would refuse of the rows as they are stored: for rows that came in by a file. */
    rowProblems: (library: Library): Problem[] =>
      landRowProblems(all, all.library.laidOver(library)),
    inOneTransaction: <T>(work: () => T): T => db.transaction(work).immediate(),
    isOpen: (): boolean => db.open,
    close: (): void => {
      db.close();
    },
  };
}
