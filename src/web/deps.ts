import type { Account, AccountRow, SignedIn } from '../core/accounts.ts';
import type { BlockChange } from '../core/blocks.ts';
import type { BurnPaper, ChoicePaper, NewBurnPaper } from '../core/burn-papers.ts';
import type { ChangeFilter, ChangeGroup, RowChange, StoredRow } from '../core/change-log.ts';
import type { CountySwitch } from '../core/county-switches.ts';
import type { CrewChange } from '../core/crews.ts';
import type { IsoDate } from '../core/dates.ts';
import type { FeedScope, OwnFeed } from '../core/feed-scopes.ts';
import type { Position } from '../core/geometry.ts';
import type { GoNoGo } from '../core/go-no-go.ts';
import type { HistoryCells, HistoryEntry } from '../core/history-import.ts';
import type { LandFileRow } from '../core/land-file-changes.ts';
import type { LandContent } from '../core/library.ts';
import type { Stretch } from '../core/map-layers.ts';
import type { Operation, Settings } from '../core/operation.ts';
import type { PlanElement } from '../core/plan-elements.ts';
import type { Plan, PlanContent, PlanDifference } from '../core/plans.ts';
import type { Outcome, Problem } from '../core/problems.ts';
import type { PublishedTask } from '../core/publication.ts';
import type {
  ChangeAnswer,
  LibraryNoun,
  Noun,
  RecordRows,
  RetiredRow,
  RowId,
} from '../core/records.ts';
import type { LeafOutModel } from '../core/season/leaf-out.ts';
import type { AnchorName } from '../core/seasons.ts';
import type { UnitChange } from '../core/units.ts';
import type { CureWeather } from '../core/weather/cure-days.ts';
import type { DayVerdict, StationClock } from '../core/weather/fit-days.ts';
import type {
  DailyYear,
  Station,
  StationSummary,
  WeatherYear,
  YearHeld,
} from '../core/weather/history.ts';
import type { HourlyWeather } from '../core/weather/hours.ts';
import type { PastYearsResult } from '../core/weather/past-years-land.ts';
import type { Forecast, ForecastService } from '../core/weather/readings.ts';
import type { SiteFitDays } from '../core/weather/site-fit-days.ts';
import type { StateVentilationRule } from '../core/weather/smoke.ts';
import type { WeatherTables } from '../core/weather/tables.ts';
import type { ForecastPart } from '../core/weather/typed-forecast.ts';
import type { WhatIf, WhatIfChange } from '../core/what-if.ts';
import type {
  DetailFacts,
  EntryDraft,
  EntryVersion,
  FireReading,
  WorkDetail,
} from '../core/work-details.ts';
import type { WorkEntry } from '../core/worklog.ts';
import type { Yardstick } from '../core/yardsticks.ts';

/**
 * All that pages need from outside. The command line builds it from the adapters and passes it in;
 * tests pass their own. Calls are synchronous because SQLite is; only planning runs in another process.
 */
export interface Deps {
  /** Civil date in a zone; tests and pictures fix it. */
  today(timeZone: string): IsoDate;
  /** The whole operation as it stands now. */
  operation(): Operation;
  /** Several writes as one: with problems, or when one of them throws, none of them was made. */
  allOrNone(work: () => Problem[]): Problem[];
  plans: {
    inForce(): Plan | null;
    /** The newest draft that is neither adopted nor discarded. */
    draft(): Plan | null;
    /** Checks the draft again, then puts it in force and publishes it, in one transaction. */
    adopt(planId: number): Outcome<Plan>;
    discard(planId: number): void;
    compare(draft: Plan, inForce: Plan | null): PlanDifference[];
    /** Plans that are or were in force, in the order of their adoption. */
    everInForce(): Plan[];
    /** Why the plan in force is out of date (facts or land changed since), as sentences; empty = up to date. */
    staleBecause(): string[];
  };
  planning: {
    run(): PlanningRun | null;
    /** True while the first plan of freshly loaded sample land is being made; it is put in force by itself. */
    isSampleUnderWay(): boolean;
    /** Starts a draft in a child process; a problem when one is running or the land cannot be planned. */
    start(limits: { seed: number; seconds: number }): Outcome<PlanningRun>;
    stop(): void;
  };
  /** Changes tried on the operation as a whole; nothing of the land hangs on them until one is adopted. */
  whatIf: {
    /** In the order in which they were made. */
    list(): WhatIf[];
    add(name: string): Outcome<number>;
    /** Changes take the plan away that was found without them. */
    addChange(id: number, change: WhatIfChange): Problem[];
    dropChange(id: number, at: number): Problem[];
    remove(id: number): void;
    /** The plan found; null before a search. */
    plan(id: number): PlanContent | null;
    /** What changed of land and facts since the search, as sentences. */
    changedSince(id: number): string[];
    /** The search under way, or the last one. */
    run(): WhatIfRun | null;
    /** What-ifs whose search waits for those before. */
    waiting(): number[];
    /** Searches now, or after those that were asked for before. */
    search(id: number, limits: { seed: number; seconds: number }): Problem[];
    /** Ends the search with the best plan so far, and forgets those that wait. */
    stop(): void;
    /** Writes the changes and puts the plan in force through the checker, all of it or nothing. */
    adopt(id: number): Problem[];
  };
  land: {
    /**
     * Changes of rows. Unless `isSure`, one by which tasks of the plan in force would break rules is not saved: the answer
     * is a problem a task, of the code `breaks-plan`.
     */
    updateUnit(unitId: number, change: UnitChange, isSure?: boolean): Problem[];
    updateBlock(blockId: number, change: BlockChange, isSure?: boolean): Problem[];
    /** All of them or none. */
    setAnchors(
      propertyId: number,
      changes: { anchor: AnchorName; value: AnchorChange }[],
      isSure?: boolean,
    ): Problem[];
    updateCrew(crewId: number, change: CrewChange, isSure?: boolean): Problem[];
    /** 12 fit-day figures a month for a prescription, entered by hand; null = back to the default. */
    setFitDays(prescriptionKey: string, monthly: number[] | null): Problem[];
    updateSettings(settings: Settings): Problem[];
    holdDates(taskKey: string, startsOn: IsoDate | null): Problem[];
    /** Replaces everything by an empty operation with one property, or by the sample. */
    startOwn(property: NewProperty): Outcome<number>;
    loadSample(): Problem[];
    /** GeoJSON or CSV text; all or nothing. */
    importUnits(
      propertyId: number,
      fileName: string,
      text: string,
      isSure?: boolean,
    ): { imported: number; problems: Problem[]; problemCount: number };
  };
  /** Every kind of row of the land and of the reference tables, each by its own form. */
  records: {
    /**
     * Saves a row; `isNew`: it has no number yet, or its key must not be taken. Unless `isSure`, a change by which
     * tasks of the plan in force would break rules is not saved but answered with them.
     */
    save<N extends Noun>(
      noun: N,
      row: RecordRows[N],
      isNew: boolean,
      isSure: boolean,
    ): ChangeAnswer;
    /** Takes a row out of use; it keeps its history. */
    retire(noun: Noun, id: RowId, isSure: boolean): ChangeAnswer;
    bringBack(noun: Noun, id: RowId): Problem[];
    retired(): RetiredRow[];
    /** The row as published; null for one that the user added. */
    published<N extends LibraryNoun>(noun: N, key: string): RecordRows[N] | null;
    /** Drops the user's own row in place of a published one. */
    backToDefault(noun: LibraryNoun, key: string, isSure: boolean): ChangeAnswer;
  };
  /** What was changed, by whom and when, as the person of the request may see it. */
  changeLog: {
    /** Newest first, by pages of `groupsPerPage`. */
    list(filter: ChangeFilter, page: number): { groups: ChangeGroup[]; total: number };
    /** Names of all who changed something while signed in. */
    people(): string[];
    group(id: number): ChangeGroup | null;
    /** A change of one row, with what hangs on it in the same group. */
    change(id: number): ChangeGroup | null;
    /** The row as it is now; null = it is gone. */
    present(change: RowChange): StoredRow | null;
    /** Rows that are gone and can still be brought back, newest first. */
    removed(): RemovedRow[];
    /** Whether the role of the person allows to take these back. */
    mayUndo(changes: readonly RowChange[]): boolean;
    /** Writes the rows as they were before, as a change of its own; refused where they were changed since. */
    undo(changes: readonly RowChange[], what: string, isSure: boolean): ChangeAnswer;
  };
  /** The whole operation as one document. */
  whole: {
    /** Text in pieces; null for a database in memory. Photos stay in their folder. */
    document(hasWeather: boolean): Iterable<string> | null;
    /** Puts a document in the place of everything, of which a copy is kept first; all or nothing. */
    take(text: string): Problem[];
  };
  /** Units split and merged, blocks made and undone, lines drawn from the edges of units. */
  shapes: {
    /** What would change and what it would do to the plan in force; nothing is saved. */
    preview(change: ShapeChange): Outcome<ShapePreview>;
    save(change: ShapeChange): Problem[];
  };
  /** Land and history as files, in and out. */
  files: {
    exportLand(propertyId: number, kind: 'geojson' | 'kml'): string;
    /** What a file of land would change and do to the plan in force; nothing is saved. */
    previewLand(file: LandFileUpload): LandFilePreview;
    /** Takes it over, all or nothing. */
    takeLand(file: LandFileUpload): Problem[];
    /** Rows of a table of old fires and work; what they mean is read by the core. */
    historyTable(text: string): Outcome<{ rows: HistoryCells[]; notes: Problem[] }>;
    /** `noWorkReason`: kept with those that lie inside no-work dates; blank = nobody said why. */
    takeHistory(entries: readonly HistoryEntry[], noWorkReason: string): Problem[];
    /** Lines of a GeoJSON text: roads, creeks, contours. */
    readStretches(text: string): Outcome<Stretch[]>;
    /** Rows as comma-separated values; no cell runs as a formula. */
    csvText(rows: readonly (readonly (string | number | null)[])[]): string;
  };
  /** Steps done, calls, answers, checks and decisions about burns; all of them are in `operation().papers`. */
  papers: {
    add(paper: NewBurnPaper): Outcome<number>;
    takeBack(paper: BurnPaper): Problem[];
    /** Changes the block as the choice asks; the plan in force is out of date by it. */
    choose(paper: Omit<ChoicePaper, 'id'>): Problem[];
  };
  worklog: {
    record(entry: Omit<WorkEntry, 'id'>): Outcome<WorkEntry>;
    /**
     * Entries with their details, all of them or none. `sendKey`: random text of a form that a phone may send twice; the
     * second time it is answered with the entries of the first.
     */
    write(drafts: readonly EntryDraft[], sendKey: string | null): Outcome<WorkEntry[]>;
    /** True when a form of this key was written before. */
    wasSent(sendKey: string): boolean;
    /** Changes an entry and keeps what it was before. */
    correct(
      entryId: number,
      change: { entry: Partial<Omit<WorkEntry, 'id'>>; detail: Partial<DetailFacts> },
    ): Outcome<WorkEntry>;
    /** Closes a burn with its last day of watch, as one correction. */
    signOut(entryId: number, signedOutOn: IsoDate): Problem[];
    remove(entryId: number): Problem[];
    /** Details of every entry that has any, in order of entries. */
    details(): WorkDetail[];
    /** What an entry was before each correction, newest first. */
    versions(entryId: number): EntryVersion[];
    addReading(entryId: number, reading: FireReading): Problem[];
    /** Puts a photo into the folder without what the camera wrote into it, and gives its name there. */
    keepPhoto(name: string, bytes: Uint8Array): Outcome<string>;
    /** Takes photos away that no entry names yet. */
    dropPhotos(fileNames: readonly string[]): void;
    /** Photos of the folder become those of an entry, all of them or none. */
    addPhotos(entryId: number, photos: readonly { fileName: string; caption: string }[]): Problem[];
    removePhoto(entryId: number, fileName: string): Problem[];
    /** Null when the entry has no such photo. */
    photo(entryId: number, fileName: string): Uint8Array | null;
    /** Entries as comma-separated values. */
    table(entries: readonly WorkEntry[]): string;
  };
  packets: {
    /** Elements of burn plans, all of them or none; a row with the number 0 is new. */
    saveElements(elements: readonly PlanElement[]): Problem[];
  };
  weather: {
    /** Stations that hold weather of at least one year. */
    stations(): StationSummary[];
    /** Every station, also one that holds nothing yet. */
    places(): Station[];
    /** Fit days by year (12 counts) for a station and prescription. */
    monthlyFitDays(stationName: string, prescriptionKey: string): MonthlyFitDays | null;
    /** Reference tables of fuel and drying, as read at start. */
    tables(): WeatherTables;
    /** What each year of a station holds. */
    yearsHeld(stationName: string): YearHeld[];
    /** Years in order, both ends included; empty for an unknown station. */
    hourlyYears(stationName: string, from: number, to: number): WeatherYear[];
    dailyYears(stationName: string, from: number, to: number): DailyYear[];
    /** The nearest station that has hours. */
    nearestStation(propertyId: number): StationSummary | null;
    forecast(stationName: string): Forecast | null;
    /** Keeps a forecast that somebody typed, issued now. */
    saveForecast(stationName: string, parts: ForecastPart[]): Problem[];
    service(): ForecastService;
    saveService(service: ForecastService): Problem[];
    /** Asks the service in the background, unless a fetch runs or one was just made; never waits for it. */
    refreshForecast(stationName: string): Problem[];
    /** What became of the last fetch for a station since the start of the program. */
    forecastFetch(stationName: string): ForecastFetch | null;
    /** Starts an import in slices between the answers to pages; a problem when one is running. */
    startImport(file: WeatherFileOrder): Outcome<WeatherImportRun>;
    importRun(): WeatherImportRun | null;
    /** What was read up to now is dropped; nothing is saved. */
    stopImport(): void;
  };
  fitDays: {
    /** Fit days of a block in past years, by the station asked for or the nearest one that has hours. */
    ofBlock(blockId: number, stationName: string | null): BlockFitDays;
    /**
     * Days from `from` to the day before `before` at a property, judged by the hours of its nearest station under a
     * prescription alone; empty where no hours are loaded.
     */
    daysAt(
      propertyId: number,
      prescriptionKey: string,
      from: IsoDate,
      before: IsoDate,
    ): DayVerdict[];
  };
  answers: {
    /** Ranges to hold measures of the land against. */
    yardsticks(): Yardstick[];
    /** A picture of the photo folder; null where there is none of the name. Whose it is the page looks at. */
    picture(fileName: string): Uint8Array | null;
  };
  burns: {
    /** UTC instant, `YYYY-MM-DDTHH:MM:SSZ`. */
    now(): string;
    /** The newest check of each switch of each county. */
    switches(): CountySwitch[];
    addSwitch(row: Omit<CountySwitch, 'id' | 'checkedAt'>): Problem[];
    /** Lists as answered, newest first. */
    goNoGoLists(): GoNoGo[];
    addGoNoGo(list: Omit<GoNoGo, 'id' | 'recordedAt'>): GoNoGo;
    /** Smoke categories that the user entered, by state, lowest first. */
    smokeRules(): StateVentilationRule[];
    saveSmokeRule(rule: Omit<StateVentilationRule, 'id'>): void;
    removeSmokeRule(id: number): void;
    /** What is known of a day at a property, and the days around it; null = no station is near it. */
    weatherOf(propertyId: number, day: IsoDate): DayWeather | null;
    pastYears: {
      run(): PastYearsRunState | null;
      /** Starts the test of a plan; a problem when one runs, or there is no weather or no burn. */
      start(planId: number): Outcome<PastYearsRunState>;
      stop(): void;
      /** The kept test of a plan; `isOld`: land, people or weather changed since. */
      kept(planId: number): KeptPastYears | null;
    };
  };
  seasons: {
    /** The first one fits any place and year. */
    leafOutModels(): LeafOutModel[];
    /** Days of the weather history nearest to a property; null where none is loaded. */
    dailyWeather(propertyId: number): DailyWeather | null;
    /** What the weather of the nearest station does to drying wood; null where no hours are loaded. */
    cureHistory(propertyId: number): CureHistory | null;
  };
  /** People who may sign in. Without any account everybody at this machine may everything. */
  access: {
    hasAccounts(): boolean;
    /** Whose request is under way; null without accounts, and on pages that are for anyone. */
    current(): SignedIn | null;
    /** Runs a request for a person: `operation()` and all other readings give what they may see. */
    runAs<T>(person: SignedIn | null, run: () => T): T;
    /** Who a session is of; null when it ended. */
    find(token: string): { person: SignedIn; sessionId: number } | null;
    signIn(name: string, password: string, from: RequestOrigin): Promise<SignInAnswer>;
    endSession(accountId: number, sessionId: number): void;
    /** Ends all sessions but one; null = all. */
    endSessions(accountId: number, keepId: number | null): void;
    sessions(accountId: number): SessionView[];
    /** Ends the other sessions; `from` is where the present one goes on, with a new token. */
    changePassword(
      accountId: number,
      present: string,
      next: string,
      from: RequestOrigin,
    ): Promise<Outcome<string>>;
    accounts(): Account[];
    /** Without a password the person sets one by a link. */
    add(row: AccountRow, password: string | null): Promise<Outcome<number>>;
    change(id: number, row: AccountRow): Problem[];
    retire(id: number): Problem[];
    bringBack(id: number): Problem[];
    /** The token of a link by which a new password is set once, within a day; the only time it is seen. */
    makeLink(id: number): Outcome<string>;
    /** Name of the account that a link is for; null when it is used up or too old. */
    nameOfLink(token: string): string | null;
    setByLink(token: string, password: string): Promise<Problem[]>;
  };
  health: {
    /** Throws when the database does not answer. */
    ask(): void;
    /** What the machine that this runs on looks like, and what to do. */
    findings(): Finding[];
    /** Since the start of the program. */
    running(): RunningProgram;
  };
  feeds: {
    list(): FeedLink[];
    /** Makes an address for a feed; the token is shown this once. `mayReport`: for the page of a crew, too. */
    create(
      name: string,
      label: string,
      mayReport: boolean,
    ): Outcome<{ token: string; link: FeedLink }>;
    rotate(linkId: number): Outcome<{ token: string; link: FeedLink }>;
    revoke(linkId: number): Problem[];
    /** The feed behind a token: its bytes, or why not. */
    serve(asked: FeedRequest): FeedAnswer;
    scopes(): FeedScope[];
    own: {
      list(): OwnFeed[];
      add(feed: Omit<OwnFeed, 'id'>): Outcome<number>;
      change(feed: OwnFeed): Problem[];
      /** Ends its addresses too. */
      remove(id: number): Problem[];
    };
    /** The crew that a token may report for, and the entries it may see. */
    crew(token: string): CrewAnswer;
    /** Files to import once, and the plan as a table; null when there is nothing to put in. */
    taskFile(taskKey: string, baseUrl: string): string | null;
    /** Entries that touch the burning season that starts in the year. */
    seasonFile(season: number, baseUrl: string): string | null;
    planTable(): string;
  };
}

/** Where a request comes from, for the list of sessions and for slowing down. */
export interface RequestOrigin {
  userAgent: string;
  address: string;
}

export interface SessionView {
  id: number;
  /** UTC instants. */
  startedAt: string;
  lastSeenAt: string;
  userAgent: string;
  address: string;
}

/** `wait`: too many tries went wrong; how many seconds until the next one. */
export type SignInAnswer =
  | { kind: 'signed-in'; token: string }
  | { kind: 'refused' }
  | { kind: 'wait'; seconds: number };

/** A thing looked at: what was found and, where something needs doing, what. */
export interface Finding {
  key: 'database' | 'backup' | 'disk' | 'time-zone' | 'weather';
  found: string;
  todo?: string;
  /** The property that it is about; none = the whole program. */
  propertyId?: number;
}

export interface RunningProgram {
  version: string;
  nodeVersion: string;
  /** UTC instant, `YYYY-MM-DDTHH:MM:SSZ`. */
  startedAt: string;
  databaseMebibytes: number;
  memoryMebibytes: number;
}

/** Weather to judge days of a property by: expected for today and later, else observed. */
export interface DayWeather {
  weather: HourlyWeather;
  clock: StationClock;
  tables: WeatherTables;
  stationName: string;
  isInvented: boolean;
  /** Null = observed. */
  forecast: { source: string; issuedAt: string; takenAt: string } | null;
}

/** The change by which a row went. */
export interface RemovedRow extends RowChange {
  at: string;
  person: string | null;
}

export interface LandFileUpload {
  propertyId: number;
  text: string;
  /** Natural community of new units that name none; null = they have to. */
  communityKey: string | null;
}

export interface LandFilePreview {
  report: LandFileRow[];
  /** With any of them nothing can be taken over. */
  problems: Problem[];
  problemCount: number;
  notes: Problem[];
  /** Rules that planned tasks would break by it, and tasks that would leave the plan. */
  breaks: Problem[];
}

export interface PastYearsRunState {
  planId: number;
  state: 'running' | 'done' | 'stopped' | 'failed';
  /** Share done, 0 to 1. */
  share: number;
  problems: Problem[];
}

export interface KeptPastYears {
  madeAt: string;
  isOld: boolean;
  result: PastYearsResult;
}

export type ShapeChange =
  | {
      kind: 'split';
      unitId: number;
      /** Acres null: as the map shows. */
      parts: { code: string; name: string; areaAcres: number | null }[];
      isTogether: boolean;
      isAcresConfirmed: boolean;
      /** Where the boundaries of the parts come from. */
      cut:
        | { by: 'none' }
        | { by: 'line'; from: Position; to: Position }
        | { by: 'text'; text: string };
    }
  | { kind: 'merge'; keepId: number; otherIds: number[]; code: string; name: string }
  | { kind: 'join'; keepId: number; otherId: number }
  | { kind: 'part'; blockId: number }
  | { kind: 'lines'; propertyId: number };

export interface ShapePreview {
  land: LandContent;
  notes: string[];
  /** Rules that planned tasks would break by it. */
  breaks: Problem[];
  /** Planned tasks that would be gone. */
  vanishing: { name: string; startsOn: IsoDate; lastDay: IsoDate }[];
}

export interface PlanningRun {
  state: 'running' | 'done' | 'stopped' | 'failed';
  startedAt: string;
  seconds: number;
  secondsBudget: number;
  /** Best cost so far and tasks left out in it; null before the first plan. */
  cost: number | null;
  leftOutCount: number | null;
  problems: Problem[];
  draftId: number | null;
}

export interface WhatIfRun {
  whatIfId: number;
  /** `stopping`: its best plan is being checked and kept. */
  state: 'running' | 'stopping' | 'done' | 'stopped' | 'failed';
  seconds: number;
  secondsBudget: number;
  /** Tasks left out of the best plan so far; null before the first one. */
  leftOutCount: number | null;
  problems: Problem[];
}

export type AnchorChange =
  | { usual: string }
  | { year: number; date: IsoDate | null; how: 'observed' | 'computed' };

export interface NewProperty {
  landownerName: string;
  name: string;
  state: string;
  county: string;
  timeZone: string;
  latitude: number;
  longitude: number;
}

/** `auto`: by the first line of the file. */
export type WeatherFormat = 'auto' | 'isd-lite' | 'ghcn-daily' | 'csv';

/** Clock of the times of a plain CSV: `local` has summer time, `standard` has none. */
export type CsvClock = 'utc' | 'standard' | 'local';

export interface WeatherFileOrder {
  station: Station;
  fileName: string;
  bytes: Uint8Array;
  format: WeatherFormat;
  /** Only a plain CSV is asked for these. */
  clock: CsvClock;
  windHeight: '10-m' | '20-ft';
}

/** A weather import: how far it is, then what it took and left out. */
export interface WeatherImportRun {
  state: 'running' | 'done' | 'stopped' | 'failed';
  stationName: string;
  fileName: string;
  /** 0 to 1. */
  share: number;
  rows: number;
  rowsTaken: number;
  /** Years that were saved. */
  years: number[];
  leftOut: { reason: string; count: number }[];
  /** The first hundred lines that were left out, each with its reason. */
  lines: Problem[];
  /** Of the whole file. */
  problems: Problem[];
}

export interface ForecastFetch {
  state: 'running' | 'done' | 'failed';
  problems: Problem[];
}

export interface MonthlyFitDays {
  years: Record<string, number[]>;
  mean: number[];
  unknownHours: number;
}

/** `counting`: the count runs in the background; ask again in a moment. */
export type BlockFitDays =
  | { state: 'no-block' | 'no-hours' | 'no-prescription' }
  | { state: 'counting'; station: StationSummary }
  | {
      state: 'counted';
      station: StationSummary;
      counts: SiteFitDays;
      /** Years of the station that hold days but no hours: their days cannot be judged. */
      dailyOnlyYears: number[];
    };

export interface DailyWeather {
  station: StationSummary;
  /** In order; days that are not known are missing. */
  years: DailyYear[];
}

export interface CureHistory {
  station: StationSummary;
  weather: CureWeather;
}

export interface FeedLink {
  id: number;
  name: string;
  label: string;
  createdAt: string;
  lastFetchedAt: string | null;
  lastFetchedBy: string | null;
  revokedAt: string | null;
  /** May also mark the tasks of its crew done. */
  mayReport: boolean;
}

export interface FeedRequest {
  token: string;
  baseUrl: string;
  userAgent: string;
  /** Reminders, and to-dos beside the entries: only for those who ask. */
  hasAlarms: boolean;
  hasToDos: boolean;
}

export type CrewAnswer =
  | { kind: 'found'; crewId: number; tasks: PublishedTask[] }
  | { kind: 'revoked' }
  | { kind: 'unknown' };

export type FeedAnswer =
  | { kind: 'found'; fileName: string; body: Uint8Array; etag: string; lastModified: string }
  | { kind: 'revoked' }
  | { kind: 'unknown' };
