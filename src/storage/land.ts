import type { Database } from 'better-sqlite3';
import { crewsOnSite } from '../core/bookings.ts';
import { type FeedScope, feedScopes, findFeedScope } from '../core/feed-scopes.ts';
import type { LandContent, Library } from '../core/library.ts';
import type { Operation } from '../core/operation.ts';
import { landSpans } from '../core/season/land-spans.ts';
import { noSheetTables } from '../core/sheet-tables.ts';
import type { FitDayTable } from '../core/weather/supply.ts';
import { noWeatherTables } from '../core/weather/tables.ts';
import { blockRepository } from './blocks.ts';
import { burnPaperRepository } from './burn-papers.ts';
import { burnRepository } from './burns.ts';
import { changeRepository } from './changes.ts';
import { crewRepository } from './crews.ts';
import { feedRepository } from './feeds.ts';
import { enteredFitDayRepository } from './fit-days.ts';
import { libraryRepository } from './library.ts';
import { lineRepository } from './lines.ts';
import { approvalRepository } from './no-work.ts';
import { ownFeedRepository } from './own-feeds.ts';
import { heldDatesRepository, planRepository } from './plans.ts';
import { propertyRepository } from './properties.ts';
import { publicationRepository } from './publication.ts';
import { recordRepository } from './records.ts';
import { retiredRepository } from './retired.ts';
import { settingsRepository } from './settings.ts';
import { siteFitDayRepository } from './site-fit-days.ts';
import { unitRepository } from './units.ts';
import { weatherRepository } from './weather.ts';
import { whatIfRepository } from './what-ifs.ts';
import { detailRepository } from './work-details.ts';
import { entryRepository } from './worklog.ts';

export type Repositories = ReturnType<typeof repositories>;

/** Every repository on one connection, statements prepared once. */
export function repositories(db: Database, now: () => Date) {
  const changes = changeRepository(db, now);
  return {
    changes,
    properties: propertyRepository(db),
    blocks: blockRepository(db),
    units: unitRepository(db),
    lines: lineRepository(db),
    records: recordRepository(db),
    papers: burnPaperRepository(db, changes),
    retired: retiredRepository(db, now),
    crews: crewRepository(db),
    entries: entryRepository(db),
    details: detailRepository(db),
    approvals: approvalRepository(db),
    heldDates: heldDatesRepository(db, changes),
    settings: settingsRepository(db, changes),
    library: libraryRepository(db, changes, now),
    fitDays: enteredFitDayRepository(db, changes),
    plans: planRepository(db, changes, now),
    whatIfs: whatIfRepository(db, now),
    publication: publicationRepository(db, now),
    feeds: feedRepository(db, now),
    ownFeeds: ownFeedRepository(db),
    weather: weatherRepository(db, changes),
    siteFitDays: siteFitDayRepository(db),
    burns: burnRepository(db, changes, now),
  };
}

const emptyLibrary: Library = {
  communities: [],
  treatments: [],
  sequences: [],
  noWork: [],
  cautions: [],
  prescriptions: [],
  lineKinds: [],
  burnSteps: [],
  followUps: [],
  stateRules: [],
  sheetTables: noSheetTables,
  fitDayDefaults: [],
  weatherTables: noWeatherTables,
  yardsticks: [],
};

/**
 * Lays the land, a library and fit days together. Rules that follow from the land stand beside those of the table,
 * and the days of signed bookings among those on site: a form does not save a row of `noWork`
 * with `madeFrom`, and shows `enteredSpans` of a crew that has them.
 */
export function operationOf(
  content: LandContent,
  { fitDayDefaults: _, weatherTables: __, yardsticks: ___, ...library }: Library,
  fitDays: FitDayTable[],
): Operation {
  const noWork = [...library.noWork, ...landSpans(content)];
  return { ...content, ...library, noWork, crews: crewsOnSite(content), fitDays };
}

/** Everything of the user's own. The caller wraps it in a transaction when it needs more than one reading. */
export function readLand(all: Repositories): LandContent {
  return {
    landowners: all.properties.landowners(),
    properties: all.properties.list(),
    units: all.units.list(),
    blocks: all.blocks.list(),
    lines: all.lines.list(),
    neighbours: all.lines.neighbours(),
    points: all.records.list('point'),
    mapLayers: all.records.list('mapLayer'),
    tileServices: all.records.list('tileService'),
    leases: all.records.list('lease'),
    grazing: all.records.list('grazing'),
    consents: all.records.list('consent'),
    planElements: all.records.list('planElement'),
    contracts: all.records.list('contract'),
    ownRates: all.records.list('ownRate'),
    people: all.records.list('person'),
    bookings: all.records.list('booking'),
    crews: all.crews.list(),
    gear: all.crews.gear(),
    holidays: all.crews.holidays(),
    entries: all.entries.list(),
    visits: all.records.list('visit'),
    photoPoints: all.records.list('photoPoint'),
    ownerLetters: all.records.list('ownerLetter'),
    approvals: all.approvals.list(),
    heldDates: all.heldDates.list(),
    papers: all.papers.list(),
    settings: all.settings.current(),
  };
}

function clearLand(all: Repositories): void {
  all.publication.clear();
  all.ownFeeds.clear();
  all.plans.clear();
  all.whatIfs.clear();
  all.changes.clear();
  all.heldDates.clear();
  all.approvals.clear();
  all.entries.clear();
  all.burns.clear();
  all.records.clear();
  all.retired.clear();
  all.lines.clear();
  all.units.clear();
  all.blocks.clear();
  all.properties.clear();
  all.crews.clear();
  all.fitDays.clear();
  all.library.dropOfProperties();
  all.weather.dropInvented();
}

function insertLand(all: Repositories, content: LandContent): void {
  content.landowners.forEach(all.properties.insertLandowner);
  content.properties.forEach(all.properties.insert);
  content.blocks.forEach(all.blocks.insert);
  content.units.forEach(all.units.insert);
  content.lines.forEach(all.lines.insert);
  content.neighbours.forEach(all.lines.insertNeighbours);
  for (const row of content.points) all.records.insert('point', row);
  for (const row of content.mapLayers) all.records.insert('mapLayer', row);
  for (const row of content.tileServices) all.records.insert('tileService', row);
  for (const row of content.planElements) all.records.insert('planElement', row);
  for (const row of content.leases) all.records.insert('lease', row);
  for (const row of content.grazing) all.records.insert('grazing', row);
  for (const row of content.consents) all.records.insert('consent', row);
  for (const row of content.contracts) all.records.insert('contract', row);
  for (const row of content.ownRates) all.records.insert('ownRate', row);
  for (const row of content.people) all.records.insert('person', row);
  content.papers.forEach(all.papers.insert);
  for (const row of content.bookings) all.records.insert('booking', row);
  for (const row of content.visits) all.records.insert('visit', row);
  for (const row of content.photoPoints) all.records.insert('photoPoint', row);
  for (const row of content.ownerLetters) all.records.insert('ownerLetter', row);
  content.crews.forEach(all.crews.insert);
  content.gear.forEach(all.crews.insertGear);
  content.holidays.forEach(all.crews.insertHoliday);
  content.entries.forEach(all.entries.insert);
  const entryIds = new Set(content.entries.map(({ id }) => id));
  for (const { entryId, ...detail } of content.details ?? [])
    if (entryIds.has(entryId)) all.details.save(entryId, detail);
  content.approvals.forEach(all.approvals.insert);
  content.heldDates.forEach(all.heldDates.insert);
  all.settings.insert(content.settings);
  for (const { name, changes } of content.whatIfs ?? []) all.whatIfs.add(name, changes);
}

function scopesOf(content: LandContent): FeedScope[] {
  return feedScopes(operationOf(content, emptyLibrary, []));
}

/** An address stays only when it still leads to the same land or people: its holder was given no other. */
function revokeLostFeeds(
  all: Repositories,
  before: readonly FeedScope[],
  after: readonly FeedScope[],
) {
  for (const link of all.feeds.list()) {
    const old = findFeedScope(before, link.name);
    const isKept = old !== null && after.some(({ name }) => name === old.name);
    if (!isKept) all.feeds.revoke(link.id);
  }
}

/**
 * Removes all land, people, facts, plans, published tasks, held dates and fit days entered by hand, and stores
 * the given rows with their ids. Weather stays, but for invented stations; edited reference rows stay, but for
 * no-work dates of single properties. The caller wraps it in a transaction.
 */
export function replaceLand(all: Repositories, content: LandContent): void {
  const before = scopesOf(readLand(all));
  clearLand(all);
  insertLand(all, content);
  revokeLostFeeds(all, before, scopesOf(content));
  all.changes.note('land', 'The land was replaced.');
}
