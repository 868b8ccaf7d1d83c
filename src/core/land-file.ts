import type { Position } from './geometry.ts';
import type { Line } from './lines.ts';
import type { Operation } from './operation.ts';
import type { PointToProtect } from './points.ts';
import type { Boundary, Unit } from './units.ts';

export type LandGeometry =
  | Boundary
  | { type: 'LineString'; coordinates: Position[] }
  | { type: 'MultiLineString'; coordinates: Position[][] }
  | { type: 'Point'; coordinates: Position };

export const landNouns = ['unit', 'block', 'line', 'point'] as const;
export type LandNoun = (typeof landNouns)[number];

/** Properties that are read, as files name them. */
export const landFileFields: Record<LandNoun, readonly string[]> = {
  unit: [
    'code',
    'name',
    'acres',
    'community',
    'aspect',
    'slope_percent',
    'density',
    'tags',
    'block',
  ],
  block: ['code', 'name', 'units'],
  line: ['name', 'kind', 'length_feet', 'width_feet', 'ready_on', 'good_until', 'units'],
  point: ['name', 'kind', 'buffer_feet', 'bars', 'opens', 'closes', 'firmness', 'rule', 'units'],
};

/** One unit, block, line or point as files carry it: plain values, lists with semicolons between. */
export interface LandFeature {
  what: LandNoun;
  properties: Record<string, string | number>;
  geometry: LandGeometry | null;
}

/** A unit from a file; null = the file does not say. */
export interface FileUnit extends Omit<Unit, 'id' | 'propertyId' | 'blockId'> {
  blockCode: string | null;
}

export interface FileBlock {
  code: string;
  name: string;
}

/** A line from a file, its length measured along its course; null = the file does not say. */
export interface FileLine {
  name: string;
  kind: Line['kind'] | null;
  lengthFeet: number | null;
  measuredFeet: number | null;
  widthFeet: number | null;
  readyOn: Line['readyOn'];
  goodUntil: Line['goodUntil'];
  unitCodes: string[] | null;
  path: Position[][] | null;
}

export interface FilePoint {
  name: string;
  kind: PointToProtect['kind'] | null;
  position: Position | null;
  unitCodes: string[] | null;
  bufferFeet: number | null;
  barsFamilies: PointToProtect['barsFamilies'] | null;
  opens: PointToProtect['opens'];
  closes: PointToProtect['closes'];
  firmness: PointToProtect['firmness'] | null;
  rule: string | null;
}

export interface LandFile {
  units: FileUnit[];
  blocks: FileBlock[];
  lines: FileLine[];
  points: FilePoint[];
}

/** What of a row is left blank is left out. */
function filled(values: Record<string, string | number | null>): Record<string, string | number> {
  return Object.fromEntries(
    Object.entries(values).flatMap(([name, value]) =>
      value === null || value === '' ? [] : [[name, value]],
    ),
  );
}

function lineGeometry(path: Position[][] | null): LandGeometry | null {
  if (path === null || path.length === 0) return null;
  return path.length === 1
    ? { type: 'LineString', coordinates: path[0]! }
    : { type: 'MultiLineString', coordinates: path };
}

function blockGeometry(units: readonly Unit[]): LandGeometry | null {
  const polygons = units.flatMap(({ boundary }) => {
    if (!boundary) return [];
    return (
      boundary.type === 'Polygon' ? [boundary.coordinates] : boundary.coordinates
    ) as number[][][][];
  });
  return polygons.length === 0 ? null : { type: 'MultiPolygon', coordinates: polygons };
}

/**
 * Units, blocks, lines and points to protect of a property as features of a file, in this order. A block is the
 * outline of its units; what is not mapped has no geometry.
 */
export function landFeatures(operation: Operation, propertyId: number): LandFeature[] {
  const own = <R extends { propertyId: number }>(rows: readonly R[]) =>
    rows.filter((row) => row.propertyId === propertyId);
  const units = own(operation.units);
  const codes = (ids: readonly number[]) =>
    ids.map((id) => units.find((unit) => unit.id === id)?.code ?? '').join('; ');
  const blockCode = (id: number) => operation.blocks.find((block) => block.id === id)?.code ?? '';
  return [
    ...units.map(
      (unit): LandFeature => ({
        what: 'unit',
        properties: filled({
          what: 'unit',
          code: unit.code,
          name: unit.name,
          acres: unit.areaAcres,
          community: unit.communityKey,
          aspect: unit.aspect,
          slope_percent: unit.slopePercent,
          density: unit.densityClass,
          tags: unit.tags.join('; '),
          block: blockCode(unit.blockId),
        }),
        geometry: unit.boundary,
      }),
    ),
    ...own(operation.blocks).map((block): LandFeature => {
      const inBlock = units.filter((unit) => unit.blockId === block.id);
      return {
        what: 'block',
        properties: filled({
          what: 'block',
          code: block.code,
          name: block.name,
          units: inBlock.map((unit) => unit.code).join('; '),
        }),
        geometry: blockGeometry(inBlock),
      };
    }),
    ...own(operation.lines).map(
      (line): LandFeature => ({
        what: 'line',
        properties: filled({
          what: 'line',
          name: line.name,
          kind: line.kind,
          length_feet: line.lengthFeet,
          width_feet: line.widthFeet,
          ready_on: line.readyOn,
          good_until: line.goodUntil,
          units: codes(line.unitIds),
        }),
        geometry: lineGeometry(line.path),
      }),
    ),
    ...own(operation.points).map(
      (point): LandFeature => ({
        what: 'point',
        properties: filled({
          what: 'point',
          name: point.name,
          kind: point.kind,
          buffer_feet: point.bufferFeet,
          bars: point.barsFamilies.join('; '),
          opens: point.opens,
          closes: point.closes,
          firmness: point.firmness,
          rule: point.rule,
          units: codes(point.unitIds),
        }),
        geometry: point.position ? { type: 'Point', coordinates: point.position } : null,
      }),
    ),
  ];
}
