import { describe, expect, it } from 'vitest';
import { readKml, writeKml } from '../../src/exchange/kml.ts';

// Element names and the shape of coordinates follow OGC 07-147r2 (KML 2.2), sections 9 and 10; the examples are our
// own, written from memory of the standard.
const head = '<?xml version="1.0" encoding="UTF-8"?>';
const kml = (inner: string) =>
  `${head}<kml xmlns="http://www.opengis.net/kml/2.2"><Document>${inner}</Document></kml>`;
const ring = '-92.1,37.2,0 -92.09,37.2,0 -92.09,37.21,0 -92.1,37.2,0';
const ringRead = [
  [-92.1, 37.2],
  [-92.09, 37.2],
  [-92.09, 37.21],
  [-92.1, 37.2],
];
const linear = (coordinates: string) =>
  `<LinearRing><coordinates>${coordinates}</coordinates></LinearRing>`;
const polygon = `<Polygon><outerBoundaryIs>${linear(ring)}</outerBoundaryIs></Polygon>`;
const placemark = (inner: string) => kml(`<Placemark>${inner}</Placemark>`);

function features(text: string) {
  const read = readKml(text);
  if (!read.ok) throw new Error(read.problems[0]?.message);
  return read.features;
}
const geometry = (inner: string) => features(placemark(inner))[0]?.geometry;
const properties = (inner: string) => features(placemark(inner))[0]?.properties;

describe('shapes of KML 2.2', () => {
  it.each([
    [
      'Point, altitude dropped',
      '<Point><coordinates> -92.1,37.2,310 </coordinates></Point>',
      { type: 'Point', coordinates: [-92.1, 37.2] },
    ],
    [
      'LineString over several lines of text',
      '<LineString><coordinates>\n-92.1,37.2\n-92.2,37.3,5\n</coordinates></LineString>',
      {
        type: 'LineString',
        coordinates: [
          [-92.1, 37.2],
          [-92.2, 37.3],
        ],
      },
    ],
    ['LinearRing on its own', linear(ring), { type: 'LineString', coordinates: ringRead }],
    ['Polygon', polygon, { type: 'Polygon', coordinates: [ringRead] }],
    [
      'Polygon with two inner boundaries',
      `<Polygon><extrude>0</extrude><outerBoundaryIs>${linear(ring)}</outerBoundaryIs><innerBoundaryIs>${linear(ring)}</innerBoundaryIs><innerBoundaryIs>${linear(ring)}</innerBoundaryIs></Polygon>`,
      { type: 'Polygon', coordinates: [ringRead, ringRead, ringRead] },
    ],
    [
      'MultiGeometry, nested',
      `<MultiGeometry>${polygon}<MultiGeometry>${polygon}</MultiGeometry></MultiGeometry>`,
      { type: 'MultiPolygon', coordinates: [[ringRead], [ringRead]] },
    ],
    [
      'MultiGeometry of lines',
      `<MultiGeometry><LineString><coordinates>1,2 3,4</coordinates></LineString><LineString><coordinates>5,6 7,8</coordinates></LineString></MultiGeometry>`,
      {
        type: 'MultiLineString',
        coordinates: [
          [
            [1, 2],
            [3, 4],
          ],
          [
            [5, 6],
            [7, 8],
          ],
        ],
      },
    ],
    [
      'mixed MultiGeometry, for the reader to refuse',
      `<MultiGeometry>${polygon}<Point><coordinates>1,2</coordinates></Point></MultiGeometry>`,
      { type: 'MultiGeometry' },
    ],
    ['none', '<name>N1</name>', null],
  ])('%s', (_, inner, expected) => {
    expect(geometry(inner)).toEqual(expected);
  });

  it('makes a broken tuple no number instead of a guess', () => {
    expect(geometry('<Point><coordinates>-92.1,</coordinates></Point>')).toEqual({
      type: 'Point',
      coordinates: [-92.1, Number.NaN],
    });
  });
});

describe('names and fields', () => {
  it.each([
    [
      'CDATA and predefined entities',
      '<name><![CDATA[N1 <b>]]> &amp; N2</name>',
      { name: 'N1 <b> & N2' },
    ],
    [
      'Data',
      '<name>x</name><ExtendedData><Data name="code"><displayName>c</displayName><value> N1 </value></Data></ExtendedData>',
      { name: 'x', code: 'N1' },
    ],
    [
      'SchemaData',
      '<ExtendedData><SchemaData schemaUrl="#u"><SimpleData name="acres">12.5</SimpleData></SchemaData></ExtendedData>',
      { acres: '12.5' },
    ],
    [
      'no field can reach the prototype',
      '<ExtendedData><Data name="__proto__"><value>x</value></Data></ExtendedData>',
      {},
    ],
  ])('%s', (_, inner, expected) => {
    expect(properties(inner)).toEqual(expected);
  });

  it('reads a prefixed namespace, folders in folders, and nothing of other namespaces', () => {
    const text = `${head}<k:kml xmlns:k="http://www.opengis.net/kml/2.2" xmlns:o="urn:other"><k:Folder><k:Folder><k:Placemark><k:name>N1</k:name><o:name>no</o:name></k:Placemark></k:Folder></k:Folder></k:kml>`;
    expect(features(text)).toEqual([{ properties: { name: 'N1' }, geometry: null }]);
  });

  it('names links and pictures that it passes over', () => {
    const read = readKml(
      kml(
        '<NetworkLink><Link><href>https://example.org/a.kml</href></Link></NetworkLink><Placemark/><GroundOverlay/>',
      ),
    );
    expect(read).toMatchObject({
      ok: true,
      notes: [{ code: 'kml-not-followed' }, { code: 'kml-not-followed' }],
    });
  });
});

describe('what is refused', () => {
  it.each([
    [
      'a document type',
      `${head}<!DOCTYPE kml [<!ENTITY a "b">]><kml xmlns="http://www.opengis.net/kml/2.2"><Placemark/></kml>`,
      'doctype',
    ],
    ['an unknown entity', placemark('<name>&lol;</name>'), 'not-xml'],
    ['a tag that is not closed', kml('<Placemark><name>N1</Placemark>'), 'not-xml'],
    ['text that ends early', '<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark>', 'not-xml'],
    ['another kind of XML', '<gpx><wpt/></gpx>', 'not-kml'],
    ['no placemark', kml('<Folder/>'), 'no-placemarks'],
    [
      'elements nested without end',
      kml('<Folder>'.repeat(200) + '</Folder>'.repeat(200)),
      'too-deep',
    ],
  ])('%s', (_, text, code) => {
    const read = readKml(text);
    expect(read).toMatchObject({ ok: false, problems: [{ code, field: 'text' }] });
  });

  it('names the line', () => {
    const read = readKml(
      '<kml xmlns="http://www.opengis.net/kml/2.2">\n<Placemark>\n</Folder></kml>',
    );
    expect(read).toMatchObject({ ok: false, problems: [{ line: 3 }] });
  });
});

it('writes a file that reads back with every sign in its fields', () => {
  const name = 'A & B <c> "d" \u{1F525} \u0007é';
  const text = writeKml(name, [
    {
      what: 'unit',
      properties: { what: 'unit', code: 'N1', name },
      geometry: { type: 'Polygon', coordinates: [ringRead] },
    },
    { what: 'point', properties: { what: 'point', name: 'Den' }, geometry: null },
  ]);
  expect(features(text)).toEqual([
    {
      properties: { what: 'unit', code: 'N1', name: name.replace('\u0007', '') },
      geometry: { type: 'Polygon', coordinates: [ringRead] },
    },
    { properties: { what: 'point', name: 'Den' }, geometry: null },
  ]);
  expect(text.match(/<Folder><name>[^<]*/g)).toEqual([
    '<Folder><name>Units',
    '<Folder><name>Points to protect',
  ]);
});
