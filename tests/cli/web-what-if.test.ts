import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { checkPlan } from '../../src/core/check/plan.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { Problem } from '../../src/core/problems.ts';
import { type WhatIfChange, withChanges } from '../../src/core/what-if.ts';
import type { Deps } from '../../src/web/deps.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fileDeps } from '../support/file-deps.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';

const day = isoDate;
/** Small land is proven best long before that. */
const limits = { seed: 1, seconds: 20 };

function invented() {
  const operation = fakeOperation();
  // Each burn needs no more people than there are.
  operation.blocks = operation.blocks.map((block) => ({ ...block, burnPeopleLeast: 4 }));
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  return { file, deps: fileDeps(file) };
}

function idOf(deps: Deps, name: string, changes: readonly WhatIfChange[]): number {
  const added = deps.whatIf.add(name);
  const id = added.ok ? added.value : 0;
  for (const change of changes) expect(deps.whatIf.addChange(id, change)).toEqual([]);
  return id;
}

const isBusy = ({ whatIf }: Deps) =>
  whatIf.run()?.state === 'running' || whatIf.waiting().length > 0;

async function searched(deps: Deps, ...ids: number[]): Promise<void> {
  for (const id of ids) expect(deps.whatIf.search(id, limits)).toEqual([]);
  await expect.poll(() => isBusy(deps), { timeout: 60_000, interval: 50 }).toBe(false);
}

const codes = (problems: readonly Problem[]) => problems.map(({ code }) => code);

const away: WhatIfChange = {
  kind: 'crew-weeks',
  crewId: 1,
  isThere: false,
  from: day('2026-11-30'),
  until: day('2027-02-12'),
};
const longer: WhatIfChange = {
  kind: 'crew-weeks',
  crewId: 2,
  isThere: true,
  from: day('2027-02-01'),
  until: day('2027-02-12'),
};
const trailers: WhatIfChange = { kind: 'gear', gearKey: 'burn-trailer', count: 2 };
const wider: WhatIfChange = {
  kind: 'window',
  treatmentKey: 'dormant-burn',
  opensEarlierDays: 14,
  closesLaterDays: 0,
};
const dearer: WhatIfChange = { kind: 'weight', weight: 'latePerWeek', points: 40 };
const held: WhatIfChange = { kind: 'held', unitId: 1, untilYear: 2029, reason: 'oak seedlings' };

describe('searching', () => {
  test('the plan of each kind of change keeps every rule of the operation as it would be', async () => {
    const { file, deps } = invented();
    const each: WhatIfChange[] = [
      away,
      longer,
      { kind: 'crew-people', crewId: 1, peopleCount: 6 },
      trailers,
      { kind: 'fit-days', percent: 50 },
      { kind: 'fit-level', level: '9-of-10' },
      held,
      {
        kind: 'sequence',
        unitId: 4,
        sequenceKey: 'cedar-woodland',
        startsOn: fakeToday,
      },
      wider,
      dearer,
    ];
    const ids = each.map((change) => idOf(deps, change.kind, [change]));
    await searched(deps, ...ids);
    const operation = file.operation();
    const fitDaysAt = (level: 'half' | '7-of-10' | '9-of-10') =>
      file.store.fitDaysAt(operation, file.library, level);
    for (const [at, id] of ids.entries()) {
      const plan = deps.whatIf.plan(id);
      const changed = withChanges(operation, [each[at]!], fitDaysAt);
      expect(plan?.tasks.length, each[at]!.kind).toBeGreaterThan(0);
      expect(checkPlan(changed, plan!), each[at]!.kind).toEqual([]);
      const row = deps.whatIf.list().find((one) => one.id === id);
      expect(row?.solved?.summary.onTimeCount, each[at]!.kind).toBeGreaterThan(0);
    }
    // What it is for: with the home crew away all winter, and with half of the fit days, the plan is another one.
    const [without, hired] = ids.map((id) => deps.whatIf.plan(id)!);
    const inWinter = (plan: NonNullable<typeof without>) =>
      plan.tasks.flatMap((task) =>
        task.crewShares
          .filter(({ crewId }) => crewId === 1)
          .flatMap(({ days }) =>
            days.filter(({ date }) => date >= '2026-11-30' && date <= '2027-02-12'),
          ),
      );
    expect(inWinter(without!)).toEqual([]);
    expect(inWinter(hired!).length).toBeGreaterThan(0);
    file.close();
  }, 120_000);

  test('one at a time, in order, with drafts of the Plan page', async () => {
    const { file, deps } = invented();
    const first = idOf(deps, 'First', []);
    const second = idOf(deps, 'Second', [trailers]);
    expect(deps.whatIf.search(first, limits)).toEqual([]);
    expect(deps.whatIf.search(second, limits)).toEqual([]);
    expect(deps.whatIf.run()).toMatchObject({ whatIfId: first, state: 'running' });
    expect(deps.whatIf.waiting()).toEqual([second]);
    const draft = deps.planning.start(limits);
    expect(draft.ok ? [] : codes(draft.problems)).toEqual(['planning-running']);
    await searched(deps);
    expect(deps.whatIf.list().map(({ solved }) => solved !== null)).toEqual([true, true]);
    expect(deps.planning.start(limits).ok).toBe(true);
    expect(codes(deps.whatIf.search(first, limits))).toEqual(['planning-running']);
    await expect.poll(() => deps.planning.run()?.state, { timeout: 60_000 }).toBe('done');
    file.close();
  }, 120_000);

  test('changes made while it runs leave the old plan out', async () => {
    const { file, deps } = invented();
    const id = idOf(deps, 'Trailers', []);
    expect(deps.whatIf.search(id, limits)).toEqual([]);
    deps.whatIf.addChange(id, trailers);
    await searched(deps);
    expect(deps.whatIf.run()).toMatchObject({ state: 'failed' });
    expect(deps.whatIf.list()[0]?.solved).toBeNull();
    file.close();
  }, 60_000);

  test('a row that went out of use is said before the search', async () => {
    const { file, deps } = invented();
    const id = idOf(deps, 'Longer', [longer]);
    expect(deps.records.retire('crew', 2, true).kind).toBe('saved');
    await searched(deps, id);
    expect(deps.whatIf.run()).toMatchObject({
      state: 'failed',
      problems: [{ code: 'what-if-crewId' }],
    });
    file.close();
  });
});

describe('adopting', () => {
  test('writes the changes as their own forms would, and puts the plan in force', async () => {
    const { file, deps } = invented();
    const id = idOf(deps, 'More of all', [longer, trailers, wider, dearer, held]);
    await searched(deps, id);
    const plan = deps.whatIf.plan(id);
    expect(deps.whatIf.adopt(id)).toEqual([]);
    expect(deps.plans.inForce()?.content).toEqual(plan);
    const { crews, gear, treatments, settings, blocks } = file.operation();
    expect(crews[1]?.onSpans).toEqual([{ startsOn: '2026-11-16', endsBefore: '2027-02-13' }]);
    expect(gear[0]?.count).toBe(2);
    const burn = treatments.find(({ key }) => key === 'dormant-burn');
    expect(burn).toMatchObject({
      windows: [{ opens: { anchor: 'leaf-fall', plusDays: -7 } }],
      windowSource: { status: 'default-to-edit' },
    });
    expect(settings.weights.latePerWeek).toBe(40);
    expect(blocks[0]).toMatchObject({ heldUntilYear: 2029, heldReason: 'oak seedlings' });
    expect(deps.plans.staleBecause()).toEqual([]);
    expect(deps.whatIf.list()).toEqual([]);
    file.close();
  }, 60_000);

  test('refuses what is only supposed, what is not searched, and what is gone', async () => {
    const { file, deps } = invented();
    const wet = idOf(deps, 'Dry year', [{ kind: 'fit-days', percent: 150 }]);
    const open = idOf(deps, 'Open', [trailers]);
    await searched(deps, wet);
    expect(codes(deps.whatIf.adopt(wet))).toEqual(['what-if-supposed']);
    expect(codes(deps.whatIf.adopt(open))).toEqual(['what-if-not-searched']);
    deps.whatIf.remove(open);
    expect(codes(deps.whatIf.adopt(open))).toEqual(['what-if-gone']);
    expect(deps.plans.inForce()).toBeNull();
    file.close();
  }, 60_000);

  test('a plan that no longer fits leaves everything as it was', async () => {
    const { file, deps } = invented();
    const id = idOf(deps, 'Trailers', [trailers]);
    await searched(deps, id);
    expect(deps.whatIf.changedSince(id)).toEqual([]);
    deps.land.updateCrew(1, { daysOff: [{ startsOn: fakeToday, endsBefore: day('2029-07-01') }] });
    expect(deps.whatIf.changedSince(id)).toEqual(['Home crew was changed.']);
    expect(codes(deps.whatIf.adopt(id))[0]).toBe('what-if-no-longer-fits');
    expect(file.operation().gear[0]?.count).toBe(1);
    expect(deps.plans.inForce()).toBeNull();
    expect(deps.plans.draft()).toBeNull();
    expect(deps.whatIf.list()[0]?.solved).not.toBeNull();
    file.close();
  }, 60_000);
});
