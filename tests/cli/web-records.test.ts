import { describe, expect, test } from 'vitest';
import { openOperationFile } from '../../src/cli/operation-file.ts';
import { webLand } from '../../src/cli/web-land.ts';
import { webRecords } from '../../src/cli/web-records.ts';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import type { ChangeAnswer, LandRows, LibraryNoun, Noun } from '../../src/core/records.ts';
import type { Sequence } from '../../src/core/sequences.ts';
import { contentOf, libraryOf } from '../storage/fixtures.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { fakeOwnRate } from '../support/own-rates.ts';
import { fakePlan } from '../support/plan.ts';
import { wholeOperation } from '../support/record-rows.ts';

/** The invented operation with its plan in force, as pages change it. */
function invented() {
  const operation = fakeOperation();
  const file = openOperationFile(':memory:', fakeToday, libraryOf(operation));
  file.store.replaceLand(contentOf(operation));
  const draft = file.store.plans.saveDraft(fakePlan().content, file.store.revision());
  file.store.plans.adopt(draft.id, () => file.publish());
  return { file, records: webRecords(file), land: () => file.operation() };
}

/** Own land with the published tables and three units. */
function ownLand() {
  const file = openOperationFile(':memory:', isoDate('2026-11-25'));
  const land = webLand(file, () => {});
  const place = { state: 'MO', county: 'Marl', timeZone: 'America/Chicago' };
  land.startOwn({ ...place, landownerName: 'O', name: 'Still', latitude: 37, longitude: -92 });
  const rows = ['U1,One,10,glade,,,,', 'U2,Two,10,glade,,,,', 'U3,Three,10,old-field,,,,'];
  const header = 'code,name,acres,community,aspect,slope_percent,density,tags';
  land.importUnits(1, 'own.csv', [header, ...rows].join('\n'));
  return { file, records: webRecords(file), land: () => file.operation() };
}

const idOf = (answer: ChangeAnswer) => {
  expect(answer).toMatchObject({ kind: 'saved' });
  return answer.kind === 'saved' ? answer.id : 0;
};
const fieldsOf = (answer: ChangeAnswer) =>
  answer.kind === 'saved' ? [] : answer.problems.map(({ field }) => field);

const from = isoDate('2026-07-01');
const until = isoDate('2027-06-30');
const span = { opens: monthDay('06-01'), closes: monthDay('06-30') };
const bars = { barsFamilies: ['burn' as const], firmness: 'hard' as const, rule: 'ask', ...span };

const point: LandRows['point'] = {
  ...bars,
  id: 0,
  propertyId: 1,
  name: 'Den',
  kind: 'den',
  position: null,
  unitIds: [1],
  bufferFeet: 50,
};
const lease: LandRows['lease'] = {
  ...bars,
  id: 0,
  propertyId: 1,
  holder: 'Club',
  contact: '',
  use: 'hunting',
  unitIds: [1],
  from,
  until,
};
const person: LandRows['person'] = {
  id: 0,
  name: 'A. Reed',
  contact: '',
  crewId: 1,
  burnRoles: ['boss'],
  qualifications: [{ name: 'Burn boss', expiresOn: until }],
  usualDays: [6],
  note: '',
};

/** A new row of each noun, a change of it, and where it stands in the operation. */
function samples(land: ReturnType<typeof fakeOperation>) {
  const row = <N extends keyof LandRows>(
    noun: N,
    fresh: LandRows[N],
    change: Partial<LandRows[N]>,
    wrong: Partial<LandRows[N]>,
    list: keyof ReturnType<typeof fakeOperation>,
  ) => ({ noun, fresh, change, wrong, list });
  const unit = { ...land.units[0]!, id: 0, blockId: 0, code: 'Z1' };
  return [
    row(
      'landowner',
      { id: 0, name: 'Ida', contact: '' },
      { name: 'Ada' },
      { name: ' ' },
      'landowners',
    ),
    row(
      'property',
      { ...land.properties[0]!, id: 0 },
      { county: 'Elm' },
      { state: 'Mo' },
      'properties',
    ),
    row('unit', unit, { areaAcres: 9 }, { areaAcres: 0 }, 'units'),
    row(
      'block',
      { ...land.blocks[0]!, id: 0, code: 'Z' },
      { name: 'Z' },
      { firstCycle: 0 },
      'blocks',
    ),
    row('line', { ...land.lines[0]!, id: 0 }, { lengthFeet: 7 }, { lengthFeet: -1 }, 'lines'),
    row('point', point, { bufferFeet: 9 }, { bufferFeet: -1 }, 'points'),
    row('lease', lease, { holder: 'B' }, { until: isoDate('2026-01-01') }, 'leases'),
    row(
      'grazing',
      {
        ...span,
        id: 0,
        propertyId: 1,
        unitIds: [1],
        stock: 'cattle',
        from,
        until,
        restDaysBeforeFire: 5,
        deferDaysAfterFire: 0,
        note: '',
      },
      { note: 'x' },
      { unitIds: [8] },
      'grazing',
    ),
    row(
      'consent',
      {
        id: 0,
        propertyId: 1,
        unitIds: [],
        families: ['burn'],
        givenBy: 'O',
        isNeighbour: false,
        from,
        until,
        note: '',
      },
      { note: 'x' },
      { families: [] },
      'consents',
    ),
    row(
      'contract',
      { ...wholeOperation().contracts[0]!, id: 0 },
      { program: 'Other share' },
      { program: '' },
      'contracts',
    ),
    row('ownRate', fakeOwnRate({ id: 0 }), { amount: 3 }, { amount: 0 }, 'ownRates'),
    row(
      'crew',
      { ...land.crews[0]!, id: 0, name: 'Z' },
      { peopleCount: 3 },
      { peopleCount: 0 },
      'crews',
    ),
    row('person', person, { name: 'B' }, { crewId: 77 }, 'people'),
    row(
      'booking',
      {
        id: 0,
        crewId: 2,
        state: 'asked',
        unitIds: [1],
        from,
        until,
        priceBasis: 'day',
        priceUsd: 5,
        moveInUsd: 0,
        daysLeast: 1,
        bookBy: null,
        note: '',
      },
      { state: 'priced' },
      { crewId: 1 },
      'bookings',
    ),
    row(
      'gear',
      { key: 'rake', name: 'Rake', count: 2, daysOff: [] },
      { count: 3 },
      { count: -1 },
      'gear',
    ),
    row('holiday', { date: from, name: 'Fair' }, { name: 'Feast' }, {}, 'holidays'),
    row(
      'approval',
      { noWorkKey: land.noWork[0]!.key, unitId: 1, from, until, grantedBy: 'O' },
      { grantedBy: 'P' },
      { grantedBy: '' },
      'approvals',
    ),
  ];
}

describe('a row of each noun', () => {
  test.each(samples(fakeOperation()))(
    '$noun is added, changed, retired and brought back',
    ({ noun, fresh, change, wrong, list }) => {
      const { records, land } = invented();
      const before = land()[list] as unknown[];
      const id = idOf(records.save(noun, fresh, true, true));
      const numbered = 'id' in fresh ? { ...fresh, id: id as number } : fresh;
      const more = land()[list] as unknown[];
      expect(more).toHaveLength(before.length + 1);
      const stored = more.find((one) => !before.some((old) => sameRow(old, one)));
      expect(
        idOf(records.save(noun, { ...(stored as object), ...change } as never, false, true)),
      ).toBe(id);
      const changed = structuredClone(land()[list] as unknown[]);
      expect(changed).toContainEqual(expect.objectContaining(change));
      if (Object.keys(wrong).length > 0) {
        const answer = records.save(
          noun,
          { ...(stored as object), ...wrong } as never,
          false,
          true,
        );
        expect(answer.kind).toBe('refused');
        expect(fieldsOf(answer)).toContain(Object.keys(wrong)[0]);
        expect(land()[list]).toEqual(changed);
      }
      const whole = structuredClone(land());
      expect(idOf(records.retire(noun, id, true))).toBe(id);
      expect(land()[list]).toHaveLength(before.length);
      expect(records.retired()).toEqual([expect.objectContaining({ noun, id })]);
      expect(records.retired()[0]?.name).not.toBe(String(numbered));
      expect(records.bringBack(noun, id)).toEqual([]);
      expect(land()).toEqual(whole);
      expect(records.retired()).toEqual([]);
    },
  );

  const sameRow = (a: unknown, b: unknown) => JSON.stringify(a) === JSON.stringify(b);

  test('a station is kept by its name', () => {
    const { file, records } = invented();
    const station = {
      name: 'Knob',
      latitude: 37,
      longitude: -92,
      timeZone: 'America/Chicago',
      isInvented: false,
    };
    expect(idOf(records.save('station', station, true, true))).toBe('Knob');
    expect(fieldsOf(records.save('station', station, true, true))).toEqual(['name']);
    expect(
      fieldsOf(records.save('station', { ...station, timeZone: 'CST9' }, false, true)),
    ).toEqual(['timeZone']);
    expect(idOf(records.retire('station', 'Knob', true))).toBe('Knob');
    expect(file.store.records.isRetired('station', 'Knob')).toBe(true);
    expect(records.bringBack('station', 'Knob')).toEqual([]);
  });

  test.each<[Noun, number | string]>([
    ['unit', 99],
    ['gear', 'none'],
    ['treatment', 'none'],
  ])('%s %s is not there', (noun, id) => {
    const { records } = invented();
    expect(records.retire(noun, id, true)).toMatchObject({
      kind: 'refused',
      problems: [{ code: 'row-unknown' }],
    });
    expect(records.bringBack(noun, id)).toMatchObject([{ code: 'row-unknown' }]);
  });
});

describe('units, blocks and codes', () => {
  test('a new unit lies in a block of its own with the prescription of its community', () => {
    const { records, land } = ownLand();
    const unit = { ...land().units[0]!, id: 0, blockId: 0, code: 'U9' };
    const id = idOf(records.save('unit', unit, true, true));
    const saved = land().units.find((one) => one.id === id)!;
    const block = land().blocks.find((one) => one.id === saved.blockId);
    expect(block).toMatchObject({ code: 'U9', prescriptionKey: 'hardwood-litter' });
  });

  test('a unit moves to another block; the emptied one goes out of use and can come back empty', () => {
    const { records, land } = ownLand();
    const [first, second] = land().units;
    expect(idOf(records.save('unit', { ...first!, blockId: second!.blockId }, false, true))).toBe(
      1,
    );
    expect(land().blocks.map(({ code }) => code)).toEqual(['U2', 'U3']);
    expect(records.retired()).toMatchObject([{ noun: 'block', name: 'Block U1' }]);
    const back = { ...land().units[0]!, blockId: first!.blockId };
    expect(fieldsOf(records.save('unit', back, false, true))).toEqual(['blockId']);
    expect(records.bringBack('block', first!.blockId)).toEqual([]);
    expect(idOf(records.save('unit', back, false, true))).toBe(1);
    expect(land().blocks.map(({ code }) => code)).toEqual(['U1', 'U2', 'U3']);
  });

  test('the code of a retired unit stays taken, in forms and in files', () => {
    const { file, records, land } = ownLand();
    records.retire('unit', 1, true);
    const other = { ...land().units[0]!, code: 'U1' };
    const answer = records.save('unit', other, false, true);
    expect(answer).toMatchObject({ kind: 'refused' });
    expect(JSON.stringify(answer)).toContain('retired unit: bring it back, or use another code');
    const csv = 'code,name,acres,community,aspect,slope_percent,density,tags\nU1,One,10,glade,,,,';
    const imported = webLand(file, () => {}).importUnits(1, 'own.csv', csv);
    expect(imported.problems).toMatchObject([{ code: 'unit-code-taken' }]);
  });

  test('what hangs on a retired row waits for it', () => {
    const { records } = ownLand();
    records.retire('unit', 1, true);
    records.retire('property', 1, true);
    expect(records.bringBack('unit', 1)).toMatchObject([{ code: 'row-parent-retired' }]);
    expect(records.bringBack('property', 1)).toEqual([]);
    expect(records.bringBack('unit', 1)).toEqual([]);
  });

  test('what the snapshot hides of a row is kept when the row is saved', () => {
    const { records, land } = invented();
    const id = idOf(records.save('lease', { ...lease, unitIds: [1, 2] }, true, true)) as number;
    records.retire('unit', 2, true);
    const shown = land().leases.find((one) => one.id === id)!;
    expect(shown.unitIds).toEqual([1]);
    records.save('lease', { ...shown, holder: 'New club' }, false, true);
    records.bringBack('unit', 2);
    expect(land().leases.find((one) => one.id === id)).toMatchObject({
      holder: 'New club',
      unitIds: [1, 2],
    });
  });
});

describe('a change that breaks planned tasks', () => {
  const barred = {
    ...lease,
    unitIds: [4],
    barsFamilies: ['spray' as const],
    opens: monthDay('11-01'),
    closes: monthDay('11-30'),
  };

  test('is answered with them, and nothing is written until somebody is sure', () => {
    const { file, records, land } = invented();
    const before = structuredClone(land());
    const revision = file.store.revision();
    const answer = records.save('lease', barred, true, false);
    expect(answer).toMatchObject({ kind: 'breaks', problems: [{ code: 'no-work' }] });
    expect(JSON.stringify(answer)).toContain('Hunting lease of Club');
    expect(file.store.revision()).toBe(revision);
    expect(land()).toEqual(before);
    idOf(records.save('lease', barred, true, true));
    expect(land().noWork.some(({ key }) => key.startsWith('lease-'))).toBe(true);
    // What is broken already does not stand in the way of the next change.
    expect(records.save('landowner', { id: 1, name: 'New', contact: '' }, false, false).kind).toBe(
      'saved',
    );
  });

  test('the forms of a unit, a block and the leaf-out wait for a yes too', () => {
    const { file, land } = invented();
    const { updateBlock, setAnchors } = webLand(file, () => {});
    const before = land();
    const planned = file.store.plans.inForce()?.content.tasks[0];
    const blockId = planned?.blockId ?? 0;
    const codes = updateBlock(blockId, { sequenceKey: null }).map(({ code }) => code);
    expect(new Set(codes)).toEqual(new Set(['breaks-plan']));
    expect(land()).toEqual(before);
    // A change by which nothing planned breaks goes through at once.
    expect(setAnchors(1, [{ anchor: 'warm-season-start', value: { usual: '05-02' } }])).toEqual([]);
    // All or none: the second is no day, so the first is not set either.
    const half = setAnchors(1, [
      { anchor: 'warm-season-start', value: { usual: '05-03' } },
      { anchor: 'green-up', value: { usual: '02-31' } },
    ]);
    expect(half).not.toEqual([]);
    expect(land().properties[0]?.anchors.usual['warm-season-start']).toBe('05-02');
    expect(updateBlock(blockId, { sequenceKey: null }, true)).toEqual([]);
    expect(land().blocks.find(({ id }) => id === blockId)?.sequenceKey).toBeNull();
  });

  test('a file of units that makes planned work too small is answered with it, and taken when somebody is sure', () => {
    const { file, land } = invented();
    const { importUnits } = webLand(file, () => {});
    // Its cedar is planned to be felled.
    const unit = land().units.find(({ id }) => id === 5)!;
    const text = `code,name,acres,community\n${unit.code},${unit.name},${unit.areaAcres * 5},${unit.communityKey}\n`;
    const answer = importUnits(unit.propertyId, 'units.csv', text);
    expect(answer.imported).toBe(0);
    expect(new Set(answer.problems.map(({ code }) => code))).toEqual(new Set(['breaks-plan']));
    expect(land().units.find(({ id }) => id === unit.id)).toEqual(unit);
    expect(importUnits(unit.propertyId, 'units.csv', text, true)).toMatchObject({ imported: 1 });
  });

  test('a window that leaves planned work outside is answered with it', () => {
    const { records, land } = invented();
    const before = land().treatments.find(({ key }) => key === 'cedar-felling')!;
    const july = { opens: { at: monthDay('07-01') }, closes: { at: monthDay('07-31') } };
    const row = { ...before, windows: [july] };
    const answer = records.save('treatment', row, false, false);
    expect(answer.kind).toBe('breaks');
    expect(JSON.stringify(answer)).toContain('Fell cedar on');
    expect(land().treatments.find(({ key }) => key === 'cedar-felling')).toEqual(before);
    idOf(records.save('treatment', row, false, true));
    const back = records.backToDefault('treatment', 'cedar-felling', false);
    expect(back.kind).toBe('saved');
    expect(land().treatments.find(({ key }) => key === 'cedar-felling')).toEqual(before);
  });

  test('a change after one that was taken back is seen', () => {
    const { records, land } = invented();
    records.save('lease', barred, true, false);
    idOf(records.save('landowner', { id: 1, name: 'New name', contact: '' }, false, false));
    expect(land().landowners[0]?.name).toBe('New name');
    expect(land().leases).toEqual([]);
  });

  test('a retired unit: its planned tasks leave the plan, their entries are cancelled, and come back', () => {
    const { file, records } = invented();
    const key = 'unit:5/cedar-woodland/fell/1/-';
    const published = () => file.store.published().find((row) => row.taskKey === key)!;
    const { uid, sequence } = published();
    const answer = records.retire('unit', 5, false);
    expect(answer).toMatchObject({ kind: 'breaks', problems: [{ code: 'task-leaves', ref: key }] });
    expect(JSON.stringify(answer)).toContain('Fell cedar on S2');
    expect(published().cancelledAt).toBeNull();
    idOf(records.retire('unit', 5, true));
    expect(published()).toMatchObject({ uid, sequence: sequence + 1 });
    expect(published().cancelledAt).not.toBeNull();
    expect(records.bringBack('unit', 5)).toEqual([]);
    expect(published()).toMatchObject({ uid, sequence: sequence + 2, cancelledAt: null });
  });
});

describe('rows of the reference tables', () => {
  test('a changed row is laid over the published one and can go back', () => {
    const { records, land } = ownLand();
    const row = land().communities.find(({ key }) => key === 'glade')!;
    const interval = { leastYears: 2, targetYears: 4, mostYears: 6 };
    idOf(records.save('community', { ...row, interval }, false, true));
    expect(land().communities.find(({ key }) => key === 'glade')?.interval).toEqual(interval);
    expect(records.published('community', 'glade')).toEqual(row);
    idOf(records.backToDefault('community', 'glade', true));
    expect(land().communities.find(({ key }) => key === 'glade')).toEqual(row);
  });

  test('a row of the user has no default to go back to, and its key is taken', () => {
    const { records, land } = ownLand();
    const row = { ...land().communities[0]!, key: 'my-fen', name: 'My fen', source: '' };
    idOf(records.save('community', row, true, true));
    expect(records.published('community', 'my-fen')).toBeNull();
    expect(records.backToDefault('community', 'my-fen', true).kind).toBe('refused');
    expect(fieldsOf(records.save('community', row, true, true))).toEqual(['key']);
    expect(land().communities.find(({ key }) => key === 'my-fen')?.source).not.toBe('');
    idOf(records.retire('community', 'my-fen', true));
    expect(land().communities.some(({ key }) => key === 'my-fen')).toBe(false);
    expect(fieldsOf(records.save('community', row, true, true))).toEqual(['key']);
    expect(records.bringBack('community', 'my-fen')).toEqual([]);
  });

  test('a circular sequence is refused with a sentence', () => {
    const { records, land } = ownLand();
    const sequence = structuredClone(
      land().sequences.find(({ steps }) => steps.some(({ lags }) => lags.length > 0))!,
    ) as Sequence;
    const step = sequence.steps.find(({ lags }) => lags.length > 0)!;
    const first = sequence.steps.find(({ key }) => key === step.lags[0]!.afterStepKey)!;
    first.lags = [{ ...step.lags[0]!, kind: 'fixed', cycle: 'same', afterStepKey: step.key }];
    const answer = records.save('sequence', sequence, false, true);
    expect(answer.kind).toBe('refused');
    if (answer.kind === 'refused') {
      expect(answer.problems[0]?.message).toMatch(/^[A-Z].*\.$/);
      // A burn may wait for several steps, so the ring is named; other work may not, and is named by itself.
      expect(answer.problems[0]?.message).toContain(step.name);
    }
  });

  const wrong: [LibraryNoun, string, (row: never) => object, string][] = [
    [
      'community',
      'glade',
      (row: object) => ({ ...row, interval: { leastYears: 3, targetYears: 2, mostYears: 5 } }),
      'interval',
    ],
    ['treatment', 'dormant-burn', (row: object) => ({ ...row, peopleLeast: 0 }), 'peopleLeast'],
    [
      'prescription',
      'grass',
      (row: object) => ({ ...row, windMph: { least: 9, most: 3 } }),
      'windMph',
    ],
    ['prescription', 'grass', (row: object) => ({ ...row, fromHour: 15, toHour: 11 }), 'toHour'],
    ['noWork', 'nest-mo', (row: object) => ({ ...row, opens: { at: '02-31' } }), 'opens'],
    ['lineKind', 'disked', (row: object) => ({ ...row, goodForDays: 0 }), 'goodForDays'],
  ];
  test.each(wrong)('%s %s with a wrong field is refused', (noun, key, change, field) => {
    const { file, records } = ownLand();
    const rows = {
      community: file.library.communities,
      treatment: file.library.treatments,
      sequence: file.library.sequences,
      noWork: file.library.noWork,
      prescription: file.library.prescriptions,
      lineKind: file.library.lineKinds,
    }[noun] as { key: string }[];
    const row = rows.find((one) => one.key === key);
    expect(row, key).toBeDefined();
    const answer = records.save(noun, change(row as never) as never, false, true);
    expect(fieldsOf(answer)).toEqual([field]);
  });

  test('a rule of one property, for named units and years, is taken; the key of a derived one is not', () => {
    const { records, land } = ownLand();
    const base = land().noWork.find(({ key }) => key === 'nest-mo')!;
    const row = {
      ...base,
      key: 'own-den',
      propertyId: 1,
      authority: 'own-rule' as const,
      firmness: 'hard' as const,
      holdsFrom: from,
      holdsUntil: until,
      applies: { ...base.applies, unitIds: [1] },
    };
    idOf(records.save('noWork', row, true, true));
    expect(land().noWork.find(({ key }) => key === 'own-den')).toEqual(row);
    expect(fieldsOf(records.save('noWork', { ...row, key: 'lease-1' }, true, true))).toEqual([
      'key',
    ]);
  });

  test('a key in use can not go out of use', () => {
    const { records } = ownLand();
    const answer = records.retire('community', 'glade', true);
    expect(answer).toMatchObject({ kind: 'refused', problems: [{ code: 'row-in-use' }] });
    expect(JSON.stringify(answer)).toContain('U1, U2');
    // A unit out of use needs it when it comes back.
    records.retire('unit', 3, true);
    expect(records.retire('community', 'old-field', true).kind).toBe('refused');
  });
});

test('days of a signed booking are days on site, and a saved crew keeps its own spans', () => {
  const { records, land } = invented();
  const booking: LandRows['booking'] = {
    id: 0,
    crewId: 2,
    state: 'signed',
    unitIds: [1],
    from: isoDate('2027-03-01'),
    until: isoDate('2027-03-05'),
    priceBasis: 'job',
    priceUsd: 100,
    moveInUsd: 0,
    daysLeast: 0,
    bookBy: null,
    note: '',
  };
  const crew = () => land().crews.find(({ id }) => id === 2)!;
  const entered = structuredClone(crew().onSpans);
  expect(entered).not.toBeNull();
  const id = idOf(records.save('booking', booking, true, true)) as number;
  expect(crew().onSpans).toContainEqual({
    startsOn: isoDate('2027-03-01'),
    endsBefore: isoDate('2027-03-06'),
  });
  expect(crew().enteredSpans).toEqual(entered);
  records.save('crew', { ...crew(), peopleCount: 4 }, false, true);
  records.save('booking', { ...booking, id, state: 'priced' }, false, true);
  expect(crew()).toMatchObject({ peopleCount: 4, onSpans: entered });
  expect(crew()).not.toHaveProperty('enteredSpans');
});
