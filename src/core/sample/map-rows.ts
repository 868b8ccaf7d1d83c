import { addDays, type IsoDate } from '../dates.ts';
import { type BoundingBox, boundingBox, type Position } from '../geometry.ts';
import type { LandContent } from '../library.ts';
import type { MapLayer, MapLayerKind } from '../map-layers.ts';
import type { PlanElement } from '../plan-elements.ts';
import type { PointKind, PointToProtect } from '../points.ts';
import type { Unit } from '../units.ts';

/** Rows of the map and of a burn packet; the numbers are their own in the table that they share with others. */
const firstLayerId = 601;
const firstPointId = 611;
const firstElementId = 621;

function boxOf(units: readonly Unit[]): BoundingBox {
  const boxes = units.flatMap(({ boundary }) => (boundary ? [boundingBox(boundary)] : []));
  return {
    west: Math.min(...boxes.map((box) => box.west)),
    south: Math.min(...boxes.map((box) => box.south)),
    east: Math.max(...boxes.map((box) => box.east)),
    north: Math.max(...boxes.map((box) => box.north)),
  };
}

/** A position by shares of a box, from its southwest corner. */
function within({ west, south, east, north }: BoundingBox): (x: number, y: number) => Position {
  const round = (value: number) => Math.round(value * 1e6) / 1e6;
  return (x, y) => [round(west + x * (east - west)), round(south + y * (north - south))];
}

function layers(propertyId: number, at: (x: number, y: number) => Position): MapLayer[] {
  const course = (points: [number, number][]) => points.map(([x, y]) => at(x, y));
  const row = (
    index: number,
    name: string,
    kind: MapLayerKind,
    stretches: MapLayer['stretches'],
  ): MapLayer => ({ id: firstLayerId + index, propertyId, name, kind, stretches });
  const ridge = (height: number, lift: number) => ({
    label: `${height} ft`,
    path: course(
      [0, 0.15, 0.3, 0.45, 0.6, 0.75, 0.9, 1].map((x) => [
        x,
        lift + 0.07 * Math.sin(x * 7 + lift * 5),
      ]),
    ),
  });
  return [
    row(0, 'Roads around', 'road', [
      {
        label: 'Hollow Road',
        path: course([
          [-0.05, -0.04],
          [0.35, -0.05],
          [0.7, -0.03],
          [1.05, -0.06],
        ]),
      },
      {
        label: 'Barn lane',
        path: course([
          [0.35, -0.05],
          [0.33, 0.08],
          [0.36, 0.2],
        ]),
      },
    ]),
    row(1, 'Creek', 'creek', [
      {
        label: 'Slate Branch',
        path: course([
          [-0.03, 0.95],
          [0.2, 0.7],
          [0.42, 0.55],
          [0.5, 0.34],
          [0.72, 0.2],
          [1.03, 0.12],
        ]),
      },
    ]),
    row(2, 'Contours, 40 ft', 'contour', [
      ridge(880, 0.2),
      ridge(920, 0.42),
      ridge(960, 0.64),
      ridge(1000, 0.86),
    ]),
  ];
}

function points(propertyId: number, at: (x: number, y: number) => Position): PointToProtect[] {
  const rows: [PointKind, string, number, number, string][] = [
    ['gate', 'Barn gate', 0.34, -0.02, 'chain, combination on the sheet in the truck'],
    ['water', 'Pond with a ramp', 0.56, 0.3, 'drafting place for the pump, 6 ft deep'],
    ['hazard', 'Old well', 0.24, 0.46, 'open shaft, fenced: nobody goes in the dark'],
    ['smoke', 'Neighbor house', 1.03, 0.62, 'call before a burn; no smoke over it at night'],
  ];
  return rows.map(([kind, name, x, y, rule], index) => ({
    id: firstPointId + index,
    propertyId,
    name,
    kind,
    position: at(x, y),
    unitIds: [],
    bufferFeet: 0,
    barsFamilies: [],
    opens: null,
    closes: null,
    firmness: 'ask-first',
    rule,
  }));
}

/** What somebody has ticked of the burn plan of one block: most of it, and one part that runs out soon. */
function elements(blockId: number, today: IsoDate): PlanElement[] {
  const written = ['signatures', 'area', 'goals', 'prescription', 'ignition', 'holding', 'smoke'];
  return written.map((key, index) => ({
    id: firstElementId + index,
    blockId,
    key,
    isWritten: true,
    signedBy: 'Tess Arden',
    signedOn: addDays(today, -60),
    expiresOn: key === 'signatures' ? addDays(today, 45) : null,
  }));
}

/** Gates, water, hazards, a house that smoke must spare, roads, a creek and contours; all invented. */
export function sampleMapRows(
  units: readonly Unit[],
  today: IsoDate,
): Pick<LandContent, 'mapLayers' | 'tileServices' | 'planElements'> & {
  mapPoints: PointToProtect[];
} {
  const own = units.filter(({ propertyId }) => propertyId === 1);
  const at = within(boxOf(own));
  const planned = own.find(({ code }) => code === 'N2');
  return {
    mapLayers: layers(1, at),
    mapPoints: points(1, at),
    tileServices: [],
    planElements: planned ? elements(planned.blockId, today) : [],
  };
}
