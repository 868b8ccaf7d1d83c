import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Position } from '../../src/core/geometry.ts';
import { cornersToKeep, layerCornersMost, mapLayerOf } from '../../src/core/map-layers.ts';
import { fakeOperation } from '../support/operation.ts';

const { units } = fakeOperation();
const road = { propertyId: 1, name: 'Roads', kind: 'road' as const };
const near: Position[] = [
  [-92.1, 37.2],
  [-92.09, 37.2],
  [-92.08, 37.21],
];

describe('thinning', () => {
  // Douglas and Peucker 1973: a straight row of points keeps its ends; a corner farther off than the slack stays.
  test.each([
    [
      [
        [0, 0],
        [10, 0],
        [20, 0],
        [30, 0],
      ],
      1,
      [0, 3],
    ],
    [
      [
        [0, 0],
        [10, 5],
        [20, 0],
      ],
      1,
      [0, 1, 2],
    ],
    [
      [
        [0, 0],
        [10, 0.5],
        [20, 0],
      ],
      1,
      [0, 2],
    ],
    [
      [
        [0, 0],
        [0, 0],
        [0, 0],
      ],
      1,
      [0, 2],
    ],
  ] as [[number, number][], number, number[]][])('%j by %d keeps %j', (points, slack, kept) => {
    expect(cornersToKeep(points, slack)).toEqual(kept);
  });

  test('no corner left out is farther than the slack from the line of those kept', () => {
    const point = fc.tuple(fc.integer({ min: 0, max: 500 }), fc.integer({ min: 0, max: 500 }));
    fc.assert(
      fc.property(fc.array(point, { minLength: 2, maxLength: 40 }), (points) => {
        const kept = cornersToKeep(points, 10);
        expect(kept[0]).toBe(0);
        expect(kept.at(-1)).toBe(points.length - 1);
        points.forEach(([x, y], at) => {
          const end = kept.findIndex((one) => one >= at);
          const [b, a] = [points[kept[end]!]!, points[kept[Math.max(0, end - 1)]!]!];
          const square = (b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2;
          const along = (x - a[0]) * (b[0] - a[0]) + (y - a[1]) * (b[1] - a[1]);
          const t = square === 0 ? 0 : Math.min(1, Math.max(0, along / square));
          const off = Math.hypot(x - a[0] - t * (b[0] - a[0]), y - a[1] - t * (b[1] - a[1]));
          expect(off).toBeLessThanOrEqual(10 + 1e-9);
        });
      }),
    );
  });
});

test('what lies within a mile of a unit is kept and the rest counted', () => {
  const far = near.map(([x, y]): Position => [x + 1, y]);
  const made = mapLayerOf(
    road,
    [
      { label: ' Ridge ', path: near },
      { label: '', path: far },
    ],
    units,
  );
  expect(made).toMatchObject({
    ok: true,
    value: { leftOut: 1, layer: { stretches: [{ label: 'Ridge', path: near }] } },
  });
});

test.each([
  [
    'nothing near',
    { ...road },
    [
      {
        label: '',
        path: [
          [0, 0],
          [1, 1],
        ] as Position[],
      },
    ],
    'within a mile',
  ],
  ['no name', { ...road, name: ' ' }, [{ label: '', path: near }], 'Name:'],
  [
    'too many corners',
    road,
    Array.from({ length: layerCornersMost / 3 + 1 }, () => ({ label: '', path: near })),
    'is the most',
  ],
])('%s is refused in words', (_, asked, stretches, words) => {
  const made = mapLayerOf(asked, stretches, units);
  expect(made.ok ? '' : made.problems.map(({ message }) => message).join(' ')).toContain(words);
});
