import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import type { PlanningRun } from '../../src/web/deps.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';
import { fakeDraft } from '../support/plan.ts';

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
