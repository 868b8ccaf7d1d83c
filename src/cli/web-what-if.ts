import type { Operation } from '../core/operation.ts';
import { planSummary } from '../core/plan-summary.ts';
import type { PlanContent } from '../core/plans.ts';
import type { Problem } from '../core/problems.ts';
import {
  type ChangedRow,
  changedRow,
  checkWhatIfChange,
  type FitDaysAt,
  isSupposed,
  type WhatIf,
  type WhatIfChange,
  whatIfProblems,
  withChanges,
} from '../core/what-if.ts';
import type { PlanRun } from '../solver/planning.ts';
import type { Deps, WhatIfRun } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';
import { nothingToPlan, startPlanning } from './planning.ts';
import type { webPlans } from './web-planning.ts';
import type { webRecords } from './web-records.ts';

/** Most what-ifs kept at a time: each holds a whole plan. */
const whatIfsMost = 30;

const gone: Problem = {
  code: 'what-if-gone',
  message: 'This what-if is not there any more: somebody took it away, or adopted it.',
};

const notSearched: Problem = {
  code: 'what-if-not-searched',
  message: 'There is no plan for these changes yet: search for one first.',
};

/** What the search of a plan needs to know of others: only one runs at a time. */
interface Others {
  isPlanning(): boolean;
}

interface Order {
  id: number;
  seed: number;
  seconds: number;
}

function fitDaysOf(file: OperationFile, operation: Operation): FitDaysAt {
  return (level) => file.store.fitDaysAt(operation, file.library, level);
}

/** The queue of searches: one runs, the others wait in the order in which they were asked for. */
function searches(file: OperationFile) {
  const { whatIfs } = file.store;
  let run: WhatIfRun | null = null;
  let planning: PlanRun | null = null;
  let waiting: Order[] = [];

  const keep = (own: WhatIfRun, changes: readonly WhatIfChange[], search: Searched): void => {
    const { content, changed, madeFrom } = search;
    const summary = planSummary(changed, content, content.madeOn);
    if (whatIfs.setPlan(own.whatIfId, changes, { content, summary, madeFrom })) {
      own.state = own.state === 'stopping' ? 'stopped' : 'done';
      return;
    }
    const message = 'Its changes were others before the search ended, so its plan was not kept.';
    Object.assign(own, { state: 'failed', problems: [{ code: 'what-if-changed', message }] });
  };

  const begin = ({ id, seed, seconds }: Order): void => {
    const whatIf = whatIfs.find(id);
    if (!whatIf) {
      next();
      return;
    }
    const operation = file.operation();
    const { changes } = whatIf;
    const own: WhatIfRun = {
      whatIfId: id,
      state: 'running',
      seconds: 0,
      secondsBudget: seconds,
      leftOutCount: null,
      problems: whatIfProblems(operation, changes),
    };
    run = own;
    const fail = (problems: Problem[]) => Object.assign(own, { state: 'failed', problems });
    if (own.problems.length > 0) {
      fail(own.problems);
      next();
      return;
    }
    const madeFrom = file.store.revision();
    const changed = withChanges(operation, changes, fitDaysOf(file, operation));
    const inForce = file.store.plans.inForce()?.content ?? null;
    const limits = { seed, seconds };
    planning = startPlanning(
      changed,
      file.horizon(changed),
      inForce,
      limits,
      ({ seconds, leftOutCount }) => Object.assign(own, { seconds, leftOutCount }),
    );
    planning.result
      .then((outcome) => {
        if (outcome.ok) keep(own, changes, { content: outcome.value, changed, madeFrom });
        else fail(outcome.problems);
      })
      .catch((error: unknown) => {
        const message = error instanceof Error ? error.message : String(error);
        fail([{ code: 'search-failed', message }]);
      })
      .finally(() => {
        planning = null;
        next();
      });
  };

  const next = (): void => {
    const order = waiting.shift();
    // The database was closed meanwhile: nothing more can be read or kept.
    if (order && file.store.isOpen()) begin(order);
  };

  return {
    run: () => run,
    waiting: () => waiting.map(({ id }) => id),
    ask: (order: Order): void => {
      waiting = [...waiting.filter(({ id }) => id !== order.id), order];
      if (planning === null) next();
    },
    stop: (): void => {
      waiting = [];
      if (planning === null || run === null) return;
      run.state = 'stopping';
      planning.stop();
    },
  };
}

interface Searched {
  content: PlanContent;
  /** The operation with the changes. */
  changed: Operation;
  madeFrom: number;
}

/** Writes a row of a change by the same calls as its own form. */
function writeRow(
  file: OperationFile,
  records: ReturnType<typeof webRecords>,
  changed: ChangedRow,
): Problem[] {
  const { store, library } = file;
  switch (changed.noun) {
    case 'crew': {
      const { id, peopleCount, daysOff, onSpans, enteredSpans } = changed.row;
      // Days of bookings stand beside those entered and are not stored with the crew.
      return store.updateCrew(id, { peopleCount, daysOff, onSpans: enteredSpans ?? onSpans });
    }
    case 'block': {
      const { id, heldUntilYear, heldReason, sequenceKey, sequenceStartsOn, firstCycle } =
        changed.row;
      const change = { heldUntilYear, heldReason, sequenceKey, sequenceStartsOn, firstCycle };
      return store.updateBlock(id, change, library);
    }
    case 'settings':
      return store.saveSettings(changed.row);
    case 'gear':
    case 'treatment': {
      const answer =
        changed.noun === 'gear'
          ? records.save('gear', changed.row, false, true)
          : records.save('treatment', changed.row, false, true);
      return answer.kind === 'saved' ? [] : answer.problems;
    }
    case 'fitDays':
      return [];
  }
}

const noLongerFits: Problem = {
  code: 'what-if-no-longer-fits',
  message:
    'Nothing was written: land or facts changed since the search, and its plan no longer fits. Search again.',
};

/** Writes the changes as facts, then puts the plan in force through the checker: all of it or nothing. */
function adopt(
  file: OperationFile,
  plans: ReturnType<typeof webPlans>,
  records: ReturnType<typeof webRecords>,
  whatIf: WhatIf,
): Problem[] {
  const found = file.store.whatIfs.plan(whatIf.id);
  if (!found) return [notSearched];
  if (whatIf.changes.some(isSupposed)) {
    const message =
      'A what-if with supposed fit days can not be adopted: the weather did not change by it.';
    return [{ code: 'what-if-supposed', message }];
  }
  const gone = whatIfProblems(file.operation(), whatIf.changes);
  if (gone.length > 0) return gone;
  return file.allOrNone(() => {
    for (const change of whatIf.changes) {
      const now = file.operation();
      const changed = changedRow(now, change, fitDaysOf(file, now));
      const problems = changed ? writeRow(file, records, changed) : [];
      if (problems.length > 0) return problems;
    }
    const draft = file.store.plans.saveDraft(found.content, file.store.revision());
    const adopted = plans.adopt(draft.id);
    if (!adopted.ok) return [noLongerFits, ...adopted.problems];
    file.store.whatIfs.remove(whatIf.id);
    return [];
  });
}

/** What-ifs as pages see them: kept, searched one after the other, adopted. */
export function webWhatIf(
  file: OperationFile,
  plans: ReturnType<typeof webPlans>,
  records: ReturnType<typeof webRecords>,
  { isPlanning }: Others,
): Deps['whatIf'] {
  const { whatIfs } = file.store;
  const queue = searches(file);
  const setChanges = (id: number, changesOf: (before: WhatIfChange[]) => WhatIfChange[]) => {
    const whatIf = whatIfs.find(id);
    if (!whatIf) return [gone];
    whatIfs.setChanges(id, changesOf(whatIf.changes));
    return [];
  };
  return {
    list: whatIfs.list,
    add: (name) => {
      if (whatIfs.list().length >= whatIfsMost) {
        const message = `There are ${whatIfsMost} what-ifs already: remove one that is done with.`;
        return { ok: false, problems: [{ code: 'what-if-many', message }] };
      }
      return { ok: true, value: whatIfs.add(name) };
    },
    addChange: (id, change) => {
      const operation = file.operation();
      const before = whatIfs.find(id)?.changes ?? [];
      const problems = checkWhatIfChange(operation, before, change, fitDaysOf(file, operation));
      return problems.length > 0 ? problems : setChanges(id, (rows) => [...rows, change]);
    },
    dropChange: (id, at) => setChanges(id, (rows) => rows.filter((_, place) => place !== at)),
    remove: whatIfs.remove,
    changedSince: (id) => {
      const plan = whatIfs.plan(id);
      return plan ? file.store.changesSince(plan.madeFrom) : [];
    },
    plan: (id) => whatIfs.plan(id)?.content ?? null,
    run: queue.run,
    waiting: queue.waiting,
    search: (id, { seed, seconds }) => {
      const problems = whatIfs.find(id) ? nothingToPlan(file.operation()) : [gone];
      if (problems.length > 0) return problems;
      if (isPlanning()) {
        const message =
          'A draft is being made on the Plan page: wait until it is done, or stop it.';
        return [{ code: 'planning-running', message }];
      }
      queue.ask({ id, seed, seconds });
      return [];
    },
    stop: queue.stop,
    adopt: (id) => {
      const whatIf = whatIfs.find(id);
      return whatIf ? adopt(file, plans, records, whatIf) : [gone];
    },
  };
}
