import { type ChoicePaper, checkBurnPaper, type NewBurnPaper } from '../core/burn-papers.ts';
import { blockChangeOf, choiceNames } from '../core/choices.ts';
import type { Problem } from '../core/problems.ts';
import type { Deps } from '../web/deps.ts';
import type { OperationFile } from './operation-file.ts';

/** Takes a decision about a burn: what it changes on the block, and the paper that says who decided and why. */
function choose(file: OperationFile, paper: Omit<ChoicePaper, 'id'>): Problem[] {
  const { store, library } = file;
  const block = file.operation().blocks.find((one) => one.id === paper.blockId);
  if (!block) return [{ code: 'block-unknown', message: 'This block is not on record any more.' }];
  const problems = checkBurnPaper(paper);
  if (problems.length > 0) return problems;
  const change = blockChangeOf(file.operation(), block, paper.choice, paper.on, paper.reason);
  const decision = `${block.code}: "${choiceNames[paper.choice].toLowerCase()}" was chosen (${paper.reason.trim()}).`;
  return store.inOneTransaction((): Problem[] => {
    const refused =
      Object.keys(change).length === 0 ? [] : store.updateBlock(block.id, change, library);
    if (refused.length > 0) return refused;
    const added = store.papers.add(paper, decision);
    return added.ok ? [] : added.problems;
  });
}

/** What people say of burns, as pages write it. */
export function webPapers(file: OperationFile): Deps['papers'] {
  return {
    add: (paper: NewBurnPaper) => file.store.papers.add(paper),
    takeBack: ({ id }) => file.store.papers.takeBack(id),
    choose: (paper) => choose(file, paper),
  };
}
