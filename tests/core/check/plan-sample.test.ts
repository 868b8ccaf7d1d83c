import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { crewsOnSite } from '../../../src/core/bookings.ts';
import { checkPlan } from '../../../src/core/check/plan.ts';
import { isoDate, monthDay } from '../../../src/core/dates.ts';
import type { FitDayDefault } from '../../../src/core/library.ts';
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
    fitDays: row.monthly.flatMap((days) => [days / 2, days / 2]),
    origin: 'entered' as const,
    label: '',
  })),
};

const iterations = 300;

// The planner and the checker share no code: each is the outside check of the other, on the sample land.
describe.each(['2026-11-25', '2027-02-20', '2027-04-12', '2027-06-10', '2027-08-20'].map(isoDate))(
  'a plan of the sample land made on %s',
  (today) => {
    const land = sampleLand(today);
    const noWork = [...library.noWork, ...landSpans(land)];
    const operation: Operation = { ...land, ...library, noWork, crews: crewsOnSite(land) };
    const horizon = horizonFrom(today, monthDay('07-01'), operation.settings.seasonsAfter);
    const problem = landModel(operation, horizon, null);
    const { choice } = searchCounted(problem.model, 1, iterations).best();
    const plan = planContent(operation, problem, choice, {
      seed: 1,
      iterations,
      seconds: 0,
      version: '',
    });

    test('keeps every rule', () => {
      expect(checkPlan(operation, plan)).toEqual([]);
    });

    test('is a season that mostly fits', () => {
      expect(plan.tasks.length).toBeGreaterThan(150);
      expect(plan.leftOut.length).toBeLessThan(plan.tasks.length / 20);
      const burns = plan.tasks.filter((task) => task.isWhenFit);
      expect(burns.length).toBeGreaterThan(15);
    });
  },
);
