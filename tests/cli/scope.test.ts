import { beforeAll, describe, expect, test } from 'vitest';
import { webDeps } from '../../src/cli/deps.ts';
import { currentPerson, runAs } from '../../src/cli/person.ts';
import type { SignedIn } from '../../src/core/accounts.ts';
import type { IsoDate } from '../../src/core/dates.ts';
import type { Deps } from '../../src/web/deps.ts';
import { PageError } from '../../src/web/plugins/errors.ts';
import { sampleApp } from '../support/access.ts';
import { noHealth } from '../support/fake-deps.ts';

const planner: SignedIn = { id: 9, name: 'Ada', role: 'planner', propertyIds: [1] };

let sample: ReturnType<typeof sampleApp>;
let deps: Deps;
let unit: { own: number; foreign: number };
let block: { own: number; foreign: number };
let entry: { own: number; foreign: number };

beforeAll(() => {
  sample = sampleApp({ isPlanned: true });
  ({ deps } = sample);
  const { units, blocks, entries } = deps.operation();
  const of = (rows: readonly { id: number; propertyId: number }[], propertyId: number) =>
    rows.find((row) => row.propertyId === propertyId)?.id ?? 0;
  const entryOf = (propertyId: number) => {
    const ids = units.filter((row) => row.propertyId === propertyId).map(({ id }) => id);
    return entries.find(({ unitId }) => ids.includes(unitId))?.id ?? 0;
  };
  unit = { own: of(units, 1), foreign: of(units, 2) };
  block = { own: of(blocks, 1), foreign: of(blocks, 2) };
  entry = { own: entryOf(1), foreign: entryOf(2) };
});

/** Status with which a call ends for the planner of the first property; 200 = it was let through. */
function statusOf(call: () => unknown): number {
  try {
    runAs(planner, call);
    return 200;
  } catch (error) {
    if (error instanceof PageError) return error.statusCode;
    throw error;
  }
}

const day = '2026-11-20' as IsoDate;
const fact = (unitId: number) => ({ unitId, treatmentKey: 'mow', taskKey: null, doneOn: day });

describe('foreign land is not there, whatever a route lets through', () => {
  const calls: [string, () => unknown][] = [
    ['a unit', () => deps.land.updateUnit(unit.foreign, { name: 'x' })],
    ['a block', () => deps.land.updateBlock(block.foreign, { name: 'x' })],
    ['anchors', () => deps.land.setAnchors(2, [])],
    ['held dates', () => deps.land.holdDates(`block:${block.foreign}/s/t/1/-`, day)],
    ['units of a file', () => deps.land.importUnits(2, 'a.csv', '')],
    ['a file of land, out', () => deps.files.exportLand(2, 'kml')],
    [
      'a file of land, in',
      () => deps.files.takeLand({ propertyId: 2, text: '', communityKey: null }),
    ],
    ['old work', () => deps.files.takeHistory([fact(unit.foreign) as never], '')],
    [
      'a split',
      () =>
        deps.shapes.preview({
          kind: 'split',
          unitId: unit.foreign,
          parts: [],
          isTogether: true,
          isAcresConfirmed: true,
          cut: { by: 'none' },
        }),
    ],
    [
      'a merge',
      () =>
        deps.shapes.save({
          kind: 'merge',
          keepId: unit.own,
          otherIds: [unit.foreign],
          code: 'X',
          name: '',
        }),
    ],
    [
      'joined blocks',
      () => deps.shapes.save({ kind: 'join', keepId: block.own, otherId: block.foreign }),
    ],
    ['a parted block', () => deps.shapes.save({ kind: 'part', blockId: block.foreign })],
    ['drawn lines', () => deps.shapes.save({ kind: 'lines', propertyId: 2 })],
    [
      'an entry',
      () => deps.worklog.write([{ entry: fact(unit.foreign), detail: {} } as never], null),
    ],
    ['a correction', () => deps.worklog.correct(entry.foreign, { entry: {}, detail: {} })],
    ['a removal', () => deps.worklog.remove(entry.foreign)],
    ['a photo', () => deps.worklog.photo(entry.foreign, 'a.jpg')],
    ['a burn paper', () => deps.papers.add({ blockId: block.foreign } as never)],
    [
      'a go/no-go list',
      () =>
        deps.burns.addGoNoGo({
          blockId: block.foreign,
          day,
          answeredBy: 'x',
          note: '',
          answers: {},
        }),
    ],
    ['fit days', () => deps.fitDays.ofBlock(block.foreign, null)],
    [
      'a feed',
      () =>
        deps.feeds.create(
          deps.feeds.scopes().find(({ kind, id }) => kind === 'unit' && id === unit.foreign)
            ?.name ?? 'u-2',
          'x',
          false,
        ),
    ],
    ['a row', () => deps.records.retire('unit', unit.foreign, true)],
  ];
  test.each(calls)('%s', (_name, call) => {
    expect(statusOf(call)).toBe(404);
  });
});

describe('what concerns all properties is for who sees all', () => {
  const calls: [string, () => unknown][] = [
    ['planning', () => deps.planning.start({ seed: 1, seconds: 1 })],
    ['adopting', () => deps.plans.adopt(1)],
    ['what-ifs', () => deps.whatIf.list()],
    ['adopting a what-if', () => deps.whatIf.adopt(1)],
    ['a crew', () => deps.land.updateCrew(1, { name: 'x' })],
    ['settings', () => deps.land.updateSettings(sample.file.operation().settings)],
    ['fit days', () => deps.land.setFitDays('x', null)],
    ['starting anew', () => deps.land.loadSample()],
    ['a treatment', () => deps.records.backToDefault('treatment', 'mow', true)],
    ['a person', () => deps.records.retire('person', 1, true)],
    ['a landowner', () => deps.records.retire('landowner', 1, true)],
    [
      'a new property',
      () =>
        deps.records.save(
          'property',
          { ...sample.file.operation().properties[0]!, id: 0 },
          true,
          true,
        ),
    ],
    ['the whole as a file', () => deps.whole.document(false)],
    ['a feed of one’s own', () => deps.feeds.own.remove(1)],
  ];
  test.each(calls)('%s', (_name, call) => {
    expect(statusOf(call)).toBe(403);
  });
});

test('own land is read and changed as ever, and the program itself sees all', async () => {
  expect(statusOf(() => deps.land.updateUnit(unit.own, { name: 'New name' }))).toBe(200);
  const seen = runAs(planner, () => deps.operation());
  expect(seen.units.find(({ id }) => id === unit.own)?.name).toBe('New name');
  expect(seen.units.every(({ propertyId }) => propertyId === 1)).toBe(true);
  expect(runAs(planner, () => deps.operation())).toBe(seen);
  expect(deps.operation().units.length).toBeGreaterThan(seen.units.length);
  expect(runAs(planner, () => sample.file.operation()).units.length).toBe(
    deps.operation().units.length,
  );
  const plan = runAs(planner, () => deps.plans.inForce());
  expect(plan?.content.tasks.length).toBeGreaterThan(0);
  expect(plan?.content.tasks.every(({ propertyId }) => propertyId === 1)).toBe(true);
  expect(deps.plans.inForce()?.content.tasks.some(({ propertyId }) => propertyId === 2)).toBe(true);
  const table = runAs(planner, () => deps.feeds.planTable());
  expect(table).toContain('Long Hollow');
  expect(table).not.toContain('Meadow Bench');
});

test('what the server finds about a property is told to its own people only', () => {
  const zones = (propertyId: number) => ({ key: 'time-zone' as const, found: 'x', propertyId });
  const disk = { key: 'disk' as const, found: 'y' };
  const health = { ...noHealth, findings: () => [zones(1), zones(2), disk] };
  const here = webDeps(
    sample.file,
    () => undefined,
    () => false,
    health,
  );
  expect(runAs(planner, here.health.findings)).toEqual([zones(1), disk]);
  expect(here.health.findings()).toHaveLength(3);
});

test('a person stays with what their request waits for, and with nothing else', async () => {
  const seen: (string | null)[] = [];
  const note = async () => {
    await new Promise((resolve) => setTimeout(resolve, 1));
    seen.push(currentPerson()?.name ?? null);
  };
  await Promise.all([runAs(planner, note), note(), runAs({ ...planner, name: 'Bo' }, note)]);
  expect(seen.sort()).toEqual(['Ada', 'Bo', null]);
});
