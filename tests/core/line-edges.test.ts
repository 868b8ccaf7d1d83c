import { describe, expect, it } from 'vitest';
import { coverOf, cutBoundary, roughAcres, unionOf } from '../../src/core/boundary-cuts.ts';
import { sharedEdges } from '../../src/core/geometry.ts';
import { edgesOf } from '../../src/core/line-edges.ts';
import { sampleLand } from '../../src/core/sample/land.ts';
import type { Boundary } from '../../src/core/units.ts';
import { fakeToday } from '../support/operation.ts';

function box(west: number, south: number, east: number, north: number): Boundary {
  const ring = [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
    [west, south],
  ];
  return { type: 'Polygon', coordinates: [ring] };
}

// A hundredth degree of latitude at 37 N: 3641 ft (1109.8 m; series of the meridian arc, from memory).
const northFeet = 3641;
// A hundredth degree of longitude at 37 N: 2919 ft (889.8 m, from memory).
const eastFeet = 2919;

describe('edges', () => {
  const two = [
    { id: 7, boundary: box(-92.02, 37, -92.01, 37.01) },
    { id: 4, boundary: box(-92.01, 37, -92, 37.01) },
  ];
  it('of two squares: one shared, one outer each', () => {
    const edges = edgesOf(two);
    expect(edges.map(({ ids }) => ids)).toEqual([[7, 4], [7], [4]]);
    expect(Math.abs(edges[0]!.feet - northFeet)).toBeLessThan(15);
    for (const edge of edges.slice(1)) {
      expect(Math.abs(edge.feet - (2 * eastFeet + northFeet))).toBeLessThan(30);
      expect(edge.path).toHaveLength(1);
    }
    expect(edges[0]!.path[0]).toEqual([
      [-92.01, 37],
      [-92.01, 37.01],
    ]);
    // One stretch over the start of the ring: west edge and both ends.
    expect(edges[1]!.path[0]!.map(([lon]) => lon)).toEqual([-92.01, -92.02, -92.02, -92.01]);
  });

  it('a lane of 5 m is shared, one of 20 m is not', () => {
    const beside = (gapDegrees: number) =>
      edgesOf([two[0]!, { id: 4, boundary: box(-92.01 + gapDegrees, 37, -92, 37.01) }]).map(
        ({ ids }) => ids.length,
      );
    expect(beside(5 / 88_980)).toEqual([2, 1, 1]);
    expect(beside(20 / 88_980)).toEqual([1, 1]);
  });

  it('a unit inside another has no outer edge', () => {
    const outer = box(-92.02, 37, -92, 37.02).coordinates[0] as number[][];
    const inner = box(-92.015, 37.005, -92.005, 37.015);
    const ring: Boundary = {
      type: 'Polygon',
      coordinates: [outer, inner.coordinates[0] as number[][]],
    };
    const edges = edgesOf([
      { id: 1, boundary: ring },
      { id: 2, boundary: inner },
    ]);
    expect(edges.map(({ ids }) => ids)).toEqual([[1, 2], [1]]);
  });

  it('has the lengths of sharedEdges on the sample, and adds up to the perimeters', () => {
    const { units } = sampleLand(fakeToday);
    const mapped = units.flatMap(({ id, boundary, propertyId }) =>
      boundary && propertyId === 1 ? [{ id, code: String(id), boundary }] : [],
    );
    const edges = edgesOf(mapped);
    const known = new Map(sharedEdges(mapped).map((one) => [one.codes.join(' '), one.sharedFeet]));
    const shared = edges.filter(({ ids }) => ids.length === 2);
    expect(shared.length).toBe(known.size);
    for (const { ids, feet } of shared) expect(feet).toBeCloseTo(known.get(ids.join(' '))!, 3);
    for (const { id } of mapped) {
      const { perimeterFeet } = units.find((unit) => unit.id === id)!;
      const own = edges.filter(({ ids }) => ids.includes(id));
      const sum = own.reduce((total, { feet }) => total + feet, 0);
      expect(Math.abs(sum / perimeterFeet! - 1)).toBeLessThan(0.02);
    }
  });

  it('there are none without places', () => expect(edgesOf([])).toEqual([]));
});

describe('a boundary cut and joined', () => {
  const square = box(-92.02, 37, -92.01, 37.01);
  it.each([
    ['across the middle', [-92.015, 36], [-92.015, 38], 0.5],
    ['by a short line inside', [-92.015, 37.004], [-92.015, 37.005], 0.5],
    ['corner to corner', [-92.02, 37], [-92.01, 37.01], 0.5],
    ['off to the side', [-92.018, 37], [-92.018, 37.01], 0.2],
  ] as const)('%s', (_name, from, to, share) => {
    const [left, right] = cutBoundary(square, [...from], [...to])!;
    expect(roughAcres(left) / roughAcres(square)).toBeCloseTo(share, 3);
    expect(roughAcres(left) + roughAcres(right)).toBeCloseTo(roughAcres(square), 3);
    expect(roughAcres(unionOf([left, right])!)).toBeCloseTo(roughAcres(square), 3);
    const cover = coverOf(square, [left, right]);
    for (const acres of Object.values(cover)) expect(acres).toBeLessThan(0.01);
  });
  it.each([
    ['beside it', [-92.03, 36], [-92.03, 38]],
    ['along its edge', [-92.02, 36], [-92.02, 38]],
    ['by no line', [-92.015, 37], [-92.015, 37]],
  ] as const)('not %s', (_name, from, to) =>
    expect(cutBoundary(square, [...from], [...to])).toBeNull(),
  );

  it('tells what parts miss, cover twice and take from outside', () => {
    const half = box(-92.02, 37, -92.015, 37.01);
    const acres = roughAcres(half);
    expect(coverOf(square, [half]).missingAcres).toBeCloseTo(acres, 3);
    expect(coverOf(square, [half, half]).doubleAcres).toBeCloseTo(acres, 3);
    expect(coverOf(half, [square]).outsideAcres).toBeCloseTo(acres, 3);
  });
});
