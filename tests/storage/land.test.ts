import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fromDay, type IsoDate, isoDate, monthDay, toDay } from '../../src/core/dates.ts';
import type { LandContent } from '../../src/core/library.ts';
import type { Boundary } from '../../src/core/units.ts';
import type { ImportedUnit } from '../../src/storage/land-import.ts';
import { openStore } from '../../src/storage/store.ts';
import { fakeEntry, fakeOperation } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { clockAt, contentOf, storeWithLand } from './fixtures.ts';

const codes = (problems: { code: string }[]) => problems.map(({ code }) => code);

const days = fc.integer({ min: toDay(isoDate('1950-01-01')), max: toDay(isoDate('2100-12-31')) });
const dates = days.map(fromDay);
const amounts = fc.option(fc.double({ min: 0.01, max: 5000, noNaN: true }));

/** Variations of the invented land: any values in the columns that are easiest to get wrong. */
const contents: fc.Arbitrary<LandContent> = fc
  .record({
    text: fc.string({ unit: 'grapheme' }),
    date: dates,
    maybeDate: fc.option(dates),
    amount: amounts,
    flag: fc.boolean(),
    tags: fc.array(fc.string()),
    rule: fc.constantFrom('together', 'no-matter', 'apart', null),
    outcome: fc.constantFrom('done', 'partly', 'not-possible', 'under-way'),
    percent: fc.option(fc.integer({ min: 0, max: 100 })),
  })
  .map(({ text, date, maybeDate, amount, flag, tags, rule, outcome, percent }) => {
    const land = contentOf(fakeOperation());
    const [property, block, unit, line] = [
      land.properties[0]!,
      land.blocks[1]!,
      land.units[1]!,
      land.lines[0]!,
    ];
    Object.assign(property, { county: text, isSample: flag });
    const year = Number(date.slice(0, 4));
    property.anchors.byYear = [{ anchor: 'leaf-out', year, date, how: 'observed' }];
    Object.assign(block, { name: text, sequenceStartsOn: maybeDate, heldReason: text });
    block.rotation = flag
      ? { phase: 'restoration', leastSeasons: 1, targetYears: 2, mostYears: 3 }
      : null;
    Object.assign(block.readiness, { peopleNamed: flag, planExpiresOn: maybeDate });
    Object.assign(unit, { name: text, tags, measuredAcres: amount, slopePercent: amount });
    Object.assign(line, { readyOn: maybeDate, goodUntil: maybeDate, widthFeet: amount });
    land.neighbours[0]!.rule = rule as LandContent['neighbours'][number]['rule'];
    const entry = { startedOn: null, shareBlackPercent: percent, areaAcres: amount, note: text };
    Object.assign(land.entries[0]!, entry, { outcome, doneOn: date });
    const until = fromDay(toDay(date) + 30);
    land.approvals = [{ noWorkKey: 'a', unitId: 3, from: date, until, grantedBy: text }];
    land.heldDates = [{ taskKey: 'block:1/cedar-woodland/burn/2/-', startsOn: date }];
    land.holidays = [{ date, name: text }];
    land.settings.supply.usedShare = flag ? 1 : 0;
    return land;
  });

test('what is put in place of the land comes back equal', () => {
  const store = openStore(':memory:', clockAt('2026-11-09T15:00:00Z').now);
  fc.assert(
    fc.property(contents, (content) => {
      store.replaceLand(content);
      expect(store.landContent()).toEqual(content);
    }),
    { numRuns: 60 },
  );
});

describe('replaceLand', () => {
  test('removes plans, published tasks, own fit days and lost feed addresses', () => {
    const { store, content } = storeWithLand();
    store.plans.saveDraft(fakePlan().content, store.revision());
    store.setFitDays('hardwood-litter', Array<number>(12).fill(3));
    const lost = store.feeds.create('lower-sedge-p2', 'lessee');
    const kept = store.feeds.create('fernhill-ridge-p1', 'office');
    const next = structuredClone(content);
    next.properties[1]!.name = 'Another place';
    store.replaceLand(next);
    expect(store.plans.draft()).toBeNull();
    expect(store.published()).toEqual([]);
    expect(store.feeds.findByToken(lost.token)).toBe('revoked');
    expect(store.feeds.findByToken(kept.token)).toMatchObject({ link: { label: 'office' } });
    expect(store.landContent()).toEqual(next);
  });

  test('leaves everything as it was when a row does not fit', () => {
    const { store, content } = storeWithLand();
    const broken = structuredClone(content);
    broken.units[0]!.blockId = 99;
    expect(() => store.replaceLand(broken)).toThrow('FOREIGN KEY');
    expect(store.landContent()).toEqual(content);
  });

  test('keeps real weather stations and drops invented ones', () => {
    const { store, content } = storeWithLand();
    const place = { latitude: 37, longitude: -92, timeZone: 'America/Chicago' };
    for (const isInvented of [true, false]) {
      const name = isInvented ? 'Made up' : 'Airfield';
      store.weather.saveStation({ ...place, name, isInvented });
      const halfMonths = Array<number>(24).fill(1);
      const count = { year: 2020, halfMonths, unknownHours: 0, isWholeYear: true };
      store.weather.saveFitDayCounts(name, 'hardwood-litter', [count]);
    }
    store.replaceLand(content);
    expect(store.weather.stations().map(({ name }) => name)).toEqual(['Airfield']);
  });
});

describe('updateUnit', () => {
  test('changes the unit, and the block of one unit with it', () => {
    const { store, library } = storeWithLand();
    const before = store.revision();
    const change = { code: 'N9', areaAcres: 25.5, sequenceKey: null, densityClass: 'dense' };
    expect(store.updateUnit(2, change, library)).toEqual([]);
    const { units, blocks } = store.landContent();
    expect(units[1]).toMatchObject({ id: 2, code: 'N9', areaAcres: 25.5, densityClass: 'dense' });
    expect(blocks[1]).toMatchObject({ id: 2, code: 'N9', sequenceKey: null });
    expect(store.revision()).toBe(before + 1);
  });

  test.each([
    [{ code: 'N1' }, ['unit-code-taken']],
    [{ code: ' ' }, ['unit-code']],
    [{ areaAcres: 0 }, ['unit-areaAcres']],
    [{ areaAcres: Number.NaN }, ['unit-areaAcres']],
    [{ communityKey: 'swamp' }, ['unit-communityKey']],
    [{ densityClass: 'many' }, ['unit-densityClass']],
    [{ aspect: 'up' }, ['unit-aspect']],
    [{ sequenceKey: 'none-such' }, ['block-sequenceKey']],
    [{ sequenceStartsOn: '2026-02-30' as IsoDate }, ['block-sequenceStartsOn']],
    [{ firstCycle: 0 }, ['block-firstCycle']],
    [{ heldUntilYear: 2030, heldReason: '' }, ['block-heldReason']],
  ])('%j is refused with a sentence and nothing is written', (change, expected) => {
    const { store, content, library } = storeWithLand();
    const revision = store.revision();
    const problems = store.updateUnit(2, change, library);
    expect(codes(problems)).toEqual(expected);
    expect(problems.every(({ message }) => /\w: .+\.$/.test(message))).toBe(true);
    expect(store.landContent()).toEqual(content);
    expect(store.revision()).toBe(revision);
  });

  test('a unit that is gone is said so', () => {
    const { store, library } = storeWithLand();
    expect(codes(store.updateUnit(99, {}, library))).toEqual(['unit-unknown']);
    expect(codes(store.updateBlock(99, {}, library))).toEqual(['block-unknown']);
  });
});

test('updateBlock changes readiness and refuses a day that is none', () => {
  const { store, content, library } = storeWithLand();
  const readiness = { ...content.blocks[1]!.readiness, consentUntil: isoDate('2027-05-01') };
  expect(store.updateBlock(2, { readiness }, library)).toEqual([]);
  expect(store.landContent().blocks[1]!.readiness).toEqual(readiness);
  const broken = { ...readiness, permitUntil: '2027-02-30' as IsoDate };
  expect(codes(store.updateBlock(2, { readiness: broken }, library))).toEqual([
    'block-readiness.permitUntil',
  ]);
});

test('anchors: the usual day, the date of a year, and back', () => {
  const { store } = storeWithLand();
  const anchors = () => store.landContent().properties[0]!.anchors;
  expect(store.setAnchorUsual(1, 'leaf-out', '04-20')).toEqual([]);
  expect(anchors().usual['leaf-out']).toBe('04-20');
  expect(codes(store.setAnchorUsual(1, 'leaf-out', '04-31'))).toEqual(['property-anchors']);
  const observed = { year: 2026, date: isoDate('2026-04-15'), how: 'observed' as const };
  expect(store.setAnchorYear(1, 'leaf-out', observed)).toEqual([]);
  expect(store.setAnchorYear(1, 'leaf-out', { ...observed, how: 'computed' })).toEqual([]);
  expect(anchors().byYear).toEqual([{ ...observed, anchor: 'leaf-out', how: 'computed' }]);
  const otherYear = { ...observed, date: isoDate('2025-04-15') };
  expect(codes(store.setAnchorYear(1, 'leaf-out', otherYear))).toEqual(['anchor-date']);
  expect(store.setAnchorYear(1, 'leaf-out', { ...observed, date: null })).toEqual([]);
  expect(anchors().byYear).toEqual([]);
});

test('updateCrew changes and checks', () => {
  const { store } = storeWithLand();
  const spans = [{ startsOn: isoDate('2027-01-04'), endsBefore: isoDate('2027-01-09') }];
  expect(store.updateCrew(1, { peopleCount: 5, daysOff: spans, onSpans: spans })).toEqual([]);
  expect(store.landContent().crews[0]).toMatchObject({ daysOff: spans, onSpans: spans });
  const turned = [{ startsOn: isoDate('2027-01-09'), endsBefore: isoDate('2027-01-04') }];
  const problems = store.updateCrew(1, { peopleCount: 0, workdays: [1, 8], daysOff: turned });
  expect(codes(problems)).toEqual(['crew-peopleCount', 'crew-workdays', 'crew-daysOff']);
});

test('a property and its landowner are added with new numbers', () => {
  const { store, content } = storeWithLand();
  const owner = store.addLandowner({ name: 'Stillwater Farm', contact: '' });
  expect(owner).toEqual({ ok: true, value: 3 });
  const { id: _, ...first } = content.properties[0]!;
  const property = { ...first, landownerId: 3, name: 'Stillwater', isSample: false };
  expect(store.addProperty(property)).toEqual({ ok: true, value: 3 });
  expect(store.landContent().properties[2]).toEqual({ ...property, id: 3 });
  const wrong = { ...property, state: 'Mo', timeZone: 'Ozark', latitude: 97, landownerId: 9 };
  const refused = store.addProperty({ ...wrong, growingSeasonEnd: monthDay('10-01') });
  expect(refused.ok ? [] : codes(refused.problems)).toEqual([
    'property-state',
    'property-timeZone',
    'property-latitude',
    'landowner-unknown',
  ]);
  expect(store.addLandowner({ name: '', contact: '' }).ok).toBe(false);
});

test('settings, held dates and their checks', () => {
  const { store, content } = storeWithLand();
  const settings = structuredClone(content.settings);
  settings.supply.level = '7-of-10';
  settings.weights.moved = 12;
  expect(store.saveSettings(settings)).toEqual([]);
  expect(store.landContent().settings).toEqual(settings);
  settings.seasonsAfter = 5;
  settings.weights.moved = -1;
  expect(store.saveSettings(settings).map(({ field }) => field)).toEqual([
    'seasonsAfter',
    'weights.moved',
  ]);
  expect(store.holdDates('k', isoDate('2027-01-04'))).toEqual([]);
  expect(store.landContent().heldDates).toEqual([{ taskKey: 'k', startsOn: '2027-01-04' }]);
  expect(codes(store.holdDates('k', '2027-02-30' as IsoDate))).toEqual(['held-startsOn']);
  expect(store.holdDates('k', null)).toEqual([]);
  expect(store.landContent().heldDates).toEqual([]);
});

const outline: Boundary = {
  type: 'Polygon',
  coordinates: [
    [
      [-92, 37],
      [-91.99, 37],
      [-91.99, 37.01],
      [-92, 37],
    ],
  ],
};

function imported(code: string, own: Partial<ImportedUnit> = {}): ImportedUnit {
  return {
    code,
    name: `Unit ${code}`,
    areaAcres: 12,
    measuredAcres: 12.2,
    perimeterFeet: 3100,
    communityKey: 'glade',
    aspect: null,
    slopePercent: null,
    densityClass: null,
    tags: [],
    boundary: outline,
    prescriptionKey: 'hardwood-litter',
    ...own,
  };
}

describe('importUnits', () => {
  test('a new unit gets its block and outer line; a known one keeps id, block, facts and blanks', () => {
    const { store, content } = storeWithLand();
    const blank = { boundary: null, measuredAcres: null, perimeterFeet: null };
    const known = imported('N1', { ...blank, prescriptionKey: null });
    const outcome = store.importUnits(1, [known, imported('W1')], [], []);
    expect(outcome).toEqual({ ok: true, value: { added: 1, updated: 1 } });
    const land = store.landContent();
    expect(land.units[0]).toEqual({
      ...content.units[0],
      name: 'Unit N1',
      areaAcres: 12,
      communityKey: 'glade',
    });
    const unit = land.units.at(-1)!;
    expect(unit).toMatchObject({ code: 'W1', propertyId: 1, boundary: outline });
    expect(unit).not.toHaveProperty('prescriptionKey');
    expect(land.blocks.find(({ id }) => id === unit.blockId)).toMatchObject({
      code: 'W1',
      prescriptionKey: 'hardwood-litter',
    });
    expect(land.lines.at(-1)).toMatchObject({
      kind: 'mown',
      lengthFeet: 3100,
      readyOn: null,
      unitIds: [unit.id],
    });
    expect(land.blocks[0]).toEqual(content.blocks[0]);
    expect(land.entries).toEqual(content.entries);
  });

  test('given lines serve instead of an outer line; pairs are replaced and keep the rule of the user', () => {
    const { store, content } = storeWithLand();
    const ruled = structuredClone(content);
    ruled.neighbours[0]!.rule = 'apart';
    store.replaceLand(ruled);
    const line = {
      name: 'Ridge road',
      kind: 'road' as const,
      lengthFeet: 1900,
      widthFeet: null,
      readyOn: null,
      goodUntil: null,
      path: null,
      unitCodes: ['N1', 'W1'],
    };
    const pairs = [
      { unitCodes: ['W1', 'N1'] as [string, string], sharedFeet: 500 },
      { unitCodes: ['N2', 'N1'] as [string, string], sharedFeet: 1700 },
    ];
    expect(store.importUnits(1, [imported('W1')], [line], pairs).ok).toBe(true);
    const land = store.landContent();
    expect(land.lines).toHaveLength(2);
    expect(land.lines[1]).toMatchObject({ id: 2, lengthFeet: 1900, unitIds: [1, 9] });
    expect(land.neighbours).toEqual([
      { unitIds: [1, 2], sharedFeet: 1700, rule: 'apart' },
      { unitIds: [1, 9], sharedFeet: 500, rule: null },
    ]);
  });

  test('with one bad row nothing is written', () => {
    const { store, content } = storeWithLand();
    const rows = [imported('W1'), imported('W1'), imported('W2', { areaAcres: -1 })];
    const pairs = [{ unitCodes: ['W1', 'X'] as [string, string], sharedFeet: 5 }];
    const outcome = store.importUnits(1, rows, [], pairs);
    expect(outcome.ok ? [] : codes(outcome.problems)).toEqual([
      'unit-areaAcres',
      'import-code-twice',
      'import-code-unknown',
    ]);
    expect(store.landContent()).toEqual(content);
    expect(store.importUnits(9, [], [], []).ok).toBe(false);
  });
});

describe('work log', () => {
  const { id: _, ...entry } = fakeEntry(0, 1, 'dormant-burn', '2026-11-08', {
    taskKey: 'block:1/cedar-woodland/burn/2/-',
    shareBlackPercent: 80,
  });

  test('records, corrects and removes; each raises the revision', () => {
    const { store, library } = storeWithLand();
    const start = store.revision();
    const recorded = store.worklog.record(entry, library);
    expect(recorded).toEqual({ ok: true, value: { ...entry, id: 7 } });
    const corrected = store.worklog.correct(
      7,
      { entry: { shareBlackPercent: 55 }, detail: {} },
      null,
      library,
    );
    expect(corrected).toEqual({ ok: true, value: { ...entry, id: 7, shareBlackPercent: 55 } });
    expect(store.worklog.find(7)?.shareBlackPercent).toBe(55);
    expect(store.worklog.remove(7, library)).toEqual([]);
    expect(store.worklog.find(7)).toBeNull();
    expect(store.revision()).toBe(start + 3);
    expect(codes(store.worklog.remove(7, library))).toEqual(['entry-unknown']);
    // A number is not used twice: a link to a removed entry must not lead to another one.
    expect(store.worklog.record(entry, library)).toMatchObject({ value: { id: 8 } });
  });

  test.each([
    [{ unitId: 99 }, 'entry-unitId'],
    [{ treatmentKey: 'none-such' }, 'entry-treatmentKey'],
    [{ doneOn: '2026-02-30' as IsoDate }, 'entry-doneOn'],
    [{ precision: 'month' as const }, 'entry-doneOn'],
    [{ startedOn: isoDate('2026-11-09') }, 'entry-startedOn'],
    [{ signedOutOn: isoDate('2026-11-07') }, 'entry-signedOutOn'],
    [{ outcome: 'not-possible' as const }, 'entry-reason'],
    [{ areaAcres: -1 }, 'entry-areaAcres'],
    [{ shareBlackPercent: 101 }, 'entry-shareBlackPercent'],
  ])('%j is refused', (change, code) => {
    const { store, content, library } = storeWithLand();
    const outcome = store.worklog.record({ ...entry, ...change }, library);
    expect(outcome.ok ? [] : codes(outcome.problems)).toEqual([code]);
    expect(store.landContent()).toEqual(content);
  });
});
