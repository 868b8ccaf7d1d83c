import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readStretches } from '../../src/exchange/geojson-layers.ts';

const file = (...features: unknown[]) => JSON.stringify({ type: 'FeatureCollection', features });
const feature = (type: string, coordinates: unknown, properties: object | null = {}) => ({
  type: 'Feature',
  properties,
  geometry: { type, coordinates },
});
const line = [
  [-92.1, 37.2],
  [-92.09, 37.21],
];

// Geometries of RFC 7946, section 3.1.
test.each([
  ['LineString', line, 1],
  ['MultiLineString', [line, line], 2],
  ['Polygon', [[...line, [-92.08, 37.2], [-92.1, 37.2]]], 1],
  ['Point', [-92.1, 37.2], 0],
])('%s', (type, coordinates, count) => {
  const read = readStretches(file(feature(type, coordinates), feature('LineString', line)));
  expect(read.ok && read.value).toHaveLength(count + 1);
});

test.each([
  [{ name: 'Hollow Road', elev: 900 }, 'Hollow Road'],
  [{ ELEV: 880 }, '880'],
  [{ name: '', Elevation: '920' }, '920'],
  [null, ''],
])('the label of %j is %s', (properties, label) => {
  const read = readStretches(file(feature('LineString', line, properties)));
  expect(read.ok && read.value[0]?.label).toBe(label);
});

describe('a file that cannot be used is refused in words', () => {
  test.each([
    ['no JSON', '{', 'not JSON'],
    ['no lines', file(feature('Point', [-92.1, 37.2])), 'holds no lines'],
    [
      'swapped',
      file(
        feature('LineString', [
          [37.2, -92.1],
          [37.3, -92.1],
        ]),
      ),
      'longitude before latitude',
    ],
    ['no list', file(feature('LineString', 'there')), 'not a list of positions'],
  ])('%s', (_, text, words) => {
    const read = readStretches(text);
    expect(read.ok ? '' : read.problems.map(({ message }) => message).join()).toContain(words);
    expect(read.ok ? '' : read.problems[0]?.field).toBe('text');
  });

  test('whatever it holds, the answer is data', () => {
    fc.assert(
      fc.property(fc.jsonValue(), fc.jsonValue(), (geometry, properties) => {
        const read = readStretches(file({ type: 'Feature', geometry, properties }));
        expect(typeof read.ok).toBe('boolean');
      }),
    );
  });
});
