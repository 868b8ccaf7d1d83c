import { difference, intersection, union } from 'polyclip-ts';
import { boundingBox, middleOf, type Position, polygonsOf, projectToFeet } from './geometry.ts';
import type { Boundary } from './units.ts';

type Polygons = Position[][][];

function toBoundary(polygons: Polygons): Boundary | null {
  if (polygons.length === 0) return null;
  return polygons.length === 1
    ? { type: 'Polygon', coordinates: polygons[0]! }
    : { type: 'MultiPolygon', coordinates: polygons };
}

/** Acres on the local plane: to tell a sliver from a part, not to record. */
export function roughAcres(boundary: Boundary | null): number {
  if (!boundary) return 0;
  const project = projectToFeet(middleOf(boundingBox(boundary)));
  let squareFeet = 0;
  for (const rings of polygonsOf(boundary))
    rings.forEach((ring, index) => {
      const points = ring.map(project);
      let twice = 0;
      for (let at = 0; at + 1 < points.length; at++)
        twice += points[at]![0] * points[at + 1]![1] - points[at + 1]![0] * points[at]![1];
      squareFeet += ((index === 0 ? 1 : -1) * Math.abs(twice)) / 2;
    });
  return squareFeet / 43_560;
}

/** Part of a boundary inside a rounding error of the clipping: no land. */
const sliverAcres = 0.01;

/**
 * Both sides of a boundary cut by the straight line through two positions (straight in degrees, as edges of maps
 * are): left of the line as seen from the first position, then right of it. Null when the line does not cut it.
 */
export function cutBoundary(
  boundary: Boundary,
  from: Position,
  to: Position,
): [Boundary, Boundary] | null {
  const east = to[0] - from[0];
  const north = to[1] - from[1];
  const length = Math.hypot(east, north);
  if (length === 0) return null;
  const box = boundingBox(boundary);
  const reach =
    4 *
    (Math.hypot(box.east - box.west, box.north - box.south) +
      Math.hypot(from[0] - box.west, from[1] - box.south));
  const [x, y] = [(east / length) * reach, (north / length) * reach];
  const behind: Position = [from[0] - x, from[1] - y];
  const ahead: Position = [from[0] + x, from[1] + y];
  const leftHalf: Polygons = [
    [[behind, ahead, [ahead[0] - y, ahead[1] + x], [behind[0] - y, behind[1] + x], behind]],
  ];
  const whole = polygonsOf(boundary);
  const left = toBoundary(intersection(whole, leftHalf));
  const right = toBoundary(difference(whole, leftHalf));
  if (!left || !right || roughAcres(left) < sliverAcres || roughAcres(right) < sliverAcres)
    return null;
  return [left, right];
}

/** All of the boundaries as one; narrow gaps between them stay. */
export function unionOf(boundaries: readonly Boundary[]): Boundary | null {
  const [first, ...rest] = boundaries.map(polygonsOf);
  return first ? toBoundary(union(first, ...rest)) : null;
}

/** How parts cover a whole, in acres of the local plane: outside it, in two parts at once, in none. */
export function coverOf(
  whole: Boundary,
  parts: readonly Boundary[],
): { outsideAcres: number; doubleAcres: number; missingAcres: number } {
  const all = unionOf(parts);
  if (!all) return { outsideAcres: 0, doubleAcres: 0, missingAcres: roughAcres(whole) };
  const [inner, outer] = [polygonsOf(whole), polygonsOf(all)];
  const sum = parts.reduce((acres, part) => acres + roughAcres(part), 0);
  return {
    outsideAcres: roughAcres(toBoundary(difference(outer, inner))),
    doubleAcres: Math.max(0, sum - roughAcres(all)),
    missingAcres: roughAcres(toBoundary(difference(inner, outer))),
  };
}
