import { type MapCheckKind, mapFindings } from '../../core/map-checks.ts';
import type { Operation } from '../../core/operation.ts';
import type { Property } from '../../core/properties.ts';
import type { Deps } from '../deps.ts';
import { type Drawing, drawLand, type MapFill } from './map-drawing.ts';
import { type FilledUnit, filledUnits, type MapShow, mapShowNames, mapShows } from './map-fills.ts';
import type { MapBox } from './map-shapes.ts';
import { type Shell, shellOf, todayAt } from './shell.ts';

const box: MapBox = { width: 800, height: 560, margin: 36 };

export interface MapUnit {
  id: number;
  code: string;
  name: string;
  community: string;
  areaAcres: number;
  measuredAcres: number | null;
  fireWords: string;
  isOverdue: boolean;
  nextWords: string;
  burnWords: string;
}

export interface MapPage {
  shell: Shell;
  property: { id: number; name: string } | null;
  properties: { name: string; path: string; isOn: boolean }[];
  shows: { name: string; path: string; isOn: boolean }[];
  units: MapUnit[];
  /** Null: there are no boundaries to draw. */
  drawing: Drawing | null;
  fills: { fill: MapFill; name: string }[];
  /** Lines without a course on file. */
  unmappedLines: number;
  /** Layers of files on this property. */
  layerCount: number;
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

function mapUnit(operation: Operation, { unit, ...filled }: FilledUnit): MapUnit {
  const { id, code, name, communityKey, areaAcres, measuredAcres } = unit;
  const { fireWords, isOverdue, nextWords, burnWords } = filled;
  const community = operation.communities.find(({ key }) => key === communityKey)?.name;
  return {
    id,
    code,
    name,
    community: community ?? communityKey,
    areaAcres,
    measuredAcres,
    fireWords,
    isOverdue,
    nextWords,
    burnWords,
  };
}

function legendOf(filled: readonly FilledUnit[]): MapPage['fills'] {
  const names = new Map(filled.map(({ fill, fillName }) => [fillName, fill]));
  return [...names]
    .map(([name, fill]) => ({ name, fill }))
    .sort((a, b) => (a.name < b.name ? -1 : 1));
}

function drawingOf(operation: Operation, property: Property, filled: readonly FilledUnit[]) {
  const own = <R extends { propertyId: number }>(rows: readonly R[]) =>
    rows.filter((row) => row.propertyId === property.id);
  const lines = own(operation.lines);
  const drawing = drawLand({
    property,
    units: filled.map(({ unit, fill, notes }) => ({ unit, fill, notes, isSubject: true })),
    lines,
    points: own(operation.points),
    layers: own(operation.mapLayers),
    box,
    areLinesNumbered: false,
    tiles: operation.tileServices.find(({ address }) => address !== '') ?? null,
  });
  return { drawing, unmappedLines: drawing?.unmappedLines ?? lines.length };
}

/** The map of one property: its units by natural community, fire or plan, and what needs a look. */
export function mapPage(deps: Deps, query: { property: string; show: string }): MapPage {
  const operation = deps.operation();
  const { properties } = operation;
  const property =
    properties.find(({ id }) => String(id) === query.property) ?? properties[0] ?? null;
  const show: MapShow = mapShows.find((one) => one === query.show) ?? 'community';
  const path = (id: number | undefined, what: string) =>
    `/map?${new URLSearchParams({ property: String(id ?? ''), show: what }).toString()}`;
  const plan = deps.plans.inForce()?.content ?? null;
  const filled = property
    ? filledUnits(operation, plan, property, todayAt(deps, property), show)
    : [];
  const findings = property ? mapFindings(operation, property) : [];
  const drawn = property
    ? drawingOf(operation, property, filled)
    : { drawing: null, unmappedLines: 0 };
  return {
    shell: shellOf(deps, 'more', 'What lies where?'),
    property: property && { id: property.id, name: property.name },
    properties: properties.map(({ id, name }) => ({
      name,
      path: path(id, show),
      isOn: id === property?.id,
    })),
    shows: mapShows.map((one) => ({
      name: mapShowNames[one],
      path: path(property?.id, one),
      isOn: one === show,
    })),
    units: filled.map((one) => mapUnit(operation, one)),
    ...drawn,
    fills: legendOf(filled),
    layerCount: operation.mapLayers.filter(({ propertyId }) => propertyId === property?.id).length,
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
