import turfArea from '@turf/area';
import turfKinks from '@turf/kinks';
import { describe, expect, it } from 'vitest';
import { mapFindings } from '../../src/core/map-checks.ts';
import type { Operation } from '../../src/core/operation.ts';
import type { Unit } from '../../src/core/units.ts';
import { fakeOperation } from '../support/operation.ts';

const base = fakeOperation();
const [property] = base.properties;
const squareMetersPerAcre = 4046.8564224;
const [west, south] = [property!.longitude, property!.latitude];

type Ring = [number, number][];

/** A rectangle by degrees east and north of the property's place. */
function box(x: number, y: number, wide: number, high: number): Ring {
  const [left, bottom] = [west + x, south + y];
  return [
    [left, bottom],
    [left + wide, bottom],
    [left + wide, bottom + high],
    [left, bottom + high],
    [left, bottom],
  ];
}
const polygon = (...rings: Ring[]) => ({ type: 'Polygon' as const, coordinates: rings });
// Area by @turf/area 7: a sphere of 6 378 137 m, so within 1 % of the ellipsoid.
const acresOf = (...rings: Ring[]) => turfArea(polygon(...rings)) / squareMetersPerAcre;

function land(
  ...boundaries: (
    | Unit['boundary']
    | { boundary: Unit['boundary']; areaAcres: number; measuredAcres: number }
  )[]
): Operation {
  const units = boundaries.map((one, index): Unit => {
    const own =
      one !== null && 'boundary' in one ? one : { boundary: one, areaAcres: 20, measuredAcres: 20 };
    return { ...base.units[0]!, id: index + 1, code: `U${index + 1}`, ...own };
  });
  return { ...base, units };
}
const found = (operation: Operation) =>
  mapFindings(operation, property!).map(({ kind, unitIds }) => [kind, ...unitIds]);
const sentences = (operation: Operation) =>
  mapFindings(operation, property!).map(({ text }) => text);
const numberIn = (text: string | undefined) => Number(/[\d.]+(?= acres)/.exec(text ?? '')?.[0]);

const first = box(0, 0, 0.005, 0.004);

describe('the checks of the map', () => {
  it('find nothing on two units with a common edge', () => {
    expect(found(land(polygon(first), polygon(box(0.005, 0, 0.005, 0.004))))).toEqual([]);
  });

  it('find an overlap with its acres, as the reference library measures it', () => {
    const operation = land(polygon(first), polygon(box(0.004, 0, 0.005, 0.004)));
    expect(found(operation)).toEqual([['overlap', 1, 2]]);
    const acres = acresOf(box(0.004, 0, 0.001, 0.004));
    expect(numberIn(sentences(operation)[0]) / acres).toBeCloseTo(1, 1);
  });

  it('find a gap along a common edge, and none where units only come near at a corner', () => {
    // 0.00005 degrees of longitude are about 4.4 m here.
    expect(found(land(polygon(first), polygon(box(0.00505, 0, 0.005, 0.004))))).toEqual([
      ['gap', 1, 2],
    ]);
    expect(found(land(polygon(first), polygon(box(0.00505, 0.00403, 0.005, 0.004))))).toEqual([]);
  });

  it('find land that units enclose and that belongs to none, with its acres', () => {
    const inner = box(0.002, 0.001, 0.002, 0.002);
    const frame = land(
      polygon(box(0, 0, 0.006, 0.001)),
      polygon(box(0, 0.003, 0.006, 0.001)),
      polygon(box(0, 0.001, 0.002, 0.002)),
      polygon(box(0.004, 0.001, 0.002, 0.002)),
    );
    expect(found(frame)).toEqual([['hole', 1, 2, 3, 4]]);
    expect(numberIn(sentences(frame)[0]) / acresOf(inner)).toBeCloseTo(1, 1);
  });

  it('find a sliver: a small part, and a strip', () => {
    const parts = {
      type: 'MultiPolygon' as const,
      coordinates: [[first], [box(0.006, 0, 0.0001, 0.0001)]],
    };
    expect(found(land(parts))).toEqual([['sliver', 1]]);
    expect(found(land(polygon(box(0, 0, 0.02, 0.00002))))).toEqual([['sliver', 1]]);
  });

  it('find a boundary that crosses itself, as the reference library does', () => {
    const [a, b, c, d] = first as [Ring[0], Ring[0], Ring[0], Ring[0]];
    const bow: Ring = [a, c, b, d, a];
    expect(turfKinks(polygon(bow)).features).toHaveLength(1);
    expect(found(land(polygon(bow)))).toEqual([['self-crossing', 1]]);
  });

  it.each([
    [
      'east for west',
      (ring: Ring): Ring => ring.map(([x, y]) => [-x, y]),
      'wrong-place',
      'west is negative',
    ],
    [
      'south for north',
      (ring: Ring): Ring => ring.map(([x, y]) => [x, -y]),
      'wrong-place',
      'south is negative',
    ],
    [
      'latitude first',
      (ring: Ring): Ring => ring.map(([x, y]) => [y, x]),
      'wrong-place',
      'Write longitude first',
    ],
    ['a degree off', (ring: Ring): Ring => ring.map(([x, y]) => [x + 1, y]), 'far-off', '55 miles'],
  ])('find %s', (_, move, kind, words) => {
    const operation = land(polygon(move(first)));
    expect(found(operation)).toEqual([[kind, 1]]);
    expect(sentences(operation)[0]).toContain(words);
  });

  it.each([
    [20, 20, false],
    [21, 20, false],
    [10.6, 10, true],
    [104, 100, true],
    [100.9, 100, false],
    [0.5, 0.4, true],
  ])('%s acres on paper beside %s measured: %s', (areaAcres, measuredAcres, isFound) => {
    const operation = land({ boundary: polygon(first), areaAcres, measuredAcres });
    expect(found(operation)).toEqual(isFound ? [['acres-apart', 1]] : []);
  });

  it('find a unit without a boundary, and look at one property only', () => {
    expect(
      found({ ...land(null), units: [...land(null).units, { ...base.units[7]!, id: 9 }] }),
    ).toEqual([['no-boundary', 1]]);
  });
});
