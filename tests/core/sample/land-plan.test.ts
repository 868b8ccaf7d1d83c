import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { crewsOnSite } from '../../../src/core/bookings.ts';
import { chainOf, nextStep } from '../../../src/core/chains.ts';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { daysInMonth, isoDate, monthDay } from '../../../src/core/dates.ts';
import type { FitDayDefault } from '../../../src/core/library.ts';
import { crewLoads, tightestWeeks } from '../../../src/core/load.ts';
import type { Operation } from '../../../src/core/operation.ts';
import { sampleLand } from '../../../src/core/sample/land.ts';
import { landModel } from '../../../src/core/schedule/land-model.ts';
import { planContent } from '../../../src/core/schedule/plan.ts';
import { searchCounted } from '../../../src/core/schedule/search.ts';
import { landSpans } from '../../../src/core/season/land-spans.ts';
import { horizonFrom } from '../../../src/core/seasons.ts';
import { noSheetTables } from '../../../src/core/sheet-tables.ts';

const table = <T>(name: string): T =>
  JSON.parse(readFileSync(new URL(`../../../shared/${name}.json`, import.meta.url), 'utf8'));

const library = {
  treatments: table<Operation['treatments']>('treatments'),
  sequences: table<Operation['sequences']>('sequences'),
  communities: table<Operation['communities']>('communities'),
  prescriptions: table<Operation['prescriptions']>('prescriptions'),
  lineKinds: table<Operation['lineKinds']>('line-kinds'),
  burnSteps: [],
  followUps: [],
  stateRules: [],
  sheetTables: noSheetTables,
  noWork: table<Operation['noWork']>('no-work'),
  cautions: table<Operation['cautions']>('cautions'),
  fitDays: table<FitDayDefault[]>('fit-day-defaults').map((row) => ({
    prescriptionKey: row.prescriptionKey,
    fitDays: row.monthly.flatMap((days, month) => {
      const share = 15 / daysInMonth(2027, month + 1);
      return [days * share, days * (1 - share)];
    }),
    origin: 'entered' as const,
    label: '',
  })),
};

const iterations = 300;

function plannedOn(today: ReturnType<typeof isoDate>) {
  const land = sampleLand(today);
  const noWork = [...library.noWork, ...landSpans(land)];
  const operation: Operation = { ...land, ...library, noWork, crews: crewsOnSite(land) };
  const horizon = horizonFrom(today, monthDay('07-01'), operation.settings.seasonsAfter);
  const problem = landModel(operation, horizon, null);
  const { choice } = searchCounted(problem.model, 1, iterations).best();
  const run = { seed: 1, iterations, seconds: 0, version: '' };
  return { operation, horizon, plan: planContent(operation, problem, choice, run) };
}

const the25ths = Array.from({ length: 12 }, (_, i) =>
  isoDate(`2027-${String(i + 1).padStart(2, '0')}-25`),
);

// The planner and the checker share no code: each is the outside check of the other.
describe.each(the25ths)('a short search for the sample on %s', (today) => {
  const { operation, horizon, plan } = plannedOn(today);

  test('breaks no rule', () => {
    expect(checkPlan(operation, plan)).toEqual([]);
  });

  test('leaves a few tasks out, each with its reason, and places the rest', () => {
    expect(plan.leftOut.length).toBeGreaterThanOrEqual(1);
    expect(plan.leftOut.length).toBeLessThanOrEqual(8);
    for (const task of plan.leftOut) expect(task.reason).not.toBe('');
    expect(plan.tasks.length).toBeGreaterThan(150);
  });

  test('has weeks with half a day or less to spare', () => {
    const home = crewLoads(operation, plan.tasks, horizon).find(({ crew }) => crew.kind === 'home');
    const [tightest] = tightestWeeks(home?.weeks ?? [], 1);
    expect((tightest?.onHandTenths ?? 99) - (tightest?.needTenths ?? 0)).toBeLessThanOrEqual(5);
  });

  test('no chain waits for a second line pass of a burn that is done', () => {
    for (const block of operation.blocks)
      expect(nextStep(chainOf(operation, block))?.stepKey, block.code).not.toMatch(/^line-again/);
  });
});

test('planned in late November, six burns or more fall in the season that runs, and not all fits', () => {
  const { plan } = plannedOn(isoDate('2026-11-25'));
  const burns = plan.tasks.filter((task) => task.isWhenFit && task.startsOn < '2027-07-01');
  expect(burns.length).toBeGreaterThanOrEqual(6);
  expect(plan.leftOut.length).toBeGreaterThanOrEqual(1);
});

test('a felling is partly done: the rest is still to do', () => {
  const operation: Operation = { ...sampleLand(isoDate('2026-11-25')), ...library };
  const partly = operation.blocks.flatMap((block) =>
    chainOf(operation, block).filter((step) => step.standing === 'partly-done'),
  );
  expect(partly.map((step) => step.stepKey)).toEqual(['fell']);
  const unit = operation.units.find((one) => one.id === partly[0]?.unitId);
  expect(partly[0]?.areaAcres).toBeCloseTo((unit?.areaAcres ?? 0) - 14, 2);
});

test('the edge of two blocks is a line with both units, as long as the neighbours share', () => {
  const { lines, neighbours, units } = sampleLand(isoDate('2026-11-25'));
  const blockOf = (id: number) => units.find((unit) => unit.id === id)?.blockId;
  for (const { unitIds, sharedFeet } of neighbours) {
    const both = lines.filter((line) => unitIds.every((id) => line.unitIds.includes(id)));
    const feet = both.reduce((sum, line) => sum + line.lengthFeet, 0);
    const isInside = blockOf(unitIds[0]) === blockOf(unitIds[1]);
    expect(feet, unitIds.join(' and ')).toBe(isInside ? 0 : sharedFeet);
  }
  for (const line of lines) expect([1, 2]).toContain(line.unitIds.length);
});
