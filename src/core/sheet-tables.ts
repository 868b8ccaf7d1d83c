import type { Source } from './sources.ts';

/** What to do, step by step, for one treatment; `key` is the treatment's. */
export interface Instruction extends Source {
  key: string;
  steps: string[];
}

/** One of the elements that a signed burn plan has; the program does not write them. */
export interface PlanElementRow extends Source {
  key: string;
  name: string;
  /** What the plan answers there. */
  question: string;
}

/** A line of a list that people tick on paper. */
export interface BurnListRow extends Source {
  key: string;
  list: 'briefing' | 'patrol';
  text: string;
}

/** Reference tables that printed sheets are made from. */
export interface SheetTables {
  instructions: readonly Instruction[];
  planElements: readonly PlanElementRow[];
  burnLists: readonly BurnListRow[];
}

export const noSheetTables: SheetTables = { instructions: [], planElements: [], burnLists: [] };
