import { describe, expect, it } from 'vitest';
import { usualAnchors } from '../../src/core/season/anchor-defaults.ts';
import { noDetail } from '../../src/core/work-details.ts';
import { buildApp } from '../../src/web/app.ts';
import { type FakeState, fakeDeps } from '../support/fake-deps.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';
import { fakeDraft } from '../support/plan.ts';

interface Case {
  name: string;
  /** Page that holds the form. */
  page: string;
  action: string;
  change: Record<string, string | string[]>;
  /** Field that the page must name, with the start of its sentence. */
  field: string;
  message: RegExp;
}

const unit = { page: '/units/2', action: '/units/2' };
const block = { page: '/units/2', action: '/units/2/block' };
const entry = { page: '/units/2', action: '/units/2/entries' };
const crew = { page: '/settings', action: '/settings/crews/1' };
const anchors = { page: '/settings', action: '/settings/anchors/1' };
const start = { page: '/land/start', action: '/land/start' };
const good = { treatmentKey: 'cure-check', doneOn: '2026-11-09', outcome: 'done' };

const bad: Case[] = [
  {
    ...block,
    name: 'an interval of nothing',
    change: { leastSeasons: '0', targetYears: '3', mostYears: '4' },
    field: 'leastSeasons',
    message: /^Least, burning seasons: write a number above 0, or leave it blank/,
  },
  { ...unit, name: 'no code', change: { code: '' }, field: 'code', message: /^Code: fill/ },
  {
    ...unit,
    name: 'acres in words',
    change: { areaAcres: 'thirty' },
    field: 'areaAcres',
    message: /^Acres: write a number/,
  },
  {
    ...unit,
    name: 'no acres',
    change: { areaAcres: '0' },
    field: 'areaAcres',
    message: /^Acres: write a number of 0.1 or more/,
  },
  {
    ...unit,
    name: 'a long name',
    change: { name: 'x'.repeat(81) },
    field: 'name',
    message: /^Name: write at most 80/,
  },
  {
    ...unit,
    name: 'no such day',
    change: { sequenceStartsOn: '2026-02-30' },
    field: 'sequenceStartsOn',
    message: /^Sequence starts on: write a real day/,
  },
  {
    ...unit,
    name: 'half a year',
    change: { heldUntilYear: '2030.5' },
    field: 'heldUntilYear',
    message: /^No fire before 1 July of/,
  },
  {
    ...block,
    name: 'one person',
    change: { burnPeopleLeast: '1' },
    field: 'burnPeopleLeast',
    message: /^Least people on the burn: write a number of 2 or more/,
  },
  {
    ...block,
    name: 'half a person',
    change: { burnPeopleLeast: '6.5' },
    field: 'burnPeopleLeast',
    message: /^Least people on the burn: write a whole number, such as 12\./,
  },
  {
    ...block,
    name: 'a target below the least',
    change: { leastSeasons: '3', targetYears: '2', mostYears: '5' },
    field: 'targetYears',
    message: /^Target, years: write 3 or more/,
  },
  {
    ...block,
    name: 'a target above the most',
    change: { leastSeasons: '2', targetYears: '5', mostYears: '4.5' },
    field: 'mostYears',
    message: /^Most, years: write 5 or more/,
  },
  {
    ...block,
    name: 'half an interval',
    change: { leastSeasons: '2', targetYears: '', mostYears: '4' },
    field: 'targetYears',
    message: /^Target, years: fill this in too, or leave all three blank/,
  },
  {
    ...block,
    name: 'half a season',
    change: { leastSeasons: '1.5', targetYears: '3', mostYears: '4' },
    field: 'leastSeasons',
    message: /^Least, burning seasons: write a whole number/,
  },
  {
    ...block,
    name: 'a plan that ends on no day',
    change: { planExpiresOn: '2027-02-29' },
    field: 'planExpiresOn',
    message: /^Burn plan good until: write a real day/,
  },
  {
    ...block,
    name: 'consent in words',
    change: { consentUntil: 'spring' },
    field: 'consentUntil',
    message: /^Consent until: write a real day/,
  },
  {
    ...block,
    name: 'a permit on no day',
    change: { permitUntil: '2026-13-01' },
    field: 'permitUntil',
    message: /^Permit until: write a real day/,
  },
  {
    ...block,
    name: 'notices of tomorrow',
    change: { noticesGivenOn: '2026-11-10' },
    field: 'noticesGivenOn',
    message: /^Notices given on: write the day on which it was done/,
  },
  {
    ...block,
    name: 'a fuel check of tomorrow',
    change: { fuelCheckedOn: '2026-11-10' },
    field: 'fuelCheckedOn',
    message: /^Fuel checked on: write the day on which it was done/,
  },
  {
    ...block,
    name: 'a long name',
    change: { planSignedBy: 'x'.repeat(81) },
    field: 'planSignedBy',
    message: /^Burn plan signed by: write at most 80/,
  },
  {
    ...entry,
    name: 'no treatment',
    change: { ...good, treatmentKey: '' },
    field: 'treatmentKey',
    message: /^Treatment/,
  },
  {
    ...entry,
    name: 'an unknown treatment',
    change: { ...good, treatmentKey: 'x' },
    field: 'treatmentKey',
    message: /^Treatment: choose/,
  },
  {
    ...entry,
    name: 'no day',
    change: { ...good, doneOn: '' },
    field: 'doneOn',
    message: /^Last day: write a real day/,
  },
  {
    ...entry,
    name: 'a day to come',
    change: { ...good, doneOn: '2026-11-10' },
    field: 'doneOn',
    message: /^Last day: the work log holds what was done/,
  },
  {
    ...entry,
    name: 'not possible without a reason',
    change: { ...good, outcome: 'not-possible' },
    field: 'reason',
    message: /^Reason: say/,
  },
  {
    ...entry,
    name: 'more than all black',
    change: { ...good, shareBlackPercent: '101' },
    field: 'shareBlackPercent',
    message: /^Share black, %: write a number of 100 or less/,
  },
  {
    ...entry,
    name: 'out before lit',
    change: { ...good, treatmentKey: 'dormant-burn', signedOutOn: '2026-11-01' },
    field: 'signedOutOn',
    message: /^Signed out on/,
  },
  {
    page: '/worklog/5/sign-out',
    action: '/worklog/5/sign-out',
    name: 'out before lit',
    change: { signedOutOn: '2026-11-01' },
    field: 'signedOutOn',
    message: /^Signed out on/,
  },
  {
    page: '/plan',
    action: '/plan/drafts',
    name: 'no time',
    change: { seconds: '0' },
    field: 'seconds',
    message: /^Seconds to search: write a number of 1/,
  },
  {
    page: '/plan/hold?task=unit%3A5%2Fcedar-woodland%2Ffell%2F1%2F-',
    action: '/plan/hold',
    name: 'no such day',
    change: { startsOn: 'soon' },
    field: 'startsOn',
    message: /^First day: write a real day/,
  },
  {
    page: '/feeds',
    action: '/feeds',
    name: 'no label',
    change: { label: '' },
    field: 'label',
    message: /^Whose calendar: fill/,
  },
  {
    page: '/settings',
    action: '/settings/weights',
    name: 'a minus',
    change: { moved: '-1' },
    field: 'moved',
    message: /^A task moved: write a number of 0/,
  },
  {
    page: '/settings',
    action: '/settings/supply',
    name: 'five seasons',
    change: { seasonsAfter: '5' },
    field: 'seasonsAfter',
    message: /^Burning seasons after this one: write a number of 4 or less/,
  },
  {
    page: '/settings',
    action: '/settings/fit-days/hardwood-litter',
    name: '32 days',
    change: { m1: '32' },
    field: 'm1',
    message: /^Fit days in Jan: write a number of 31/,
  },
  {
    ...anchors,
    name: 'no month-day',
    change: { 'usual-leaf-out': '13-01' },
    field: 'usual-leaf-out',
    message: /^Leaf-out, usual: write month and day/,
  },
  {
    ...anchors,
    name: 'another year',
    change: { 'observed-leaf-out': '2025-04-10' },
    field: 'observed-leaf-out',
    message: /^Leaf-out, this year: write a day of 2026/,
  },
  {
    ...crew,
    name: 'nobody',
    change: { peopleCount: '0' },
    field: 'peopleCount',
    message: /^People: write a number of 1/,
  },
  {
    ...crew,
    name: 'no workday',
    change: { workdays: [] },
    field: 'workdays',
    message: /^Workdays: tick/,
  },
  {
    ...crew,
    name: 'a span in words',
    change: { daysOff: '2026-12-24 to 2027-01-03\nChristmas' },
    field: 'daysOff',
    message: /^Days off, line 2: write first and last day/,
  },
  {
    ...crew,
    name: 'a span that ends first',
    change: { onSpans: '2027-01-03 to 2026-12-24' },
    field: 'onSpans',
    message: /^Contract spans, line 1/,
  },
  {
    ...start,
    name: 'nothing typed',
    change: { name: '' },
    field: 'landownerName',
    message: /^Landowner: fill/,
  },
  {
    ...start,
    name: 'off the globe',
    change: { latitude: '91' },
    field: 'latitude',
    message: /^Latitude: write a number of 90/,
  },
  {
    ...start,
    name: 'a state that is not one',
    change: { state: 'Missouri' },
    field: 'state',
    message: /^State: write the two letters/,
  },
];

describe('bad input', () => {
  it.each(bad)('$action, $name', async ({ page, action, change, field, message }) => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const before = await getPage(app, page);
    const fields = fieldsOf(before, action, change);
    const answer = await sendForm(app, action, fields);
    expect(answer.status).toBe(422);
    expect(deps.calls).toEqual([]);
    const link = answer.root
      .querySelectorAll('.problems a')
      .find((one) => message.test(one.textContent));
    expect(link?.getAttribute('href')).toMatch(new RegExp(`-${field}$`));
    const input = answer.root.getElementById(link?.getAttribute('href')?.slice(1) ?? '');
    expect(input).not.toBeNull();
    if (field !== 'workdays') expect(input?.getAttribute('aria-invalid')).toBe('true');
    const again = fieldsOf(answer, action);
    for (const [name, typed] of Object.entries(fields))
      if (!Array.isArray(typed) && name !== 'treatmentKey')
        expect([name, again[name]]).toEqual([name, typed]);
  });

  it('keeps what was typed as text, never as markup', async () => {
    const app = buildApp(fakeDeps());
    const fields = fieldsOf(await getPage(app, '/units/2'), '/units/2', {
      name: '"><script>alert(1)</script>',
      areaAcres: 'x',
    });
    const answer = await sendForm(app, '/units/2', fields);
    expect(answer.status).toBe(422);
    expect(answer.root.querySelectorAll('script:not([src])')).toHaveLength(0);
    expect(fieldsOf(answer, '/units/2')['name']).toBe(fields['name']);
  });

  it.each([
    ['/units/2', '/units/2', {}],
    ['/units/2', '/units/2/block', {}],
    ['/units/2', '/units/2/entries', good],
    ['/worklog/5/remove', '/worklog/5/remove', {}],
    ['/feeds', '/feeds', { label: 'crew phone' }],
    ['/feeds/1/rotate', '/feeds/1/rotate', {}],
    ['/feeds/1/revoke', '/feeds/1/revoke', {}],
    ['/plan', '/plan/drafts', {}],
    ['/plan', '/plan/adoption', {}],
    ['/settings', '/settings/supply', {}],
    ['/land/sample', '/land/sample', {}],
  ])('shows what the store refuses: %s %s', async (page, action, change) => {
    const problems = [{ code: 'x', message: 'The store says no for a reason.' }];
    const app = buildApp(fakeDeps({ problems, draft: fakeDraft() }));
    const answer = await sendForm(app, action, fieldsOf(await getPage(app, page), action, change));
    expect(answer.status).toBe(422);
    expect(answer.root.querySelector('.problems')?.textContent).toContain(problems[0]?.message);
  });
});

interface GoodCase {
  page: string;
  action: string;
  change: Record<string, string | string[]>;
  state?: Partial<FakeState>;
  to: string;
  call: [name: string, ...args: unknown[]];
}

const accepted: GoodCase[] = [
  {
    ...unit,
    change: {
      tags: 'near-roost, contract-land',
      densityClass: '',
      heldUntilYear: '2031',
      heldReason: 'oaks',
    },
    to: '/units/2',
    call: [
      'land.updateUnit',
      2,
      {
        code: 'N2',
        name: 'Two Springs',
        areaAcres: 31,
        communityKey: 'oak-woodland',
        densityClass: null,
        aspect: 'S',
        tags: ['near-roost', 'contract-land'],
        sequenceKey: 'cedar-woodland',
        sequenceStartsOn: '2024-07-01',
        firstCycle: 1,
        heldUntilYear: 2031,
        heldReason: 'oaks',
      },
    ],
  },
  {
    ...block,
    change: {
      prescriptionKey: '',
      burnPeopleLeast: '8',
      leastSeasons: '2',
      targetYears: '3',
      mostYears: '4.5',
      planSignedBy: ' A. Reed ',
      planExpiresOn: '2028-03-31',
      noticesGivenOn: '2026-11-09',
      fuelCheckedOn: '',
      permitNotNeeded: 'yes',
    },
    to: '/units/2',
    call: [
      'land.updateBlock',
      2,
      {
        prescriptionKey: null,
        burnPeopleLeast: 8,
        rotation: { phase: 'restoration', leastSeasons: 2, targetYears: 3, mostYears: 4.5 },
        readiness: {
          planSignedBy: 'A. Reed',
          planExpiresOn: '2028-03-31',
          consentUntil: null,
          noticesGivenOn: '2026-11-09',
          permitUntil: null,
          permitNotNeeded: true,
          fuelCheckedOn: null,
          peopleNamed: false,
          roles: [],
        },
      },
    ],
  },
  {
    ...entry,
    change: {
      ...good,
      taskKey: 'unit:2/cedar-woodland/cure-check/1/-',
      areaAcres: '31',
      note: 'snaps clean',
    },
    to: '/units/2#history',
    call: [
      'worklog.write',
      [
        {
          entry: {
            unitId: 2,
            treatmentKey: 'cure-check',
            taskKey: 'unit:2/cedar-woodland/cure-check/1/-',
            startedOn: null,
            doneOn: '2026-11-09',
            precision: 'day',
            outcome: 'done',
            reason: '',
            areaAcres: 31,
            crewDays: null,
            personHours: null,
            shareBlackPercent: null,
            fireCause: null,
            signedOutOn: null,
            note: 'snaps clean',
          },
          detail: noDetail,
        },
      ],
      null,
    ],
  },
  {
    page: '/worklog/5/remove',
    action: '/worklog/5/remove',
    change: {},
    to: '/worklog',
    call: ['worklog.remove', 5],
  },
  {
    page: '/plan',
    action: '/plan/drafts',
    change: {},
    to: '/plan',
    call: ['planning.start', { seconds: 5, seed: 1 }],
  },
  {
    page: '/plan',
    action: '/plan/adoption',
    change: {},
    state: { draft: fakeDraft() },
    to: '/plan',
    call: ['plans.adopt', 2],
  },
  {
    page: '/plan',
    action: '/plan/discard',
    change: {},
    state: { draft: fakeDraft() },
    to: '/plan',
    call: ['plans.discard', 2],
  },
  {
    page: '/plan/hold?task=unit%3A5%2Fcedar-woodland%2Ffell%2F1%2F-',
    action: '/plan/hold',
    change: { startsOn: '2026-12-07' },
    to: '/plan',
    call: ['land.holdDates', 'unit:5/cedar-woodland/fell/1/-', '2026-12-07'],
  },
  {
    page: '/plan/hold?task=unit%3A5%2Fcedar-woodland%2Ffell%2F1%2F-',
    action: '/plan/hold',
    change: { startsOn: '' },
    to: '/plan',
    call: ['land.holdDates', 'unit:5/cedar-woodland/fell/1/-', null],
  },
  {
    page: '/feeds/1/revoke',
    action: '/feeds/1/revoke',
    change: {},
    to: '/feeds',
    call: ['feeds.revoke', 1],
  },
  {
    ...crew,
    change: { workdays: ['6', '1'], daysOff: '2026-12-24', onSpans: '' },
    to: '/settings#crew-1',
    call: [
      'land.updateCrew',
      1,
      {
        name: 'Home crew',
        peopleCount: 4,
        spreadDaysPerWeek: 4,
        costPerDayUsd: 0,
        workdays: [1, 6],
        daysOff: [{ startsOn: '2026-12-24', endsBefore: '2026-12-25' }],
        onSpans: null,
      },
    ],
  },
  {
    ...anchors,
    change: { 'observed-leaf-out': '2026-04-16' },
    to: '/settings#anchors-1',
    call: [
      'land.setAnchors',
      1,
      [{ anchor: 'leaf-out', value: { year: 2026, date: '2026-04-16', how: 'observed' } }],
    ],
  },
  {
    page: '/settings',
    action: '/settings/fit-days/hardwood-litter',
    change: { m1: '7.5' },
    to: '/settings#fit-hardwood-litter',
    call: ['land.setFitDays', 'hardwood-litter', [7.5, 5, 6, 4, 2, 2, 0, 2, 3, 5, 6, 4]],
  },
  { page: '/land/sample', action: '/land/sample', change: {}, to: '/', call: ['land.loadSample'] },
  {
    ...start,
    change: {
      landownerName: 'A',
      name: 'B',
      state: 'mo',
      county: 'C',
      latitude: '37',
      longitude: '-92',
    },
    to: '/land/import',
    call: [
      'land.startOwn',
      {
        landownerName: 'A',
        name: 'B',
        state: 'MO',
        county: 'C',
        timeZone: 'America/Chicago',
        latitude: 37,
        longitude: -92,
      },
    ],
  },
];

describe('good input', () => {
  it.each(accepted)(
    '$action is taken once and goes on to $to',
    async ({ page, action, change, state, to, call }) => {
      const deps = fakeDeps(state);
      const app = buildApp(deps);
      const answer = await sendForm(
        app,
        action,
        fieldsOf(await getPage(app, page), action, change),
      );
      expect(answer.status).toBe(303);
      expect(answer.headers['location']).toBe(to);
      const [name, ...args] = call;
      expect(deps.calls).toEqual([{ name, args }]);
    },
  );

  it('keeps the shares that the form shows in percent', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const form = fieldsOf(await getPage(app, '/settings'), '/settings/supply', {
      usedPercent: '55',
    });
    expect((await sendForm(app, '/settings/supply', form)).status).toBe(303);
    expect(deps.calls[0]?.args[0]).toMatchObject({
      supply: { level: 'half', usedShare: 0.55 },
      weights: deps.state.operation.settings.weights,
    });
  });

  it('signs a burn out by one correction', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const signOut = { signedOutOn: '2026-11-09', reason: '' };
    const refused = await sendForm(app, '/worklog/5/sign-out', signOut);
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('Reason: the watch still lacks');
    expect(deps.calls).toEqual([]);
    const reason = 'rained two inches';
    const answer = await sendForm(app, '/worklog/5/sign-out', { ...signOut, reason });
    expect(answer.status).toBe(303);
    expect(deps.calls).toMatchObject([
      { name: 'papers.add', args: [{ kind: 'early-sign-out', reason, unitIds: [6, 7] }] },
      { name: 'worklog.signOut', args: [5, '2026-11-09'] },
    ]);
    const { entries } = deps.state.operation;
    expect(entries.filter((one) => one.unitId === 6)).toMatchObject([
      { doneOn: '2026-11-07', shareBlackPercent: 70, signedOutOn: '2026-11-09' },
    ]);
    expect((await getPage(app, '/')).text).not.toContain('Burns still open');
  });

  it('refuses to adopt a draft that is no longer the newest', async () => {
    const deps = fakeDeps({ draft: fakeDraft() });
    const answer = await sendForm(buildApp(deps), '/plan/adoption', { planId: '7' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('This draft is no longer there');
    expect(deps.calls).toEqual([]);
  });

  it('never lets the sample take the place of own land', async () => {
    const deps = fakeDeps();
    for (const property of deps.state.operation.properties) property.isSample = false;
    const app = buildApp(deps);
    for (const path of ['/land/sample', '/land/start'])
      expect([path, (await sendForm(app, path, {})).status]).toEqual([path, 422]);
    expect(deps.calls).toEqual([]);
  });
});

describe('two people with one form open', () => {
  const cases = [
    { ...unit, field: 'name', label: 'Name', theirs: 'Upper Springs', mine: 'Three Springs' },
    { ...crew, field: 'name', label: 'Name', theirs: 'Barn crew', mine: 'Office crew' },
  ];
  it.each(cases)(
    '$action: the second sees both versions, and then keeps what was typed',
    async ({ page, action, field, label, theirs, mine }) => {
      const deps = fakeDeps();
      const app = buildApp(deps);
      const opened = fieldsOf(await getPage(app, page), action, { [field]: mine });
      const { operation } = deps.state;
      const row =
        page === unit.page
          ? operation.units.find(({ id }) => id === 2)
          : operation.crews.find(({ id }) => id === 1);
      if (row) row.name = theirs;
      const refused = await sendForm(app, action, opened);
      expect(refused.status).toBe(409);
      expect(deps.calls).toEqual([]);
      expect(refused.text).toContain(
        `${label}: meanwhile somebody saved "${theirs}", and you have "${mine}"`,
      );
      const again = fieldsOf(refused, action);
      expect(again[field]).toBe(mine);
      expect((await sendForm(app, action, again)).status).toBe(303);
      expect(deps.calls).toHaveLength(1);
    },
  );

  it('a field that only the other one changed is not put back unseen', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const opened = fieldsOf(await getPage(app, '/units/2'), '/units/2', { areaAcres: '33' });
    const row = deps.state.operation.units.find(({ id }) => id === 2);
    if (row) row.aspect = 'N';
    const refused = await sendForm(app, '/units/2', opened);
    expect(refused.text).toContain('Aspect: meanwhile somebody saved "N", and you have "S"');
    expect(deps.calls).toEqual([]);
  });
});

describe('a change that breaks planned work', () => {
  it.each([unit, block, crew, anchors])(
    '$action: the tasks are named and the change waits for a yes',
    async ({ page, action }) => {
      const message = 'Planned work would break a rule: Burn on N2 is outside its window.';
      const deps = fakeDeps({ problems: [{ code: 'breaks-plan', message }] });
      const app = buildApp(deps);
      const change = action === anchors.action ? { 'usual-leaf-out': '04-20' } : {};
      const form = fieldsOf(await getPage(app, page), action, change);
      const asked = await sendForm(app, action, form);
      expect(asked.status).toBe(409);
      expect(asked.text).toContain(message);
      const box = asked.root.querySelector('input[name="saveAnyway"]');
      const id = box?.getAttribute('form') ?? '';
      expect(asked.root.querySelector(`form#${id}`)?.getAttribute('action')).toBe(action);
      deps.state.problems = [];
      const sure = await sendForm(app, action, { ...fieldsOf(asked, action), saveAnyway: 'yes' });
      expect(sure.status).toBe(303);
      expect(deps.calls.at(-1)?.args.at(-1)).toBe(true);
    },
  );
});

describe('a block whose cycle was set elsewhere', () => {
  it('keeps it when another field of the unit is saved', async () => {
    const deps = fakeDeps();
    const own = deps.state.operation.blocks.find(({ id }) => id === 2);
    if (own) own.firstCycle = 4;
    const app = buildApp(deps);
    const form = fieldsOf(await getPage(app, '/units/2'), '/units/2', { name: 'Three Springs' });
    expect((await sendForm(app, '/units/2', form)).status).toBe(303);
    expect(deps.calls[0]?.args[1]).toMatchObject({ firstCycle: 4, name: 'Three Springs' });
  });
});

describe('an address with a name given twice', () => {
  it.each([
    '/units?q=a&q=b',
    '/land/lines?q=a&q=b',
    '/land/blocks?acres=5&acres=9',
    '/rotations?q=a&q=b',
    '/records/units?page=1&page=2&q=a&q=b',
    '/units?__proto__=x&q=N',
  ])('%s is a page', async (path) => {
    expect((await getPage(buildApp(fakeDeps()), path)).status).toBe(200);
  });
});

describe('the usual days of anchors', () => {
  it('go back to the default of the latitude, all together', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    expect((await getPage(app, '/settings')).text).toContain('Usual days back to the default');
    const sent = await sendForm(app, '/settings/anchors/1/default', {});
    expect([sent.status, sent.headers['location']]).toEqual([303, '/settings#anchors-1']);
    const latitude = deps.state.operation.properties[0]?.latitude ?? 0;
    const { usual } = usualAnchors(latitude);
    const [name, changes] = [deps.calls[0]?.name, deps.calls[0]?.args[1]];
    expect(name).toBe('land.setAnchors');
    expect(changes).toContainEqual({ anchor: 'leaf-out', value: { usual: usual['leaf-out'] } });
    expect(changes).toHaveLength(4);
  });
});
