import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fakeToday } from '../support/operation.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';

const wrong = { code: 'wrong', field: 'code2', message: 'Code: N3 is taken.' };

/** The line between the lower and the upper middle of N2, as the split form sends it. */
const line = {
  fromLongitude: '-92.0925',
  fromLatitude: '37.2',
  toLongitude: '-92.0925',
  toLatitude: '37.204',
};
const cut = { by: 'line', from: [-92.0925, 37.2], to: [-92.0925, 37.204] };

describe('splitting a unit', () => {
  it('draws the unit with its corners numbered and asks for two parts', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/2/split');
    expect(root.querySelectorAll('svg.map text').map((one) => one.textContent)).toEqual([
      '1',
      '2',
      '3',
      '4',
    ]);
    expect(root.querySelectorAll('legend').map((one) => one.textContent)).toEqual([
      'Part 1',
      'Part 2',
      'The line',
    ]);
    expect(root.querySelector('input[name="code1"]')?.getAttribute('value')).toBe('N2');
  });

  it('offers no line for a unit without a boundary', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/8/split?parts=4');
    expect(root.querySelector('svg.map')).toBeNull();
    expect(
      root.querySelectorAll('#split-cut option').map((one) => one.getAttribute('value')),
    ).toEqual(['text', 'none']);
    expect(root.querySelectorAll('input[name^="code"]')).toHaveLength(4);
  });

  it('shows what would change, then saves the same', async () => {
    const deps = fakeDeps({
      shapePreview: {
        notes: ['N2 goes on.'],
        breaks: [{ code: 'lag', message: 'Burn on N2 comes too soon.' }],
        vanishing: [{ name: 'Fell cedar, N2', startsOn: fakeToday, lastDay: fakeToday }],
      },
    });
    const app = buildApp(deps);
    const form = await getPage(app, '/units/2/split');
    const fields = fieldsOf(form, '/units/2/split', { ...line, code2: 'N2e', acres2: '10' });
    const shown = await sendForm(app, '/units/2/split', fields);
    expect(shown.status).toBe(200);
    expect(shown.text).toContain('N2 goes on.');
    expect(shown.text).toContain('Burn on N2 comes too soon.');
    expect(shown.text).toContain('1 planned task would go Fell cedar, N2, 9 Nov 2026');
    expect(deps.calls).toEqual([]);
    const saved = await sendForm(app, '/units/2/split', fieldsOf(shown, '/units/2/split'));
    expect([saved.status, saved.headers['location']]).toEqual([303, '/units/2']);
    const change = {
      kind: 'split',
      unitId: 2,
      parts: [
        { code: 'N2', name: 'Two Springs', areaAcres: null },
        { code: 'N2e', name: '', areaAcres: 10 },
      ],
      isTogether: false,
      isAcresConfirmed: false,
      cut,
    };
    expect(deps.calls).toEqual([{ name: 'shapes.save', args: [change] }]);
  });

  const cuts: [string, Record<string, string>, object][] = [
    [
      'two corners',
      { fromCorner: '1', toCorner: '3' },
      { by: 'line', from: [-92.095, 37.2], to: [expect.closeTo(-92.09, 9), 37.204] },
    ],
    ['points before corners', { ...line, fromCorner: '1', toCorner: '3' }, cut],
    ['pasted text', { cut: 'text', text: '{}' }, { by: 'text', text: '{}' }],
    ['no boundaries', { cut: 'none' }, { by: 'none' }],
  ];
  it.each(cuts)('takes %s', async (_name, own, expected) => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const fields = fieldsOf(await getPage(app, '/units/2/split'), '/units/2/split', {
      ...own,
      code2: 'N2e',
      isSure: 'yes',
    });
    await sendForm(app, '/units/2/split', fields);
    expect(deps.calls[0]?.args[0]).toMatchObject({ cut: expected });
  });

  const refusals: [string, Record<string, string>, string][] = [
    ['no first point', {}, 'split-fromCorner'],
    ['no second point', { fromCorner: '1' }, 'split-toCorner'],
    ['acres that are no number', { ...line, acres1: 'ten' }, 'split-acres1'],
  ];
  it.each(refusals)('refuses %s and keeps what was typed', async (_name, own, field) => {
    const app = buildApp(fakeDeps());
    const form = await getPage(app, '/units/2/split?parts=3');
    const typed = { ...own, code2: 'N2e', code3: 'N2f' };
    const page = await sendForm(app, '/units/2/split', fieldsOf(form, '/units/2/split', typed));
    expect(page.status).toBe(422);
    expect(page.root.querySelector(`.problems a[href="#${field}"]`)).not.toBeNull();
    expect(fieldsOf(page, '/units/2/split')).toMatchObject(typed);
  });

  it('says what the land refuses beside its field', async () => {
    const app = buildApp(fakeDeps({ problems: [wrong] }));
    const form = await getPage(app, '/units/2/split');
    const fields = fieldsOf(form, '/units/2/split', { ...line, code2: 'N3' });
    const page = await sendForm(app, '/units/2/split', fields);
    expect(page.status).toBe(422);
    expect(page.root.querySelector('#split-code2-wrong')?.textContent).toBe(wrong.message);
  });

  it('of a unit that is not there is an unknown page', async () =>
    expect((await getPage(buildApp(fakeDeps()), '/units/99/split')).status).toBe(404));
});

describe('merging units', () => {
  it('first asks for the unit that stays', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/units/merge');
    expect(root.querySelectorAll('select[name="unit"] option')).toHaveLength(8);
  });

  it('offers neighbors and sends all that are ticked', async () => {
    const deps = fakeDeps();
    const { operation } = deps.state;
    operation.neighbours.push({ unitIds: [2, 3], sharedFeet: 900, rule: null });
    const app = buildApp(deps);
    const form = await getPage(app, '/units/merge?unit=2');
    expect(
      form.root.querySelectorAll('.checks label').map((one) => one.textContent.trim()),
    ).toEqual(['N1 Dogtooth flat (1,800 ft in common)', 'N3 Limestone shelf (900 ft in common)']);
    const fields = fieldsOf(form, '/units/merge', { unitId: ['1', '3'], code: 'N2' });
    const shown = await sendForm(app, '/units/merge', fields);
    const saved = await sendForm(app, '/units/merge', {
      ...fieldsOf(shown, '/units/merge'),
      unitId: shown.root
        .querySelectorAll('input[name="unitId"]')
        .map((one) => one.getAttribute('value') ?? ''),
    });
    expect(saved.headers['location']).toBe('/units/2');
    expect(deps.calls).toEqual([
      {
        name: 'shapes.save',
        args: [{ kind: 'merge', keepId: 2, otherIds: [1, 3], code: 'N2', name: 'Two Springs' }],
      },
    ]);
  });

  it('says so where no neighbors are on record', async () => {
    const deps = fakeDeps();
    const { root } = await getPage(buildApp(deps), '/units/merge?unit=8');
    expect(root.querySelector('.note')?.textContent).toContain('No neighbors');
    expect(root.querySelector('form[method="post"]')).toBeNull();
  });

  it('keeps the ticks of a form that is refused', async () => {
    const app = buildApp(fakeDeps({ problems: [{ ...wrong, field: 'unitId' }] }));
    const form = await getPage(app, '/units/merge?unit=1');
    const fields = fieldsOf(form, '/units/merge', { unitId: '2' });
    const page = await sendForm(app, '/units/merge', fields);
    expect(page.status).toBe(422);
    expect(
      page.root.querySelector('input[name="unitId"][value="2"]')?.hasAttribute('checked'),
    ).toBe(true);
  });
});

describe('lines', () => {
  it('stand beside the edges of the units, with the line work of each block', async () => {
    const { root, text } = await getPage(buildApp(fakeDeps()), '/land/lines');
    const rows = root
      .querySelectorAll('section[aria-labelledby="on-record"] tbody tr')
      .map((row) => row.textContent.replace(/\s+/g, ' ').trim());
    expect(rows).toEqual([
      'North line Blown line 2,400 ft N1 not made',
      'Ridge road road 1,800 ft N1, N2 not made',
    ]);
    // The road needs nothing; together N1 and N2 have the north line around them.
    expect(text).toContain('with N2: 2,400 ft around both');
  });

  it.each([
    ['?q=ROAD', ['Ridge road']],
    ['?q=n2', ['Ridge road']],
    ['?q=blown', ['North line']],
    ['?q=%3Cb%3E', []],
    ['?q=&page=7', ['North line', 'Ridge road']],
  ])('are found by %s', async (query, expected) => {
    const { root } = await getPage(buildApp(fakeDeps()), `/land/lines${query}`);
    const names = root
      .querySelectorAll('section[aria-labelledby="on-record"] tbody th')
      .map((one) => one.textContent);
    expect(names).toEqual(expected);
  });

  it('are drawn after a look at what changes', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const page = await getPage(app, '/land/lines?property=1');
    const shown = await sendForm(app, '/land/lines', fieldsOf(page, '/land/lines'));
    expect(shown.text).toContain('No planned task goes');
    await sendForm(app, '/land/lines', fieldsOf(shown, '/land/lines'));
    expect(deps.calls).toEqual([{ name: 'shapes.save', args: [{ kind: 'lines', propertyId: 1 }] }]);
  });

  it('cannot be drawn without boundaries, and the page says what to do', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/land/lines?property=2');
    expect(root.querySelector('section[aria-labelledby="edges"] a')?.getAttribute('href')).toBe(
      '/land/import',
    );
    expect(root.querySelector('form[method="post"]')).toBeNull();
  });
});

describe('blocks', () => {
  const pairs = async (query: string) => {
    const { root } = await getPage(buildApp(fakeDeps()), `/land/blocks${query}`);
    return root
      .querySelectorAll('section[aria-labelledby="suggested"] tbody th')
      .map((one) => one.textContent);
  };
  // N1 (22 acres) and N2 (31 acres) share 1,800 of 3,800 ft and the restoration phase.
  it.each([
    ['', ['N2 and N1']],
    ['?acres=30', []],
    ['?share=48&feet=1801', []],
    ['?share=47&feet=1801', ['N2 and N1']],
    ['?share=48&feet=1800', ['N2 and N1']],
    ['?acres=-3', ['N2 and N1']],
  ])('are suggested with the limits %s', async (query, expected) =>
    expect(await pairs(query)).toEqual(expected),
  );

  it('are made and undone', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const page = await getPage(app, '/land/blocks');
    for (const action of ['/land/blocks/join', '/land/blocks/part']) {
      const shown = await sendForm(app, action, fieldsOf(page, action));
      await sendForm(app, action, fieldsOf(shown, action));
    }
    expect(deps.calls.map((one) => one.args[0])).toEqual([
      { kind: 'join', keepId: 2, otherId: 1 },
      { kind: 'part', blockId: 6 },
    ]);
  });
});
