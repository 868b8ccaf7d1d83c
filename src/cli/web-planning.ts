import type { PlanContent } from '../core/plans.ts';
import type { Problem } from '../core/problems.ts';
import { comparePlans } from '../core/schedule/plan.ts';
import type { PlanRun } from '../solver/planning.ts';
import type { Deps, PlanningRun } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { nothingToPlan, startPlanning } from './planning.ts';

/** Plans as pages see them: in force, draft, adopting, differences. */
export function webPlans(file: OperationFile): Deps['plans'] {
  const { plans } = file.store;
  return {
    inForce: plans.inForce,
    draft: plans.draft,
    adopt: (planId) => {
      const draft = plans.find(planId);
      const problems = draft ? file.check(draft.content) : [];
      if (problems.length > 0) return { ok: false, problems };
      return plans.adopt(planId, () => file.publish());
    },
    discard: plans.discard,
    everInForce: plans.everInForce,
    compare: (draft, inForce) => comparePlans(draft.content, inForce?.content ?? null),
    staleBecause: () => {
      const plan = plans.inForce();
      return plan ? plans.changesSince(plan.id) : [];
    },
  };
}

/** One search at a time, in a child process; its progress is read by polling. */
export function webPlanning(file: OperationFile): Omit<Deps['planning'], 'isSampleUnderWay'> {
  let run: PlanningRun | null = null;
  let planning: PlanRun | null = null;
  // The plan was right for the land as it was when the search began.
  const changedMeanwhile = (plan: PlanContent): Problem[] => {
    if (file.check(plan).length === 0) return [];
    const message =
      'Land or facts changed while the search ran, so its plan no longer fits: make a new draft.';
    return [{ code: 'changed-meanwhile', message }];
  };
  const start: Deps['planning']['start'] = ({ seed, seconds }) => {
    if (run?.state === 'running') {
      const message = 'A draft is being made already: stop it, or wait until it is done.';
      return { ok: false, problems: [{ code: 'planning-running', message }] };
    }
    const operation = file.operation();
    const problems = nothingToPlan(operation);
    if (problems.length > 0) return { ok: false, problems };
    const madeFrom = file.store.revision();
    const own: PlanningRun = {
      state: 'running',
      startedAt: new Date().toISOString(),
      seconds: 0,
      secondsBudget: seconds,
      cost: null,
      leftOutCount: null,
      problems: [],
      draftId: null,
    };
    run = own;
    const inForce = file.store.plans.inForce()?.content ?? null;
    planning = startPlanning(
      operation,
      file.horizon(operation),
      inForce,
      { seed, seconds },
      (now) => Object.assign(own, now),
    );
    planning.result
      .then((outcome) => {
        const isStopped = own.state === 'stopped';
        const problems = outcome.ok ? changedMeanwhile(outcome.value) : outcome.problems;
        if (!outcome.ok || problems.length > 0) Object.assign(own, { state: 'failed', problems });
        else {
          own.draftId = file.store.plans.saveDraft(outcome.value, madeFrom).id;
          own.state = isStopped ? 'stopped' : 'done';
        }
      })
      .catch((error: unknown) => {
        const message = error instanceof Error ? error.message : String(error);
        Object.assign(own, { state: 'failed', problems: [{ code: 'search-failed', message }] });
      });
    return { ok: true, value: own };
  };
  return {
    run: () => run,
    start,
    stop: () => {
      if (run?.state !== 'running') return;
      run.state = 'stopped';
      planning?.stop();
    },
  };
}
