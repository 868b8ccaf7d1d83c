import { describe, expect, it } from 'vitest';
import { buildApp } from '../../src/web/app.ts';
import { fakeDeps } from '../support/fake-deps.ts';
import { getPage } from '../support/page.ts';

const figure = (root: Awaited<ReturnType<typeof getPage>>['root'], selector: string) =>
  root.querySelectorAll(`main .land-map > svg ${selector}`);

describe('the map', () => {
  it('draws each unit with a link to its page, and a table of the same', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/map');
    const links = figure(root, 'a').map((one) => one.getAttribute('href'));
    expect(links).toEqual(['1', '2', '3', '4', '5', '6', '7'].map((id) => `/units/${id}`));
    expect(figure(root, '.code').map((one) => one.textContent)).toEqual([
      'N1',
      'N2',
      'N3',
      'S1',
      'S2',
      'E1',
      'E2',
    ]);
    expect(root.querySelectorAll('section[aria-labelledby="map-units"] tbody tr')).toHaveLength(7);
  });

  it('fills by natural community or by fire, each fill named in the legend', async () => {
    for (const [path, names] of [
      ['/map', 4],
      ['/map?show=fire', 5],
    ] as const) {
      const { root } = await getPage(buildApp(fakeDeps()), path);
      const fills = new Set(figure(root, 'path.unit').map((one) => one.getAttribute('fill')));
      const legend = root
        .querySelectorAll('.map-legend rect')
        .map((one) => one.getAttribute('fill'));
      expect(fills.size).toBe(names);
      expect(new Set(legend)).toEqual(fills);
    }
  });

  it('gives what is overdue for fire the same fill on every map', async () => {
    const deps = fakeDeps();
    const overdue = async () => {
      const { root } = await getPage(buildApp(deps), '/map?show=fire');
      const row = root
        .querySelectorAll('.map-legend li')
        .find((one) => one.textContent.includes('overdue'));
      return row?.querySelector('rect')?.getAttribute('fill');
    };
    const among = await overdue();
    deps.state.operation.units = deps.state.operation.units.slice(0, 1);
    expect([among, await overdue()]).toEqual(['url(#fill-g)', 'url(#fill-g)']);
  });

  it('draws lines by kind, points with letters, and says what is not drawn', async () => {
    const deps = fakeDeps();
    deps.state.operation.lines[0]!.path = [
      [
        [-92.1, 37.2],
        [-92.09, 37.2],
      ],
    ];
    deps.state.operation.points = [
      {
        id: 1,
        propertyId: 1,
        name: 'Fox den',
        kind: 'den',
        position: [-92.09, 37.201],
        unitIds: [1],
        bufferFeet: 50,
        barsFamilies: [],
        opens: null,
        closes: null,
        firmness: 'hard',
        rule: '',
      },
    ];
    const { root } = await getPage(buildApp(deps), '/map');
    expect(figure(root, '.blown-course title').map((one) => one.textContent)).toEqual([
      'North line',
    ]);
    expect(figure(root, '.map-letter').map((one) => one.textContent)).toEqual(['D', 'N']);
    expect(root.textContent).toContain('1 line has no course on file and is not drawn');
    expect(root.querySelector('.map-legend')?.textContent).toContain('blown line');
  });

  it('draws a scale bar that is as long as it says', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/map');
    const bar = figure(root, '.north').at(-1)?.getAttribute('d') ?? '';
    const length = Number(/h([\d.]+)/.exec(bar)?.[1]);
    const feet = Number(figure(root, '.scale-words')[0]?.textContent.replace(/[, a-z]/g, ''));
    const [x = 0] =
      /M([\d.]+)/
        .exec(figure(root, 'path.unit')[0]?.getAttribute('d') ?? '')
        ?.slice(1)
        .map(Number) ?? [];
    const [, next = 0] =
      /L([\d.]+) /.exec(figure(root, 'path.unit')[0]?.getAttribute('d') ?? '')?.map(Number) ?? [];
    // The south edge of a unit is 0.005 degrees of longitude: 88.7 km a degree at 37.2 north, standard figure from memory.
    expect((Math.abs(next - x) / length) * feet).toBeCloseTo((0.005 * 88_700) / 0.3048, -2);
  });

  it('lists what needs a look with links to the units', async () => {
    const deps = fakeDeps();
    deps.state.operation.units[1]!.measuredAcres = 25;
    const { root } = await getPage(buildApp(deps), '/map');
    const section = root.querySelector('section[aria-labelledby="map-checks"]');
    expect(section?.textContent).toContain(
      'N2 has 31 acres on paper and 25 on the map, 6 acres or 24 % apart',
    );
    expect(section?.querySelectorAll('a').map((one) => one.getAttribute('href'))).toContain(
      '/units/2',
    );
  });

  it('says the next step where no boundary or no land is on file', async () => {
    const { root } = await getPage(buildApp(fakeDeps()), '/map?property=2');
    expect(root.querySelector('main svg')).toBeNull();
    expect(root.querySelector('.note a')?.getAttribute('href')).toBe('/land/files');
    const deps = fakeDeps();
    Object.assign(deps.state.operation, { properties: [], units: [], lines: [], points: [] });
    expect(
      (await getPage(buildApp(deps), '/map')).root.querySelector('.note a')?.getAttribute('href'),
    ).toBe('/land/start');
  });
});
