import type { Operation } from '../operation.ts';
import type { PlanContent } from '../plans.ts';
import type { Problem } from '../problems.ts';
import { checkHeld, checkHorizon, checkNoWork, checkTwice, checkWindows } from './plan-days.ts';
import { checkApart, checkFireHeld, checkFitDays } from './plan-fires.ts';
import { checkLags, checkLinks } from './plan-lags.ts';
import { checkWorkAmount } from './plan-need.ts';
import { checkCrewDays, checkCrewPeople, checkCrewSkills, checkGear } from './plan-people.ts';
import { viewPlan } from './plan-view.ts';

/**
 * Everything that is wrong with the planned tasks of a plan, one problem each: a code for the rule, a sentence that
 * names the task and the numbers, and the task's key in `ref`. Empty = the plan keeps every hard rule.
 * Written from the meanings of dates, lags and needs alone and sharing no code with the planner, so that one
 * can catch the other's mistakes. Facts may break rules; only what involves a planned task is reported.
 */
export function checkPlan(operation: Operation, plan: PlanContent): Problem[] {
  const { view, problems } = viewPlan(operation, plan);
  return [
    ...problems,
    ...checkTwice(view),
    ...checkHorizon(view),
    ...checkWindows(view),
    ...checkNoWork(view),
    ...checkHeld(view),
    ...checkLags(view),
    ...checkLinks(view),
    ...checkCrewDays(view),
    ...checkCrewSkills(view),
    ...checkCrewPeople(view),
    ...checkGear(view),
    ...checkWorkAmount(view),
    ...checkFitDays(view),
    ...checkApart(view),
    ...checkFireHeld(view),
  ];
}
