import type { Block } from './blocks.ts';
import { burnInHand, papersOfBurn, standingCall } from './burn-papers.ts';
import { dateWords, type IsoDate } from './dates.ts';
import type { Operation } from './operation.ts';
import { type BurnStep, burnSteps, stepsLacking } from './papers.ts';
import { itemsOnFile, type ReadinessItem } from './readiness-items.ts';

function lackWords(lacking: readonly BurnStep[]): string {
  const names = lacking.map(({ name, problem, dueBy }) => {
    const why = problem === '' ? `due ${dueBy === null ? '' : dateWords(dueBy)}` : problem;
    return `${name} (${why})`;
  });
  return names.length === 0 ? '' : `not done: ${names.join(', ')}`;
}

/**
 * What a burn of the block needs, item by item, with what is missing in words: what is on file, and from the day on
 * which the boss calls a day also every step before a burn whose last day has come. A notice that was given and
 * time-stamped puts the notices on file. Everything there is still not leave to burn: that is the burn boss's call.
 */
export function readinessOf(operation: Operation, block: Block, today: IsoDate): ReadinessItem[] {
  const items = itemsOnFile(operation, block, today);
  const step = burnInHand(operation, block);
  const papers = papersOfBurn(operation, block, step?.key ?? null);
  if (papers.length === 0) return items;
  const steps = burnSteps(operation, block, today);
  const isCalled = standingCall(papers) !== null;
  const lacking = isCalled
    ? stepsLacking(steps, today).filter(({ countedFrom }) => countedFrom === 'called-day')
    : [];
  const isNoticeGiven = operation.burnSteps.some(
    ({ key, answeredBy }) =>
      answeredBy === 'notices' &&
      steps.some((one) => one.key === key && one.state === 'done' && one.done?.paperId != null),
  );
  return items.map((item) => {
    const isStamped = item.key === 'notices' && isNoticeGiven;
    const onFile = isStamped ? '' : item.missing;
    const lack = lackWords(lacking.filter(({ readiness }) => readiness === item.key));
    const missing = [onFile, lack].filter((part) => part !== '').join('; ');
    const mends = isStamped ? [] : item.mends;
    return { ...item, missing, isOnFile: missing === '', mends };
  });
}
