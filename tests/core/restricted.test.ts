import { describe, expect, test } from 'vitest';
import type { SignedIn } from '../../src/core/accounts.ts';
import { isoDate } from '../../src/core/dates.ts';
import {
  namesLand,
  ownSentences,
  restricted,
  restrictedLand,
  restrictedPlan,
  restrictedProblems,
  type Sight,
  seesTask,
  sightOf,
} from '../../src/core/restricted.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import type { Obstacle, WhyNot } from '../../src/core/tasks.ts';
import { fakePlan, fakeTask } from '../support/plan.ts';

const land = sampleLand(isoDate('2026-11-25'));
const person = (propertyIds: number[] | null, role: SignedIn['role'] = 'planner'): SignedIn => ({
  id: 1,
  name: 'Ada',
  role,
  propertyIds,
});
const sight = sightOf(land, person([1])) as Sight;
const unitOf = (propertyId: number) =>
  land.units.find((unit) => unit.propertyId === propertyId)?.id ?? 0;
const [own, foreign] = [unitOf(1), unitOf(2)];

test('who sees all has no sight to be cut down to', () => {
  expect(sightOf(land, null)).toBeNull();
  expect(sightOf(land, person(null))).toBeNull();
  expect(restrictedLand(land, null)).toBe(land);
});

describe('rows say by their fields what land they are about', () => {
  test.each([
    ['own property', { propertyId: 1 }, 'same'],
    ['foreign property', { propertyId: 2 }, 'gone'],
    ['no property', { propertyId: null, x: 1 }, 'same'],
    ['own unit', { unitId: own }, 'same'],
    ['foreign unit', { unitId: foreign }, 'gone'],
    ['foreign owner', { landownerId: 2 }, 'gone'],
    ['foreign row inside', { entry: { unitId: foreign } }, 'gone'],
    [
      'foreign row in a list',
      { rows: [{ unitId: foreign }, { unitId: own }] },
      { rows: [{ unitId: own }] },
    ],
    ['units of both', { unitIds: [own, foreign] }, { unitIds: [own] }],
    ['foreign units only', { unitIds: [foreign] }, 'gone'],
    ['an empty list stays empty', { unitIds: [] }, 'same'],
    ['a task of foreign land', { taskKey: `unit:${foreign}/s/t/1/-` }, 'gone'],
    ['a task that a placed row answers', { unitId: own, taskKey: 'block:999/s/t/1/-' }, 'same'],
    ['no land at all', { key: 'saw', count: 2 }, 'same'],
    ['figures', new Float64Array(3), 'same'],
  ] as const)('%s', (_name, row, left) => {
    const seen = restricted(row as object, sight);
    if (left === 'same') expect(seen).toBe(row);
    else expect(seen).toEqual(left === 'gone' ? undefined : left);
  });

  test('what names no land is known as such', () => {
    expect(namesLand({ unitIds: [] })).toBe(false);
    expect(namesLand({ propertyId: null })).toBe(false);
    expect(namesLand({ unitIds: [1] })).toBe(true);
    expect(namesLand({ propertyId: 1 })).toBe(true);
  });
});

describe('the land of one owner', () => {
  const seen = restrictedLand(land, sight);

  test('holds every row of it and no other', () => {
    expect(seen.properties.map(({ id }) => id)).toEqual([1]);
    expect(seen.landowners.map(({ id }) => id)).toEqual([1]);
    for (const rows of [
      'units',
      'blocks',
      'lines',
      'points',
      'leases',
      'grazing',
      'consents',
    ] as const) {
      expect(seen[rows].every((row) => row.propertyId === 1)).toBe(true);
      expect(seen[rows].length).toBe(land[rows].filter((row) => row.propertyId === 1).length);
    }
    const units = new Set(seen.units.map(({ id }) => id));
    expect(seen.entries.length).toBe(land.entries.filter(({ unitId }) => units.has(unitId)).length);
    expect(seen.neighbours.every(({ unitIds }) => unitIds.every((id) => units.has(id)))).toBe(true);
    expect(seen.neighbours.length).toBeGreaterThan(0);
  });

  test('people and gear are shared by those who work, and hidden from a landowner, with costs and weights', () => {
    expect(seen.people).toEqual(land.people);
    const view = restrictedLand(land, sightOf(land, person([1], 'landowner')));
    expect([view.people, view.gear, view.bookings]).toEqual([[], [], []]);
    expect(view.crews.every(({ costPerDayUsd }) => costPerDayUsd === 0)).toBe(true);
    expect(view.blocks.every(({ readiness }) => readiness.roles.length === 0)).toBe(true);
    const signed = land.blocks.filter(
      ({ propertyId, readiness }) => propertyId === 1 && readiness.planSignedBy !== null,
    );
    expect(view.blocks.filter(({ readiness }) => readiness.planSignedBy === 'on file').length).toBe(
      signed.length,
    );
  });

  test('own rows are passed on as they are, not copied', () => {
    expect(seen.units[0]).toBe(land.units.find(({ propertyId }) => propertyId === 1));
  });
});

describe('words', () => {
  const name = land.properties.find(({ id }) => id === 2)?.name ?? '';

  test('sentences that name foreign land go', () => {
    expect(ownSentences([`Waits for ${name}.`, 'Waits for the crew.'], sight)).toEqual([
      'Waits for the crew.',
    ]);
    expect(ownSentences([`Waits for ${name}.`], null)).toEqual([`Waits for ${name}.`]);
  });

  test('a part of a word is no name', () => {
    expect(ownSentences([`${name}ers came.`], sight)).toEqual([`${name}ers came.`]);
  });

  test('a problem of foreign land keeps its code and loses its name', () => {
    const [problem] = restrictedProblems(
      [{ code: 'breaks-plan', ref: `unit:${foreign}/a/b/1/-`, message: `${name}: too late.` }],
      sight,
    );
    expect(problem?.code).toBe('breaks-plan');
    expect(JSON.stringify(problem)).not.toContain(name);
  });
});

test.each([
  [`unit:${own}/s/t/1/-`, true],
  [`unit:${foreign}/s/t/1/-`, false],
  ['block:9999/s/t/1/-', false],
  ['outlook:3', true],
])('the task %s is seen: %s', (key, isSeen) => {
  expect(seesTask(sight, key)).toBe(isSeen);
});

describe('what is in the way of own work', () => {
  const foreignCode = land.units.find((unit) => unit.id === foreign)?.code ?? '';
  const [task] = [fakeTask(`unit:${own}/x/cut/1/-`, '2027-01-04', '2027-01-08', {})];
  const base = { ...task, unitId: own, propertyId: 1 };
  base.blockId = land.units.find((unit) => unit.id === own)?.blockId ?? 0;
  const seen = (why: WhyNot, role: SignedIn['role']) => {
    const plan = fakePlan();
    plan.content.tasks = [{ ...base, late: why, because: [`Later than due: ${why.words}.`] }];
    plan.content.leftOut = [{ ...base, reason: why.words, why }];
    const cut = restrictedPlan(plan, sightOf(land, person([1], role)));
    const [late] = cut.content.tasks;
    const [leftOut] = cut.content.leftOut;
    expect(leftOut?.why).toEqual(late?.late);
    expect(leftOut?.reason).toBe(late?.late?.words);
    return [late?.late?.words, late?.late?.displacing, late?.because.length];
  };
  const whyOf = (words: string, displacing: string, obstacle: Obstacle = 'crew'): WhyNot => ({
    ...{ obstacle, words, displacing },
  });

  test.each<[string, WhyNot, SignedIn['role'], unknown[]]>([
    ['own names stay', whyOf('full', 'It costs 1.'), 'planner', ['full', 'It costs 1.', 1]],
    [
      'names of other land go',
      whyOf(`held by Burn on ${foreignCode}`, `Displacing Burn on ${foreignCode} costs 1.`),
      'planner',
      ['other work comes first', null, 0],
    ],
    ['a landowner sees no costs', whyOf('full', 'It costs $5.'), 'landowner', ['full', null, 1]],
    [
      'nor a price',
      whyOf('it costs $9', '', 'price'),
      'landowner',
      ['it costs more than leaving it out counts for', null, 1],
    ],
  ])('%s', (_, why, role, expected) => {
    expect(seen(why, role)).toEqual(expected);
  });
});
