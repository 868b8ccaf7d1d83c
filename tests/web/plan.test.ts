import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import type { PlanningRun } from '../../src/web/deps.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation } from '../support/operation.ts';
import { getPage } from '../support/page.ts';
import { fakeDraft, fakePlan } from '../support/plan.ts';

const running: PlanningRun = {
  state: 'running',
  startedAt: '2026-11-09T15:00:00Z',
  seconds: 2,
  secondsBudget: 8,
  cost: 4000,
  leftOutCount: 3,
  problems: [],
  draftId: null,
};

describe('the plan page', () => {
  it('says what the plan in force comes to, in burns, acres, crew days and money', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/plan');
    const figures = root.querySelectorAll('.standing div').map((one) => one.textContent.trim());
    // 22 + 31 acres burned; 18 sprayed and 44 cut; 265 tenths of crew days; 14 contract days at $1,450.
    expect(figures).toEqual([
      'burns, 53 acres2',
      'acres cut, sprayed or planted62',
      'crew days26.5',
      'for hired crews$20,300',
      'later than due1',
      'left out, 1 burn among them1',
    ]);
  });

  it('shows the draft by its differences, with old and new dates', async () => {
    const { text } = await getPage(buildApp(fakeDeps({ draft: fakeDraft() })), '/plan');
    expect(text).toContain('Moved: 1');
    expect(text).toContain('from 30 Nov to 18 Dec 2026 to 7 to 23 Dec 2026');
  });

  it('asks again each second while a draft is made, and stops when it is done', async () => {
    const deps = fakeDeps({ run: running });
    const app = buildApp(deps);
    const pane = await getPage(app, '/plan', { 'hx-request-type': 'partial' });
    expect(pane.root.querySelector('html')).toBeNull();
    const polled = pane.root.querySelector('#plan-pane');
    expect(polled?.getAttribute('hx-trigger')).toBe('every 1s');
    expect(pane.root.querySelector('progress')?.getAttribute('value')).toBe('25');
    expect(pane.text).toContain('leaves out 3 tasks');
    expect(pane.root.querySelector('a[href="/plan"]')?.textContent).toBe('Look again');
    expect(pane.root.querySelector('form[action="/plan/adoption"]')).toBeNull();
    deps.state.run = { ...running, state: 'done', seconds: 8, draftId: 2 };
    deps.state.draft = fakeDraft();
    const after = await getPage(app, '/plan', { 'hx-request-type': 'partial' });
    expect(after.root.querySelector('[hx-trigger]')).toBeNull();
    expect(after.root.querySelector('form[action="/plan/adoption"]')).not.toBeNull();
  });

  it('gives the same pane to the page and to the swap', async () => {
    const app = buildApp(fakeDeps({ draft: fakeDraft() }));
    const page = await getPage(app, '/plan');
    const pane = await getPage(app, '/plan', { 'hx-request-type': 'partial' });
    expect(page.root.querySelector('#plan-pane')?.outerHTML).toBe(
      pane.root.querySelector('#plan-pane')?.outerHTML,
    );
  });

  it('says why a draft failed', async () => {
    const problems = [{ code: 'no-crew', message: 'No crew has the skill saw.' }];
    const deps = fakeDeps({ run: { ...running, state: 'failed', problems } });
    expect((await getPage(buildApp(deps), '/plan')).text).toContain('No crew has the skill saw.');
  });
});

describe('lines of the plan page', () => {
  it('says acres and crew days of what is left out, and lateness in years, too', async () => {
    const operation = fakeOperation();
    const inForce = fakePlan();
    inForce.content.leftOut = inForce.content.leftOut.map((one) => ({
      ...one,
      crewDaysTenths: 20,
    }));
    const { root } = await getPage(buildApp(fakeDeps({ operation, inForce })), '/plan');
    expect(root.querySelector('section[aria-labelledby="left-out"] .when')?.textContent).toBe(
      '36 acres · 2 crew days',
    );
    const late = root.querySelectorAll('section[aria-labelledby="planned"] span.late');
    expect(late.map((one) => one.textContent).filter((one) => one !== '')).toEqual([
      '575 days (1.6 years)',
    ]);
  });

  it('says of what is left out and late what is in the way, and what displacing it would cost', async () => {
    const inForce = fakePlan();
    const { tasks, leftOut } = inForce.content;
    const why = {
      obstacle: 'crew',
      words: 'the crew is full',
      displacing: 'Displacing A costs 1.',
    };
    const late = { ...why, words: 'the fit days are taken' } as const;
    inForce.content.leftOut = leftOut.map((one) => ({
      ...one,
      ...{ reason: why.words, why: { ...why, obstacle: 'crew' } },
    }));
    inForce.content.tasks = tasks.map((one) =>
      one.lateDays > 0 ? { ...one, late: { ...late, obstacle: 'fit-days' } } : one,
    );
    const { root } = await getPage(buildApp(fakeDeps({ inForce })), '/plan');
    const more = (section: string) =>
      root
        .querySelectorAll(`section[aria-labelledby="${section}"] .more`)
        .map((one) => one.textContent);
    expect(more('left-out')).toEqual(['The crew is full. Displacing A costs 1.']);
    expect(more('late')).toEqual(['The fit days are taken. Displacing A costs 1.']);
  });

  it.each([
    [-1, ['Blow the line again', 'Dormant-season burn']],
    [1, ['Dormant-season burn', 'Blow the line again']],
  ])('puts a step %s days about the burn in its place', async (tiedDays, expected) => {
    const operation = fakeOperation();
    operation.sequences = operation.sequences.map((sequence) => ({
      ...sequence,
      steps: sequence.steps.map((step) =>
        step.key === 'second-pass' ? { ...step, tiedTo: 'burn', tiedDays } : step,
      ),
    }));
    const inForce = fakePlan();
    inForce.content.tasks = inForce.content.tasks.filter(
      ({ startsOn }) => startsOn === '2027-01-11',
    );
    const { root } = await getPage(buildApp(fakeDeps({ operation, inForce })), '/plan');
    const work = root.querySelectorAll('section[aria-labelledby="planned"] td[data-label="Work"]');
    expect(work.map((one) => one.textContent.trim().replace(/^\S+\s+/, ''))).toEqual(expected);
  });
});

it.each([
  [1, '1 crew day a job'],
  [2, '2 crew days a job'],
])('a rate of %s a job is said as %s on the Sequences page', async (amount, said) => {
  const operation = fakeOperation();
  operation.treatments = operation.treatments.map((one) => ({
    ...one,
    rate: { ...one.rate, basis: 'fixed', per: 'crew-day', amount },
  }));
  const { root } = await getPage(buildApp(fakeDeps({ operation })), '/sequences');
  const rate = root.querySelector('td[data-label="Rate"] div');
  expect(rate?.childNodes[0]?.textContent.trim()).toBe(said);
});

it('the legend of the Year has a word for what is planned', async () => {
  const { root } = await getPage(buildApp(fakeDeps()), '/year');
  expect(root.querySelector('[aria-label="Legend"]')?.textContent).toContain('planned, with dates');
});

it.each(['/', '/plan'])('%s says so while the first plan of the sample is made', async (path) => {
  const said = 'The first plan of the sample is being made';
  const page = async (isSampleUnderWay: boolean) =>
    (await getPage(buildApp(fakeDeps({ inForce: null, isSampleUnderWay })), path)).text;
  expect(await page(true)).toContain(said);
  expect(await page(false)).not.toContain(said);
});

describe('the past-years test on the plan page', () => {
  it('says that it is being counted while it runs, and offers it when it does not', async () => {
    const deps = fakeDeps();
    const planId = deps.state.inForce?.id ?? 0;
    const app = buildApp(deps);
    expect((await getPage(app, '/plan')).text).toContain('Not tested yet');
    deps.state.pastYearsRun = { planId, state: 'running', share: 0.25, problems: [] };
    expect((await getPage(app, '/plan')).text).toContain('is being counted');
  });
});
