import { type PointFeet as Point, type Position, projectToFeet } from '../geometry.ts';
import type { Boundary } from '../units.ts';

/** A made-up patchwork: columns and rows of uneven size, bent, with crooked edges that both sides share. */
export interface Patchwork {
  /** South-west corner. */
  longitude: number;
  latitude: number;
  columnFeet: readonly number[];
  rowFeet: readonly number[];
  /** Codes by row from north to south and column from west to east; empty = not on the property. */
  codes: readonly (readonly string[])[];
  /** Column boundary that a creek follows and row boundary that a road follows (0 = west or north edge). */
  creekColumn: number;
  roadRow: number;
  /** Number that the crookedness hangs on. */
  seed: number;
}

/** One edge between two cells, or between a cell and the outside. */
export interface Edge {
  codes: string[];
  kind: 'creek' | 'road' | 'field';
  lengthFeet: number;
  path: Position[];
}

export interface Cell {
  code: string;
  boundary: Boundary;
  areaAcres: number;
  perimeterFeet: number;
}

const squareFeetPerAcre = 43560;
const bendsPerEdge = 4;

/** A number from -1 to 1 that looks random and is always the same for the same input. */
function scatter(seed: number, a: number, b: number, c: number): number {
  let mixed = seed ^ Math.imul(a + 11, 0x9e3779b1) ^ Math.imul(b + 23, 0x85ebca6b);
  mixed = Math.imul(mixed ^ (mixed >>> 15) ^ Math.imul(c + 37, 0xc2b2ae35), 0x2c1b3c6d);
  mixed = Math.imul(mixed ^ (mixed >>> 13), 0x297a2d39);
  return ((mixed ^ (mixed >>> 16)) >>> 0) / 0x7fffffff - 1;
}

function startOf(sizes: readonly number[], index: number): number {
  return sizes.slice(0, index).reduce((sum, size) => sum + size, 0);
}

/** Corner of the patchwork: `column` from the west, `row` from the north. */
function cornerAt(land: Patchwork, column: number, row: number): Point {
  const east = startOf(land.columnFeet, column);
  const north = startOf(land.rowFeet, land.rowFeet.length) - startOf(land.rowFeet, row);
  // The whole leans a little, so that no edge runs due north.
  return [
    east + north * 0.12 + 130 * scatter(land.seed, column, row, 1),
    north - east * 0.07 + 130 * scatter(land.seed, column, row, 2),
  ];
}

/** Points of an edge from its first corner up to but without its second, bent to either side. */
function edgePoints(land: Patchwork, from: Point, to: Point, id: [number, number, number]) {
  const isCreek = id[2] === 1 && id[0] === land.creekColumn;
  const isRoad = id[2] === 0 && id[1] === land.roadRow;
  const sway = isCreek ? 85 : isRoad ? 18 : 40;
  const length = lengthOf([from, to]);
  const points: Point[] = [from];
  for (let i = 1; i <= bendsPerEdge; i++) {
    const along = i / (bendsPerEdge + 1) + 0.05 * scatter(land.seed, id[0], id[1], 40 + i + id[2]);
    const aside = sway * scatter(land.seed, id[0], id[1], 60 + i + 10 * id[2]);
    points.push([
      from[0] + (to[0] - from[0]) * along - ((to[1] - from[1]) / length) * aside,
      from[1] + (to[1] - from[1]) * along + ((to[0] - from[0]) / length) * aside,
    ]);
  }
  return points;
}

function lengthOf(points: readonly Point[]): number {
  let length = 0;
  for (let i = 1; i < points.length; i++) {
    const [a, b] = [points[i - 1] as Point, points[i] as Point];
    length += Math.hypot(b[0] - a[0], b[1] - a[1]);
  }
  return length;
}

/** South or north edge of a cell from west to east (`isDown` false), or a west or east one from north to south. */
function edgeAt(land: Patchwork, column: number, row: number, isDown: boolean): Point[] {
  const from = cornerAt(land, column, row);
  const to = cornerAt(land, column + (isDown ? 0 : 1), row + (isDown ? 1 : 0));
  return [...edgePoints(land, from, to, [column, row, isDown ? 1 : 0]), to];
}

function ringOf(land: Patchwork, column: number, row: number): Point[] {
  // Counterclockwise from the north-west corner, as RFC 7946 asks: down, east, up, west.
  const down = edgeAt(land, column, row, true);
  const east = edgeAt(land, column, row + 1, false);
  const up = edgeAt(land, column + 1, row, true).reverse();
  const west = edgeAt(land, column, row, false).reverse();
  return [down, east, up, west].flatMap((edge) => edge.slice(0, -1)).concat([down[0] as Point]);
}

function acresOf(ring: readonly Point[]): number {
  let twice = 0;
  for (let i = 1; i < ring.length; i++) {
    const [a, b] = [ring[i - 1] as Point, ring[i] as Point];
    twice += a[0] * b[1] - b[0] * a[1];
  }
  return twice / 2 / squareFeetPerAcre;
}

/** From feet of the patchwork to longitude and latitude, on the local plane about its corner. */
function positionsOf({ longitude, latitude }: Patchwork): (point: Point) => [number, number] {
  const [eastDegree, northDegree] = projectToFeet([longitude, latitude])([
    longitude + 1,
    latitude + 1,
  ]);
  const round = (degrees: number) => Math.round(degrees * 1e6) / 1e6;
  return ([east, north]) => [
    round(longitude + east / eastDegree),
    round(latitude + north / northDegree),
  ];
}

/** Every unit of the patchwork with its outline, acres on the local plane (good to half a percent) and outer edge. */
export function cellsOf(land: Patchwork): Cell[] {
  const toPosition = positionsOf(land);
  return land.codes.flatMap((codes, row) =>
    codes.flatMap((code, column): Cell[] => {
      if (code === '') return [];
      const ring = ringOf(land, column, row);
      return [
        {
          code,
          boundary: {
            type: 'Polygon',
            coordinates: [ring.map(toPosition)],
          },
          areaAcres: Math.round(acresOf(ring) * 10) / 10,
          perimeterFeet: Math.round(lengthOf(ring)),
        },
      ];
    }),
  );
}

/** Every edge once, with the units on its sides, north to south and west to east. */
export function edgesOf(land: Patchwork): Edge[] {
  const codeAt = (column: number, row: number) => land.codes[row]?.[column] ?? '';
  const toPosition = positionsOf(land);
  const edges: Edge[] = [];
  const add = (column: number, row: number, isDown: boolean) => {
    const here = codeAt(column, row);
    const other = isDown ? codeAt(column - 1, row) : codeAt(column, row - 1);
    const codes = [other, here].filter((code) => code !== '');
    if (codes.length === 0) return;
    const isCreek = isDown && column === land.creekColumn;
    const isRoad = !isDown && row === land.roadRow;
    const points = edgeAt(land, column, row, isDown);
    edges.push({
      codes,
      kind: isCreek ? 'creek' : isRoad ? 'road' : 'field',
      lengthFeet: Math.round(lengthOf(points)),
      path: points.map(toPosition),
    });
  };
  for (let row = 0; row <= land.rowFeet.length; row++)
    for (let column = 0; column <= land.columnFeet.length; column++) {
      if (column < land.columnFeet.length) add(column, row, false);
      if (row < land.rowFeet.length) add(column, row, true);
    }
  return edges;
}
