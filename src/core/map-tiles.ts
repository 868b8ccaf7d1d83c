import type { BoundingBox, Position } from './geometry.ts';
import type { Problem } from './problems.ts';

/**
 * A server of map pictures, switched on by whoever runs the program. Each picture's address tells that server where
 * the land is.
 */
export interface TileService {
  id: number;
  /** With `{z}`, `{x}` and `{y}`; blank = off. */
  address: string;
  /** Shown on the map, as the server asks. */
  attribution: string;
}

/** Scheme and host of a sound address; null where there is none. */
export function tileOrigin(address: string): string | null {
  const found = /^(https?:\/\/[a-z0-9.-]+(?::\d{1,5})?)\//i.exec(address);
  return found ? found[1]!.toLowerCase() : null;
}

/** What is wrong with a service as entered; empty = it can be stored. */
export function checkTileService({ address, attribution }: Omit<TileService, 'id'>): Problem[] {
  const problems: Problem[] = [];
  const say = (field: string, message: string) =>
    problems.push({ code: `tile-${field}`, field, message });
  if (address === '') return problems;
  const marks = [...address.matchAll(/\{([^}]*)\}/g)].map(([, mark]) => mark).sort();
  if (tileOrigin(address) === null || /[\s"'<>\\;,]/.test(address) || address.length > 300)
    say(
      'address',
      'Address of map pictures: start with https:// and a host name, without blanks, quotes, commas or semicolons.',
    );
  else if (marks.join() !== 'x,y,z')
    say(
      'address',
      'Address of map pictures: put {z}, {x} and {y} in it, each once, and no other braces.',
    );
  if (attribution.trim() === '')
    say('attribution', 'Thanks to: write what the server asks to be named by, such as its makers.');
  else if (attribution.length > 200) say('attribution', 'Thanks to: write at most 200 characters.');
  return problems;
}

const earthRadiusMeters = 6378137;
const tilePixels = 256;
export const zoomMost = 18;

/**
 * East and south in the square of the world, 0 to 1 each, by the spherical Mercator projection of the WebMercatorQuad
 * tile matrix set (OGC 17-083r4, annex D; EPSG:3857).
 */
export function worldSquare([longitude, latitude]: Position): [number, number] {
  const radians = (latitude * Math.PI) / 180;
  return [
    (longitude + 180) / 360,
    0.5 - Math.log(Math.tan(Math.PI / 4 + radians / 2)) / (2 * Math.PI),
  ];
}

/** Meters of a pixel at the equator at a zoom (OGC 17-083r4, annex D). */
export function metersPerPixel(zoom: number): number {
  return (2 * Math.PI * earthRadiusMeters) / tilePixels / 2 ** zoom;
}

export interface Tile {
  zoom: number;
  column: number;
  row: number;
}

/** Address of a tile: the marks filled in. */
export function tileAddress(address: string, { zoom, column, row }: Tile): string {
  return address
    .replace('{z}', String(zoom))
    .replace('{x}', String(column))
    .replace('{y}', String(row));
}

/** Tiles that cover a box, at the deepest zoom at which there are no more than `most`. */
export function tilesOver(box: BoundingBox, most: number): Tile[] {
  for (let zoom = zoomMost; zoom > 0; zoom--) {
    const side = 2 ** zoom;
    const cell = (at: Position) => worldSquare(at).map((value) => Math.floor(value * side));
    const [west = 0, north = 0] = cell([box.west, box.north]);
    const [east = 0, south = 0] = cell([box.east, box.south]);
    if ((east - west + 1) * (south - north + 1) > most) continue;
    const tiles: Tile[] = [];
    for (let row = north; row <= south; row++)
      for (let column = west; column <= east; column++) tiles.push({ zoom, column, row });
    return tiles;
  }
  return [];
}
