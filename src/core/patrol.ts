import type { Block } from './blocks.ts';
import { openFires, type PatrolPaper } from './burn-papers.ts';
import { chainOf, treatmentOf, unitsOf } from './chains.ts';
import { addDays, dateWords, type IsoDate } from './dates.ts';
import type { Operation } from './operation.ts';
import type { Problem } from './problems.ts';
import type { WorkEntry } from './worklog.ts';

/**
 * What lets a burn be signed out: clean looks on so many different days, one of them after the next dry windy afternoon
 * or a soaking rain; with snags or slash one not before so many days after the fire. Practice judgement; that most
 * escapes come in the days after is read in the Missouri fire-needs report 2025, and patrol on the third day where
 * it is woody is our own judgement.
 */
export const signOutRule = { cleanDaysLeast: 2, longWatchDays: 3 } as const;

/** How the watch of an open burn stands. */
export interface Watch {
  litOn: IsoDate;
  /** Looks since the fire, oldest first. */
  checks: PatrolPaper[];
  /** Different days of the clean looks since the last one that was not clean. */
  cleanDays: IsoDate[];
  /** Snags or slash were seen, or felled wood lay in it. */
  isLong: boolean;
  /** What a sign-out still lacks, in words; empty = nothing. */
  missing: string[];
}

/** True when the cycle of the burn that was lit felled something first: its slash holds fire. */
function hasFelledWood(operation: Operation, block: Block, litOn: IsoDate): boolean {
  const chain = chainOf(operation, block);
  const familyOf = (key: string | undefined) => treatmentOf(operation, key ?? '').family;
  const burn = chain.find(
    ({ doneOn, treatmentKeys }) => doneOn === litOn && familyOf(treatmentKeys[0]) === 'burn',
  );
  return chain.some(
    ({ cycle, doneOn, treatmentKeys }) =>
      cycle === burn?.cycle && doneOn !== null && familyOf(treatmentKeys[0]) === 'cut',
  );
}

/** The watch over a block's open burn; null when none is open. */
export function watchOf(operation: Operation, block: Block): Watch | null {
  const litOn = openFires(operation, block).at(-1)?.doneOn;
  if (litOn === undefined) return null;
  const unitIds = new Set(unitsOf(operation, block).map((unit) => unit.id));
  const checks = operation.papers.filter(
    (paper): paper is PatrolPaper =>
      paper.kind === 'patrol' &&
      paper.on >= litOn &&
      (paper.blockId === block.id || paper.unitIds.some((id) => unitIds.has(id))),
  );
  const lastFoul = checks.findLastIndex((check) => !check.isClean);
  const clean = checks.slice(lastFoul + 1);
  const cleanDays = [...new Set(clean.map((check) => check.on))];
  const isLong =
    checks.some((check) => check.hasSnagsOrSlash) || hasFelledWood(operation, block, litOn);
  const longFrom = addDays(litOn, signOutRule.longWatchDays);
  const left = signOutRule.cleanDaysLeast - cleanDays.length;
  const missing = [
    left > 0 ? `${left} more clean ${left === 1 ? 'check' : 'checks'} on another day` : '',
    clean.some((check) => check.after !== null)
      ? ''
      : 'a clean check after the next dry windy afternoon or a soaking rain',
    isLong && !clean.some((check) => check.on >= longFrom)
      ? `a clean check on ${dateWords(longFrom)} or later, because of snags or slash`
      : '',
  ].filter((part) => part !== '');
  return { litOn, checks, cleanDays, isLong, missing };
}

/**
 * Why the open burn of a block can not be signed out on a day; empty = it can. Before its checks are in only a reason
 * lets it, which is kept. The burn boss decides all the same.
 */
export function signOutProblems(
  operation: Operation,
  block: Block,
  signedOutOn: IsoDate,
  reason: string,
): Problem[] {
  const watch = watchOf(operation, block);
  if (!watch) return [{ code: 'no-fire', message: 'No fire of this block is open.' }];
  const last = watch.checks.at(-1)?.on ?? watch.litOn;
  if (signedOutOn < last) {
    const message =
      'Signed out on: write the day of the burn, or of the last check, or a later one.';
    return [{ code: 'signed-out-early', field: 'signedOutOn', message }];
  }
  if (watch.missing.length === 0 || reason.trim() !== '') return [];
  const message = `Reason: the watch still lacks ${watch.missing.join('; ')}. Say why the burn is out all the same, or leave it open.`;
  return [{ code: 'watch-short', field: 'reason', message }];
}

/** Days after a fire in which its watch is asked about when the log signs it out. Practice judgement, no source. */
const watchAskedDays = 14;

/**
 * Why an entry that is written or corrected can not sign out a fire of the last days: its checks are on the page of its
 * burn; in the log only a reason does. `before`: what the entry was.
 */
export function unwatchedProblems(
  entry: Pick<WorkEntry, 'fireCause' | 'signedOutOn' | 'doneOn' | 'reason'>,
  before: Pick<WorkEntry, 'signedOutOn'> | null,
  today: IsoDate,
): Problem[] {
  const { fireCause, signedOutOn, doneOn, reason } = entry;
  if (fireCause !== 'planned' || signedOutOn === null || reason.trim() !== '') return [];
  if (before?.signedOutOn === signedOutOn || doneOn < addDays(today, -watchAskedDays)) return [];
  const message =
    'Signed out on: a fire of the last two weeks is signed out on the page of its burn, after its checks. Leave this blank, or say under Reason why it is out without them.';
  return [{ code: 'watch-short', field: 'signedOutOn', message }];
}
