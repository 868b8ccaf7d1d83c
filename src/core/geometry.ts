import type { Boundary } from './units.ts';

/** Longitude and latitude in degrees, WGS 84. */
export type Position = [number, number];
/** East and north of an origin, in feet. */
export type PointFeet = [number, number];

export interface BoundingBox {
  west: number;
  south: number;
  east: number;
  north: number;
}

/** International foot in meters (NIST SP 811, 2008, appendix B). */
export const metersPerFoot = 0.3048;
// WGS 84 ellipsoid: semi-major axis in metres and first eccentricity squared.
const wgs84AxisMeters = 6378137;
const wgs84EccentricitySquared = 0.00669437999014;

/** The polygons of a boundary; each is its outer ring and then its holes, longitude before latitude. */
export function polygonsOf(boundary: Boundary): Position[][][] {
  return (
    boundary.type === 'Polygon' ? [boundary.coordinates] : boundary.coordinates
  ) as Position[][][];
}

/** Least box around a boundary, in degrees. A boundary across the antimeridian is not known. */
export function boundingBox(boundary: Boundary): BoundingBox {
  const box = { west: 180, south: 90, east: -180, north: -90 };
  for (const [longitude, latitude] of polygonsOf(boundary).flat(2)) {
    box.west = Math.min(box.west, longitude);
    box.east = Math.max(box.east, longitude);
    box.south = Math.min(box.south, latitude);
    box.north = Math.max(box.north, latitude);
  }
  return box;
}

/** Middle of a box. */
export function middleOf(box: BoundingBox): Position {
  return [(box.west + box.east) / 2, (box.south + box.north) / 2];
}

/**
 * Local map plane: equirectangular about `origin`, scaled by the radii of curvature of the WGS 84 ellipsoid there
 * (Snyder 1987, USGS Professional Paper 1395, equations 4-18 and 4-20). Lengths east and west are off by about 1 %
 * for each 80 km north or south of the origin at 37 degrees: made for one property and its neighbours.
 */
export function projectToFeet(origin: Position): (position: Position) => PointFeet {
  const latitude = (origin[1] * Math.PI) / 180;
  const shape = 1 - wgs84EccentricitySquared * Math.sin(latitude) ** 2;
  const primeVertical = wgs84AxisMeters / Math.sqrt(shape);
  const meridian = (wgs84AxisMeters * (1 - wgs84EccentricitySquared)) / shape ** 1.5;
  const feetPerDegree = Math.PI / 180 / metersPerFoot;
  const east = primeVertical * Math.cos(latitude) * feetPerDegree;
  const north = meridian * feetPerDegree;
  return ([lon, lat]) => [(lon - origin[0]) * east, (lat - origin[1]) * north];
}

/** Area of a ring times two, positive when counterclockwise, and its first moments. */
function momentsOf(ring: readonly PointFeet[]): { twice: number; x: number; y: number } {
  const sum = { twice: 0, x: 0, y: 0 };
  for (let i = 0; i + 1 < ring.length; i++) {
    const [ax, ay] = ring[i]!;
    const [bx, by] = ring[i + 1]!;
    const cross = ax * by - bx * ay;
    sum.twice += cross;
    sum.x += (ax + bx) * cross;
    sum.y += (ay + by) * cross;
  }
  return sum;
}

/** Centre of gravity of a boundary, holes taken out, whichever way its rings wind. May lie outside a bent unit. */
export function centroidOf(boundary: Boundary): Position {
  const origin = middleOf(boundingBox(boundary));
  // One degree plane is enough here: both axes are scaled alike for every point.
  const total = { twice: 0, x: 0, y: 0 };
  for (const rings of polygonsOf(boundary))
    rings.forEach((ring, index) => {
      const own = momentsOf(ring.map(([lon, lat]) => [lon - origin[0], lat - origin[1]]));
      const sign = own.twice < 0 === (index === 0) ? -1 : 1;
      total.twice += sign * own.twice;
      total.x += sign * own.x;
      total.y += sign * own.y;
    });
  if (total.twice === 0) return origin;
  return [origin[0] + total.x / (3 * total.twice), origin[1] + total.y / (3 * total.twice)];
}

/** True when the position is inside the rings by the even-odd rule, so that holes are outside. */
export function isInside(position: Position, rings: readonly (readonly Position[])[]): boolean {
  let isIn = false;
  for (const ring of rings)
    for (let i = 0; i + 1 < ring.length; i++) {
      const [ax, ay] = ring[i]!;
      const [bx, by] = ring[i + 1]!;
      if (ay > position[1] === by > position[1]) continue;
      if (position[0] < ax + ((position[1] - ay) / (by - ay)) * (bx - ax)) isIn = !isIn;
    }
  return isIn;
}

/** An edge of a ring on the local plane. */
export interface Segment {
  /** Number of the unit or ring it belongs to. */
  owner: number;
  /** Its place in the ring. */
  at: number;
  from: PointFeet;
  to: PointFeet;
}

export function lengthOf({ from, to }: Segment): number {
  return Math.hypot(to[0] - from[0], to[1] - from[1]);
}

function segmentsOf(ring: readonly PointFeet[], owner: number): Segment[] {
  const segments: Segment[] = [];
  for (let i = 0; i + 1 < ring.length; i++) {
    const segment = { owner, at: segments.length, from: ring[i]!, to: ring[i + 1]! };
    if (lengthOf(segment) > 0) segments.push(segment);
  }
  return segments;
}

/** Cells of a square grid that a segment may come within `reach` of; cut into pieces so that long ones stay few. */
function cellsNear(segment: Segment, cellFeet: number, reach: number): Set<number> {
  const { from, to } = segment;
  const pieces = Math.max(1, Math.ceil(lengthOf(segment) / cellFeet));
  const cells = new Set<number>();
  for (let piece = 0; piece < pieces; piece++) {
    const [a, b] = [piece / pieces, (piece + 1) / pieces];
    const x = [from[0] + a * (to[0] - from[0]), from[0] + b * (to[0] - from[0])];
    const y = [from[1] + a * (to[1] - from[1]), from[1] + b * (to[1] - from[1])];
    const columnMost = Math.floor((Math.max(...x) + reach) / cellFeet);
    const rowMost = Math.floor((Math.max(...y) + reach) / cellFeet);
    for (
      let column = Math.floor((Math.min(...x) - reach) / cellFeet);
      column <= columnMost;
      column++
    )
      for (let row = Math.floor((Math.min(...y) - reach) / cellFeet); row <= rowMost; row++)
        cells.add(column * 67_108_864 + row);
  }
  return cells;
}

/** Finds, for a segment, those that may come within `reach` feet of it. */
export function segmentIndex<S extends Segment>(segments: readonly S[], reach: number) {
  const mean = segments.reduce((sum, one) => sum + lengthOf(one), 0) / Math.max(1, segments.length);
  const cellFeet = Math.max(mean, 2 * reach);
  const cells = new Map<number, S[]>();
  for (const segment of segments)
    for (const cell of cellsNear(segment, cellFeet, 0)) {
      const held = cells.get(cell);
      if (held) held.push(segment);
      else cells.set(cell, [segment]);
    }
  return (segment: S): Set<S> => {
    const near = new Set<S>();
    for (const cell of cellsNear(segment, cellFeet, reach))
      for (const other of cells.get(cell) ?? []) near.add(other);
    return near;
  };
}

function turn(a: PointFeet, b: PointFeet, c: PointFeet): number {
  return Math.sign((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]));
}

function isBetween(a: PointFeet, b: PointFeet, p: PointFeet): boolean {
  return (
    Math.min(a[0], b[0]) <= p[0] &&
    p[0] <= Math.max(a[0], b[0]) &&
    Math.min(a[1], b[1]) <= p[1] &&
    p[1] <= Math.max(a[1], b[1])
  );
}

/** `cross`: each runs through the other. `touch`: they have a point in common otherwise. */
function meeting(one: Segment, other: Segment): 'cross' | 'touch' | null {
  const ends = [
    turn(one.from, one.to, other.from),
    turn(one.from, one.to, other.to),
    turn(other.from, other.to, one.from),
    turn(other.from, other.to, one.to),
  ] as const;
  if (ends[0] * ends[1] < 0 && ends[2] * ends[3] < 0) return 'cross';
  const isOn =
    (ends[0] === 0 && isBetween(one.from, one.to, other.from)) ||
    (ends[1] === 0 && isBetween(one.from, one.to, other.to)) ||
    (ends[2] === 0 && isBetween(other.from, other.to, one.from)) ||
    (ends[3] === 0 && isBetween(other.from, other.to, one.to));
  return isOn ? 'touch' : null;
}

/** The next edge of a ring that turns back along the edge it follows. */
function isSpike(one: Segment, next: Segment): boolean {
  const along =
    (one.to[0] - one.from[0]) * (next.to[0] - next.from[0]) +
    (one.to[1] - one.from[1]) * (next.to[1] - next.from[1]);
  return along < 0 && turn(one.from, one.to, next.to) === 0;
}

/**
 * A corner near the first place where a boundary is not simple (OGC Simple Features 06-103r4, section 6.1.11): a ring
 * crosses, touches or runs back along itself, or two of its rings cross. Null for a sound boundary.
 */
export function crossingOf(boundary: Boundary): Position | null {
  const origin = middleOf(boundingBox(boundary));
  // Shifted degrees, not feet: a plain shift keeps touching points exactly on each other.
  const rings = polygonsOf(boundary).flat();
  const byRing = rings.map((ring, owner) =>
    segmentsOf(
      ring.map(([lon, lat]) => [lon - origin[0], lat - origin[1]]),
      owner,
    ),
  );
  const near = segmentIndex(byRing.flat(), 0);
  for (const one of byRing.flat())
    for (const other of near(one)) {
      const isSameRing = one.owner === other.owner;
      if (other.owner < one.owner || (isSameRing && other.at <= one.at)) continue;
      const last = byRing[one.owner]!.length - 1;
      const isNext = isSameRing && other.at === one.at + 1;
      const isAround = isSameRing && one.at === 0 && other.at === last && last > 1;
      let isBad: boolean;
      if (isNext) isBad = isSpike(one, other);
      else if (isAround) isBad = isSpike(other, one);
      else if (isSameRing) isBad = meeting(one, other) !== null;
      else isBad = meeting(one, other) === 'cross';
      if (isBad) return [origin[0] + one.from[0], origin[1] + one.from[1]];
    }
  return null;
}

/** Two named places with the length of their common edge. */
export interface SharedEdge {
  codes: [string, string];
  sharedFeet: number;
}

/** Edges that differ by more than this run past each other rather than along. */
const alongCosine = Math.cos(Math.PI / 6);

/** Part of `one`, in feet from its start, that `other` runs along within `tolerance`; null when none. */
export function alongside(
  one: Segment,
  other: Segment,
  tolerance: number,
): [number, number] | null {
  const length = lengthOf(one);
  const ux = (one.to[0] - one.from[0]) / length;
  const uy = (one.to[1] - one.from[1]) / length;
  const place = ([x, y]: PointFeet): PointFeet => [
    (x - one.from[0]) * ux + (y - one.from[1]) * uy,
    (y - one.from[1]) * ux - (x - one.from[0]) * uy,
  ];
  const [a, b] = [place(other.from), place(other.to)].sort((p, q) => p[0] - q[0]) as [
    PointFeet,
    PointFeet,
  ];
  if (b[0] - a[0] < alongCosine * lengthOf(other)) return null;
  // Distance across is a straight line of the distance along: cut to where it is within the tolerance.
  let from = Math.max(0, a[0]);
  let to = Math.min(length, b[0]);
  const slope = (b[1] - a[1]) / (b[0] - a[0]);
  if (slope === 0) {
    if (Math.abs(a[1]) > tolerance) return null;
  } else {
    const bounds = [tolerance, -tolerance].map((across) => a[0] + (across - a[1]) / slope);
    from = Math.max(from, Math.min(...bounds));
    to = Math.min(to, Math.max(...bounds));
  }
  return to > from ? [from, to] : null;
}

function unionLength(spans: [number, number][]): number {
  let total = 0;
  let end = Number.NEGATIVE_INFINITY;
  for (const [from, to] of spans.sort((a, b) => a[0] - b[0])) {
    if (to <= end) continue;
    total += to - Math.max(from, end);
    end = to;
  }
  return total;
}

/** Feet of edges that run along each other, both sides added up, by `owner * count + other` with owner < other. */
function feetAlong(segments: readonly Segment[], count: number, tolerance: number) {
  const near = segmentIndex(segments, tolerance);
  const feet = new Map<number, number>();
  for (const one of segments) {
    const spans = new Map<number, [number, number][]>();
    for (const other of near(one)) {
      if (other.owner === one.owner) continue;
      const span = alongside(one, other, tolerance);
      if (!span) continue;
      const held = spans.get(other.owner);
      if (held) held.push(span);
      else spans.set(other.owner, [span]);
    }
    for (const [owner, list] of spans) {
      const key = Math.min(one.owner, owner) * count + Math.max(one.owner, owner);
      feet.set(key, (feet.get(key) ?? 0) + unionLength(list));
    }
  }
  return feet;
}

/**
 * Pairs of places whose edges run along each other within `toleranceMeters` for at least `overlapMeters` in all, with
 * the common length: the mean of both sides' own lengths. A gap narrower than the tolerance (a lane, a creek) counts
 * as common; a common corner does not. Local plane of `projectToFeet` about the middle of all. In order of place.
 */
export function sharedEdges(
  places: readonly { code: string; boundary: Boundary }[],
  toleranceMeters = 10,
  overlapMeters = 20,
): SharedEdge[] {
  if (places.length === 0) return [];
  const boxes = places.map((place) => boundingBox(place.boundary));
  const project = projectToFeet(
    middleOf({
      west: Math.min(...boxes.map((box) => box.west)),
      south: Math.min(...boxes.map((box) => box.south)),
      east: Math.max(...boxes.map((box) => box.east)),
      north: Math.max(...boxes.map((box) => box.north)),
    }),
  );
  const segments = places.flatMap((place, owner) =>
    polygonsOf(place.boundary)
      .flat()
      .flatMap((ring) => segmentsOf(ring.map(project), owner)),
  );
  const feet = feetAlong(segments, places.length, toleranceMeters / metersPerFoot);
  return [...feet]
    .filter(([, bothSides]) => bothSides / 2 >= overlapMeters / metersPerFoot)
    .sort(([a], [b]) => a - b)
    .map(([key, bothSides]) => ({
      codes: [places[Math.floor(key / places.length)]!.code, places[key % places.length]!.code],
      sharedFeet: bothSides / 2,
    }));
}
