import { join } from 'node:path';
import Database from 'better-sqlite3';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { changedColumns, everyChange, removedKeptDays } from '../../src/core/change-log.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { openDatabase } from '../../src/storage/database.ts';
import { loggedTables, unloggedTables } from '../../src/storage/row-log.ts';
import { openStore } from '../../src/storage/store.ts';
import { fakeOperation } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { temporaryFolder } from '../support/temporary-folder.ts';
import { clockAt, contentOf, libraryOf, storeWithLand } from './fixtures.ts';

const library = libraryOf(fakeOperation());

const entry: Omit<WorkEntry, 'id'> = {
  unitId: fakeOperation().units[0]?.id ?? 0,
  treatmentKey: library.treatments[0]?.key ?? '',
  taskKey: null,
  startedOn: null,
  doneOn: isoDate('2026-11-02'),
  precision: 'day',
  outcome: 'done',
  reason: '',
  areaAcres: 3.1,
  crewDays: null,
  personHours: 7.25,
  shareBlackPercent: null,
  fireCause: null,
  signedOutOn: null,
  note: 'wet ground',
};

type Store = ReturnType<typeof storeWithLand>['store'];

const correct = (store: Store, id: number, change: Partial<WorkEntry>) =>
  store.worklog.correct(id, { entry: change, detail: {} }, null, library);

const newest = (store: Store) => {
  const group = store.changeLog.list(everyChange, 1).groups[0];
  if (!group) throw new Error('nothing is logged');
  return group;
};

test('every table of the schema is logged, or is not for a reason', () => {
  const db = openDatabase(':memory:');
  const names = db
    .prepare<[], string>(
      "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
    )
    .pluck()
    .all();
  db.close();
  const known = [...Object.keys(loggedTables), ...Object.keys(unloggedTables)];
  expect(names.toSorted()).toEqual(known.toSorted());
});

test('no logged table holds a BLOB: JSON has none', () => {
  const db = openDatabase(':memory:');
  for (const table of Object.keys(loggedTables)) {
    const types = db.prepare('SELECT type FROM pragma_table_info(?)').pluck().all(table);
    expect(types, table).not.toContain('BLOB');
  }
  db.close();
});

test('a write is logged with who, when, what, and the row before and after', () => {
  const folder = temporaryFolder();
  const store = openStore(join(folder, 'who.db'), clockAt('2026-11-09T15:00:00.500Z').now, () => ({
    id: 4,
    name: 'Dana',
  }));
  store.replaceLand(contentOf(fakeOperation()), 'It was kept as x.db.');
  expect(store.changeLog.list(everyChange, 1).groups).toEqual([
    {
      id: 1,
      at: '2026-11-09T15:00:00Z',
      personId: 4,
      person: 'Dana',
      what: 'Everything was replaced. It was kept as x.db.',
      rowCount: 0,
      changes: [],
    },
  ]);
  const added = store.worklog.record(entry, library);
  if (!added.ok) throw new Error('not recorded');
  correct(store, added.value.id, { note: 'dry ground' });
  const { groups, total } = store.changeLog.list(everyChange, 1);
  expect(total).toBe(3);
  expect(groups[0]).toMatchObject({ person: 'Dana', at: '2026-11-09T15:00:00Z' });
  expect(groups[0]?.what).toMatch(/^Corrected: /);
  const change = groups[0]?.changes.find(({ table }) => table === 'work_entry');
  expect(change).toMatchObject({ table: 'work_entry', key: [added.value.id], isLast: true });
  expect(change && changedColumns(change)).toEqual(['note']);
  expect(change?.before?.['area_acres']).toBe(3.1);
  expect(change?.propertyId).toBe(fakeOperation().units[0]?.propertyId);
  expect(groups[1]?.changes[0]).toMatchObject({ before: null, isLast: false });
  store.close();
});

test('a transaction is one group; what is rolled back is not logged', () => {
  const { store } = storeWithLand();
  const before = store.changeLog.list(everyChange, 1).total;
  store.inOneTransaction(() => {
    store.worklog.record(entry, library);
    store.worklog.record({ ...entry, doneOn: isoDate('2026-11-03') }, library);
  });
  expect(store.changeLog.list(everyChange, 1).total).toBe(before + 1);
  expect(newest(store).changes).toHaveLength(2);
  expect(() =>
    store.inOneTransaction(() => {
      store.worklog.record(entry, library);
      throw new Error('half way');
    }),
  ).toThrow('half way');
  expect(store.changeLog.list(everyChange, 1).total).toBe(before + 1);
});

test('a row changed twice in a transaction is one change, one that ends as it was is none', () => {
  const { store } = storeWithLand();
  const added = store.worklog.record(entry, library);
  if (!added.ok) throw new Error('not recorded');
  const { id } = added.value;
  store.inOneTransaction(() => {
    correct(store, id, { note: 'a' });
    correct(store, id, { note: 'b' });
  });
  const change = newest(store).changes.find(({ table }) => table === 'work_entry');
  expect([change?.before?.['note'], change?.after?.['note']]).toEqual(['wet ground', 'b']);
  store.inOneTransaction(() => {
    correct(store, id, { note: 'c' });
    correct(store, id, { note: 'b' });
  });
  expect(newest(store).changes.filter(({ table }) => table === 'work_entry')).toEqual([]);
});

test('a row that INSERT OR REPLACE takes the place of is logged as it was', () => {
  const { store } = storeWithLand();
  const settings = store.operation(library).settings;
  store.saveSettings({ ...settings, seasonsAfter: 3 });
  store.saveSettings({ ...settings, seasonsAfter: 4 });
  const [change] = newest(store).changes;
  expect(change && changedColumns(change)).toEqual(['seasons_after']);
  expect(change?.before?.['seasons_after']).toBe(3);
});

test('what is in no row of the log is said in a sentence: plans put in force, feed addresses, without their secret', () => {
  const { store } = storeWithLand();
  const draft = store.plans.saveDraft(fakePlan().content, store.revision());
  store.plans.adopt(draft.id, () => {});
  expect(newest(store)).toMatchObject({ what: `Plan ${draft.id} was put in force.`, rowCount: 0 });
  const { token, link } = store.feeds.create('all-work', 'phone');
  store.feeds.rotate(link.id);
  store.feeds.revoke(link.id);
  const { groups } = store.changeLog.list(everyChange, 1);
  expect(groups.slice(0, 3).map(({ what }) => what)).toEqual([
    'The feed address of phone was ended.',
    'The feed address of phone was replaced.',
    'A feed address was made for phone (all-work).',
  ]);
  expect(JSON.stringify(groups)).not.toContain(token);
  const total = store.changeLog.list(everyChange, 1).total;
  store.plans.adopt(draft.id, () => {});
  expect(store.changeLog.list(everyChange, 1).total).toBe(total);
});

describe('taking back', () => {
  test('the last change of a row, then that again: each is a change of the log', () => {
    const { store } = storeWithLand();
    const added = store.worklog.record(entry, library);
    if (!added.ok) throw new Error('not recorded');
    const { id } = added.value;
    correct(store, id, { note: 'dry', areaAcres: 1 / 3 });
    expect(store.changeLog.undo(newest(store).changes, 'Taken back.').ok).toBe(true);
    expect(store.worklog.find(id)).toEqual(added.value);
    expect(newest(store).what).toBe('Taken back.');
    expect(store.changeLog.undo(newest(store).changes, 'Taken back.').ok).toBe(true);
    expect(store.worklog.find(id)).toMatchObject({ note: 'dry', areaAcres: 1 / 3 });
  });

  test('one change after the other, back to the first', () => {
    const { store } = storeWithLand();
    const added = store.worklog.record(entry, library);
    if (!added.ok) throw new Error('not recorded');
    const { id } = added.value;
    correct(store, id, { note: 'one' });
    const first = newest(store);
    correct(store, id, { note: 'two' });
    expect(store.changeLog.undo(newest(store).changes, 'Back.').ok).toBe(true);
    expect(store.worklog.find(id)?.note).toBe('one');
    expect(store.changeLog.undo(first.changes, 'Back.').ok).toBe(true);
    expect(store.worklog.find(id)).toEqual(added.value);
  });

  test('an older change of a row that was changed since is refused', () => {
    const { store } = storeWithLand();
    const added = store.worklog.record(entry, library);
    if (!added.ok) throw new Error('not recorded');
    correct(store, added.value.id, { note: 'one' });
    const { changes } = newest(store);
    correct(store, added.value.id, { note: 'two' });
    const answer = store.changeLog.undo(changes, '');
    expect(!answer.ok && answer.problems[0]?.code).toBe('changed-since');
    expect(store.worklog.find(added.value.id)?.note).toBe('two');
  });

  test('a change from outside the program is seen by the row itself', () => {
    const folder = temporaryFolder();
    const path = join(folder, 'outside.db');
    const store = openStore(path, clockAt('2026-11-09T15:00:00Z').now);
    store.replaceLand(contentOf(fakeOperation()));
    const added = store.worklog.record(entry, library);
    if (!added.ok) throw new Error('not recorded');
    const other = new Database(path);
    other.exec("UPDATE work_entry SET note = 'by hand'");
    other.close();
    const answer = store.changeLog.undo(newest(store).changes, '');
    expect(!answer.ok && answer.problems[0]?.code).toBe('changed-since');
    store.close();
  });

  test('a removed entry comes back with its number, also after others were added', () => {
    const { store } = storeWithLand();
    const added = store.worklog.record(entry, library);
    if (!added.ok) throw new Error('not recorded');
    store.worklog.remove(added.value.id, library);
    store.worklog.record({ ...entry, note: 'later' }, library);
    const removed = store.changeLog.removed().filter(({ table }) => table === 'work_entry');
    expect(removed.map(({ key }) => key)).toEqual([[added.value.id]]);
    expect(store.changeLog.undo(removed, 'Brought back.').ok).toBe(true);
    expect(store.worklog.find(added.value.id)).toEqual(added.value);
    expect(store.changeLog.removed().filter(({ table }) => table === 'work_entry')).toEqual([]);
  });

  test('an added row that others hang on by now stays', () => {
    const { store } = storeWithLand();
    const blank = store.operation(library).crews[0];
    if (!blank) throw new Error('no crew');
    const save = (noun: 'crew' | 'person', row: object) =>
      store.records.saveRow(noun, row as never, true, library, () => true);
    const crew = save('crew', { ...blank, id: 0, name: 'Saw crew' });
    if (!crew.ok) throw new Error('no crew');
    const { changes } = newest(store);
    const person = { contact: '', burnRoles: [], qualifications: [], usualDays: [], note: '' };
    save('person', { ...person, id: 0, name: 'Robin', crewId: crew.value });
    const answer = store.changeLog.undo(changes, '');
    expect(!answer.ok && answer.problems[0]?.code).toBe('row-orphan');
    expect(store.operation(library).crews.some(({ id }) => id === crew.value)).toBe(true);
  });

  test('a code that another row holds by now is refused with a sentence', () => {
    const { store } = storeWithLand();
    const [one, other] = store.operation(library).units;
    if (!one || !other || one.propertyId !== other.propertyId) throw new Error('two units');
    store.updateUnit(one.id, { code: 'ZZ1' }, library);
    const { changes } = newest(store);
    store.updateUnit(other.id, { code: one.code }, library);
    const answer = store.changeLog.undo(changes, '');
    expect(!answer.ok && answer.problems[0]?.code).toBe('row-constraint');
  });
});

test('what is gone is forgotten after 90 days, the rest of the log is kept', () => {
  const clock = clockAt('2026-01-01T12:00:00Z');
  const { store } = storeWithLand(clock);
  const kept = store.worklog.record(entry, library);
  const gone = store.worklog.record(entry, library);
  if (!kept.ok || !gone.ok) throw new Error('not recorded');
  store.worklog.remove(gone.value.id, library);
  clock.at = '2026-03-31T12:00:00Z';
  expect(removedKeptDays).toBe(90);
  expect(store.changeLog.purge()).toBe(0);
  expect(store.changeLog.removed()).toHaveLength(1);
  clock.at = '2026-04-02T12:00:00Z';
  expect(store.changeLog.removed()).toEqual([]);
  expect(store.changeLog.purge()).toBe(2);
  expect(store.changeLog.version('work_entry', [gone.value.id])).toBe(0);
  expect(store.changeLog.version('work_entry', [kept.value.id])).toBeGreaterThan(0);
});

test('a list is narrowed to a row, a person, a span and properties', () => {
  const { store } = storeWithLand();
  const added = store.worklog.record(entry, library);
  if (!added.ok) throw new Error('not recorded');
  const count = (filter: Partial<typeof everyChange>) =>
    store.changeLog.list({ ...everyChange, ...filter }, 1).total;
  const ofUnit = fakeOperation().units[0]?.propertyId ?? 0;
  expect(count({ table: 'work_entry', key: [added.value.id] })).toBe(1);
  expect(count({ table: 'work_entry', key: [added.value.id + 1] })).toBe(0);
  expect(count({ propertyIds: [ofUnit] })).toBe(1);
  expect(count({ propertyIds: [ofUnit + 1000] })).toBe(0);
  expect(count({ person: 'Dana' })).toBe(0);
  expect(count({ from: '2026-11-10' })).toBe(0);
  expect(count({ from: '2026-11-09', until: '2026-11-09' })).toBe(2);
});

test('any run of writes can be taken back to where it began, newest first', () => {
  const step = fc.record({
    what: fc.constantFrom('record', 'correct', 'remove'),
    at: fc.nat(9),
    note: fc.string({ maxLength: 12, unit: 'binary' }),
    acres: fc.double({ min: 0, max: 1e6, noNaN: true }),
  });
  fc.assert(
    fc.property(fc.array(step, { maxLength: 12 }), (steps) => {
      const { store } = storeWithLand();
      const start = store.landContent();
      const groupsBefore = store.changeLog.list(everyChange, 1).total;
      for (const { what, at, note, acres } of steps) {
        const ids = store.worklog.list().map(({ id }) => id);
        const id = ids[at % Math.max(1, ids.length)] ?? 0;
        if (what === 'record') store.worklog.record({ ...entry, note, areaAcres: acres }, library);
        if (what === 'correct') correct(store, id, { note, areaAcres: acres });
        if (what === 'remove') store.worklog.remove(id, library);
      }
      const { groups, total } = store.changeLog.list(everyChange, 1);
      for (const group of groups.slice(0, total - groupsBefore)) {
        const fresh = store.changeLog.group(group.id)?.changes ?? [];
        expect(store.changeLog.undo(fresh, 'Taken back.')).toMatchObject({ ok: true });
      }
      expect(store.landContent()).toEqual(start);
      store.close();
    }),
    { numRuns: 12 },
  );
});

test('a statement outside a transaction is a group of its own', () => {
  const { store } = storeWithLand();
  const total = store.changeLog.list(everyChange, 1).total;
  const row = { state: 'MO', county: 'Marl', kind: 'burn-ban' as const, isOn: true, since: null };
  store.burns.addSwitch({ ...row, checkedBy: 'Dana', note: '' });
  store.burns.addSwitch({ ...row, isOn: false, checkedBy: 'Dana', note: '' });
  const { groups } = store.changeLog.list(everyChange, 1);
  expect(groups).toHaveLength(total + 2);
  expect(groups[0]?.changes).toMatchObject([{ table: 'county_switch', before: null }]);
});
