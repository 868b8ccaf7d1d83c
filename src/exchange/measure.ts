import geographiclib from 'geographiclib-geodesic';
import { polygonsOf } from '../core/geometry.ts';
import type { Boundary } from '../core/units.ts';

/** International acre and foot, in square metres and metres (NIST SP 811, 2008, appendix B). */
const squareMetersPerAcre = 4046.8564224;
const metersPerFoot = 0.3048;

const { WGS84 } = geographiclib.Geodesic;

function measureRing(ring: readonly number[][]): { squareMeters: number; meters: number } {
  const polygon = WGS84.Polygon(false);
  // The last position repeats the first.
  for (const [longitude = 0, latitude = 0] of ring.slice(0, -1))
    polygon.AddPoint(latitude, longitude);
  const { area = 0, perimeter } = polygon.Compute(false, true);
  return { squareMeters: Math.abs(area), meters: perimeter };
}

/**
 * Acres and outer edge of a boundary on the WGS 84 ellipsoid, edges taken as geodesics, holes taken out of the acres
 * and left out of the edge. Rings may wind either way. Method: Karney 2013, "Algorithms for geodesics",
 * J. Geodesy 87, 43-55, by geographiclib.
 */
export function measureBoundary(boundary: Boundary): { acres: number; perimeterFeet: number } {
  let squareMeters = 0;
  let meters = 0;
  for (const [outer, ...holes] of polygonsOf(boundary)) {
    if (!outer) continue;
    const own = measureRing(outer);
    squareMeters += own.squareMeters;
    meters += own.meters;
    for (const hole of holes) squareMeters -= measureRing(hole).squareMeters;
  }
  return { acres: squareMeters / squareMetersPerAcre, perimeterFeet: meters / metersPerFoot };
}

/** Feet of a course of one or more stretches on the WGS 84 ellipsoid; same source as above. */
export function measurePathFeet(path: readonly (readonly number[])[][]): number {
  let meters = 0;
  for (const stretch of path)
    for (let at = 1; at < stretch.length; at++) {
      const [fromLon = 0, fromLat = 0] = stretch[at - 1]!;
      const [toLon = 0, toLat = 0] = stretch[at]!;
      meters += WGS84.Inverse(fromLat, fromLon, toLat, toLon).s12 ?? 0;
    }
  return meters / metersPerFoot;
}
