import { type BurnPaper, checkBurnPaper, type NewBurnPaper } from '../../src/core/burn-papers.ts';
import type { ChangeGroup } from '../../src/core/change-log.ts';
import type { CountySwitch } from '../../src/core/county-switches.ts';
import type { IsoDate } from '../../src/core/dates.ts';
import type { OwnFeed } from '../../src/core/feed-scopes.ts';
import type { GoNoGo } from '../../src/core/go-no-go.ts';
import type { LandFileRow } from '../../src/core/land-file-changes.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { Plan, PlanDifference } from '../../src/core/plans.ts';
import type { Problem } from '../../src/core/problems.ts';
import type { PublishedTask } from '../../src/core/publication.ts';
import type {
  ChangeAnswer,
  LibraryNoun,
  LibraryRows,
  RecordRows,
  RetiredRow,
} from '../../src/core/records.ts';
import type { LeafOutModel } from '../../src/core/season/leaf-out.ts';
import type { DayVerdict } from '../../src/core/weather/fit-days.ts';
import type { YearHeld } from '../../src/core/weather/history.ts';
import {
  type Forecast,
  type ForecastService,
  forecastServiceDefault,
} from '../../src/core/weather/readings.ts';
import type { StateVentilationRule } from '../../src/core/weather/smoke.ts';
import { noWeatherTables } from '../../src/core/weather/tables.ts';
import type { WhatIf } from '../../src/core/what-if.ts';
import type { EntryVersion, WorkDetail } from '../../src/core/work-details.ts';
import type { Yardstick } from '../../src/core/yardsticks.ts';
import { readHistoryTable } from '../../src/exchange/csv-history.ts';
import { csvText } from '../../src/exchange/csv-text.ts';
import { readStretches } from '../../src/exchange/geojson-layers.ts';
import type {
  BlockFitDays,
  CureHistory,
  DailyWeather,
  DayWeather,
  Deps,
  FeedLink,
  Finding,
  ForecastFetch,
  KeptPastYears,
  PastYearsRunState,
  PlanningRun,
  ShapePreview,
  WeatherImportRun,
  WhatIfRun,
} from '../../src/web/deps.ts';
import { showing } from '../feeds/rows.ts';
import { fakeOperation, fakeToday } from './operation.ts';
import { fakePlan } from './plan.ts';

/** What a test can set before it builds its fakes. */
export interface FakeState {
  today: IsoDate;
  operation: Operation;
  inForce: Plan | null;
  /** Null: the one in force alone. */
  everInForce: Plan[] | null;
  draft: Plan | null;
  run: PlanningRun | null;
  isSampleUnderWay: boolean;
  whatIfs: WhatIf[];
  whatIfRun: WhatIfRun | null;
  staleBecause: string[];
  /** Answered by every change of land, log or plan; empty = the change is taken. */
  problems: Problem[];
  links: FeedLink[];
  ownFeeds: OwnFeed[];
  crewTasks: PublishedTask[];
  /** UTC instant at which the county switches are looked at. */
  now: string;
  switches: CountySwitch[];
  goNoGoLists: GoNoGo[];
  details: WorkDetail[];
  entryVersions: EntryVersion[];
  smokeRules: StateVentilationRule[];
  dayWeather: DayWeather | null;
  pastYearsRun: PastYearsRunState | null;
  pastYears: KeptPastYears | null;
  blockFitDays: BlockFitDays;
  fitDaysAt: DayVerdict[];
  dailyWeather: DailyWeather | null;
  yearsHeld: YearHeld[];
  forecast: Forecast | null;
  forecastService: ForecastService;
  forecastFetch: ForecastFetch | null;
  weatherImport: WeatherImportRun | null;
  cureHistory: CureHistory | null;
  findings: Finding[];
  /** Of every change of shape; its land is the operation as it is. */
  shapePreview: Omit<ShapePreview, 'land'>;
  /** Of every change of a record; null = saved, or refused with `problems`. */
  recordAnswer: ChangeAnswer | null;
  retired: RetiredRow[];
  yardsticks: Yardstick[];
  /** Bytes of the photo folder by name. */
  pictures: Record<string, Uint8Array>;
  /** The log of changes, newest first. */
  changes: ChangeGroup[];
  /** Rows as published, by key, whatever their noun. */
  published: Record<string, LibraryRows[keyof LibraryRows]>;
  /** What every file of land would change. */
  landReport: LandFileRow[];
}

/** Deps in memory, with the state behind them and a list of the changing calls in order. */
export interface FakeDeps extends Deps {
  state: FakeState;
  calls: { name: string; args: unknown[] }[];
}

type Call = (name: string, ...args: unknown[]) => Problem[];

/** Warmth above 5 C from 1 April on until 130 degree days. */
export const fakeLeafOutModel: LeafOutModel = {
  key: 'warmth',
  name: 'Warmth of the test',
  baseC: 5,
  fromDayOfYear: 91,
  threshold: 130,
  dayLengthPower: 0,
  errorDays: 4,
  afterRedOakDays: 0,
  status: 'default-to-edit',
  source: '',
};

/** An import that has begun. */
export const fakeImportRun: WeatherImportRun = {
  state: 'running',
  stationName: 'Invented station',
  fileName: 'hours.csv',
  share: 0.4,
  rows: 0,
  rowsTaken: 0,
  years: [],
  leftOut: [],
  lines: [],
  problems: [],
};

export const fakeToken = 'tok_0123456789abcdefghijklmnopqrstuv';

/** A server of which nothing is to be said. */
export const noHealth: Deps['health'] = {
  ask: () => {},
  findings: () => [],
  running: () => ({
    version: '0.1.0',
    nodeVersion: '22.0.0',
    startedAt: '2026-11-09T06:00:00Z',
    databaseMebibytes: 12,
    memoryMebibytes: 130,
  }),
};

const nobody = async () => [{ code: 'nobody', message: 'Nobody is there.' }];

/** As on a machine without accounts: everybody may everything. */
export const noAccess: Deps['access'] = {
  hasAccounts: () => false,
  current: () => null,
  runAs: (_person, run) => run(),
  find: () => null,
  signIn: async () => ({ kind: 'refused' }),
  endSession: () => {},
  endSessions: () => {},
  sessions: () => [],
  changePassword: async () => ({ ok: false, problems: await nobody() }),
  accounts: () => [],
  add: async () => ({ ok: true, value: 1 }),
  change: () => [],
  retire: () => [],
  bringBack: () => [],
  makeLink: () => ({ ok: true, value: 'link' }),
  nameOfLink: () => null,
  setByLink: nobody,
};

function fakePlans(state: FakeState, call: Call): Deps['plans'] {
  return {
    inForce: () => state.inForce,
    draft: () => state.draft,
    adopt: (planId) => {
      const problems = call('plans.adopt', planId);
      if (problems.length > 0 || !state.draft) return { ok: false, problems };
      const adopted: Plan = { ...state.draft, state: 'in-force' };
      state.inForce = adopted;
      state.draft = null;
      return { ok: true, value: adopted };
    },
    discard: (planId) => {
      call('plans.discard', planId);
      state.draft = null;
    },
    compare: (draft, inForce) =>
      draft.content.tasks.flatMap((task): PlanDifference[] => {
        const before = inForce?.content.tasks.find((one) => one.key === task.key);
        const { key, name, startsOn, lastDay } = task;
        if (!before) return [{ kind: 'new', key, name, startsOn, lastDay }];
        if (before.startsOn === startsOn && before.lastDay === lastDay) return [];
        const from = { startsOn: before.startsOn, lastDay: before.lastDay };
        return [{ kind: 'moved', key, name, from, to: { startsOn, lastDay } }];
      }),
    staleBecause: () => state.staleBecause,
    everInForce: () => state.everInForce ?? (state.inForce ? [state.inForce] : []),
  };
}

function fakePlanning(state: FakeState, call: Call): Deps['planning'] {
  return {
    run: () => state.run,
    isSampleUnderWay: () => state.isSampleUnderWay,
    start: (limits) => {
      const problems = call('planning.start', limits);
      if (problems.length > 0) return { ok: false, problems };
      state.run = {
        state: 'running',
        startedAt: '2026-11-09T15:00:00Z',
        seconds: 0,
        secondsBudget: limits.seconds,
        cost: null,
        leftOutCount: null,
        problems: [],
        draftId: null,
      };
      return { ok: true, value: state.run };
    },
    stop: () => {
      call('planning.stop');
      if (state.run) state.run = { ...state.run, state: 'stopped' };
    },
  };
}

function fakeWhatIf(state: FakeState, call: Call): Deps['whatIf'] {
  return {
    list: () => state.whatIfs,
    add: (name) => {
      const problems = call('whatIf.add', name);
      return problems.length > 0 ? { ok: false, problems } : { ok: true, value: 1 };
    },
    addChange: (id, change) => call('whatIf.addChange', id, change),
    dropChange: (id, at) => call('whatIf.dropChange', id, at),
    remove: (id) => {
      call('whatIf.remove', id);
    },
    plan: () => (state.draft ?? state.inForce)?.content ?? null,
    changedSince: () => state.staleBecause,
    run: () => state.whatIfRun,
    waiting: () => [],
    search: (id, limits) => call('whatIf.search', id, limits),
    stop: () => {
      call('whatIf.stop');
    },
    adopt: (id) => call('whatIf.adopt', id),
  };
}

function fakeShapes(state: FakeState, call: Call): Deps['shapes'] {
  return {
    preview: () =>
      state.problems.length > 0
        ? { ok: false, problems: state.problems }
        : { ok: true, value: { ...state.shapePreview, land: state.operation } },
    save: (change) => call('shapes.save', change),
  };
}

function fakeFiles(state: FakeState, call: Call): Deps['files'] {
  return {
    exportLand: (propertyId, kind) => `${kind} ${propertyId}`,
    previewLand: (file) => {
      call('files.previewLand', file);
      const { problems, landReport } = state;
      return {
        report: landReport,
        problems,
        problemCount: problems.length,
        notes: [],
        breaks: [],
      };
    },
    takeLand: (file) => call('files.takeLand', file),
    csvText,
    historyTable: readHistoryTable,
    readStretches,
    takeHistory: (entries, noWorkReason) =>
      call('files.takeHistory', entries, ...(noWorkReason === '' ? [] : [noWorkReason])),
  };
}

function fakeRecords(state: FakeState, call: Call): Deps['records'] {
  const answer = (problems: Problem[]): ChangeAnswer => {
    if (state.recordAnswer) return state.recordAnswer;
    return problems.length > 0 ? { kind: 'refused', problems } : { kind: 'saved', id: 77 };
  };
  return {
    save: (noun, row, isNew, isSure) => answer(call('records.save', noun, row, isNew, isSure)),
    retire: (noun, id, isSure) => answer(call('records.retire', noun, id, isSure)),
    bringBack: (noun, id) => call('records.bringBack', noun, id),
    retired: () => state.retired,
    published: <N extends LibraryNoun>(_noun: N, key: string) =>
      (state.published[key] ?? null) as RecordRows[N] | null,
    backToDefault: (noun, key, isSure) => answer(call('records.backToDefault', noun, key, isSure)),
  };
}

function fakeLand(call: Call): Deps['land'] {
  return {
    updateUnit: (unitId, change, isSure) =>
      call('land.updateUnit', unitId, change, ...(isSure ? [true] : [])),
    updateBlock: (blockId, change, isSure) =>
      call('land.updateBlock', blockId, change, ...(isSure ? [true] : [])),
    setAnchors: (propertyId, changes, isSure) =>
      call('land.setAnchors', propertyId, changes, ...(isSure ? [true] : [])),
    updateCrew: (crewId, change, isSure) =>
      call('land.updateCrew', crewId, change, ...(isSure ? [true] : [])),
    setFitDays: (key, monthly) => call('land.setFitDays', key, monthly),
    updateSettings: (settings) => call('land.updateSettings', settings),
    holdDates: (taskKey, startsOn) => call('land.holdDates', taskKey, startsOn),
    startOwn: (property) => {
      const problems = call('land.startOwn', property);
      return problems.length > 0 ? { ok: false, problems } : { ok: true, value: 1 };
    },
    loadSample: () => call('land.loadSample'),
    importUnits: (propertyId, fileName, text, isSure) => {
      const sure = isSure ? [true] : [];
      const problems = call('land.importUnits', propertyId, fileName, text, ...sure);
      return { imported: problems.length > 0 ? 0 : 2, problems, problemCount: problems.length };
    },
  };
}

/** Papers go into the operation at once, so that the next page shows them. */
function fakePapers(state: FakeState, call: Call): Deps['papers'] {
  const keep = (paper: NewBurnPaper): number => {
    const id = Math.max(0, ...state.operation.papers.map((one) => one.id)) + 1;
    const papers = [...state.operation.papers, { ...paper, id } as BurnPaper];
    state.operation = { ...state.operation, papers };
    return id;
  };
  return {
    add: (paper) => {
      const problems = [...call('papers.add', paper), ...checkBurnPaper(paper)];
      return problems.length > 0 ? { ok: false, problems } : { ok: true, value: keep(paper) };
    },
    takeBack: ({ id }) => {
      const problems = call('papers.takeBack', id);
      const papers = state.operation.papers.filter((one) => one.id !== id);
      state.operation = { ...state.operation, papers };
      return problems;
    },
    choose: (paper) => {
      const problems = [...call('papers.choose', paper), ...checkBurnPaper(paper)];
      if (problems.length === 0) keep(paper);
      return problems;
    },
  };
}

function fakeWorklog(state: FakeState, call: Call): Deps['worklog'] {
  return {
    record: (entry) => {
      const problems = call('worklog.record', entry);
      if (problems.length > 0) return { ok: false, problems };
      const id = Math.max(0, ...state.operation.entries.map((one) => one.id)) + 1;
      const value = { ...entry, id };
      state.operation.entries.push(value);
      return { ok: true, value };
    },
    write: (drafts, sendKey) => {
      const problems = call('worklog.write', drafts, sendKey);
      if (problems.length > 0) return { ok: false, problems };
      const first = Math.max(0, ...state.operation.entries.map((one) => one.id)) + 1;
      const entries = drafts.map(({ entry }, index) => ({ ...entry, id: first + index }));
      state.operation.entries.push(...entries);
      for (const [index, { detail }] of drafts.entries())
        state.details.push({ entryId: first + index, ...detail, photos: [], captions: [] });
      return { ok: true, value: entries };
    },
    correct: (entryId, change) => {
      const problems = call('worklog.correct', entryId, change);
      const before = state.operation.entries.find((one) => one.id === entryId);
      if (problems.length > 0 || !before) return { ok: false, problems };
      Object.assign(before, change.entry);
      return { ok: true, value: before };
    },
    wasSent: () => false,
    signOut: (entryId, signedOutOn) => {
      const problems = call('worklog.signOut', entryId, signedOutOn);
      const entry = state.operation.entries.find((one) => one.id === entryId);
      if (problems.length === 0 && entry) entry.signedOutOn = signedOutOn;
      return problems;
    },
    remove: (entryId) => {
      const problems = call('worklog.remove', entryId);
      if (problems.length === 0)
        state.operation.entries = state.operation.entries.filter((one) => one.id !== entryId);
      return problems;
    },
    details: () => state.details,
    versions: () => state.entryVersions,
    addReading: (entryId, reading) => call('worklog.addReading', entryId, reading),
    keepPhoto: (name) => {
      const problems = call('worklog.keepPhoto', name);
      const fileName = `${'0'.repeat(32)}.jpg`;
      return problems.length > 0 ? { ok: false, problems } : { ok: true, value: fileName };
    },
    dropPhotos: (fileNames) => {
      call('worklog.dropPhotos', fileNames);
    },
    addPhotos: (entryId, photos) => call('worklog.addPhotos', entryId, photos),
    removePhoto: (entryId, fileName) => call('worklog.removePhoto', entryId, fileName),
    photo: () => null,
    table: (entries) => `entry\r\n${entries.map(({ id }) => `${id}\r\n`).join('')}`,
  };
}

function fakeBurns(state: FakeState, call: Call): Deps['burns'] {
  return {
    now: () => state.now,
    switches: () => state.switches,
    addSwitch: (row) => {
      const problems = call('burns.addSwitch', row);
      const id = state.switches.length + 1;
      if (problems.length === 0)
        state.switches = [...state.switches, { ...row, id, checkedAt: state.now }];
      return problems;
    },
    goNoGoLists: () => state.goNoGoLists,
    addGoNoGo: (list) => {
      call('burns.addGoNoGo', list);
      const kept = { ...list, id: state.goNoGoLists.length + 1, recordedAt: state.now };
      state.goNoGoLists = [kept, ...state.goNoGoLists];
      return kept;
    },
    smokeRules: () => state.smokeRules,
    saveSmokeRule: (rule) => {
      call('burns.saveSmokeRule', rule);
      state.smokeRules = [...state.smokeRules, { ...rule, id: state.smokeRules.length + 1 }];
    },
    removeSmokeRule: (id) => {
      call('burns.removeSmokeRule', id);
      state.smokeRules = state.smokeRules.filter((rule) => rule.id !== id);
    },
    weatherOf: () => state.dayWeather,
    pastYears: {
      run: () => state.pastYearsRun,
      start: (planId) => {
        const problems = call('burns.pastYears.start', planId);
        if (problems.length > 0) return { ok: false, problems };
        state.pastYearsRun = { planId, state: 'running', share: 0.25, problems: [] };
        return { ok: true, value: state.pastYearsRun };
      },
      stop: () => {
        call('burns.pastYears.stop');
        if (state.pastYearsRun) state.pastYearsRun = { ...state.pastYearsRun, state: 'stopped' };
      },
      kept: () => state.pastYears,
    },
  };
}

const calendarText = 'BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n';

function fakeFeeds(state: FakeState, call: Call): Deps['feeds'] {
  const issue = (link: FeedLink, problems: Problem[]) =>
    problems.length > 0
      ? { ok: false as const, problems }
      : { ok: true as const, value: { token: fakeToken, link } };
  return {
    list: () => state.links,
    create: (name, label, mayReport) => {
      const link: FeedLink = {
        id: state.links.length + 1,
        name,
        label,
        createdAt: '2026-11-09T15:00:00Z',
        lastFetchedAt: null,
        lastFetchedBy: null,
        revokedAt: null,
        mayReport,
      };
      const problems = call('feeds.create', name, label, mayReport);
      if (problems.length === 0) state.links = [...state.links, link];
      return issue(link, problems);
    },
    rotate: (linkId) => {
      const problems = call('feeds.rotate', linkId);
      const link = state.links.find((one) => one.id === linkId);
      return link
        ? issue(link, problems)
        : { ok: false, problems: [{ code: 'unknown', message: 'No such feed address.' }] };
    },
    revoke: (linkId) => {
      const problems = call('feeds.revoke', linkId);
      const revoked = (one: FeedLink) => ({ ...one, revokedAt: '2026-11-09T16:00:00Z' });
      if (problems.length === 0)
        state.links = state.links.map((one) => (one.id === linkId ? revoked(one) : one));
      return problems;
    },
    serve: ({ token }) =>
      token === fakeToken
        ? {
            kind: 'found',
            fileName: 'fernhill-ridge.ics',
            body: new TextEncoder().encode(calendarText),
            etag: '"fake"',
            lastModified: '2026-10-26T14:10:00Z',
          }
        : { kind: 'unknown' },
    own: {
      list: () => state.ownFeeds,
      add: (feed) => {
        const problems = call('feeds.own.add', feed);
        if (problems.length > 0) return { ok: false, problems };
        state.ownFeeds = [...state.ownFeeds, { ...feed, id: state.ownFeeds.length + 1 }];
        return { ok: true, value: state.ownFeeds.length };
      },
      change: (feed) => call('feeds.own.change', feed),
      remove: (id) => call('feeds.own.remove', id),
    },
    crew: (token) =>
      token === fakeToken
        ? { kind: 'found', crewId: 1, tasks: state.crewTasks }
        : { kind: token === 'ended' ? 'revoked' : 'unknown' },
    taskFile: (taskKey) => (taskKey === 'nothing' ? null : calendarText),
    seasonFile: (season) => (season === 1999 ? null : calendarText),
    planTable: () => 'property,block\r\n',
    scopes: () => [
      {
        name: 'fernhill-ridge',
        title: 'Fernhill Ridge',
        description: 'All work on Fernhill Ridge.',
        kind: 'property',
        id: 1,
        shows: showing({ propertyIds: [1] }),
      },
      {
        name: 'home-crew',
        title: 'Home crew',
        description: 'All work of the home crew.',
        kind: 'crew',
        id: 1,
        shows: showing({ crewIds: [1] }),
      },
    ],
  };
}

/** Deps without storage, solver or clock: the invented operation, its plan in force, and a log of changes. */
export function fakeDeps(own: Partial<FakeState> = {}): FakeDeps {
  const state: FakeState = {
    today: fakeToday,
    operation: fakeOperation(),
    inForce: fakePlan(),
    everInForce: null,
    draft: null,
    run: null,
    isSampleUnderWay: false,
    whatIfs: [],
    whatIfRun: null,
    staleBecause: [],
    problems: [],
    links: [
      {
        id: 1,
        name: 'fernhill-ridge',
        label: 'office wall screen',
        createdAt: '2026-10-01T12:00:00Z',
        lastFetchedAt: '2026-11-09T06:10:00Z',
        lastFetchedBy: 'ExampleCalendar/3.1',
        revokedAt: null,
        mayReport: false,
      },
    ],
    ownFeeds: [],
    crewTasks: [],
    shapePreview: { notes: ['What was there stays.'], breaks: [], vanishing: [] },
    recordAnswer: null,
    retired: [],
    yardsticks: [],
    pictures: {},
    changes: [],
    published: {},
    landReport: [],
    now: '2026-11-09T15:00:00Z',
    switches: [],
    goNoGoLists: [],
    details: [],
    entryVersions: [],
    smokeRules: [],
    dayWeather: null,
    pastYearsRun: null,
    pastYears: null,
    blockFitDays: { state: 'no-hours' },
    fitDaysAt: [],
    dailyWeather: null,
    yearsHeld: [{ year: 2020, hours: 8784, days: 366 }],
    forecast: null,
    forecastService: forecastServiceDefault,
    forecastFetch: null,
    weatherImport: null,
    cureHistory: null,
    findings: [{ key: 'disk', found: 'Free disk: 9000 MiB.' }],
    ...own,
  };
  const calls: FakeDeps['calls'] = [];
  const call: Call = (name, ...args) => {
    calls.push({ name, args });
    return state.problems;
  };
  return {
    state,
    calls,
    access: noAccess,
    today: () => state.today,
    operation: () => state.operation,
    plans: fakePlans(state, call),
    allOrNone: (work) => work(),
    planning: fakePlanning(state, call),
    whatIf: fakeWhatIf(state, call),
    land: fakeLand(call),
    records: fakeRecords(state, call),
    changeLog: {
      list: () => ({ groups: state.changes, total: state.changes.length }),
      people: () => ['Dana'],
      group: (id) => state.changes.find((one) => one.id === id) ?? null,
      change: (id) =>
        state.changes.find(({ changes }) => changes.some((one) => one.id === id)) ?? null,
      present: (change) => change.after,
      removed: () => [],
      mayUndo: () => true,
      undo: (changes, what, isSure) => {
        call(
          'changeLog.undo',
          changes.map(({ id }) => id),
          what,
          isSure,
        );
        return state.recordAnswer ?? { kind: 'saved', id: changes.length };
      },
    },
    whole: {
      document: (hasWeather) => ['{"weather": ', `${hasWeather}`, '}'],
      take: (text) => call('whole.take', text),
    },
    shapes: fakeShapes(state, call),
    packets: { saveElements: (elements) => call('packets.saveElements', elements) },
    files: fakeFiles(state, call),
    worklog: fakeWorklog(state, call),
    papers: fakePapers(state, call),
    fitDays: { ofBlock: () => state.blockFitDays, daysAt: () => state.fitDaysAt },
    health: { ...noHealth, findings: () => state.findings },
    seasons: {
      leafOutModels: () => [fakeLeafOutModel],
      dailyWeather: () => state.dailyWeather,
      cureHistory: () => state.cureHistory,
    },
    weather: {
      places: () => [
        {
          name: 'Invented station',
          latitude: 37.1,
          longitude: -92,
          timeZone: 'America/Chicago',
          isInvented: true,
        },
      ],
      stations: () => [
        {
          name: 'Invented station',
          latitude: 37.1,
          longitude: -92,
          timeZone: 'America/Chicago',
          fromYear: 2011,
          toYear: 2020,
          hours: 87_672,
          isInvented: true,
        },
      ],
      monthlyFitDays: (stationName, prescriptionKey) =>
        stationName === 'Invented station' && prescriptionKey === 'hardwood-litter'
          ? {
              years: {
                '2019': [4, 5, 6, 4, 2, 2, 0, 1, 3, 5, 6, 4],
                '2020': [2, 3, 6, 4, 2, 2, 0, 3, 3, 5, 4, 4],
              },
              mean: [3, 4, 6, 4, 2, 2, 0, 2, 3, 5, 5, 4],
              unknownHours: 12,
            }
          : null,
      tables: () => state.dayWeather?.tables ?? noWeatherTables,
      yearsHeld: () => state.yearsHeld,
      hourlyYears: () => [],
      dailyYears: () => [],
      nearestStation: () => null,
      forecast: () => state.forecast,
      saveForecast: (stationName, hours) => call('weather.saveForecast', stationName, hours),
      service: () => state.forecastService,
      saveService: (service) => call('weather.saveService', service),
      refreshForecast: (stationName) => call('weather.refreshForecast', stationName),
      forecastFetch: () => state.forecastFetch,
      startImport: (order) => {
        const problems = call('weather.startImport', order);
        if (problems.length > 0) return { ok: false, problems };
        return { ok: true, value: fakeImportRun };
      },
      importRun: () => state.weatherImport,
      stopImport: () => {
        call('weather.stopImport');
      },
    },
    answers: {
      yardsticks: () => state.yardsticks,
      picture: (fileName) => state.pictures[fileName] ?? null,
    },
    burns: fakeBurns(state, call),
    feeds: fakeFeeds(state, call),
  };
}
