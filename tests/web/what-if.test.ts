import { describe, expect, it } from 'vitest';
import { planSummary } from '../../src/core/plan-summary.ts';
import type { WhatIf } from '../../src/core/what-if.ts';
import { buildApp } from '../../src/web/app.ts';
import { changeForms } from '../../src/web/forms/what-if.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeOperation, fakeToday } from '../support/operation.ts';
import { getPage, sendForm } from '../support/page.ts';
import { fakePlan } from '../support/plan.ts';

const summary = planSummary(fakeOperation(), fakePlan().content, fakeToday);
const solved = { at: '2026-11-09T15:00:00Z', summary };

const trailers: WhatIf = {
  id: 1,
  name: 'Two trailers',
  changes: [{ kind: 'gear', gearKey: 'burn-trailer', count: 2 }],
  solved,
};
const poor: WhatIf = {
  id: 2,
  name: 'Poor season',
  changes: [{ kind: 'fit-days', percent: 70 }],
  solved: { ...solved, summary: { ...summary, onTimeCount: 3, lateCount: 3 } },
};
const open: WhatIf = { id: 3, name: 'Open one', changes: [], solved: null };

const appWith = (whatIfs: WhatIf[], own: Parameters<typeof fakeDeps>[0] = {}) => {
  const deps = fakeDeps({ whatIfs, ...own });
  return { deps, app: buildApp(deps) };
};

describe('side by side', () => {
  it('says what to do where there is none yet', async () => {
    const { text, root } = await getPage(appWith([]).app, '/what-if');
    expect(text).toContain('None yet. Name one below');
    expect(root.querySelector('table')).toBeNull();
  });

  it('holds the plan in force and what-ifs against each other, figure by figure', async () => {
    const { root, text } = await getPage(appWith([trailers, poor, open]).app, '/what-if');
    const [table] = root.querySelectorAll('table');
    const rows = table!
      .querySelectorAll('tr')
      .map((row) => row.querySelectorAll('th, td').map((cell) => cell.textContent.trim()));
    // The figures of the plan are worked out by hand in tests/core/plan-summary.test.ts.
    expect(rows).toEqual([
      ['Figure', 'Plan in force', 'Two trailers', 'Poor season'],
      ['Tasks on time', '5', '5', '3'],
      ['Tasks late', '1', '1', '3'],
      ['Tasks left out', ...Array(3).fill('1, 1 burn among them')],
      ['Units overdue for fire on 30 Jun 2027', ...Array(3).fill('1, and 1 never burned')],
      ['Units overdue for fire on 30 Jun 2028', ...Array(3).fill('1, and 1 never burned')],
      ['Units overdue for fire on 30 Jun 2029', ...Array(3).fill('2, and 1 never burned')],
      ['Acres burned season 2026-27', '66.3', '66.3', '66.3'],
      ['Acres burned season 2027-28', '0', '0', '0'],
      ['Acres burned season 2028-29', '0', '0', '0'],
      ['Crew days 2026', '15', '15', '15'],
      ['Crew days 2027', '3', '3', '3'],
      ['Money for contract crews 2026', '$20,300', '$20,300', '$20,300'],
      ['Money for contract crews 2027', '$0', '$0', '$0'],
    ]);
    expect(text).toContain('none: as it is now, planned again');
    expect(text).toContain('not searched yet');
  });

  it('compares those that are ticked, four at the most', async () => {
    const many = Array.from({ length: 6 }, (_, at) => ({
      ...trailers,
      id: at + 1,
      name: `Try ${at + 1}`,
    }));
    const { app } = appWith(many);
    const heads = async (path: string) => {
      const { root } = await getPage(app, path);
      const [table] = root.querySelectorAll('table');
      return table!.querySelectorAll('thead th').map((cell) => cell.textContent.trim());
    };
    expect(await heads('/what-if')).toEqual([
      'Figure',
      'Plan in force',
      'Try 3',
      'Try 4',
      'Try 5',
      'Try 6',
    ]);
    expect(await heads('/what-if?with-1=on&with-6=on')).toEqual([
      'Figure',
      'Plan in force',
      'Try 1',
      'Try 6',
    ]);
    const all = many.map(({ id }) => `with-${id}=on`).join('&');
    expect(await heads(`/what-if?${all}`)).toHaveLength(6);
  });

  it('says which plan is older than the land', async () => {
    const { app } = appWith([trailers], { staleBecause: ['Home crew was changed.'] });
    expect((await getPage(app, '/what-if')).text).toContain(
      'Two trailers: land or facts changed since',
    );
    expect((await getPage(app, '/what-if/1')).text).toContain(
      'It is out of date. Home crew was changed.',
    );
  });

  it('asks again each second while one is searched, and keeps what was ticked', async () => {
    const whatIfRun = {
      whatIfId: 3,
      state: 'running',
      seconds: 2,
      secondsBudget: 8,
      leftOutCount: 4,
      problems: [],
    } as const;
    const { app, deps } = appWith([trailers, open], { whatIfRun: { ...whatIfRun, problems: [] } });
    const { root, text } = await getPage(app, '/what-if?with-1=on', {
      'hx-request-type': 'partial',
    });
    expect(root.querySelector('html')).toBeNull();
    expect(root.querySelector('#what-if-pane')?.getAttribute('hx-get')).toBe('/what-if?with-1=on');
    expect(root.querySelector('progress')?.getAttribute('value')).toBe('25');
    expect(text).toContain('leaves out 4 tasks');
    await sendForm(app, '/what-if/stop', {});
    expect(deps.calls.map(({ name }) => name)).toEqual(['whatIf.stop']);
    deps.state.whatIfRun = { ...whatIfRun, state: 'done', problems: [] };
    const ended = await getPage(app, '/what-if');
    expect(ended.root.querySelector('[hx-trigger]')).toBeNull();
    expect(ended.text).toContain('The search of Open one ended');
    deps.state.whatIfs = [trailers];
    expect((await getPage(app, '/what-if')).text).not.toContain('The search of');
  });
});

describe('one what-if', () => {
  it('is made by its name', async () => {
    const { app, deps } = appWith([]);
    const answer = await sendForm(app, '/what-if', { name: ' Two trailers ' });
    expect(answer.status).toBe(303);
    expect(deps.calls).toEqual([{ name: 'whatIf.add', args: ['Two trailers'] }]);
    const blank = await sendForm(app, '/what-if', { name: '  ' });
    expect(blank.status).toBe(422);
  });

  const typed: Record<string, [Record<string, string>, object]> = {
    'crew-weeks': [
      { crewId: '1', isThere: 'no', from: '2027-01-11', until: '2027-01-15' },
      { kind: 'crew-weeks', crewId: 1, isThere: false, from: '2027-01-11', until: '2027-01-15' },
    ],
    'contract-weeks': [
      { crewId: '2', isThere: 'yes', from: '2027-02-01', until: '2027-02-12' },
      { kind: 'crew-weeks', crewId: 2, isThere: true, from: '2027-02-01', until: '2027-02-12' },
    ],
    people: [
      { crewId: '1', peopleCount: '7' },
      { kind: 'crew-people', crewId: 1, peopleCount: 7 },
    ],
    gear: [
      { gearKey: 'burn-trailer', count: '2' },
      { kind: 'gear', gearKey: 'burn-trailer', count: 2 },
    ],
    'fit-days': [{ percent: '70' }, { kind: 'fit-days', percent: 70 }],
    'fit-level': [{ level: '9-of-10' }, { kind: 'fit-level', level: '9-of-10' }],
    held: [
      { unitId: '6', untilYear: '', reason: '' },
      { kind: 'held', unitId: 6, untilYear: null, reason: '' },
    ],
    sequence: [
      { unitId: '4', sequenceKey: '' },
      { kind: 'sequence', unitId: 4, sequenceKey: null, startsOn: fakeToday },
    ],
    window: [
      { treatmentKey: 'dormant-burn', opensEarlierDays: '-3', closesLaterDays: '5' },
      { kind: 'window', treatmentKey: 'dormant-burn', opensEarlierDays: -3, closesLaterDays: 5 },
    ],
    weight: [
      { weight: 'latePerWeek', points: '20' },
      { kind: 'weight', weight: 'latePerWeek', points: 20 },
    ],
  };

  it.each(Object.keys(changeForms))('takes a change by the short form %s', async (key) => {
    const { app, deps } = appWith([open]);
    const { root } = await getPage(app, '/what-if/3');
    const form = root.querySelector(`form[action="/what-if/3/changes/${key}"]`);
    const fields = form?.querySelectorAll('input, select').map((one) => one.getAttribute('name'));
    const [values, change] = typed[key]!;
    expect(fields).toEqual(Object.keys(values));
    const answer = await sendForm(app, `/what-if/3/changes/${key}`, values);
    expect(answer.status).toBe(303);
    expect(deps.calls).toEqual([{ name: 'whatIf.addChange', args: [3, change] }]);
  });

  it('shows a refused form again, open, with what was typed', async () => {
    const { app, deps } = appWith([open]);
    const answer = await sendForm(app, '/what-if/3/changes/gear', {
      gearKey: 'burn-trailer',
      count: 'many',
    });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('How many: write a whole number');
    expect(answer.root.querySelectorAll('details[open]')).toHaveLength(1);
    expect(answer.root.querySelector('#gear-count')?.getAttribute('value')).toBe('many');
    expect(deps.calls).toEqual([]);
  });

  it('takes out the change that was shown, and no other', async () => {
    const { app, deps } = appWith([trailers]);
    const other = await sendForm(app, '/what-if/1/changes/out', { at: '0', said: 'Another one' });
    expect(other.status).toBe(409);
    expect(deps.calls).toEqual([]);
    const { root } = await getPage(app, '/what-if/1');
    const said = root.querySelector('input[name="said"]')?.getAttribute('value') ?? '';
    await sendForm(app, '/what-if/1/changes/out', { at: '0', said });
    expect(deps.calls).toEqual([{ name: 'whatIf.dropChange', args: [1, 0] }]);
  });

  it('is searched with the seconds and the seed that were typed', async () => {
    const { app, deps } = appWith([open]);
    await sendForm(app, '/what-if/3/search', { seconds: '8', seed: '2' });
    expect(deps.calls).toEqual([{ name: 'whatIf.search', args: [3, { seconds: 8, seed: 2 }] }]);
    deps.state.problems = [{ code: 'planning-running', message: 'A draft is being made.' }];
    const refused = await sendForm(app, '/what-if/3/search', { seconds: '8', seed: '2' });
    expect(refused.text).toContain('A draft is being made.');
    expect(refused.root.querySelector('#search-form-seconds')?.getAttribute('value')).toBe('8');
  });

  it('is not there under another number', async () => {
    const { app } = appWith([open]);
    for (const path of ['/what-if/9', '/what-if/x', '/what-if/9/adoption'])
      expect((await getPage(app, path)).status).toBe(404);
    expect((await sendForm(app, '/what-if/9/removal', {})).status).toBe(404);
  });
});

describe('adopting', () => {
  it('names each change that would be written, and writes those that were shown', async () => {
    const { app, deps } = appWith([trailers]);
    const { root, text } = await getPage(app, '/what-if/1/adoption');
    expect(text).toContain('Burn trailer: 2 on hand.');
    const said = root.querySelector('input[name="said"]')?.getAttribute('value') ?? '';
    const other = await sendForm(app, '/what-if/1/adoption', { said: `${said}\nmore` });
    expect(other.status).toBe(409);
    expect(deps.calls).toEqual([]);
    const answer = await sendForm(app, '/what-if/1/adoption', { said });
    expect(answer.status).toBe(303);
    expect(deps.calls).toEqual([{ name: 'whatIf.adopt', args: [1] }]);
  });

  it('is not offered for what is only supposed, and the page says why', async () => {
    const { app } = appWith([poor, open]);
    const { root, text } = await getPage(app, '/what-if/2');
    expect(text).toContain('the weather did not change by it');
    expect(root.querySelector('a[href="/what-if/2/adoption"]')).toBeNull();
    for (const id of [2, 3])
      expect((await getPage(app, `/what-if/${id}/adoption`)).status).toBe(404);
  });

  it('says why it was refused', async () => {
    const { app, deps } = appWith([trailers]);
    deps.state.problems = [{ code: 'what-if-no-longer-fits', message: 'Nothing was written.' }];
    const said = 'Burn trailer: 2 on hand';
    const answer = await sendForm(app, '/what-if/1/adoption', { said });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Nothing was written.');
  });
});

it('the plan page leads there', async () => {
  const { root } = await getPage(buildApp(fakeDeps()), '/plan');
  expect(root.querySelector('a[href="/what-if"]')).not.toBeNull();
});
