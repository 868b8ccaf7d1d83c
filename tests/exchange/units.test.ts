import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { Problem } from '../../src/core/problems.ts';
import { readUnits } from '../../src/exchange/units.ts';

const context = {
  communityKeys: ['oak-savanna', 'oak-woodland', 'glade', 'tallgrass-prairie', 'old-field'],
};

const fixture = (name: string) =>
  readFileSync(new URL(`../fixtures/land/${name}`, import.meta.url), 'utf8');
const readFixture = (name: string) => readUnits(name, fixture(name), context);
const named = (problems: Problem[]) => problems.map(({ line, field, code }) => [line, field, code]);

const header = 'code,name,acres,community,aspect,slope_percent,density,tags';
const csv = (...lines: string[]) => readUnits('units.csv', [header, ...lines].join('\n'), context);

const ring = [
  [-92.1, 37.2],
  [-92.095, 37.2],
  [-92.095, 37.204],
  [-92.1, 37.204],
  [-92.1, 37.2],
];
function feature(properties: object, geometry: object = { type: 'Polygon', coordinates: [ring] }) {
  return {
    type: 'Feature',
    properties: { code: 'A1', community: 'glade', ...properties },
    geometry,
  };
}
function geojson(features: unknown[], own: object = {}) {
  const text = JSON.stringify({ type: 'FeatureCollection', ...own, features });
  return readUnits('units.geojson', text, context);
}

describe('units from GeoJSON', () => {
  it('reads every field, measures acres and finds neighbours', () => {
    const { units, neighbours, problems, problemCount, notes } = readFixture('units.geojson');
    expect([problems, problemCount]).toEqual([[], 0]);
    expect(units.map((unit) => unit.code)).toEqual(['N1', 'N2', 'N3', 'S1', 'S2', 'E1']);
    expect(units[0]).toMatchObject({
      code: 'N1',
      name: 'North bench',
      areaAcres: 48.7,
      communityKey: 'oak-savanna',
      aspect: 'S',
      slopePercent: 12,
      densityClass: 'dense',
      tags: ['contract-land'],
    });
    expect(units[1]).toMatchObject({ areaAcres: 48.69, tags: ['near-roost', 'contract-land'] });
    expect(units[4]).toMatchObject({
      aspect: null,
      slopePercent: null,
      densityClass: null,
      tags: [],
    });
    expect(units[0]?.measuredAcres).toBeCloseTo(48.69, 2);
    expect(units[5]?.boundary?.type).toBe('MultiPolygon');
    expect(neighbours.map((pair) => pair.codes.join(' '))).toEqual([
      'N1 N2',
      'N1 S1',
      'N2 N3',
      'N2 S2',
      'S1 S2',
    ]);
    // 0.004 degrees of latitude at 37 N are 443.9 m (WGS 84: 110,979 m a degree), so 1,456 ft.
    expect(neighbours[0]?.sharedFeet).toBeCloseTo(1456, -1);
    expect(named(notes)).toEqual([[4, 'acres', 'acres-apart']]);
  });

  it('names every fault of a broken file by feature, field and fix, and imports nothing', () => {
    const { units, neighbours, problems, problemCount } = readFixture('broken.geojson');
    expect(units).toEqual([]);
    expect(neighbours).toEqual([]);
    expect(problemCount).toBe(18);
    expect(named(problems)).toEqual([
      [1, 'geometry', 'outline-crosses-itself'],
      [2, 'geometry', 'ring-not-closed'],
      [3, 'geometry', 'coordinate-swapped'],
      [4, 'geometry', 'coordinate-out-of-range'],
      [5, 'geometry', 'too-few-positions'],
      [6, 'code', 'duplicate-code'],
      [7, 'geometry', 'not-a-polygon'],
      [8, 'geometry', 'not-a-polygon'],
      [9, 'community', 'unknown-community'],
      [9, 'acres', 'impossible-value'],
      [9, 'aspect', 'impossible-value'],
      [9, 'slope_percent', 'impossible-value'],
      [9, 'density', 'impossible-value'],
      [9, 'tags', 'impossible-value'],
      [10, 'code', 'missing-value'],
      [10, 'community', 'missing-value'],
      [11, 'geometry', 'hole-outside'],
      [12, 'geometry', 'parts-overlap'],
    ]);
    for (const { message } of problems) expect(message).toMatch(/^Feature \d+.*: .*: .*\.$/);
    expect(problems[8]?.message).toContain(context.communityKeys.join(', '));
  });

  it('one bad unit among good ones: nothing is imported', () => {
    const { units, problemCount } = geojson([
      feature({}),
      feature({ code: 'A2', community: 'moor' }),
    ]);
    expect([units, problemCount]).toEqual([[], 1]);
  });

  it('either winding, heights and a byte order mark are accepted', () => {
    const up = [...ring].reverse().map(([lon, lat]) => [lon, lat, 310.5]);
    const text = JSON.stringify({
      type: 'FeatureCollection',
      features: [feature({}, { type: 'Polygon', coordinates: [up] })],
    });
    const { units, problems } = readUnits('units.json', `\uFEFF${text}`, context);
    expect(problems).toEqual([]);
    expect(units[0]?.boundary).toEqual({ type: 'Polygon', coordinates: [[...ring].reverse()] });
    expect(units[0]?.measuredAcres).toBeCloseTo(48.69, 2);
  });

  it.each([
    ['51.12', []],
    ['46.26', []],
    ['51.13', ['acres-apart']],
    ['46.25', ['acres-apart']],
  ])('acres entered as text %s against 48.692 measured: %j', (acres, codes) => {
    const { units, notes } = geojson([feature({ acres })]);
    expect(units[0]?.areaAcres).toBe(Number(acres));
    expect(notes.map((note) => note.code)).toEqual(codes);
  });

  it('names the properties that are not read', () => {
    const { notes } = geojson([feature({ comunity: 'glade', OBJECTID: 7 })]);
    expect(notes.map((note) => note.code)).toEqual(['properties-not-read']);
    expect(notes[0]?.message).toContain('comunity, OBJECTID');
  });

  it.each<[string, object, string]>([
    ['a line', { type: 'LineString', coordinates: ring }, 'not-a-polygon'],
    ['no rings', { type: 'Polygon', coordinates: [] }, 'not-a-ring'],
    [
      'a polygon given as a multipolygon',
      { type: 'MultiPolygon', coordinates: [ring] },
      'not-a-position',
    ],
    [
      'a multipolygon given as a polygon',
      { type: 'Polygon', coordinates: [[ring]] },
      'not-a-position',
    ],
    ['text for a position', { type: 'Polygon', coordinates: [['x', ...ring]] }, 'not-a-position'],
    [
      'null in a position',
      { type: 'Polygon', coordinates: [[[null, 37], ...ring]] },
      'not-a-position',
    ],
    [
      'latitude over the pole',
      { type: 'Polygon', coordinates: [ring.map(([lon, lat]) => [lon! - 10, lat! + 60])] },
      'coordinate-out-of-range',
    ],
    [
      'no area',
      {
        type: 'Polygon',
        coordinates: [
          [
            [1, 1],
            [1.00001, 1],
            [1.00001, 1.00001],
            [1, 1],
          ],
        ],
      },
      'impossible-outline',
    ],
    [
      'a whole county and more',
      {
        type: 'Polygon',
        coordinates: [
          [
            [-92, 37],
            [-91, 37],
            [-91, 38],
            [-92, 37],
          ],
        ],
      },
      'impossible-outline',
    ],
  ])('refuses %s', (_name, geometry, code) => {
    const { units, problems } = geojson([feature({}, geometry)]);
    expect(units).toEqual([]);
    expect(named(problems)).toEqual([[1, 'geometry', code]]);
  });

  it.each([
    ['not JSON', '{"type": "FeatureCollection",\n "features": [,]}', 'not-json'],
    ['cut off', '{"type": "FeatureCollection", "features": [', 'not-json'],
    ['a list', '[]', 'not-feature-collection'],
    ['null', 'null', 'not-feature-collection'],
    ['a single feature', JSON.stringify(feature({})), 'not-feature-collection'],
    ['no features', '{"type": "FeatureCollection", "features": []}', 'no-units'],
    ['blank', ' \n', 'file-empty'],
    ['binary', 'PK\u0003\u0004\0\0', 'file-not-text'],
    ['bad UTF-8', '{"type": "\uFFFD"}', 'file-not-text'],
  ])('refuses a file that is %s', (_name, text, code) => {
    const { units, problems, problemCount } = readUnits('units.geojson', text, context);
    expect(units).toEqual([]);
    expect(problems.map((problem) => problem.code)).toEqual([code]);
    expect(problemCount).toBe(1);
  });

  it('refuses a feature that is none', () => {
    expect(named(geojson([5, { type: 'Feature' }]).problems)).toEqual([
      [1, undefined, 'not-a-feature'],
      [2, undefined, 'not-a-feature'],
    ]);
  });

  it('refuses another coordinate system and takes the old ways of naming WGS 84', () => {
    const crs = (name: string) => ({ crs: { type: 'name', properties: { name } } });
    expect(geojson([feature({})], crs('urn:ogc:def:crs:OGC:1.3:CRS84')).problems).toEqual([]);
    expect(geojson([feature({})], crs('urn:ogc:def:crs:EPSG::4326')).problems).toEqual([]);
    const { problems } = geojson([feature({})], crs('urn:ogc:def:crs:EPSG::26915'));
    expect(problems.map((problem) => problem.code)).toEqual(['wrong-coordinate-system']);
  });

  it('refuses more than 5,000 units, and more than 20 MB before looking inside', () => {
    const many = Array.from({ length: 5001 }, () => 1);
    expect(geojson(many).problems.map((problem) => problem.code)).toEqual(['too-many-units']);
    const large = readUnits('units.geojson', '{', { ...context, byteLength: 20_000_001 });
    expect(large.problems.map((problem) => problem.code)).toEqual(['file-too-large']);
  });

  it('counts all problems and keeps the first 200', () => {
    const { problems, problemCount } = geojson(Array.from({ length: 450 }, () => 1));
    expect(problemCount).toBe(450);
    expect(problems).toHaveLength(200);
  });
});

describe('units from CSV', () => {
  it.each([
    ['as it is', (text: string) => text],
    ['with a byte order mark', (text: string) => `\uFEFF${text}`],
    ['with CRLF', (text: string) => text.replaceAll('\n', '\r\n')],
    ['with blank lines', (text: string) => text.replaceAll('\n', '\n\n,,,,,,,\n')],
    ['with capitals in the header', (text: string) => text.replace('code,name', 'Code, NAME')],
  ])('reads every field: %s', (_name, change) => {
    const { units, problems } = readUnits('units.csv', change(fixture('units.csv')), context);
    expect(problems).toEqual([]);
    expect(units).toHaveLength(4);
    expect(units[1]).toEqual({
      code: 'N2',
      name: 'Cedar knob, upper',
      areaAcres: 36.25,
      measuredAcres: null,
      perimeterFeet: null,
      communityKey: 'glade',
      aspect: 'SW',
      slopePercent: 25,
      densityClass: 'thicket',
      tags: ['near-roost', 'contract-land'],
      boundary: null,
    });
    expect(units[3]).toMatchObject({ name: 'S2', aspect: null, slopePercent: null, tags: [] });
  });

  it('names every fault of a broken file by line, field and fix, and imports nothing', () => {
    const { units, problems, problemCount } = readFixture('broken.csv');
    expect(units).toEqual([]);
    expect(problemCount).toBe(14);
    expect(named(problems)).toEqual([
      [2, 'acres', 'impossible-value'],
      [3, 'code', 'duplicate-code'],
      [3, 'acres', 'impossible-value'],
      [4, 'acres', 'impossible-value'],
      [5, 'code', 'missing-value'],
      [6, 'acres', 'not-a-number'],
      [7, 'acres', 'missing-value'],
      [8, 'community', 'unknown-community'],
      [9, 'aspect', 'impossible-value'],
      [9, 'slope_percent', 'impossible-value'],
      [9, 'density', 'impossible-value'],
      [9, 'tags', 'impossible-value'],
      [10, undefined, 'wrong-column-count'],
      [10, 'community', 'missing-value'],
    ]);
    for (const { message } of problems) expect(message).toMatch(/^Line \d+.*: .*: .*\.$/);
  });

  it('semicolons are refused with a sentence that says what to do', () => {
    const { problems } = readFixture('semicolons.csv');
    expect(problems).toHaveLength(1);
    expect(problems[0]?.message).toContain('save the file again with commas');
  });

  it.each([
    ['tabs', 'code\tacres\tcommunity\nA\t1\tglade', ['wrong-separator']],
    ['a column too few', 'code,acres\nA,1', ['missing-column']],
    [
      'no header',
      'A,1,glade',
      [
        'unknown-column',
        'unknown-column',
        'unknown-column',
        'missing-column',
        'missing-column',
        'missing-column',
      ],
    ],
    ['a misspelt column', 'code,acres,comunity\nA,1,glade', ['unknown-column', 'missing-column']],
    ['a column twice', 'code,acres,community,code\nA,1,glade,B', ['duplicate-column']],
    ['a header only', `${header}\n`, ['no-units']],
    ['an open quotation mark', `${header}\nA,"b,1,glade,,,,`, ['csv-not-readable']],
    [
      'a quotation mark inside',
      `${header}\nA,b"c"d,1,glade,,,,\nB,"b" c,1,glade,,,,`,
      ['csv-not-readable'],
    ],
    ['a spreadsheet', 'PK\u0003\u0004\0', ['file-not-text']],
  ])('refuses %s', (_name, text, codes) => {
    const { units, problems } = readUnits('units.csv', text, context);
    expect(units).toEqual([]);
    expect(problems.map((problem) => problem.code)).toEqual(codes);
  });

  it.each(['1e3', '0x10', 'Infinity', 'NaN', '1,000', '12 ac', '--4', '.'])(
    'acres "%s" are not a plain number',
    (acres) => {
      expect(named(csv(`A,,"${acres}",glade,,,,`).problems)).toEqual([
        [2, 'acres', 'not-a-number'],
      ]);
    },
  );

  it('refuses more than 5,000 units', () => {
    const rows = Array.from({ length: 5001 }, (_, index) => `A${index},,20,glade,,,,`);
    expect(csv(...rows).problems.map((problem) => problem.code)).toEqual(['too-many-units']);
    expect(csv(...rows.slice(1)).units).toHaveLength(5000);
  });

  it('text that looks like a formula or markup stays text', () => {
    const { units } = csv('A,"=1+2 <b>&",20,glade,,,,');
    expect(units[0]?.name).toBe('=1+2 <b>&');
  });
});

it('refuses a file of another kind by name', () => {
  expect(readUnits('units.kml', '<kml/>', context).problems.map((one) => one.code)).toEqual([
    'unknown-file-kind',
  ]);
});
