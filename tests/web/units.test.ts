import { describe, expect, it } from 'vitest';
import type { Block, Readiness } from '../../src/core/blocks.ts';
import { isoDate } from '../../src/core/dates.ts';
import type { WorkEntry } from '../../src/core/worklog.ts';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeEntry } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

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
      'With the burn day, dated once it is called',
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

  it('links what is missing to the field that mends it, in the folded form', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/1');
    const links = root.querySelectorAll('section[aria-labelledby="readiness"] p a');
    expect(links.map((one) => one.getAttribute('href'))).toEqual([
      '/burn-check?block=1',
      '/burns/1',
      '/choices/1',
      '/packets/1',
      '/units/1/answers#cedar',
      '/records/lines/1',
      '#block-noticesGivenOn',
      '#block-peopleNamed',
    ]);
    const onPage = links.filter((one) => one.getAttribute('href')?.startsWith('#'));
    expect(onPage).toHaveLength(2);
    for (const link of onPage) {
      const field = root.getElementById(link.getAttribute('href')?.slice(1) ?? '');
      expect(field?.closest('details')?.hasAttribute('open')).toBe(false);
    }
  });

  it.each<[string, Partial<Readiness>, string]>([
    ['no plan', { planSignedBy: null }, '#block-planSignedBy'],
    ['an old plan', { planExpiresOn: isoDate('2026-11-08') }, '#block-planExpiresOn'],
    ['no consent', { consentUntil: null }, '#block-consentUntil'],
    ['no fuel check', { fuelCheckedOn: null }, '#block-fuelCheckedOn'],
    ['no permit', { permitNotNeeded: false, permitUntil: null }, '#block-permitUntil'],
  ])('%s: %j is mended at %s', async (_name, change, href) => {
    const deps = fakeDeps();
    Object.assign(deps.state.operation.blocks[0]!.readiness, change);
    const { root } = await getPage(buildApp(deps), '/units/1');
    expect(
      root.querySelector(`section[aria-labelledby="readiness"] a[href="${href}"]`),
    ).not.toBeNull();
    expect(root.getElementById(href.slice(1))).not.toBeNull();
  });

  it('says which units are lit together, and that the form is for all of them', async () => {
    const app = buildApp(fakeDeps());
    const together = await getPage(app, '/units/6');
    const links = together.root.querySelectorAll('.facts a[href^="/units/"]');
    expect(links.map((one) => [one.getAttribute('href'), one.textContent])).toEqual([
      ['/units/7', 'E2 High gate'],
    ]);
    for (const form of ['block', 'edit'])
      expect(together.root.getElementById(form)?.textContent).toContain(
        'for the whole block: E1 and E2 are lit together',
      );
    const alone = await getPage(app, '/units/2');
    expect(alone.root.querySelector('.facts')?.textContent).toContain('its own block');
    expect(alone.text).not.toContain('lit together');
  });

  it.each<[string, Partial<Block>, RegExp]>([
    [
      'by the sequence',
      {},
      /default of the sequence "Cedar out, then fire": at least 2 burning seasons, target 2 years, most 3 years\. our default, to edit/,
    ],
    [
      'by the natural community',
      { sequenceKey: null },
      /default of the natural community "Oak woodland": at least 2 burning seasons, target 3 years, most 5 years\. our default/,
    ],
  ])('shows the default interval %s, with its status', async (_name, own, expected) => {
    const deps = fakeDeps();
    Object.assign(deps.state.operation.blocks[1]!, own);
    const { root } = await getPage(buildApp(deps), '/units/2');
    expect(root.getElementById('block')?.textContent.replace(/\s+/g, ' ')).toMatch(expected);
  });

  it('says so where no interval is known', async () => {
    const deps = fakeDeps();
    deps.state.operation.blocks[1]!.sequenceKey = null;
    deps.state.operation.units[1]!.communityKey = 'old-field';
    const { root } = await getPage(buildApp(deps), '/units/2');
    expect(root.getElementById('block')?.textContent).toContain('blank = no fire planned');
  });

  it('offers prescriptions of work, and keeps one that is no longer offered', async () => {
    const deps = fakeDeps();
    const { operation } = deps.state;
    operation.prescriptions.push({ ...operation.prescriptions[0]!, key: 'wide', use: 'check' });
    operation.blocks[1]!.prescriptionKey = 'an-old-one';
    const { root } = await getPage(buildApp(deps), '/units/2');
    const options = root.querySelectorAll('#block-prescriptionKey option');
    expect(options.map((one) => one.getAttribute('value'))).toEqual([
      '',
      'hardwood-litter',
      'an-old-one',
    ]);
    expect(options[2]?.hasAttribute('selected')).toBe(true);
  });

  it('opens the form when it was refused', async () => {
    const answer = await sendForm(buildApp(fakeDeps()), '/units/2/block', {});
    expect(answer.status).toBe(422);
    const details = answer.root.getElementById('block')?.closest('details');
    expect(details?.hasAttribute('open')).toBe(true);
  });

  it('keeps a ticked box that was sent with a fault elsewhere', async () => {
    const app = buildApp(fakeDeps());
    const fields = fieldsOf(await getPage(app, '/units/2'), '/units/2/block', {
      peopleNamed: 'yes',
      burnPeopleLeast: '0',
    });
    const answer = await sendForm(app, '/units/2/block', fields);
    expect(answer.root.getElementById('block-peopleNamed')?.hasAttribute('checked')).toBe(true);
    expect(answer.root.getElementById('block-permitNotNeeded')?.hasAttribute('checked')).toBe(
      false,
    );
  });

  const burned = fakeEntry(20, 2, 'dormant-burn', '2026-02-20', { shareBlackPercent: 90 });
  const checked = fakeEntry(21, 2, 'cure-check', '2026-02-01');
  const blown = fakeEntry(22, 2, 'line-second-pass', '2026-02-20');
  it.each<[string, WorkEntry[], string[], string[]]>([
    ['nothing is burned', [], ['Cycle 1'], ['Cycle 2: 3 steps to come, none planned yet']],
    ['the first cycle is over', [burned, checked, blown], ['Cycle 2'], ['Cycle 1: 5 steps, over']],
  ])('folds all cycles but the next: %s', async (_name, entries, open, folded) => {
    const deps = fakeDeps();
    deps.state.operation.entries.push(...entries);
    const { root } = await getPage(buildApp(deps), '/units/2');
    const chain = root.querySelector('section[aria-labelledby="chain"]');
    const texts = (selector: string) =>
      chain?.querySelectorAll(selector).map((one) => one.textContent);
    expect(texts('h3')).toEqual(open);
    expect(texts('details summary')).toEqual(folded);
    expect(chain?.querySelector('.next')?.closest('details')).toBeNull();
  });

  it('leaves the cycle open that has the first dates, when a step of an older one was forgotten', async () => {
    const deps = fakeDeps();
    deps.state.operation.entries.push(burned, checked);
    for (const task of deps.state.inForce?.content.tasks ?? [])
      task.key = task.key.replace('block:2/cedar-woodland/burn/1', 'block:2/cedar-woodland/burn/2');
    const { root } = await getPage(buildApp(deps), '/units/2');
    expect(root.querySelectorAll('#main h3').map((one) => one.textContent)).toEqual(
      expect.arrayContaining(['Cycle 1', 'Cycle 2']),
    );
  });

  it('folds the entries after the eighth', async () => {
    const deps = fakeDeps();
    for (let year = 2001; year <= 2012; year++)
      deps.state.operation.entries.push(fakeEntry(year, 8, 'photo-points', `${year}-05-01`));
    const { root } = await getPage(buildApp(deps), '/units/8');
    const section = root.querySelector('section[aria-labelledby="history"]');
    const lists = section
      ?.querySelectorAll('.tasks')
      .map((one) => one.querySelectorAll('li').length);
    expect(lists).toEqual([8, 5]);
    expect(section?.querySelector('summary')?.textContent).toBe('5 older entries');
  });
});
