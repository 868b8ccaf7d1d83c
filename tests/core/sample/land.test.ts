import { readFileSync } from 'node:fs';
import turfArea from '@turf/area';
import kinksOf from '@turf/kinks';
import { describe, expect, test } from 'vitest';
import { chainOf, nextStep } from '../../../src/core/chains.ts';
import { addDays, type IsoDate, isoDate, weekday } from '../../../src/core/dates.ts';
import type { LandContent } from '../../../src/core/library.ts';
import type { Operation } from '../../../src/core/operation.ts';
import { readinessOf } from '../../../src/core/readiness.ts';
import { fireStatus } from '../../../src/core/rotation.ts';
import { openBurn } from '../../../src/core/sample/history.ts';
import { sampleLand } from '../../../src/core/sample/land.ts';
import { noSheetTables } from '../../../src/core/sheet-tables.ts';
import type { Unit } from '../../../src/core/units.ts';
import { measurePathFeet } from '../../../src/exchange/measure.ts';

const table = <T>(name: string): T[] =>
  JSON.parse(readFileSync(new URL(`../../../shared/${name}.json`, import.meta.url), 'utf8'));
const treatments = table<Operation['treatments'][number]>('treatments');
const sequences = table<Operation['sequences'][number]>('sequences');
const communities = table<Operation['communities'][number]>('communities');
const prescriptions = table<Operation['prescriptions'][number]>('prescriptions');
const noWork = table<Operation['noWork'][number]>('no-work');

const operationOf = (land: LandContent): Operation => ({
  ...land,
  treatments,
  sequences,
  communities,
  prescriptions,
  lineKinds: [],
  burnSteps: [],
  followUps: [],
  stateRules: [],
  sheetTables: noSheetTables,
  noWork,
  cautions: [],
  fitDays: [],
});

/** A day in the middle of each month, and the days on which the sample's year turns. */
const everyMonth = [
  ...Array.from({ length: 12 }, (_, i) => `2027-${String(i + 1).padStart(2, '0')}-15`),
  '2028-02-29',
  '2027-04-11',
  '2027-04-12',
  '2027-07-01',
  '2027-12-31',
].map(isoDate);

const ringOf = (unit: Unit) => (unit.boundary?.coordinates[0] ?? []) as number[][];

describe('the outlines', () => {
  const { units, neighbours } = sampleLand(isoDate('2027-01-15'));

  test('28 to 36 units on two properties, about 1,100 acres', () => {
    expect(units.length).toBeGreaterThanOrEqual(28);
    expect(units.length).toBeLessThanOrEqual(36);
    expect(new Set(units.map((unit) => unit.propertyId)).size).toBe(2);
    const acres = units.reduce((sum, unit) => sum + unit.areaAcres, 0);
    expect(acres).toBeGreaterThan(1000);
    expect(acres).toBeLessThan(1200);
  });

  // RFC 7946, section 3.1.6: a ring is closed, and outer rings wind counterclockwise.
  test.each(units.map((unit) => [unit.code, unit] as const))('%s is sound', (_code, unit) => {
    const ring = ringOf(unit);
    expect(ring.length).toBeGreaterThan(20);
    expect(ring.at(-1)).toEqual(ring[0]);
    let twice = 0;
    for (let i = 1; i < ring.length; i++)
      twice += ring[i - 1]![0]! * ring[i]![1]! - ring[i]![0]! * ring[i - 1]![1]!;
    expect(twice).toBeGreaterThan(0);
    // Oracle: @turf/kinks finds places where a ring crosses itself.
    expect(kinksOf({ type: 'Polygon', coordinates: [ring] }).features).toEqual([]);
  });

  // Oracle: @turf/area, on a sphere of 6371 km: within half a percent of the ellipsoid here.
  test.each(units.map((unit) => [unit.code, unit] as const))('acres of %s', (_code, unit) => {
    const acres = turfArea({ type: 'Polygon', coordinates: [ringOf(unit)] }) / 4046.8564224;
    expect(Math.abs(unit.areaAcres / acres - 1)).toBeLessThan(0.005);
    expect(unit.measuredAcres).toBe(unit.areaAcres);
  });

  test('neighbours share their edge point for point, and only neighbours do', () => {
    for (const a of units)
      for (const b of units) {
        if (a.id >= b.id) continue;
        const points = new Set(ringOf(a).map(String));
        const common = ringOf(b)
          .slice(1)
          .filter((point) => points.has(String(point))).length;
        const pair = neighbours.find(({ unitIds }) => unitIds[0] === a.id && unitIds[1] === b.id);
        expect(pair ? common === 6 : common <= 1, `${a.code} and ${b.code}: ${common}`).toBe(true);
      }
  });
});

test('every line runs along the edge of each unit on its sides, and is as long as its course', () => {
  const { units, lines } = sampleLand(isoDate('2027-02-15'));
  for (const line of lines) {
    const course = line.path ?? [];
    expect(course.length).toBeGreaterThan(0);
    for (const unitId of line.unitIds) {
      const outline = units.find(({ id }) => id === unitId)?.boundary?.coordinates ?? [];
      const corners = new Set((outline as number[][][]).flat().map((corner) => corner.join(' ')));
      for (const corner of course.flat()) expect(corners).toContain(corner.join(' '));
    }
    const feet = measurePathFeet(course);
    // The sample is drawn on a plane; the course is measured on the ellipsoid.
    expect(Math.abs(feet / line.lengthFeet - 1)).toBeLessThan(0.01);
  }
});

test('every key is in the library, and every sequence is in use', () => {
  const land = sampleLand(isoDate('2027-12-01'));
  const keysOf = (rows: { key: string }[]) => rows.map((row) => row.key);
  const inUse = new Set(land.blocks.map((block) => block.sequenceKey));
  // These two are put on land only by a choice, after its felled fuel was not burned in time.
  const chosen = ['cedar-again', 'cedar-mulched'];
  expect([...inUse, ...chosen].sort()).toEqual(keysOf(sequences).sort());
  for (const unit of land.units) expect(keysOf(communities)).toContain(unit.communityKey);
  for (const entry of land.entries) expect(keysOf(treatments)).toContain(entry.treatmentKey);
  for (const { prescriptionKey } of land.blocks)
    if (prescriptionKey !== null) expect(keysOf(prescriptions)).toContain(prescriptionKey);
  for (const approval of land.approvals) expect(keysOf(noWork)).toContain(approval.noWorkKey);
  const gear = new Set(treatments.flatMap((treatment) => treatment.gear));
  expect(keysOf(land.gear).sort()).toEqual([...gear].sort());
  // The natural communities, and a crew for every skill that the land's sequences ask for.
  expect(new Set(land.units.map((unit) => unit.communityKey)).size).toBe(5);
  const skills = new Set(land.crews.flatMap((crew) => crew.skills));
  for (const sequence of sequences)
    for (const key of sequence.steps.flatMap((step) => step.treatmentKeys))
      for (const skill of treatments.find((one) => one.key === key)?.skills ?? [])
        expect(skills).toContain(skill);
});

describe.each(everyMonth)('on %s', (today) => {
  const land = sampleLand(today);
  const operation = operationOf(land);
  const statusOf = (unit: Unit) => fireStatus(operation, unit, today).kind;
  const chains = land.blocks.map((block) => ({ block, chain: chainOf(operation, block) }));

  test('is the same each time and has no fact of today or later', () => {
    expect(sampleLand(today)).toEqual(land);
    for (const entry of land.entries) expect(entry.doneOn < today).toBe(true);
    for (const line of land.lines) expect(line.readyOn === null || line.readyOn < today).toBe(true);
  });

  test('units and blocks fit each other', () => {
    for (const unit of land.units) {
      const block = land.blocks.find((one) => one.id === unit.blockId);
      expect(block?.propertyId).toBe(unit.propertyId);
    }
    const sizes = land.blocks.map(
      (block) => land.units.filter((unit) => unit.blockId === block.id).length,
    );
    expect(sizes.filter((size) => size === 2).length).toBeGreaterThanOrEqual(2);
    expect(sizes.every((size) => size === 1 || size === 2)).toBe(true);
  });

  test('at least five units are overdue, some never burned, one is held', () => {
    const statuses = land.units.map(statusOf);
    expect(statuses.filter((kind) => kind === 'overdue').length).toBeGreaterThanOrEqual(5);
    expect(statuses.filter((kind) => kind === 'no-fire-on-record').length).toBeGreaterThan(5);
    expect(statuses.filter((kind) => kind === 'held').length).toBe(1);
    expect(statuses.filter((kind) => kind === 'within').length).toBeGreaterThanOrEqual(5);
    const patchy = land.units.find((unit) => unit.code === 'W3') as Unit;
    expect(statusOf(patchy)).toBe('overdue');
  });

  test('six units are felled and curing, one of them in its last useful burn season', () => {
    const curing = chains.filter(({ chain }) => {
      const fell = chain.find((step) => step.stepKey === 'fell');
      const burn = chain.find((step) => step.stepKey === 'burn' && step.cycle === 1);
      return fell?.standing === 'done' && burn?.standing === 'to-do';
    });
    expect(curing.map(({ block }) => block.code).sort()).toEqual(
      ['G1', 'G2', 'N1', 'N2', 'N4', 'N7'].sort(),
    );
    // Use-by: the day before the third leaf-out after felling; leaf-out is 12 April here.
    const useBys = curing.map(({ chain }) => {
      const on = chain.find((step) => step.stepKey === 'fell')?.doneOn as IsoDate;
      const first = Number(on.slice(0, 4)) + (on.slice(5) < '04-12' ? 0 : 1);
      return isoDate(`${first + 2}-04-12`);
    });
    const inAYear = addDays(today, 366);
    expect(useBys.filter((useBy) => useBy > today && useBy <= inAYear).length).toBe(1);
    expect(useBys.every((useBy) => useBy > today)).toBe(true);
  });

  test('a burn is still open exactly in a burn season', () => {
    const open = land.entries.filter((row) => row.fireCause !== null && row.signedOutOn === null);
    expect(open.length).toBe(openBurn(today) ? 1 : 0);
  });

  test('every chain has something left to do, and thirds stand where the log says', () => {
    for (const { block, chain } of chains) {
      expect(chain.length, block.code).toBeGreaterThan(0);
      expect(nextStep(chain), block.code).not.toBeNull();
    }
    const thirds = chains.find(({ block }) => block.code === 'P1')?.chain ?? [];
    const burns = thirds.filter((step) => step.stepKey === 'burn' && step.cycle === 1);
    expect(burns.map((step) => step.standing)).toEqual(['done', 'done', 'done']);
    const disked = chains.find(({ block }) => block.code === 'F3')?.chain ?? [];
    expect(
      disked.filter((step) => step.stepKey === 'disk' && step.cycle === 1).map((s) => s.standing),
    ).toEqual(['done', 'done', 'to-do']);
  });

  test('some blocks have all on file, others lack items', () => {
    const missing = land.blocks.map(
      (block) => readinessOf(operation, block, today).filter((item) => !item.isOnFile).length,
    );
    expect(missing.some((count) => count === 0)).toBe(true);
    expect(missing.some((count) => count > 3)).toBe(true);
  });

  test('the contract crew comes twice, in whole weeks that are still to come', () => {
    const spans = land.crews.find((crew) => crew.kind === 'contract')?.onSpans ?? [];
    expect(spans.length).toBe(2);
    for (const span of spans) {
      expect(weekday(span.startsOn)).toBe(1);
      expect(span.endsBefore > today).toBe(true);
    }
  });
});

// A home crew has about 230 days a year; holidays after 5 U.S.C. 6103 (from memory).
test('the home crew works about 230 days a year', () => {
  const { crews, holidays } = sampleLand(isoDate('2027-01-01'));
  const home = crews.find((crew) => crew.kind === 'home');
  const off = new Set<string>(holidays.map((row) => row.date));
  let days = 0;
  for (let date = isoDate('2027-01-01'); date < isoDate('2028-01-01'); date = addDays(date, 1)) {
    const isOff = home?.daysOff.some((range) => range.startsOn <= date && date < range.endsBefore);
    if (home?.workdays.includes(weekday(date)) && !off.has(date) && !isOff) days += 1;
  }
  expect(days).toBeGreaterThan(225);
  expect(days).toBeLessThan(245);
  expect(holidays.filter((row) => row.date.startsWith('2027')).map((row) => row.date)).toEqual([
    '2027-01-01',
    '2027-01-18',
    '2027-02-15',
    '2027-05-31',
    '2027-06-19',
    '2027-07-04',
    '2027-09-06',
    '2027-10-11',
    '2027-11-11',
    '2027-11-25',
    '2027-12-25',
  ]);
});
