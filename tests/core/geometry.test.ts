import kinks from '@turf/kinks';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  boundingBox,
  centroidOf,
  crossingOf,
  isInside,
  type Position,
  projectToFeet,
  sharedEdges,
} from '../../src/core/geometry.ts';
import type { Boundary } from '../../src/core/units.ts';

const origin: Position = [-92.1, 37.2];
const perFoot = (() => {
  const [x] = projectToFeet(origin)([origin[0] + 1, origin[1]]);
  const [, y] = projectToFeet(origin)([origin[0], origin[1] + 1]);
  return [1 / x, 1 / y] as const;
})();

/** Rings of points in feet east and north of the origin, as positions; closed here. */
function polygon(...rings: [number, number][][]): Boundary {
  const coordinates = rings.map((ring) =>
    [...ring, ring[0]!].map(([x, y]) => [origin[0] + x * perFoot[0], origin[1] + y * perFoot[1]]),
  );
  return { type: 'Polygon', coordinates };
}

function box(west: number, south: number, width: number, height: number): [number, number][] {
  return [
    [west, south],
    [west + width, south],
    [west + width, south + height],
    [west, south + height],
  ];
}

function shift(boundary: Boundary, east: number, north: number): Boundary {
  const coordinates = (boundary.coordinates as number[][][]).map((ring) =>
    ring.map(([lon, lat]) => [lon! + east * perFoot[0], lat! + north * perFoot[1]]),
  );
  return { type: 'Polygon', coordinates };
}

const feetOf = (...boundaries: Boundary[]) =>
  sharedEdges(boundaries.map((boundary, index) => ({ code: `U${index}`, boundary })));

describe('local plane', () => {
  // National Imagery and Mapping Agency tables of a degree on WGS 84 (from memory, to the metre):
  // at 45 degrees a degree of latitude is 111,132 m and one of longitude 78,847 m; at the equator 110,574 and 111,320 m.
  it.each([
    [45, 111_132, 78_847],
    [0, 110_574, 111_320],
  ])('a degree at latitude %d', (latitude, north, east) => {
    const project = projectToFeet([10, latitude]);
    const [x, y] = project([11, latitude + 1]);
    expect(x * 0.3048).toBeCloseTo(east, -0.5);
    expect(y * 0.3048).toBeCloseTo(north, -0.5);
    expect(project([10, latitude])).toEqual([0, 0]);
  });
});

describe('bounding box, centroid, inside', () => {
  it('of a boundary of two parts', () => {
    const one = polygon(box(0, 0, 100, 100)).coordinates as number[][][];
    const two = polygon(box(300, 200, 100, 100)).coordinates as number[][][];
    const both: Boundary = { type: 'MultiPolygon', coordinates: [one, two] };
    const { west, south, east, north } = boundingBox(both);
    const project = projectToFeet(origin);
    expect(project([west, south])[0]).toBeCloseTo(0, 4);
    expect(project([west, south])[1]).toBeCloseTo(0, 4);
    expect(project([east, north])[0]).toBeCloseTo(400, 4);
    expect(project([east, north])[1]).toBeCloseTo(300, 4);
    expect(project(centroidOf(both))[0]).toBeCloseTo(200, 4);
    expect(project(centroidOf(both))[1]).toBeCloseTo(150, 4);
  });

  // By hand: a square of 300 ft (centre 150) less a hole of 100 ft about (50, 50):
  // (90,000 x 150 - 10,000 x 50) / 80,000 = 162.5.
  it.each([
    ['hole wound the other way', box(0, 0, 100, 100).reverse() as [number, number][]],
    ['hole wound the same way', box(0, 0, 100, 100)],
  ])('a hole is taken out: %s', (_name, hole) => {
    const centre = projectToFeet(origin)(centroidOf(polygon(box(0, 0, 300, 300), hole)));
    expect(centre[0]).toBeCloseTo(162.5, 4);
    expect(centre[1]).toBeCloseTo(162.5, 4);
  });

  it('a boundary without area has the middle of its box', () => {
    const line: Boundary = {
      type: 'Polygon',
      coordinates: [
        [
          [1, 1],
          [3, 5],
          [1, 1],
        ],
      ],
    };
    expect(centroidOf(line)).toEqual([2, 3]);
  });

  it('a hole is outside', () => {
    const rings = polygon(box(0, 0, 300, 300), box(100, 100, 100, 100)).coordinates as Position[][];
    const at = (x: number, y: number): Position => [
      origin[0] + x * perFoot[0],
      origin[1] + y * perFoot[1],
    ];
    expect(isInside(at(50, 50), rings)).toBe(true);
    expect(isInside(at(150, 150), rings)).toBe(false);
    expect(isInside(at(350, 50), rings)).toBe(false);
  });
});

describe('crossings', () => {
  const ring = (...points: number[][]): Boundary => ({
    type: 'Polygon',
    coordinates: [[...points, points[0]!]],
  });

  it.each<[string, Boundary, boolean]>([
    ['square', ring([0, 0], [1, 0], [1, 1], [0, 1]), false],
    ['square wound clockwise', ring([0, 0], [0, 1], [1, 1], [1, 0]), false],
    ['triangle', ring([0, 0], [1, 0], [0, 1]), false],
    ['a corner given twice', ring([0, 0], [1, 0], [1, 0], [1, 1], [0, 1]), false],
    ['a corner in the middle of an edge', ring([0, 0], [0.5, 0], [1, 0], [1, 1], [0, 1]), false],
    ['bow tie', ring([0, 0], [1, 1], [1, 0], [0, 1]), true],
    [
      'bow tie with a corner at the knot',
      ring([0, 0], [1, 1], [2, 2], [2, 0], [1, 1], [0, 2]),
      true,
    ],
    ['a corner on another edge', ring([0, 0], [2, 0], [2, 2], [1, 0], [0, 2]), true],
    ['spike', ring([0, 0], [1, 0], [1, 1], [1, 2], [1, 1], [0, 1]), true],
    ['spike at the first corner', ring([0, 0], [1, 0], [1, 1], [0, 1], [0, -1]), true],
    ['out and back', ring([0, 0], [1, 0]), true],
    [
      'an edge run over twice',
      ring([0, 0], [3, 0], [3, 1], [1, 1], [1, 0], [2, 0], [2, 2], [0, 2]),
      true,
    ],
  ])('%s', (_name, boundary, isBad) => {
    expect(crossingOf(boundary) !== null).toBe(isBad);
  });

  it('a hole that crosses its outline is found, one that touches it in a corner is not', () => {
    const outer = [
      [0, 0],
      [4, 0],
      [4, 4],
      [0, 4],
      [0, 0],
    ];
    const crossing = [
      [3, 1],
      [5, 1],
      [5, 2],
      [3, 2],
      [3, 1],
    ];
    const touching = [
      [4, 2],
      [3, 3],
      [2, 2],
      [3, 1],
      [4, 2],
    ];
    expect(crossingOf({ type: 'Polygon', coordinates: [outer, crossing] })).not.toBeNull();
    expect(crossingOf({ type: 'Polygon', coordinates: [outer, touching] })).toBeNull();
  });

  it('names a corner near the crossing', () => {
    expect(crossingOf(ring([0, 0], [1, 1], [1, 0], [0, 1]))).toEqual([0, 0]);
  });

  it('agrees with @turf/kinks on random rings', () => {
    const point = fc.tuple(fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 40 }));
    fc.assert(
      fc.property(
        fc.uniqueArray(point, { minLength: 4, maxLength: 9, selector: String }),
        (points) => {
          const boundary = ring(...points);
          const coordinates = boundary.coordinates as number[][][];
          // @turf/kinks does not look for edges that run back along the one before them.
          const isBack = points.some((p, i) => {
            const [q, r] = [points[(i + 1) % points.length]!, points[(i + 2) % points.length]!];
            const cross = (q[0] - p[0]) * (r[1] - q[1]) - (q[1] - p[1]) * (r[0] - q[0]);
            return cross === 0;
          });
          fc.pre(!isBack);
          const found = kinks({ type: 'Polygon', coordinates }).features.length > 0;
          expect(crossingOf(boundary) !== null).toBe(found);
        },
      ),
      { numRuns: 300 },
    );
  });
});

describe('shared edges', () => {
  it('two fields with one common side', () => {
    const shared = feetOf(polygon(box(0, 0, 500, 400)), polygon(box(500, 0, 300, 400)));
    expect(shared).toHaveLength(1);
    expect(shared[0]?.codes).toEqual(['U0', 'U1']);
    expect(shared[0]?.sharedFeet).toBeCloseTo(400, 3);
  });

  it.each([
    ['part of a side', box(500, 100, 300, 1000), 300],
    ['a lane of 30 ft between (10 m are 32.8 ft)', box(530, 0, 300, 400), 400],
    ['a lane of 36 ft between', box(536, 0, 300, 400), 0],
    ['a common corner', box(500, 400, 300, 400), 0],
    ['66 ft in common (20 m are 65.6 ft)', box(500, 334, 300, 400), 66],
    ['65 ft in common', box(500, 335, 300, 400), 0],
    ['the end of a strip of 20 ft, whose sides only run past', box(500, 100, 300, 20), 0],
    ['far away', box(5000, 0, 300, 400), 0],
    ['an overlap by 20 ft, whose ends count too', box(480, 0, 300, 400), 440],
  ])('%s', (_name, other, feet) => {
    const shared = feetOf(polygon(box(0, 0, 500, 400)), polygon(other));
    if (feet === 0) expect(shared).toEqual([]);
    else expect(shared[0]?.sharedFeet).toBeCloseTo(feet, 1);
  });

  it('the same creek drawn with other corners counts once', () => {
    const west = polygon([
      [0, 0],
      [500, 0],
      [510, 100],
      [500, 200],
      [505, 300],
      [500, 400],
      [0, 400],
    ]);
    const east = polygon([
      [505, 0],
      [900, 0],
      [900, 400],
      [505, 400],
      [500, 250],
      [512, 120],
    ]);
    const [shared] = feetOf(west, east);
    expect(shared?.sharedFeet).toBeGreaterThan(395);
    expect(shared?.sharedFeet).toBeLessThan(410);
  });

  it('edges that part at a slant count up to where they are 10 m apart', () => {
    // Across is a tenth of along, seen from either edge: 10 m across are reached 100 m along.
    const west = polygon(box(0, 0, 500, 1000));
    const east = polygon([
      [500, 0],
      [900, 0],
      [900, 1000],
      [600, 1000],
    ]);
    expect(feetOf(west, east)[0]?.sharedFeet).toBeCloseTo(100 / 0.3048, 1);
  });

  it('a unit inside the hole of another shares the edge of the hole', () => {
    const shared = feetOf(
      polygon(box(0, 0, 900, 900), box(300, 300, 200, 100)),
      polygon(box(300, 300, 200, 100)),
    );
    expect(shared[0]?.sharedFeet).toBeCloseTo(600, 1);
  });

  it('nothing among no places or one', () => {
    expect(sharedEdges([])).toEqual([]);
    expect(feetOf(polygon(box(0, 0, 100, 100)))).toEqual([]);
  });

  it('a corner that points at a side shares nothing, though both its edges are near for a while', () => {
    // Edges at 40 degrees to the side are 10 m away after 39 ft each, together more than the 65.6 ft that count.
    const rise = 300 * Math.tan((50 * Math.PI) / 180);
    const corner = polygon([
      [500, 500],
      [800, 500 - rise],
      [800, 500 + rise],
    ]);
    expect(feetOf(polygon(box(0, 0, 500, 1000)), corner)).toEqual([]);
  });

  it('finds neighbours across a lane wherever they lie', () => {
    const strips = Array.from({ length: 40 }, (_, index) => polygon(box(index * 131, 0, 101, 90)));
    expect(feetOf(...strips).map((row) => Math.round(row.sharedFeet))).toEqual(Array(39).fill(90));
  });

  const side = fc.integer({ min: 100, max: 900 });
  const place = fc.integer({ min: -600, max: 600 });
  const field = fc.tuple(place, place, side, side).map(([x, y, w, h]) => polygon(box(x, y, w, h)));

  it('the shared length is the same from either side', () => {
    fc.assert(
      fc.property(field, field, (one, other) => {
        const there = feetOf(one, other).map((row) => row.sharedFeet);
        const back = feetOf(other, one).map((row) => row.sharedFeet);
        expect(back).toHaveLength(there.length);
        if (there.length > 0) expect(back[0]).toBeCloseTo(there[0]!, 3);
      }),
    );
  });

  it('moving both changes nothing', () => {
    fc.assert(
      fc.property(field, field, place, place, (one, other, east, north) => {
        const here = feetOf(one, other)[0]?.sharedFeet ?? 0;
        const there =
          feetOf(shift(one, east, north), shift(other, east, north))[0]?.sharedFeet ?? 0;
        // Lengths at the very limit of what counts may drop out; else the plane differs by one part in 10,000.
        const isAtLimit = Math.abs(Math.max(here, there) - 20 / 0.3048) < 0.1;
        if (!isAtLimit) expect(Math.abs(there - here)).toBeLessThan(0.001 * here + 0.5);
      }),
    );
  });

  it('5,000 fields side by side give each its neighbours', () => {
    const places = Array.from({ length: 5000 }, (_, index) => ({
      code: `U${index}`,
      boundary: polygon(box((index % 100) * 400, Math.floor(index / 100) * 300, 400, 300)),
    }));
    // 50 rows of 99 common sides and 49 rows of 100.
    expect(sharedEdges(places)).toHaveLength(50 * 99 + 49 * 100);
  });
});
