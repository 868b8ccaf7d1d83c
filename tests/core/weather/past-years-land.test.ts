import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { type IsoDate, isoDate, monthDay } from '../../../src/core/dates.ts';
import type { FitDayDefault } from '../../../src/core/library.ts';
import type { Operation } from '../../../src/core/operation.ts';
import type { PlanContent } from '../../../src/core/plans.ts';
import { sampleLand } from '../../../src/core/sample/land.ts';
import { landModel } from '../../../src/core/schedule/land-model.ts';
import { planContent } from '../../../src/core/schedule/plan.ts';
import { searchCounted } from '../../../src/core/schedule/search.ts';
import { horizonFrom } from '../../../src/core/seasons.ts';
import { noSheetTables } from '../../../src/core/sheet-tables.ts';
import type { FitHours } from '../../../src/core/weather/past-years.ts';
import {
  type PastWeather,
  type PastYearsResult,
  pastYearsTest,
} from '../../../src/core/weather/past-years-land.ts';
import { dayOf } from './past-burns.ts';

const table = <T>(name: string): T =>
  JSON.parse(readFileSync(new URL(`../../../shared/${name}.json`, import.meta.url), 'utf8'));

const today = isoDate('2026-11-25');
const operation: Operation = {
  ...sampleLand(today),
  treatments: table('treatments'),
  sequences: table('sequences'),
  communities: table('communities'),
  prescriptions: table('prescriptions'),
  lineKinds: table('line-kinds'),
  burnSteps: [],
  followUps: [],
  stateRules: [],
  sheetTables: noSheetTables,
  noWork: table('no-work'),
  cautions: table('cautions'),
  fitDays: table<FitDayDefault[]>('fit-day-defaults').map((row) => ({
    prescriptionKey: row.prescriptionKey,
    fitDays: row.monthly.flatMap((days) => [days / 2, days / 2]),
    origin: 'entered' as const,
    label: '',
  })),
};
const horizon = horizonFrom(today, monthDay('07-01'), 2);
const problem = landModel(operation, horizon, null);
const plan: PlanContent = planContent(
  operation,
  problem,
  searchCounted(problem.model, 1, 200).best().choice,
  { seed: 1, iterations: 200, seconds: 0, version: '' },
);
const burns = plan.tasks.filter((task) => task.isWhenFit);

const firstDay = dayOf('1990-01-01');
const historyDays = dayOf('2006-01-01') - firstDay;
function* everyNth(nth: number): Generator<void, FitHours> {
  yield;
  const hours = Uint8Array.from({ length: historyDays }, (_, day) => (day % nth === 0 ? 5 : 0));
  return { firstDay, hours };
}

function weather(own: Partial<PastWeather> = {}): PastWeather {
  return {
    station: { name: 'Test station', isInvented: true },
    seasons: Array.from({ length: 12 }, (_, index) => 1991 + index),
    fitOf: () => everyNth(1),
    sizeOf: () => ({ lightHours: 2, daysNeeded: 1 }),
    leafOutOf: () => null,
    ...own,
  };
}

function resultOf(own: Partial<PastWeather> = {}, land: Operation = operation): PastYearsResult {
  const steps = pastYearsTest(land, plan, weather(own), 1);
  for (;;) {
    const step = steps.next();
    if (!step.done) continue;
    if (!step.value) throw new Error('no result');
    return step.value;
  }
}

const allUsed: Operation = {
  ...operation,
  settings: { ...operation.settings, supply: { ...operation.settings.supply, usedShare: 1 } },
};

describe('the past-years test of the sample plan', () => {
  test('has a line for every burn, by its key, over every season', () => {
    const result = resultOf();
    expect(result.burns.map((burn) => burn.key).sort()).toEqual(burns.map((one) => one.key).sort());
    expect(result.burns.every((burn) => burn.chance.of === 12)).toBe(true);
  });

  test('with every day fit and used each burn is done, its acres in its season', () => {
    const result = resultOf({}, allUsed);
    expect(result.burns.filter((burn) => burn.chance.done < 12)).toEqual([]);
    for (const property of result.properties)
      for (const season of property.seasons) {
        expect(season.acres.median).toBeCloseTo(season.plannedAcres, 6);
      }
    expect(result.weakest).toBeNull();
  });

  test('no burn is lit before what it waits for is done on its planned days', () => {
    const lines = plan.tasks.filter((task) => task.family === 'line' && task.tiedToKey === null);
    const result = resultOf({}, allUsed);
    let checked = 0;
    for (const burn of result.burns) {
      const task = burns.find((one) => one.key === burn.key);
      const line = lines.find(
        (one) =>
          one.blockId === task?.blockId && one.cycle === task.cycle && one.part === task.part,
      );
      if (!line) continue;
      checked += 1;
      for (const date of burn.doneOn) expect(date && date > line.lastDay).toBe(true);
    }
    expect(checked).toBeGreaterThan(5);
  });

  test('without a fit day nothing burns, and no change helps', () => {
    const result = resultOf({ fitOf: () => everyNth(Number.NaN) });
    expect(result.burns.every((burn) => burn.chance.done === 0)).toBe(true);
    expect(new Set(result.burns.map((burn) => burn.heldBack?.cause))).toEqual(new Set(['weather']));
    expect(result.weakest?.changes).toEqual([]);
    const overdue = result.properties.reduce((sum, one) => sum + one.overdueUnits.median, 0);
    const withFire = resultOf({}, allUsed).properties;
    expect(overdue).toBeGreaterThan(
      withFire.reduce((sum, one) => sum + one.overdueUnits.median, 0),
    );
  });

  test('an early leaf-out shortens the windows of the dormant season', () => {
    const early = (_: number, year: number): IsoDate => isoDate(`${year}-03-01`);
    const usual = resultOf();
    const shorter = resultOf({ leafOutOf: early });
    const days = (result: PastYearsResult, key: string) =>
      result.burns.find((burn) => burn.key === key)?.stages.window ?? 0;
    const dormant = burns.filter((burn) => burn.treatmentKey.includes('dormant'));
    expect(dormant.length).toBeGreaterThan(5);
    for (const burn of dormant) expect(days(shorter, burn.key)).toBeLessThan(days(usual, burn.key));
  });

  test('what lifts the weakest burn is offered, the largest gain first, and is a gain', () => {
    const result = resultOf({ fitOf: () => everyNth(9) });
    const weakest = result.weakest;
    expect(weakest).not.toBeNull();
    const counts = weakest?.changes.map((change) => change.done) ?? [];
    expect(counts.length).toBeGreaterThan(0);
    expect(counts).toEqual([...counts].sort((a, b) => b - a));
    expect(Math.min(...counts)).toBeGreaterThan(weakest?.done ?? 0);
    const least = Math.min(...result.burns.map((burn) => burn.chance.done));
    expect(weakest?.done).toBe(least);
  });

  test('the same input gives the same answer; progress reaches its end', () => {
    expect(resultOf({ fitOf: () => everyNth(7) })).toEqual(resultOf({ fitOf: () => everyNth(7) }));
    const seen = [...pastYearsTest(operation, plan, weather(), 1)];
    expect(seen.at(-1)).toEqual({ done: burns.length + 1, of: burns.length + 2 });
    expect(seen.map((step) => step.done)).toEqual(
      seen.map((step) => step.done).toSorted((a, b) => a - b),
    );
  });

  test('is nothing without weather or without burns', () => {
    const last = (content: PlanContent, own: Partial<PastWeather>) =>
      pastYearsTest(operation, content, weather(own), 1).next();
    expect(last(plan, { seasons: [] })).toEqual({ done: true, value: null });
    expect(last({ ...plan, tasks: [] }, {})).toEqual({ done: true, value: null });
  });
});
