import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isoDate, monthDay } from '../../src/core/dates.ts';
import { landFeatures } from '../../src/core/land-file.ts';
import { landFileChanges } from '../../src/core/land-file-changes.ts';
import { lineKinds } from '../../src/core/lines.ts';
import type { Operation } from '../../src/core/operation.ts';
import { pointKinds } from '../../src/core/points.ts';
import { families } from '../../src/core/treatments.ts';
import { densityClasses, type Unit } from '../../src/core/units.ts';
import { writeGeoJsonLand } from '../../src/exchange/geojson-land.ts';
import { writeKml } from '../../src/exchange/kml.ts';
import { readLandFile } from '../../src/exchange/land-file.ts';
import { fakeOperation } from '../support/operation.ts';

const base = fakeOperation();
const communityKeys = base.communities.map(({ key }) => key);

function contextOf({ units }: Operation) {
  return {
    communityKeys,
    units: units.filter((unit) => unit.propertyId === 1),
    communityKey: null,
  };
}
const read = (text: string, operation = base) => readLandFile(text, contextOf(operation));

function report(text: string, operation: Operation) {
  const { file, problems } = read(text, operation);
  expect(problems).toEqual([]);
  const outcome = landFileChanges(file, operation, 1);
  if (!outcome.ok) throw new Error(outcome.problems[0]?.message);
  return outcome.value;
}

const degrees = fc.integer({ min: 0, max: 9999 }).map((value) => value / 1e6);
// U+FFFD is what a decoder writes for bytes that are no UTF-8: a file that holds it is refused as no plain text.
const word = fc
  .string({ minLength: 1, maxLength: 12, unit: 'grapheme' })
  .filter((text) => text === text.trim() && !/\p{C}|;|\uFFFD/u.test(text));

/** The invented operation with other values in every field that files carry. */
const land = fc
  .record({
    names: fc.uniqueArray(word, { minLength: 12, maxLength: 12 }),
    at: fc.array(degrees, { minLength: 12, maxLength: 12 }),
    acres: fc.double({ min: 0.5, max: 900, noNaN: true }),
    density: fc.option(fc.constantFrom(...densityClasses)),
    slopePercent: fc.option(fc.integer({ min: 0, max: 90 })),
    kind: fc.constantFrom(...lineKinds),
    pointKind: fc.constantFrom(...pointKinds),
    barsFamilies: fc.subarray([...families]),
    hasHole: fc.boolean(),
    isMapped: fc.boolean(),
  })
  .map((own): Operation => {
    const [a = 0, b = 0, c = 0, d = 0] = own.at;
    const square = (x: number, y: number, wide: number) => [
      [x, y],
      [x + wide, y],
      [x + wide, y + wide],
      [x, y + wide],
      [x, y],
    ];
    const rings = [
      square(-93 - a, 37 + b, 0.01),
      ...(own.hasHole ? [square(-92.998 - a, 37.002 + b, 0.003)] : []),
    ];
    const units = base.units.map(
      (unit, index): Unit =>
        index > 0
          ? { ...unit, name: own.names[index]! }
          : {
              ...unit,
              name: own.names[0]!,
              areaAcres: own.acres,
              densityClass: own.density,
              slopePercent: own.slopePercent,
              tags: ['contract-land', 'near-roost'],
              boundary: own.isMapped ? { type: 'Polygon', coordinates: rings } : null,
            },
    );
    const [line, other] = base.lines;
    return {
      ...base,
      units,
      lines: [
        {
          ...line!,
          name: own.names[8]!,
          kind: own.kind,
          readyOn: isoDate('2026-10-30'),
          path: [
            [
              [-93 - a, 37 + b],
              [-93 - c, 37.1 + d],
            ],
          ],
        },
        {
          ...other!,
          path: [
            [
              [-93 - a, 37 + b],
              [-93.1 - c, 37],
            ],
            [
              [-93, 37 + d],
              [-93.2, 37.2],
            ],
          ],
        },
      ],
      points: [
        {
          id: 1,
          propertyId: 1,
          name: own.names[9]!,
          kind: own.pointKind,
          position: own.isMapped ? [-93 - c, 37 + d] : null,
          unitIds: [1, 2],
          bufferFeet: 150,
          barsFamilies: own.barsFamilies,
          opens: monthDay('04-15'),
          closes: monthDay('07-31'),
          firmness: 'hard',
          rule: own.names[10]!,
        },
      ],
    };
  });

describe('round trip', () => {
  it.each([
    ['GeoJSON', (operation: Operation) => writeGeoJsonLand(landFeatures(operation, 1))],
    ['KML', (operation: Operation) => writeKml('land', landFeatures(operation, 1))],
  ])('%s that is written and read again changes nothing', (_, write) => {
    fc.assert(
      fc.property(land, (operation) => {
        const changes = report(write(operation), operation);
        expect(changes.report.filter(({ state }) => state !== 'unchanged')).toEqual([]);
        expect([changes.units, changes.blocks, changes.lines, changes.points]).toEqual([
          [],
          [],
          [],
          [],
        ]);
      }),
      { numRuns: 60 },
    );
  });

  it('reads back the whole of it where nothing was on file', () => {
    const text = writeGeoJsonLand(landFeatures(base, 1));
    const changes = report(text, { ...base, units: [], blocks: [], lines: [], points: [] });
    expect(changes.units.map(({ unit }) => unit.code)).toEqual([
      'N1',
      'N2',
      'N3',
      'S1',
      'S2',
      'E1',
      'E2',
    ]);
    expect(changes.units.at(-1)).toMatchObject({
      id: null,
      blockCode: 'E',
      unit: { boundary: base.units[6]!.boundary },
    });
    expect(changes.lines.map(({ line, unitCodes }) => [line.name, unitCodes])).toEqual([
      ['North line', ['N1']],
      ['Ridge road', ['N1', 'N2']],
    ]);
  });
});

// RFC 7946, section 1.5 (an example of a FeatureCollection) and appendix A, with the properties that units need.
const rfcPolygon = [
  [
    [100, 0],
    [101, 0],
    [101, 1],
    [100, 1],
    [100, 0],
  ],
];
const rfcHole = [
  ...rfcPolygon,
  [
    [100.8, 0.8],
    [100.8, 0.2],
    [100.2, 0.2],
    [100.2, 0.8],
    [100.8, 0.8],
  ],
];
const feature = (geometry: object | null, properties: object) => ({
  type: 'Feature',
  geometry,
  properties,
});
const collection = (...features: object[]) =>
  JSON.stringify({ type: 'FeatureCollection', features });
const unitFields = { code: 'Z1', community: 'glade', acres: 5 };

describe('geometries of RFC 7946', () => {
  it('tells units, lines and points apart by their geometry', () => {
    const { file, problems } = read(
      collection(
        feature({ type: 'Point', coordinates: [102, 0.5] }, { name: 'Den', kind: 'den' }),
        feature(
          {
            type: 'LineString',
            coordinates: [
              [102, 0],
              [103, 1],
              [104, 0],
              [105, 1],
            ],
          },
          { name: 'L', kind: 'Road' },
        ),
        feature(
          {
            type: 'MultiLineString',
            coordinates: [
              [
                [100, 0],
                [101, 1],
              ],
              [
                [102, 2, 9],
                [103, 3, 9],
              ],
            ],
          },
          { name: 'M' },
        ),
      ),
    );
    expect(problems).toEqual([]);
    expect(file.points).toMatchObject([{ name: 'Den', kind: 'den', position: [102, 0.5] }]);
    expect(file.lines).toMatchObject([
      { name: 'L', kind: 'road' },
      {
        name: 'M',
        kind: null,
        path: [
          [
            [100, 0],
            [101, 1],
          ],
          [
            [102, 2],
            [103, 3],
          ],
        ],
      },
    ]);
  });

  it('measures a line: 0.01 degrees of a meridian at the equator are 1105.743 m', () => {
    // Meridian arc per degree at the equator on WGS 84, 110 574.3 m: standard figure, from memory.
    const { file } = read(
      collection(
        feature(
          {
            type: 'LineString',
            coordinates: [
              [0, 0],
              [0, 0.01],
            ],
          },
          { name: 'L' },
        ),
      ),
    );
    expect(file.lines[0]?.measuredFeet).toBeCloseTo(1105.743 / 0.3048, 0);
  });

  it('refuses the degree-wide polygons of the RFC as too large for a unit, and nothing else of them', () => {
    for (const coordinates of [rfcPolygon, rfcHole]) {
      const { problems } = read(collection(feature({ type: 'Polygon', coordinates }, unitFields)));
      expect(problems.map(({ code }) => code)).toEqual(['impossible-outline']);
    }
  });

  it.each([
    [feature({ type: 'GeometryCollection', geometries: [] }, { name: 'x' }), 'unknown-geometry'],
    [feature({ type: 'MultiPoint', coordinates: [[0, 0]] }, { name: 'x' }), 'unknown-geometry'],
    [feature(null, {}), 'unknown-geometry'],
    [
      feature({ type: 'Point', coordinates: [-37, -92] }, { name: 'x', kind: 'den' }),
      'coordinate-swapped',
    ],
    [feature({ type: 'LineString', coordinates: [[0, 0]] }, { name: 'x' }), 'too-few-positions'],
    [
      feature(
        {
          type: 'LineString',
          coordinates: [
            [0, 0],
            ['a', 1],
          ],
        },
        { name: 'x' },
      ),
      'not-a-position',
    ],
    [feature({ type: 'Point', coordinates: [0, 0] }, { kind: 'den' }), 'missing-value'],
    [feature(null, { what: 'line', name: 'x', kind: 'wall' }), 'unknown-value'],
    [feature(null, { what: 'line', name: 'x', width_feet: '-3' }), 'not-a-number'],
    [feature(null, { what: 'line', name: 'x', ready_on: '3/4/26' }), 'not-a-date'],
    [feature(null, { what: 'point', name: 'x', bars: 'burn; fly' }), 'unknown-value'],
    [feature(null, { what: 'unit', code: 'Z1', community: 'glade' }), 'missing-value'],
    [feature(null, { what: 'unit', code: 'Z1', acres: 4 }), 'missing-value'],
    [feature({ type: 'Point', coordinates: [0, 0] }, { what: 'line', name: 'x' }), 'not-a-course'],
  ])('%j is refused with its number', (one, code) => {
    const { problems, problemCount } = read(collection(one));
    expect(problems).toMatchObject([{ code, line: 1 }]);
    expect(problemCount).toBe(1);
  });

  it.each([
    ['code,acres', 'unknown-file-kind'],
    ['', 'file-empty'],
    ['{"type":"Feature"}', 'not-feature-collection'],
    ['<html/>', 'not-kml'],
  ])('%j is no file of land', (text, code) => {
    expect(read(text).problems).toMatchObject([{ code }]);
  });

  it('names properties that it does not read, and names that stand twice', () => {
    const twin = feature(null, {
      what: 'line',
      name: 'L',
      kind: 'road',
      length_feet: 5,
      colour: 'red',
    });
    expect(read(collection(twin, twin))).toMatchObject({
      problems: [{ code: 'name-twice', ref: 'L' }],
      notes: [{ code: 'properties-not-read', message: 'These properties are not read: colour.' }],
    });
  });
});

describe('what a file changes', () => {
  const changed = (...features: object[]) => report(collection(...features), base).report;

  it('says each field, from and to, and what stays', () => {
    const rows = changed(
      feature(null, { what: 'unit', code: 'N1', acres: 25, block: 'N2' }),
      feature(null, { what: 'block', code: 'N2', name: 'Both springs' }),
      feature(
        {
          type: 'LineString',
          coordinates: [
            [-93, 37],
            [-93, 37.01],
          ],
        },
        { name: 'North line', length_feet: 2400 },
      ),
      feature(null, { what: 'line', name: 'Ridge road', units: 'N1' }),
      feature({ type: 'Point', coordinates: [-93, 37] }, { name: 'Den', kind: 'den' }),
    );
    expect(rows.filter(({ state }) => state === 'changed')).toEqual([
      {
        what: 'unit',
        key: 'N1',
        id: 1,
        state: 'changed',
        changes: [
          { field: 'areaAcres', from: '22', to: '25' },
          { field: 'block', from: 'N1', to: 'N2' },
        ],
      },
      {
        what: 'block',
        key: 'N2',
        id: 2,
        state: 'changed',
        changes: [{ field: 'name', from: 'Two Springs', to: 'Both springs' }],
      },
      {
        what: 'line',
        key: 'North line',
        id: 1,
        state: 'changed',
        changes: [
          expect.objectContaining({ field: 'lengthFeet', from: '2400' }),
          { field: 'path', from: 'blank', to: 'as mapped' },
        ],
      },
      {
        what: 'line',
        key: 'Ridge road',
        id: 2,
        state: 'changed',
        changes: [{ field: 'units', from: 'N1, N2', to: 'N1' }],
      },
    ]);
    expect(rows.filter(({ state }) => state === 'new')).toMatchObject([
      { what: 'point', key: 'Den' },
    ]);
    expect(rows.filter(({ state }) => state === 'missing').map(({ key }) => key)).toEqual([
      'N2',
      'N3',
      'S1',
      'S2',
      'E1',
      'E2',
    ]);
  });

  it.each([
    [feature(null, { what: 'line', name: 'New', length_feet: 5 }), 'new-line-kind'],
    [feature(null, { what: 'line', name: 'New', kind: 'road' }), 'new-line-length_feet'],
    [feature(null, { what: 'point', name: 'New' }), 'new-point-kind'],
    [feature(null, { what: 'line', name: 'North line', units: 'N1; Q7' }), 'unit-code-unknown'],
  ])('%j can not be taken', (one, code) => {
    const { file } = read(collection(one));
    expect(landFileChanges(file, base, 1)).toMatchObject({ ok: false, problems: [{ code }] });
  });

  it('takes the natural community chosen for new units that name none', () => {
    const text = collection(feature(null, { what: 'unit', code: 'Z1', acres: 4 }));
    const { file } = readLandFile(text, { ...contextOf(base), communityKey: 'glade' });
    expect(file.units).toMatchObject([{ code: 'Z1', name: 'Z1', communityKey: 'glade' }]);
  });
});
