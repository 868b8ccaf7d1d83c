import type { Block } from './blocks.ts';
import { type ChainStep, chainOf, isTaskOfStep, treatmentOf, unitsOf } from './chains.ts';
import type { IsoDate } from './dates.ts';
import { burnKeys, entriesOfUnits, oncePerOperation } from './land-index.ts';
import type { Operation } from './operation.ts';
import type { Problem } from './problems.ts';
import type { WorkEntry } from './worklog.ts';

/** What every paper of a burn says. */
interface PaperBase {
  id: number;
  blockId: number;
  /** Units of the block when it was written: a paper is of these, not of what the block becomes. */
  unitIds: number[];
  /** Task key of the burn that it is for; null where the block has no burn in its sequence. */
  burnKey: string | null;
  /** Civil date at the property when it was written. */
  on: IsoDate;
  /** Local clock time then, `HH:MM`. */
  at: string;
  by: string;
}

/** A step of the list before a burn: done, or not needed here. */
export interface StepPaper extends PaperBase {
  kind: 'step';
  stepKey: string;
  isNeeded: boolean;
  /** Who was told or asked. */
  toWhom: string;
  note: string;
}

/** The burn boss called the day. */
export interface CallPaper extends PaperBase {
  kind: 'call';
  day: IsoDate;
  /** Local time of the first fire as planned, `HH:MM`; null = not said. */
  lightAt: string | null;
  note: string;
}

/** The day that was called is off. */
export interface CallOffPaper extends PaperBase {
  kind: 'call-off';
  day: IsoDate;
  reason: string;
}

export const callOutAnswers = ['yes', 'no', 'late'] as const;
export type CallOutAnswer = (typeof callOutAnswers)[number];

/** What somebody answered when asked to come to a burn. */
export interface CallOutPaper extends PaperBase {
  kind: 'call-out';
  personId: number;
  day: IsoDate;
  answer: CallOutAnswer;
}

export const patrolMoments = ['dry-windy-afternoon', 'soaking-rain'] as const;
export type PatrolMoment = (typeof patrolMoments)[number];

/** A look at a burn that is still open. */
export interface PatrolPaper extends PaperBase {
  kind: 'patrol';
  isClean: boolean;
  /** Weather since the fire that this look came after; null = neither of them. */
  after: PatrolMoment | null;
  /** Snags or slash still hold fire or may fall: the watch goes on longer. */
  hasSnagsOrSlash: boolean;
  note: string;
}

/** A burn was signed out before its checks were in. */
export interface EarlySignOutPaper extends PaperBase {
  kind: 'early-sign-out';
  reason: string;
}

export const unusedReasons = ['people', 'landowner', 'smoke', 'gear', 'ban', 'unsure'] as const;
export type UnusedReason = (typeof unusedReasons)[number];

/** Why a day that was fit was not used. */
export interface UnusedDayPaper extends PaperBase {
  kind: 'fit-day-not-used';
  day: IsoDate;
  reason: UnusedReason;
}

export const choiceKeys = ['late-season', 'wait', 're-treat', 'mulch'] as const;
export type ChoiceKey = (typeof choiceKeys)[number];

/** What was decided about a burn that could not be as planned. */
export interface ChoicePaper extends PaperBase {
  kind: 'choice';
  choice: ChoiceKey;
  reason: string;
}

/** A fact about a burn of a block that is no work of its own: told, called, asked, looked at, decided. */
export type BurnPaper =
  | StepPaper
  | CallPaper
  | CallOffPaper
  | CallOutPaper
  | PatrolPaper
  | EarlySignOutPaper
  | UnusedDayPaper
  | ChoicePaper;

type WithoutId<P> = P extends BurnPaper ? Omit<P, 'id'> : never;
export type NewBurnPaper = WithoutId<BurnPaper>;

const clockTime = /^([01]\d|2[0-3]):[0-5]\d$/;

/** What is wrong with a paper as entered; empty = it can be stored. */
export function checkBurnPaper(paper: NewBurnPaper): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `paper-${field}`, field, message });
  if (paper.by.trim() === '') say('by', 'Your name: write who says so.');
  if (!clockTime.test(paper.at)) say('at', 'Time: write hours and minutes, such as 09:30.');
  if (paper.kind === 'call' && paper.lightAt !== null && !clockTime.test(paper.lightAt))
    say('lightAt', 'First fire at: write hours and minutes, such as 12:30, or leave it blank.');
  if (paper.kind === 'call-off' && paper.reason.trim() === '')
    say('reason', 'Why: say in a few words why the day is off.');
  if (paper.kind === 'early-sign-out' && paper.reason.trim() === '')
    say('reason', 'Reason: say why the burn is out without the checks.');
  if (paper.kind === 'choice' && paper.reason.trim() === '')
    say('reason', 'Reason: say in a few words why.');
  if (paper.kind === 'step' && !paper.isNeeded && paper.note.trim() === '')
    say('note', 'Note: say why this step is not needed here.');
  return problems;
}

/** Entries of a planned fire of the block that nobody has signed out, oldest first. */
export const openFires = oncePerOperation((operation, block: Block): readonly WorkEntry[] => {
  const unitIds = unitsOf(operation, block).map((unit) => unit.id);
  return entriesOfUnits(operation.entries, unitIds)
    .filter(
      (entry) =>
        entry.signedOutOn === null &&
        entry.outcome !== 'not-possible' &&
        entry.fireCause === 'planned' &&
        burnKeys(operation.treatments).has(entry.treatmentKey),
    )
    .sort((a, b) => (a.doneOn < b.doneOn ? -1 : 1));
});

/**
 * The burn that a block has in hand: the one that is lit and not signed out, else the first of its chain that is
 * still to be done. Null without a burn in the sequence.
 */
export function burnInHand(
  operation: Operation,
  block: Block,
  chain: readonly ChainStep[] = chainOf(operation, block),
): ChainStep | null {
  const burns = chain.filter(
    ({ treatmentKeys }) => treatmentOf(operation, treatmentKeys[0] ?? '').family === 'burn',
  );
  const litOn = openFires(operation, block).at(-1)?.doneOn ?? null;
  const lit = litOn === null ? undefined : burns.find(({ doneOn }) => doneOn === litOn);
  const isOpen = ({ standing }: ChainStep) => standing !== 'done' && standing !== 'skipped';
  return lit ?? burns.find(isOpen) ?? null;
}

/** Papers of one burn of a block, oldest first. A paper of other units than the block has now is not its own. */
export function papersOfBurn(
  operation: Operation,
  block: Block,
  burnKey: string | null,
): BurnPaper[] {
  const unitIds = unitsOf(operation, block).map((unit) => unit.id);
  return operation.papers.filter(
    (paper) =>
      paper.blockId === block.id &&
      paper.burnKey === burnKey &&
      unitIds.every((id) => paper.unitIds.includes(id)),
  );
}

/** The call that stands for a burn: the newest one that was not called off since. */
export function standingCall(papers: readonly BurnPaper[]): CallPaper | null {
  const last = papers.findLast((paper) => paper.kind === 'call' || paper.kind === 'call-off');
  return last?.kind === 'call' ? last : null;
}

/** The newest decision about a burn; `key` may be that of its rest or of a piece. */
export function choiceOf(
  operation: Pick<Operation, 'papers'>,
  { key, blockId }: Pick<ChainStep, 'key' | 'blockId'>,
): ChoicePaper | null {
  const isOf = ({ burnKey }: BurnPaper) =>
    burnKey !== null &&
    isTaskOfStep(key, { key: burnKey, part: burnKey.slice(burnKey.lastIndexOf('/') + 1) });
  const found = operation.papers.findLast(
    (paper) => paper.kind === 'choice' && paper.blockId === blockId && isOf(paper),
  );
  return found?.kind === 'choice' ? found : null;
}

/** The treatment that was chosen for a burn of a chain in place of its default; null = none was. */
export function chosenTreatmentOf(
  operation: Pick<Operation, 'papers'>,
  step: Pick<ChainStep, 'key' | 'blockId' | 'treatmentKeys'>,
): string | null {
  if (operation.papers.length === 0) return null;
  const isLate = choiceOf(operation, step)?.choice === 'late-season';
  return isLate ? (step.treatmentKeys[1] ?? null) : null;
}

/** Days that were fit and were not used, and why; the newest reason of a block and day. */
export function unusedFitDays(
  operation: Operation,
): { blockId: number; day: IsoDate; reason: UnusedReason; by: string }[] {
  const newest = new Map<
    string,
    { blockId: number; day: IsoDate; reason: UnusedReason; by: string }
  >();
  for (const paper of operation.papers)
    if (paper.kind === 'fit-day-not-used') {
      const { blockId, day, reason, by } = paper;
      newest.set(`${blockId} ${day}`, { blockId, day, reason, by });
    }
  return [...newest.values()].sort((a, b) => (a.day < b.day ? -1 : 1));
}
