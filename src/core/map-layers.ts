import { boundingBox, type PointFeet, type Position, projectToFeet } from './geometry.ts';
import type { Outcome, Problem } from './problems.ts';
import type { Unit } from './units.ts';

export const mapLayerKinds = ['road', 'creek', 'contour', 'other'] as const;
export type MapLayerKind = (typeof mapLayerKinds)[number];

/** A stretch of a layer, with its name or height where the file gave one. */
export interface Stretch {
  label: string;
  path: Position[];
}

/** Something to find one's way by on the map, from a file: no task and no rule hangs on it. */
export interface MapLayer {
  id: number;
  propertyId: number;
  name: string;
  kind: MapLayerKind;
  stretches: Stretch[];
}

/** Corners that one layer may keep; the snapshot of the land is read with each page. */
export const layerCornersMost = 4000;
/** A corner that lies closer than this to the straight line without it is left out. */
const slackFeet = 8;
/** What lies farther than this from every unit of the property is left out. */
const reachFeet = 5280;

/** What is wrong with a layer as entered; empty = it can be stored. */
export function checkMapLayer(layer: Omit<MapLayer, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `layer-${field}`, field, ref: layer.name, message });
  if (layer.name.trim() === '') say('name', 'Name: say what the file shows, such as county roads.');
  else if (layer.name.length > 80) say('name', 'Name: write at most 80 characters.');
  if (!mapLayerKinds.includes(layer.kind)) say('kind', 'Kind: pick one from the list.');
  if (layer.stretches.length === 0)
    say('text', 'File: nothing of it lies within a mile of a unit with a boundary.');
  const corners = layer.stretches.reduce((sum, { path }) => sum + path.length, 0);
  if (corners > layerCornersMost)
    say(
      'text',
      `File: ${corners} corners are left after thinning, and ${layerCornersMost} is the most; cut the file to the property, or take every second contour.`,
    );
  return problems;
}

/** Distance of a point from a stretch between two others. */
function feetFrom([x, y]: PointFeet, [ax, ay]: PointFeet, [bx, by]: PointFeet): number {
  const [dx, dy] = [bx - ax, by - ay];
  const square = dx * dx + dy * dy;
  const along = square === 0 ? 0 : ((x - ax) * dx + (y - ay) * dy) / square;
  const at = Math.min(1, Math.max(0, along));
  return Math.hypot(x - ax - at * dx, y - ay - at * dy);
}

/**
 * Indexes of the corners to keep so that none left out is farther than `slack` from the line of those kept
 * (Douglas and Peucker 1973, Cartographica 10(2), 112-122). A stack of its own: files may have long lines.
 */
export function cornersToKeep(points: readonly PointFeet[], slack: number): number[] {
  const keep = new Set([0, points.length - 1]);
  const open: [number, number][] = [[0, points.length - 1]];
  for (let next = open.pop(); next; next = open.pop()) {
    const [from, to] = next;
    let [farthest, feet] = [-1, slack];
    for (let at = from + 1; at < to; at++) {
      const off = feetFrom(points[at]!, points[from]!, points[to]!);
      if (off > feet) [farthest, feet] = [at, off];
    }
    if (farthest < 0) continue;
    keep.add(farthest);
    open.push([from, farthest], [farthest, to]);
  }
  return [...keep].filter((at) => at >= 0).sort((a, b) => a - b);
}

/** Six decimals of a degree are some inches. */
const rounded = ([longitude, latitude]: Position): Position => [
  Math.round(longitude * 1e6) / 1e6,
  Math.round(latitude * 1e6) / 1e6,
];

/**
 * A layer from the stretches of a file: what comes within a mile of a unit of the property, thinned. `leftOut` counts
 * the stretches that lie farther off.
 */
export function mapLayerOf(
  asked: { propertyId: number; name: string; kind: MapLayerKind },
  stretches: readonly Stretch[],
  units: readonly Unit[],
): Outcome<{ layer: Omit<MapLayer, 'id'>; leftOut: number }> {
  const boxes = units.flatMap(({ propertyId, boundary }) =>
    boundary && propertyId === asked.propertyId ? [boundingBox(boundary)] : [],
  );
  const [first] = boxes;
  const project = projectToFeet(first ? [first.west, first.south] : [0, 0]);
  const reached = boxes.map(({ west, south, east, north }) => {
    const [[left, bottom], [right, top]] = [project([west, south]), project([east, north])];
    return { left, bottom, right, top };
  });
  const isNear = ([x, y]: PointFeet) =>
    reached.some(
      ({ left, bottom, right, top }) =>
        x >= left - reachFeet &&
        x <= right + reachFeet &&
        y >= bottom - reachFeet &&
        y <= top + reachFeet,
    );
  const kept = stretches.flatMap(({ label, path }): Stretch[] => {
    const points = path.map(project);
    if (path.length < 2 || !points.some(isNear)) return [];
    const corners = cornersToKeep(points, slackFeet).map((at) => rounded(path[at]!));
    return [{ label: label.trim().slice(0, 40), path: corners }];
  });
  const layer = { ...asked, name: asked.name.trim(), stretches: kept };
  const problems = checkMapLayer(layer);
  return problems.length > 0
    ? { ok: false, problems }
    : { ok: true, value: { layer, leftOut: stretches.length - kept.length } };
}
