import { describe, expect, it } from 'vitest';
import { addDays, type IsoDate, isoDate } from '../../src/core/dates.ts';
import {
  entriesForScope,
  type FeedFilter,
  type FeedScope,
  feedFirstRevision,
  feedPastDays,
  feedRevisedAt,
  feedScopes,
  findFeedScope,
} from '../../src/core/feed-scopes.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { PlanContent } from '../../src/core/plans.ts';
import {
  type CalendarEntry,
  calendarEntries,
  familyCategories,
  type PublishedTask,
} from '../../src/core/publication.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { showing } from '../feeds/rows.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakeTask } from '../support/plan.ts';

const burnKey = 'block:2/cedar-woodland/burn/1/-';
const fellKey = 'unit:2/cedar-woodland/fell/1/-';
const lineKey = 'block:2/cedar-woodland/line/1/-';
const passKey = 'block:2/cedar-woodland/second-pass/1/-';

const fell = fakeTask(fellKey, '2026-11-30', '2026-12-18', {
  treatmentKey: 'cedar-felling',
  family: 'cut',
  areaAcres: 31.04,
  crewIds: [2],
  crewDaysTenths: 145,
});
const line = fakeTask(lineKey, '2028-01-10', '2028-01-12', {
  treatmentKey: 'line-build',
  family: 'line',
});
const burn = fakeTask(burnKey, '2028-01-24', '2028-02-06', {
  treatmentKey: 'dormant-burn',
  family: 'burn',
  isWhenFit: true,
  areaAcres: 31,
  crewDaysTenths: 20,
  gearShares: [{ gearKey: 'burn-trailer', days: [] }],
});
const secondPass = fakeTask(passKey, '2028-01-24', '2028-02-06', {
  treatmentKey: 'line-second-pass',
  family: 'line',
  tiedToKey: burnKey,
});

/** The invented operation with block 2 not yet started, and these facts. */
function land(facts: WorkEntry[] = []): Operation {
  return { ...fakeOperation(), entries: facts };
}

function plan(tasks = [fell, line, burn, secondPass], madeOn = '2026-10-26'): PlanContent {
  return {
    madeOn: isoDate(madeOn),
    horizon: { startsOn: fakeToday, endsBefore: isoDate('2029-07-01') },
    seed: 1,
    iterations: null,
    seconds: 1,
    version: '0.1.0',
    cost: 0,
    bound: null,
    tasks,
    leftOut: [],
    later: [],
  };
}

function entryOf(key: string, entries: CalendarEntry[]): CalendarEntry {
  const found = entries.find((entry) => entry.taskKey === key);
  if (!found) throw new Error(`no entry for ${key}`);
  return found;
}

const fact = (key: string, treatmentKey: string, doneOn: string, own: Partial<WorkEntry> = {}) =>
  fakeEntry(90, 2, treatmentKey, doneOn, { taskKey: key, ...own });

function published(entries: CalendarEntry[]): PublishedTask[] {
  return entries.map((entry, index) => ({
    taskKey: entry.taskKey,
    uid: `uid-${index}`,
    sequence: 0,
    revisedAt: '2026-11-09T15:30:00Z',
    createdAt: '2026-11-09T15:30:00Z',
    entry,
    cancelledAt: null,
  }));
}

describe('planned tasks', () => {
  const entries = calendarEntries(land(), plan(), fakeToday);

  it('are one entry each, the tied one left out before the call', () => {
    expect(entries.map((entry) => entry.taskKey)).toEqual([fellKey, lineKey, burnKey]);
    expect(entries.every((entry) => entry.status === 'tentative')).toBe(true);
  });

  it('show place, work, dates, people and amounts', () => {
    expect(entryOf(fellKey, entries)).toEqual({
      taskKey: fellKey,
      kind: 'task',
      propertyId: 1,
      unitIds: [2],
      crewIds: [2],
      family: 'cut',
      treatmentKey: 'cedar-felling',
      startsOn: '2026-11-30',
      endsBefore: '2026-12-19',
      status: 'tentative',
      progress: 'to-do',
      isFreeTime: false,
      summary: 'N2 Two Springs: fell cedar',
      description: [
        'Planned 30 Nov to 18 Dec 2026.',
        'This calendar can be hours late: the call comes by phone or text.',
        'Crew: Saw contract.',
        '31 acres, 14.5 crew days.',
        'Cautions: Nobody fells alone. First comes: the trained sawyer in charge.',
        'Plan only: local law, the label, the signed burn plan and the qualified person in charge come first.',
      ],
      categories: ['Cut'],
      place: { latitude: 37.202, longitude: -92.0925, words: 'N2 Two Springs, Fernhill Ridge' },
      path: '/units/2#task-fell-1',
      followedBy: [{ taskKey: burnKey, lagDaysLeast: 300 }],
    });
  });

  it('show a burn as a span of free time that the boss calls', () => {
    const entry = entryOf(burnKey, entries);
    expect(entry).toMatchObject({
      summary: 'N2 Two Springs: dormant-season burn (when fit)',
      isFreeTime: true,
      startsOn: '2028-01-24',
      endsBefore: '2028-02-07',
      categories: ['Burn'],
    });
    expect(entry.description).toEqual([
      'When fit: one day, 24 Jan to 6 Feb 2028.',
      'A burn day is firm only when the burn boss calls it. This calendar can be hours late: the call comes by phone or text.',
      'Crew: Home crew.',
      '31 acres, 2 crew days.',
      // 300 days from 18 Dec 2026 is 14 Oct 2027; the growing season of 2027 ends on 1 Oct.
      'Earliest 14 Oct 2027: one growing season and 300 days after fell cedar (planned to end 18 Dec 2026).',
      'Earliest 12 Jan 2028: not before the end of make the line (planned to end 12 Jan 2028).',
      'Gear: Burn trailer.',
      'Cautions: Fire gets away the next two afternoons. First comes: the signed burn plan and the burn boss in charge.',
      'Plan only: local law, the label, the signed burn plan and the qualified person in charge come first.',
    ]);
  });

  it('give the lag of the same day as 0, and none where the dates contradict it', () => {
    expect(entryOf(lineKey, entries).followedBy).toEqual([{ taskKey: burnKey, lagDaysLeast: 0 }]);
    const early = { ...burn, startsOn: isoDate('2027-10-13') };
    const late = calendarEntries(land(), plan([fell, early]), fakeToday);
    expect(entryOf(fellKey, late).followedBy).toEqual([]);
    const onTime = { ...burn, startsOn: isoDate('2027-10-14') };
    const good = calendarEntries(land(), plan([fell, onTime]), fakeToday);
    expect(entryOf(fellKey, good).followedBy).toEqual([{ taskKey: burnKey, lagDaysLeast: 300 }]);
  });

  it('count a rotation lag in burning seasons', () => {
    const operation = land();
    const step = operation.sequences[0]?.steps.find((row) => row.key === 'burn');
    step?.lags.push({
      afterStepKey: 'burn',
      cycle: 'previous',
      kind: 'rotation',
      least: {},
      target: null,
      most: null,
      mostIsHard: false,
      link: 'needs',
    });
    const nextKey = 'block:2/cedar-woodland/burn/2/-';
    const next = {
      ...burn,
      key: nextKey,
      cycle: 2,
      startsOn: isoDate('2030-01-01'),
      lastDay: isoDate('2030-01-14'),
    };
    const found = calendarEntries(operation, plan([burn, next]), fakeToday);
    // Burned in season 2027-28, least 2 seasons: from 1 July 2029, 511 days after 6 Feb 2028.
    expect(entryOf(burnKey, found).followedBy).toEqual([{ taskKey: nextKey, lagDaysLeast: 511 }]);
    expect(entryOf(nextKey, found).description.join('\n')).toContain(
      'Earliest 1 Jul 2029: 2 burning seasons after dormant-season burn (planned to end 6 Feb 2028).',
    );
  });

  it('use the block for a task of several units, and the property where no boundary is', () => {
    const joint = fakeTask('block:6/cedar-woodland/line/2/-', '2027-01-04', '2027-01-04', {
      treatmentKey: 'line-build',
    });
    const prairie = fakeTask('block:7/cedar-woodland/line/2/-', '2027-01-04', '2027-01-04', {
      treatmentKey: 'line-build',
    });
    const found = calendarEntries(land(), plan([joint, prairie]), fakeToday);
    // Mean of the middles of units 6 and 7.
    expect(found[0]).toMatchObject({
      summary: 'E Hollow edge and High gate: make the line',
      unitIds: [6, 7],
      place: { latitude: 37.208, longitude: -92.0925 },
    });
    expect(found[1]).toMatchObject({
      propertyId: 2,
      place: { latitude: 37.2, longitude: -92.1, words: 'P1 Creek prairie, Lower Sedge' },
    });
  });

  it('need a plan', () => {
    expect(calendarEntries(land(), null, fakeToday)).toEqual([]);
  });
});

describe('facts', () => {
  const at = isoDate('2028-02-02');
  const entriesWith = (facts: WorkEntry[], own = plan(), before: PublishedTask[] = []) =>
    calendarEntries(land(facts), own, at, before);

  it('under way: confirmed, busy, to the end of the planned days', () => {
    const entry = entryOf(
      lineKey,
      calendarEntries(
        land([
          fact(lineKey, 'line-build', '2028-01-11', {
            startedOn: isoDate('2028-01-09'),
            outcome: 'under-way',
          }),
        ]),
        plan(),
        isoDate('2028-01-11'),
      ),
    );
    expect(entry).toMatchObject({
      status: 'confirmed',
      isFreeTime: false,
      startsOn: '2028-01-09',
      endsBefore: '2028-01-13',
      summary: 'N2 Two Springs: make the line, under way',
    });
    expect(entry.description[0]).toBe('Under way since 9 Jan 2028.');
  });

  it('a called burn: confirmed on its day, and the tied step appears', () => {
    const found = entriesWith([
      fact(burnKey, 'dormant-burn', '2028-02-02', { outcome: 'under-way' }),
    ]);
    expect(entryOf(burnKey, found)).toMatchObject({
      status: 'confirmed',
      isFreeTime: false,
      startsOn: '2028-02-02',
      endsBefore: '2028-02-03',
    });
    expect(entryOf(passKey, found)).toMatchObject({
      status: 'tentative',
      startsOn: '2028-02-02',
      endsBefore: '2028-02-03',
    });
  });

  it('tied steps stand a day before or after the burn', () => {
    for (const [tiedDays, day] of [
      [-1, '2028-02-01'],
      [1, '2028-02-03'],
    ] as const) {
      const operation = land([fact(burnKey, 'dormant-burn', '2028-02-02')]);
      const step = operation.sequences[0]?.steps.find((row) => row.key === 'second-pass');
      if (step) step.tiedDays = tiedDays;
      expect(entryOf(passKey, calendarEntries(operation, plan(), at)).startsOn).toBe(day);
    }
  });

  it.each([
    ['2028-02-03', 'confirmed'],
    ['2028-02-04', 'tentative'],
  ])('a call for %s made on 2 Feb is %s: the day before or the day itself', (day, status) => {
    const found = entriesWith([fact(burnKey, 'dormant-burn', day, { outcome: 'under-way' })]);
    expect(entryOf(burnKey, found).status).toBe(status);
  });

  it('done: in words, confirmed, free time, with acres of the log', () => {
    const entry = entryOf(
      burnKey,
      entriesWith([
        fact(burnKey, 'dormant-burn', '2028-01-30', {
          areaAcres: 28,
          crewDays: 1.5,
          signedOutOn: null,
        }),
      ]),
    );
    expect(entry).toMatchObject({
      status: 'confirmed',
      isFreeTime: true,
      startsOn: '2028-01-30',
      endsBefore: '2028-01-31',
      summary: 'Done 30 Jan: N2 Two Springs: dormant-season burn',
      followedBy: [],
    });
    expect(entry.description.slice(0, 4)).toEqual([
      'Done 30 Jan 2028.',
      'The burn stays open, with patrol, until it is signed out.',
      'Crew: Home crew.',
      '28 acres, 1.5 crew days.',
    ]);
  });

  it('done without the task named: the chain knows which one it was', () => {
    const loose = fakeEntry(91, 2, 'cedar-felling', '2026-12-10');
    const found = entriesWith([loose]);
    expect(entryOf(fellKey, found).summary).toBe('Done 10 Dec: N2 Two Springs: fell cedar');
    expect(entryOf(burnKey, found).description.join('\n')).toContain(
      'fell cedar (done 10 Dec 2026)',
    );
  });

  it('done and gone from the plan: still done, with the crew it was published with', () => {
    const before = published(calendarEntries(land(), plan(), fakeToday));
    for (const one of [
      fact(fellKey, 'cedar-felling', '2026-12-10'),
      fakeEntry(91, 2, 'cedar-felling', '2026-12-10'),
    ]) {
      const entry = entryOf(fellKey, entriesWith([one], plan([line, burn]), before));
      expect(entry).toMatchObject({ status: 'confirmed', crewIds: [2] });
    }
    expect(entriesWith([], plan([line, burn]), before).map((entry) => entry.taskKey)).toEqual([
      lineKey,
      burnKey,
    ]);
  });

  it('a month known only', () => {
    const found = entriesWith([
      fact(fellKey, 'cedar-felling', '2026-12-01', { precision: 'month' }),
    ]);
    expect(entryOf(fellKey, found).summary).toBe('Done in Dec 2026: N2 Two Springs: fell cedar');
  });

  it('not possible: cancelled with the reason', () => {
    const found = entriesWith([
      fact(lineKey, 'line-build', '2028-01-12', {
        outcome: 'not-possible',
        reason: 'Ground too wet',
      }),
    ]);
    const entry = entryOf(lineKey, found);
    expect(entry).toMatchObject({
      status: 'cancelled',
      isFreeTime: true,
      summary: 'N2 Two Springs: make the line',
    });
    expect(entry.description[0]).toBe('Not possible (12 Jan 2028). Ground too wet.');
    expect(entryOf(burnKey, found).description.join('\n')).not.toContain('make the line');
  });

  it('not possible, then planned again', () => {
    const again = { ...line, startsOn: isoDate('2028-01-18'), lastDay: isoDate('2028-01-19') };
    const facts = [
      fact(lineKey, 'line-build', '2028-01-12', { outcome: 'not-possible', reason: 'Wet' }),
    ];
    const entry = entryOf(lineKey, entriesWith(facts, plan([again, burn], '2028-01-12')));
    expect(entry).toMatchObject({
      status: 'tentative',
      startsOn: '2028-01-18',
      endsBefore: '2028-01-20',
    });
    expect(entry.description[0]).toBe('Not possible (12 Jan 2028). Wet. Planned again.');
    // A plan made before the fact does not know it.
    expect(entryOf(lineKey, entriesWith(facts, plan([again, burn], '2028-01-11'))).status).toBe(
      'cancelled',
    );
  });

  it('a burn that was not possible calls no tied step', () => {
    const found = entriesWith([
      fact(burnKey, 'dormant-burn', '2028-02-02', { outcome: 'not-possible' }),
    ]);
    expect(found.some((entry) => entry.taskKey === passKey)).toBe(false);
  });

  it('partly done: the rest keeps its days; without days left it is a fact', () => {
    const partly = (doneOn: string) =>
      entryOf(
        fellKey,
        calendarEntries(
          land([fact(fellKey, 'cedar-felling', doneOn, { outcome: 'partly', reason: 'ice' })]),
          plan(),
          isoDate(doneOn),
        ),
      );
    expect(partly('2026-12-04')).toMatchObject({
      status: 'tentative',
      startsOn: '2026-12-05',
      endsBefore: '2026-12-19',
      summary: 'N2 Two Springs: fell cedar, the rest',
    });
    expect(partly('2026-12-18')).toMatchObject({
      status: 'confirmed',
      startsOn: '2026-12-18',
      endsBefore: '2026-12-19',
      summary: 'Partly done 18 Dec: N2 Two Springs: fell cedar',
    });
  });

  it('a start typed after the end does not turn the entry around', () => {
    const found = entriesWith([
      fact(fellKey, 'cedar-felling', '2026-12-10', { startedOn: isoDate('2026-12-12') }),
    ]);
    expect(entryOf(fellKey, found)).toMatchObject({
      startsOn: '2026-12-10',
      endsBefore: '2026-12-11',
    });
  });

  it('of a block whose land is gone, or with a key of another form, are left out', () => {
    const odd = [
      fact('block:77/cedar-woodland/burn/1/-', 'dormant-burn', '2026-12-10'),
      fact('something', 'dormant-burn', '2026-12-10', { id: 92 }),
    ];
    expect(entriesWith(odd, plan([]))).toEqual([]);
  });
});

describe('words', () => {
  it('do not depend on the day they are made', () => {
    const facts = [
      fact(fellKey, 'cedar-felling', '2026-12-10'),
      fact(lineKey, 'line-build', '2028-01-12', { id: 91, outcome: 'under-way' }),
    ];
    const [one, other] = ['2028-01-12', '2030-05-05'].map((day) =>
      calendarEntries(land(facts), plan(), isoDate(day)),
    );
    expect(one).toEqual(other);
    expect(JSON.stringify(one)).not.toMatch(
      /\b(today|tomorrow|yesterday|ago|now|overdue|late by|next week)\b/i,
    );
  });

  it('have a category without a comma for each family', () => {
    expect(Object.values(familyCategories).join()).toBe(
      'Burn,Cut,Line and soil,Spray,Plant,Monitor,Notice',
    );
  });
});

describe('scopes', () => {
  it('are properties, then crews, with ASCII names of their own', () => {
    const operation = land();
    const [first, second] = operation.properties;
    if (first) first.name = 'Föhren & Söhne / Ridge';
    if (second) second.name = '林';
    const scopes = feedScopes(operation);
    expect(scopes.slice(0, 4).map((scope) => [scope.name, scope.kind, scope.title])).toEqual([
      ['fohren-sohne-ridge-p1', 'property', 'Föhren & Söhne / Ridge'],
      ['p2', 'property', '林'],
      ['home-crew-c1', 'crew', 'Home crew'],
      ['saw-contract-c2', 'crew', 'Saw contract'],
    ]);
  });

  it('are found by a name from before a rename', () => {
    const operation = land();
    const name = feedScopes(operation)[2]?.name ?? '';
    const [crew] = operation.crews;
    if (crew) crew.name = 'Ridge crew';
    const scopes = feedScopes(operation);
    expect(findFeedScope(scopes, name)).toBe(scopes[2]);
    expect(findFeedScope(scopes, 'home-crew-c9')).toBeNull();
    expect(findFeedScope(scopes, 'home-crew')).toBeNull();
  });

  it('stay unique and short for equal and endless names', () => {
    const operation = land();
    for (const crew of operation.crews) crew.name = 'x '.repeat(200);
    const names = feedScopes(operation).map((scope) => scope.name);
    expect(new Set(names).size).toBe(names.length);
    expect(Math.max(...names.map((name) => name.length))).toBeLessThan(60);
  });
});

describe('rows of a feed', () => {
  const all = published(calendarEntries(land(), plan(), fakeToday));
  const scopeOf = (own: Partial<FeedFilter>): FeedScope => ({
    name: 'p',
    title: '',
    description: '',
    kind: 'property',
    id: 1,
    shows: showing(own),
  });
  const property = scopeOf({ propertyIds: [1] });
  const keysOn = (scope: FeedScope, today: IsoDate, rows = all) =>
    entriesForScope(rows, scope, today).map((row) => row.taskKey);

  it('are those of the property or of the crew, in order of dates', () => {
    const at = isoDate('2027-02-01');
    expect(keysOn(property, at, [...all].reverse())).toEqual([fellKey, lineKey, burnKey]);
    expect(keysOn(scopeOf({ propertyIds: [2] }), at)).toEqual([]);
    expect(keysOn(scopeOf({ crewIds: [1] }), at)).toEqual([lineKey, burnKey]);
    expect(keysOn(scopeOf({ crewIds: [2] }), at)).toEqual([fellKey]);
  });

  it('reach back 90 days and ahead 18 months', () => {
    // Ended 18 Dec 2026: last shown 90 days later; the line of 10 Jan 2028 comes in 548 days before.
    expect(keysOn(property, addDays(isoDate('2026-12-18'), 90))).toContain(fellKey);
    expect(keysOn(property, addDays(isoDate('2026-12-18'), 91))).not.toContain(fellKey);
    expect(keysOn(property, addDays(isoDate('2028-01-10'), -548))).toContain(lineKey);
    expect(keysOn(property, addDays(isoDate('2028-01-10'), -549))).not.toContain(lineKey);
  });

  it('keep a cancelled one at least 30 days after its end', () => {
    expect(feedPastDays).toBeGreaterThanOrEqual(30);
    const tombstones = all.map((row) => ({ ...row, cancelledAt: '2026-11-10T08:00:00Z' }));
    expect(keysOn(property, addDays(isoDate('2026-12-18'), 30), tombstones)).toContain(fellKey);
  });

  it('move the last change when one is revised, comes in or ages out', () => {
    const on = (day: string, rows = all) => feedRevisedAt(rows, property, isoDate(day));
    expect(on('2026-11-09')).toBe('2026-11-09T15:30:00Z');
    const [first, ...others] = all;
    const revised = first ? [{ ...first, revisedAt: '2026-11-10T08:00:00Z' }, ...others] : [];
    expect(on('2026-11-10', revised)).toBe('2026-11-10T08:00:00Z');
    expect(on('2027-03-18')).toBe('2026-11-09T15:30:00Z');
    expect(on('2027-03-19')).toBe('2027-03-19T00:00:00Z');
    expect(on('2027-03-25')).toBe('2027-03-19T00:00:00Z');
    expect(feedRevisedAt([], property, fakeToday)).toBe(feedFirstRevision);
  });
});
