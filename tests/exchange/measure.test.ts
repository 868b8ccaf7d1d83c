import area from '@turf/area';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Boundary } from '../../src/core/units.ts';
import { measureBoundary } from '../../src/exchange/measure.ts';

const squareMetersPerAcre = 4046.8564224;

function box(west: number, south: number, width: number, height: number): number[][] {
  return [
    [west, south],
    [west + width, south],
    [west + width, south + height],
    [west, south + height],
    [west, south],
  ];
}

const polygon = (...rings: number[][][]): Boundary => ({ type: 'Polygon', coordinates: rings });

/** Acres of a box between parallels and meridians of WGS 84: Snyder 1987, USGS Professional Paper 1395, equation 3-12. */
function boxAcres(south: number, north: number, widthDegrees: number): number {
  const flattening = 1 / 298.257223563;
  const e = Math.sqrt(flattening * (2 - flattening));
  const q = (degrees: number) => {
    const s = Math.sin((degrees * Math.PI) / 180);
    return (1 - e * e) * (s / (1 - (e * s) ** 2) - Math.log((1 - e * s) / (1 + e * s)) / (2 * e));
  };
  const width = (widthDegrees * Math.PI) / 180;
  return (6378137 ** 2 * width * (q(north) - q(south))) / 2 / squareMetersPerAcre;
}

describe('acres and edge of an outline', () => {
  it.each([
    [37.2, 0.004, 0.005],
    [0, 0.01, 0.01],
    [46.9, 0.02, 0.03],
    [-41.3, 0.003, 0.002],
  ])('a box at latitude %d has the acres of the ellipsoid', (south, height, width) => {
    const { acres } = measureBoundary(polygon(box(-92.1, south, width, height)));
    expect(acres / boxAcres(south, south + height, width)).toBeCloseTo(1, 5);
  });

  // A section of the US land survey is nominally one mile square, 640 acres; its edge is 4 miles.
  it('a square mile measures 640 acres and four miles around', () => {
    const mile = 1609.344;
    // Length of a degree at 40 N on WGS 84 (111,034.6 m and 85,393.9 m; US National Imagery tables, from memory).
    const { acres, perimeterFeet } = measureBoundary(
      polygon(box(-95, 40 - mile / 111_034.6 / 2, mile / 85_393.9, mile / 111_034.6)),
    );
    expect(acres).toBeCloseTo(640, 0);
    expect(perimeterFeet).toBeCloseTo(4 * 5280, -1);
  });

  it('holes are taken out of the acres and not added to the edge; parts add up', () => {
    const whole = measureBoundary(polygon(box(-92, 37, 0.01, 0.01)));
    const hole = measureBoundary(polygon(box(-91.997, 37.003, 0.002, 0.002)));
    const holed = measureBoundary(
      polygon(box(-92, 37, 0.01, 0.01), box(-91.997, 37.003, 0.002, 0.002)),
    );
    expect(holed.acres).toBeCloseTo(whole.acres - hole.acres, 6);
    expect(holed.perimeterFeet).toBe(whole.perimeterFeet);
    const both = measureBoundary({
      type: 'MultiPolygon',
      coordinates: [[box(-92, 37, 0.01, 0.01)], [box(-91.9, 37, 0.01, 0.01)]],
    });
    expect(both.acres).toBeCloseTo(2 * whole.acres, 6);
    expect(both.perimeterFeet).toBeCloseTo(2 * whole.perimeterFeet, 6);
  });

  it('either winding gives the same', () => {
    const ring = box(-92, 37, 0.01, 0.02);
    const there = measureBoundary(polygon(ring));
    const back = measureBoundary(polygon([...ring].reverse()));
    expect(back.acres).toBeCloseTo(there.acres, 9);
    expect(back.perimeterFeet).toBeCloseTo(there.perimeterFeet, 6);
  });

  it('is within half a per cent of @turf/area, which takes the Earth as a sphere', () => {
    const star = fc
      .tuple(
        fc.double({ min: -124, max: -67, noNaN: true }),
        fc.double({ min: 25, max: 49, noNaN: true }),
        fc.array(fc.double({ min: 0.001, max: 0.02, noNaN: true }), {
          minLength: 3,
          maxLength: 12,
        }),
      )
      .map(([x, y, radii]) => {
        const ring = radii.map((radius, index) => {
          const angle = (2 * Math.PI * index) / radii.length;
          return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)];
        });
        return [...ring, ring[0]!];
      });
    fc.assert(
      fc.property(star, (ring) => {
        const ours = measureBoundary(polygon(ring)).acres;
        const theirs = area({ type: 'Polygon', coordinates: [ring] }) / squareMetersPerAcre;
        expect(Math.abs(ours / theirs - 1)).toBeLessThan(0.005);
      }),
    );
  });
});
