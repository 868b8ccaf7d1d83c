import { existsSync, readdirSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { runAs } from '../../src/cli/person.ts';
import { type ChangeGroup, everyChange } from '../../src/core/change-log.ts';
import { isoDate } from '../../src/core/dates.ts';
import { verifyDatabase } from '../../src/storage/backup.ts';
import type { Deps } from '../../src/web/deps.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fileDeps } from '../support/file-deps.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';

/** The invented operation with its plan in force, as pages see it. */
function invented() {
  const operation = fakeOperation();
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  const draft = file.store.plans.saveDraft(fakePlan().content, file.store.revision());
  file.store.plans.adopt(draft.id, () => file.publish());
  return {
    file,
    deps: fileDeps(file),
  };
}

type Person = NonNullable<Parameters<typeof runAs>[0]>;

const person = (role: Person['role'], propertyIds: number[] | null): Person => ({
  id: 7,
  name: 'Dana',
  role,
  propertyIds,
  ...({ landownerId: null } as object),
});

function newest(deps: Deps): ChangeGroup {
  const [group] = deps.changeLog.list(everyChange, 1).groups;
  if (!group) throw new Error('nothing is logged');
  return group;
}

const [firstUnit] = fakeOperation().units;
const unitId = firstUnit?.id ?? 0;
const propertyId = firstUnit?.propertyId ?? 0;

describe('who sees and takes back what', () => {
  test('a change is under the name of the person whose request it was', () => {
    const { deps } = invented();
    runAs(person('planner', null), () => deps.land.updateUnit(unitId, { name: 'New name' }, true));
    expect(newest(deps)).toMatchObject({ person: 'Dana', personId: 7 });
    expect(deps.changeLog.people()).toEqual(['Dana']);
    const other = { ...person('crew-lead', [propertyId]), name: 'Robin' };
    expect(runAs(other, deps.changeLog.people)).toEqual(['Robin']);
  });

  test('changes of other properties, and of what concerns all, are not shown to a limited person', () => {
    const { deps } = invented();
    const { settings } = deps.operation();
    deps.land.updateUnit(unitId, { name: 'New name' }, true);
    const ofUnit = newest(deps);
    deps.land.updateSettings({ ...settings, seasonsAfter: 1 });
    const ofSettings = newest(deps);
    const titles = (who: Person) =>
      runAs(who, () => deps.changeLog.list(everyChange, 1).groups.map(({ id }) => id));
    const foreign = person('planner', [propertyId + 1000]);
    expect(titles(foreign)).toEqual([]);
    expect(runAs(foreign, () => deps.changeLog.group(ofUnit.id))).toBeNull();
    expect(titles(person('crew-lead', [propertyId]))).toEqual([ofUnit.id]);
    expect(titles(person('planner', null))).not.toContain(ofSettings.id);
    expect(titles(person('administrator', null))).toContain(ofSettings.id);
  });

  test('a crew lead takes back entries, not land', () => {
    const { deps } = invented();
    const lead = person('crew-lead', [propertyId]);
    deps.land.updateUnit(unitId, { name: 'New name' }, true);
    const land = newest(deps);
    const refused = runAs(lead, () => deps.changeLog.undo(land.changes, 'Back.', true));
    expect(refused).toMatchObject({ kind: 'refused', problems: [{ code: 'undo-role' }] });
    const [entry] = deps.operation().entries;
    if (!entry) throw new Error('no entry');
    deps.worklog.remove(entry.id);
    const removal = newest(deps);
    expect(runAs(lead, () => deps.changeLog.undo(removal.changes, 'Back.', true)).kind).toBe(
      'saved',
    );
    expect(deps.operation().entries).toContainEqual(entry);
  });
});

test('what would break planned work is asked about before it is taken back', () => {
  const { deps, file } = invented();
  const plan = file.store.plans.inForce();
  const task = plan?.content.tasks.find(({ crewIds }) => crewIds.length > 0);
  if (!task) throw new Error('no task');
  const crew = deps.operation().crews.find(({ id }) => task.crewIds.includes(id));
  if (!crew) throw new Error('no crew');
  const gone = { startsOn: task.startsOn, endsBefore: isoDate('2030-01-01') };
  deps.land.updateCrew(crew.id, { daysOff: [gone] }, true);
  const { changes } = newest(deps);
  deps.land.updateCrew(crew.id, { daysOff: [] }, true);
  // Taken back twice: the days off come again, and the planned task would fall on them.
  const again = newest(deps);
  expect(changes[0]?.id).toBeLessThan(again.changes[0]?.id ?? 0);
  const asked = deps.changeLog.undo(again.changes, 'Back.', false);
  expect(asked.kind).toBe('breaks');
  expect(deps.operation().crews.find(({ id }) => id === crew.id)?.daysOff).toEqual([]);
  expect(deps.changeLog.undo(again.changes, 'Back.', true).kind).toBe('saved');
  expect(deps.operation().crews.find(({ id }) => id === crew.id)?.daysOff).toEqual([gone]);
});

test('a copy is kept before everything is replaced, and the log says where', () => {
  const folder = temporaryFolder();
  const path = join(folder, 'work.db');
  const file = openOperationFile(path, fakeToday);
  const deps = fileDeps(file);
  const place = { state: 'MO', county: 'Marl', timeZone: 'America/Chicago' };
  const own = { ...place, landownerName: 'O', name: 'Still', latitude: 37, longitude: -92 };
  deps.land.startOwn(own);
  expect(existsSync(join(folder, 'backups'))).toBe(false);
  deps.land.startOwn({ ...own, name: 'Other' });
  const [name = ''] = readdirSync(join(folder, 'backups'));
  expect(name).toMatch(/^work-kept-\d{8}T\d{6}Z\.db$/);
  verifyDatabase(join(folder, 'backups', name));
  expect(deps.changeLog.list(everyChange, 1).groups.map(({ what }) => what)).toEqual([
    `Everything was replaced. What was there before is kept in the folder backups beside the database, as ${name}.`,
  ]);
  const kept = openOperationFile(join(folder, 'backups', name), fakeToday);
  expect(kept.operation().properties.map((one) => one.name)).toEqual(['Still']);
  kept.close();
  file.close();
});
