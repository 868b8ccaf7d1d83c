import type { Problem } from '../../core/problems.ts';
import type { Deps } from '../deps.ts';
import { type Shell, shellOf } from './shell.ts';

export interface WholeOperationPage {
  shell: Shell;
  unitCount: number;
  entryCount: number;
  problems: Problem[];
  /** Problems that the page leaves off. */
  moreProblems: number;
  isTaken: boolean;
}

/** Problems that the page lists. */
const problemsMost = 30;

/** The whole operation as one document: to keep or move, and to put in the place of what is here. */
export function wholeOperationPage(
  deps: Deps,
  outcome: { problems: Problem[]; isTaken: boolean },
): WholeOperationPage {
  const { units, entries } = deps.operation();
  const problems = outcome.problems.slice(0, problemsMost);
  return {
    shell: shellOf(deps, 'more', 'Everything in one file'),
    unitCount: units.length,
    entryCount: entries.length,
    problems,
    moreProblems: outcome.problems.length - problems.length,
    isTaken: outcome.isTaken,
  };
}
