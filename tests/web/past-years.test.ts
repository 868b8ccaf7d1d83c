import { describe, expect, test } from 'vitest';
import { chanceOf } from '../../src/core/weather/chance.ts';
import type { BurnResult } from '../../src/core/weather/past-years.ts';
import type { PastYearsResult } from '../../src/core/weather/past-years-land.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage, sendForm } from '../support/page.ts';
import { fakePlan } from '../support/plan.ts';

const burns = fakePlan().content.tasks.filter((task) => task.isWhenFit);

function burnResult(key: string, done: number): BurnResult {
  return {
    key,
    chance: chanceOf(done, 30),
    medianOn: null,
    doneOn: [],
    heldBack: done < 30 ? { cause: 'other-burns', times: 30 - done } : null,
    stages: { window: 140, ready: 120, fit: 12.5, people: 8, used: 3.2 },
  };
}

function result(own: Partial<PastYearsResult> = {}): PastYearsResult {
  return {
    station: { name: 'Invented station', isInvented: true },
    trials: 30,
    fromSeason: 1990,
    toSeason: 2019,
    seed: 1,
    usedShare: 0.4,
    burns: burns.map((task, index) => burnResult(task.key, index === 0 ? 9 : 30)),
    properties: [
      {
        propertyId: 1,
        unitCount: 6,
        overdueUnits: { p10: 1, median: 2, p90: 4 },
        seasons: [{ season: 2026, plannedAcres: 60, acres: { p10: 20, median: 40, p90: 60 } }],
      },
    ],
    weakest: {
      key: burns[0]?.key ?? '',
      done: 9,
      doneOfAll: 39,
      changes: [
        { kind: 'weekends', done: 18, doneOfAll: 54 },
        { kind: 'used-share', done: 15, doneOfAll: 45 },
      ],
    },
    ...own,
  };
}

const kept = (own: Partial<PastYearsResult> = {}, isOld = false) => ({
  madeAt: '2026-11-09T15:00:00Z',
  isOld,
  result: result(own),
});

describe('the past-years page', () => {
  test('without a test offers one; a run shows progress and stops', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    expect((await getPage(app, '/past-years')).text).toContain('Run the test');
    const sent = await sendForm(app, '/past-years/runs', { planId: '1' });
    expect([sent.status, sent.headers['location']]).toEqual([303, '/past-years']);
    const running = await getPage(app, '/past-years');
    expect(running.root.querySelector('progress')?.getAttribute('value')).toBe('25');
    expect(running.root.querySelector('#past-years-pane')?.getAttribute('hx-get')).toBe(
      '/past-years',
    );
    await sendForm(app, '/past-years/stop', {});
    expect(deps.calls.map((call) => call.name)).toEqual([
      'burns.pastYears.start',
      'burns.pastYears.stop',
    ]);
    expect((await getPage(app, '/past-years')).text).toContain('The last test was stopped');
  });

  test('a plan that is gone is named, and nothing starts', async () => {
    const deps = fakeDeps();
    const page = await sendForm(buildApp(deps), '/past-years/runs', { planId: '99' });
    expect(page.status).toBe(422);
    expect(page.text).toContain('This plan is no longer there');
    expect(deps.calls).toEqual([]);
  });

  test('what the run refuses is shown', async () => {
    const problems = [{ code: 'no-history', message: 'Load a weather history first.' }];
    const page = await sendForm(buildApp(fakeDeps({ problems })), '/past-years/runs', {
      planId: '1',
    });
    expect(page.status).toBe(422);
    expect(page.text).toContain('Load a weather history first.');
  });

  test('says for each burn in how many years it is done, what held it back and its days', async () => {
    const page = await getPage(buildApp(fakeDeps({ pastYears: kept() })), '/past-years');
    const first = page.root.querySelector('section[aria-labelledby="burns"] tbody tr');
    const text = first?.textContent.replace(/\s+/g, ' ') ?? '';
    expect(text).toContain('9 of 30 years');
    // Wilson 95 % of 9 of 30, worked by hand: 0.167 to 0.479.
    expect(text).toContain('17 to 48 in 100');
    expect(text).toContain('other burns took its days, 21 of 21 years missed');
    expect(text).toContain('140 open, 120 ready, 12.5 fit, 8 with people, 3.2 used');
    expect(page.text).toContain(
      '30 burning seasons of weather at Invented station, 1990-91 to 2019-20',
    );
  });

  test('offers what lifts the weakest, the largest gain first', async () => {
    const page = await getPage(buildApp(fakeDeps({ pastYears: kept() })), '/past-years');
    const items = page.root
      .querySelectorAll('section[aria-labelledby="weakest"] li')
      .map((item) => item.textContent);
    expect(items).toEqual([
      'have the burn people on weekends too: 18 of 30 years; 0.5 more burns in a mean year, all together',
      'use more of the fit days: a share of 0.6 in place of 0.4: 15 of 30 years; 0.2 more burns in a mean year, all together',
    ]);
  });

  test('a test made before the land changed says so', async () => {
    const page = await getPage(buildApp(fakeDeps({ pastYears: kept({}, true) })), '/past-years');
    expect(page.text).toContain('Out of date.');
  });

  test('a made-up history is said to be one', async () => {
    const page = await getPage(buildApp(fakeDeps({ pastYears: kept() })), '/past-years');
    expect(page.text).toContain('A made-up history');
  });

  test('without a plan it says what to do next', async () => {
    const page = await getPage(buildApp(fakeDeps({ inForce: null })), '/past-years');
    expect(page.text).toContain('There is no plan yet');
  });
});

describe('the plan page', () => {
  test('shows the chance beside each burn and what lifts the weakest most', async () => {
    const page = await getPage(buildApp(fakeDeps({ pastYears: kept() })), '/plan');
    const chances = page.root
      .querySelectorAll('td[data-label="Done in"]')
      .map((cell) => cell.textContent)
      .filter((text) => text !== '');
    expect(chances).toHaveLength(burns.length);
    expect(chances).toContain('9 of 30 years');
    expect(page.text).toContain(
      'Lifted most by this: have the burn people on weekends too: 18 of 30 years',
    );
  });

  test('without a test leads to it', async () => {
    const page = await getPage(buildApp(fakeDeps()), '/plan');
    expect(page.text).toContain('Test the burns by past years');
  });
});
