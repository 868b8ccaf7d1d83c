import { type HTMLElement, parse } from 'node-html-parser';
import { describe, expect, it } from 'vitest';
import { loadLibrary } from '../../src/reference/library.ts';
import { buildApp } from '../../src/web/app.ts';
import { markOf } from '../../src/web/forms/records/kinds.ts';
import { sequences } from '../../src/web/forms/records/sequences.ts';
import { recordLandOf } from '../../src/web/pages/records.ts';
import { type FakeDeps, type FakeState, fakeDeps } from '../support/fake-deps.ts';
import { wholeOperation } from '../support/record-rows.ts';

const library = loadLibrary();

function depsOf(own: Partial<FakeState> = {}): FakeDeps {
  const { treatments, sequences, noWork, cautions, communities, prescriptions, lineKinds } =
    library;
  const tables = { treatments, sequences, noWork, cautions, communities, prescriptions, lineKinds };
  return fakeDeps({ operation: { ...wholeOperation(), ...structuredClone(tables) }, ...own });
}

async function get(deps: FakeDeps, url: string) {
  const answer = await buildApp(deps).inject({ url, headers: { host: 'localhost' } });
  return { status: answer.statusCode, root: parse(answer.body) };
}

async function post(deps: FakeDeps, url: string, values: Record<string, string>) {
  const answer = await buildApp(deps).inject({
    method: 'POST',
    url,
    headers: { host: 'localhost', 'content-type': 'application/x-www-form-urlencoded' },
    payload: new URLSearchParams(values).toString(),
  });
  return { status: answer.statusCode, root: parse(answer.body) };
}

const text = (node: HTMLElement | null) => node?.textContent.replace(/\s+/g, ' ').trim() ?? '';
const shownValue = (root: HTMLElement, name: string) =>
  root.querySelector(`#record-${name}`)?.getAttribute('value');
const links = (root: HTMLElement) =>
  root.querySelectorAll('main a').map((link) => link.getAttribute('href'));

const cedar = library.sequences.find(({ key }) => key === 'cedar-woodland')!;
const cedarValues = sequences.valuesOf(cedar, recordLandOf(depsOf()));
const cedarForm = { ...cedarValues, was: markOf(cedarValues) };
const folds = (root: HTMLElement) => root.querySelectorAll('details.fold summary').map(text);

describe('the form of a sequence', () => {
  it('has each step folded up under what it hangs on', async () => {
    const { root } = await get(depsOf(), '/records/sequences/cedar-woodland');
    expect(folds(root)).toHaveLength(cedar.steps.length);
    expect(folds(root)[4]).toBe('Step 5: Blow the line again, by the day of Burn');
    expect(folds(root)[5]).toMatch(/^Step 6: Burn, after Fell cedar, Cure check/);
    expect(root.querySelectorAll('details[open]')).toEqual([]);
  });

  it('is shown again by its buttons, with nothing lost, nothing saved and the step open', async () => {
    const deps = depsOf();
    const typed = { ...cedarForm, name: 'Half typed', 's6-w1-least': 'soon', rearrange: 'up-6' };
    const { status, root } = await post(deps, '/records/sequences/cedar-woodland', typed);
    expect(status).toBe(200);
    expect(deps.calls).toEqual([]);
    expect(shownValue(root, 'name')).toBe('Half typed');
    expect(shownValue(root, 's5-w1-least')).toBe('soon');
    expect(text(root.querySelector('details[open] summary'))).toMatch(/^Step 5: Burn/);
    expect(root.querySelector('input[name="was"]')?.getAttribute('value')).toBe(cedarForm.was);
  });

  it('carries its mark through the buttons, so that a change by somebody else still shows', async () => {
    const deps = depsOf();
    const typed = { ...cedarForm, was: 'older', rearrange: 'add' };
    const { root } = await post(deps, '/records/sequences/cedar-woodland', typed);
    expect(root.querySelector('input[name="was"]')?.getAttribute('value')).toBe('older');
    const saved = await post(deps, '/records/sequences/cedar-woodland', {
      ...cedarForm,
      was: 'older',
    });
    expect(saved.status).toBe(409);
    expect(deps.calls).toEqual([]);
  });

  it('opens the step in which something is wrong, named by the step', async () => {
    const typed = { ...cedarForm, 's6-w1-least': 'soon' };
    const { status, root } = await post(depsOf(), '/records/sequences/cedar-woodland', typed);
    expect(status).toBe(422);
    expect(text(root.querySelector('.problems a'))).toMatch(/^Burn, wait 1, Least: write such as/);
    expect(root.querySelectorAll('details[open] summary').map(text)).toEqual([folds(root)[5]]);
  });

  it('says on top what storage refuses of a field that no form has', async () => {
    const message = 'Steps: the links of cycle 1 must form one tree.';
    const deps = depsOf({ problems: [{ code: 'reference-table', field: 'steps/0', message }] });
    const { root } = await post(deps, '/records/sequences/cedar-woodland', cedarForm);
    expect(text(root.querySelector('.problems li'))).toBe(message);
    expect(root.querySelector('.problems li a')).toBeNull();
  });

  it('is copied as a row of one’s own, with another key and name', async () => {
    const deps = depsOf();
    const { root } = await get(deps, '/records/sequences/new?copy=cedar-woodland');
    expect(shownValue(root, 'key')).toBe('');
    expect(shownValue(root, 'name')).toBe(`${cedar.name}, our own`);
    const own = { ...cedarValues, key: 'my-cedar', name: 'Mine' };
    await post(deps, '/records/sequences/new', own);
    const { status, source } = cedar;
    expect(deps.calls[0]?.args).toEqual([
      'sequence',
      { ...cedar, key: 'my-cedar', name: 'Mine', status, source },
      true,
      false,
    ]);
  });

  it('begins with one step, open', async () => {
    const { root } = await get(depsOf(), '/records/sequences/new');
    expect(root.querySelectorAll('details[open] summary').map(text)).toEqual(['Step 1: new step']);
  });
});

describe('a row that differs from the published one', () => {
  it('shows the published figure beside the changed ones only, and the way back', async () => {
    const grass = library.prescriptions.find(({ key }) => key === 'grass')!;
    const deps = depsOf({ published: { grass } });
    const own = deps.state.operation.prescriptions.find(({ key }) => key === 'grass')!;
    own.windMph = { least: 3, most: 9 };
    own.rainEndsRun = !own.rainEndsRun;
    const { root } = await get(deps, '/records/prescriptions/grass');
    expect(root.querySelectorAll('.published').map(text)).toEqual([
      `As published: ${grass.windMph.least}`,
      `As published: ${grass.windMph.most}`,
      `As published: ${grass.rainEndsRun ? 'yes' : 'no'}`,
    ]);
    expect(links(root)).toContain('/records/prescriptions/grass/default');
    const ask = await get(deps, '/records/prescriptions/grass/default');
    expect(text(ask.root.querySelector('tbody tr'))).toContain('3 5');
    await post(deps, '/records/prescriptions/grass/default', {});
    expect(deps.calls.map(({ name, args }) => [name, ...args])).toEqual([
      ['records.backToDefault', 'prescription', 'grass', false],
    ]);
  });

  it('offers no way back where nothing differs', async () => {
    const grass = library.prescriptions.find(({ key }) => key === 'grass')!;
    const { root } = await get(depsOf({ published: { grass } }), '/records/prescriptions/grass');
    expect(root.querySelectorAll('.published')).toEqual([]);
    expect(links(root)).not.toContain('/records/prescriptions/grass/default');
  });
});

describe('no-work dates that follow from the land', () => {
  const derived = {
    ...structuredClone(library.noWork[0]!),
    ...{
      key: 'lease-1',
      name: 'Hunting lease of the club',
      madeFrom: { noun: 'lease' as const, id: 1 },
    },
  };

  it('lead to the row that they are made from, and are not edited here', async () => {
    const deps = depsOf();
    deps.state.operation.noWork.push(derived);
    const { root } = await get(deps, '/records/no-work?q=club');
    const row = root.querySelector('tbody tr');
    expect(row?.querySelector('a')?.getAttribute('href')).toBe('/records/leases/1');
    expect(text(row)).toContain('a lease');
    expect((await get(deps, '/records/no-work/lease-1')).status).toBe(404);
  });
});

it('kinds of lines are changed, but neither added nor taken out of use', async () => {
  const { root } = await get(depsOf(), '/records/line-kinds');
  expect(links(root)).not.toContain('/records/line-kinds/new');
  const form = await get(depsOf(), '/records/line-kinds/disked');
  expect(links(form.root).filter((path) => path?.endsWith('/retire'))).toEqual([]);
});

it('each sequence leads to its form, its copy and the figures of its steps', async () => {
  const { root } = await get(depsOf(), '/sequences');
  for (const { key, steps } of library.sequences) {
    expect(links(root)).toContain(`/records/sequences/${key}`);
    expect(links(root)).toContain(`/records/sequences/new?copy=${key}`);
    for (const step of steps)
      expect(links(root)).toContain(`/records/treatments/${step.treatmentKeys[0]}`);
  }
});
