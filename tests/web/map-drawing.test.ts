import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { worldSquare } from '../../src/core/map-tiles.ts';
import { drawLand, sketchOf } from '../../src/web/pages/map-drawing.ts';
import { freeLabels, type LabelWish } from '../../src/web/pages/map-labels.ts';
import { fakeOperation } from '../support/operation.ts';

const operation = fakeOperation();
const property = operation.properties[0]!;
const own = operation.units.filter(({ propertyId }) => propertyId === 1);
const box = { width: 800, height: 560, margin: 36 };
const order = {
  property,
  units: own.map((unit) => ({ unit, fill: 'a' as const, notes: [], isSubject: true })),
  lines: [],
  points: [],
  layers: [],
  box,
  areLinesNumbered: false,
  tiles: null,
};

describe('labels', () => {
  const wish = fc.record({
    x: fc.integer({ min: 20, max: 380 }),
    y: fc.integer({ min: 20, max: 280 }),
    text: fc.string({ minLength: 1, maxLength: 12 }),
    note: fc.constant(''),
    kind: fc.constant('layer' as const),
    isNeeded: fc.constant(false),
  });

  test('that may be left out never cover each other, a sign or the edge', () => {
    const frame = { width: 400, height: 300, margin: 0 };
    const point = fc.record({
      x: fc.integer({ max: 390, min: 10 }),
      y: fc.integer({ max: 290, min: 10 }),
    });
    fc.assert(
      fc.property(
        fc.array(wish, { maxLength: 25 }),
        fc.array(point, { maxLength: 8 }),
        (wishes, points) => {
          const placed = freeLabels(wishes as LabelWish[], points, frame);
          // Four parts of the picture a letter to each side is what the type size of the map takes, measured in a browser.
          const half = (text: string) => text.length * 4;
          placed.forEach((one, at) => {
            expect(one.x - half(one.text)).toBeGreaterThanOrEqual(0);
            expect(one.x + half(one.text)).toBeLessThanOrEqual(frame.width);
            for (const other of placed.slice(at + 1)) {
              const isBeside = Math.abs(one.x - other.x) >= half(one.text) + half(other.text);
              expect(isBeside || Math.abs(one.y - other.y) >= 12).toBe(true);
            }
            for (const sign of points) {
              const isBeside = Math.abs(one.x - sign.x) >= half(one.text) + 9;
              expect(isBeside || Math.abs(one.y - sign.y) >= 14).toBe(true);
            }
          });
        },
      ),
    );
  });

  test('that are needed are always written', () => {
    const needed = Array.from(
      { length: 30 },
      (_, at): LabelWish => ({
        x: 100,
        y: 100,
        text: `N${at}`,
        note: '',
        kind: 'code',
        isNeeded: true,
      }),
    );
    expect(freeLabels(needed, [], { width: 200, height: 200, margin: 0 })).toHaveLength(30);
  });
});

describe('the drawing', () => {
  test('lays pictures of a server where their corners belong', () => {
    const address = 'https://tiles.example.org/{z}/{x}/{y}.png';
    const drawing = drawLand({ ...order, tiles: { id: 1, address, attribution: 'its makers' } })!;
    const [, zoom = 0, column = 0, row = 0] =
      /\/(\d+)\/(\d+)\/(\d+)\.png$/.exec(drawing.tiles[0]!.address)?.map(Number) ?? [];
    // Unit 1 is the square from 92.1 W, 37.2 N; its path begins at that corner.
    const [, x = 0, y = 0] = /^M([\d.]+) ([\d.]+)/.exec(drawing.units[0]!.path)?.map(Number) ?? [];
    const side = 2 ** zoom;
    const [east, south] = worldSquare([-92.1, 37.2]);
    const { x: left, y: top, size } = drawing.tiles[0]!;
    // A picture is drawn half a part wider than it is, so that no seam shows.
    expect(left + (east * side - column) * (size - 0.5)).toBeCloseTo(x, 0);
    expect(top + (south * side - row) * (size - 0.5)).toBeCloseTo(y, 0);
  });

  test('keeps a square on the ground a square', () => {
    const [unit] = own;
    const drawing = drawLand({ ...order, units: order.units.slice(0, 1) })!;
    const corners = [...drawing.units[0]!.path.matchAll(/([\d.]+) ([\d.]+)/g)].map(
      ([, x, y]) => [Number(x), Number(y)] as const,
    );
    const [first, second, third] = corners;
    const ratio = Math.abs(second![0] - first![0]) / Math.abs(third![1] - second![1]);
    // 0.005 by 0.004 degrees at 37.2 N: a degree is 88.8 km wide and 111.0 km high (WGS 84, from memory).
    expect(ratio).toBeCloseTo((0.005 * 88.8) / (0.004 * 111.0), 1);
    expect(unit?.code).toBe('N1');
  });

  test('is none without a boundary, and shows no land of another property', () => {
    const blank = own.map((unit) => ({ ...unit, boundary: null }));
    expect(sketchOf({ ...operation, units: blank }, property, blank.slice(0, 1), [])).toBeNull();
    const sketch = sketchOf(operation, property, own.slice(0, 1), [])!;
    expect(sketch.units.at(-1)).toMatchObject({ code: 'N1', isSubject: true });
    expect(sketch.units.map(({ code }) => code)).not.toContain('P1');
  });

  test('of one unit leaves far ones out', () => {
    const far = { ...own[1]!, id: 90, code: 'Z9', boundary: structuredClone(own[1]!.boundary)! };
    far.boundary.coordinates = (far.boundary.coordinates as number[][][]).map((ring) =>
      ring.map(([x = 0, y = 0]) => [x + 0.5, y]),
    );
    const land = { ...operation, units: [...operation.units, far] };
    const codes = sketchOf(land, property, own.slice(0, 1), [])!.units.map(({ code }) => code);
    expect(codes).toContain('N2');
    expect(codes).not.toContain('Z9');
  });
});
