import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { fieldsOf, getPage, sendForm } from '../support/page.ts';
import { upload } from '../support/upload.ts';

const address = 'https://tiles.example.org/{z}/{x}/{y}.png';
const roads = JSON.stringify({
  type: 'FeatureCollection',
  features: [
    {
      type: 'Feature',
      properties: { name: 'Ridge road' },
      geometry: {
        type: 'LineString',
        coordinates: [
          [-92.1, 37.2],
          [-92.09, 37.21],
        ],
      },
    },
  ],
});

const filled = (text: string) => [
  { name: 'name', value: 'Roads' },
  { name: 'kind', value: 'road' },
  { name: 'text', value: text },
];

describe('what fills the map', () => {
  it('the next treatment of the plan, by family', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/map?show=next');
    const legend = root.querySelector('.map-legend')?.textContent ?? '';
    expect(legend).toContain('burn');
    expect(legend).toContain('nothing planned');
    const links = root
      .querySelectorAll('main .land-map a')
      .map((one) => one.getAttribute('aria-label'));
    expect(links).toContain('N1, Dogtooth flat');
  });

  it('the burning season of the next burn, and where none is planned', async () => {
    const { root, text } = await getPage(buildApp(fakeDeps()), '/map?show=season');
    expect(root.querySelector('.map-legend')?.textContent).toContain('burn planned 2026-27');
    expect(root.querySelector('.map-legend')?.textContent).toContain('no burn planned');
    expect(text).toContain('one day when fit');
  });

  it('the years since fire stand under the code of a unit', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/map?show=fire');
    const notes = root.querySelectorAll('.note-line').map((one) => one.textContent);
    // N1 burned on 15 June 2023; today of the tests is 9 November 2026: 1243 days by a calendar, 3.4 years.
    expect(notes.some((note) => note.startsWith('3.4 yr'))).toBe(true);
  });
});

describe('layers of files', () => {
  it('are listed, drawn and named in the legend', async () => {
    const deps = fakeDeps();
    deps.state.operation.mapLayers = [
      {
        id: 1,
        propertyId: 1,
        name: 'Creeks',
        kind: 'creek',
        stretches: [
          {
            label: 'Slate Branch',
            path: [
              [-92.1, 37.201],
              [-92.095, 37.203],
              [-92.09, 37.202],
            ],
          },
        ],
      },
    ];
    const { root } = await getPage(buildApp(deps), '/map');
    expect(root.querySelectorAll('.creek-layer title').map((one) => one.textContent)).toEqual([
      'Creeks',
    ]);
    expect(root.querySelector('.layer-name')?.textContent).toBe('Slate Branch');
    expect(root.querySelector('.map-legend')?.textContent).toContain('creek');
    const list = await getPage(buildApp(deps), '/map/layers?property=1');
    expect(list.root.querySelector('tbody th')?.textContent).toBe('Creeks');
  });

  it('come in from a file, near the units', async () => {
    const deps = fakeDeps();
    const answer = await upload(deps, '/map/layers/1', filled(roads));
    expect(answer.status).toBe(200);
    expect(deps.calls.map(({ name, args }) => [name, args[0]])).toEqual([
      ['records.save', 'mapLayer'],
    ]);
    expect(answer.root.textContent).toContain('1 line taken over');
  });

  it('keep what was typed when they are refused', async () => {
    const deps = fakeDeps();
    const answer = await upload(deps, '/map/layers/1', filled('{}'));
    expect(answer.status).toBe(422);
    expect(deps.calls).toEqual([]);
    expect(answer.root.querySelector('textarea')?.textContent).toBe('{}');
    expect(answer.root.querySelector('#layer-name')?.getAttribute('value')).toBe('Roads');
  });

  it('of another property can not be taken off', async () => {
    const app = buildApp(fakeDeps());
    expect((await sendForm(app, '/map/layers/2/1/out', {})).status).toBe(404);
    expect((await getPage(app, '/map/layers?property=99')).status).toBe(404);
  });
});

describe('pictures of a server under the map', () => {
  const policyOf = (headers: Record<string, unknown>) => String(headers['content-security-policy']);

  it('are off by default, and nothing else may be shown', async () => {
    const { root, headers } = await getPage(buildApp(fakeDeps()), '/map');
    expect(root.querySelectorAll('image')).toHaveLength(0);
    expect(policyOf(headers)).toContain("img-src 'self' data:;");
  });

  it('let the map show pictures of that origin and of no other, and only the map', async () => {
    const deps = fakeDeps();
    const attribution = 'the makers <of> it';
    deps.state.operation.tileServices = [{ id: 1, address, attribution }];
    const app = buildApp(deps);
    const { root, headers, text } = await getPage(app, '/map');
    const strict = await getPage(app, '/more');
    const images = root.querySelectorAll('image').map((one) => one.getAttribute('href') ?? '');
    expect(images.length).toBeGreaterThan(0);
    expect(
      images.every((one) => /^https:\/\/tiles\.example\.org\/\d+\/\d+\/\d+\.png$/.test(one)),
    ).toBe(true);
    expect(policyOf(headers)).toBe(
      policyOf(strict.headers).replace(
        "img-src 'self' data:",
        "img-src 'self' data: https://tiles.example.org",
      ),
    );
    expect(text).toContain('tells that server where the land is');
    expect(root.innerHTML).toContain('the makers &lt;of&gt; it');
  });

  it('are switched on by a form that says what it gives away', async () => {
    const deps = fakeDeps();
    const app = buildApp(deps);
    const page = await getPage(app, '/map/pictures');
    expect(page.text).toContain('tells that server where the land is');
    const fields = fieldsOf(page, '/map/pictures', { address, attribution: 'its makers' });
    expect((await sendForm(app, '/map/pictures', fields)).status).toBe(303);
    expect(deps.calls.map(({ args }) => args.slice(0, 2))).toEqual([
      ['tileService', { id: 0, address, attribution: 'its makers' }],
    ]);
  });

  it('keep a refused address as typed', async () => {
    const deps = fakeDeps();
    deps.state.problems = [{ code: 'tile-address', field: 'address', message: 'Address: no.' }];
    const answer = await sendForm(buildApp(deps), '/map/pictures', {
      address: 'x',
      attribution: '',
    });
    expect(answer.status).toBe(422);
    expect(answer.root.querySelector('#pictures-address')?.getAttribute('value')).toBe('x');
  });
});
