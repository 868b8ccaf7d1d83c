import { intersection } from 'polyclip-ts';
import { roughAcres, unionOf } from './boundary-cuts.ts';
import {
  type BoundingBox,
  boundingBox,
  crossingOf,
  middleOf,
  type Position,
  polygonsOf,
  projectToFeet,
  sharedEdges,
} from './geometry.ts';
import { oncePerOperation } from './land-index.ts';
import type { Property } from './properties.ts';
import type { Boundary, Unit } from './units.ts';

export const mapCheckKinds = [
  'wrong-place',
  'far-off',
  'self-crossing',
  'overlap',
  'gap',
  'hole',
  'sliver',
  'acres-apart',
  'no-boundary',
] as const;
export type MapCheckKind = (typeof mapCheckKinds)[number];

/** Something on the map that is worth a look, with its figures and the units it is about. */
export interface MapFinding {
  kind: MapCheckKind;
  unitIds: number[];
  /** A sentence with the numbers and the fix. */
  text: string;
}

/** Our own judgement: less is the noise of drawing. */
const overlapAcresLeast = 0.01;
const gapFeetAlongLeast = 100;
const gapMeters = 10;
const touchMeters = 1;
const sliverAcres = 0.1;
const sliverWideFeet = 10;
const farMiles = 30;
const feetPerMile = 5280;
/** Acres on paper may differ from measured ones by this share or this many acres. */
const acresShareApart = 0.05;
const acresApart = 1;

const round = (value: number, digits = 2) => Number(value.toFixed(digits));

interface Mapped {
  unit: Unit;
  boundary: Boundary;
}

function placeFinding({ unit, boundary }: Mapped, property: Property): MapFinding | null {
  // A corner, since a box cuts latitudes off at the poles.
  const [longitude, latitude] = polygonsOf(boundary)[0]?.[0]?.[0] ?? [Number.NaN, Number.NaN];
  const say = (text: string): MapFinding => ({ kind: 'wrong-place', unitIds: [unit.id], text });
  const near = (a: number, b: number) => Math.abs(a - b) < 1;
  if (near(longitude, property.latitude) && near(latitude, property.longitude))
    return say(
      `${unit.code} has latitude and longitude swapped: it lies at longitude ${round(longitude)}, latitude ${round(latitude)}. Write longitude first.`,
    );
  if (near(longitude, -property.longitude) && near(latitude, property.latitude))
    return say(
      `${unit.code} lies on the other side of the globe, at longitude ${round(longitude)}: west is negative.`,
    );
  if (near(longitude, property.longitude) && near(latitude, -property.latitude))
    return say(
      `${unit.code} lies on the other side of the equator, at latitude ${round(latitude)}: south is negative.`,
    );
  const [x, y] = projectToFeet([property.longitude, property.latitude])([longitude, latitude]);
  const miles = Math.hypot(x, y) / feetPerMile;
  if (miles <= farMiles) return null;
  return {
    kind: 'far-off',
    unitIds: [unit.id],
    text: `${unit.code} lies ${Math.round(miles).toLocaleString('en-US')} miles from the place of ${property.name}: check its coordinates, or the place of the property.`,
  };
}

function ringFeet(ring: readonly Position[], project: ReturnType<typeof projectToFeet>): number {
  const points = ring.map(project);
  return points
    .slice(1)
    .reduce(
      (sum, at, index) => sum + Math.hypot(at[0] - points[index]![0], at[1] - points[index]![1]),
      0,
    );
}

/** Parts of a unit that are too small or too thin to be treated as land of their own. */
function sliverFindings({ unit, boundary }: Mapped): MapFinding[] {
  const project = projectToFeet(middleOf(boundingBox(boundary)));
  return polygonsOf(boundary).flatMap((rings): MapFinding[] => {
    const acres = roughAcres({ type: 'Polygon', coordinates: rings });
    // A strip has an edge of twice its length: its width is twice its area over its edge.
    const wideFeet = (2 * acres * 43_560) / Math.max(1, ringFeet(rings[0] ?? [], project));
    if (acres >= sliverAcres && wideFeet >= sliverWideFeet) return [];
    const text = `${unit.code} has a sliver of ${round(acres, 3)} acres, about ${round(wideFeet, 0)} feet wide: remove it or mend the edge.`;
    return [{ kind: 'sliver', unitIds: [unit.id], text }];
  });
}

function acresFinding({ unit }: Mapped): MapFinding | null {
  const { measuredAcres, areaAcres, code } = unit;
  if (measuredAcres === null) return null;
  const apart = Math.abs(areaAcres - measuredAcres);
  const share = apart / measuredAcres;
  if (share <= acresShareApart && apart <= acresApart) return null;
  return {
    kind: 'acres-apart',
    unitIds: [unit.id],
    text: `${code} has ${round(areaAcres)} acres on paper and ${round(measuredAcres)} on the map, ${round(apart)} acres or ${round(share * 100, 0)} % apart: work is planned by the paper; correct one of them.`,
  };
}

const boxes = new WeakMap<Boundary, BoundingBox>();

function boxOf(boundary: Boundary): BoundingBox {
  const box = boxes.get(boundary) ?? boundingBox(boundary);
  boxes.set(boundary, box);
  return box;
}

function boxesMeet(one: Boundary, other: Boundary): boolean {
  const [a, b] = [boxOf(one), boxOf(other)];
  return a.west <= b.east && b.west <= a.east && a.south <= b.north && b.south <= a.north;
}

/** Boundaries stay the same objects from snapshot to snapshot unless they change, and cutting them is slow. */
const overlaps = new WeakMap<Boundary, WeakMap<Boundary, number>>();

function overlapAcres(one: Boundary, other: Boundary): number {
  if (!boxesMeet(one, other)) return 0;
  const known = overlaps.get(one) ?? new WeakMap<Boundary, number>();
  overlaps.set(one, known);
  const acres = known.get(other) ?? commonAcres(one, other);
  known.set(other, acres);
  return acres;
}

function commonAcres(one: Boundary, other: Boundary): number {
  const common = intersection(polygonsOf(one), polygonsOf(other));
  return common.length === 0 ? 0 : roughAcres({ type: 'MultiPolygon', coordinates: common });
}

/** Overlaps, strips of no unit between neighbors, and land of no unit that units enclose. */
function pairFindings(mapped: readonly Mapped[]): MapFinding[] {
  const findings: MapFinding[] = [];
  const overlapping = new Set<string>();
  const key = (a: Unit, b: Unit) => [a.id, b.id].sort((p, q) => p - q).join(' ');
  mapped.forEach((one, index) => {
    for (const other of mapped.slice(index + 1)) {
      const acres = overlapAcres(one.boundary, other.boundary);
      if (acres < overlapAcresLeast) continue;
      overlapping.add(key(one.unit, other.unit));
      findings.push({
        kind: 'overlap',
        unitIds: [one.unit.id, other.unit.id],
        text: `${one.unit.code} and ${other.unit.code} overlap by ${round(acres)} acres: mend the common edge, or acres count twice.`,
      });
    }
  });
  const places = mapped.map(({ unit, boundary }) => ({ code: String(unit.id), boundary }));
  const touching = new Map(
    sharedEdges(places, touchMeters, 0).map(({ codes, sharedFeet }) => [
      codes.join(' '),
      sharedFeet,
    ]),
  );
  for (const { codes, sharedFeet } of sharedEdges(places, gapMeters, 0)) {
    const [one, other] = codes.map((id) => mapped.find(({ unit }) => String(unit.id) === id)!);
    const apartFeet = sharedFeet - (touching.get(codes.join(' ')) ?? 0);
    if (!one || !other || apartFeet < gapFeetAlongLeast) continue;
    if (overlapping.has(key(one.unit, other.unit))) continue;
    findings.push({
      kind: 'gap',
      unitIds: [one.unit.id, other.unit.id],
      text: `${one.unit.code} and ${other.unit.code} run beside each other for ${Math.round(apartFeet)} feet with a gap of 3 to 33 feet: fine for a lane or creek, else mend the common edge.`,
    });
  }
  return [...findings, ...holeFindings(mapped)];
}

function holeFindings(mapped: readonly Mapped[]): MapFinding[] {
  const all = unionOf(mapped.map(({ boundary }) => boundary));
  const holes = all ? polygonsOf(all).flatMap(([, ...inner]) => inner) : [];
  return holes.flatMap((ring): MapFinding[] => {
    const hole: Boundary = { type: 'Polygon', coordinates: [ring] };
    const acres = roughAcres(hole);
    if (acres < overlapAcresLeast) return [];
    const around = mapped
      .filter(({ boundary }) => boxesMeet(boundary, hole))
      .map(({ unit }) => unit);
    const codes = around.map(({ code }) => code).join(', ');
    return [
      {
        kind: 'hole',
        unitIds: around.map(({ id }) => id),
        text: `${round(acres)} acres inside ${codes} belong to no unit: fine for a pond or field, else mend the edges.`,
      },
    ];
  });
}

/**
 * What of a property's map needs a look: units without a boundary, in a wrong place, crossing themselves, overlaps,
 * gaps, enclosed land of no unit, slivers, and acres on paper against measured (more than 5 % or 1 acre apart).
 * Areas and lengths on the local plane; limits are our own judgement.
 */
export const mapFindings = oncePerOperation((operation, property: Property): MapFinding[] => {
  const units = operation.units.filter((unit) => unit.propertyId === property.id);
  const mapped = units.flatMap((unit): Mapped[] =>
    unit.boundary ? [{ unit, boundary: unit.boundary }] : [],
  );
  const findings: MapFinding[] = [];
  const sound: Mapped[] = [];
  for (const one of mapped) {
    const place = placeFinding(one, property);
    const crossing = crossingOf(one.boundary);
    if (place) findings.push(place);
    if (crossing)
      findings.push({
        kind: 'self-crossing',
        unitIds: [one.unit.id],
        text: `${one.unit.code} crosses or touches itself near longitude ${round(crossing[0], 5)}, latitude ${round(crossing[1], 5)}: mend the edge there.`,
      });
    else findings.push(...sliverFindings(one));
    if (!place && !crossing) sound.push(one);
    const acres = acresFinding(one);
    if (acres) findings.push(acres);
  }
  findings.push(...pairFindings(sound));
  for (const unit of units)
    if (!unit.boundary)
      findings.push({
        kind: 'no-boundary',
        unitIds: [unit.id],
        text: `${unit.code} has no boundary: bring one in from a file to see it on the map.`,
      });
  return findings.sort((a, b) => mapCheckKinds.indexOf(a.kind) - mapCheckKinds.indexOf(b.kind));
});
