import { type ChainStep, chainOf, isTaskOfStep } from './chains.ts';
import { type DateRange, daysBetween, type IsoDate, rangeHolds } from './dates.ts';
import { oncePerList } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { Plan } from './plans.ts';
import type { LeftOutTask, PlannedTask, TaskIdentity } from './tasks.ts';
import type { Family } from './treatments.ts';
import type { WorkEntry } from './worklog.ts';

/** What became of a task that a plan in force had in a season. */
export type PlannedFate =
  | 'done'
  | 'late'
  | 'partly'
  | 'not-possible'
  | 'passed-over'
  | 'moved'
  | 'left-out'
  | 'not-done'
  | 'to-come';

/** A task that was planned in the season, or left out though due by its end. */
export interface PlannedTaskFate {
  key: string;
  propertyId: number;
  blockId: number;
  unitId: number | null;
  name: string;
  treatmentKey: string;
  family: Family;
  areaAcres: number;
  /** As first planned; null for one that was never planned. */
  startsOn: IsoDate | null;
  lastDay: IsoDate | null;
  fate: PlannedFate;
  doneOn: IsoDate | null;
  /** First day that the newest plan of the season has it on; null = it has not. */
  nowOn: IsoDate | null;
  /** Days after the last planned day; 0 unless late. */
  lateDays: number;
  /** In words, from the entry or the plan; blank where nobody gave one. */
  reason: string;
}

/** Plans that were in force at some time of a span, oldest first. Days of adoption are counted in UTC. */
export function plansDuring(plans: readonly Plan[], span: DateRange): Plan[] {
  const adopted = plans
    .filter((plan) => plan.adoptedAt !== null)
    .toSorted((a, b) => (a.adoptedAt! < b.adoptedAt! ? -1 : 1));
  return adopted.filter((plan, at) => {
    const from = plan.adoptedAt!.slice(0, 10);
    const until = adopted[at + 1]?.adoptedAt?.slice(0, 10);
    return from < span.endsBefore && (until === undefined || until >= span.startsOn);
  });
}

interface Planned {
  first: PlannedTask | null;
  /** As the last of the plans has it. */
  last: PlannedTask | null;
  leftOut: LeftOutTask | null;
}

function plannedByKey(
  plans: readonly Plan[],
  span: DateRange,
  propertyIds: ReadonlySet<number>,
): Map<string, Planned> {
  const isOwn = (task: TaskIdentity) => propertyIds.has(task.propertyId);
  const byKey = new Map<string, Planned>();
  for (const { content } of plans)
    for (const task of content.tasks)
      if (isOwn(task) && rangeHolds(span, task.startsOn) && !byKey.has(task.key))
        byKey.set(task.key, { first: task, last: null, leftOut: null });
  const last = plans.at(-1)?.content;
  for (const task of (last?.leftOut ?? []).filter(isOwn)) {
    const isDue = task.dueOn !== null && task.dueOn < span.endsBefore;
    const known = byKey.get(task.key);
    if (known) known.leftOut = task;
    else if (isDue) byKey.set(task.key, { first: null, last: null, leftOut: task });
  }
  for (const task of last?.tasks ?? []) {
    const known = byKey.get(task.key);
    if (known) known.last = task;
  }
  return byKey;
}

interface Answered {
  standing: ChainStep['standing'];
  doneOn: IsoDate | null;
  reason: string;
}

const standingOf: Record<WorkEntry['outcome'], ChainStep['standing']> = {
  done: 'done',
  partly: 'partly-done',
  'not-possible': 'not-possible',
  'under-way': 'under-way',
};

/** The newest fact that names each task. */
const lastEntryByTask = oncePerList((entries: readonly WorkEntry[]) => {
  const newest = new Map<string, WorkEntry>();
  for (const entry of entries) {
    const known = entry.taskKey === null ? undefined : newest.get(entry.taskKey);
    if (entry.taskKey !== null && (!known || known.doneOn <= entry.doneOn))
      newest.set(entry.taskKey, entry);
  }
  return newest;
});

type ChainsOfBlocks = Map<number, ChainStep[]>;

/** Chains of a snapshot, kept as long as its log is: reports of several properties and seasons ask for the same. */
const keptChains = oncePerList((_entries: readonly WorkEntry[]): ChainsOfBlocks => new Map());

function chainOfBlock(operation: Operation, chains: ChainsOfBlocks, blockId: number): ChainStep[] {
  const known = chains.get(blockId);
  if (known) return known;
  const block = operation.blocks.find(({ id }) => id === blockId);
  const chain = block ? chainOf(operation, block) : [];
  chains.set(blockId, chain);
  return chain;
}

/** By the chain, which finds facts by their treatment too; a task of an earlier chain by the entries that name it. */
function answerTo(operation: Operation, chains: ChainsOfBlocks, task: TaskIdentity): Answered {
  const own = lastEntryByTask(operation.entries).get(task.key);
  const step = chainOfBlock(operation, chains, task.blockId).find((one) =>
    isTaskOfStep(task.key, one),
  );
  const reason = own?.reason || own?.note || '';
  if (step && step.standing !== 'to-do')
    return { standing: step.standing, doneOn: step.doneOn, reason };
  if (own) return { standing: standingOf[own.outcome], doneOn: own.doneOn, reason };
  return { standing: 'to-do', doneOn: null, reason: '' };
}

function fateOf(
  { first, last, leftOut }: Planned,
  { standing, doneOn, reason }: Answered,
  span: DateRange,
  today: IsoDate,
): Pick<PlannedTaskFate, 'fate' | 'reason' | 'lateDays'> {
  const fate = (name: PlannedFate, why: string, lateDays = 0) => ({
    fate: name,
    reason: why,
    lateDays,
  });
  if (standing === 'done') {
    const late = first && doneOn ? Math.max(0, daysBetween(first.lastDay, doneOn)) : 0;
    return late > 0 ? fate('late', reason, late) : fate('done', reason);
  }
  // Part of the work done before the season's plan had the rest of it: what was planned is the rest.
  const isRest = first !== null && doneOn !== null && doneOn < first.startsOn;
  if (standing === 'partly-done' && !isRest) return fate('partly', reason);
  if (standing === 'not-possible') return fate('not-possible', reason);
  if (standing === 'skipped') return fate('passed-over', 'a later step was done without it');
  if (leftOut) return fate('left-out', leftOut.reason);
  if (last && !rangeHolds(span, last.startsOn)) return fate('moved', last.because[0] ?? '');
  if (last && last.lastDay >= today) return fate('to-come', '');
  return fate('not-done', reason);
}

/**
 * What was planned in a season by the plans that were in force during it, and what became of it, in the order of the
 * days first planned. Tasks that only go with the day of a burn are not counted by themselves.
 */
export function plannedFates(
  operation: Operation,
  plans: readonly Plan[],
  span: DateRange,
  propertyIds: ReadonlySet<number>,
  today: IsoDate,
): PlannedTaskFate[] {
  const chains = keptChains(operation.entries);
  const rows = [...plannedByKey(plansDuring(plans, span), span, propertyIds)].flatMap(
    ([key, planned]) => {
      const task = planned.first ?? planned.leftOut;
      if (!task || planned.first?.tiedToKey) return [];
      const answered = answerTo(operation, chains, task);
      const { propertyId, blockId, unitId, name, treatmentKey, family, areaAcres } = task;
      return [
        {
          ...{ key, propertyId, blockId, unitId, name, treatmentKey, family, areaAcres },
          startsOn: planned.first?.startsOn ?? null,
          lastDay: planned.first?.lastDay ?? null,
          doneOn: answered.doneOn,
          nowOn: planned.last?.startsOn ?? null,
          ...fateOf(planned, answered, span, today),
        },
      ];
    },
  );
  const order = (row: PlannedTaskFate) => `${row.startsOn ?? '9999'} ${row.key}`;
  return rows.sort((a, b) => (order(a) < order(b) ? -1 : 1));
}

/** Those that slipped: not done as planned, and not simply still to come. */
export function slipsOf(fates: readonly PlannedTaskFate[]): PlannedTaskFate[] {
  return fates.filter(({ fate }) => fate !== 'done' && fate !== 'to-come');
}
