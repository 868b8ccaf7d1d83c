import type { Position } from '../../core/geometry.ts';
import type { Operation } from '../../core/operation.ts';
import type { Boundary, Unit } from '../../core/units.ts';

/** A unit on the sketch: an SVG path in a 400 by 260 box and where its code is written. */
export interface MapShape {
  code: string;
  path: string;
  labelX: number;
  labelY: number;
  isThis: boolean;
}

type Ring = readonly (readonly number[])[];

/** A drawing in units of the SVG, with a margin on all sides. */
export interface MapBox {
  width: number;
  height: number;
  margin: number;
}

const sketchBox: MapBox = { width: 400, height: 260, margin: 12 };
const neighboursMost = 40;

export function ringsOf(boundary: Boundary): Ring[] {
  return boundary.type === 'Polygon'
    ? (boundary.coordinates as number[][][])
    : (boundary.coordinates as number[][][][]).flat();
}

export interface Extent {
  west: number;
  east: number;
  south: number;
  north: number;
}

export function extentOf(rings: readonly Ring[]): Extent {
  const extent = { west: 180, east: -180, south: 90, north: -90 };
  for (const [longitude = 0, latitude = 0] of rings.flat()) {
    extent.west = Math.min(extent.west, longitude);
    extent.east = Math.max(extent.east, longitude);
    extent.south = Math.min(extent.south, latitude);
    extent.north = Math.max(extent.north, latitude);
  }
  return extent;
}

/** Longitude and latitude to the box: degrees east are shortened by the cosine of the latitude. */
export function projection(
  extent: Extent,
  box: MapBox,
): (point: readonly number[]) => [number, number] {
  const shrink = Math.cos(((extent.south + extent.north) / 2) * (Math.PI / 180));
  const wide = Math.max((extent.east - extent.west) * shrink, 1e-9);
  const high = Math.max(extent.north - extent.south, 1e-9);
  const scale = Math.min((box.width - 2 * box.margin) / wide, (box.height - 2 * box.margin) / high);
  const left = (box.width - wide * scale) / 2;
  const top = (box.height - high * scale) / 2;
  const round = (value: number) => Math.round(value * 10) / 10;
  return ([longitude = 0, latitude = 0]) => [
    round(left + (longitude - extent.west) * shrink * scale),
    round(top + (extent.north - latitude) * scale),
  ];
}

/** The SVG path of closed rings. */
export function ringsPath(rings: readonly (readonly [number, number][])[]): string {
  return rings.map((ring) => `M${ring.map((at) => at.join(' ')).join('L')}Z`).join('');
}

/** The unit and the nearest others of its property, north up; empty without a boundary. */
export function mapShapes(operation: Operation, unit: Unit): MapShape[] {
  if (!unit.boundary) return [];
  const own = extentOf(ringsOf(unit.boundary));
  const reach = Math.max(own.east - own.west, own.north - own.south) * 1.2;
  const isNear = (boundary: Boundary) => {
    const other = extentOf(ringsOf(boundary));
    return (
      other.west <= own.east + reach &&
      own.west - reach <= other.east &&
      other.south <= own.north + reach &&
      own.south - reach <= other.north
    );
  };
  const near = operation.units
    .filter((one) => one.propertyId === unit.propertyId && one.id !== unit.id)
    .filter((one) => one.boundary !== null && isNear(one.boundary))
    .slice(0, neighboursMost);
  const shown = [...near, unit].map((one) => ({
    one,
    rings: one.boundary ? ringsOf(one.boundary) : [],
  }));
  const project = projection(extentOf(shown.flatMap(({ rings }) => rings)), sketchBox);
  return shown.map(({ one, rings }) => {
    const drawn = rings.map((ring) => ring.map(project));
    const extent = extentOf(rings);
    const [labelX, labelY] = project([
      (extent.west + extent.east) / 2,
      (extent.south + extent.north) / 2,
    ]);
    return {
      code: one.code,
      path: ringsPath(drawn),
      labelX,
      labelY,
      isThis: one.id === unit.id,
    };
  });
}

/** A boundary with its corners numbered, for picking two of them. */
export interface CornerSketch {
  path: string;
  /** With the place of the number, a little outside the corner. */
  corners: {
    number: number;
    x: number;
    y: number;
    labelX: number;
    labelY: number;
    position: Position;
  }[];
}

/** More numbers than these cannot be told apart on the sketch. */
const cornersMost = 40;
/** Distance of a number from its corner, in units of the box. */
const labelDistance = 9;

/** The sketch of a boundary in a 400 by 260 box; corners of its outer rings, at most 40, evenly taken. */
export function cornerSketch(boundary: Boundary): CornerSketch {
  const rings = ringsOf(boundary);
  const project = projection(extentOf(rings), sketchBox);
  const outer =
    boundary.type === 'Polygon'
      ? rings.slice(0, 1)
      : (boundary.coordinates as number[][][][]).flatMap(([ring]) => (ring ? [ring] : []));
  const all = outer.flatMap((ring) => ring.slice(0, -1)) as Position[];
  const step = Math.ceil(all.length / cornersMost);
  const corners = all
    .filter((_, at) => at % step === 0)
    .map((position, at) => {
      const [x, y] = project(position);
      const [east, south] = [x - sketchBox.width / 2, y - sketchBox.height / 2];
      const away = labelDistance / Math.max(1, Math.hypot(east, south));
      const place = (from: number, by: number) => Math.round((from + by * away) * 10) / 10;
      return { number: at + 1, x, y, labelX: place(x, east), labelY: place(y, south), position };
    });
  return { path: ringsPath(rings.map((ring) => ring.map(project))), corners };
}
