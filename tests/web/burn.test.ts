import { describe, expect, test } from 'vitest';
import { isoDate } from '../../src/core/dates.ts';
import { loadLibrary } from '../../src/reference/library.ts';
import { buildApp } from '../../src/web/app.ts';
import { type FakeDeps, fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

const library = loadLibrary();

/** The invented operation with the tables of steps, looks and state rules. */
function deps(): FakeDeps {
  const operation = fakeOperation();
  operation.burnSteps = library.burnSteps;
  operation.followUps = library.followUps;
  operation.stateRules = library.stateRules;
  operation.people = [
    {
      id: 1,
      name: 'Ada Fenn',
      contact: 'radio 2',
      crewId: 1,
      burnRoles: ['boss'],
      qualifications: [],
      usualDays: [1, 2],
      note: '',
    },
    {
      id: 2,
      name: 'Rolf Pell',
      contact: '',
      crewId: null,
      burnRoles: ['holder'],
      qualifications: [],
      usualDays: [6],
      note: '',
    },
  ];
  return fakeDeps({ operation });
}

const by = 'Ada Fenn';

describe('the page of a burn', () => {
  test('shows what stands, the steps with their sources, and the law to look up', async () => {
    const page = await getPage(buildApp(deps()), '/burns/1');
    expect(page.status).toBe(200);
    expect(page.text).toContain('It never authorizes a burn');
    expect(page.text).toContain('Call dispatch or the fire department before the first fire');
    expect(page.text).toContain('17 Ill. Adm. Code 1565.40');
    expect(page.text).toContain('No state permit; county bans');
    expect(page.root.querySelectorAll('ol.steps > li').length).toBeGreaterThan(10);
    expect(page.root.querySelector('button.main.go, .green')).toBeNull();
  });

  test.each(['/burns/99', '/burns/x', '/choices/99'])('%s is not there', async (path) => {
    expect((await getPage(buildApp(deps()), path)).status).toBe(404);
  });

  test('a tap keeps a step with who, to whom, day and local time, and can be taken back', async () => {
    const all = deps();
    const app = buildApp(all);
    const form = {
      ...fieldsOf(await getPage(app, '/burns/1'), '/burns/1/steps'),
      by,
      done: 'neighbors',
      'toWhom-neighbors': 'R. Pell',
    };
    const answer = await sendForm(app, '/burns/1/steps', form);
    expect([answer.status, answer.headers['location']]).toEqual([303, '/burns/1#step-neighbors']);
    // 15:00 UTC is 9 in the morning at the property in November.
    expect(all.state.operation.papers).toMatchObject([
      {
        kind: 'step',
        stepKey: 'neighbors',
        isNeeded: true,
        toWhom: 'R. Pell',
        by,
        on: '2026-11-09',
        at: '09:00',
        unitIds: [1],
      },
    ]);
    expect((await getPage(app, '/burns/1')).text).toContain(
      'done 9 Nov 2026, 09:00, by Ada Fenn, to R. Pell',
    );
    expect((await sendForm(app, '/burns/1/papers/1/take-back', {})).status).toBe(303);
    expect(all.state.operation.papers).toEqual([]);
    expect((await sendForm(app, '/burns/1/papers/1/take-back', {})).status).toBe(404);
  });

  test.each([
    [{ by: '', done: 'neighbors' }, /Your name: fill this in/],
    [{ by, notNeeded: 'snags' }, /Note: say why this step is not needed here/],
    [{ by, done: 'no-such-step' }, /Press the button of a step/],
    [{ by }, /Press the button of a step/],
  ])('a step that can not be kept says why: %j', async (form, words) => {
    const all = deps();
    const page = await sendForm(buildApp(all), '/burns/1/steps', {
      ...form,
      'toWhom-neighbors': 'R. Pell',
    });
    expect(page.status).toBe(422);
    expect(page.text).toMatch(words);
    expect(page.root.querySelector('#steps-toWhom-neighbors')?.getAttribute('value')).toBe(
      'R. Pell',
    );
    expect(all.state.operation.papers).toEqual([]);
  });
});

describe('the called day', () => {
  test.each([
    ['2026-11-09', 303],
    ['2026-11-10', 303],
    ['2026-11-11', 422],
    ['2026-11-08', 422],
  ])('on 9 November a call for %s answers %i', async (day, status) => {
    const page = await sendForm(buildApp(deps()), '/burns/1/call', {
      by,
      day,
      lightAt: '',
      note: '',
    });
    expect(page.status).toBe(status);
    if (status === 422) expect(page.text).toContain('called for today or tomorrow');
  });

  test('makes the open steps of the day missing, is shown in Today, and can be called off with a reason', async () => {
    const all = deps();
    const app = buildApp(all);
    await sendForm(app, '/burns/1/call', { by, day: '2026-11-09', lightAt: '9:30', note: '' });
    const page = await getPage(app, '/burns/1');
    expect(page.text).toContain('Called for 9 Nov 2026, first fire at 09:30, by Ada Fenn');
    expect(page.text).toContain(
      'Notices: no notices given this burning season; not done: Call dispatch',
    );
    expect((await getPage(app, '/')).text).toContain('called for 9 Nov 2026, 09:30, by Ada Fenn');
    expect((await sendForm(app, '/burns/1/call-off', { by, reason: '' })).status).toBe(422);
    expect((await sendForm(app, '/burns/1/call-off', { by, reason: 'gusts' })).status).toBe(303);
    expect((await getPage(app, '/burns/1')).text).not.toContain('Called for');
    expect((await sendForm(app, '/burns/1/call-off', { by, reason: 'gusts' })).text).toContain(
      'No day is called',
    );
  });

  test('people are asked and their answers counted', async () => {
    const all = deps();
    const app = buildApp(all);
    await sendForm(app, '/burns/1/call', { by, day: '2026-11-10', lightAt: '', note: '' });
    const before = await getPage(app, '/burns/1');
    expect(before.text).toContain('0 of 6 people needed on the ground said that they come');
    // 10 November 2026 is a Tuesday.
    expect(before.text).toContain('may be boss · a usual day');
    expect(before.text).toContain('may be holder · not a usual day');
    for (const [personId, answer] of [
      ['1', 'late'],
      ['2', 'no'],
      ['2', 'yes'],
    ] as const)
      expect(
        (await sendForm(app, '/burns/1/call-out', { by, day: '2026-11-10', personId, answer }))
          .status,
      ).toBe(303);
    const after = await getPage(app, '/burns/1');
    expect(after.text).toContain('2 of 6 people needed');
    expect(
      after.root.querySelectorAll('button[aria-pressed="true"]').map((one) => one.text),
    ).toEqual(['late', 'yes']);
    expect(
      (
        await sendForm(app, '/burns/1/call-out', {
          by,
          day: '2026-11-10',
          personId: '9',
          answer: 'yes',
        })
      ).status,
    ).toBe(422);
  });

  test('why a fit day was not used is one tap', async () => {
    const all = deps();
    const app = buildApp(all);
    expect(
      (await sendForm(app, '/burns/1/unused-days', { by, day: '2026-11-08', reason: 'smoke' }))
        .status,
    ).toBe(303);
    expect((await getPage(app, '/burns/1')).text).toContain('8 Nov 2026: smoke, by Ada Fenn');
    expect(
      (await sendForm(app, '/burns/1/unused-days', { by, day: '2026-11-12', reason: 'smoke' }))
        .status,
    ).toBe(422);
    expect(
      (await sendForm(app, '/burns/1/unused-days', { by, day: '2026-11-08', reason: 'weather' }))
        .status,
    ).toBe(422);
  });
});

describe('the watch', () => {
  // Block 6 was lit on 7 November and is not signed out.
  const check = (own: Record<string, string> = {}) => ({
    by,
    isClean: 'yes',
    after: '',
    note: '',
    ...own,
  });

  test('two clean checks on two days, one after the weather, sign it out without a reason', async () => {
    const all = deps();
    const app = buildApp(all);
    expect((await getPage(app, '/')).text).toContain('Check it, sign it out');
    await sendForm(app, '/burns/6/checks', check());
    all.state.today = isoDate('2026-11-10');
    const open = await sendForm(app, '/burns/6/sign-out', {
      by,
      signedOutOn: '2026-11-10',
      reason: '',
    });
    expect(open.status).toBe(422);
    expect(open.text).toContain(
      '1 more clean check on another day; a clean check after the next dry windy afternoon',
    );
    await sendForm(app, '/burns/6/checks', check({ after: 'soaking-rain' }));
    expect((await getPage(app, '/burns/6')).text).toContain(
      'The checks are in. The burn boss decides.',
    );
    const early = await sendForm(app, '/burns/6/sign-out', {
      by,
      signedOutOn: '2026-11-08',
      reason: '',
    });
    expect(early.text).toContain('Signed out on: write the day of the burn, or of the last check');
    const done = await sendForm(app, '/burns/6/sign-out', {
      by,
      signedOutOn: '2026-11-10',
      reason: '',
    });
    expect(done.status).toBe(303);
    expect(all.state.operation.papers.map(({ kind }) => kind)).toEqual(['patrol', 'patrol']);
    expect(all.state.operation.entries.find(({ unitId }) => unitId === 6)?.signedOutOn).toBe(
      '2026-11-10',
    );
  });

  test('a check that is not clean starts the count again', async () => {
    const all = deps();
    const app = buildApp(all);
    await sendForm(app, '/burns/6/checks', check({ after: 'soaking-rain' }));
    await sendForm(app, '/burns/6/checks', check({ isClean: 'no' }));
    expect((await getPage(app, '/burns/6')).text).toContain('2 more clean checks on another day');
  });

  test('snags make it longer', async () => {
    const all = deps();
    const app = buildApp(all);
    await sendForm(app, '/burns/6/checks', check({ hasSnagsOrSlash: 'yes' }));
    expect((await getPage(app, '/burns/6')).text).toContain(
      'a clean check on 10 Nov 2026 or later, because of snags or slash',
    );
  });

  test('without the checks a reason is asked, and kept', async () => {
    const all = deps();
    const app = buildApp(all);
    const answer = await sendForm(app, '/burns/6/sign-out', {
      by,
      signedOutOn: '2026-11-09',
      reason: 'snowed under',
    });
    expect(answer.status).toBe(303);
    expect(all.state.operation.papers).toMatchObject([
      { kind: 'early-sign-out', reason: 'snowed under', by },
    ]);
  });

  test.each([
    ['2026-11-08', '', 422],
    ['2026-11-08', 'two inches of rain', 303],
    ['2026-03-08', '', 303],
  ])(
    'an entry of %s that signs it out at once, reason "%s", answers %i',
    async (doneOn, reason, status) => {
      const app = buildApp(deps());
      const form = fieldsOf(await getPage(app, '/worklog/new?unit=1'), '/worklog/new', {
        treatmentKey: 'dormant-burn',
        outcome: 'done',
        doneOn,
        signedOutOn: doneOn,
        reason,
      });
      const page = await sendForm(app, '/worklog/new', form);
      expect(page.status).toBe(status);
      if (status === 422)
        expect(page.text).toContain('signed out on the page of its burn, after its checks');
    },
  );
});

describe('the choices', () => {
  test('are tried side by side; one is taken with a reason and leads to the draft', async () => {
    const all = deps();
    const app = buildApp(all);
    const page = await getPage(app, '/choices/1');
    // Years since the fire less years past it is the longest interval of an oak savanna: 3 (shared table).
    const past = /([\d.]+) years then, ([\d.]+) years past its longest interval/.exec(page.text);
    expect(past && (Number(past[1]) - Number(past[2])).toFixed(0)).toBe('3');
    expect(page.text).toContain('Leave it as it stands');
    expect(page.text).toContain('Wait a year');
    expect(page.text).toContain('Nothing changes until you choose');
    expect((await sendForm(app, '/choices/1', { by, choice: 'wait', reason: '' })).status).toBe(
      422,
    );
    const shut = await sendForm(app, '/choices/1', { by, choice: 'late-season', reason: 'wet' });
    expect(shut.text).toContain('Choice: this one is not open for the block');
    const taken = await sendForm(app, '/choices/1', {
      by,
      choice: 'wait',
      reason: 'would not carry',
    });
    expect([taken.status, taken.headers['location']]).toEqual([303, '/plan']);
    expect(all.calls).toMatchObject([
      {
        name: 'papers.choose',
        args: [{ kind: 'choice', choice: 'wait', reason: 'would not carry', blockId: 1 }],
      },
    ]);
  });

  test('a block without a burn, and one that is lit, say so', async () => {
    const app = buildApp(deps());
    expect((await getPage(app, '/choices/4')).text).toContain('no burn in its sequence');
    expect((await getPage(app, '/choices/6')).text).toContain('Sign it out first');
  });
});
