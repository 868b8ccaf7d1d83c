import { projectToFeet } from '../../core/geometry.ts';
import { type Line, type LineKind, lineKinds } from '../../core/lines.ts';
import { type MapCheckKind, mapFindings } from '../../core/map-checks.ts';
import type { Operation } from '../../core/operation.ts';
import { type PointKind, pointKinds } from '../../core/points.ts';
import type { Property } from '../../core/properties.ts';
import { type FireStatus, fireStatus, fireStatusWords } from '../../core/rotation.ts';
import type { Unit } from '../../core/units.ts';
import type { Deps } from '../deps.ts';
import {
  type Extent,
  extentOf,
  type MapBox,
  projection,
  ringsOf,
  ringsPath,
} from './map-shapes.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';
import { fireKindNames } from './units.ts';

const box: MapBox = { width: 800, height: 560, margin: 36 };

/** Ways to fill units; each has a wash and a pattern of its own, so that print tells them apart. */
export const mapFills = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h'] as const;
export type MapFill = (typeof mapFills)[number];

/** A fire status keeps its fill, whatever else is on the map; overdue is the warm one. */
const fireFills: Readonly<Record<string, MapFill>> = {
  overdue: 'g',
  'no-fire-on-record': 'b',
  within: 'd',
  held: 'e',
  'not-planned': 'a',
} satisfies Record<FireStatus['kind'], MapFill>;

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

export interface MapUnit {
  id: number;
  code: string;
  name: string;
  community: string;
  areaAcres: number;
  measuredAcres: number | null;
  fireWords: string;
  isOverdue: boolean;
  fill: MapFill;
  /** Null = it has no boundary. */
  shape: { path: string; labelX: number; labelY: number } | null;
}

export interface MapPage {
  shell: Shell;
  property: { id: number; name: string } | null;
  properties: { name: string; path: string; isOn: boolean }[];
  shows: { name: string; path: string; isOn: boolean }[];
  width: number;
  height: number;
  units: MapUnit[];
  /** Are there any boundaries to draw? */
  isDrawn: boolean;
  lines: { name: string; kind: LineKind; path: string }[];
  points: { name: string; letter: string; x: number; y: number }[];
  scale: { feet: number; length: number } | null;
  legend: {
    fills: { fill: MapFill; name: string }[];
    lines: LineKind[];
    points: { letter: string; name: string }[];
  };
  unmappedLines: number;
  findings: { kind: MapCheckKind; text: string; units: { id: number; code: string }[] }[];
  findingKinds: Record<MapCheckKind, string>;
}

const findingKinds: Record<MapCheckKind, string> = {
  'wrong-place': 'wrong place on the globe',
  'far-off': 'far from the property',
  'self-crossing': 'crosses itself',
  overlap: 'overlap',
  gap: 'gap',
  hole: 'land of no unit',
  sliver: 'sliver',
  'acres-apart': 'acres apart',
  'no-boundary': 'no boundary',
};

interface Filled {
  unit: Unit;
  key: string;
  name: string;
  fireWords: string;
  isOverdue: boolean;
}

function filledUnits(deps: Deps, operation: Operation, property: Property, show: string): Filled[] {
  const today = todayAt(deps, property);
  return operation.units
    .filter((unit) => unit.propertyId === property.id)
    .map((unit) => {
      const status = fireStatus(operation, unit, today);
      const community = operation.communities.find(({ key }) => key === unit.communityKey);
      const isFire = show === 'fire';
      return {
        unit,
        key: isFire ? status.kind : unit.communityKey,
        name: isFire ? fireKindNames[status.kind] : (community?.name ?? unit.communityKey),
        fireWords: fireStatusWords(status),
        isOverdue: status.kind === 'overdue',
      };
    });
}

/** Boundaries that are on the property's side of the globe; others would shrink the map to a dot. */
function extentOfAll(
  units: readonly Unit[],
  lines: readonly Line[],
  property: Property,
): Extent | null {
  const isNear = ([longitude = 0, latitude = 0]: readonly number[]) =>
    Math.abs(longitude - property.longitude) < 5 && Math.abs(latitude - property.latitude) < 5;
  const rings = [
    ...units.flatMap(({ boundary }) => (boundary ? ringsOf(boundary) : [])),
    ...lines.flatMap(({ path }) => path ?? []),
  ];
  const near = rings.filter((ring) => ring.every(isNear));
  const shown = near.length > 0 ? near : rings;
  return shown.length === 0 ? null : extentOf(shown);
}

const scaleFeet = [50, 100, 200, 500, 1000, 2000, 5280, 10_560, 26_400, 52_800, 264_000];

/** The longest plain length that takes at most a quarter of the width. */
function scaleOf(extent: Extent, project: ReturnType<typeof projection>): MapPage['scale'] {
  const { west, east, south, north } = extent;
  const middle: [number, number] = [(west + east) / 2, (south + north) / 2];
  const tenth: [number, number] = [middle[0], middle[1] + 0.1];
  const feet = projectToFeet(middle)(tenth)[1];
  const length = project(middle)[1] - project(tenth)[1];
  const perFoot = length / feet;
  const best = scaleFeet.filter((one) => one * perFoot <= box.width / 4).at(-1);
  return best === undefined ? null : { feet: best, length: Math.round(best * perFoot * 10) / 10 };
}

function mapUnit(
  filled: Filled,
  fill: MapFill,
  operation: Operation,
  project: ReturnType<typeof projection> | null,
): MapUnit {
  const { unit, fireWords, isOverdue } = filled;
  const community = operation.communities.find(({ key }) => key === unit.communityKey);
  let shape: MapUnit['shape'] = null;
  if (unit.boundary && project) {
    const rings = ringsOf(unit.boundary);
    const extent = extentOf(rings);
    const [labelX, labelY] = project([
      (extent.west + extent.east) / 2,
      (extent.south + extent.north) / 2,
    ]);
    shape = { path: ringsPath(rings.map((ring) => ring.map(project))), labelX, labelY };
  }
  return {
    id: unit.id,
    code: unit.code,
    name: unit.name,
    community: community?.name ?? unit.communityKey,
    areaAcres: unit.areaAcres,
    measuredAcres: unit.measuredAcres,
    fireWords,
    isOverdue,
    fill,
    shape,
  };
}

/** A code under the letter of a point moves up. */
function withClearLabel(unit: MapUnit, points: readonly { x: number; y: number }[]): MapUnit {
  const { shape } = unit;
  const isUnder = ({ x, y }: { x: number; y: number }) =>
    shape !== null && Math.abs(x - shape.labelX) < 26 && Math.abs(y - shape.labelY) < 18;
  if (!shape || !points.some(isUnder)) return unit;
  return { ...unit, shape: { ...shape, labelY: shape.labelY - 22 } };
}

function drawing(operation: Operation, property: Property, filled: readonly Filled[]) {
  const own = <R extends { propertyId: number }>(rows: readonly R[]) =>
    rows.filter((row) => row.propertyId === property.id);
  const lines = own(operation.lines);
  const extent = extentOfAll(
    filled.map(({ unit }) => unit),
    lines,
    property,
  );
  const project = extent && projection(extent, box);
  const keys = [...new Set(filled.map(({ key }) => key))].sort();
  const fillOf = (key: string) => fireFills[key] ?? mapFills[keys.indexOf(key) % mapFills.length]!;
  const points = own(operation.points);
  const placed = points.flatMap(({ name, kind, position }) => {
    if (!position || !project) return [];
    const [x, y] = project(position);
    return [{ name, kind, letter: pointLetters[kind], x, y }];
  });
  const drawn = lines.filter(({ path }) => path !== null && project !== null);
  return {
    units: filled
      .map((one) => mapUnit(one, fillOf(one.key), operation, project))
      .map((one) => withClearLabel(one, placed)),
    isDrawn: project !== null,
    lines: drawn.map(({ name, kind, path }) => ({
      name,
      kind,
      path: (path ?? [])
        .map((stretch) => `M${stretch.map((at) => project!(at).join(' ')).join('L')}`)
        .join(''),
    })),
    points: placed.map(({ name, letter, x, y }) => ({ name, letter, x, y })),
    scale: extent && project ? scaleOf(extent, project) : null,
    legend: {
      fills: keys.map((key) => ({
        fill: fillOf(key),
        name: filled.find((one) => one.key === key)?.name ?? key,
      })),
      lines: lineKinds.filter((kind) => drawn.some((line) => line.kind === kind)),
      points: pointKinds
        .filter((kind) => placed.some((point) => point.kind === kind))
        .map((kind) => ({ letter: pointLetters[kind], name: kind.replace('-', ' ') })),
    },
    unmappedLines: lines.length - drawn.length,
  };
}

/** The map of one property: its units by natural community or fire, and what needs a look. */
export function mapPage(deps: Deps, query: { property: string; show: string }): MapPage {
  const operation = deps.operation();
  const { properties } = operation;
  const property =
    properties.find(({ id }) => String(id) === query.property) ?? properties[0] ?? null;
  const show = query.show === 'fire' ? 'fire' : 'community';
  const path = (id: number | undefined, what: string) =>
    `/map?${new URLSearchParams({ property: String(id ?? ''), show: what }).toString()}`;
  const filled = property ? filledUnits(deps, operation, property, show) : [];
  const findings = property ? mapFindings(operation, property) : [];
  const blank = { units: [], isDrawn: false, lines: [], points: [], scale: null, unmappedLines: 0 };
  return {
    shell: shellOf(deps, 'more', 'What lies where?'),
    property: property && { id: property.id, name: property.name },
    properties: properties.map(({ id, name }) => ({
      name,
      path: path(id, show),
      isOn: id === property?.id,
    })),
    shows: (['community', 'fire'] as const).map((one) => ({
      name: one === 'fire' ? 'fire' : 'natural community',
      path: path(property?.id, one),
      isOn: one === show,
    })),
    width: box.width,
    height: box.height,
    ...(property
      ? drawing(operation, property, filled)
      : { ...blank, legend: { fills: [], lines: [], points: [] } }),
    findings: findings.map(({ kind, text, unitIds }) => ({
      kind,
      text,
      units: unitIds.flatMap((id) => {
        const unit = operation.units.find((one) => one.id === id);
        return unit ? [{ id, code: unit.code }] : [];
      }),
    })),
    findingKinds,
  };
}
