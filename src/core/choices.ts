import type { Block } from './blocks.ts';
import { projectStep, workOf } from './burn-dates.ts';
import { burnInHand, type ChoiceKey, type NewBurnPaper } from './burn-papers.ts';
import { chainOn } from './chain-renewal.ts';
import {
  type ChainStep,
  chainOf,
  isTaskOfStep,
  sequenceOf,
  treatmentOf,
  unitsOf,
} from './chains.ts';
import { runningCures } from './cures.ts';
import { dateWords, daysBetween, type IsoDate, yearOf } from './dates.ts';
import { entriesOfUnits } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { PlanContent } from './plans.ts';
import { lastFireThatCounts, overdueAfter, rotationOf } from './rotation.ts';
import { burningSeasonStart } from './seasons.ts';
import type { PlannedTask } from './tasks.ts';
import type { WorkEntry } from './worklog.ts';

/** What went wrong with the burn of a block; `none`: nothing did, the choices may be looked at all the same. */
export interface Situation {
  kind: 'would-not-carry' | 'use-by-passed' | 'missed-window' | 'left-out' | 'none';
  /** A sentence. */
  words: string;
}

/** What a choice comes to, tried on the land as it stands. */
export interface ChoiceTrial {
  key: ChoiceKey | 'as-it-stands';
  name: string;
  /** Why it can not be chosen; empty = it can. */
  whyNot: string;
  /** Work before the burn, with its first and last day, crew days in tenths, and contract money. */
  work: { name: string; startsOn: IsoDate; crewDaysTenths: number; costUsd: number } | null;
  /** The next burn at the soonest and the last day of its season; null = none within six years. */
  burn: { name: string; startsOn: IsoDate; lastDay: IsoDate } | null;
  /** Years since the last fire that counts on that day; null without one on record. */
  yearsSince: number | null;
  /** Days that the burn would come after the target interval, and after the longest one; 0 = in time. */
  lateDays: number;
  overDays: number;
  /** The burn would come after the use-by of the fuel that lies there. */
  isPastUseBy: boolean;
}

export const choiceNames: Record<ChoiceTrial['key'], string> = {
  'as-it-stands': 'Leave it as it stands',
  'late-season': 'Burn late in the growing season',
  wait: 'Wait a year',
  're-treat': 'Fell again',
  mulch: 'Mulch it',
};

/** Sequence that starts with the work again. */
const freshSequence = { 're-treat': 'cedar-again', mulch: 'cedar-mulched' } as const;

const isBurn = (operation: Operation, key: string) => treatmentOf(operation, key).family === 'burn';

/** The newest entry of the block's present season that says the burn, or a check before it, was not possible. */
function refusal(operation: Operation, block: Block, today: IsoDate): WorkEntry | null {
  const property = operation.properties.find((one) => one.id === block.propertyId);
  if (!property) return null;
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  const since = burningSeasonStart(today, property.burningSeasonStart);
  const asked = new Set(
    (sequenceOf(operation, block)?.steps ?? [])
      .filter((step) => {
        const family = treatmentOf(operation, step.treatmentKeys[0] ?? '').family;
        return family === 'burn' || family === 'monitor';
      })
      .flatMap((step) => step.treatmentKeys),
  );
  const checks = ['fuel-check', 'cure-check'];
  const newest = entriesOfUnits(operation.entries, unitIds)
    .filter(({ doneOn }) => doneOn >= since && doneOn <= today)
    .filter(({ treatmentKey }) => asked.has(treatmentKey))
    .filter(({ treatmentKey }) => checks.includes(treatmentKey) || isBurn(operation, treatmentKey))
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : 1))
    .at(-1);
  return newest?.outcome === 'not-possible' ? newest : null;
}

/** What went wrong with the burn that a block has in hand, the gravest first. */
export function situationOf(
  operation: Operation,
  block: Block,
  plan: PlanContent | null,
  today: IsoDate,
  chain: readonly ChainStep[] = chainOf(operation, block),
): Situation {
  const step = burnInHand(operation, block, chain);
  const past = runningCures(operation, block, chain).find(({ useByOn }) => useByOn < today);
  if (past)
    return {
      kind: 'use-by-passed',
      words: `The fuel felled on ${dateWords(past.felledOn)} was to be burned by ${dateWords(past.useByOn)}, and was not.`,
    };
  const refused = refusal(operation, block, today);
  if (refused) {
    const name = treatmentOf(operation, refused.treatmentKey).name.toLowerCase();
    const reason = refused.reason.trim();
    return {
      kind: 'would-not-carry',
      words: `On ${dateWords(refused.doneOn)} the ${name} was not possible${reason === '' ? '' : `: ${reason}`}.`,
    };
  }
  const isOwn = ({ key, blockId, family }: Pick<PlannedTask, 'key' | 'blockId' | 'family'>) =>
    blockId === block.id && family === 'burn' && step !== null && isTaskOfStep(key, step);
  const task = plan?.tasks.find(isOwn);
  if (task && task.lastDay < today)
    return {
      kind: 'missed-window',
      words: `The burn was planned until ${dateWords(task.lastDay)}, and the work log has no fire.`,
    };
  const left = plan?.leftOut.find(isOwn);
  if (left) return { kind: 'left-out', words: `The plan leaves the burn out: ${left.reason}` };
  return { kind: 'none', words: 'Nothing stands against the burn as it is planned.' };
}

const daysInYear = 365.2425;

/** Oldest of the last fires of the units: the block is as late as its latest unit. */
function lastFireOf(operation: Operation, block: Block, today: IsoDate): IsoDate | null {
  const days = unitsOf(operation, block).map(
    (unit) => lastFireThatCounts(operation, unit, today)?.doneOn ?? null,
  );
  return days.includes(null) ? null : (days.filter((day) => day !== null).sort()[0] ?? null);
}

/** The land as it would be with the choice taken. */
export function withChoice(
  operation: Operation,
  block: Block,
  choice: ChoiceKey,
  today: IsoDate,
): Operation {
  const change = blockChangeOf(operation, block, choice, today, '');
  const blocks = operation.blocks.map((one) => (one.id === block.id ? { ...one, ...change } : one));
  const step = burnInHand(operation, block);
  const paper: NewBurnPaper = {
    kind: 'choice',
    choice,
    reason: '',
    blockId: block.id,
    unitIds: unitsOf(operation, block).map((unit) => unit.id),
    burnKey: step?.key ?? null,
    on: today,
    at: '00:00',
    by: '',
  };
  return { ...operation, blocks, papers: [...operation.papers, { ...paper, id: 0 }] };
}

/** What a choice changes on the block itself; a late-season burn changes nothing but the wish of this burn. */
export function blockChangeOf(
  operation: Operation,
  block: Block,
  choice: ChoiceKey,
  today: IsoDate,
  reason: string,
): Partial<Block> {
  if (choice === 'late-season') return {};
  if (choice === 'wait') {
    const property = operation.properties.find((one) => one.id === block.propertyId);
    const start = property && burningSeasonStart(today, property.burningSeasonStart);
    return { heldUntilYear: yearOf(start ?? today) + 1, heldReason: reason };
  }
  return { sequenceKey: freshSequence[choice], sequenceStartsOn: today, firstCycle: 1 };
}

function cutBefore(operation: Operation, block: Block, burn: ChainStep, chain: ChainStep[]) {
  const lags = sequenceOf(operation, block)?.steps.find((one) => one.key === burn.stepKey)?.lags;
  return chain.find(
    (step) =>
      step.cycle === burn.cycle &&
      lags?.some((lag) => lag.cycle === 'same' && lag.afterStepKey === step.stepKey) &&
      treatmentOf(operation, step.treatmentKeys[0] ?? '').family === 'cut',
  );
}

function whyNotOf(
  operation: Operation,
  block: Block,
  choice: ChoiceKey,
  burn: ChainStep,
  chain: ChainStep[],
): string {
  if (choice === 'late-season') {
    const late = burn.treatmentKeys[1];
    return late && isBurn(operation, late)
      ? ''
      : 'The sequence of this block has no late-season burn as another way of this step.';
  }
  if (choice === 'wait') return '';
  const key = freshSequence[choice];
  if (!operation.sequences.some((one) => one.key === key))
    return 'The sequence for this is out of use: bring it back under Sequences.';
  if (!cutBefore(operation, block, burn, chain) && block.sequenceKey !== 'cedar-again')
    return 'Nothing was felled for this burn, so there is nothing to treat again.';
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  const isUsed = operation.entries.some(
    ({ unitId, taskKey }) => unitIds.has(unitId) && taskKey?.split('/')[1] === key,
  );
  return isUsed || block.sequenceKey === key
    ? 'This block went through this once already: make a sequence of its own for another time.'
    : '';
}

function trialOf(
  operation: Operation,
  block: Block,
  key: ChoiceTrial['key'],
  whyNot: string,
  today: IsoDate,
  useByOn: IsoDate | null,
): ChoiceTrial {
  const none = { key, name: choiceNames[key], whyNot, work: null, burn: null, yearsSince: null };
  const late = { lateDays: 0, overDays: 0, isPastUseBy: false };
  if (whyNot !== '') return { ...none, ...late };
  const tried = key === 'as-it-stands' ? operation : withChoice(operation, block, key, today);
  const own = tried.blocks.find((one) => one.id === block.id) ?? block;
  const chain = chainOn(tried, own, today);
  const step = burnInHand(tried, own, chain);
  const next = step && projectStep(tried, own, chain, step, today);
  const cut = chain.find(
    (one) =>
      one.standing === 'to-do' &&
      one.cycle === step?.cycle &&
      treatmentOf(tried, one.treatmentKeys[0] ?? '').family === 'cut',
  );
  const cutAt =
    cut && (key === 're-treat' || key === 'mulch')
      ? projectStep(tried, own, chain, cut, today)
      : null;
  const same = cut
    ? chain.filter((one) => one.stepKey === cut.stepKey && one.cycle === cut.cycle)
    : [];
  const works = cutAt
    ? same.map((one) => workOf(tried, own, treatmentOf(tried, cutAt.treatmentKey), one.areaAcres))
    : [];
  const lastFire = lastFireOf(operation, block, today);
  const rotation = rotationOf(operation, block);
  const after = (day: IsoDate) => (next ? Math.max(0, daysBetween(day, next.startsOn)) : 0);
  const isFresh = key === 're-treat' || key === 'mulch';
  return {
    key,
    name: choiceNames[key],
    whyNot,
    work: cutAt && {
      name: treatmentOf(tried, cutAt.treatmentKey).name,
      startsOn: cutAt.startsOn,
      crewDaysTenths: works.reduce((sum, one) => sum + one.tenths, 0),
      costUsd: works.reduce((sum, one) => sum + one.costUsd, 0),
    },
    burn: next && {
      name: treatmentOf(tried, next.treatmentKey).name,
      startsOn: next.startsOn,
      lastDay: next.lastDay,
    },
    yearsSince:
      lastFire && next
        ? Math.round((daysBetween(lastFire, next.startsOn) / daysInYear) * 10) / 10
        : null,
    lateDays: lastFire && rotation ? after(overdueAfter(lastFire, rotation.targetYears)) : 0,
    overDays: lastFire && rotation ? after(overdueAfter(lastFire, rotation.mostYears)) : 0,
    isPastUseBy: !isFresh && useByOn !== null && next !== null && next.startsOn > useByOn,
  };
}

/**
 * The choices for the burn that a block has in hand, each tried on the land as it is: its soonest dates, the interval
 * since fire, and the work that it adds. A whole plan may move more: crews, fit days and other blocks are not
 * looked at here. Empty where the block has no burn to come.
 */
export function choicesOf(operation: Operation, block: Block, today: IsoDate): ChoiceTrial[] {
  const chain = chainOf(operation, block);
  const burn = burnInHand(operation, block, chain);
  if (!burn || burn.standing === 'done') return [];
  const useByOn = runningCures(operation, block, chain)[0]?.useByOn ?? null;
  const keys: ChoiceKey[] = ['late-season', 'wait', 're-treat', 'mulch'];
  return [
    trialOf(operation, block, 'as-it-stands', '', today, useByOn),
    ...keys.map((key) =>
      trialOf(operation, block, key, whyNotOf(operation, block, key, burn, chain), today, useByOn),
    ),
  ];
}
