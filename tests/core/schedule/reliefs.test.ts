import fc from 'fast-check';
import { expect, it } from 'vitest';
import {
  type Standing,
  standingOf,
  type Trial,
  treeOf,
} from '../../../src/core/schedule/block-view.ts';
import { leftOutCost, violations } from '../../../src/core/schedule/evaluate.ts';
import { type LandProblem, landModel } from '../../../src/core/schedule/land-model.ts';
import type { LandOption } from '../../../src/core/schedule/land-options.ts';
import type { RowSubject } from '../../../src/core/schedule/land-rows.ts';
import { firstRelief, type Relieved } from '../../../src/core/schedule/reliefs.ts';
import { repairByDays } from '../../../src/core/schedule/repair.ts';
import type { Obstacle } from '../../../src/core/tasks.ts';
import { anyOperation, choiceOf, type Drawn, modelOf } from './land-operations.ts';

const markOf = ({ mode, fromDay, toDay, shares }: LandOption) =>
  JSON.stringify([mode.treatment.key, mode.crews.map(({ id }) => id), fromDay, toDay, shares]);

/** What is placed, by key of the task. */
type Marks = Map<string, { mark: string; group: number }>;

function marksOf(
  problem: LandProblem,
  choice: readonly number[],
  tasks: readonly number[],
  group: (own: number) => number = (own) => own,
): Marks {
  return new Map(
    tasks.flatMap((task) => {
      const option = problem.options[task]?.[choice[task] ?? -1];
      const job = problem.jobs[task];
      return option && job
        ? [[job.identity.key, { mark: markOf(option), group: group(job.group) }] as const]
        : [];
    }),
  );
}

/**
 * The choice in another model that places the same; a tree of which that model does not know all placings, because
 * its work is cut into other pieces or begins on other days there, stays out.
 */
function sameChoice(problem: LandProblem, marks: Marks): number[] {
  const places = new Map(problem.jobs.map(({ identity }, at) => [identity.key, at]));
  const choice = problem.jobs.map(() => -1);
  const lost = new Set<number>();
  for (const [key, { mark, group }] of marks) {
    const at = places.get(key) ?? -1;
    const option = problem.options[at]?.findIndex((one) => markOf(one) === mark) ?? -1;
    if (option < 0) lost.add(group);
    else choice[at] = option;
  }
  return choice.map((option, at) => (lost.has(problem.jobs[at]?.group ?? -1) ? -1 : option));
}

/** The whole model with the named thing out of the way, made anew from the operation. */
function relaxedModel({ operation, problem }: Standing, { reliefs }: Relieved): LandProblem {
  const changed = reliefs.reduce((one, { change }) => change?.(one) ?? one, operation);
  return landModel(changed, problem.horizon, problem.inForce);
}

const rowKinds: Obstacle[] = ['crew', 'gear', 'booking', 'fit-days', 'turn', 'several'];

function isPlacedByRelief(standing: Standing, task: number, currentDay: number | null): void {
  const relieved = firstRelief(standing, task, currentDay);
  if (!relieved) return;
  const { trial, kind, reliefs } = relieved;
  if (currentDay !== null) expect(trial.startDay).toBeLessThan(currentDay);
  expect(trial.startDay).not.toBeNull();
  const whole = relaxedModel(standing, relieved);
  const own = treeOf(standing, task);
  const group = standing.problem.jobs[task]?.group ?? -1;
  const others = standing.problem.jobs.map((_, at) => at).filter((at) => !own.includes(at));
  const marks = new Map([
    ...marksOf(standing.problem, standing.choice, others),
    ...marksOf(trial.view, trial.choice, trial.tasks, () => group),
  ]);
  const choice = sameChoice(whole, marks);
  const isFreed = (row: number) =>
    reliefs.some(({ isFreed }) =>
      isFreed?.(whole.rows.subjects[row] as RowSubject, whole.rows.capacities[row] ?? 0),
    );
  const capacities = whole.model.capacities.map((one, row) => (isFreed(row) ? 1e6 : one));
  expect(violations({ ...whole.model, capacities }, choice)).toEqual([]);
  expect(startOf(whole, choice, trial)).toBe(trial.startDay);
  if (rowKinds.includes(kind)) {
    const broken = violations(whole.model, choice).map(({ code }) => code);
    expect(new Set(broken)).toEqual(new Set(['row-overused']));
  }
}

/** First day on which a task of the trial's tree starts that starts on the day of the trial. */
function startOf(whole: LandProblem, choice: readonly number[], trial: Trial): number | undefined {
  const keys = new Set(trial.tasks.map((at) => trial.view.jobs[at]?.identity.key));
  return whole.jobs
    .flatMap(({ identity }, at) => {
      const option = whole.options[at]?.[choice[at] ?? -1];
      return option && keys.has(identity.key) ? [option.fromDay] : [];
    })
    .find((day) => day === trial.startDay);
}

function allArePlaced({ operation, today }: Drawn): void {
  const problem = modelOf(operation, today);
  const { choice, barred } = repairByDays(operation, problem, choiceOf(problem, 20));
  const standing = standingOf(operation, problem, choice, barred);
  problem.jobs.forEach((_, task) => {
    const option = problem.options[task]?.[choice[task] ?? -1];
    if (option) {
      if (task % 5 === 0) isPlacedByRelief(standing, task, option.fromDay);
    } else if (leftOutCost(problem.model, choice, task) > 0) isPlacedByRelief(standing, task, null);
  });
}

it('the thing that is named really places the task, in the whole model beside all other work', () => {
  fc.assert(fc.property(anyOperation, allArePlaced), { numRuns: 40, seed: 7 });
}, 120_000);
