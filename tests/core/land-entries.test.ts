import { describe, expect, it } from 'vitest';
import { addDays, isoDate } from '../../src/core/dates.ts';
import { landEntries, passedKeys } from '../../src/core/land-entries.ts';
import type { CalendarEntry } from '../../src/core/publication.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { fakePlan } from '../support/plan.ts';
import { wholeOperation } from '../support/record-rows.ts';

const { content: plan } = fakePlan();
const entriesOf = (
  change: (operation: ReturnType<typeof fakeOperation>) => void = () => undefined,
) => {
  const operation = fakeOperation();
  change(operation);
  return landEntries(operation, plan, fakeToday);
};
const kind = (entries: CalendarEntry[], wanted: CalendarEntry['kind']) =>
  entries.filter((entry) => entry.kind === wanted);

describe('deadlines', () => {
  it('are what runs out on file: plan, consent, permit, lines, approvals, felled fuel', () => {
    const entries = entriesOf((operation) => {
      const [block] = operation.blocks;
      if (block)
        block.readiness = {
          ...block.readiness,
          permitUntil: isoDate('2027-03-01'),
          permitNotNeeded: false,
        };
      const line = operation.lines.find((one) => !['road', 'creek'].includes(one.kind));
      if (line) line.goodUntil = isoDate('2027-02-15');
      operation.approvals.push({
        noWorkKey: 'fall-hunt',
        unitId: 1,
        from: isoDate('2026-11-01'),
        until: isoDate('2026-11-20'),
        grantedBy: 'owner',
      });
    });
    const said = kind(entries, 'deadline').map((entry) => `${entry.startsOn} ${entry.summary}`);
    expect(said).toEqual(
      expect.arrayContaining([
        '2027-03-01 N1 Dogtooth flat: permit runs out',
        '2027-06-30 N1 Dogtooth flat: signed burn plan runs out',
        '2027-06-30 N1 Dogtooth flat: landowner consent runs out',
        '2027-04-01 N2 Two Springs: last useful day to burn the felled fuel',
        '2026-11-20 N1: approval ends (Firearms deer season)',
      ]),
    );
    expect(said.some((one) => /^2027-02-15 Line .*: good until$/.test(one))).toBe(true);
  });

  it('are the last days of consents and leases, of what people hold, and to book a job that is not signed', () => {
    const from = isoDate('2027-03-01');
    const until = isoDate('2027-03-05');
    const row = { propertyId: 1, unitIds: [1], from, note: '' };
    const job = {
      ...row,
      until,
      crewId: 2,
      priceBasis: 'day' as const,
      priceUsd: 0,
      moveInUsd: 0,
      daysLeast: 0,
    };
    const entries = entriesOf((operation) => {
      const people = { contact: '', crewId: null, burnRoles: [], usualDays: [], note: '' };
      operation.bookings = [
        { ...job, id: 1, state: 'asked', bookBy: isoDate('2026-12-01') },
        { ...job, id: 2, state: 'signed', bookBy: isoDate('2026-12-02') },
        { ...job, id: 3, state: 'priced', bookBy: null },
      ];
      operation.consents = [
        { ...row, id: 4, until, families: ['burn'], givenBy: 'Owner', isNeighbour: false },
      ];
      operation.people = [
        {
          ...people,
          id: 5,
          name: 'A. Reed',
          qualifications: [
            { name: 'Burn boss', expiresOn: isoDate('2027-01-01') },
            { name: 'First aid', expiresOn: null },
          ],
        },
      ];
    });
    const said = kind(entries, 'deadline').map((entry) => [entry.taskKey, entry.startsOn]);
    expect(said.filter(([key]) => /booking|consent:|person/.test(String(key)))).toEqual([
      ['deadline:consent:4', '2027-03-05'],
      ['deadline:booking:1', '2026-12-01'],
      ['deadline:person:5/0', '2027-01-01'],
    ]);
  });

  it('are the days of cost-share contracts while their work is open, with the word of the office', () => {
    const entries = entriesOf((operation) => {
      operation.contracts = wholeOperation().contracts;
      operation.entries = [];
    });
    const said = kind(entries, 'deadline').filter(({ taskKey }) => taskKey.includes('contract:'));
    expect(said.map(({ taskKey, startsOn }) => `${taskKey} ${startsOn}`)).toEqual([
      'deadline:contract:1/first 2027-08-20',
      'deadline:contract:1/practice-1 2027-12-31',
      'deadline:contract:1/ends 2029-12-31',
    ]);
    expect(said[0]).toMatchObject({ path: '/contracts/1', propertyId: 1, unitIds: [1, 3] });
    expect(said[0]?.description.join(' ')).toContain('Ask the office before you start.');
  });

  it('keep their key when the day moves, so that the entry moves with it', () => {
    const keyOn = (day: string) =>
      kind(
        entriesOf((operation) => {
          const [block] = operation.blocks;
          if (block) block.readiness = { ...block.readiness, consentUntil: isoDate(day) };
        }),
        'deadline',
      ).find((entry) => entry.startsOn === day)?.taskKey;
    expect(keyOn('2027-05-01')).toBe('deadline:block:1/consent');
    expect(keyOn('2028-05-01')).toBe('deadline:block:1/consent');
  });

  it('are none where nothing is on file', () => {
    const entries = entriesOf((operation) => {
      for (const block of operation.blocks)
        block.readiness = {
          ...block.readiness,
          planExpiresOn: null,
          consentUntil: null,
          permitUntil: null,
        };
      for (const line of operation.lines) line.goodUntil = null;
      operation.entries = [];
    });
    expect(kind(entries, 'deadline')).toEqual([]);
  });
});

describe('no-work dates', () => {
  it('say whose rule bars what, where and when, with the source', () => {
    const [first] = kind(entriesOf(), 'no-work');
    expect(first).toMatchObject({
      taskKey: 'no-work:1/fall-hunt/2026',
      propertyId: 1,
      startsOn: '2026-11-01',
      endsBefore: '2026-11-25',
      status: 'confirmed',
      isFreeTime: true,
      summary: 'No work: Firearms deer season',
    });
    expect(first?.description).toEqual(
      expect.arrayContaining(['Bars: cut.', 'On every unit.', 'By the owner, as of 2026.']),
    );
  });

  it.each<[string, Partial<ReturnType<typeof fakeOperation>['noWork'][number]>, number]>([
    ['of another property', { propertyId: 2 }, 0],
    ['of another state', { state: 'ZZ' }, 0],
  ])('%s are not on this land', (_name, own, count) => {
    const entries = entriesOf((operation) => {
      operation.noWork = operation.noWork.map((span) => ({ ...span, ...own }));
    });
    expect(kind(entries, 'no-work').filter((entry) => entry.propertyId === 1)).toHaveLength(count);
  });

  it('for tagged units name these alone, and are left out where no unit has the tag', () => {
    const tagged = (tags: string[]) =>
      kind(
        entriesOf((operation) => {
          for (const span of operation.noWork) span.applies.unitTags = ['near-roost'];
          const unit = operation.units.find((one) => one.code === 'N2');
          if (unit) unit.tags = tags;
        }),
        'no-work',
      );
    expect(tagged(['near-roost'])[0]?.description).toContain('On N2.');
    expect(tagged([])).toEqual([]);
  });

  it('ask first where an approval would lift them', () => {
    const entries = entriesOf((operation) => {
      for (const span of operation.noWork) span.firmness = 'ask-first';
    });
    expect(kind(entries, 'no-work')[0]?.summary).toBe('Ask first: Firearms deer season');
  });
});

describe('burn outlook', () => {
  const ready = (operation: ReturnType<typeof fakeOperation>) => {
    const block = operation.blocks.find((one) => one.id === 2);
    if (block)
      block.readiness = {
        planSignedBy: 'R. Boss',
        planExpiresOn: isoDate('2027-06-30'),
        consentUntil: isoDate('2027-06-30'),
        noticesGivenOn: isoDate('2026-11-01'),
        permitUntil: null,
        permitNotNeeded: true,
        fuelCheckedOn: isoDate('2026-11-01'),
        peopleNamed: true,
        roles: [],
      };
    operation.lines = operation.lines
      .filter((line) => !line.unitIds.includes(2))
      .concat([
        {
          id: 99,
          propertyId: 1,
          name: 'Ridge road',
          kind: 'road',
          lengthFeet: 4000,
          widthFeet: 12,
          unitIds: [2],
          readyOn: null,
          goodUntil: null,
          path: null,
        },
      ]);
  };
  const ofFirst = (entries: CalendarEntry[]) =>
    kind(entries, 'outlook').filter((entry) => entry.propertyId === 1);

  it('names ready blocks for this week and the next, and that no forecast is loaded', () => {
    const [week, next] = ofFirst(entriesOf(ready));
    expect(week).toMatchObject({
      taskKey: 'outlook:1/2026-11-09',
      startsOn: '2026-11-09',
      endsBefore: '2026-11-16',
      status: 'tentative',
      isFreeTime: true,
      summary: 'Burn outlook: N2 ready on paper, no forecast loaded',
    });
    expect(next?.startsOn).toBe('2026-11-16');
    const words = week?.description.join(' ') ?? '';
    expect(words).toContain('N2 Two Springs: burn planned when fit, 8 to 21 Feb 2027.');
    expect(words).toContain('It is not leave to burn.');
    expect(words).toContain('No forecast is loaded, so no fit days are named.');
    expect(words).toContain('the call comes by phone or text');
    // No fit day is made up and nothing looks like leave to burn.
    expect(`${week?.summary} ${words}`).not.toMatch(/\bgo\b|green|approved|\bfit days?: /i);
  });

  it('names none where something is missing or the burn is done', () => {
    expect(ofFirst(entriesOf())[0]?.summary).toContain('no block ready on paper');
    const [week] = ofFirst(
      entriesOf((operation) => {
        ready(operation);
        const [fact] = operation.entries;
        const burnKey = 'block:2/cedar-woodland/burn/1/-';
        if (fact) operation.entries.push({ ...fact, id: 98, unitId: 2, taskKey: burnKey });
      }),
    );
    expect(week?.summary).toContain('no block ready on paper');
  });
});

it('what is no task and is over is not cancelled', () => {
  const rows = entriesOf().map((entry, at) => ({
    taskKey: entry.taskKey,
    uid: `uid-${at}`,
    sequence: 0,
    revisedAt: '2026-11-09T15:30:00Z',
    createdAt: '2026-11-09T15:30:00Z',
    cancelledAt: null,
    entry,
  }));
  const week = 'outlook:1/2026-11-09';
  expect(passedKeys(rows, isoDate('2026-11-15')).has(week)).toBe(false);
  expect(passedKeys(rows, isoDate('2026-11-16')).has(week)).toBe(true);
  const [row] = rows;
  const task = row && { ...row, entry: { ...row.entry, kind: 'task' as const } };
  expect(passedKeys(task ? [task] : [], addDays(fakeToday, 900)).size).toBe(0);
});
