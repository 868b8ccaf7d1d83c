import {
  type BoundingBox,
  boundingBox,
  type Position,
  projectToFeet,
} from '../../core/geometry.ts';
import { type Line, type LineKind, lineKinds } from '../../core/lines.ts';
import { type MapLayer, type MapLayerKind, mapLayerKinds } from '../../core/map-layers.ts';
import {
  type TileService,
  tileAddress,
  tileOrigin,
  tilesOver,
  worldSquare,
} from '../../core/map-tiles.ts';
import { type PointKind, type PointToProtect, pointKinds } from '../../core/points.ts';
import type { Property } from '../../core/properties.ts';
import type { Unit } from '../../core/units.ts';
import { freeLabels, type LabelWish, type PlacedLabel } from './map-labels.ts';
import { type Extent, extentOf, type MapBox, ringsOf, ringsPath } from './map-shapes.ts';

/** Ways to fill units; each has a wash and a pattern of its own, so that print tells them apart. */
export const mapFills = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'] as const;
export type MapFill = (typeof mapFills)[number];

export const pointLetters: Readonly<Record<PointKind, string>> = {
  den: 'D',
  roost: 'R',
  cave: 'C',
  grave: 'V',
  stand: 'T',
  cabin: 'B',
  water: 'W',
  gate: 'G',
  'way-out': 'O',
  smoke: 'S',
  hazard: 'H',
  other: 'P',
};

export const pointNames: Readonly<Record<PointKind, string>> = {
  den: 'den',
  roost: 'roost',
  cave: 'cave',
  grave: 'grave',
  stand: 'stand',
  cabin: 'cabin',
  water: 'water',
  gate: 'gate',
  'way-out': 'way out',
  smoke: 'place that smoke must spare',
  hazard: 'hazard',
  other: 'other place',
};

export const layerNames: Readonly<Record<MapLayerKind, string>> = {
  road: 'road',
  creek: 'creek',
  contour: 'contour',
  other: 'other line of a file',
};

/** A unit to draw; `notes` are what may stand under its code, the longest first. */
export interface UnitToDraw {
  unit: Unit;
  fill: MapFill | null;
  notes: string[];
  /** The picture is framed by these. */
  isSubject: boolean;
}

export interface DrawingOrder {
  property: Property;
  units: UnitToDraw[];
  lines: Line[];
  points: PointToProtect[];
  layers: MapLayer[];
  box: MapBox;
  /** Lines carry the number of their place in a list beside the picture. */
  areLinesNumbered: boolean;
  tiles: TileService | null;
}

export interface Drawing {
  width: number;
  height: number;
  tiles: { address: string; x: number; y: number; size: number }[];
  attribution: string;
  tileHost: string;
  layers: { kind: MapLayerKind; name: string; path: string }[];
  units: {
    id: number;
    code: string;
    name: string;
    fill: MapFill | null;
    isSubject: boolean;
    path: string;
  }[];
  lines: { name: string; kind: LineKind; path: string }[];
  /** `reach`: the buffer around a place; 0 = none is given. */
  points: { name: string; letter: string; x: number; y: number; reach: number }[];
  labels: PlacedLabel[];
  scale: { feet: number; length: number } | null;
  legend: {
    lines: LineKind[];
    layers: { kind: MapLayerKind; name: string }[];
    points: { letter: string; name: string }[];
    hasReach: boolean;
  };
  unmappedLines: number;
}

type Project = (at: readonly number[]) => [number, number];

const tenth = (value: number) => Math.round(value * 10) / 10;

/**
 * Longitude and latitude to the box, north up, by the Mercator projection that pictures of maps use; shapes keep their
 * form on a property.
 */
function projected(extent: Extent, box: MapBox): { project: Project; perWorld: number } {
  const [west, north] = worldSquare([extent.west, extent.north]);
  const [east, south] = worldSquare([extent.east, extent.south]);
  const wide = Math.max(east - west, 1e-12);
  const high = Math.max(south - north, 1e-12);
  const perWorld = Math.min(
    (box.width - 2 * box.margin) / wide,
    (box.height - 2 * box.margin) / high,
  );
  const left = (box.width - wide * perWorld) / 2;
  const top = (box.height - high * perWorld) / 2;
  return {
    perWorld,
    project: ([longitude = 0, latitude = 0]) => {
      const [x, y] = worldSquare([longitude, latitude]);
      return [tenth(left + (x - west) * perWorld), tenth(top + (y - north) * perWorld)];
    },
  };
}

/** Boundaries that are on the property's side of the globe; others would shrink the map to a dot. */
function frameOf({ units, lines, property }: DrawingOrder): Extent | null {
  const isNear = ([longitude = 0, latitude = 0]: readonly number[]) =>
    Math.abs(longitude - property.longitude) < 5 && Math.abs(latitude - property.latitude) < 5;
  const subjects = units.filter(({ isSubject }) => isSubject);
  const isWhole = subjects.length === units.length;
  const rings = [
    ...subjects.flatMap(({ unit }) => (unit.boundary ? ringsOf(unit.boundary) : [])),
    ...(isWhole ? lines.flatMap(({ path }) => path ?? []) : []),
  ];
  const near = rings.filter((ring) => ring.every(isNear));
  const shown = near.length > 0 ? near : rings;
  return shown.length === 0 ? null : extentOf(shown);
}

const scaleFeet = [50, 100, 200, 500, 1000, 2000, 5280, 10_560, 26_400, 52_800, 264_000];

/** Parts of the box to a foot on the ground. */
function perFootOf({ west, east, south, north }: Extent, project: Project): number {
  const middle: Position = [(west + east) / 2, (south + north) / 2];
  const tenthNorth: Position = [middle[0], middle[1] + 0.1];
  const feet = projectToFeet(middle)(tenthNorth)[1];
  return (project(middle)[1] - project(tenthNorth)[1]) / feet;
}

/** The longest plain length that takes at most a quarter of the width. */
function scaleOf(perFoot: number, width: number): Drawing['scale'] {
  const best = scaleFeet.filter((one) => one * perFoot <= width / 4).at(-1);
  return best === undefined ? null : { feet: best, length: tenth(best * perFoot) };
}

interface Seen {
  left: number;
  top: number;
  right: number;
  bottom: number;
}

/** The part of a shape's box that the picture shows; null when it shows none. */
function seenOf(corners: readonly (readonly [number, number])[], box: MapBox): Seen | null {
  const xs = corners.map(([x]) => x);
  const ys = corners.map(([, y]) => y);
  const seen = {
    left: Math.max(0, Math.min(...xs)),
    top: Math.max(0, Math.min(...ys)),
    right: Math.min(box.width, Math.max(...xs)),
    bottom: Math.min(box.height, Math.max(...ys)),
  };
  return seen.left < seen.right && seen.top < seen.bottom ? seen : null;
}

const letterWidth = 7.5;

function unitLabels(order: DrawingOrder, project: Project): LabelWish[] {
  return order.units.flatMap(({ unit, notes, isSubject }): LabelWish[] => {
    if (!unit.boundary) return [];
    const corners = ringsOf(unit.boundary).flatMap((ring) => ring.map(project));
    const seen = seenOf(corners, order.box);
    if (!seen) return [];
    const note = notes.find((text) => text.length * letterWidth < seen.right - seen.left - 8) ?? '';
    const at = { x: (seen.left + seen.right) / 2, y: (seen.top + seen.bottom) / 2 };
    return [{ ...at, text: unit.code, note, kind: 'code', isNeeded: isSubject }];
  });
}

/** The middle of a course that lies in the picture: half its corners on either side. */
function middleOfCourse(paths: readonly (readonly Position[])[], project: Project, box: MapBox) {
  const seen = paths
    .flatMap((path) =>
      path.slice(1).map((end, at) => {
        const [[ax, ay], [bx, by]] = [project(path[at]!), project(end)];
        return [(ax + bx) / 2, (ay + by) / 2] as const;
      }),
    )
    .filter(([x, y]) => x > 12 && y > 12 && x < box.width - 12 && y < box.height - 12);
  const middle = seen[Math.floor(seen.length / 2)];
  return middle ? { x: middle[0], y: middle[1] } : null;
}

function lineLabels(order: DrawingOrder, project: Project): LabelWish[] {
  if (!order.areLinesNumbered) return [];
  return order.lines.flatMap(({ path }, at): LabelWish[] => {
    const place = path && middleOfCourse(path, project, order.box);
    return place
      ? [{ ...place, text: String(at + 1), note: '', kind: 'number', isNeeded: true }]
      : [];
  });
}

function layerLabels(order: DrawingOrder, project: Project): LabelWish[] {
  const named = new Set<string>();
  return order.layers.flatMap(({ stretches }) =>
    stretches.flatMap(({ label, path }): LabelWish[] => {
      const place = label !== '' && !named.has(label) && middleOfCourse([path], project, order.box);
      if (!place) return [];
      named.add(label);
      return [{ ...place, text: label, note: '', kind: 'layer', isNeeded: false }];
    }),
  );
}

const coursePath = (paths: readonly (readonly Position[])[], project: Project) =>
  paths.map((stretch) => `M${stretch.map((at) => project(at).join(' ')).join('L')}`).join('');

function tilesOf(
  service: TileService | null,
  extent: Extent,
  project: Project,
  perWorld: number,
): Pick<Drawing, 'tiles' | 'attribution' | 'tileHost'> {
  const origin = service && tileOrigin(service.address);
  if (!service || !origin) return { tiles: [], attribution: '', tileHost: '' };
  const [wide, high] = [(extent.east - extent.west) / 6, (extent.north - extent.south) / 6];
  const around = {
    west: extent.west - wide,
    east: extent.east + wide,
    south: extent.south - high,
    north: extent.north + high,
  };
  const [originX, originY] = worldSquare([extent.west, extent.north]);
  const [left, top] = project([extent.west, extent.north]);
  return {
    attribution: service.attribution,
    tileHost: new URL(origin).host,
    tiles: tilesOver(around, 20).map((tile) => {
      const side = 2 ** tile.zoom;
      return {
        address: tileAddress(service.address, tile),
        x: tenth(left + (tile.column / side - originX) * perWorld),
        y: tenth(top + (tile.row / side - originY) * perWorld),
        // A little more, so that no seam shows.
        size: tenth(perWorld / side + 0.5),
      };
    }),
  };
}

function pointsOf(order: DrawingOrder, project: Project, perFoot: number) {
  const { width, height } = order.box;
  return order.points.flatMap(({ name, kind, position, bufferFeet }) => {
    if (!position) return [];
    const [x, y] = project(position);
    if (x < 0 || y < 0 || x > width || y > height) return [];
    const reach = tenth(bufferFeet * perFoot);
    return [{ name, kind, letter: pointLetters[kind], x, y, reach: reach > 10 ? reach : 0 }];
  });
}

/** What is on the map from the file, as far as the picture shows some of it. */
function layersOf({ layers, box }: DrawingOrder, project: Project): Drawing['layers'] {
  return layers.flatMap(({ kind, name, stretches }) => {
    const shown = stretches.filter(({ path }) => seenOf(path.map(project), box) !== null);
    const path = coursePath(
      shown.map((stretch) => stretch.path),
      project,
    );
    return shown.length === 0 ? [] : [{ kind, name, path }];
  });
}

/**
 * A picture of land, north up, with a bar of its scale: units, lines by kind, places by letter, and layers of files. Null
 * where no boundary is on file.
 */
export function drawLand(order: DrawingOrder): Drawing | null {
  const { box, lines } = order;
  const extent = frameOf(order);
  if (!extent) return null;
  const { project, perWorld } = projected(extent, box);
  const perFoot = perFootOf(extent, project);
  const points = pointsOf(order, project, perFoot);
  const drawn = lines.filter(({ path }) => path !== null);
  const layers = layersOf(order, project);
  const wishes = [
    ...unitLabels(order, project),
    ...lineLabels(order, project),
    ...layerLabels(order, project),
  ];
  return {
    width: box.width,
    height: box.height,
    ...tilesOf(order.tiles, extent, project, perWorld),
    layers,
    units: order.units.flatMap(({ unit, fill, isSubject }) => {
      if (!unit.boundary) return [];
      const { id, code, name } = unit;
      const rings = ringsOf(unit.boundary).map((ring) => ring.map(project));
      const isShown = isSubject || seenOf(rings.flat(), box) !== null;
      return isShown ? [{ id, code, name, fill, isSubject, path: ringsPath(rings) }] : [];
    }),
    lines: drawn.map(({ name, kind, path }) => ({
      name,
      kind,
      path: coursePath(path ?? [], project),
    })),
    points: points.map(({ name, letter, x, y, reach }) => ({ name, letter, x, y, reach })),
    labels: freeLabels(wishes, points, box),
    scale: scaleOf(perFoot, box.width),
    legend: {
      lines: lineKinds.filter((kind) => drawn.some((line) => line.kind === kind)),
      layers: mapLayerKinds
        .filter((kind) => layers.some((layer) => layer.kind === kind))
        .map((kind) => ({ kind, name: layerNames[kind] })),
      points: pointKinds
        .filter((kind) => points.some((point) => point.kind === kind))
        .map((kind) => ({ letter: pointLetters[kind], name: pointNames[kind] })),
      hasReach: points.some(({ reach }) => reach > 0),
    },
    unmappedLines: lines.length - drawn.length,
  };
}

/** The box of units with as much again on each side: what a sketch can show of it is drawn, the rest is not looked at. */
function aroundOf(units: readonly Unit[]): BoundingBox | null {
  const rings = units.flatMap(({ boundary }) => (boundary ? ringsOf(boundary) : []));
  if (rings.length === 0) return null;
  const { west, east, south, north } = extentOf(rings);
  // The longer side counts both ways: a narrow unit leaves much room beside it.
  const reach = Math.max(east - west, north - south) * 1.2;
  return { west: west - reach, east: east + reach, south: south - reach, north: north + reach };
}

function isTouching(a: BoundingBox, b: BoundingBox): boolean {
  return a.west <= b.east && b.west <= a.east && a.south <= b.north && b.south <= a.north;
}

/** Boxes of the sketch on a sheet, in parts; it stands for some 3.4 by 2.6 inches. */
export const sketchBox: MapBox = { width: 420, height: 320, margin: 62 };

/** The units given with what lies around them, for a sheet; null where they have no boundary. */
export function sketchOf(
  land: {
    units: readonly Unit[];
    points: readonly PointToProtect[];
    mapLayers: readonly MapLayer[];
  },
  property: Property,
  subjects: readonly Unit[],
  lines: readonly Line[],
): Drawing | null {
  const isSubject = (unit: Unit) => subjects.some(({ id }) => id === unit.id);
  const own = land.units.filter(({ propertyId }) => propertyId === property.id);
  const around = aroundOf(subjects);
  const near = own.filter(
    ({ boundary }) => boundary && around && isTouching(boundingBox(boundary), around),
  );
  // Subjects last, so that their outline lies over those of their neighbors.
  const ordered = near.toSorted((a, b) => Number(isSubject(a)) - Number(isSubject(b)));
  return drawLand({
    property,
    units: ordered.map((unit) => ({ unit, fill: null, notes: [], isSubject: isSubject(unit) })),
    lines: [...lines],
    points: land.points.filter(({ propertyId }) => propertyId === property.id),
    layers: land.mapLayers.filter(({ propertyId }) => propertyId === property.id),
    box: sketchBox,
    areLinesNumbered: true,
    tiles: null,
  });
}
