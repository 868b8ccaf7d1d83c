import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webPapers } from '../../src/cli/web-papers.ts';
import type { ChoicePaper, NewBurnPaper } from '../../src/core/burn-papers.ts';

import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeEntry, fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';

/** The invented operation with its plan in force. */
function invented() {
  const operation = fakeOperation();
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  const draft = file.store.plans.saveDraft(fakePlan().content, file.store.revision());
  file.store.plans.adopt(draft.id, () => file.publish());
  const stale = () => file.store.plans.changesSince(file.store.plans.inForce()!.id);
  return { file, papers: webPapers(file), stale };
}

const base = {
  blockId: 1,
  unitIds: [1],
  burnKey: 'block:1/cedar-woodland/burn/2/-',
  on: fakeToday,
  at: '09:00',
  by: 'Ada Fenn',
};
const told: NewBurnPaper = {
  ...base,
  kind: 'step',
  stepKey: 'neighbors',
  isNeeded: true,
  toWhom: 'R. Pell',
  note: '',
};
const waits: Omit<ChoicePaper, 'id'> = {
  ...base,
  kind: 'choice',
  choice: 'wait',
  reason: 'would not carry',
};

describe('papers of burns', () => {
  test('are kept as written, taken back, and make no plan out of date', () => {
    const { file, papers, stale } = invented();
    const before = file.store.revision();
    const added = papers.add(told);
    expect(added).toMatchObject({ ok: true });
    const [kept] = file.operation().papers;
    expect(kept).toMatchObject(told);
    expect(file.store.revision()).toBeGreaterThan(before);
    expect(stale()).toEqual([]);
    expect(papers.takeBack(kept!)).toEqual([]);
    expect(file.operation().papers).toEqual([]);
    expect(papers.takeBack(kept!)).toMatchObject([{ code: 'paper-unknown' }]);
  });

  test('are not kept when something is missing', () => {
    const { file, papers } = invented();
    expect(papers.add({ ...told, by: '' })).toMatchObject({
      ok: false,
      problems: [{ field: 'by' }],
    });
    expect(file.operation().papers).toEqual([]);
  });

  test('come back with the land that they were saved with', () => {
    const { file, papers } = invented();
    papers.add(told);
    const land = file.store.landContent();
    const other = openOperationFile(':memory:', fakeToday, file.library);
    other.store.replaceLand(land);
    expect(other.store.landContent()).toEqual(land);
    expect(other.operation().papers).toHaveLength(1);
  });

  test('of a block out of use are not in the operation', () => {
    const { file, papers } = invented();
    papers.add(told);
    file.store.records.retire('unit', 1, file.library);
    expect(file.operation().papers).toEqual([]);
  });
});

describe('a choice', () => {
  test('changes the block, is kept, and the plan in force says why it is out of date', () => {
    const { file, papers, stale } = invented();
    expect(papers.choose(waits)).toEqual([]);
    const [block] = file.operation().blocks;
    expect(block).toMatchObject({ heldUntilYear: 2027, heldReason: 'would not carry' });
    expect(file.operation().papers).toMatchObject([{ kind: 'choice', choice: 'wait' }]);
    expect(stale().join(' ')).toContain('N1: "wait a year" was chosen (would not carry).');
  });

  test('of a late-season burn changes nothing on the block, and the plan is out of date all the same', () => {
    const { file, papers, stale } = invented();
    const [before] = file.operation().blocks;
    expect(papers.choose({ ...waits, choice: 'late-season' })).toEqual([]);
    expect(file.operation().blocks[0]).toEqual(before);
    expect(stale()).toHaveLength(1);
  });

  test('that the block can not take is not kept', () => {
    const { file, papers } = invented();
    // The invented library has no such sequence.
    expect(papers.choose({ ...waits, choice: 'mulch' })).not.toEqual([]);
    expect(file.operation().papers).toEqual([]);
    expect(papers.choose({ ...waits, blockId: 99 })).toMatchObject([{ code: 'block-unknown' }]);
    expect(papers.choose({ ...waits, reason: '' })).toMatchObject([{ field: 'reason' }]);
  });
});

test('an entry of the log makes the plan in force out of date, in words', () => {
  const { file, stale } = invented();
  const { id: _id, ...entry } = fakeEntry(0, 1, 'dormant-burn', '2026-11-08');
  expect(file.store.worklog.record(entry, file.library).ok).toBe(true);
  expect(stale().join(' ')).toMatch(/N1/);
});
