import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';

async function codes(query: string): Promise<string[]> {
  const { root } = await getPage(buildApp(fakeDeps()), `/units${query}`);
  return root.querySelectorAll('tbody th a').map((one) => one.textContent.split(' ')[0] ?? '');
}

describe('the list of units', () => {
  it.each([
    ['', ['E1', 'E2', 'N1', 'N2', 'N3', 'P1', 'S1', 'S2']],
    ['?property=2', ['P1']],
    ['?community=glade', ['N3']],
    ['?status=overdue', ['N1']],
    ['?status=no-fire-on-record', ['E2', 'N2']],
    ['?status=held', ['S2']],
    ['?q=CREEK', ['P1']],
    ['?q=contract-land', ['S2']],
    ['?q=%3Cb%3E', []],
    ['?sort=acres', ['S2', 'E2', 'P1', 'N2', 'N1', 'E1', 'S1', 'N3']],
    ['?sort=fire&status=overdue', ['N1']],
    ['?sort=nonsense&property=1&status=within', ['E1', 'N3']],
  ])('%s', async (query, expected) => expect(await codes(query)).toEqual(expected));

  it('puts the units with work first when sorted by the next task', async () =>
    expect((await codes('?sort=next')).slice(0, 4)).toEqual(['N1', 'S1', 'N2', 'S2']));

  it('counts what each filter would show with the others kept', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units?property=1');
    const fire = root
      .querySelectorAll('ul[aria-label="Fire"] li')
      .map((one) => one.textContent.trim());
    expect(fire).toEqual([
      'Fire:',
      'all 7',
      'overdue for fire 1',
      'no fire on record 2',
      'within the interval 2',
      'fire held 1',
      'no fire planned 1',
    ]);
  });
});

describe('the page of a unit', () => {
  it('shows where the chain stands and why the next step is when it is', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/2');
    const lines = root
      .querySelectorAll('.chain > li[id]')
      .map((one) => one.textContent.replace(/\s+/g, ' ').trim());
    expect(lines[0]).toBe('C Fell cedar, done. 12 Dec 2024');
    expect(lines[1]).toContain('Cure check, to do, next. 16 Nov 2026');
    expect(lines[1]).toContain('two growing seasons have passed');
    expect(root.querySelector('#task-burn-1')?.textContent).toContain(
      'One day when fit, 8 to 21 Feb 2027',
    );
  });

  it('gives a task tied to the burn no dates before the call', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/1');
    expect(root.querySelector('#task-second-pass-2')?.textContent).toContain(
      'On the burn day, once it is called',
    );
  });

  it('lists what is on file for a burn, in rings and in words', async () => {
    const { root, text } = await getPage(buildApp(fakeDeps()), '/units/1');
    const rings = root
      .querySelectorAll('.readiness .ring')
      .map((one) => one.getAttribute('aria-label'));
    expect(rings).toEqual([
      'on file',
      'on file',
      'missing',
      'on file',
      'missing',
      'missing',
      'on file',
    ]);
    expect(text).toContain('lines not made or no longer good (North line)');
    expect(text).toContain('never decides a burn');
  });

  it('draws the unit among its neighbours, and nothing without a boundary', async () => {
    const app = buildApp(fakeDeps());
    expect((await getPage(app, '/units/2')).root.querySelectorAll('.map .this')).toHaveLength(1);
    expect((await getPage(app, '/units/8')).root.querySelector('.map')).toBeNull();
  });

  it('shows the cautions of the work to come', async () => {
    expect((await getPage(buildApp(fakeDeps()), '/units/4')).text).toContain('Wind carries spray.');
  });
});
